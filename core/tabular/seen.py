"""What is seen in a grid of cells: free lines, tables with their titles, and what is no part of any."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

from tiecoat.dialect.delimited import Cell, Grid

Known = Callable[[str], bool]
Allows = Callable[[str, str], bool]


@dataclass(frozen=True)
class Line:
    """A free line: its cells that are not empty, and where it stands."""

    cells: tuple[Cell, ...]
    row: int

    @cached_property
    def text(self) -> str:
        """The line in one piece."""
        return " ".join(str(cell) for cell in self.cells)


@dataclass
class SeenColumn:
    """A column as it is seen: its titles from above down, the unit below them, its cells.

    `parts` are these titles each by itself where several rows of them stand above each other.
    """

    title: str
    unit: str | None
    cells: list[Cell] = field(default_factory=list)
    parts: tuple[str, ...] = ()


@dataclass
class Seen:
    """A table as it is seen.

    Parameters
    ----------
    grid
        Where it stands.
    columns
        Those with a title or a value.
    rows
        For each row of cells the row of the file, counted from 1.
    header_row
        Row of the titles.
    above
        The free lines between the table before and this one.
    before
        The table that this one goes on from, under the same titles.
    short
        Rows that have fewer fields than the titles ask for, or more; with the number of fields.
    summaries
        Rows that sum up others and are passed over.
    """

    grid: Grid
    columns: list[SeenColumn]
    header_row: int
    above: list[Line]
    rows: list[int] = field(default_factory=list)
    before: Seen | None = None
    short: list[tuple[int, int]] = field(default_factory=list)
    summaries: list[int] = field(default_factory=list)

    @property
    def sheet(self) -> str | None:
        """Name of the sheet."""
        return self.grid.sheet


@dataclass
class Sight:
    """All of a grid: its tables, the free lines below the last, rows of numbers without titles.

    `records` is true for a grid of nothing but names with their values.
    """

    grid: Grid
    tables: list[Seen]
    below: list[Line]
    orphans: list[int]
    records: bool = False

    @property
    def lines(self) -> list[Line]:
        """All free lines."""
        return [line for table in self.tables for line in table.above] + self.below


def transposed(grid: Grid) -> Grid:
    """Return a grid with its rows as columns; every row of it counts as the first of the file."""
    width = max((len(row) for row in grid.rows), default=0)
    rows: list[list[Cell]] = [
        [row[n] if n < len(row) else "" for row in grid.rows] for n in range(width)
    ]
    first = grid.numbers[0] if len(grid.numbers) else 1
    return Grid(rows, [first] * len(rows), delimiter=None, sheet=grid.sheet)
