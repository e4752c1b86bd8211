"""All tables of a text file or a sheet: what one leaves open, the others may tell."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from tiecoat.dialect.blocks import Block
from tiecoat.dialect.delimited import Grid, blank
from tiecoat.dialect.entries import EntryValue, entries
from tiecoat.dialect.numbers import Evidence
from tiecoat.dialect.titles import fold


class Siblings:
    """The blocks of one grid, by whatever titles they were asked for, in the order of the file.

    Free lines count for the table below them. What stands at the top of the file, set apart by an
    empty row from the lines of the first table, counts for every table: but for a name that any
    table has a line of its own for, because its line may be lost above another.
    """

    def __init__(self, grid: Grid) -> None:
        self.grid = grid
        self.blocks: list[Block] = []
        self._headers: list[int] = []
        self._entries: dict[tuple[int, int], dict[str, EntryValue]] = {}
        self._own: dict[str, EntryValue] | None = None
        self._evidence: Evidence | None = None

    def add(self, blocks: Sequence[Block]) -> None:
        """Take further blocks in; of two with the same header the first stays."""
        by_header = {block.header.index: block for block in (*blocks, *self.blocks)}
        self._headers = sorted(by_header)
        self.blocks = [by_header[index] for index in self._headers]
        self._own = self._evidence = None

    @property
    def evidence(self) -> Evidence:
        """What all of them say about the decimal mark."""
        if self._evidence is None:
            found = [block.evidence for block in self.blocks]
            self._evidence = Evidence(
                sum(each.points for each in found), sum(each.commas for each in found)
            )
        return self._evidence

    def above(self, block: Block) -> dict[str, EntryValue]:
        """Return the names and values between the table before and the header of this one."""
        header = block.header.index
        place = bisect_left(self._headers, header)
        return self._between(self.blocks[place - 1].end if place else 0, header)

    @property
    def preamble(self) -> dict[str, EntryValue]:
        """The names and values that stand above the first table and apart from its own lines."""
        return self._between(0, self._first_own)

    @property
    def own(self) -> dict[str, EntryValue]:
        """For each name that some table has a line of its own for, the first such line."""
        if self._own is None:
            self._own = {}
            places = [self._between(self._first_own, self.blocks[0].header.index)]
            for place in [*places, *map(self.above, self.blocks[1:])]:
                self._own = {**place, **self._own}
        return self._own

    def lost(self, names: Sequence[str]) -> EntryValue | None:
        """Return the line by one of these names that stands above another table only, else None."""
        return next((self.own[fold(name)] for name in names if fold(name) in self.own), None)

    @property
    def _first_own(self) -> int:
        """Grid row from which on the free lines belong to the first table alone."""
        rows, header = self.grid.rows, self.blocks[0].header.index
        start = header
        while start and blank(rows[start - 1]):
            start -= 1
        while start and not blank(rows[start - 1]):
            start -= 1
        return start if not all(map(blank, rows[:start])) else 0

    def _between(self, start: int, stop: int) -> dict[str, EntryValue]:
        if (start, stop) not in self._entries:
            self._entries[start, stop] = entries(self.grid, start, stop)
        return self._entries[start, stop]
