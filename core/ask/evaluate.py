"""Running the evaluations of a kind on what an archive holds.

The one module here that knows plugins and archives; what it runs are pure functions.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields
from difflib import get_close_matches
from functools import cached_property
from typing import TYPE_CHECKING, Any, Protocol

import pandas as pd

from tiecoat.ask.agreeing import GivenResults
from tiecoat.contract.choices import Choices
from tiecoat.errors import SettingInvalid, UnknownName
from tiecoat.evaluate.remarked import with_remarks
from tiecoat.evaluate.result import COLUMNS, NUMBERS, TEXT, together
from tiecoat.extend.loading import load_evaluations, load_kind
from tiecoat.plugin import Evaluation
from tiecoat.remarks import UNREGISTERED
from tiecoat.wording import Told, untold

if TYPE_CHECKING:
    from tiecoat.lab.settings import Lab

ORDER = ("batch", "panel", "exposure_h", "quantity", "condition", "measurement")
WHOSE = ("quantity", "batch", "condition")  # what tells apart what is pooled over batches
TEXTS = tuple(name for name in COLUMNS if name not in (*NUMBERS, "n"))


class Readable(Protocol):
    """What is asked of an archive: its lab, the kinds it holds, their measurements and rows."""

    @property
    def lab(self) -> Lab:
        """The lab whose archive this is."""

    def kinds(self) -> list[str]:
        """Return the kinds that there are tables of."""

    def measurements(self, kind: str | None = None, *, withdrawn: bool = False) -> pd.DataFrame:
        """Return one row for each measurement, its remark as it holds now."""

    def read(self, kind: str, batch: str | None = None, panel: str | None = None) -> pd.DataFrame:
        """Return the valid rows of a kind; `UnknownName` where there are no tables of it."""


@dataclass(frozen=True)
class Evaluated:
    """Results, and sentences about evaluations that were left out or broke down."""

    table: pd.DataFrame
    left_out: tuple[str, ...]


@dataclass
class _Request:
    """The frames of one request, and what went wrong so far."""

    archive: Readable
    kind: str
    batch: str | None
    panel: str | None
    left_out: list[str]
    told: Told = untold
    frames: dict[str, pd.DataFrame] = field(default_factory=dict)
    given: GivenResults = field(default_factory=GivenResults)

    @cached_property
    def alike(self) -> Mapping[str, list[str]]:
        """The panels that are alike, of batches whose panels are not: for every evaluation."""
        from tiecoat.evaluate.mixtures import alike

        return alike(self.frame(self.kind), self.frame("panels"))

    def frame(self, kind: str) -> pd.DataFrame:
        """Return the rows of a kind: of the one evaluated as asked, of others for its batches."""
        if kind not in self.frames:
            own = kind == self.kind
            self.frames[kind] = (
                self._read(kind, self.batch, self.panel) if own else self._needed(kind)
            )
        return self.frames[kind].copy(deep=False)  # what an evaluation changes stays its own

    def _read(self, kind: str, batch: str | None, panel: str | None = None) -> pd.DataFrame:
        return as_of_now(self.archive, kind, self.archive.read(kind, batch, panel))

    def _needed(self, kind: str) -> pd.DataFrame:
        batches = self.frame(self.kind)["batch"].unique()
        try:
            rows = self._read(kind, batches[0] if len(batches) == 1 else None)
        except UnknownName:  # asking before which kinds there are would look at every table
            return _no_rows(kind, self.archive)
        return rows[rows["batch"].isin(batches)].reset_index(drop=True)


def evaluate(
    archive: Readable,
    kind: str,
    batch: str | None = None,
    panel: str | None = None,
    quantity: str | None = None,
    *,
    told: Told = untold,
) -> Evaluated:
    """Compute results from an archive.

    Parameters
    ----------
    archive
        Where the measurements are; its lab's settings hold the choices.
    kind
        The kind whose results are wanted.
    batch, panel
        Only from measurements of these.
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
    lab = archive.lab
    loaded = load_evaluations(lab.own_readers)
    kind = kind.strip().lower()
    known = [n for n, one in loaded.evaluations.items() if one.choices is not Choices]
    if unanswered := lab.evaluating.unanswered([*known, *(one.name for one in fields(Choices))]):
        raise SettingInvalid("\n".join(unanswered))
    mine = [one for one in loaded.evaluations.values() if one.kind == kind]
    if not mine:
        raise UnknownName(_no_evaluation(kind, loaded.evaluations.values(), loaded.problems))
    run = _Request(archive, kind, batch, panel, list(loaded.problems), told)
    if not len(run.frame(kind)):
        return Evaluated(_sorted(together([])), tuple(run.left_out))
    table = _all_of(run, mine) if quantity is None else _only(run, mine, quantity)
    return Evaluated(_mixtures_told(run, _sorted(table)), tuple(run.left_out))


def as_of_now(archive: Readable, kind: str, rows: pd.DataFrame) -> pd.DataFrame:
    """Return rows of a kind without "not in the register" where the register knows them by now.

    Parameters
    ----------
    rows
        As `archive.read` gives them: there the column `remark` is as it was filed. Frames without
        it, as scripts make them, come back as they are.
    """
    if "remark" not in rows:
        return rows
    codes = "|".join(f"{remark.code}:" for remark in UNREGISTERED)
    claim = rows["remark"].str.contains(codes, na=False).to_numpy(dtype=bool)
    if not claim.any() or archive.kinds() == [kind]:  # a register is a kind of its own
        return rows
    listed = archive.measurements(kind=kind, withdrawn=True)
    holds = listed.set_index("measurement")["remark"]
    now = rows["measurement"].map(holds).astype(rows["remark"].dtype)
    return rows.assign(remark=rows["remark"].where(~claim, now))


def _all_of(run: _Request, evaluations: Iterable[Evaluation]) -> pd.DataFrame:
    return together(list(_each(run, [one for one in evaluations if not one.slow]).values()))


def _each(run: _Request, evaluations: Sequence[Evaluation]) -> dict[str, pd.DataFrame]:
    """Return what evaluations give, by their names, and tell how far it is meanwhile."""
    found = {}
    for number, one in enumerate(evaluations):
        run.told(f"evaluating {run.kind}", number, len(evaluations))
        found[one.name] = run.given.agreed(one.name, _computed(run, one), run.left_out)
    run.told(f"evaluating {run.kind}", len(evaluations), len(evaluations))
    return found


def _mixtures_told(run: _Request, table: pd.DataFrame) -> pd.DataFrame:
    """Return results with a flag on what is pooled over panels that are not alike."""
    if not _has_pooled(run, table):
        return table
    from tiecoat.evaluate.mixtures import OF_ALIKE, mixtures

    told = mixtures(run.frame(run.kind), run.frame("panels"))
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


def _computed(run: _Request, evaluation: Evaluation) -> pd.DataFrame:
    """Return what one evaluation gives; nothing where it breaks down, which is told."""
    frames = {}
    for kind in dict.fromkeys((run.kind, *evaluation.needs)):
        try:
            frames[kind] = run.frame(kind)
        except _NoSuchKind as error:
            run.left_out.append(f"evaluation {evaluation.name!r} was left out: {error}")
            return together([])
    lab = run.archive.lab
    own = evaluation.choices is not Choices
    choices = (
        lab.evaluating.of(evaluation.name, evaluation.choices) if own else lab.settings.evaluate
    )
    try:
        whole = _results(evaluation, frames, choices)
        return together([whole, *_of_alike(run, evaluation, choices, whole)])
    except _NoResultTable as error:
        run.left_out.append(f"evaluation {evaluation.name!r} was left out: {error}")
    except Exception as error:  # noqa: BLE001 - one evaluation may not stop the others
        from tiecoat.extend.blame import blame

        run.left_out.append(f"evaluation {evaluation.name!r} broke down: {blame(error)}")
    return together([])


def _results(
    evaluation: Evaluation, frames: Mapping[str, pd.DataFrame], choices: Any
) -> pd.DataFrame:
    """Return what one evaluation gives for these frames, with the remarks on their rows."""
    given = {kind: rows.copy(deep=False) for kind, rows in frames.items()}  # to be changed by it
    table = evaluation.compute(given, choices)
    if differing := set(COLUMNS) ^ set(table.columns):
        named = ", ".join(sorted(map(str, differing)))
        raise _NoResultTable(f"it gives no result table; columns that differ: {named}")
    if unknown := [unit for unit in table["unit"].unique().tolist() if not is_unit(unit)]:
        raise _NoResultTable(f"{unknown[0]!r} is no unit")
    return with_remarks(table[list(COLUMNS)], frames, evaluation)


def is_unit(text: object) -> bool:
    """Say whether a unit of results is one; words may follow it, such as "% of |Z|".

    An exponent may be a parameter of the model, such as that of a constant-phase element.

    Examples
    --------
    >>> [is_unit(text) for text in ("MPa", "% of |Z|", "s^n/(ohm cm2)", "fathomettes")]
    [True, True, True, False]
    """
    from tiecoat.dialect.units import understand

    if not isinstance(text, str):
        return False
    text = text.replace("^n", "")
    begins = text.split()[:1]  # asked first: mostly that is enough, and pint need not be loaded
    return any(understand(one) is not None for one in (*begins, text))


def _of_alike(
    run: _Request, evaluation: Evaluation, choices: Any, whole: pd.DataFrame
) -> Iterator[pd.DataFrame]:
    """Return what is pooled over a batch for those of its panels that are alike, where not all are.

    What the evaluation has told apart itself is not told again, nor is it run again for panels of
    which it has told all its quantities so.
    """
    if not _has_pooled(run, whole):
        return
    from tiecoat.evaluate.mixtures import OF_ALIKE, of_panels

    pooled = whole[_whole_batches(whole)]
    told = set(zip(*(pooled[name].tolist() for name in WHOSE), strict=True))
    rows = run.frame(run.kind)
    for shared, named in run.alike.items():
        if _is_told_of(
            shared, pooled[pooled["batch"].isin(rows["batch"][rows["panel"].isin(named)])]
        ):
            continue
        frames = {kind: run.frame(kind) for kind in dict.fromkeys((run.kind, *evaluation.needs))}
        part = _results(evaluation, of_panels(frames, named, run.kind), choices)
        part = part[_whole_batches(part) & ~part["condition"].str.contains(OF_ALIKE)]
        part = part.assign(condition=(part["condition"] + "; " + shared).str.removeprefix("; "))
        keys = zip(*(part[name].tolist() for name in WHOSE), strict=True)
        yield part[[key not in told for key in keys]]


def _is_told_of(shared: str, pooled: pd.DataFrame) -> bool:
    """Say whether every quantity of each batch is there for panels that share something, too."""
    apart = pooled["condition"].str.endswith(shared)
    each = pooled["batch"] + "\n" + pooled["quantity"]
    return bool(each.isin(each[apart]).all())


def _has_pooled(run: _Request, table: pd.DataFrame) -> bool:
    """Say whether results are pooled over panels of a batch, and a register may tell them apart."""
    on_panels = bool(run.frame(run.kind)["panel"].notna().any())
    return on_panels and bool(_whole_batches(table).any()) and len(run.frame("panels")) > 0


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
