"""A table of numbers in a layout that was seen before: it stands where it stood then.

Where the lines above its titles are of the same outline, the titles are the same letter by letter
and nothing but numbers stands below them, no row is looked at for anything else.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from tiecoat.dialect.delimited import (
    DELIMITERS,
    PLAIN,
    Grid,
    PlainNumbers,
    declared_delimiter,
    split,
)
from tiecoat.tabular.cell_looks import cleaned
from tiecoat.tabular.outline import outlines_of
from tiecoat.tabular.seen import Line, Seen, SeenColumn, Sight

IdsWithin = Sequence[re.Pattern[str]]


@dataclass(frozen=True)
class KnownTable:
    """Where the one table of a text stands, which goes on to its end.

    Parameters
    ----------
    delimiter
        What parts the cells.
    above
        The outlines of the lines above the titles.
    free
        Which of these lines are free lines, counted from 1: no rulers, and not empty.
    header_row
        Row of the titles.
    titles
        The lines from the first row of titles to the last before the values, as they stand.
    columns
        The title of each column with its unit and its parts.
    """

    delimiter: str
    above: tuple[str, ...]
    free: tuple[int, ...]
    header_row: int
    titles: tuple[str, ...]
    columns: tuple[tuple[str, str | None, tuple[str, ...]], ...]

    @property
    def start(self) -> int:
        """How many lines stand above the values."""
        return len(self.above) + len(self.titles)

    def stands_in(self, lines: Sequence[str], ids: IdsWithin) -> bool:
        """Tell whether it stands in a text: where nothing else than its numbers is another."""
        first = len(self.above)
        return (
            tuple(lines[first : self.start]) == self.titles
            and outlines_of(lines[:first], ids) == self.above
            and _are_rows_of_numbers(lines[self.start :], self.delimiter, len(self.columns))
        )

    def sight(self, lines: Sequence[str]) -> Sight:
        """Return what is seen in a text in which it stands."""
        grid = split(lines, self.delimiter)
        cells = zip(*grid.rows[self.start :], strict=True)
        columns = [
            SeenColumn(title, unit, PlainNumbers(own), parts)
            for (title, unit, parts), own in zip(self.columns, cells, strict=True)
        ]
        above = [_line(grid, row) for row in self.free]
        rows = [*range(self.start + 1, len(lines) + 1)]
        return Sight(grid, [Seen(grid, columns, self.header_row, above, rows)], [], [])


def known_table(sight: Sight, ids: IdsWithin) -> KnownTable | None:
    """Return where the table of a text stands; None if it is not one of nothing but numbers."""
    grid, lines = sight.grid, sight.grid.whole_lines
    if len(sight.tables) != 1 or sight.below or sight.orphans or sight.records:
        return None
    (seen,) = sight.tables
    if grid.delimiter not in DELIMITERS or declared_delimiter(lines):
        return None
    if seen.grid is not grid or seen.before or seen.short or seen.summaries or not seen.rows:
        return None
    start, free = seen.rows[0] - 1, [line.row for line in seen.above]
    titled = [n for n in range(free[-1] if free else 0, start) if any(grid.rows[n])]
    if not titled or seen.rows != [*range(start + 1, len(lines) + 1)]:
        return None
    first = titled[0]
    if any(any(grid.rows[n]) for n in range(first) if n + 1 not in free):
        return None  # a line above the titles that is nothing
    table = KnownTable(
        grid.delimiter,
        outlines_of(lines[:first], ids),
        tuple(free),
        seen.header_row,
        tuple(lines[first:start]),
        tuple((column.title, column.unit, column.parts) for column in seen.columns),
    )
    return table if table.stands_in(lines, ids) and _are_alike(table.sight(lines), sight) else None


def _are_alike(one: Sight, other: Sight) -> bool:
    """Tell whether two sights show the same table below the same lines."""
    (table,), (before,) = one.tables, other.tables
    columns = [(c.title, c.unit, c.cells, c.parts) for c in table.columns]
    return (table.above, table.rows) == (before.above, before.rows) and columns == [
        (c.title, c.unit, c.cells, c.parts) for c in before.columns
    ]


def _line(grid: Grid, row: int) -> Line:
    return Line(tuple(cell for cell in cleaned(grid.rows[row - 1]) if cell != ""), row)


@cache
def _rows_of_numbers(delimiter: str, width: int) -> re.Pattern[str]:
    number = PLAIN.replace(",", "") if delimiter == "," else PLAIN
    return re.compile(rf"(?:{number}(?:{re.escape(delimiter)}{number}){{{width - 1}}}\n)+")


def _are_rows_of_numbers(lines: Sequence[str], delimiter: str, width: int) -> bool:
    """Tell whether each line is full of plain numbers, not all of them whole: it numbers no columns."""
    if width < 2 or any(line.replace(delimiter, "").isdecimal() for line in lines):
        return False
    rows = "\n".join(lines) + "\n"
    return _rows_of_numbers(delimiter, width).fullmatch(rows) is not None
