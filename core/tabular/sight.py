"""What a person sees in a grid of cells: tables with titles, free lines around them, headings.

Nothing here knows a kind. Rulers and comments amid rows are passed over; rows without a header of
their own, after free lines, go on under the titles before; a summary below a table is none of its
rows.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Literal

from tiecoat.dialect.delimited import Cell, Grid, are_numbers, is_plain, numberlike
from tiecoat.dialect.entries import amount
from tiecoat.dialect.numbers import EMPTY_WORDS
from tiecoat.dialect.units import plain_unit
from tiecoat.tabular.facts import is_notation
from tiecoat.tabular.groups import tells_groups_apart
from tiecoat.tabular.moments import is_day
from tiecoat.tabular.words import parted

_ID = re.compile(r"(?=.*\d)(?=.*[^\W\d_])[\w./-]{5,}")
_RULER = re.compile(r"[-=_*#~+.|:\s]{3,}")
_COMMENT = re.compile(
    r"\s*(?:#+|//+|!+|\*+|%+|>+|--+|;+)\s*(?=\S*[^\W_]|([-=*_~#+<>|])\1+\s*[^\W_])"
)
_FRAMED = re.compile(r"([-=*_~#+<>|])\1+\s*(?P<text>[^-=*_~#+<>|].*?)\s*[-=*_~#+<>|]{2,}")
_COMPLEX = re.compile(
    r"[-+]?[\d.,]+(?:e[-+]?\d+)?\s*[-+]\s*[ij]?\s*[\d.,]+(?:e[-+]?\d+)?\s*[ij]?", re.IGNORECASE
)
_CLOCK = re.compile(r"\d{1,2}:\d{2}(?::\d{2}(?:[.,]\d+)?)?\s*(?:[ap]\.?m\.?)?", re.IGNORECASE)
_NAMED_DAY = re.compile(
    r"\d{1,2}\.?[\s-][^\W\d]{3,13}\.?[\s-]\d{2,4}\b.*|[^\W\d]{3,13}\.?\s\d{1,2},?\s\d{4}\b.*"
)
_LONE_ENTRY = re.compile(r"=|\.{3,}")
_LETTER = re.compile(r"[^\W\d_]")
_ENTRY = re.compile(
    r"[^:=]{1,60}[^:=\d\s][^:=]{0,20}\s*[:=]\s*\S.*|[^:=]{1,60}[:=]\s*\S.*", re.DOTALL
)
_CODE = re.compile(
    r"\b(?=\w*\d)(?=\w*[^\W\d])[\w.-]{4,}\b"
    r"|\b(?:run|lauf|serie|series|block|segment|nr|no)\W{0,2}\d+\b"
    r"|\d+(?:[.,]\d+)?\s?(?:h|d|days?|tage?|°C|°)\b",
    re.IGNORECASE,
)
_DECIMAL = re.compile(
    r"[-+−]?\d*[.,]\d+(?:[eE][-+]?\d+)?(?:\s.*)?|[-+−]?\d{4,}|[-+−]?\d+[eE][-+]?\d+"
)
_MINUTES = re.compile(r"(?:h+:)?m+(?:in)?:s+(?:ec)?", re.IGNORECASE)  # as a unit: mm:ss
ONE_BLANK = " "  # the delimiter of a text in which every run of blanks parts cells
_TITLE_ROWS = 3
_WORD_FROM = 3  # letters of a title that stands above a lone id
_SENTENCE_FROM = 7  # words
_BRACKETS = re.compile(r"[(\[][^()\[\]]*[)\]]")
_AMOUNT_WITHIN = re.compile(r"(?<![\w.,-])\d+(?:[.,]\d+)?\s(?:[^\W\d]{3,}|[°µ]\w?|[a-z]{1,3})\b")
_MARK = re.compile(r"\s*(?:[:=]|\.{3,})")
_LIKE_ROW = 3  # values that a line must hold to be like a row
_SHARE_OF_ROW = 0.6  # and of those that the rows of its table hold

CellSort = Literal["value", "id", "text"]
Known = Callable[[str], bool]
Allows = Callable[[str, str], bool]


def _nothing(*texts: str) -> bool:
    return False


def valuelike(cell: Cell) -> bool:
    """Tell whether a cell is a number, also with a unit behind it, a date or a time by its look."""
    if not isinstance(cell, str):
        return True
    if not cell or not (cell[0].isdigit() or cell[0] in "+-−–<>~≈.,(" or cell[-1].isdigit()):
        return False
    if numberlike(cell) or _CLOCK.fullmatch(cell) or _NAMED_DAY.fullmatch(cell) or is_day(cell):
        return True
    if is_notation(cell):
        return False
    number, unit = amount(cell.lstrip("<>~≈ "))
    if unit is not None and number[-1:].isdigit() and plain_unit(unit) is not None:
        return True
    return _COMPLEX.fullmatch(cell) is not None and cell[-1:].lower() in "ij0123456789"


@dataclass(frozen=True)
class Line:
    """A free line: its cells that are not empty, and where it stands."""

    cells: tuple[Cell, ...]
    row: int

    @property
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


def look(
    grid: Grid,
    known: Known,
    summary: Known,
    identity: Known = _nothing,
    allows: Allows = _nothing,
) -> Sight:
    """Return what a person sees in a grid.

    Parameters
    ----------
    known
        Tells whether a text is a word of the trade for a column, a key or an entry.
    summary
        Tells whether a text begins the row of a summary, such as a mean.
    identity
        Tells whether a text is the id of a panel or batch, or several: a value, never a title alone.
    allows
        Tells whether a text is one of the closed words that a column of this title may hold.
    """
    return _Looker(grid, known, summary, identity, allows).sight()


class _Looker:
    def __init__(
        self, grid: Grid, known: Known, summary: Known, identity: Known, allows: Allows
    ) -> None:
        self.grid, self.known, self.summary = grid, known, summary
        self.identity, self.allows = identity, allows
        self.rows = [cleaned(row) for row in grid.rows]
        self.tables: list[Seen] = []
        self.pending: list[Line] = []
        self.orphans: list[int] = []
        self.telling: dict[int, tuple[Line, bool]] = {}  # of pending lines, by their id
        self.free: list[int] = []  # indices of lines that are nobody's row
        self.places: list[int] = []  # of the columns of the present header
        self.titles: list[tuple[str, str | None]] = []
        self.groups: list[tuple[str, ...]] = []  # the parts of each title, from above down
        self.parted = False  # whether an empty line or a ruler stands below the last row taken
        self.sorts: list[CellSort | None] = []  # of these columns
        self.header: Sequence[Cell] | None = None
        self.width = 0
        self.header_row = 0
        self.grouping: set[int] = set()  # indices of rows of titles that span several columns
        self.first_data = -1  # index of the row that made the titles above it a header

    def sight(self) -> Sight:
        index = 0
        while index < len(self.rows):
            index = self._step(index)
        self.orphans += [table.header_row for table in self.tables if _of_values(table)]
        self.orphans += [self.grid.numbers[n] for n in self.free if self._like_a_row(n)]
        return Sight(self.grid, self.tables, self.pending, self.orphans)

    def _step(self, index: int) -> int:
        row = self.rows[index]
        if self._numbers_go_on(index, row):
            self._take(index)
            return index + 1
        filled = [place for place, cell in enumerate(row) if cell != ""]
        if not filled or self._ruler(row, filled):
            self.parted = True
            self._tell_cut(index)
            return index + 1
        if self._goes_on(row, filled) or self._is_first_data(index, row):
            self._take(index)
            return index + 1
        if (below := self._header(index)) is not None:
            return below
        if self.tables and self.tables[-1].rows and self._summary(row, filled):
            self.tables[-1].summaries.append(self.grid.numbers[index])
            return index + 1
        if self.places and self._belongs(index, filled):
            self._take(index)
        elif self._orphan(row, filled):
            self.orphans.append(self.grid.numbers[index])
        else:
            self.pending.append(self._line(row, filled, self.grid.numbers[index]))
            self.free.append(index)
        return index + 1

    def _tell_cut(self, index: int) -> None:
        """Note a last line of nothing but too few delimiters: the start of a row that was cut off."""
        fields = len(self.grid.rows[index])
        if self.grid.delimiter is None or index < len(self.rows) - 1 or any(self.rows[index]):
            return
        if self.tables and self.tables[-1].rows and 1 < fields < self.width:
            self.tables[-1].short.append((self.grid.numbers[index], fields))

    def _line(self, row: Sequence[Cell], filled: Sequence[int], number: int) -> Line:
        """Return a free line: whole, where every blank parts cells."""
        if self.grid.delimiter == ONE_BLANK and number <= len(self.grid.whole_lines):
            cells = cleaned([self.grid.whole_lines[number - 1].strip()])
            return Line(tuple(cells), number)
        return Line(tuple(row[place] for place in filled), number)

    def _ruler(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        return is_ruler([row[n] for n in filled])

    def _summary(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        first = row[filled[0]]
        if not isinstance(first, str) or len(filled) < 2 or first in self._words_at(filled[0]):
            return self._sums_up_amid(row, filled)
        if filled[0] in self.places and self.allows(
            self.titles[self.places.index(filled[0])][0], first
        ):
            return False  # such as total, in a column of coats
        of_some = len(filled) < len(self.places) and self.summary(first.split()[0])  # mean dry
        return of_some or self.summary(first.split(":")[0]) or self._sums_up_amid(row, filled)

    def _sums_up_amid(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        """Tell whether a word such as mean stands in a column that holds values elsewhere."""
        for place in filled[1:]:
            cell = row[place]
            if not isinstance(cell, str) or place not in self.places or valuelike(cell):
                continue
            if self.sorts[self.places.index(place)] == "value" and self.summary(cell):
                return True
        return False

    def _words_at(self, place: int) -> list[Cell]:
        """Return the cells that a column has so far: what stands among them sums up nothing."""
        if not self.tables or place not in self.places:
            return []
        return self.tables[-1].columns[self.places.index(place)].cells

    def _orphan(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        return len(filled) > 1 and all(valuelike(row[n]) for n in filled)

    def _like_a_row(self, index: int) -> bool:
        """Tell whether a free line of a delimited text holds the values of a row, cut or shifted."""
        row = self.rows[index]
        filled = [place for place, cell in enumerate(row) if cell != ""]
        first = str(row[filled[0]])
        if self.grid.delimiter in (None, ONE_BLANK) or len(filled) < 2 or not first[0].isalnum():
            return False
        if not self._value(row[filled[0]]) and (self.known(first) or self.summary(first)):
            return False
        values = sum(1 for n in filled if self._value(row[n]))
        number = self.grid.numbers[index]
        for table in self.tables:
            usual = sum(1 for column in table.columns if any(map(self._value, column.cells[:1])))
            if values >= max(_LIKE_ROW, _SHARE_OF_ROW * usual):
                return True
            if values and number - 1 in table.rows and 2 * len(filled) >= len(table.columns):
                return True
        return False

    def _numbers_go_on(self, index: int, row: Sequence[Cell]) -> bool:
        """Tell whether a row of nothing but decimal numbers stands right below a row of values.

        This is the usual row of a long table: the quick way past all that a row may be else.
        """
        rows = self.tables[-1].rows if self.tables else ()
        if not rows or index == 0 or rows[-1] != self.grid.numbers[index - 1] or self.pending:
            return False
        values = len(row) == len(self.places) > 1 and set(self.sorts) == {"value"}
        return values and are_numbers(row)

    def _goes_on(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        """Tell whether a row is like those above it, cell by cell, and so begins no new table."""
        if not self.places or not self.tables[-1].rows or self._pending_tells():
            return False
        if self._again(row):
            return False
        sorts = dict(zip(self.places, self.sorts, strict=True))
        if any(n not in sorts for n in filled):
            return False
        if self.parted and (2 * len(filled) <= len(self.places) or self._all_named(row, filled)):
            return False
        if self._lonely(row, filled):
            return False
        if self._entry_amid(row, filled):
            return False
        if self._lone_id(row, filled):
            return False
        if self._summary(row, filled):
            return False
        told = [n for n in filled if sorts[n] is not None and not _says_nothing(row[n])]
        if not self._typed(row, filled):
            return False
        agree = all(_alike(sorts[n], self._sort(row[n])) for n in told)
        alike = any(sorts[n] != "text" for n in told) or (bool(told) and not self.parted)
        return agree and alike

    def _entry_amid(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        """Tell whether a row is an entry: a word of the trade and its value, perhaps with a unit."""
        first = row[filled[0]]
        if (
            not isinstance(first, str)
            or filled[0] != 0
            or len(self.places) < 2
            or self._value(first)
        ):
            return False
        name, *marked = _MARK.split(first, maxsplit=1)
        if not self.known(name) or self.allows(self.titles[0][0], first):
            return False
        third = row[filled[2]] if len(filled) == 3 else None
        if isinstance(third, str) and is_unit(third) and third.strip("-–[](){} "):
            return valuelike(row[filled[1]])
        if marked or (len(filled) <= 3 and len(filled) < len(self.places)):
            return True
        return len(filled) == 2 and 0 in self.places and self._of_another_sort(self.places.index(0))

    def _of_another_sort(self, at: int) -> bool:
        """Tell whether a column holds ids, or closed words of its title: no other word of the trade."""
        column = self.tables[-1].columns[at]
        if self.sorts[at] == "id" or not column.cells:
            return self.sorts[at] == "id"
        return all(self.allows(column.title, str(cell)) for cell in column.cells[-3:] if cell != "")

    def _all_named(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        """Tell whether a row holds nothing but words of the trade: titles of another table."""
        return len(filled) > 1 and all(
            isinstance(cell := row[n], str) and self._names(cell) for n in filled
        )

    def _lonely(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        """Tell whether a row is one text in the first column that is no value: a line about what follows."""
        first = row[filled[0]]
        return (
            len(filled) == 1
            and filled[0] == 0
            and len(self.places) > 1
            and isinstance(first, str)
            and not self._value(first)
        )

    def _is_first_data(self, index: int, row: Sequence[Cell]) -> bool:
        """Tell whether a row stands first under titles and holds fewer words of the trade than they."""
        if index != self.first_data:
            return False
        named = sum(1 for cell in row if isinstance(cell, str) and self._names(cell))
        return named < self._known_count()

    def _lone_id(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        """Tell whether a row is a heading of nothing but an id: none of those in its column by its look."""
        first = row[filled[0]]
        if len(filled) > 1 or not isinstance(first, str) or not self.identity(first):
            return False
        if filled[0] not in self.places:
            return True
        column = self.tables[-1].columns[self.places.index(filled[0])]
        above = next((str(cell) for cell in reversed(column.cells) if cell != ""), None)
        if above is None:
            return len(self.places) > 1
        return _shape(first) != _shape(above)

    def _sort(self, cell: Cell) -> CellSort:
        """Return what a cell is by its look: an id, another value such as a number or date, a text."""
        if isinstance(cell, str) and self.identity(cell):
            return "id"
        return "value" if valuelike(cell) else "text"

    def _value(self, cell: Cell) -> bool:
        return self._sort(cell) != "text"

    # titles

    def _header(self, index: int) -> int | None:
        """Return the row after the titles if a header begins here, having taken it; else None."""
        if not self._titular(self.rows[index]):
            return None
        title_rows, place = [index], index + 1
        units: list[Cell] | None = None
        gap = False  # whether an empty row stands below the last row of titles
        while place < len(self.rows) and place < index + 8:
            row = self.rows[place]
            filled = [n for n, cell in enumerate(row) if cell != ""]
            if not filled and place == title_rows[-1] + 1:
                gap, place = True, place + 1  # one empty row below the titles
                continue
            if not filled:
                return None
            if self._ruler(row, filled) or self._remark(index, place, filled):
                place += 1
            elif units is None and _units(row, filled):
                units, place = row, place + 1
            elif len(title_rows) < _TITLE_ROWS and self._below_groups(title_rows[-1], place):
                self.grouping.add(title_rows[-1])
                title_rows.append(place)
                gap, place = False, place + 1
            elif self._data(row, filled) or self._texts_below(title_rows[-1], row, filled):
                break
            elif gap and self._all_named(row, filled):
                return None  # titles of their own, below an entry or a heading
            elif self._titular(row) and len(title_rows) < _TITLE_ROWS and units is None:
                title_rows.append(place)
                gap, place = False, place + 1
            else:
                return None
        else:
            return None
        title_rows = self._title_rows(title_rows)
        if title_rows[0] != index or not self._under(place, title_rows):
            return None
        self._begin(title_rows, units, self.rows[place])
        self.first_data = place
        return place

    def _below_groups(self, upper: int, place: int) -> bool:
        """Tell whether a row of values tells the columns apart that groups in the row above span."""
        if place != upper + 1:
            return False
        below = next((row for row in self.rows[place + 1 : place + 4] if _has_values(row)), [])
        return tells_groups_apart(
            self.rows[upper], self.rows[place], below, self._value, self._may_title
        )

    def _may_title(self, cell: Cell) -> bool:
        """Tell whether a value may stand in a title: a whole number, an amount; no id, no day."""
        return self._sort(cell) == "value" and not _no_title(cell)

    def _remark(self, index: int, place: int, filled: Sequence[int]) -> bool:
        """Tell whether a row below titles, that have no sign of a comment, is a lone comment."""
        above, row = (
            [str(cell) for cell in self.grid.rows[n] if cell != ""] for n in (index, place)
        )
        lone = len(filled) == 1 and len(above) > 1 and not is_unit(row[0])
        return lone and _COMMENT.match(row[0]) is not None and _COMMENT.match(above[0]) is None

    def _texts_below(self, titles: int, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        """Tell whether a row of nothing but texts is the first below titles of the trade."""
        if self._allowed(self.rows[titles], row) or self._again(self.rows[titles]):
            return len(filled) > 1
        named = sum(1 for cell in self.rows[titles] if self._names_column(cell))
        own = sum(1 for n in filled if isinstance(row[n], str) and self._names(str(row[n])))
        return named > 1 and len(filled) > 1 and 2 * own < named

    def _allowed(self, titles: Sequence[Cell], row: Sequence[Cell]) -> bool:
        """Tell whether a cell of a row is a closed word of what the title above it names."""
        pairs = zip(titles, row, strict=False)
        return any(
            isinstance(title, str) and isinstance(cell, str) and cell and self.allows(title, cell)
            for title, cell in pairs
            if title
        )

    def _again(self, row: Sequence[Cell]) -> bool:
        """Tell whether a row holds the present titles once more."""
        return self.header is not None and [*row] == [*self.header]

    def _titular(self, row: Sequence[Cell]) -> bool:
        filled = [cell for cell in row if cell != ""]
        if self._again(row):
            return True
        if self.header is not None and self._allowed(self.header, row):
            return False
        if not filled or (
            len(filled) == 1
            and isinstance(filled[0], str)
            and (_has_colon(filled[0]) or _LONE_ENTRY.search(filled[0]))
        ):
            return False
        if any(
            isinstance(cell, bool) or not isinstance(cell, str | float | int) for cell in filled
        ):
            return False
        if any(_no_title(cell) or _is_sentence(cell) for cell in filled):
            return False
        if self._sums_up(filled):
            return False
        if self.grid.delimiter == ONE_BLANK and any(str(cell).endswith(":") for cell in filled):
            return False
        if len(filled) > 1 and all(isinstance(c, str) and _ENTRY.fullmatch(c) for c in filled):
            return False  # each cell a name and a value
        numbers = [
            cell
            for cell in filled
            if valuelike(cell) and not (isinstance(cell, str) and _LETTER.search(cell))
        ]
        amounts = [cell for cell in filled if valuelike(cell)]
        if (len(amounts) == 1 and len(filled) <= 3) or len(set(map(str, numbers))) < len(numbers):
            return False  # a name, its value and perhaps a unit; or values that repeat
        named = [cell for cell in filled if isinstance(cell, str) and self._names(cell)]
        if len(filled) == 2 and filled[0] in named and _ID.fullmatch(str(filled[1])):
            return False  # a name and an id
        if len(filled) == 2 and filled[0] in named and self._amount(filled[1]):
            return False  # a name and an amount
        words = [cell for cell in filled if isinstance(cell, str) and _LETTER.search(cell)]
        if self.places and 2 * len(named) < min(self._known_count(), 4):
            return False  # a row of texts below titles that are words of the trade is no header
        return 2 * len(words) >= len(filled) or (bool(named) and len(filled) > 1)

    def _sums_up(self, filled: Sequence[Cell]) -> bool:
        """Tell whether cells are the name of a statistic and its values, whole numbers too."""
        first = filled[0]
        named = isinstance(first, str) and self.summary(first.split(":")[0])
        return named and len(filled) > 1 and all(map(valuelike, filled[1:]))

    def _amount(self, cell: Cell) -> bool:
        """Tell whether a cell is a number with its unit, and no title such as 20°."""
        return isinstance(cell, str) and valuelike(cell) and not self.known(cell)

    def _names(self, cell: str) -> bool:
        """Tell whether a cell is a word of the trade and no mere number."""
        if is_notation(cell) or cell.strip().isdigit() or self.identity(cell):
            return False
        return self.known(cell)

    def _names_column(self, cell: Cell) -> bool:
        """Tell whether a cell is a word of the trade and no amount, such as 10 min."""
        return isinstance(cell, str) and self._names(cell) and not valuelike(cell)

    def _known_count(self) -> int:
        return sum(1 for title, _ in self.titles if self._names(title))

    def _title_rows(self, rows: list[int]) -> list[int]:
        """Return those of some rows of texts that make the header: the last, and what groups it."""
        kept = [rows[-1]]
        for upper in reversed(rows[:-1]):
            above, below = self.rows[upper], self.rows[kept[0]]
            sparse = [n for n, cell in enumerate(above) if cell != ""]
            wide = [n for n, cell in enumerate(below) if cell != ""]
            beside = sum(1 for n in sparse if n in wide)
            if len(sparse) < 2 and sparse[:1] == [0] and 0 in wide:
                break
            if upper in self.grouping:
                kept.insert(0, upper)
                continue
            if self._entry_like(above, sparse) and len(wide) != len(sparse):
                break
            spans = sum(1 for n in sparse if n + 1 in wide and n + 1 not in sparse)
            merged = spans > 0 and sparse[0] == wide[0] == 0 and above[0] == below[0]
            grouped = len(sparse) < len(wide) and (
                sparse[0] > 0 or beside < len(sparse) or merged or spans > 1
            )
            stacked = len(sparse) >= len(wide) > 0 and set(wide) <= set(sparse) and len(sparse) > 2
            spread = len(sparse) < len(wide) and len(sparse) >= 1 and sparse[0] > 0
            if not (grouped or stacked or spread):
                break
            kept.insert(0, upper)
        return kept

    def _entry_like(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        first = row[filled[0]] if filled else ""
        if not isinstance(first, str) or len(filled) > 3 or self._value(first):
            return False
        third = row[filled[2]] if len(filled) == 3 else ""
        alone = isinstance(third, str) and (third == "" or not self._value(third))
        beside = list(filled) == list(range(len(filled)))
        return (beside and len(filled) > 1 and alone and self.known(first.strip(" :="))) or bool(
            len(filled) == 1 and _ENTRY.fullmatch(first)
        )

    def _under(self, index: int, title_rows: Sequence[int]) -> bool:
        """Tell whether a row of data can stand under these titles."""
        row = self.rows[index]
        titled = {n for each in title_rows for n, cell in enumerate(self.rows[each]) if cell != ""}
        filled = {n for n, cell in enumerate(row) if cell != ""}
        titles = [
            str(self.rows[title_rows[-1]][n])
            for n in sorted(titled)
            if n < len(self.rows[title_rows[-1]])
        ]
        knows = sum(1 for title in titles if title and self.known(title))
        if len(titled) == 1:
            amounts = parted(titles[0]).unit is not None
            if amounts and self._sort(row[min(filled)]) == "id":
                return False  # a sentence about a unit, then a heading of an id
            return bool(knows) and filled == titled and not _has_colon(titles[0])
        if (
            len(titled) <= 3
            and self._entry_like(row, sorted(filled))
            and not self._id_column(index)
            and not self._allowed(self.rows[title_rows[-1]], row)
        ):
            return False
        if not knows and (len(titled) < 3 or len(filled) < 2):
            return False
        long = sum(1 for title in titles if len(title) > 1 and self.known(title))
        if len(titled) == 2 and long < 2 and not self._value(row[min(filled)]):
            return False  # a name and a text, then a name and its value
        words = all(len(title.strip()) >= _WORD_FROM for title in titles)
        if (
            words
            and 1 < len(titled) == knows
            and any(self.identity(str(row[n])) for n in filled & titled)
        ):
            return True
        return 2 * len(filled & titled) > len(titled) or (knows > 1 and len(filled & titled) > 1)

    def _id_column(self, index: int) -> bool:
        """Tell whether the first cells of this row and the next come again, or are no names."""
        firsts = [
            next((cell for cell in row if cell != ""), "") for row in self.rows[index : index + 3]
        ]
        return len(set(map(str, firsts))) < len(firsts) or all(
            not isinstance(first, str) or self._value(first) or not self.known(first)
            for first in firsts
        )

    def _begin(
        self, title_rows: Sequence[int], units: Sequence[Cell] | None, first: Sequence[Cell]
    ) -> None:
        width = max(len(self.rows[n]) for n in title_rows)
        stacked: list[list[str]] = [[] for _ in range(width)]
        for n in title_rows:
            group, last = "", n == title_rows[-1]
            for place in range(width):
                cell = self.rows[n][place] if place < len(self.rows[n]) else ""
                text = title_text(cell)
                if not last:
                    group = text or group
                    below_empty = not any(
                        place < len(self.rows[m]) and self.rows[m][place] != ""
                        for m in title_rows
                        if m > n
                    )
                    text = text if below_empty else group
                if text and text not in stacked[place]:
                    stacked[place].append(text)
        last_titled = max(n for n, titles in enumerate(stacked) if titles)
        untitled = [n for n, cell in enumerate(first) if cell != "" and n < last_titled]
        self.places = [n for n, titles in enumerate(stacked) if titles or n in untitled]
        said = (
            {n: str(units[n]).strip("[](){} ") for n in range(len(units)) if units[n] != ""}
            if units
            else {}
        )
        self.titles = []
        groups: list[tuple[str, ...]] = []
        for n in self.places:
            parts = stacked[n]
            unit = said.get(n)
            if len(parts) > 1 and unit is None and is_unit(parts[-1]) and not parts[-1].isdigit():
                unit, parts = parts[-1].strip("[](){} "), parts[:-1]
            self.titles.append((" ".join(parts), unit if unit not in ("", "-", "–") else ""))
            groups.append(tuple(parts))
        self.titles = [(title, unit if unit else None) for title, unit in self.titles]
        self.groups = groups
        self.header = self.rows[title_rows[-1]]
        self.width = max(self.places) + 1
        self.sorts = [None] * len(self.places)
        self.header_row = self.grid.numbers[title_rows[-1]]
        self._open()

    def _open(self) -> None:
        columns = [
            SeenColumn(title, unit, parts=parts)
            for (title, unit), parts in zip(self.titles, self.groups, strict=True)
        ]
        self.tables.append(Seen(self.grid, columns, self.header_row, self.pending))
        self.pending = []

    # rows

    def _data(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        values = sum(1 for n in filled if self._value(row[n]))
        if values > 1 and not any(valuelike(row[n]) for n in filled):
            values = self._ids_of_a_row(row, filled)
        alone = len(filled) == 1 and not self._value(row[filled[0]])
        return values > 0 and not (alone and self._titular(row))

    def _ids_of_a_row(self, row: Sequence[Cell], filled: Sequence[int]) -> int:
        """Return how many ids a row holds, 0 where they are many of one look: titles of a matrix."""
        ids = [str(row[n]) for n in filled if self._value(row[n])]
        return len(ids) if len({len(each) for each in ids}) == len(ids) else 0

    def _belongs(self, index: int, filled: Sequence[int]) -> bool:
        row = self.rows[index]
        own = [n for n in filled if n in self.places]
        beyond = [n for n in filled if n >= self.width and valuelike(row[n])]
        first = row[filled[0]]
        if not own or self._lone_id(row, filled) or self._lone_text(index, first):
            return False
        if self.grid.delimiter is not None and beyond and not self._typed(row, own):
            return False
        if isinstance(first, str) and filled[0] == 0 and len(self.places) > 1:
            entry = ":" in first and _ENTRY.fullmatch(first) is not None and not valuelike(first)
            if entry and (len(filled) == 1 or not self._text_column(0)):
                return False
            if self._entry_amid(row, filled):
                return False
            if (
                len(filled) == 1
                and not self._value(first)
                and (len(self.places) > 2 or _CODE.search(first))
            ):
                return False
        table = self.tables[-1]
        if not table.rows and not any(n in self.places for n in filled):
            return False
        return self._typed(row, own)

    def _lone_text(self, index: int, first: Cell) -> bool:
        """Tell whether a line of a text has no delimiter where the rows of its table have some."""
        lone = self.grid.delimiter is not None and len(self.grid.rows[index]) == 1
        return lone and len(self.places) > 1 and isinstance(first, str) and not valuelike(first)

    def _pending_tells(self) -> bool:
        """Tell whether one of the lines since the last row does; each is looked at once."""
        for line in self.pending:
            if id(line) not in self.telling:
                self.telling[id(line)] = line, self._tells(line)
        return any(self.telling[id(line)][1] for line in self.pending)

    def _tells(self, line: Line) -> bool:
        """Tell whether a line amid rows says whose the next ones are, and is no mere comment."""
        texts = [str(cell) for cell in line.cells]
        if any(_CODE.search(text) or self.identity(text.strip()) for text in texts):
            return True
        names = [text.split(":")[0].split("=")[0].strip() for text in texts]
        return any(self.known(name) for name in names) or _ENTRY.fullmatch(texts[0]) is not None

    def _text_column(self, place: int) -> bool:
        return place in self.places and self.sorts[self.places.index(place)] == "text"

    def _typed(self, row: Sequence[Cell], own: Sequence[int]) -> bool:
        """Tell whether cells are of the sort that their columns had so far: enough of them."""
        agree = against = 0
        for n in own:
            sort = self.sorts[self.places.index(n)]
            if sort is None or _says_nothing(row[n]):
                continue
            lone = len(own) == 1 and sort == "id"  # a text below ids is an end or a heading
            alike = sort == self._sort(row[n]) if lone else _alike(sort, self._sort(row[n]))
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
        more = [n for n in range(self.width, len(row)) if row[n] != ""]
        if self.grid.delimiter is not None and (fields < self.width or more):
            table.short.append((number, fields))
        for column, place in zip(table.columns, self.places, strict=True):
            column.cells.append(row[place] if place < len(row) else "")
        table.rows.append(number)
        for at, place in enumerate(self.places):
            cell = row[place] if place < len(row) else ""
            if self.sorts[at] is None and not _says_nothing(cell):
                self.sorts[at] = self._sort(cell)


def _has_values(row: Sequence[Cell]) -> bool:
    """Tell whether a row holds something that is a value by its look, and is none of units alone."""
    filled = [cell for cell in row if cell != ""]
    return len(filled) > 1 and not all(isinstance(c, str) and is_unit(c) for c in filled)


def _alike(one: CellSort | None, other: CellSort) -> bool:
    """Tell whether cells of two sorts may stand in one column: an id may stand among texts."""
    return one == other or {one, other} == {"id", "text"}


def _has_colon(text: str) -> bool:
    """Tell whether a text has a colon, but for that of a unit such as min:s."""
    return ":" in _MINUTES.sub("", text)


def is_ruler(cells: Sequence[Cell]) -> bool:
    """Tell whether cells are nothing but a line drawn with signs."""
    return all(isinstance(cell, str) and _RULER.fullmatch(cell) for cell in cells) and any(
        len(str(cell)) > 2 for cell in cells
    )


def _of_values(table: Seen) -> bool:
    """Tell whether a table has no rows and titles like values: then these were a row of another."""
    return not table.rows and all(valuelike(column.title) for column in table.columns)


def cleaned(row: Sequence[Cell]) -> list[Cell]:
    """Return a row without the sign of a comment in front."""
    place = next((n for n, cell in enumerate(row) if cell != ""), None)
    cells = list(row)
    if place is not None and isinstance(first := cells[place], str) and not is_plain(first):
        match = _COMMENT.match(first)
        if is_unit(first):
            return cells  # such as % w/w, where % is no sign of a comment
        if (match and not valuelike(first) and not first.startswith(("--", "%", "*"))) or (
            match and first[0] in "%*" and len(first) > match.end() and first[1:2] == " "
        ):
            cells[place] = _unquoted(first[match.end() :].strip())
        if match := _FRAMED.fullmatch(str(cells[place]).strip()):
            cells[place] = match["text"]
    return cells


def _shape(text: str) -> str:
    return re.sub(r"\d", "0", re.sub(r"[^\W\d_]", "a", text.strip()))


def _unquoted(text: str) -> str:
    """Return a text without the quotation marks around it, which the sign of a comment kept there."""
    inner = text[1:-1]
    return inner if text[:1] == text[-1:] == '"' and inner and '"' not in inner else text


def _says_nothing(cell: Cell) -> bool:
    """Tell whether a cell shows no sort: it is empty, or a nought, which stands among texts too."""
    return cell == "" or cell in (0, "0") or str(cell).casefold() in EMPTY_WORDS


def title_text(cell: Cell) -> str:
    """Return a cell as a title: 1 for the number 1.0 of a workbook."""
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    return str(cell).strip()


def _no_title(cell: Cell) -> bool:
    """Tell whether a cell can only be a value: a broken number, a date, a clock time."""
    if not isinstance(cell, str):
        return not (isinstance(cell, float | int) and cell == int(cell) and 0 <= cell < 1000)
    if _dated(cell) or is_notation(cell):
        return True
    return _DECIMAL.fullmatch(cell) is not None


def _is_sentence(cell: Cell) -> bool:
    """Tell whether a cell is a part of a sentence with an amount in it: panels cured 7 days before."""
    if not isinstance(cell, str) or len(cell.split()) < _SENTENCE_FROM:
        return False
    return _AMOUNT_WITHIN.search(_BRACKETS.sub(" ", cell)) is not None


def _dated(text: str) -> bool:
    return bool(
        _CLOCK.fullmatch(text)
        or _NAMED_DAY.fullmatch(text)
        or re.fullmatch(r"\d{1,4}[./-]\d{1,2}[./-]\d{1,4}.*", text)
    )


def is_unit(text: str) -> bool:
    """Tell whether a text is a unit, in brackets or not, or a dash for none."""
    inner = text.strip("[](){} ")
    return (
        inner in ("-", "–", "", "C", "F")
        or _MINUTES.fullmatch(inner) is not None
        or (plain_unit(inner) is not None)
    )


def _units(row: Sequence[Cell], filled: Sequence[int]) -> bool:
    """Tell whether a row holds nothing but units, one at least that says something."""
    texts = [row[n] for n in filled]
    if not all(isinstance(text, str) and is_unit(text) for text in texts):
        return False
    return any(str(text).strip("-–[](){} 0123456789") for text in texts)


def transposed(grid: Grid) -> Grid:
    """Return a grid with its rows as columns; every row of it counts as the first of the file."""
    width = max((len(row) for row in grid.rows), default=0)
    rows: list[list[Cell]] = [
        [row[n] if n < len(row) else "" for row in grid.rows] for n in range(width)
    ]
    first = grid.numbers[0] if len(grid.numbers) else 1
    return Grid(rows, [first] * len(rows), delimiter=None, sheet=grid.sheet)
