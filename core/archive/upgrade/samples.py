"""Some rows of tables before and after their kind was followed: for a person to judge."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from tiecoat.contract.columns import told_of
from tiecoat.wording import with_unit

if TYPE_CHECKING:
    import pyarrow as pa

SAMPLES = 3  # rows of a kind


def samples(before: pa.Table, after: pa.Table, count: int) -> Iterator[str]:
    """Yield of so many rows what becomes of their values, such as "weight 12.5 g -> 12500 mg".

    Parameters
    ----------
    before, after
        The same rows in the same order. Columns that are gone and new ones stand together.
    """
    old, new = _units(before), _units(after)
    for row in range(min(count, len(before))):
        then, now = _values(before, row, old), _values(after, row, new)
        said = [
            f"{name} {then[name]} -> {now[name]}"
            for name in old
            if name in new and then[name] != now[name]
        ]
        gone = ", ".join(f"{name} {value}" for name, value in then.items() if name not in new)
        added = ", ".join(
            f"{name} {value}"
            for name, value in now.items()
            if name not in old and value != with_unit(None, "")
        )
        if gone or added:
            said.append(f"{gone or 'nothing'} -> {added or 'nothing'}")
        place = (before[name][row].as_py() for name in ("source_name", "source_row"))
        yield "{}, row {}: {}".format(*place, "; ".join(said) or "no value changes")


def _units(rows: pa.Table) -> dict[str, str]:
    """Return the columns of the kind's own with their units."""
    every = ((field.name, told_of(field)) for field in rows.schema)
    return {name: said.unit for name, said in every if said.role == "value"}


def _values(rows: pa.Table, row: int, units: dict[str, str]) -> dict[str, str]:
    return {name: with_unit(rows[name][row].as_py(), unit) for name, unit in units.items()}
