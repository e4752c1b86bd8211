"""Titles in two rows where the lower one holds values: spots 1, 2, 3 or 240 h, 480 h below a group.

Such a row looks like data. It is none where it stands below groups that span several columns, leaves
the columns empty (or names them) that no group spans, and the row below it has all of them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tiecoat.dialect.delimited import Cell
from tiecoat.tabular.cell_looks import is_unit

_LEAST = 2  # columns that a group spans


def tells_groups_apart(
    above: Sequence[Cell],
    row: Sequence[Cell],
    below: Sequence[Cell],
    value: Callable[[Cell], bool],
    title: Callable[[Cell], bool],
) -> bool:
    """Tell whether a row holds the titles below the groups of the row above it.

    Parameters
    ----------
    below
        The next row that is not empty.
    value
        Tells whether a cell is a value by its look: a number, a day, an id.
    title
        Tells whether a value may be a title: a whole number, an amount.
    """
    filled = [n for n, cell in enumerate(row) if cell != ""]
    groups = _groups(above, filled)
    if "" not in above[: max(filled, default=0) + 1] and len(above) <= max(filled, default=0):
        return False  # a sentence with commas in a text of commas
    if not groups or not {*filled} <= {n for n, cell in enumerate(below) if cell != ""} | _of(
        groups
    ):
        return False
    spanned = _of(groups)
    lone = [n for n in filled if n not in spanned]
    if any(value(row[n]) and not is_unit(str(row[n])) for n in lone):
        return False  # but the unit of what no group spans may stand there
    free = [n for n, cell in enumerate(above) if cell != "" and n not in spanned]
    leading = [n for n in range(min(spanned)) if _at(below, n) != "" and _at(row, n) == ""]
    stands_out = bool(leading) or any(
        _at(row, n) in ("", above[n]) and _at(below, n) not in ("", above[n]) for n in free
    )  # a title that is merged over both rows may stand in both
    values = [n for n in sorted(spanned) if value(row[n])]
    if not values or not all(title(row[n]) for n in values):
        return False
    if not all(_distinct(row, group) for group in groups):
        return False
    if stands_out and not any(_at(row, n) != "" and value(row[n]) for n in free):
        return True
    texts = [n for n in lone if isinstance(row[n], str)]
    counted = all(_counts(row, group) for group in groups)
    amounts = all(isinstance(row[n], str) and not _plain(row[n]) for n in values)
    return (counted or amounts) and (bool(texts) or not free) and not _like(row, below, spanned)


def _groups(above: Sequence[Cell], filled: Sequence[int]) -> list[list[int]]:
    """Return the columns that each title above spans, of those that span several."""
    starts = [n for n, cell in enumerate(above) if cell != ""]
    groups = []
    for start, stop in zip(starts, [*starts[1:], max(filled, default=0) + 1], strict=True):
        span = [n for n in filled if start <= n < stop]
        if len(span) >= _LEAST and span[0] == start and isinstance(above[start], str):
            groups.append(span)
    return groups


def _of(groups: Sequence[Sequence[int]]) -> set[int]:
    return {n for group in groups for n in group}


def _at(row: Sequence[Cell], place: int) -> Cell:
    return row[place] if place < len(row) else ""


def _distinct(row: Sequence[Cell], group: Sequence[int]) -> bool:
    return len({str(row[n]) for n in group}) == len(group)


def _counts(row: Sequence[Cell], group: Sequence[int]) -> bool:
    """Tell whether a group counts 1, 2, 3, perhaps with texts such as mean behind it."""
    numbers = [n for n in group if _plain(row[n])]
    return len(numbers) >= _LEAST and [float(str(row[n])) for n in numbers] == [
        float(n) for n in range(1, len(numbers) + 1)
    ]


def _plain(cell: Cell) -> bool:
    """Tell whether a cell is a bare whole number."""
    if not isinstance(cell, str):
        return isinstance(cell, float | int) and float(cell).is_integer()
    return cell.isdigit()


def _like(row: Sequence[Cell], below: Sequence[Cell], spanned: set[int]) -> bool:
    """Tell whether the row below holds the same values: then both are data."""
    return all(str(row[n]) == str(_at(below, n)) for n in spanned)
