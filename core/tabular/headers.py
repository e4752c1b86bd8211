"""Where titles stand in a grid of cells: a row of them, what groups them, the units below."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from tiecoat.dialect.delimited import Cell, Grid
from tiecoat.tabular.cell_looks import (
    COMMENT,
    ONE_BLANK,
    are_units,
    counted_by_letters,
    has_colon,
    has_values,
    is_dated,
    is_entry,
    is_no_title,
    is_prose,
    is_ruler,
    is_sentence_of_amounts,
    is_unit,
    title_text,
    valuelike,
)
from tiecoat.tabular.groups import tells_groups_apart
from tiecoat.tabular.known_cells import KnownCells
from tiecoat.tabular.note_amounts import counts_determinations
from tiecoat.tabular.places import is_place
from tiecoat.tabular.title_parts import parted
from tiecoat.tabular.unit_entries import tells_unit_of_all

_ID = re.compile(r"(?=.*\d)(?=.*[^\W\d_])[\w./-]{5,}")
_LONE_ENTRY = re.compile(r"=|\.{3,}")
_LETTER = re.compile(r"[^\W\d_]")
_HOURS = re.compile(r"[1-9]\d{3,4}")  # of long exposures, below a group
_TITLE_ROWS = 3
_PAIRS = 4  # cells of two names with their values
_WORD_FROM = 3  # letters of a title that stands above a lone id


@dataclass(frozen=True)
class TitlesSeen:
    """The titles of a table: at which places they stand, with the units below them.

    `groups` are the parts of each title, from above down; `cells` the last row of titles as it
    stands, `number` its row in the file; `width` the fields that a row needs to reach them all.
    `headings` are the indices of lines between them and the first row, which say whose it is.
    """

    places: Sequence[int]
    titles: Sequence[tuple[str, str | None]]
    groups: Sequence[tuple[str, ...]]
    cells: Sequence[Cell]
    width: int
    number: int
    headings: Sequence[int] = ()

    def is_again(self, row: Sequence[Cell]) -> bool:
        """Tell whether a row holds these titles once more."""
        return bool(self.cells) and [*row] == [*self.cells]

    def named(self, cells: KnownCells) -> int:
        """Return how many of the titles are words of the trade."""
        return sum(1 for title, _ in self.titles if cells.names(title))


NO_TITLES = TitlesSeen((), (), (), (), 0, 0)


class HeaderFinder:
    """Finds the titles in a grid.

    Parameters
    ----------
    rows
        Those of the grid, cleaned.
    """

    def __init__(self, grid: Grid, rows: Sequence[Sequence[Cell]], cells: KnownCells) -> None:
        self.grid, self.rows, self.cells = grid, rows, cells
        self.grouping: set[int] = set()  # indices of rows of titles that span several columns

    def at(self, index: int, present: TitlesSeen) -> tuple[TitlesSeen, int] | None:
        """Return the header that begins here, if one does, and the index of the row after it."""
        if not self._titular(present, self.rows[index]) or self._pairs(index):
            return None
        title_rows, place = [index], index + 1
        units: Sequence[Cell] | None = None
        gap = False  # whether an empty row stands below the last row of titles
        headings: list[int] = []
        while place < len(self.rows) and place < index + 8:
            row = self.rows[place]
            filled = [n for n, cell in enumerate(row) if cell != ""]
            if not filled and place == title_rows[-1] + 1:
                gap, place = True, place + 1  # one empty row below the titles
                continue
            if not filled:
                return None
            if is_ruler([row[n] for n in filled]) or self._remark(index, place, filled):
                place += 1
            elif self._names_whose(title_rows[-1], row, filled):
                headings.append(place)
                place += 1
            elif units is None and are_units(row, filled):
                units, place = row, place + 1
            elif len(title_rows) < _TITLE_ROWS and self._below_groups(title_rows[-1], place):
                self.grouping.add(title_rows[-1])
                title_rows.append(place)
                gap, place = False, place + 1
            elif self._data(present, row, filled) or self._texts_below(
                present, title_rows[-1], row, filled
            ):
                break
            elif gap and self.cells.all_named(row, filled):
                return None  # titles of their own, below an entry or a heading
            elif self._titular(present, row) and len(title_rows) < _TITLE_ROWS and units is None:
                title_rows.append(place)
                gap, place = False, place + 1
            else:
                return None
        else:
            return None
        title_rows = self._title_rows(title_rows, self.rows[place])
        if title_rows[0] != index or not self._under(place, title_rows):
            return None
        titles = self._header_of(title_rows, units, self.rows[place])
        return replace(titles, headings=headings), place

    def _names_whose(self, titles: int, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        """Tell whether a row below titles is a line that names an id amid other words: `Panel K7-1`."""
        text = row[filled[0]]
        if len(filled) > 1 or not isinstance(text, str) or self.cells.identity(text):
            return False
        above = sum(1 for cell in self.rows[titles] if cell != "")
        return above > 1 and any(
            self.cells.identity(word.strip("()[]:,;")) for word in text.split()
        )

    def _pairs(self, index: int) -> bool:
        """Tell whether a row holds two names, each with its value beside it: a line of a form.

        `Panel | RB-001-1 | | Temperature | 23.1 °C`; below it stands another name, or nothing.
        """
        row = self.rows[index]
        filled = [n for n, cell in enumerate(row) if cell != ""]
        below = next((cell for cell in (self.rows[index + 1 :] or [[]])[0] if cell != ""), "")
        if len(filled) < _PAIRS or not (below == "" or self.cells.names_column(below)):
            return False
        first, second, *rest = filled
        if second != first + 1 or not self.cells.names_column(row[first]):
            return False
        named = [
            n
            for n in rest
            if self.cells.sort(cell := row[n]) == "text"
            and isinstance(cell, str)
            and not is_unit(cell)
            and n + 1 in rest
        ]
        return self.cells.is_value(row[second]) and bool(named)

    def _below_groups(self, upper: int, place: int) -> bool:
        """Tell whether a row of values tells the columns apart that groups in the row above span."""
        if place != upper + 1:
            return False
        below = next((row for row in self.rows[place + 1 : place + 4] if has_values(row)), [])
        named = not any(map(self._is_id, below))  # then ids in this row are those of its columns

        def may_title(cell: Cell) -> bool:
            return self._may_title(cell) or (named and self._is_id(cell))

        return tells_groups_apart(
            self.rows[upper], self.rows[place], below, self._tells_apart, may_title
        )

    def _tells_apart(self, cell: Cell) -> bool:
        """Tell whether a cell is a value by its look, or the number of a determination: 2nd, 2ª."""
        return self.cells.is_value(cell) or (isinstance(cell, str) and counts_determinations(cell))

    def _is_id(self, cell: Cell) -> bool:
        return isinstance(cell, str) and cell != "" and self.cells.identity(cell)

    def _may_title(self, cell: Cell) -> bool:
        """Tell whether a value may stand in a title: a whole number, an amount; no id, no day."""
        if isinstance(cell, str) and counts_determinations(cell):
            return True
        hours = _HOURS.fullmatch(f"{cell:g}" if isinstance(cell, float) else str(cell))
        return self.cells.sort(cell) == "value" and (bool(hours) or not is_no_title(cell))

    def _remark(self, index: int, place: int, filled: Sequence[int]) -> bool:
        """Tell whether a row below titles, that have no sign of a comment, is a lone comment."""
        above, row = (
            [str(cell) for cell in self.grid.rows[n] if cell != ""] for n in (index, place)
        )
        lone = len(filled) == 1 and len(above) > 1 and not is_unit(row[0])
        return lone and COMMENT.match(row[0]) is not None and COMMENT.match(above[0]) is None

    def _texts_below(
        self, present: TitlesSeen, titles: int, row: Sequence[Cell], filled: Sequence[int]
    ) -> bool:
        """Tell whether a row of nothing but texts is the first below titles of the trade."""
        if self.cells.allowed(self.rows[titles], row) or present.is_again(self.rows[titles]):
            return len(filled) > 1
        named = sum(1 for cell in self.rows[titles] if self.cells.names_column(cell))
        own = sum(1 for n in filled if isinstance(row[n], str) and self.cells.names(str(row[n])))
        return named > 1 and len(filled) > 1 and 2 * own < named

    def _titular(self, present: TitlesSeen, row: Sequence[Cell]) -> bool:
        filled = [cell for cell in row if cell != ""]
        if present.is_again(row):
            return True
        if self.cells.allowed(present.cells, row):
            return False
        if not filled or (
            len(filled) == 1
            and isinstance(filled[0], str)
            and (has_colon(filled[0]) or _LONE_ENTRY.search(filled[0]))
        ):
            return False
        if any(
            isinstance(cell, bool) or not isinstance(cell, str | float | int) for cell in filled
        ):
            return False
        if any(
            is_no_title(cell)
            or (is_sentence_of_amounts(cell) and not self.cells.names(title_text(cell)))
            for cell in filled
        ):
            return False
        if self.cells.sum_up(filled):
            return False
        if any(isinstance(cell, str) and tells_unit_of_all(cell) for cell in filled):
            return False
        if self.grid.delimiter == ONE_BLANK and any(str(cell).endswith(":") for cell in filled):
            return False
        if len(filled) > 1 and str(filled[1]).startswith((": ", "= ")):
            return False  # a name and a value below each other: `Spindel   : 25  small sample`
        if len(filled) > 1 and all(isinstance(c, str) and is_entry(c) for c in filled):
            return False  # each cell a name and a value
        numbers = [
            cell
            for cell in filled
            if valuelike(cell) and not (isinstance(cell, str) and _LETTER.search(cell))
        ]
        amounts = [cell for cell in filled if valuelike(cell)]
        if len(amounts) == len(filled) == len(present.places) > 1:
            return False  # 5 min, 24 mm: a row below titles, with a unit in each cell
        if self._is_corner(filled):
            return True
        if (len(amounts) == 1 and len(filled) <= 3) or len(set(map(str, numbers))) < len(numbers):
            return False  # a name, its value and perhaps a unit; or values that repeat
        named = [cell for cell in filled if isinstance(cell, str) and self.cells.names(cell)]
        if len(filled) == 2 and filled[0] in named and _ID.fullmatch(str(filled[1])):
            return False  # a name and an id
        if len(filled) == 2 and filled[0] in named and self.cells.is_amount(filled[1]):
            return False  # a name and an amount
        if len(filled) == 2 and self.cells.allowed(filled[:1], filled[1:]):
            return False  # a name and one of its words
        words = [cell for cell in filled if isinstance(cell, str) and _LETTER.search(cell)]
        if present.places and 2 * len(named) < min(present.named(self.cells), 4):
            return False  # a row of texts below titles that are words of the trade is no header
        return 2 * len(words) >= len(filled) or (bool(named) and len(filled) > 1)

    def _is_corner(self, filled: Sequence[Cell]) -> bool:
        """Tell whether cells are an id in the corner of a grid, and places behind it."""
        first, *rest = map(str, filled)
        return len(rest) > 1 and self.cells.identity(first) and all(map(is_place, rest))

    def _title_rows(self, rows: list[int], first: Sequence[Cell]) -> list[int]:
        """Return those of some rows of texts that make the header: the last, and what groups it.

        And what titles columns that the last leaves without one, where the first row has values.
        """
        kept = [rows[-1]]
        for upper in reversed(rows[:-1]):
            if self._is_prose(upper, kept[0]):
                break
            above, below = self.rows[upper], self.rows[kept[0]]
            sparse = [n for n, cell in enumerate(above) if cell != ""]
            wide = [n for n, cell in enumerate(below) if cell != ""]
            beside = sum(1 for n in sparse if n in wide)
            if sparse == [0] and (0 in wide or self._is_heading(upper, kept[0])):
                break
            if len(sparse) == 2 and str(above[sparse[0]]).endswith(":"):
                break  # a name and its value
            if self._names_one_id(above, sparse):
                break
            if upper in self.grouping:
                kept.insert(0, upper)
                continue
            titled = {n for m in kept for n, cell in enumerate(self.rows[m]) if cell != ""}
            alone = [n for n in sparse if n not in titled and n < len(first) and first[n] != ""]
            if len(alone) > 1 and set(wide) - set(sparse):
                kept.insert(0, upper)
                continue
            if wide[-1] < sparse[-1]:
                break  # what stands beyond the titles groups none of them
            if self._carry_units(below, wide) and set(wide) < {*sparse} <= _filled(first):
                kept.insert(0, upper)
                continue
            if self.cells.like_an_entry(above, sparse) and len(wide) != len(sparse):
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

    def _names_one_id(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        """Tell whether a row is a name with its id, and what was done: `Panel | K7-1 | | pulled 3 May`."""
        first, *rest = filled
        ids = [n for n in rest if self._is_id(row[n])]
        if not self.cells.names_column(row[first]) or ids != [first + 1] or len(rest) == 1:
            return False
        return all(
            self.cells.sort(row[n]) == "text" and not self.cells.names_column(row[n])
            for n in rest[1:]
        )

    def _carry_units(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        """Tell whether each cell of a row of titles ends with a unit: `width (mm)`, `(mm)`."""
        return all(
            isinstance(cell := row[n], str) and (is_unit(cell) or parted(cell).unit is not None)
            for n in filled
        )

    def _is_heading(self, upper: int, lower: int) -> bool:
        """Tell whether a lone first cell is no title of the first column: a gap below it, or no word."""
        return upper + 1 < lower or not self.cells.names_column(self.rows[upper][0])

    def _is_prose(self, upper: int, lower: int) -> bool:
        """Tell whether a row above another is a sentence that the delimiter has parted."""
        lines, numbers = self.grid.whole_lines, self.grid.numbers
        if self.grid.delimiter != "," or not lines:
            return False
        return is_prose(lines[numbers[upper] - 1], lines[numbers[lower] - 1])

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
        knows = sum(1 for title in titles if title and self.cells.known(title))
        if len(titled) == 1:
            amounts = parted(titles[0]).unit is not None
            below = str(row[min(filled)])
            if is_dated(below) and _LETTER.search(below):
                return False  # a heading, and below it who measured when
            if amounts and self.cells.sort(row[min(filled)]) == "id":
                return False  # a sentence about a unit, then a heading of an id
            return bool(knows) and filled == titled and not has_colon(titles[0])
        if (
            len(titled) <= 3
            and self.cells.like_an_entry(row, sorted(filled))
            and not self._id_column(index)
            and not self.cells.allowed(self.rows[title_rows[-1]], row)
        ):
            return False
        if not knows and (len(titled) < 3 or len(filled) < 2):
            return False
        long = sum(1 for title in titles if len(title) > 1 and self.cells.known(title))
        if len(titled) == 2 and long < 2 and not self.cells.is_value(row[min(filled)]):
            return False  # a name and a text, then a name and its value
        words = all(len(title.strip()) >= _WORD_FROM for title in titles)
        if (
            words
            and 1 < len(titled) == knows
            and any(self.cells.identity(str(row[n])) for n in filled & titled)
        ):
            return True
        return 2 * len(filled & titled) > len(titled) or (knows > 1 and len(filled & titled) > 1)

    def _id_column(self, index: int) -> bool:
        """Tell whether the first cells of this row and the next come again, or are no names."""
        firsts = [
            next((cell for cell in row if cell != ""), "") for row in self.rows[index : index + 3]
        ]
        return len(set(map(str, firsts))) < len(firsts) or all(
            not isinstance(first, str) or self.cells.is_value(first) or not self.cells.known(first)
            for first in firsts
        )

    def _header_of(
        self, title_rows: Sequence[int], units: Sequence[Cell] | None, first: Sequence[Cell]
    ) -> TitlesSeen:
        width = max(len(self.rows[n]) for n in title_rows)
        stacked: list[list[str]] = [[] for _ in range(width)]
        for n in title_rows:
            group, last = "", n == title_rows[-1]
            told = [title_text(cell) for cell in self.rows[n]]
            merged = self.grid.merged.get(self.grid.numbers[n], ())
            for place in range(width):
                text = told[place] if place < len(told) else ""
                if not last:
                    ended = merged and not any(first < place <= end for first, end in merged)
                    group = text if ended else text or group
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
        places = [n for n, titles in enumerate(stacked) if titles or n in untitled]
        said = (
            {n: str(units[n]).strip("[](){} ") for n in range(len(units)) if units[n] != ""}
            if units
            else {}
        )
        titles: list[tuple[str, str | None]] = []
        groups: list[tuple[str, ...]] = []
        for n in places:
            parts = stacked[n]
            unit = said.get(n)
            if len(parts) > 1 and unit is None and _are_all_units(parts, stacked):
                unit, parts = parts[-1].strip("[](){} "), parts[:-1]
            titles.append((" ".join(parts), None if unit in (None, "", "-", "–") else unit))
            groups.append(tuple(parts))
        row = title_rows[-1]
        return TitlesSeen(
            places, titles, groups, self.rows[row], max(places) + 1, self.grid.numbers[row]
        )

    def _data(self, present: TitlesSeen, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        values = sum(1 for n in filled if self.cells.is_value(row[n]))
        if values > 1 and not any(valuelike(row[n]) for n in filled):
            values = self.cells.ids_of_a_row(row, filled)
        alone = len(filled) == 1 and not self.cells.is_value(row[filled[0]])
        return values > 0 and not (alone and self._titular(present, row))


def _are_all_units(parts: Sequence[str], stacked: Sequence[Sequence[str]]) -> bool:
    """Tell whether a title below a group is a unit: of B, B/C and C no part is."""
    own = [each[-1] for each in stacked if len(each) > 1 and [*each[:-1]] == [*parts[:-1]]]
    below = dict.fromkeys(own)
    units = all(is_unit(each) and not each.isdigit() for each in below)
    return units and not counted_by_letters([*below])


def _filled(row: Sequence[Cell]) -> set[int]:
    return {n for n, cell in enumerate(row) if cell != ""}
