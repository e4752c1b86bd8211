"""What a person sees in a grid of cells: tables with titles, free lines around them, headings.

Nothing here knows a kind. Rulers and comments amid rows are passed over; rows without a header of
their own, after free lines, go on under the titles before; a summary below a table is none of its
rows.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from tiecoat.dialect.delimited import Cell, Grid, are_numbers
from tiecoat.tabular.cell_looks import (
    ONE_BLANK,
    CellSort,
    are_alike,
    cleaned,
    goes_on,
    is_entry,
    is_ruler,
    is_unit,
    says_nothing,
    shape_of,
    valuelike,
)
from tiecoat.tabular.headers import NO_TITLES, HeaderFinder
from tiecoat.tabular.known_cells import KnownCells
from tiecoat.tabular.moments import is_clock, is_day
from tiecoat.tabular.note_amounts import statistics_in
from tiecoat.tabular.seen import Allows, Known, Line, Seen, SeenColumn, Sight

_CODE = re.compile(
    r"\b(?=\w*\d)(?=\w*[^\W\d])[\w.-]{4,}\b"
    r"|\b(?:run|lauf|serie|series|block|segment|nr|no)\W{0,2}\d+\b"
    r"|(?<!\d)\d+(?:[.,]\d+)?\s?(?:h|d|days?|tage?|°C|°)\b",
    re.IGNORECASE,
)
_MARK = re.compile(r"\s*(?:[:=]|\.{3,})")
_LIKE_ROW = 3  # values that a line must hold to be like a row
_SHARE_OF_ROW = 0.6  # and of those that the rows of its table hold


def _nothing(*texts: str) -> bool:
    return False


def look(
    grid: Grid,
    known: Known,
    summary: Known,
    identity: Known = _nothing,
    allows: Allows = _nothing,
) -> Sight:
    """Return what a person sees in a grid; what tells words and ids is described at `KnownCells`."""
    return _Looker(grid, KnownCells(known, summary, identity, allows)).sight()


class _Looker:
    def __init__(self, grid: Grid, cells: KnownCells) -> None:
        self.grid, self.cells = grid, cells
        self.rows = [cleaned(row) for row in grid.rows]
        self.headers = HeaderFinder(grid, self.rows, cells)
        self.header = NO_TITLES  # the present one
        self.sorts: list[CellSort | None] = []  # of its columns
        self.first_data = -1  # index of the row that made the titles above it a header
        self.tables: list[Seen] = []
        self.pending: list[Line] = []
        self.telling: dict[int, tuple[Line, bool]] = {}  # of pending lines, by their id
        self.parted = False  # whether an empty line or a ruler stands below the last row taken
        self.orphans: list[int] = []
        self.free: list[int] = []  # indices of lines that are nobody's row

    def sight(self) -> Sight:
        index = 0
        while index < len(self.rows):
            index = self._step(index)
        for table in self.tables:
            _pass_over_counts(table)
        self.orphans += [table.header_row for table in self.tables if _of_values(table)]
        self.orphans += [self.grid.numbers[n] for n in self.free if self._like_a_row(n)]
        return Sight(self.grid, self.tables, self.pending, self.orphans)

    def _step(self, index: int) -> int:
        row = self.rows[index]
        if self._numbers_go_on(index, row):
            return self._take_numbers(index)
        filled = [place for place, cell in enumerate(row) if cell != ""]
        if not filled or is_ruler([row[n] for n in filled]):
            self.parted = True
            self._tell_cut(index)
            return index + 1
        if (
            self.tables
            and self.tables[-1].rows
            and statistics_in("  ".join(str(row[n]) for n in filled))
        ):
            self.tables[-1].summaries.append(self.grid.numbers[index])
            return index + 1
        if self.tables and self._sums_up_too(index, filled):
            self.tables[-1].summaries.append(self.grid.numbers[index])
            return index + 1
        if (
            self._goes_on(row, filled)
            or self._is_first_data(index, row)
            or self._is_like_those_above(row, filled)
        ):
            self._take(index)
            return index + 1
        if (found := self.headers.at(index, self.header)) is not None:
            self.header, self.first_data = found
            self.sorts = [None] * len(self.header.places)
            self.pending += map(self._line_at, self.header.headings)
            self._open()
            return self.first_data
        if self.tables and self.tables[-1].rows and self._summary(row, filled):
            self.tables[-1].summaries.append(self.grid.numbers[index])
            return index + 1
        again = self.header.is_again(row)  # titles at the end, below which no row stands
        if self.header.places and not again and self._belongs(index, filled):
            self._take(index)
        elif self._orphan(row, filled):
            self.orphans.append(self.grid.numbers[index])
        else:
            self.pending.append(self._line_at(index))
            self.free.append(index)
        return index + 1

    def _tell_cut(self, index: int) -> None:
        """Note a last line of nothing but too few delimiters: the start of a row that was cut off."""
        fields = len(self.grid.rows[index])
        if self.grid.delimiter is None or index < len(self.rows) - 1 or any(self.rows[index]):
            return
        if self.tables and self.tables[-1].rows and 1 < fields < self.header.width:
            self.tables[-1].short.append((self.grid.numbers[index], fields))

    def _line_at(self, index: int) -> Line:
        row = self.rows[index]
        filled = [place for place, cell in enumerate(row) if cell != ""]
        return self._line(row, filled, self.grid.numbers[index])

    def _line(self, row: Sequence[Cell], filled: Sequence[int], number: int) -> Line:
        """Return a free line: whole, where every blank parts cells."""
        whole = self.grid.line(number) if self.grid.delimiter == ONE_BLANK else None
        if whole is not None:
            return Line(tuple(cleaned([whole.strip()])), number)
        return Line(tuple(row[place] for place in filled), number)

    def _sums_up_too(self, index: int, filled: Sequence[int]) -> bool:
        """Tell whether a row next below a summary has words like it where others have a number.

        Whatever the words are, High or RSD, they stand for no number of a reading.
        """
        row, table = self.rows[index], self.tables[-1]
        first = row[filled[0]]
        if index == 0 or self.grid.numbers[index - 1] not in table.summaries:
            return False
        above = [place for place, cell in enumerate(self.rows[index - 1]) if cell != ""]
        return (
            [*filled] == above
            and filled[0] in self.header.places
            and self.sorts[self.header.places.index(filled[0])] == "value"
            and isinstance(first, str)
            and not any(map(str.isdigit, first))
            and not self.cells.identity(first)
            and all(self.cells.is_value(row[n]) or is_unit(str(row[n])) for n in filled[1:])
        )

    def _summary(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        first = row[filled[0]]
        if not isinstance(first, str) or len(filled) < 2 or first in self._words_at(filled[0]):
            return self._sums_up_amid(row, filled)
        if self._is_word_of_its_column(filled[0], first):
            return False
        of_some = len(filled) < len(self.header.places) and self.cells.summary(
            first.split()[0]
        )  # mean dry
        return of_some or self.cells.summary(first.split(":")[0]) or self._sums_up_amid(row, filled)

    def _sums_up_amid(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        """Tell whether a word such as mean stands in a column that holds values elsewhere."""
        for place in filled[1:]:
            cell = row[place]
            if not isinstance(cell, str) or place not in self.header.places or valuelike(cell):
                continue
            if self._is_word_of_its_column(place, cell):
                continue
            if self.sorts[self.header.places.index(place)] == "value" and self.cells.summary(cell):
                return True
        return False

    def _is_word_of_its_column(self, place: int, cell: str) -> bool:
        """Tell whether a word is one that its column may hold, such as total in one of coats."""
        if place not in self.header.places:
            return False
        return self.cells.allows(self.header.titles[self.header.places.index(place)][0], cell)

    def _words_at(self, place: int) -> list[Cell]:
        """Return the cells that a column has so far: what stands among them sums up nothing."""
        if not self.tables or place not in self.header.places:
            return []
        return self.tables[-1].columns[self.header.places.index(place)].cells

    def _orphan(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        timed = len(filled) == 2 and is_day(row[filled[0]]) and is_clock(row[filled[1]])
        return len(filled) > 1 and not timed and all(valuelike(row[n]) for n in filled)

    def _like_a_row(self, index: int) -> bool:
        """Tell whether a free line of a delimited text holds the values of a row, cut or shifted."""
        row = self.rows[index]
        filled = [place for place, cell in enumerate(row) if cell != ""]
        first = str(row[filled[0]])
        if self.grid.delimiter in (None, ONE_BLANK) or len(filled) < 2 or not first[0].isalnum():
            return False
        if not self.cells.is_value(row[filled[0]]) and (
            self.cells.known(first) or self.cells.summary(first)
        ):
            return False
        values = sum(1 for n in filled if self.cells.is_value(row[n]))
        number = self.grid.numbers[index]
        for table in self.tables:
            usual = sum(
                1 for column in table.columns if any(map(self.cells.is_value, column.cells[:1]))
            )
            if values >= max(_LIKE_ROW, _SHARE_OF_ROW * usual):
                return True
            if values and number - 1 in table.rows and 2 * len(filled) >= len(table.columns):
                return True
        return False

    def _counts_on(self, index: int, filled: Sequence[int]) -> bool:
        """Tell whether a row next below others has a text for a value and counts on from them.

        `overload;3` below `184;2`: whatever the text is, it stands for the value of the third.
        """
        row, table = self.rows[index], self.tables[-1]
        if self.pending or not table.rows or list(filled) != list(self.header.places):
            return False
        if self._summary(row, filled):
            return False
        values = [
            n
            for n, sort in zip(filled, self.sorts, strict=True)
            if sort == "value" and not self.cells.is_value(row[n])
        ]
        others = [
            goes_on(column.cells, row[n])
            for n, column in zip(filled, table.columns, strict=True)
            if n not in values
        ]
        return bool(values) and bool(others) and all(others)

    def _numbers_go_on(self, index: int, row: Sequence[Cell]) -> bool:
        """Tell whether a row of nothing but decimal numbers stands right below a row of values.

        This is the usual row of a long table: the quick way past all that a row may be else.
        """
        rows = self.tables[-1].rows if self.tables else ()
        if not rows or index == 0 or rows[-1] != self.grid.numbers[index - 1] or self.pending:
            return False
        whole = len(row) == len(self.header.places) == self.header.width > 1
        return whole and set(self.sorts) == {"value"} and are_numbers(row)

    def _take_numbers(self, index: int) -> int:
        """Take the rows of this sort that stand one below another; return where they end."""
        self.parted = False
        end, width = index + 1, len(self.header.places)
        while end < len(self.rows) and len(self.rows[end]) == width and are_numbers(self.rows[end]):
            end += 1
        table = self.tables[-1]
        for column, place in zip(table.columns, self.header.places, strict=True):
            column.cells += [row[place] for row in self.rows[index:end]]
        table.rows += self.grid.numbers[index:end]
        return end

    def _goes_on(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        """Tell whether a row is like those above it, cell by cell, and so begins no new table."""
        if not self.header.places or not self.tables[-1].rows or self._pending_tells():
            return False
        if self.header.is_again(row):
            return False
        sorts = dict(zip(self.header.places, self.sorts, strict=True))
        if any(n not in sorts for n in filled):
            return False
        if self.parted and (
            2 * len(filled) <= len(self.header.places) or self.cells.all_named(row, filled)
        ):
            return False
        if self._lonely(row, filled):
            return False
        if self._entry_amid(row, filled):
            return False
        if self._lone_id(row, filled):
            return False
        if self._summary(row, filled):
            return False
        told = [n for n in filled if sorts[n] is not None and not says_nothing(row[n])]
        if not self._typed(row, filled):
            return False
        agree = all(are_alike(sorts[n], self.cells.sort(row[n])) for n in told)
        alike = any(sorts[n] != "text" for n in told) or (bool(told) and not self.parted)
        return agree and alike

    def _is_like_those_above(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        """Tell whether a row below a heading has what rows above it have: values, and texts that came before."""
        if not self.tables or not self.tables[-1].rows or [*filled] != [*self.header.places]:
            return False
        sorts = [self.cells.sort(row[n]) for n in filled]
        texts = [n for n, sort in zip(filled, sorts, strict=True) if sort == "text"]
        return (
            sorts == self.sorts
            and "value" in sorts
            and bool(texts)
            and all(row[n] in self._words_at(n) for n in texts)
        )

    def _entry_amid(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        """Tell whether a row is an entry: a word of the trade and its value, perhaps with a unit."""
        first = row[filled[0]]
        if (
            not isinstance(first, str)
            or filled[0] != 0
            or len(self.header.places) < 2
            or self.cells.is_value(first)
        ):
            return False
        name, *marked = _MARK.split(first, maxsplit=1)
        if not self.cells.known(name) or self.cells.allows(self.header.titles[0][0], first):
            return False
        third = row[filled[2]] if len(filled) == 3 else None
        if isinstance(third, str) and is_unit(third) and third.strip("-–[](){} "):
            return valuelike(row[filled[1]])
        if marked or (len(filled) <= 3 and len(filled) < len(self.header.places)):
            return True
        return (
            len(filled) == 2
            and 0 in self.header.places
            and self._of_another_sort(self.header.places.index(0))
        )

    def _of_another_sort(self, at: int) -> bool:
        """Tell whether a column holds ids, or closed words of its title: no other word of the trade."""
        column = self.tables[-1].columns[at]
        if self.sorts[at] == "id" or not column.cells:
            return self.sorts[at] == "id"
        return all(
            self.cells.allows(column.title, str(cell)) for cell in column.cells[-3:] if cell != ""
        )

    def _lonely(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        """Tell whether a row is one text in the first column that is no value: a line about what follows."""
        first = row[filled[0]]
        return (
            len(filled) == 1
            and filled[0] == 0
            and len(self.header.places) > 1
            and isinstance(first, str)
            and not self.cells.is_value(first)
        )

    def _is_first_data(self, index: int, row: Sequence[Cell]) -> bool:
        """Tell whether a row stands first under titles and holds fewer words of the trade than they."""
        if index != self.first_data:
            return False
        named = sum(1 for cell in row if isinstance(cell, str) and self.cells.names(cell))
        return named < self.header.named(self.cells)

    def _lone_id(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        """Tell whether a row is a heading of nothing but an id: none of those in its column by its look."""
        first = row[filled[0]]
        if len(filled) > 1 or not isinstance(first, str) or not self.cells.identity(first):
            return False
        if filled[0] not in self.header.places:
            return True
        column = self.tables[-1].columns[self.header.places.index(filled[0])]
        above = next((str(cell) for cell in reversed(column.cells) if cell != ""), None)
        if above is None:
            return len(self.header.places) > 1
        return shape_of(first) != shape_of(above)

    def _open(self) -> None:
        if self._is_in_corner():
            self._tell_corner(self.header.titles[0][0])
        columns = [
            SeenColumn(title, unit, parts=parts)
            for (title, unit), parts in zip(self.header.titles, self.header.groups, strict=True)
        ]
        self.tables.append(Seen(self.grid, columns, self.header.number, self.pending))
        self.pending = []

    def _is_in_corner(self) -> bool:
        """Tell whether an id stands before titles that are none, and above cells that are none."""
        below = self.rows[self.first_data]
        place = self.header.places[0]
        ids = [self.cells.identity(title) for title, _ in self.header.titles]
        below_it = str(below[place]) if place < len(below) else ""
        return ids[0] and not any(ids[1:]) and len(ids) > 1 and not self.cells.identity(below_it)

    def _tell_corner(self, identity: str) -> None:
        """Take an id in the corner of a grid for a line above it: it titles no column."""
        titles = [("", self.header.titles[0][1]), *self.header.titles[1:]]
        self.header = replace(self.header, titles=titles, groups=[(), *self.header.groups[1:]])
        self.pending.append(Line((identity,), self.header.number))

    def _belongs(self, index: int, filled: Sequence[int]) -> bool:
        row = self.rows[index]
        own = [n for n in filled if n in self.header.places]
        beyond = [n for n in filled if n >= self.header.width and valuelike(row[n])]
        first = row[filled[0]]
        if self._counts_on(index, filled):
            return True
        if not own or self._lone_id(row, filled) or self._lone_text(index, first):
            return False
        if self.grid.delimiter is not None and beyond and not self._typed(row, own):
            return False
        if isinstance(first, str) and filled[0] == 0 and len(self.header.places) > 1:
            entry = ":" in first and is_entry(first) and not valuelike(first)
            if entry and (len(filled) == 1 or not self._text_column(0)):
                return False
            if self._entry_amid(row, filled):
                return False
            if (
                len(filled) == 1
                and not self.cells.is_value(first)
                and (len(self.header.places) > 2 or _CODE.search(first))
            ):
                return False
        table = self.tables[-1]
        if not table.rows and not any(n in self.header.places for n in filled):
            return False
        return self._typed(row, own)

    def _lone_text(self, index: int, first: Cell) -> bool:
        """Tell whether a line of a text has no delimiter where the rows of its table have some."""
        lone = self.grid.delimiter is not None and len(self.grid.rows[index]) == 1
        return (
            lone and len(self.header.places) > 1 and isinstance(first, str) and not valuelike(first)
        )

    def _pending_tells(self) -> bool:
        """Tell whether one of the lines since the last row does; each is looked at once."""
        for line in self.pending:
            if id(line) not in self.telling:
                self.telling[id(line)] = line, self._tells(line)
        return any(self.telling[id(line)][1] for line in self.pending)

    def _tells(self, line: Line) -> bool:
        """Tell whether a line amid rows says whose the next ones are, and is no mere comment."""
        texts = [str(cell) for cell in line.cells]
        if any(_CODE.search(text) or self.cells.identity(text.strip()) for text in texts):
            return True
        names = [text.split(":")[0].split("=")[0].strip() for text in texts]
        return any(self.cells.known(name) for name in names) or is_entry(texts[0])

    def _text_column(self, place: int) -> bool:
        return place in self.header.places and self.sorts[self.header.places.index(place)] == "text"

    def _typed(self, row: Sequence[Cell], own: Sequence[int]) -> bool:
        """Tell whether cells are of the sort that their columns had so far: enough of them."""
        agree = against = 0
        for n in own:
            sort = self.sorts[self.header.places.index(n)]
            if sort is None or says_nothing(row[n]):
                continue
            lone = len(own) == 1 and sort == "id"  # a text below ids is an end or a heading
            alike = (
                sort == self.cells.sort(row[n])
                if lone
                else are_alike(sort, self.cells.sort(row[n]))
            )
            agree, against = agree + alike, against + (not alike)
        return agree > against or (agree == against == 0)

    def _take(self, index: int) -> None:
        row, number = self.rows[index], self.grid.numbers[index]
        self.parted = False
        if self.pending and self.tables[-1].rows:
            before = self.tables[-1]
            self.pending = [line for line in self.pending if self._tells(line)]
            if self.pending:
                self._open()
                self.tables[-1].before = before
        else:
            self.tables[-1].above += self.pending
            self.pending = []
        table = self.tables[-1]
        fields = len(self.grid.rows[index])
        more = [n for n in range(self.header.width, len(row)) if row[n] != ""]
        if self.grid.delimiter is not None and (fields < self.header.width or more):
            table.short.append((number, fields))
        for column, place in zip(table.columns, self.header.places, strict=True):
            column.cells.append(row[place] if place < len(row) else "")
        table.rows.append(number)
        for at, place in enumerate(self.header.places):
            cell = row[place] if place < len(row) else ""
            if self.sorts[at] is None and not says_nothing(cell):
                self.sorts[at] = self.cells.sort(cell)


def _pass_over_counts(table: Seen) -> None:
    """Pass over a first row that says how many rows are below it: `Readings;10;10` above 1 to 10."""
    if len(table.columns) < 2 or len(table.rows) <= _LIKE_ROW:
        return
    first, *others = table.columns
    word, *counts = first.cells
    numbers = [str(cell) for cell in counts]
    if not isinstance(word, str) or not word[:1].isalpha():
        return
    if numbers != [str(n) for n in range(1, len(counts) + 1)]:
        return
    for column in others:
        filled = sum(cell != "" for cell in column.cells[1:])
        if str(column.cells[0]) != str(filled):
            return
    for column in table.columns:
        del column.cells[0]
    table.summaries.append(table.rows.pop(0))


def _of_values(table: Seen) -> bool:
    """Tell whether a table has no rows and titles like values: then these were a row of another."""
    return not table.rows and all(valuelike(column.title) for column in table.columns)
