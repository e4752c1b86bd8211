"""Rows that look like results and stand outside every table that was read.

A block whose titles are damaged is no table to anybody: without this its rows would be left out,
and the rest of the file taken for the whole. Free lines (a name and a value) are no results, nor is
a summary (mean, standard deviation).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from tiecoat.dialect.blocks import Block
from tiecoat.dialect.delimited import Cell, Grid, blank, numberlike
from tiecoat.dialect.numbers import EMPTY_WORDS
from tiecoat.dialect.titles import Header, cut_unit, fits, fold, wanted
from tiecoat.dialect.units import plain_unit
from tiecoat.reasons import Reason

_PLAIN = re.compile(r"[-+−–<>~ ]*\d*[.,]?\d[\d.,]*(?:[eEdD][-+−]?\d+)?\s*%?")  # no date, no time
_LAST_ROWS = 3  # of each table: what its rows look like
_TITLES_SHOWN = 8
# How instruments begin the rows of a summary: what it sums up is read.
_SUMMARY_WORDS = """
mean, average, avg, median, mode, min, minimum, max, maximum, range, sum, total, n, count, number,
sd, s, std, std dev, stdev, standard deviation, variance, cv, cov, coefficient of variation, rsd,
mittelwert, mittel, mw, standardabweichung, stabw, varianz, variationskoeffizient, spannweite,
summe, anzahl, kleinster wert, größter wert
"""
_SUMMARY = frozenset(fold(word) for word in _SUMMARY_WORDS.split(","))
_TABLE_FROM = 3  # cells; less may be a name and a value, with a unit beside it

Shape = tuple[str, ...]


def ignored_rows(grid: Grid, ignore: Sequence[Sequence[str]]) -> set[int]:
    """Return the grid rows of the tables that are passed over on purpose, by their titles."""
    found: set[int] = set()
    for titles in ignore:
        asked = wanted({title: (title,) for title in titles})
        for header in grid.headers:
            index = header.index
            while fits(header, asked) and index < len(grid.rows) and not blank(grid.rows[index]):
                found.add(index)
                index += 1
    return found


def unread(
    grid: Grid, own: Sequence[Block], blocks: Sequence[Block], ignored: set[int]
) -> Iterator[tuple[Reason, int, str, str]]:
    """Say of each run of rows outside all tables where it begins, what it is, what was expected.

    A last row that shows half of the titles of a table is told too: the file was cut off there.

    Parameters
    ----------
    grid
        A text or a sheet.
    own
        The tables that were read in it.
    blocks
        All tables that were read in the file.
    ignored
        Grid rows that are passed over on purpose.
    """
    if not blocks:
        return
    taken = bytearray(len(grid.rows))
    for block in own:
        taken[block.header.index : block.passed] = b"\1" * (block.passed - block.header.index)
    for index in ignored:
        taken[index] = 1
    each = list({tuple(block.header.titles): block for block in reversed(blocks)}.values())
    search = _Search(grid, blocks, taken)
    found = search.rows()
    starts = [index for index in found if index - 1 not in found]
    for start in sorted(starts):
        run = [start]
        while run[-1] + 1 in found:
            run.append(run[-1] + 1)
        yield Reason.UNREAD_ROWS, *_told(grid, run, found[start], each)
    if (cut := search.cut()) is not None:
        row = grid.numbers[cut.index]
        yield Reason.CUT_OFF, row, f"the titles {_shown(cut)}", "all titles, and rows below them"


class _Search:
    """Looks for rows of results among the rows that are not taken."""

    def __init__(self, grid: Grid, blocks: Sequence[Block], taken: bytearray) -> None:
        self._grid = grid
        self._taken = taken
        self._headers = {header.index: header for header in grid.headers}
        self._shapes = {_shape(row) for block in blocks for row in block.rows[-_LAST_ROWS:]}
        self._read = list({tuple(block.header.titles): block.header for block in blocks}.values())

    def rows(self) -> dict[int, Header | None]:
        """Return the index of each such row, and the row above it that may hold its titles."""
        found: dict[int, Header | None] = {}
        perhaps: dict[int, Header | None] = {}  # if the row before or behind is like it
        above: Header | None = None
        damaged = False  # below titles that are nearly those of a table
        behind = False  # a table, with nothing but blank rows or results between
        for index, row in enumerate(self._grid.rows):
            if self._taken[index]:
                above, damaged, behind = None, False, True
            elif blank(row):
                above, damaged = None, False
            elif not damaged and _summary(row):
                continue
            elif self._results(row, above, damaged, behind):
                found[index] = above
            elif index in self._headers and not (above and _units(row)):
                above = self._headers[index]
                damaged = self._damaged(above)
                behind = behind and above.width < 2
            elif _several_numbers(row):
                perhaps[index] = above
        near = found.keys() | perhaps.keys()
        found |= {n: titles for n, titles in perhaps.items() if n - 1 in near or n + 1 in near}
        return found

    def cut(self) -> Header | None:
        """Return the last row if it shows titles of a table, and not all of them, else None."""
        last = self._headers.get(self._grid.last)
        if last is None or self._taken[last.index] or self._shared(last) < 2:
            return None
        return last

    def _results(
        self, row: Sequence[Cell], above: Header | None, damaged: bool, behind: bool
    ) -> bool:
        if damaged and above and above.width >= _TABLE_FROM and not _units(row):
            return True
        filled = [cell for cell in row if cell != ""]
        if not any(map(numberlike, filled)):
            return False
        if _free_line(filled):  # results only where such are expected
            return (damaged or behind) and self._alike(row)
        return self._alike(row) or _like_a_table(row, filled, above)

    def _alike(self, row: Sequence[Cell]) -> bool:
        """Tell whether a row looks like one of a table, but for a few cells left empty."""
        shape = _shape(row)
        for other in self._shapes:
            if len(shape) == len(other):
                pairs = [pair for pair in zip(shape, other, strict=True) if pair[0] != pair[1]]
                if 2 * len(pairs) < len(shape) and all("" in pair for pair in pairs):
                    return True
        return False

    def _damaged(self, header: Header) -> bool:
        """Tell whether a row shows titles of a table: of two titles one is enough, else two."""
        return self._shared(header) > (0 if _filled(header) == 2 else 1)

    def _shared(self, header: Header) -> int:
        """Return how many titles a row shares with a table; 0 if less than half of the table's."""
        shown = _names(header)
        shared = ((len(names & shown), len(names)) for names in map(_names, self._read))
        return max((count for count, of in shared if 2 * count >= of), default=0)


def _told(
    grid: Grid, run: Sequence[int], above: Header | None, blocks: Sequence[Block]
) -> tuple[int, str, str]:
    """Say what stands in a run of rows, and which titles would have made a table of it."""
    first, last = grid.numbers[run[0]], grid.numbers[run[-1]]
    rows = "a row" if len(run) == 1 else f"{len(run)} rows, up to row {last},"
    found = f"{rows} like results"
    if above is not None:
        found += f", under the titles {_shown(above)} in row {grid.numbers[above.index]}"
    names = _names(above) if above else frozenset()
    nearest = max(blocks, key=lambda block: len(_names(block.header) & names))
    sheet = "" if nearest.grid is grid else f" of sheet {nearest.grid.sheet!r}"
    expected = f"no such rows, or titles above them as in row {nearest.row}{sheet}"
    return first, found, f"{expected}: {_shown(nearest.header)}"


def _shape(row: Sequence[Cell]) -> Shape:
    return tuple(("number" if numberlike(cell) else "text") if _says(cell) else "" for cell in row)


def _says(cell: Cell) -> bool:
    return not isinstance(cell, str) or cell.casefold() not in EMPTY_WORDS


def _plain(cell: Cell) -> bool:
    """Tell whether a cell is a number and no date or time."""
    if isinstance(cell, str):
        return cell.count(".") < 2 and _PLAIN.fullmatch(cell) is not None
    return isinstance(cell, float)


def _like_a_table(row: Sequence[Cell], filled: Sequence[Cell], above: Header | None) -> bool:
    """Tell whether a row with a number in it is one of a table that nobody asked for."""
    numbers = sum(map(numberlike, filled))
    if numberlike(filled[0]):
        return numbers > 1 and any(map(_plain, filled))
    if above is None or abs(len(row) - len(above.titles)) > 1 or _filled(above) < _TABLE_FROM:
        return False
    if len(filled) > _TABLE_FROM:
        return True
    return len(filled) == _TABLE_FROM and numbers > 1 and not any(map(numberlike, above.titles))


def _free_line(filled: Sequence[Cell]) -> bool:
    """Tell whether a row may be a name and a value, and perhaps a unit."""
    first, *others = filled
    if numberlike(first):
        return False
    return len(others) < 2 or (
        len(others) == 2 and isinstance(others[1], str) and plain_unit(others[1]) is not None
    )


def _summary(row: Sequence[Cell]) -> bool:
    first = next((cell for cell in row if cell != ""), None)
    return isinstance(first, str) and fold(cut_unit(first)[0]) in _SUMMARY


def _several_numbers(row: Sequence[Cell]) -> bool:
    """Tell whether a row is more than a name with the least and the greatest of its values."""
    filled = [cell for cell in row if cell != ""]
    return (
        len(filled) > _TABLE_FROM and sum(map(numberlike, filled)) > 1 and any(map(_plain, filled))
    )


def _units(row: Sequence[Cell]) -> bool:
    return all(isinstance(cell, str) and plain_unit(cell) is not None for cell in row)


def _filled(header: Header) -> int:
    return sum(1 for title in header.titles if title)


def _names(header: Header) -> frozenset[str]:
    return frozenset(fold(cut_unit(title)[0]) for title in header.titles if title)


def _shown(header: Header) -> str:
    titles = [title for title in header.titles if title]
    more = ["..."] if len(titles) > _TITLES_SHOWN else []
    return ", ".join([*titles[:_TITLES_SHOWN], *more])
