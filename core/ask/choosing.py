"""Some of many: measurements and rows by kind, batch, panel, file, time and remark."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import reduce
from operator import and_
from typing import TYPE_CHECKING, Any

from tiecoat.archive.index.cache import is_registered, measurement_in
from tiecoat.archive.words import Withdrawn
from tiecoat.errors import QueryInvalid, UnknownName
from tiecoat.lab.ids import canonical
from tiecoat.remarks import UNREGISTERED, without_unregistered

if TYPE_CHECKING:
    import pyarrow as pa

    from tiecoat.archive.index.cache import Index
    from tiecoat.archive.tables.describe import Described


CODES = "|".join(remark.code for remark in UNREGISTERED)
TOLD_BY = ("remark", "batch", "panel")  # the columns that it takes


@dataclass(frozen=True)
class MeasurementChoice:
    """Which measurements are wanted: those that fit all that is given.

    `file` is the name of their export, in which * stands for any text; `remark` is some of their
    remark. `withdrawn` wants those too that no longer count, or only those of one sort.
    """

    kind: str | None = None
    batch: str | None = None
    panel: str | None = None
    file: str | None = None
    since: str | date | None = None
    until: str | date | None = None
    remark: str | None = None
    withdrawn: bool | Withdrawn = False

    @property
    def is_any(self) -> bool:
        """Whether nothing is said but whether they count."""
        return replace(self, withdrawn=False) == MeasurementChoice()


@dataclass(frozen=True)
class MeasurementsListed:
    """Measurements in the order of kind, batch, panel and time, and how many there are in all."""

    shown: tuple[Described, ...]
    total: int


def listed_in(
    index: Index, wanted: Mapping[str, Any], remark: str | None, limit: int | None
) -> MeasurementsListed:
    """Return the measurements of an index that are wanted, the first so many of them."""
    if remark is None:
        found = index.measurements(**wanted, limit=limit)
        total = len(found) if limit is None else index.count(**wanted)
        return MeasurementsListed(tuple(_as_of_now(index, one) for one in found), total)
    # what the register has answered since is no remark any more
    every = [_as_of_now(index, one) for one in index.measurements(**wanted, remark=remark)]
    left = [one for one in every if remark.casefold() in (one.remark or "").casefold()]
    return MeasurementsListed(tuple(left[:limit]), len(left))


def named_in(index: Index, names: Sequence[str]) -> MeasurementsListed:
    """Return measurements by their ids, those that do not count too.

    Raises
    ------
    UnknownName
        If there is no such measurement.
    """
    found = {name: measurement_in(index, name) for name in names}
    if unknown := [name for name, one in found.items() if one is None]:
        raise UnknownName(
            f"no such measurement: {', '.join(unknown)}; list them with: tiecoat measurements"
        )
    there = tuple(_as_of_now(index, one) for one in found.values() if one)
    return MeasurementsListed(there, len(there))


def _as_of_now(index: Index, one: Described) -> Described:
    """Return a measurement without a remark that the register has answered since."""
    left = without_unregistered(one.remark)
    if left == one.remark or not is_registered(index, one):
        return one
    return replace(one, remark=left)


@dataclass(frozen=True)
class RowsWanted:
    """Rows of a kind: of some batches and panels, some columns; None for all."""

    kind: str
    batches: tuple[str, ...] | None
    panels: tuple[str, ...] | None
    where: str | None
    columns: tuple[str, ...] | None

    @classmethod
    def of(cls, kind: Any, batch: Any, panel: Any, where: Any, columns: Any) -> RowsWanted:
        """Return what was asked for.

        Raises
        ------
        QueryInvalid
            If something is of a wrong type, or columns are none, or named twice.
        """
        return cls(
            kind=text("kind", kind, "impedance").lower(),
            batches=_ids("batch", batch, "RB-014"),
            panels=_ids("panel", panel, "RB-014-3"),
            where=None if where is None else text("where", where, "strength_mpa < 5"),
            columns=None if columns is None else _names("columns", columns),
        )

    @property
    def needed(self) -> list[str] | None:
        """The columns that have to be read; None for all."""
        if self.columns is None or self.where is not None:
            return None
        told = [name for name, ids in (("batch", self.batches), ("panel", self.panels)) if ids]
        told += TOLD_BY if "remark" in self.columns else ()
        return list(dict.fromkeys([*self.columns, *told]))

    def expression(self, since: int | None) -> Any:
        """Return what rows must fulfil, but for the batch; None for nothing.

        Parameters
        ----------
        since
            Microseconds since 1970.
        """
        import pyarrow as pa
        import pyarrow.compute as pc

        terms = []
        if self.panels is not None:
            panels = list(self.panels)
            column = pc.field("panel")
            several = column.isin(pa.array(panels, pa.string()))  # of none too
            terms.append(column == panels[0] if len(panels) == 1 else several)
        if since is not None:
            at = pa.scalar(since, pa.timestamp("us", tz="UTC"))
            terms.append(pc.field("measured_at") >= at)
        return reduce(and_, terms) if terms else None

    def without_rows(self, column: str, found: pa.Table | None) -> list[str]:
        """Return the batches or panels that were named and of which no row was found.

        Parameters
        ----------
        found
            None where nothing was found at all.
        """
        named = self.batches if column == "batch" else self.panels
        if not named or found is None:
            return [*(named or ())]
        there = set(found[column].unique().to_pylist())
        return [name for name in named if name not in there]


def claims(rows: pa.Table) -> bool:
    """Say whether any row claims that something is not in the register."""
    import pyarrow.compute as pc

    if any(name not in rows.column_names for name in TOLD_BY):
        return False
    column = rows["remark"]
    if column.null_count == len(column):
        return False
    return bool(pc.any(pc.match_substring_regex(column, f"({CODES}):")).as_py())


@dataclass(frozen=True)
class Registered:
    """The panels that registers have, and the batches that they have themselves."""

    panels: Collection[str]
    batches: Collection[str]

    @classmethod
    def of(cls, index: Index) -> Registered:
        """Return those that an index knows."""
        return cls(index.registered("panel"), index.registered("batch"))

    def has(self, batch: str, panel: str | None) -> bool:
        """Say whether a register knows the panel, or of wet paint the batch."""
        return panel in self.panels if panel is not None else batch in self.batches


def as_registered(rows: pa.Table, registered: Registered) -> pa.Table:
    """Return rows without what a register has answered since."""
    import pyarrow as pa
    import pyarrow.compute as pc

    from tiecoat.archive.tables.describe import one_array

    remarks = one_array(rows, "remark")
    claim = pc.fill_null(pc.match_substring_regex(remarks, f"({CODES}):"), False)
    claiming = rows.select(TOLD_BY).filter(claim)
    texts, batches, panels = (claiming[name].to_pylist() for name in TOLD_BY)
    left = {text: without_unregistered(text) for text in {*texts}}
    now = [
        left[text] if registered.has(batch, panel) else text
        for text, batch, panel in zip(texts, batches, panels, strict=True)
    ]
    place = rows.schema.get_field_index("remark")
    found = pc.replace_with_mask(remarks, claim, pa.array(now, remarks.type))
    return rows.set_column(place, rows.schema.field(place), found)


def text(what: str, given: Any, example: str) -> str:
    """Return a text that was given.

    Raises
    ------
    QueryInvalid
        If it is something else.
    """
    if isinstance(given, str):
        return given
    raise QueryInvalid(f"{what} must be a text such as {example!r}; found {_shown(given)}")


def text_or_none(what: str, given: Any, example: str) -> str | None:
    """Return a text that was given, or that none was; raises as `text` does."""
    return None if given is None else text(what, given, example)


def truth(what: str, given: Any) -> bool:
    """Return what must be True or False; raises QueryInvalid if it is neither."""
    if not isinstance(given, bool):
        raise QueryInvalid(f"{what} must be True or False; found {given!r}")
    return given


def kept_id(given: str) -> str:
    """Return an id as it is kept, or what is surely not the id of anything."""
    return canonical(given) or given.strip().upper()


def _ids(what: str, given: Any, example: str) -> tuple[str, ...] | None:
    if given is None:
        return None
    every = _texts(what, given, example, single=True)
    return tuple(sorted({kept_id(one) for one in every}))


def _texts(what: str, given: Any, example: str, *, single: bool) -> tuple[str, ...]:
    if single and isinstance(given, str):
        return (given,)
    listed = not isinstance(given, str | bytes | Mapping) and hasattr(given, "__iter__")
    every: Sequence[Any] | Collection[Any] = list(given) if listed else [given]
    if listed and all(isinstance(one, str) for one in every):
        return tuple(every)
    allowed = f"a text such as {example!r}, or a list of them" if single else "a list of texts"
    wrong = next((one for one in every if not isinstance(one, str)), given)
    raise QueryInvalid(f"{what} must be {allowed}; found {_shown(wrong)}")


def _names(what: str, given: Any) -> tuple[str, ...]:
    every = _texts(what, given, "panel", single=False)
    if not every:
        raise QueryInvalid(f"{what} is an empty list; name one at least, or leave it out for all")
    if twice := [name for name in dict.fromkeys(every) if every.count(name) > 1]:
        raise QueryInvalid(f"{what} names {twice[0]!r} twice; name each once")
    return every


def _shown(given: Any) -> str:
    return f"{str(given)[:40]!r} ({type(given).__name__})"
