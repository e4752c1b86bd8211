"""Where a table begins and ends, and which of its rows cannot be read."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import chain

from tiecoat.dialect.delimited import Cell, Grid, blank, numberlike
from tiecoat.dialect.entries import Entry, entries
from tiecoat.dialect.numbers import Evidence, two_readings, weigh
from tiecoat.dialect.titles import Header, Wanted, fits
from tiecoat.dialect.units import plain_unit
from tiecoat.reasons import Reason

_ENTRY = re.compile(r"[^\W\d][^:=]{0,60}[:=].*", re.DOTALL)

# reason, row, found, expected
Report = Callable[[Reason, int, str, str], None]


@dataclass
class Block:
    """A header row and the rows that belong to it."""

    grid: Grid
    header: Header
    columns: dict[str, int]  # key -> column
    units: list[str | None]  # of every column, from the title or from the unit row
    free: tuple[int, int]  # grid rows of the free lines above the header: from, to
    rows: list[list[Cell]] = field(default_factory=list)
    numbers: list[int] = field(default_factory=list)
    end: int = 0  # grid row after the last one
    uneven: bool = False  # rows were left out

    @property
    def row(self) -> int:
        """Row of the header as a person counts it."""
        return self.grid.numbers[self.header.index]

    @cached_property
    def entries(self) -> dict[str, Entry]:
        """The names and values in the free lines above the header."""
        return entries(self.grid, *self.free)

    @cached_property
    def evidence(self) -> Evidence:
        """What the block says about the decimal mark: the columns asked for, else all of it."""
        asked = sorted(set(self.columns.values()))
        found = self._weigh([row[column] for column in asked for row in self.rows])
        if found.points or found.commas:
            return found
        return self._weigh(list(chain.from_iterable(self.rows)))

    def _weigh(self, cells: list[Cell]) -> Evidence:
        texts = [cell for cell in cells if isinstance(cell, str)]
        found = weigh(texts)
        if self.grid.delimiter != "," or found.commas:
            return found
        # The delimiter itself is no decimal mark, but a quoted 1,250 is open all the same.
        quoted = any("," in text and two_readings(text) for text in texts)
        return found if quoted else Evidence(max(1, found.points), 0)


class Siblings:
    """All blocks of a text file or a sheet: what one leaves open, the others may tell."""

    def __init__(self, blocks: Sequence[Block]) -> None:
        self._blocks = blocks

    @property
    def first_entries(self) -> dict[str, Entry]:
        """The names and values above the first block, which count for all."""
        return self._blocks[0].entries

    @cached_property
    def evidence(self) -> Evidence:
        """What all of them say about the decimal mark."""
        found = [block.evidence for block in self._blocks]
        return Evidence(sum(each.points for each in found), sum(each.commas for each in found))


def find_blocks(grid: Grid, asked: Wanted, end: str | None, report: Report) -> list[Block]:
    """Return every block whose header shows all needed titles; faults of rows are reported."""
    hits = [header for header in grid.headers if fits(header, asked)]
    blocks: list[Block] = []
    above = 0
    for place, header in enumerate(hits):
        stop = hits[place + 1].index if place + 1 < len(hits) else len(grid.rows)
        block = _begin(grid, header, asked, (above, header.index), report)
        declared = _fill(block, stop, end, report)
        if not declared:
            _look_for_lost_rows(block, stop, report)
        above = block.end
        blocks.append(block)
    return blocks


def _begin(
    grid: Grid, header: Header, asked: Wanted, free: tuple[int, int], report: Report
) -> Block:
    columns: dict[str, int] = {}
    for names in asked:
        found = header.columns(names)
        if len(found) > 1:
            shown = " and ".join(f"'{header.titles[column]}'" for column in found)
            report(
                Reason.INCONSISTENT,
                grid.numbers[header.index],
                f"more than one column for {names.words}: {shown}",
                "one such column",
            )
        if found:
            columns[names.key] = found[0]
    block = Block(grid, header, columns, list(header.units), free, end=header.index + 1)
    if block.end < len(grid.rows) and _is_unit_row(grid.rows[block.end], header.width):
        for column, cell in enumerate(grid.rows[block.end][: header.width]):
            said, below = block.units[column], str(cell).strip("[]() ")
            if said is None and cell:
                block.units[column] = below
            elif said is not None and below and plain_unit(said) != plain_unit(below):
                report(
                    Reason.INCONSISTENT,
                    grid.numbers[block.end],
                    f"the unit {below} under the title '{header.titles[column]}'",
                    "one unit for a column",
                )
        block.end += 1
    return block


def _is_unit_row(row: Sequence[Cell], width: int) -> bool:
    """Every cell is empty or a unit, none starts like a number, and one at least says a unit."""
    said = False
    if len(row) < width and any(row):
        return False
    for cell in row:
        if not isinstance(cell, str):
            return False
        if cell:
            if plain_unit(cell) is None:
                return False
            said = said or cell.strip("-–[]() ") != ""
    return said


def _fill(block: Block, stop: int, end: str | None, report: Report) -> bool:
    """Take the rows below the header; True if the row that ends the table was found."""
    grid, width = block.grid, block.header.width
    all_rows, numbers = grid.rows, grid.numbers
    ahead = 0  # up to this row it is known that free lines do not end the table
    for index in range(block.end, stop):
        row = all_rows[index]
        block.end = index
        if end is not None and str(row[0] if row else "").startswith(end):
            return True
        if row[0] == "" and blank(row):
            return False
        uneven = len(row) != width
        if index >= ahead and (uneven or (width > 1 and row[1] == "")) and _is_entry(row):
            ahead = _after_entries(grid, index, stop)
            if ahead == stop or blank(all_rows[ahead]):
                return False
        if uneven and grid.delimiter is not None and not _fits(block, index, report):
            continue
        block.rows.append(row)
        block.numbers.append(numbers[index])
    block.end = stop
    return False


def _fits(block: Block, index: int, report: Report) -> bool:
    """Tell whether a row of another length than the header can be read all the same."""
    grid, width = block.grid, block.header.width
    row = grid.rows[index]
    expected = f"{width} fields as in the header, row {block.row}"
    reason = Reason.UNEVEN_ROW
    if len(row) > width:
        if blank(row[width:]):
            return True
        if grid.delimiter == ",":
            expected += " (a decimal comma needs quotes or another delimiter)"
    elif index == grid.last:
        reason = Reason.CUT_OFF
    found = "1 field" if len(row) == 1 else f"{len(row)} fields"
    report(reason, grid.numbers[index], found, expected)
    block.uneven = True
    return False


def _is_entry(row: Sequence[Cell]) -> bool:
    """Tell whether a row is a free line such as `Name: value` and nothing else."""
    return (
        isinstance(row[0], str)
        and row.count("") >= len(row) - 1
        and _ENTRY.fullmatch(row[0]) is not None
    )


def _after_entries(grid: Grid, index: int, stop: int) -> int:
    while index < stop and _is_entry(grid.rows[index]):
        index += 1
    return index


def _look_for_lost_rows(block: Block, stop: int, report: Report) -> None:
    """Report rows like the table's own that stand after its end under no header."""
    if not block.rows:
        return
    for index in range(block.end, stop):
        row = block.grid.rows[index]
        if any(_alike(row, own) for own in block.rows[-3:]):
            report(
                Reason.UNEVEN_ROW,
                block.grid.numbers[index],
                "a row like those of the table, after an empty row",
                "no gap in the table, or a header row above this row",
            )
            return
        if index in block.grid.titled:
            return


def _alike(row: Sequence[Cell], own: Sequence[Cell]) -> bool:
    """Tell whether a row looks like one of the table's own, but for a few cells left empty."""
    if len(row) != len(own) or not any(numberlike(cell) for cell in row):
        return False
    others = [(a, b) for a, b in zip(row, own, strict=True) if numberlike(a) != numberlike(b)]
    return 2 * len(others) < len(own) and all("" in pair for pair in others)
