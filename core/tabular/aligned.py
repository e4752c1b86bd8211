"""Texts whose columns are aligned by blanks: a cell belongs to the column that it stands under.

Rows with gaps, such as that of the units or one without a remark, hold fewer cells than the others;
counted from the left their cells would slip into other columns.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from tiecoat.dialect.delimited import numberlike

_CELL = re.compile(r"[^\s](?:[^\S\n]?\S)*")  # one blank is within a cell
_WORD = re.compile(r"\S+")
_LEAST = 3  # columns that a block of aligned lines has
_NEARER = 2  # times that a cell stands nearer to its column than to the next


@dataclass(frozen=True)
class _Placed:
    start: int
    stop: int
    text: str


_PlacedCells = list[_Placed]
_FromTo = tuple[int, int]  # where a column begins and ends


def aligned(lines: Sequence[str]) -> list[list[str]]:
    """Return the cells of each line, with empty ones where a line has gaps.

    Each paragraph is looked at by itself, with those below it that have fewer cells. Lines stay as
    they are where they do not show columns.
    """
    rows = [_cells(line) for line in lines]
    found = [[cell.text for cell in row] for row in rows]
    for start, stop in _blocks(rows):
        columns = _columns(rows[start:stop])
        by_width = sorted(range(start, stop), key=lambda n: -len(rows[n]))
        top = min((n for n in by_width if len(rows[n]) == len(columns)), default=stop)
        for index in by_width if columns else ():
            titles = index == top - 1 and sum(numberlike(cell.text) for cell in rows[top]) > 1
            if index < top and not titles and _is_line(rows[index], columns):
                continue
            placed = _placed(rows[index], columns)
            if placed is None:
                continue
            found[index] = [cell.text if cell else "" for cell in placed]
            columns = [_wider(span, cell) for span, cell in zip(columns, placed, strict=True)]
    return [row or [""] for row in found]


def _cells(line: str) -> _PlacedCells:
    text = line.rstrip().replace("\u00a0", " ")
    return [_Placed(m.start(), m.end(), m[0]) for m in _CELL.finditer(text)]


def _blocks(rows: Sequence[_PlacedCells]) -> Iterator[tuple[int, int]]:
    """Return paragraphs, each with those that follow it and have fewer cells, such as its means."""
    start: int | None = None
    stop = 0
    for first, after in _paragraphs(rows):
        fewer = start is not None and 1 < _width(rows[first:after]) < _width(rows[start:stop])
        if fewer and all(numberlike(row[-1].text) for row in rows[first:after] if len(row) > 1):
            stop = after
            continue
        if start is not None:
            yield start, stop
        start, stop = first, after
    if start is not None:
        yield start, stop


def _paragraphs(rows: Sequence[_PlacedCells]) -> Iterator[tuple[int, int]]:
    start: int | None = None
    for index, row in enumerate([*rows, []]):
        if row and start is None:
            start = index
        elif not row and start is not None:
            yield start, index
            start = None


def _width(rows: Sequence[_PlacedCells]) -> int:
    return max((len(row) for row in rows), default=0)


def _columns(rows: Sequence[_PlacedCells]) -> list[_FromTo]:
    """Return where the columns are, by the fullest lines; none if these do not agree, or all are full."""
    width = _width(rows)
    full = [row for row in rows if len(row) == width]
    if width < _LEAST or all(len(row) in (0, 1, width) for row in rows):
        lone = [row for row in rows if len(row) == 1 and full and row[0].start > full[0][0].stop]
        if width < _LEAST or not lone:
            return []
    spans = [
        (min(row[n].start for row in full), max(row[n].stop for row in full)) for n in range(width)
    ]
    apart = all(one[1] <= other[0] for one, other in pairwise(spans))
    return spans if apart else []


def _is_line(row: _PlacedCells, columns: Sequence[_FromTo]) -> bool:
    """Tell whether a line above the columns is about them, and no row of titles that groups them."""
    return len(row) < len(columns) and bool(row) and row[0].start < columns[0][1]


def _wider(span: _FromTo, cell: _Placed | None) -> _FromTo:
    return span if cell is None else (min(span[0], cell.start), max(span[1], cell.stop))


def _placed(row: _PlacedCells, columns: Sequence[_FromTo]) -> list[_Placed | None] | None:
    """Return a line of fewer cells in its columns; None if one of them stands under none of its own."""
    if not row or len(row) >= len(columns) or (len(row) == 1 and row[0].start < columns[0][1]):
        return None
    cells: list[_Placed | None] = [None] * len(columns)
    for cell in row:
        under = _under(cell, columns)
        parts = [(under[0], cell)] if len(under) == 1 else _parted(cell, columns)
        for place, part in parts:
            if cells[place] is not None:
                return None
            cells[place] = part
        if not parts:
            return None
    return cells


def _under(cell: _Placed, columns: Sequence[_FromTo]) -> list[int]:
    """Return the columns that a cell stands under; of none, that which it is much nearer to."""
    found = [
        n for n, (start, stop) in enumerate(columns) if cell.start < stop and cell.stop > start
    ]
    if found:
        return found
    away = sorted(
        (max(start - cell.stop, cell.start - stop), n) for n, (start, stop) in enumerate(columns)
    )
    return [away[0][1]] if _NEARER * (away[0][0] + 1) <= away[1][0] + 1 else []


def _parted(cell: _Placed, columns: Sequence[_FromTo]) -> list[tuple[int, _Placed]]:
    """Return a cell that stands under several columns as its words under each; none if they do not."""
    words: dict[int, list[_Placed]] = {}
    for match in _WORD.finditer(cell.text):
        start = cell.start + match.start()
        word = _Placed(start, start + len(match[0]), match[0])
        under = _under(word, columns)
        if len(under) != 1:
            return []
        words.setdefault(under[0], []).append(word)
    return [
        (place, _Placed(of[0].start, of[-1].stop, " ".join(word.text for word in of)))
        for place, of in words.items()
    ]
