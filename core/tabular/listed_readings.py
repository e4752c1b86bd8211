"""Readings that are listed in one cell: `36,2; 36,4; 38,8` is three rows with the rest the same."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from tiecoat.dialect.delimited import Cell
from tiecoat.tabular.moments import is_day
from tiecoat.tabular.note_amounts import readings_in
from tiecoat.tabular.seen import Seen


def with_readings_apart(seen: Seen) -> Seen:
    """Return a table with a row for each reading, where every cell of one column lists some."""
    filled = [[cell for cell in column.cells if cell != ""] for column in seen.columns]
    listing = [n for n, cells in enumerate(filled) if cells and all(map(_readings, cells))]
    if len(listing) != 1:
        return seen
    lists = [_readings(cell) or [cell] for cell in seen.columns[listing[0]].cells]
    columns = [
        replace(
            column,
            cells=[value for one in lists for value in one]
            if n == listing[0]
            else _repeated(column.cells, lists),
        )
        for n, column in enumerate(seen.columns)
    ]
    rows = [row for row, one in zip(seen.rows, lists, strict=True) for _ in one]
    return replace(seen, columns=columns, rows=rows)


def _readings(cell: Cell) -> list[Cell] | None:
    """Return the readings that a cell lists; None for one that lists none."""
    if not isinstance(cell, str) or is_day(cell):
        return None
    listed = readings_in(cell, by_blanks=False)
    return [*listed] if listed else None


def _repeated(cells: Sequence[Cell], lists: Sequence[Sequence[Cell]]) -> list[Cell]:
    return [cell for cell, one in zip(cells, lists, strict=True) for _ in one]
