"""Where a table begins and ends, and which of its rows cannot be read."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import chain

from tiecoat.dialect.delimited import Cell, Grid, blank
from tiecoat.dialect.numbers import Evidence, two_readings, weigh
from tiecoat.dialect.titles import Header, Names, Wanted, fits
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
    rows: list[list[Cell]] = field(default_factory=list)
    numbers: list[int] = field(default_factory=list)
    end: int = 0  # grid row after the last one
    passed: int = 0  # grid row up to which a declared end says that nothing belongs to a table
    uneven: bool = False  # rows were left out

    @property
    def row(self) -> int:
        """Row of the header as a person counts it."""
        return self.grid.numbers[self.header.index]

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


def find_blocks(grid: Grid, asked: Wanted, end: str | None, report: Report) -> list[Block]:
    """Return every block whose header shows all needed titles; faults of rows are reported."""
    hits = [header for header in grid.headers if fits(header, asked)]
    blocks: list[Block] = []
    for place, header in enumerate(hits):
        stop = hits[place + 1].index if place + 1 < len(hits) else len(grid.rows)
        block = _begin(grid, header, asked, report)
        declared = _fill(block, stop, end, report)
        block.passed = stop if declared else block.end
        blocks.append(block)
    for names in asked:
        _look_for_lost_column(names, blocks, report)
    return blocks


def _begin(grid: Grid, header: Header, asked: Wanted, report: Report) -> Block:
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
    block = Block(grid, header, columns, list(header.units), end=header.index + 1)
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


def _look_for_lost_column(names: Names, blocks: Sequence[Block], report: Report) -> None:
    """Report titles that may be meant for a column which a table may lack, and seems to lack.

    Such a column would else be left out without a word: one with a unit that is not known, one
    letter wrong, or any other title where the tables beside it have this one.
    """
    having = [block for block in blocks if names.key in block.columns]
    for block in blocks:
        header, taken = block.header, set(block.columns.values())
        if names.key in block.columns or names.needed:
            continue
        row = block.row
        if (column := header.nearly(names, taken)) is not None:
            title = header.titles[column]
            if (unit := header.odd_unit(column, names)) is not None:
                found = f"the unit '{unit}' in the title '{title}'"
                expected = f"{names.words} with nothing beside it but a unit that fits"
                report(Reason.UNKNOWN_UNIT, row, found, expected)
            else:
                found, expected = f"the title '{title}'", f"{names.words}, or a title less like it"
                report(Reason.MISSING_COLUMN, row, found, expected)
            continue
        twin = next((each for each in having if _but_for_one(each, header, names)), None)
        if twin is not None:
            column = twin.columns[names.key]
            report(
                Reason.MISSING_COLUMN,
                row,
                f"the title '{header.titles[column]}'",
                f"'{twin.header.titles[column]}' as in row {twin.row}, whose other titles agree",
            )


def _but_for_one(twin: Block, header: Header, names: Names) -> bool:
    """Tell whether two headers differ in nothing but the title of this column."""
    column = twin.columns[names.key]
    theirs, own = list(twin.header.titles), list(header.titles)
    if twin.header.width != header.width or column >= len(own):
        return False
    del theirs[column], own[column]
    return theirs == own
