"""A kind of measurement, and how its columns are declared."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal

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
        `str` or `Annotated[pd.DatetimeTZDtype, "us", "UTC"]`; its docstring is the meaning of the
        kind. A column that an export may leave empty, because it is not needed or because
        `derive` completes it, is `nullable=True`.
    per
        What it belongs to: `panel` (needs panel and batch) or `batch` (wet paint: panel is null).
    identity
        Columns that, with batch, panel and time, tell one determination from another. The same
        determination with other values is a conflict. Each has one value in a measurement.
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
        Rises whenever columns, units or meaning change.
    """

    name: str
    model: type[Any]
    per: Literal["batch", "panel"]
    identity: tuple[str, ...] = ()
    unique: tuple[str, ...] = ()
    order: tuple[str, ...] = ()
    derive: Callable[[pd.DataFrame], pd.DataFrame] | None = field(default=None, repr=False)
    replaces: bool = False
    version: int = 1


def column(unit: str, meaning: str, **rules: Any) -> Any:
    """Declare a column of a kind's model.

    Parameters
    ----------
    unit
        Unit of the archived values as pint writes it ("ohm", "g/cm**3", "" for a plain number,
        text or time). It goes into the Parquet field metadata.
    meaning
        What the value is, for the chemist; into the metadata too.
    **rules
        Bounds and other rules of `pandera.Field`: gt, ge, lt, le, isin, nullable, ...
    """
    import pandera.pandas as pa

    return pa.Field(metadata={"unit": unit, "meaning": meaning}, description=meaning, **rules)
