"""A kind of measurement, and how its columns are declared."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal

from tiecoat.contract.vocabulary import Caution, Custom, Notation, Relation, Source, Spread
from tiecoat.reasons import Fault

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class Kind:
    """A kind of measurement: its columns with units and bounds, and what tells two apart.

    Parameters
    ----------
    name
        Lower case with underscores; the folder of its tables.
    model
        pandera DataFrameModel. Each column is declared by `column(...)` and annotated `float`,
        `int`, `bool`, `str` or `Annotated[pd.DatetimeTZDtype, "us", "UTC"]`; its docstring is the
        meaning of the kind. A column that an export may leave empty, because it is not needed or
        because `derive` completes it, is `nullable=True`. In frames, whole numbers are `Int64` and
        truths `boolean`; the arrays of `check`, `together` and `odd` have whole numbers as floats,
        and None for a truth that is not there.
    per
        What it belongs to: `panel` (needs panel and batch) or `batch` (wet paint: panel is null).
    identity
        Columns that, with batch, panel and time, tell one determination from another. The same
        determination with other values is a conflict. Each has one value in a measurement.
    repeats
        Those of the identity that only tell repeats of one determination apart, such as the field
        of view: counts on these are added up, with their areas. What differs in any other of them,
        such as the pressure, is compared apart. `counted` is one of them without being named.
    unique
        Columns in whose values no two rows of one measurement may agree. Rows that lack one of
        these numbers are not compared.
    order
        Columns by which the rows of one measurement are sorted (ascending).
    derive
        Completes a frame before it is validated, row by row, such as the strength from the force:
        gets and returns a frame of the kind's columns with as many rows, which may come from
        several measurements; reports contradictions by raising `FileHeld` with all faults, whose
        `row` is the position in the frame counted from 0.
    replaces
        True for registers: a later row for the same identity replaces the earlier, which stays on
        record as superseded. Of a kind that is per panel it also says which batch a panel belongs
        to, and only one. False: another value is a conflict.
    version
        Rises whenever columns, units or meanings change.
    migrate
        Takes rows along that were filed by an earlier version, where a column is renamed, or has
        another unit, type or meaning: gets a frame of the columns that the kind had then, and that
        version, and returns one of the columns of today with the same rows in the same order. A
        column that may be empty may be left out. What it returns is checked as rows that arrive
        are. Where columns are only added that may be empty, rows need no help. Without it the
        tables stay as they are, and nothing of the kind is filed any more. See
        `tiecoat upgrade --show`.
    sources
        What exports show in place of columns.
    relations
        What holds between columns and sources.
    spreads
        Titles of wide layouts.
    counted
        The identity column that numbers determinations in the order of the file where the export
        does not.
    counted_where
        A column and those of its words of which several determinations are ordinary, such as the
        creep along a scribe: of others nothing is numbered, and a second value is a conflict.
    beside
        Words of columns that may stand beside and are passed over on purpose, written as for
        `column`.
    shown_by
        Columns of which a table must show one to be of this kind. Empty: those that a row cannot
        do without and that tell no two determinations apart.
    timed
        True if a row cannot do without the time of its determination.
    check
        What must hold within one measurement: gets its columns as arrays (texts as objects), after
        `derive`, and returns faults whose `row` is the position counted from 0.
    together
        What must hold between the measurements of one file: gets the columns of all of them as
        `check` does, and for each row `batch` and `panel` (a text or None), `measured_at`
        (datetime64 in UTC, NaT where it is not said) and `row` of the original; returns faults
        likewise.
    odd
        What is possible between the rows of one table, but seldom right: gets their columns as
        `check` does, and `batch` and `panel`; returns positions and words, each filed as a remark.
    defaults
        Column and what it is taken for where an export says nothing of it, such as ("coat",
        "system"); a cell that is empty where others are filled was forgotten.
    customs
        What a column of closed words is taken for, with a remark, where no text of an export has
        any of its words; and which column of numbers may be missing as a whole, with a remark.
    cautions
        What an export may name beside its values that makes them mean something else.
    notations
        By what look cells are of one of the columns: no such column is passed over without a word.
    shared
        True where one row may be of several batches at once, such as what was read off a chamber:
        a cell that lists them is filed under each.
    """

    name: str
    model: type[Any]
    per: Literal["batch", "panel"]
    identity: tuple[str, ...] = ()
    repeats: tuple[str, ...] = ()
    unique: tuple[str, ...] = ()
    order: tuple[str, ...] = ()
    derive: Callable[[pd.DataFrame], pd.DataFrame] | None = field(default=None, repr=False)
    replaces: bool = False
    version: int = 1
    migrate: Callable[[pd.DataFrame, int], pd.DataFrame] | None = field(default=None, repr=False)
    sources: tuple[Source, ...] = ()
    relations: tuple[Relation, ...] = ()
    spreads: tuple[Spread, ...] = field(default=(), repr=False)
    counted: str | None = None
    counted_where: tuple[str, tuple[str, ...]] | None = None
    beside: str = field(default="", repr=False)
    shown_by: tuple[str, ...] = ()
    timed: bool = False
    check: Callable[[Mapping[str, Any]], Iterable[Fault]] | None = field(default=None, repr=False)
    together: Callable[[Mapping[str, Any]], Iterable[Fault]] | None = field(
        default=None, repr=False
    )
    odd: Callable[[Mapping[str, Any]], Iterable[tuple[int, str]]] | None = field(
        default=None, repr=False
    )
    defaults: tuple[tuple[str, str | float], ...] = ()
    customs: tuple[Custom, ...] = ()
    cautions: tuple[Caution, ...] = ()
    notations: tuple[Notation, ...] = field(default=(), repr=False)
    shared: bool = False


def column(
    unit: str,
    meaning: str,
    *,
    words: str = "",
    values: str = "",
    customary: bool | tuple[float, float] = False,
    **rules: Any,
) -> Any:
    """Declare a column of a kind's model.

    Parameters
    ----------
    unit
        Unit of the archived values as pint writes it ("ohm", "g/cm**3", "" for a plain number,
        text or time). It goes into the Parquet field metadata.
    meaning
        What the value is, for the chemist; into the metadata too.
    words
        What the trade calls this column, in all its languages: words parted by commas or line
        ends. A line may begin with the tag of a language ("de:"), which is there for people. A word
        may hold blanks; "#" stands for a whole number. Titles are compared without case, accents,
        blanks, punctuation, brackets with units, a leading sign and a "log" in front, so that words
        need no variants of these; primes and bars count (Z', Z'', |Z|).
        A word that says the unit has it in square brackets: hours [h], Tage [day].
    values
        For a column of closed words, what else each is called: "dry = trocken, sec; wet = nass".
        The allowed value stands before the equals sign; lines may have tags of languages too.
    customary
        Whether the unit may be assumed where the whole file mentions no other of its dimension; or
        between what all values must lie for that.
    **rules
        Bounds and other rules of `pandera.Field`: gt, ge, lt, le, isin, nullable, ...
    """
    import pandera.pandas as pa

    said: dict[str, object] = {"unit": unit, "meaning": meaning}
    said |= {"words": words, "values": values, "customary": customary}
    return pa.Field(metadata=said, description=meaning, **rules)
