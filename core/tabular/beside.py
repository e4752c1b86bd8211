"""Tables that stand side by side: under titles that come again from left to right.

They may be parted by empty columns, may share the first columns (one frequency, three moduli), and
what stands above each of them is its own. What stands above the first alone, and nothing above the
others, is of all.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from tiecoat.dialect.delimited import Cell, Grid, are_numbers
from tiecoat.tabular.cell_looks import is_unit, valuelike
from tiecoat.tabular.seen import Known

_SHARED = 3  # columns that tables side by side share at most
_GAP = 2  # empty columns between them at most


@dataclass(frozen=True)
class _Blocks:
    """Where equal titles come again in the row `index`: `count` times, each `step` columns on.

    `ids` are those that tell them apart where the titles themselves name them; `titled` tells
    whether the columns that they share have titles in that row.
    """

    index: int
    shared: int
    width: int
    step: int
    count: int
    ids: tuple[str, ...] = ()
    titled: bool = False

    def columns(self, number: int) -> range:
        """Return the columns of one of the tables, without those that it shares."""
        start = self.shared + number * self.step
        return range(start, start + self.width)


def parts_beside(grid: Grid, known: Known, identity: Known) -> list[Grid]:
    """Return the tables that stand side by side in a grid, each a grid; else the grid alone."""
    width = max((len(row) for row in grid.rows), default=0)
    rows: list[list[Cell]] = [[*row, *[""] * (width - len(row))] for row in grid.rows]
    found = [
        blocks
        for n in range(len(rows))
        if (blocks := _blocks(rows, n, known, identity)) is not None
    ]
    if len(found) != 1:
        return [grid]
    lead = rows[found[0].index][: found[0].shared]
    blocks = replace(found[0], titled=all(cell != "" and not is_unit(str(cell)) for cell in lead))
    if blocks.ids:
        bare = _without_ids(rows[blocks.index], identity)
        rows[blocks.index] = bare[0] if bare else rows[blocks.index]
    return [_grid_of(grid, rows, blocks, number) for number in range(blocks.count)]


def _grid_of(grid: Grid, rows: Sequence[Sequence[Cell]], blocks: _Blocks, number: int) -> Grid:
    """Return one of the tables; an id that its titles named stands above it."""
    own = [_part(row, index, blocks, number) for index, row in enumerate(rows)]
    numbers, lines = [*grid.numbers], _whole_lines(grid, rows, blocks, number)
    if blocks.ids:
        at = blocks.index
        own.insert(at, [blocks.ids[number]])
        numbers.insert(at, numbers[at])
        lines = [blocks.ids[number] if n == numbers[at] - 1 else t for n, t in enumerate(lines)]
    return Grid(
        own,
        numbers,
        delimiter=grid.delimiter,
        sheet=grid.sheet,
        broken=grid.broken,
        whole_lines=lines,
    )


def _blocks(
    rows: Sequence[Sequence[Cell]], index: int, known: Known, identity: Known
) -> _Blocks | None:
    """Return how the titles of a row come again, if they do and rows of values stand below them."""
    row = rows[index]
    if are_numbers(row):
        return None
    if (named := _without_ids(row, identity)) is not None:
        bare, ids = named
        others = _blocks([*rows[:index], bare, *rows[index + 1 :]], index, known, _no_id)
        of_each = (
            [{ids[n] for n in others.columns(at)} for at in range(others.count)] if others else []
        )
        if (
            others
            and others.width > 1
            and all(len(each) == 1 and "" not in each for each in of_each)
        ):
            told = tuple(each.pop() for each in of_each)
            return replace(others, ids=told) if len(set(told)) == others.count else None
        return None
    filled = [n for n, cell in enumerate(row) if cell != ""]
    if len(filled) < 2 or not all(_titled(row[n]) for n in filled) or index + 1 >= len(rows):
        return None
    stop = filled[-1] + 1
    for shared in range(min(_SHARED, len(row)) + 1):
        for blocks in _repeats(row, index, shared, stop):
            titles = [row[n] for n in blocks.columns(0)]
            lead = [cell for cell in row[:shared] if cell != ""]
            if any(cell in titles or _amount(cell) for cell in lead) or not _named(titles, known):
                continue
            if _ids_shared(rows, index, shared, identity):
                continue  # each row is of one panel: the groups tell what is told apart in it
            if blocks.width == 1 and _titles_down(rows, index, shared, known):
                continue  # a table on its side: a row of it holds the same word for each panel
            if _values_below(rows, index, blocks) and _grouped(rows, index, blocks, known):
                return blocks
    return None


def _no_id(text: str) -> bool:
    return False


def _without_ids(row: Sequence[Cell], identity: Known) -> tuple[list[Cell], list[str]] | None:
    """Return titles without the ids in them, and these: `EF07-T1 |Z| (ohm)`; None where none is."""
    bare: list[Cell] = []
    ids: list[str] = []
    for cell in row:
        words = str(cell).split() if isinstance(cell, str) else []
        own = next((word for word in words if identity(word.strip("()[]:,;"))), None)
        rest = " ".join(word for word in words if word != own).strip(" -–:,;/")
        ids.append(own.strip("()[]:,;") if own and rest else "")
        bare.append(rest if own and rest else cell)
    return (bare, ids) if len({*ids} - {""}) > 1 else None


def _titled(cell: Cell) -> bool:
    return isinstance(cell, str | int | float) and not isinstance(cell, bool)


def _named(titles: Sequence[Cell], known: Known) -> bool:
    """Tell whether cells are titles, words of the trade among them, and no values of a key."""
    if all(is_unit(str(title)) for title in titles):
        return False  # a row of units below titles
    return not any(map(_amount, titles)) and any(known(str(title)) for title in titles)


def _amount(cell: Cell) -> bool:
    return cell != "" and valuelike(cell)


def _repeats(row: Sequence[Cell], index: int, shared: int, stop: int) -> Iterator[_Blocks]:
    """Return each way in which what stands behind the shared columns is the same several times."""
    for width in range(1, (stop - shared) // 2 + 1):
        for gap in range(_GAP + 1):
            step = width + gap
            count, left = divmod(stop - shared + gap, step)
            blocks = _Blocks(index, shared, width, step, count)
            if left or count < 2:
                continue
            titles = [[row[n] for n in blocks.columns(number)] for number in range(count)]
            gaps = [
                row[n]
                for number in range(count - 1)
                for n in range(blocks.columns(number).stop, blocks.columns(number + 1).start)
            ]
            whole = all(cell != "" for cell in titles[0]) and not any(c != "" for c in gaps)
            distinct = len(set(map(str, titles[0]))) == width
            if whole and distinct and all(each == titles[0] for each in titles):
                yield blocks


def _values_below(rows: Sequence[Sequence[Cell]], index: int, blocks: _Blocks) -> bool:
    """Tell whether the next filled row but for one of units has values in every table."""
    for row in rows[index + 1 : index + 4]:
        cells = [[row[n] for n in blocks.columns(number)] for number in range(blocks.count)]
        if all(any(cell != "" and valuelike(cell) for cell in each) for each in cells):
            return True
    return False


def _ids_shared(rows: Sequence[Sequence[Cell]], index: int, shared: int, identity: Known) -> bool:
    """Tell whether the columns that all tables share hold ids, below titles that a group spans."""
    if not shared or index == 0 or not any(cell != "" for cell in rows[index - 1][shared:]):
        return False
    below = [
        str(cell) for row in rows[index + 1 : index + 5] for cell in row[:shared] if cell != ""
    ]
    return any(map(identity, below))


def _titles_down(rows: Sequence[Sequence[Cell]], index: int, shared: int, known: Known) -> bool:
    """Tell whether the rows from here on begin with words of the trade: titles one below another."""
    firsts = [next((cell for cell in row[:shared] if cell != ""), "") for row in rows[index:]]
    said = [cell for cell in firsts if isinstance(cell, str) and cell != ""]
    return len(said) > 1 and all(map(known, said[:2]))


def _grouped(rows: Sequence[Sequence[Cell]], index: int, blocks: _Blocks, known: Known) -> bool:
    """Tell whether the tables are told apart: by more than one title each, or by what stands above.

    A group that makes a word of the trade with the title below it names the column itself.
    """
    if index == 0:
        return blocks.width > 1 and blocks.shared == 0
    above = [_first(rows[index - 1], blocks.columns(number)) for number in range(blocks.count)]
    if all(cell != "" for cell in above):
        joined = [f"{cell} {rows[index][blocks.columns(0).start]}" for cell in above]
        return len(set(map(str, above))) == blocks.count and not all(map(known, joined))
    return blocks.width > 1


def _first(row: Sequence[Cell], columns: range) -> Cell:
    return next((row[n] for n in columns if row[n] != ""), "")


def _part(row: Sequence[Cell], index: int, blocks: _Blocks, number: int) -> list[Cell]:
    """Return what a row says of one of the tables."""
    own = [row[n] for n in blocks.columns(number)]
    beyond = [cell for n, cell in enumerate(row) if cell != "" and n >= blocks.columns(0).stop]
    if index < blocks.index and (not beyond or _are_entries(row)):
        return list(row)  # above the first alone, or entries side by side: of all
    if index < blocks.index:
        lone = [cell for cell in own if cell != ""]
        if blocks.titled and blocks.shared == 1 and row[0] != "" and _are_one(own):
            return [row[0], own[0], *[""] * (blocks.width - 1)]  # ID over the titles: an entry
        if len({*map(str, lone)}) == 1 and not any(cell != "" for cell in row[: blocks.shared]):
            return [
                lone[0],
                *[""] * (blocks.shared + blocks.width - 1),
            ]  # what stands above a table is a line about it, and no title of a column
        return [*row[: blocks.shared], *own]
    alone = not any(cell != "" for n, cell in enumerate(row) if n >= blocks.shared)
    if alone and number == 0:
        return list(row[: blocks.shared])  # a line below the tables
    shared = row[: blocks.shared] if any(cell != "" for cell in own) else [""] * blocks.shared
    return [*shared, *own]


def _are_one(cells: Sequence[Cell]) -> bool:
    """Tell whether several cells all hold the same."""
    return len(cells) > 1 and cells[0] != "" and len({*map(str, cells)}) == 1


def _are_entries(row: Sequence[Cell]) -> bool:
    """Tell whether a row is names with a value beside each, and perhaps a unit: `area 14.6 cm2 DFT 98 um`."""
    cells = [cell for cell in row if cell != ""]
    place = count = 0
    while place + 1 < len(cells):
        if _amount(cells[place]) or is_unit(str(cells[place])) or not _amount(cells[place + 1]):
            return False
        place += 3 if place + 2 < len(cells) and is_unit(str(cells[place + 2])) else 2
        count += 1
    return count > 1 and place == len(cells)


def _whole_lines(
    grid: Grid, rows: Sequence[Sequence[Cell]], blocks: _Blocks, number: int
) -> list[str]:
    """Return the lines of a text: whole where they are of all tables, else joined again."""
    lines = []
    for index, line in enumerate(grid.whole_lines):
        row = rows[index] if index < len(rows) else []
        part = _part(row, index, blocks, number) if row else []
        cells = ["" if cell == "" else str(cell) for cell in part]
        whole = list(part) == list(row)
        lines.append(line if whole else (grid.delimiter or " ").join(cells))
    return lines
