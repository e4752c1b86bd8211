"""Tables that do not stand upright: titles in the first column, and records of a name and a value.

Both are told by the look of their rows alone; which of the ways to see a grid is the better one,
the words of the trade decide.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tiecoat.dialect.delimited import Cell, Grid, numberlike
from tiecoat.tabular.cell_looks import cleaned, is_ruler, is_unit, valuelike
from tiecoat.tabular.facts import is_notation
from tiecoat.tabular.moments import is_clock, is_day
from tiecoat.tabular.note_amounts import counts_determinations, readings_in
from tiecoat.tabular.seen import Allows, Known, Line, Sight, transposed
from tiecoat.tabular.sight import look
from tiecoat.tabular.title_parts import parted

_PAIR = 2
_ROWS_OF_TITLES = 80  # that a table whose titles stand in the first column may have
_NAMED = 0.5  # share of its first cells that must be words of the trade
_ENDS = ":=. "
_WORD_FROM = 5  # letters that a title must begin with to be told by them
_NUMBER = re.compile(r"[\s.#]*\d{1,2}$")
_READINGS_AND = re.compile(r"[^:=]*?(?:\s{2,}\d[\d.,]*){2}")  # K7-1  46.5  46.4  M=46.5
_JOINED = re.compile(r"[;|\t]|\S\s{2,}\S|^\W*\d")  # a row of cells that another delimiter parts


@dataclass(frozen=True)
class _AsideBlock:
    """Rows of a grid, from `start` to before `stop`, of which the first cells are titles."""

    start: int
    stop: int


def seen_aside(grid: Grid, known: Known, summary: Known, identity: Known) -> Sight | None:
    """Return what a person sees in a grid whose tables lie on their side; None if none does."""
    rows = [cleaned(row) for row in grid.rows]
    if len(rows) > _ROWS_OF_TITLES:
        return None
    titled = _in_one_column(_from_the_titles(rows))
    of_trade: Known = lambda name: known(name) and not summary(name)  # noqa: E731
    blocks = list(_blocks(titled, of_trade, summary, identity))
    if not blocks:
        return None
    whole = Sight(grid, [], [], [])
    waiting: list[Line] = []
    place = 0
    for block in blocks:
        waiting += _lines(rows, grid, place, block.stop, block.start)
        turned = look(_turned(titled, grid, block), known, summary, identity)
        if len(turned.tables) != 1 or turned.orphans or turned.below:
            return None
        table = turned.tables[0]
        table.header_row = grid.numbers[block.start]
        table.above[:0] = waiting
        whole.tables.append(table)
        waiting, place = [], block.stop
    whole.below.extend(_lines(rows, grid, place, len(rows), len(rows)))
    return whole


def _from_the_titles(rows: Sequence[list[Cell]]) -> list[list[Cell]]:
    """Return rows from the column on in which those with several cells begin: mostly the first."""
    filled = [[n for n, cell in enumerate(row) if cell != ""] for row in rows]
    lead = min((places[0] for places in filled if len(places) > 2), default=0)
    pairs = zip(rows, filled, strict=True)
    return [row[lead:] if places and places[0] >= lead else [] for row, places in pairs]


def _in_one_column(rows: Sequence[list[Cell]]) -> list[list[Cell]]:
    """Return rows whose titles stand in two columns with these in one: 20° before its readings 1, 2, 3.

    What spans several of the second stands in the first of their rows alone.
    """
    spanned = [n for n, row in enumerate(rows) if len(row) > _PAIR and _is_word(row[1])]
    below = [n for n in spanned if rows[n][0] == ""]
    first = next((n for n in spanned if rows[n][0] != ""), len(rows))
    below = [n for n in below if n > first]
    alone = [row for row in rows if len(row) > 1 and row[1] == "" and any(c != "" for c in row[2:])]
    if len(below) < _PAIR or not all(_amount_like(rows[n]) for n in spanned) or not alone:
        return [*rows]
    joined: list[list[Cell]] = []
    group = ""
    for n, row in enumerate(rows):
        if n in spanned:
            group = str(row[0]) or group
            joined.append([f"{group} {row[1]}".strip(), *row[2:]])
        else:
            group = ""
            joined.append([*row[:1], *row[2:]] if len(row) > 1 and row[1] == "" else [*row])
    return joined


def _is_word(cell: Cell) -> bool:
    return isinstance(cell, str) and cell != "" and not valuelike(cell)


def _amount_like(row: Sequence[Cell]) -> bool:
    """Tell whether a row holds values behind its titles, one at least."""
    values = [cell for cell in row[2:] if cell != ""]
    return bool(values) and all(map(valuelike, values))


def _lines(
    rows: Sequence[Sequence[Cell]], grid: Grid, start: int, stop: int, until: int
) -> list[Line]:
    """Return the free lines between two tables."""
    found = []
    for index in range(start, min(stop, until)):
        filled = [cell for cell in rows[index] if cell != ""]
        if filled and not is_ruler(filled):
            found.append(Line(tuple(filled), grid.numbers[index]))
    return found


def _turned(rows: Sequence[Sequence[Cell]], grid: Grid, block: _AsideBlock) -> Grid:
    """Return the rows of a block as columns; each counts as the row where the block begins."""
    part = [list(row) for row in rows[block.start : block.stop] if any(cell != "" for cell in row)]
    numbers = [grid.numbers[block.start]] * len(part)
    return transposed(Grid(part, numbers, delimiter=None, sheet=grid.sheet))


def _blocks(
    rows: Sequence[list[Cell]], known: Known, summary: Known, identity: Known
) -> Iterator[_AsideBlock]:
    """Return runs of rows that are equally wide and begin with a title, words of the trade mostly.

    Of those that are none, what has a unit is a title too.
    """
    start = 0
    while start < len(rows):
        if not _lying(rows[start]):
            start += 1
            continue
        stop, width = start + 1, _width(rows[start])
        before = {str(rows[start][0])}
        while stop < len(rows) and _goes_on(rows[stop], width, before):
            before.add(str(rows[stop][0]))
            stop += 1
        written = [_across(str(row[0]).strip(_ENDS), known) for row in rows[start:stop]]
        named = any(identity(str(cell)) for row in rows[start:stop] for cell in row[1:])
        names = written if named else _told_apart(written)
        for row, name in zip(rows[start:stop], names, strict=True):
            row[0] = name
        values = sum(1 for row in rows[start:stop] if _values(row, identity))
        spoken = [name for name in written if _says(name, known)]
        told = sum(1 for name in written if name in spoken or _in_unit(name))
        if (
            len(set(names)) == len(names) > 1 < len(spoken)
            and values
            and told > _NAMED * len(names)
        ):
            headed = start > 0 and _heads(rows[start - 1], width, identity, summary)
            yield _AsideBlock(start - headed, stop)
        start = stop


def _goes_on(row: Sequence[Cell], width: int, names: set[str]) -> bool:
    """Tell whether a row lies below others that are as wide; it may end before them, or lack cells.

    A lone cell beside the title is the value of an entry, a title once more begins another block.
    """
    filled = [n for n, cell in enumerate(row) if cell != ""]
    if not filled or filled[-1] > width or filled[0] or not isinstance(row[0], str):
        return False
    if filled[-1] == width and _lying(row):
        return True
    return row[0] not in names and not valuelike(row[0]) and (_lying(row) or filled[1:] > [1])


def _across(name: str, known: Known) -> str:
    """Return what a corner says of the columns beside it: the hours of `property \\ hours`."""
    below, found, across = name.partition("\\")
    return across.strip() if found and known(below.strip()) and known(across.strip()) else name


def _told_apart(names: Sequence[str]) -> list[str]:
    """Number names of which each comes again in turn: MPa, Bruch, MPa, Bruch; a unit behind its number."""
    own = list(dict.fromkeys(names))
    count, left = divmod(len(names), len(own))
    if count < 2 or left or own * count != [*names] or len(own) < 2:
        return [*names]
    numbers = [n for n in range(1, count + 1) for _ in own]
    return [
        f"value {number} ({name})" if is_unit(name) else f"{name} {number}"
        for name, number in zip(names, numbers, strict=True)
    ]


def _says(name: str, known: Known) -> bool:
    """Tell whether a name is a word of the trade, also before a number or more: `Rottura 2`, `Dichte frisch`."""
    if counts_determinations(parted(name).name):  # 1st go (kg/L)
        return True
    group, _, own = name.partition(" ")
    if own and valuelike(group) and not known(name):  # 20° reading 1
        return _says(own, known)
    words = parted(name).name.split()
    begins = (" ".join(words[:count]) for count in range(1, len(words)))
    return not valuelike(name) and (
        known(name)
        or known(_NUMBER.sub("", name))
        or any(len(begin) >= _WORD_FROM and known(begin) for begin in begins)
    )


def _in_unit(name: str) -> bool:
    unit = parted(name).unit
    return unit is not None and is_unit(unit)


def _heads(row: Sequence[Cell], width: int, identity: Known, summary: Known) -> bool:
    """Tell whether a row without a title holds the days of the columns below it, or whose they are.

    Or which determination each is: `Test 1`, `Test 2`, `Mean`.
    """
    filled = [n for n, cell in enumerate(row) if cell != ""]
    cells = [row[n] for n in filled]
    texts = [*map(str, cells)]
    counted = [text for text in texts if counts_determinations(text)]
    return (
        len(filled) > 1
        and filled == list(range(1, width + 1))
        and (
            all(map(is_day, cells))
            or all(map(identity, texts))
            or (len(counted) > 1 and all(text in counted or summary(text) for text in texts))
        )
    )


def _lying(row: Sequence[Cell]) -> bool:
    """Tell whether a row may be a column that lies: a title and at least two cells more."""
    filled = [cell for cell in row if cell != ""]
    if len(filled) < 3 or not isinstance(row[0], str) or row[0] == "" or valuelike(row[0]):
        return False
    amount = len(filled) in (3, 6) and all(map(_is_amount, (filled[:3], filled[3:])))
    return not amount


def _is_amount(cells: Sequence[Cell]) -> bool:
    """Tell whether cells are a name, its value and the unit of it; so are none."""
    named = not cells or (isinstance(cells[0], str) and not valuelike(cells[0]))
    return named and (not cells or (valuelike(cells[1]) and _says_unit(cells[2])))


def _says_unit(cell: Cell) -> bool:
    return isinstance(cell, str) and is_unit(cell) and any(c.isalpha() or c in '"%°' for c in cell)


def _width(row: Sequence[Cell]) -> int:
    return max(n for n, cell in enumerate(row) if cell != "")


def _values(row: Sequence[Cell], identity: Known) -> bool:
    cells = [cell for cell in row[1:] if cell != ""]
    values = sum(1 for cell in cells if valuelike(cell) or identity(str(cell)))
    return values >= len(cells) - 1


def seen_as_records(grid: Grid, known: Known, identity: Known, allows: Allows) -> Sight | None:
    """Return a grid that holds nothing but names with a value beside each; None if it holds more.

    A lone text is a heading or an end mark; at least two of the names must be of the trade.
    """
    lines: list[Line] = []
    names: list[str] = []
    said = 0
    last: str | None = None
    for index, row in enumerate(grid.rows):
        filled = [cell for cell in cleaned(row) if cell != ""]
        if not filled or is_ruler(filled):
            continue
        if lines and _is_table(lines[-1].cells, filled, known, identity, allows):
            return None
        filled = _joined(_dated(filled), _line(grid, index))
        name = _name(filled)
        if name is None and (len(filled) > 1 or _JOINED.search(str(filled[0]))):
            return None
        if name is not None and name == last:
            return None  # a column of words that come again
        last = name
        if name is not None:
            said += 1
            names += [name] if known(name) else []
        lines.append(Line(tuple(filled), grid.numbers[index]))
    enough = len(set(names)) > 1 and len(names) > _NAMED * said and len(lines) - said <= said
    return Sight(grid, [], lines, [], records=True) if enough else None


def _is_table(
    above: Sequence[Cell], below: Sequence[Cell], known: Known, identity: Known, allows: Allows
) -> bool:
    """Tell whether a line is of titles and the next a row of values: of words, ids, ratings."""
    titles = [cell for cell in above if isinstance(cell, str) and known(cell)]
    rated = any(isinstance(cell, str) and is_notation(cell) for cell in below)
    if titles and rated and len(above) == len(below) > 1 and not known(str(below[0])):
        return True  # a rating stands beside another, and not beside a name
    if len(titles) < len(above) or not titles or len(below) > len(above):
        return False
    texts = [str(cell) for cell in below]
    if (
        len(above) == len(below) == 2
        and _is_pair(above)
        and _is_pair(below)
        and not identity(texts[0])
    ):
        return False  # Result No. 1 over Sinker vol. 10 ccm
    if any(allows(title, text) for title, text in zip(titles, texts, strict=False)):
        return len(above) > 1
    ids = any(map(identity, texts)) and not any(map(identity, titles))
    named = [
        text for text in texts if known(text) and not valuelike(text) and not is_notation(text)
    ]
    return (ids or len(above) > 1) and not named


def _is_pair(cells: Sequence[Cell]) -> bool:
    """Tell whether two cells are a name and its value."""
    name = str(cells[0])
    return not valuelike(cells[0]) and valuelike(cells[1]) and not re.search("[:=]", name)


def _line(grid: Grid, index: int) -> str:
    return grid.line(grid.numbers[index]) or ""


def _dated(cells: list[Cell]) -> list[Cell]:
    """Return a day and its clock without a name as the date of a slip."""
    nameless = len(cells) == 2 and is_day(cells[0]) and is_clock(cells[1])
    return ["Date", " ".join(map(str, cells))] if nameless else cells


def _joined(cells: list[Cell], line: str) -> list[Cell]:
    """Return a name and several readings behind its colon in one piece: `Gloss: 36,2; 36,4; 38,8`."""
    first, *rest = cells
    name, _, value = str(first).partition(":")
    if not rest and (apart := readings_in(value, by_blanks=False)):
        return [f"{name}: {'; '.join(apart)}"]
    listed = ";" in line or line.count(", ") == len(rest)
    if rest and listed and all(map(numberlike, (value.strip(), *map(str, rest)))):
        return ["; ".join(map(str, cells))]
    return cells


def _name(cells: Sequence[Cell]) -> str | None:
    """Return the name in a row that is a name, its value and perhaps a unit; else None."""
    first = cells[0]
    if not isinstance(first, str) or valuelike(first) or first.strip("\"' ")[:1].isdigit():
        return None
    if len(cells) == 1 and not _READINGS_AND.match(first):
        for mark in (":", "=", "..."):
            name, found, value = first.partition(mark)
            if found and value.strip(_ENDS):
                return name.strip(_ENDS)
        return None
    if len(cells) == 2 or (len(cells) == 3 and valuelike(cells[1]) and _unit_beside(cells[2])):
        return first.strip(_ENDS)
    return None


def _unit_beside(cell: Cell) -> bool:
    return isinstance(cell, str) and is_unit(cell)
