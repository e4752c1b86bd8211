"""Running the evaluations of a kind on what an archive holds.

The one module here that knows plugins and archives; what it runs are pure functions.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields
from difflib import get_close_matches
from functools import cached_property
from typing import TYPE_CHECKING, Any, Protocol, TypeAlias

import pandas as pd

from tiecoat.ask.agreeing import GivenResults
from tiecoat.contract.choices import Choices
from tiecoat.errors import ArchiveFault, SettingInvalid, UnknownName
from tiecoat.evaluate.remarked import with_remarks
from tiecoat.evaluate.result import COLUMNS, NUMBERS, TEXT, together
from tiecoat.extend.loading import load_evaluations, load_kind
from tiecoat.plugin import Evaluation
from tiecoat.wording import Told, untold

if TYPE_CHECKING:
    from tiecoat.lab.settings import Lab

ORDER = ("batch", "panel", "exposure_h", "quantity", "condition", "measurement")
WHOSE = ("quantity", "batch", "condition")  # what tells apart what is pooled over batches
TEXTS = tuple(name for name in COLUMNS if name not in (*NUMBERS, "n"))
_SHARE = re.compile(r"(%|‰|ppm) (of|by) \S.*")
_EXPONENT = re.compile(r"\^(n|\(\d/\d\))")
UNITS = 'write it as g/m2, "" for a plain number, and of what a share is as % of the readings'
TOGETHER = 256  # batches that are computed at a time: hardly slower than all of them at once

_SomeBatches: TypeAlias = str | Sequence[str] | None  # None: all


class Readable(Protocol):
    """What is asked of an archive: its lab, the kinds it holds, their measurements and rows."""

    @property
    def lab(self) -> Lab:
        """The lab whose archive this is."""

    def kinds(self) -> list[str]:
        """Return the kinds that there are tables of."""

    def batches(self, kind: str | None = None) -> list[str]:
        """Return the batches with a table of a kind; `UnknownName` where there are none of it."""

    def measurements(
        self, kind: str | None = None, batch: str | None = None, *, withdrawn: bool = False
    ) -> pd.DataFrame:
        """Return one row for each measurement, its remark as it holds now."""

    def read(
        self, kind: str, batch: str | Collection[str] | None = None, panel: str | None = None
    ) -> pd.DataFrame:
        """Return the valid rows of a kind, their remarks as they hold now.

        `UnknownName` where there are no tables of it.
        """


@dataclass(frozen=True)
class Evaluated:
    """Results, and sentences about evaluations that were left out or broke down."""

    table: pd.DataFrame
    left_out: tuple[str, ...]


@dataclass
class _Frames:
    """The rows that are computed from at a time, by kind."""

    archive: Readable
    kind: str
    batch: _SomeBatches
    panel: str | None
    _there: dict[str, pd.DataFrame] = field(default_factory=dict)

    def of(self, kind: str) -> pd.DataFrame:
        """Return the rows of a kind: of the one evaluated as asked, of others for its batches."""
        if kind not in self._there:
            own = kind == self.kind
            self._there[kind] = (
                self._read(kind, self.batch, self.panel) if own else self._needed(kind)
            )
        return self._there[kind].copy(deep=False)  # what an evaluation changes stays its own

    @cached_property
    def alike(self) -> Mapping[str, list[str]]:
        """The panels that are alike, of batches whose panels are not: for every evaluation."""
        from tiecoat.evaluate.mixtures import alike

        return alike(self._registered)

    @cached_property
    def mixtures(self) -> Mapping[str, str]:
        """What is told of batches whose panels are not alike: for every evaluation."""
        from tiecoat.evaluate.mixtures import mixtures

        return mixtures(self._registered)

    def needed_by(self, evaluation: Evaluation) -> dict[str, pd.DataFrame]:
        """Return the rows of all kinds that an evaluation needs."""
        return {kind: self.of(kind) for kind in dict.fromkeys((self.kind, *evaluation.needs))}

    @cached_property
    def _registered(self) -> pd.DataFrame:
        from tiecoat.evaluate.mixtures import registered

        return registered(self.of(self.kind), self.of("panels"))

    def _read(self, kind: str, batch: _SomeBatches, panel: str | None = None) -> pd.DataFrame:
        return self.archive.read(kind, batch, panel)

    def _needed(self, kind: str) -> pd.DataFrame:
        batches = self.of(self.kind)["batch"].unique().tolist()
        try:
            rows = self._read(kind, batches if len(batches) <= TOGETHER else None)
        except UnknownName:  # asking before which kinds there are would look at every table
            return _no_rows(kind, self.archive)
        return rows[rows["batch"].isin(batches)].reset_index(drop=True)


@dataclass
class _Request:
    """What is asked, and what went wrong so far."""

    archive: Readable
    kind: str
    batch: _SomeBatches
    panel: str | None
    evaluations: Sequence[Evaluation]
    left_out: list[str]
    sources: Mapping[str, str]  # evaluation -> the plugin that brings it
    told: Told = untold
    given: GivenResults = field(default_factory=GivenResults)
    done: int = 0  # groups of batches that were computed, of every evaluation

    def groups(self, evaluation: Evaluation) -> Sequence[_SomeBatches]:
        """Return of which batches an evaluation is computed at a time."""
        return self._some_at_a_time if evaluation.by_batch else [self.batch]

    @property
    def groups_of_all(self) -> Sequence[_SomeBatches]:
        """Of which batches all evaluations can be computed at a time."""
        apart = all(one.by_batch for one in self.evaluations)
        return self._some_at_a_time if apart else [self.batch]

    def frames(self, batch: _SomeBatches) -> _Frames:
        """Return the rows of a group; those of all that is asked are kept."""
        return self._whole if batch == self.batch else self._frames_of(batch)

    @property
    def is_empty(self) -> bool:
        """Whether there are no rows at all."""
        return not any(len(self.frames(one).of(self.kind)) for one in self._some_at_a_time)

    @cached_property
    def _some_at_a_time(self) -> Sequence[_SomeBatches]:
        one = self.batch is not None or self.panel is not None
        every = [] if one else self.archive.batches(self.kind)
        if len(every) <= TOGETHER:
            return [self.batch]
        return _parts(every, TOGETHER)

    @cached_property
    def _whole(self) -> _Frames:
        return self._frames_of(self.batch)

    def _frames_of(self, batch: _SomeBatches) -> _Frames:
        return _Frames(self.archive, self.kind, batch, self.panel)


def evaluate_in_parts(
    archive: Readable,
    kind: str,
    batch: str | None = None,
    panel: str | None = None,
    quantity: str | None = None,
    *,
    told: Told = untold,
) -> Iterator[Evaluated]:
    """Yield results some batches at a time, in their order, where each hangs on its batch alone.

    Else all at once. Parameters and errors are those of `evaluate`.
    """
    run = _request(archive, kind, batch, panel, untold)
    groups = run.groups_of_all
    if len(groups) == 1:
        yield evaluate(archive, kind, batch, panel, quantity, told=told)
        return
    unknown: UnknownName | None = None
    done = 0
    for number, group in enumerate(groups):
        told(f"evaluating {run.kind}", number, len(groups))
        try:
            found = evaluate(archive, kind, group, panel, quantity)
        except UnknownName as error:  # no result of that name here; of other batches there may be
            unknown = error
            continue
        done += 1
        yield found
        del found  # before the next are computed: they may be large
    if unknown and not done:
        raise unknown


def alone(archive: Readable, kind: str, batches: Sequence[str]) -> list[Sequence[str]]:
    """Return the batches in groups, of which each can be evaluated as if its batches were alone.

    Raises what `evaluate` does before it computes.
    """
    run = _request(archive, kind, None, None, untold)
    return _parts(batches, TOGETHER if all(one.by_batch for one in run.evaluations) else 1)


def _parts(batches: Sequence[str], size: int) -> list[Sequence[str]]:
    return [batches[at : at + size] for at in range(0, len(batches), size)]


def evaluate(
    archive: Readable,
    kind: str,
    batch: str | Sequence[str] | None = None,
    panel: str | None = None,
    quantity: str | None = None,
    *,
    told: Told = untold,
) -> Evaluated:
    """Compute results from an archive.

    What hangs on one batch alone is computed some batches at a time, so that no more rows are in
    memory than theirs, however many there are.

    Parameters
    ----------
    archive
        Where the measurements are; its lab's settings hold the choices.
    kind
        The kind whose results are wanted.
    batch, panel
        Only from measurements of these: of one batch or of several.
    quantity
        Only this quantity, or everything that the evaluation of this name gives. What takes long
        is computed only when asked for in this way.
    told
        Called with the progress.

    Returns
    -------
    Evaluated
        Results sorted by batch, panel, exposure and quantity. An evaluation that breaks down is
        left out, and the others are there.

    Raises
    ------
    UnknownName
        If there is no such kind, batch, panel or quantity; the message lists near ones.
    SettingInvalid
        If the settings name an evaluation that is not there, or what one of them refuses.
    """
    run = _request(archive, kind, batch, panel, told)
    if run.is_empty:
        return Evaluated(_sorted(together([])), tuple(run.left_out))
    mine = run.evaluations
    table = _all_of(run, mine) if quantity is None else _only(run, mine, quantity)
    return Evaluated(_sorted(table), tuple(run.left_out))


def _request(
    archive: Readable, kind: str, batch: _SomeBatches, panel: str | None, told: Told
) -> _Request:
    """Return what is asked, once it is sure that it can be; raises what `evaluate` does."""
    lab = archive.lab
    loaded = load_evaluations(lab.own_readers)
    kind = kind.strip().lower()
    known = [n for n, one in loaded.evaluations.items() if one.choices is not Choices]
    if unanswered := lab.evaluating.unanswered([*known, *(one.name for one in fields(Choices))]):
        raise SettingInvalid("\n".join(unanswered))
    mine = [one for one in loaded.evaluations.values() if one.kind == kind]
    if not mine:
        raise UnknownName(_no_evaluation(kind, loaded.evaluations.values(), loaded.problems))
    problems, sources = list(loaded.problems), loaded.sources
    return _Request(archive, kind, batch, panel, mine, problems, sources, told)


def _all_of(run: _Request, evaluations: Iterable[Evaluation]) -> pd.DataFrame:
    return together(list(_each(run, [one for one in evaluations if not one.slow]).values()))


def _each(run: _Request, evaluations: Sequence[Evaluation]) -> dict[str, pd.DataFrame]:
    """Return what evaluations give, by their names, and tell how far it is meanwhile."""
    found = {}
    run.done, total = 0, sum(len(run.groups(one)) for one in evaluations)
    for one in evaluations:
        table = _computed(run, one, lambda: run.told(f"evaluating {run.kind}", run.done, total))
        found[one.name] = run.given.agreed(one.name, table, run.left_out)
    run.told(f"evaluating {run.kind}", total, total)
    return found


def _mixtures_told(frames: _Frames, table: pd.DataFrame) -> pd.DataFrame:
    """Return results with a flag on what is pooled over panels that are not alike."""
    if not _has_pooled(frames, table):
        return table
    if not (told := frames.mixtures):
        return table
    from tiecoat.evaluate.mixtures import OF_ALIKE

    mixed = _whole_batches(table) & table["batch"].isin(list(told))
    mixed &= ~table["condition"].where(mixed, "").str.contains(OF_ALIKE)
    here = table[mixed]
    flags = (here["flags"] + "; " + here["batch"].map(told)).str.strip("; ")
    return table.assign(flags=table["flags"].mask(mixed, flags).astype("str"))


def _only(run: _Request, evaluations: Sequence[Evaluation], quantity: str) -> pd.DataFrame:
    """Return the results asked for by the name of a quantity or an evaluation."""
    named = [one for one in evaluations if one.name == quantity]
    slow = [one for one in evaluations if one.slow]
    if named and named[0].slow:
        return _each(run, named)[quantity]
    quick = _each(run, [one for one in evaluations if not one.slow])
    table = together(list(quick.values()))
    if (found := table["quantity"] == quantity).any():
        return table[found]
    if named:
        return quick[quantity]
    table = together([table, *_each(run, slow).values()])
    if (found := table["quantity"] == quantity).any():
        return table[found]
    known = sorted({*table["quantity"], *(one.name for one in evaluations)})
    raise UnknownName(
        f"no quantity {quantity!r} of {run.kind} here; {_near(quantity, known)}"
        + _told(run.left_out)
    )


def _computed(
    run: _Request, evaluation: Evaluation, next_group: Callable[[], None]
) -> pd.DataFrame:
    """Return what one evaluation gives; nothing where it breaks down, which is told."""
    lab = run.archive.lab
    own = evaluation.choices is not Choices
    choices = (
        lab.evaluating.of(evaluation.name, evaluation.choices) if own else lab.settings.evaluate
    )
    parts = []
    for batch in run.groups(evaluation):
        next_group()
        run.done += 1
        try:
            parts.append(_of_group(run.frames(batch), evaluation, choices))
        except ArchiveFault:
            raise
        except (_NoSuchKind, _NoResultTable) as error:
            source = run.sources.get(evaluation.name)
            what = f"evaluation {evaluation.name!r}" + (f" of {source}" if source else "")
            run.left_out.append(f"{what} was left out: {error}")
            return together([])
        except Exception as error:  # noqa: BLE001 - one evaluation may not stop the others
            from tiecoat.extend.blame import blame

            why = blame(error, evaluation.compute)
            run.left_out.append(f"evaluation {evaluation.name!r} broke down: {why}")
            return together([])
    return together(parts)


def _of_group(frames: _Frames, evaluation: Evaluation, choices: Any) -> pd.DataFrame:
    """Return what one evaluation gives for some batches; nothing where they have no rows."""
    if not len(frames.of(frames.kind)):
        return together([])
    whole = _results(evaluation, frames.needed_by(evaluation), choices)
    alike = _of_alike(frames, evaluation, choices, whole)
    return _mixtures_told(frames, together([whole, *alike]))


def _results(
    evaluation: Evaluation, frames: Mapping[str, pd.DataFrame], choices: Any
) -> pd.DataFrame:
    """Return what one evaluation gives for these frames, with the remarks on their rows."""
    given = {kind: rows.copy(deep=False) for kind, rows in frames.items()}  # to be changed by it
    table = evaluation.compute(given, choices)
    if not isinstance(table, pd.DataFrame):
        raise _NoResultTable(f"it gives {type(table).__name__}, and no result table")
    if differing := set(COLUMNS) ^ set(table.columns):
        named = ", ".join(sorted(map(str, differing)))
        raise _NoResultTable(f"it gives no result table; columns that differ: {named}")
    for unit in table["unit"].unique().tolist():
        if not is_unit(unit):
            quantity = table["quantity"][table["unit"].isin([unit])].iloc[0]
            raise _NoResultTable(f"its {quantity} is in {unit!r}, which is no unit; {UNITS}")
    if (silent := table["value"].isna() & table["reason"].fillna("").eq("")).any():
        first = table[["quantity", "batch", "panel"]][silent].fillna("").iloc[0]
        what = f"{first['quantity']} of {first['panel'] or first['batch']}"
        raise _NoResultTable(f"it gives neither value nor reason for {what}")
    return with_remarks(table[list(COLUMNS)], frames, evaluation)


def is_unit(text: object) -> bool:
    """Say whether a unit of results is one; of a share it may say of what it is.

    An exponent may be a parameter of the model, such as that of a constant-phase element, or a
    fraction, as of a diffusion element.

    Examples
    --------
    >>> [is_unit(text) for text in ("MPa", "% of |Z|", "s^n/(ohm cm2)", "ohm cm2/s^(1/2)")]
    [True, True, True, True]
    >>> [is_unit(text) for text in ("fathomettes", "mg per area", "mm of film", "% area", None)]
    [False, False, False, False, False]
    """
    from tiecoat.dialect.units import understand

    if not isinstance(text, str):
        return False
    return bool(_SHARE.fullmatch(text)) or understand(_EXPONENT.sub("", text)) is not None


def _of_alike(
    frames: _Frames, evaluation: Evaluation, choices: Any, whole: pd.DataFrame
) -> Iterator[pd.DataFrame]:
    """Return what is pooled over a batch for those of its panels that are alike, where not all are.

    What the evaluation has told apart itself is not told again, nor is it run again for panels of
    which it has told all its quantities so.
    """
    if not _has_pooled(frames, whole) or not frames.alike:
        return
    from tiecoat.evaluate.mixtures import OF_ALIKE, of_panels

    pooled = whole[_whole_batches(whole)]
    told = set(zip(*(pooled[name].tolist() for name in WHOSE), strict=True))
    rows = frames.of(frames.kind)
    for shared, named in frames.alike.items():
        if _is_told_of(
            shared, pooled[pooled["batch"].isin(rows["batch"][rows["panel"].isin(named)])]
        ):
            continue
        own = of_panels(frames.needed_by(evaluation), named, frames.kind)
        part = _results(evaluation, own, choices)
        part = part[_whole_batches(part) & ~part["condition"].str.contains(OF_ALIKE)]
        part = part.assign(condition=(part["condition"] + "; " + shared).str.removeprefix("; "))
        keys = zip(*(part[name].tolist() for name in WHOSE), strict=True)
        yield part[[key not in told for key in keys]]


def _is_told_of(shared: str, pooled: pd.DataFrame) -> bool:
    """Say whether every quantity of each batch is there for panels that share something, too."""
    apart = pooled["condition"].str.endswith(shared)
    each = pooled["batch"] + "\n" + pooled["quantity"]
    return bool(each.isin(each[apart]).all())


def _has_pooled(frames: _Frames, table: pd.DataFrame) -> bool:
    """Say whether results are pooled over panels of a batch, and a register may tell them apart."""
    on_panels = bool(frames.of(frames.kind)["panel"].notna().any())
    return on_panels and bool(_whole_batches(table).any()) and len(frames.of("panels")) > 0


def _whole_batches(table: pd.DataFrame) -> pd.Series[bool]:
    """Tell which results are pooled over a batch."""
    return table["panel"].fillna("").eq("") & table["batch"].fillna("").ne("")


class _NoResultTable(Exception):
    """An evaluation gives something else than results."""


class _NoSuchKind(LookupError):
    """A kind that an evaluation needs does not exist."""


def _no_rows(kind: str, archive: Readable) -> pd.DataFrame:
    """Return an empty frame with the columns of a kind that the archive holds nothing of."""
    from tiecoat.contract.columns import schema_of

    lab = archive.lab
    found = load_kind(kind, lab.own_readers)
    if found is None:
        raise _NoSuchKind(f"it needs the kind {kind!r}, which no plugin brings")
    empty: pd.DataFrame = schema_of(found).empty_table().to_pandas()
    return empty


def _sorted(table: pd.DataFrame) -> pd.DataFrame:
    """Return the results in an order that is always the same; empty texts are empty."""
    import pyarrow as pa
    import pyarrow.compute as pc

    table = table.assign(**{name: table[name].fillna("").astype(TEXT) for name in TEXTS})
    keys = pa.table({name: pa.array(table[name], from_pandas=True) for name in ORDER})
    order = pc.sort_indices(keys, [(name, "ascending") for name in ORDER])  # stable; NaN comes last
    return table.take(order.to_numpy()).reset_index(drop=True)


def _no_evaluation(kind: str, all_of: Iterable[Evaluation], problems: Sequence[str]) -> str:
    kinds = sorted({one.kind for one in all_of})
    return f"no results are computed from {kind!r}; {_near(kind, kinds)}" + _told(problems)


def _near(name: str, known: Sequence[str]) -> str:
    near = get_close_matches(name, known, n=3)
    if near:
        return f"near it: {', '.join(near)}"
    return f"there {'are: ' + ', '.join(known) if known else 'is nothing'}"


def _told(problems: Sequence[str]) -> str:
    return "".join(f"\n{problem}" for problem in problems)
