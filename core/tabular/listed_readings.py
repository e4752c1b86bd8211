"""Readings that are listed in one cell: `36,2; 36,4; 38,8` is three rows with the rest the same."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TypeVar

from tiecoat.dialect.delimited import Cell
from tiecoat.tabular.moments import is_day
from tiecoat.tabular.note_amounts import readings_in
from tiecoat.tabular.seen import Seen

_T = TypeVar("_T")


def with_readings_apart(seen: Seen) -> Seen:
    """Return a table with a row for each reading, where every cell of some columns lists as many."""
    filled = [[cell for cell in column.cells if cell != ""] for column in seen.columns]
    listing = [n for n, cells in enumerate(filled) if cells and all(map(_readings, cells))]
    apart = {n: [_readings(cell) or [cell] for cell in seen.columns[n].cells] for n in listing}
    counts = [[len(one) for one in lists] for lists in apart.values()]
    if not counts or any(each != counts[0] for each in counts):
        return seen
    columns = [
        replace(
            column,
            cells=[value for one in apart[n] for value in one]
            if n in apart
            else _repeated(column.cells, counts[0]),
        )
        for n, column in enumerate(seen.columns)
    ]
    return replace(seen, columns=columns, rows=_repeated(seen.rows, counts[0]))


def _readings(cell: Cell) -> list[Cell] | None:
    """Return the readings that a cell lists; None for one that lists none."""
    if not isinstance(cell, str) or is_day(cell):
        return None
    listed = readings_in(cell, by_blanks=False)
    return [*listed] if listed else None


def _repeated(each: Sequence[_T], counts: Sequence[int]) -> list[_T]:
    return [one for one, count in zip(each, counts, strict=True) for _ in range(count)]
