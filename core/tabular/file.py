"""A whole export as a person sees it: its tables, entries, the marks of its numbers and dates."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from tiecoat.dialect.delimited import (
    DELIMITERS,
    Cell,
    Grid,
    declared_delimiter,
    lines_of,
    split,
)
from tiecoat.dialect.export import Export
from tiecoat.dialect.numbers import DecimalMark
from tiecoat.dialect.units import plain_unit, scale
from tiecoat.tabular.aligned import aligned
from tiecoat.tabular.aside import seen_as_records, seen_aside
from tiecoat.tabular.beside import parts_beside
from tiecoat.tabular.cell_looks import ONE_BLANK, valuelike
from tiecoat.tabular.day_order import DatesTold
from tiecoat.tabular.entry_lines import not_told, once, told_in_line
from tiecoat.tabular.facts import is_empty, told_mark
from tiecoat.tabular.moments import DayOrder, is_day
from tiecoat.tabular.outline import KnownLayout
from tiecoat.tabular.seen import Allows, Known, Line, Seen, SeenColumn, Sight
from tiecoat.tabular.sight import look
from tiecoat.tabular.typed import seen_as_note
from tiecoat.tabular.words import Title, bare, code_of, parted

_CLEAN = 0.95  # share of cells and rows that fit where a delimiter is the right one
_BLANKS = re.compile(r"[ \u00a0]{2,}|\t+")
_TWO_PLACES = 3  # signs of a code of two places, such as B/C
_ONE_BLANK = re.compile(r"\s+")
_LISTED = re.compile(r"\s*[,;/+&]\s*|\s+")
_PART = re.compile(r"[;,]|:\s")
_PHRASE_ENDS = re.compile(r"[;|]|,\s")
_LEGEND = re.compile(r"(?P<letters>[^\W\d]{1,3})\s*[=:–]\s*(?P<meaning>[^\W\d][^=]{4,60})")
_UNIT_WORD = re.compile(r"[^\s,;:=()\[\]]+(?:[ ·][^\s,;:=()\[\]\d]+)?")

SpokenIn = Callable[[Iterable[str], Iterable[str]], str]


@dataclass(frozen=True)
class ToldEntry:
    """An entry: a name and what stands beside it. `table` is the number of the table it is above."""

    title: Title
    value: Cell
    unit: str | None
    row: int
    table: int | None
    sheet: str | None


@dataclass
class FileTable:
    """A table of the file: what is seen, and the entries that count for it."""

    seen: Seen
    number: int
    entries: list[ToldEntry] = field(default_factory=list)
    headings: list[Line] = field(default_factory=list)
    by_columns: bool = False

    @cached_property
    def titles(self) -> list[Title]:
        """The titles, parted; a unit below a title counts where the title names none."""
        found = []
        for column in self.seen.columns:
            title = parted(column.title)
            if column.unit is not None and title.unit is None:
                title = Title(title.raw, title.name, column.unit, title.turned, title.log)
            found.append(title)
        return found


class File:
    """An export, looked at.

    Parameters
    ----------
    export
        A text or a workbook.
    known
        Tells whether a text is a word of any kind.
    summary
        Tells whether a text begins the row of a summary.
    allows
        Tells whether a text is a closed word of what a title names.
    layout
        How a text of this outline was read before: nothing else is looked at.
    language
        Returns the language of titles and sentences if it is surely not English, else "".
    """

    def __init__(
        self,
        export: Export,
        known: Known,
        summary: Known,
        allows: Allows | None = None,
        layout: KnownLayout | None = None,
        *,
        language: SpokenIn = lambda titles, sentences: "",
    ) -> None:
        self.export = export
        self._language = language
        self._known, self._summary = known, summary
        self._allows = allows or (lambda title, text: False)
        self._layout = layout
        habits = export.habits
        self._ids = [
            re.compile(pattern, re.IGNORECASE) for pattern in (habits.panel_ids, habits.batch_ids)
        ]
        self.sights = self._looked()
        self.upright = len(self.sights) == 1 and not any(map(_turned, self.sights))
        self.tables: list[FileTable] = []
        self.stray: list[ToldEntry] = []  # entries that count for every table
        self._gather()

    # the grids

    def _looked(self) -> list[Sight]:
        export = self.export
        if export.is_workbook:
            sheets = list(export._sheet_grids())
            grids = [
                part for grid in sheets for part in parts_beside(grid, self._known, self._identity)
            ]
            sights = [self._best(grid) for grid in grids]
            return [sight for sight in sights if sight.tables or sight.below]
        text = export.text()
        lines = lines_of(text)
        before = self._layout.delimiter if self._layout else None
        grids = [one for one in _grids(lines, text, before) if before in (None, one.delimiter)]
        if not grids:
            return []
        if self._layout and self._layout.upright:
            return [self._upright(grids[0])]
        found = [self._best(grid) for grid in grids]
        best = max(found, key=self._worth) if len(found) > 1 else found[0]
        if not self._titled(best) and (note := seen_as_note(lines, self._known, self._identity)):
            return [note]
        parts = parts_beside(best.grid, self._known, self._identity)
        return [best] if len(parts) == 1 else [self._best(part) for part in parts]

    def _best(self, grid: Grid) -> Sight:
        """Return the best of the ways to see a grid: as it stands, on its side, or as records."""
        if (
            records := seen_as_records(grid, self._known, self._identity, self._allows)
        ) is not None:
            return records
        direct = self._upright(grid)
        if any(table.rows and _grouped(table) for table in direct.tables):
            return direct  # titles in two rows stand upright
        turned = seen_aside(grid, self._known, self._summary, self._identity)
        known = self._known_titles(turned) if turned else 0
        return turned if turned and known > max(1, self._known_titles(direct)) else direct

    def _upright(self, grid: Grid) -> Sight:
        return look(grid, self._known, self._summary, self._identity, self._allows)

    def _identity(self, text: str) -> bool:
        """Tell whether a text is an id by its look, or a list of ids."""
        return all(any(ids.fullmatch(part) for ids in self._ids) for part in in_list(text))

    def _known_titles(self, sight: Sight) -> int:
        return max(
            (len({t for t in titles if self._names(t)}) for titles in _titles(sight)), default=0
        )

    def _titled(self, sight: Sight) -> bool:
        """Tell whether a table has titles that are words of the trade, and not of a sentence."""
        return any(
            sum(
                self._names(title) and not any(map(str.isdigit, parted(title).name))
                for title in titles
            )
            > 1
            for titles in _titles(sight)
        )

    def _names(self, title: str) -> bool:
        return not valuelike(title) and self._known(title)

    def _worth(self, sight: Sight) -> tuple[float, ...]:
        """Rank a way to see a text: known titles with values under them, few cells that are none."""
        known = self._known_titles(sight)
        if sight.records:
            known = len(self._entry_names(sight))
        cells = clean = 0
        for table in sight.tables:
            for column in table.columns:
                texts = [cell for cell in column.cells[:50] if not is_empty(cell)]
                cells += len(texts)
                clean += sum(1 for cell in texts if not _still_joined(cell))
        entries = sum(1 for line in sight.lines if self._is_entry(line))
        share = clean / cells if cells else 0.0
        uneven = sum(len(table.short) for table in sight.tables) + len(sight.orphans)
        rows = sum(len(table.rows) for table in sight.tables)
        even = 1 - min(1.0, uneven / rows) if rows else 0.0
        by_blanks = (sight.grid.delimiter or "").isspace() and sight.grid.delimiter != "\t"
        if sight.records:
            share = even = 1.0
        good = known > 0 and share * even > _CLEAN
        return (
            good and not by_blanks,
            round(known * share * even, 3),
            not by_blanks,
            clean * share * even,
            entries,
            rows,
        )

    def _is_entry(self, line: Line) -> bool:
        return any(True for _ in told_in_line(line, self._known))

    def _entry_names(self, sight: Sight) -> set[str]:
        """Return the words of the trade that name entries of a grid without tables."""
        pairs = (
            pair for line in sight.below for pair in told_in_line(line, self._known, sight.grid)
        )
        return {name for name, _, _ in pairs if self._known(name)}

    # entries

    def _gather(self) -> None:
        for sight in self.sights:
            for seen in sight.tables:
                table = FileTable(seen, len(self.tables))
                self.tables.append(table)
                for line in seen.above:
                    self._place(line, table, sight.grid)
            owner = self.tables[-1] if len(sight.tables) == 1 else None
            for line in sight.below:
                self._place(line, owner, sight.grid, below=True)
        self._hand_down()
        self._small_tables_are_entries()
        if not self.tables:
            self._records()

    def _hand_down(self) -> None:
        """What looked like titles with no rows below are lines of the next table, if there is one."""
        kept: list[FileTable] = []
        entries: list[ToldEntry] = []
        headings: list[Line] = []
        for table in self.tables:
            entries, headings = entries + table.entries, headings + table.headings
            if not table.seen.rows:
                titles = tuple(column.title for column in table.seen.columns)
                headings.append(Line(titles, table.seen.header_row))
                continue
            table.entries, table.headings = entries, headings
            kept.append(table)
            entries, headings = [], []
        self.tables = kept

    def _place(
        self, line: Line, table: FileTable | None, grid: Grid, *, below: bool = False
    ) -> None:
        found = False
        pairs = once(told_in_line(line, self._known, grid))
        for name, value, unit in pairs:
            told = ToldEntry(
                parted(name), value, unit, line.row, table.number if table else None, grid.sheet
            )
            found = True
            if table is None:
                self.stray.append(told)
            else:
                table.entries.append(told)
                if is_day(value) and (tail := line.text.partition(f"{value} = ")[2]):
                    table.headings.append(Line((tail,), line.row))
        if table is not None and (not found or _is_text(line)):
            table.headings.append(line)
        elif table is not None and (rest := not_told(line, pairs)):
            if grid.delimiter == ",":  # a decimal comma may have parted an amount
                rest = tuple(cell for cell in rest if str(cell)[0].isalpha())
            table.headings += [Line(rest, line.row)] if rest else []

    def _small_tables_are_entries(self) -> None:
        """A table of one row above a longer one tells what holds for it."""
        if len(self.tables) < 2:
            return
        kept = []
        waiting: list[ToldEntry] = []
        for place, table in enumerate(self.tables):
            later = self.tables[place + 1 :]
            if (
                len(table.seen.rows) == 1
                and later
                and len(later[0].seen.rows) > 2
                and not _alike(table, later[0])
            ):
                for title, column in zip(table.titles, table.seen.columns, strict=True):
                    waiting.append(
                        ToldEntry(
                            title,
                            column.cells[0],
                            title.unit,
                            table.seen.rows[0],
                            later[0].number,
                            table.seen.sheet,
                        )
                    )
                later[0].entries[:0] = table.entries
                later[0].headings[:0] = table.headings
                continue
            table.entries = waiting + table.entries
            waiting = []
            kept.append(table)
        self.tables = kept

    def _records(self) -> None:
        """A file of nothing but entries is a table of one row, or of one for each time they repeat."""
        for sight in self.sights:
            records: list[dict[str, ToldEntry]] = [{}]
            headings: list[Line] = []
            for line in sight.below:
                pairs = once(told_in_line(line, self._known, sight.grid, every=True))
                if rest := not_told(line, pairs):
                    headings.append(Line(rest, line.row))
                for name, value, unit in pairs:
                    title = parted(name)
                    key = (
                        name.strip()
                        if len(code_of(name) or "") == _TWO_PLACES
                        else title.name.rstrip(". ")
                    )
                    if key in records[-1]:
                        records.append({})
                    records[-1][key] = ToldEntry(
                        title, value, unit or title.unit, line.row, None, sight.grid.sheet
                    )
            records = [record for record in records if record]
            if not records:
                continue
            first, general = records[0], {}
            names = list(dict.fromkeys(name for record in records for name in record))
            if len(records) > 1:
                repeated = [name for name in names if sum(name in record for record in records) > 1]
                general = {name: told for name, told in first.items() if name not in repeated}
                names = repeated
            columns = []
            for name in names:
                columns.append(_column_of(name, [record.get(name) for record in records]))
            rows = [next(iter(record.values())).row for record in records]
            seen = Seen(sight.grid, columns, rows[0], [], rows)
            table = FileTable(seen, len(self.tables), list(general.values()), headings)
            self.tables.append(table)

    def entries_for(self, table: FileTable) -> Iterator[ToldEntry]:
        """Return what counts for a table: its own entries, then those of the file's top, then stray.

        What stands above the first table counts for all of a text or a sheet that have no such
        entry of their own.
        """
        yield from table.entries
        earlier = table.seen.before
        while earlier is not None:
            known = next((one for one in self.tables if one.seen is earlier), None)
            yield from known.entries if known else ()
            earlier = earlier.before
        first = next((one for one in self.tables if one.seen.grid is table.seen.grid), None)
        if first is not None and first is not table:
            yield from _of_the_top(first, table, self._known)
        yield from self.stray
        if self.export.is_workbook:
            for other in self.tables:
                if (
                    other.seen.grid is not table.seen.grid
                    and len(self._sheets_with(other)) == 1
                    and not other.seen.rows
                ):
                    yield from other.entries

    def _sheets_with(self, table: FileTable) -> list[Sight]:
        return [sight for sight in self.sights if sight.grid is table.seen.grid]

    # what the whole file tells

    @cached_property
    def order(self) -> DayOrder:
        """Whether dates begin with the day or with the month."""
        cells = [cell for sight in self.sights for row in sight.grid.rows for cell in row]
        names = [re.sub(r"\.\w{2,4}$", "", self.export.name), self.export.folder]
        formats = self.export.habits.time_formats
        return DatesTold(cells, names, formats, self._spoken).order()

    def _spoken(self) -> str:
        """Return the language that the file is written in, where that is surely not English."""
        titles = [title.raw for table in self.tables for title in table.titles]
        titles += [told.title.raw for table in self.tables for told in table.entries]
        titles += [told.title.raw for told in self.stray]
        lines = [line.text for sight in self.sights for line in sight.lines]
        return self._language(titles, lines)

    @cached_property
    def mark(self) -> DecimalMark | None:
        """The decimal mark that the file as a whole speaks for."""
        for delimiter in dict.fromkeys(table.seen.grid.delimiter for table in self.tables):
            cells = [
                c.cells
                for t in self.tables
                if t.seen.grid.delimiter == delimiter
                for c in t.seen.columns
            ]
            if (mark := told_mark(cells, delimiter)) is not None:
                return mark
        if (habit := self.export.habits.decimal) != "auto":
            return habit
        return None

    @cached_property
    def listed_units(self) -> dict[str, set[str]]:
        """The units that lines such as `Units: T in °C; D in 1/s` give, by the bare title."""
        found: dict[str, set[str]] = {}
        for sight in self.sights:
            for cell in (cell for line in sight.lines for cell in line.cells):
                for part in _PART.split(cell) if isinstance(cell, str) else ():
                    said = parted(part.strip())
                    if said.unit and said.name:
                        found.setdefault(bare(said.name), set()).add(said.unit)
        return found

    @cached_property
    def legend(self) -> dict[str, str]:
        """What lines such as `d = width of the damage, w = width of the scribe` say of letters."""
        return {
            match["letters"]: match["meaning"].strip()
            for sight in self.sights
            for line in sight.lines
            for part in _PHRASE_ENDS.split(line.text)
            if (match := _LEGEND.fullmatch(part.strip()))
        }

    def with_listed_unit(self, title: Title) -> Title:
        """Return a title with the unit that a line of the file lists for it, if it has none."""
        units = self.listed_units.get(bare(title.name), set())
        return replace(title, unit=min(units)) if title.unit is None and len(units) == 1 else title

    def mentions(self, unit: str) -> dict[str, list[Line]]:
        """Return the other units of a dimension that the free lines, titles and entries speak of."""
        found: dict[str, list[Line]] = {}
        lines = [line for sight in self.sights for line in sight.lines]
        for line in lines:
            for cell in line.cells:
                if not isinstance(cell, str):
                    continue
                for word in _unit_words(cell):
                    if _another(word, unit):
                        found.setdefault(word, []).append(line)
        for table in self.tables:
            for said in (title.unit for title in table.titles):
                if said and _another(said, unit):
                    found.setdefault(said, []).append(Line((said,), table.seen.header_row))
        return found


def _of_the_top(first: FileTable, table: FileTable, known: Known) -> Iterator[ToldEntry]:
    """Return what the lines above the first table tell of all: of no paragraph that comes again.

    Where a later table has a block of entries of its own that repeats some of them, what is left
    out of it is missing there: the date or the dolly of another panel is none of its own.
    """
    own = {told.title.name for told in table.entries if known(told.title.name)}
    grid = first.seen.grid
    filled = {
        n for n, cells in zip(grid.numbers, grid.rows, strict=True) if any(c != "" for c in cells)
    }
    paragraph = 0
    before: int | None = None
    paragraphs: dict[int, list[ToldEntry]] = {}
    for told in sorted(first.entries, key=lambda told: told.row or 0):
        row = told.row or 0
        if before is not None and any(n not in filled for n in range(before, row)):
            paragraph += 1
        before = row
        paragraphs.setdefault(paragraph, []).append(told)
    again = [
        told
        for entries in paragraphs.values()
        if own & {told.title.name for told in entries}
        for told in entries
    ]
    yield from (told for told in first.entries if not any(told is each for each in again))


def _another(word: str, unit: str) -> bool:
    way = scale(word, unit)
    return way is not None and (way.factor != 1 or bool(way.offset))


def _unit_words(text: str) -> Iterator[str]:
    for match in _UNIT_WORD.finditer(text):
        for word in {match[0], match[0].split(" ")[0]}:
            bare = word.strip(".,;:!?'\"").lstrip("0123456789.,+-")
            if (
                bare
                and bare != "in"  # a word of sentences
                and not bare.isdigit()
                and (len(bare) > 1 or bare in "Ω%°")
                and plain_unit(bare) not in (None, "")
            ):
                yield bare


def in_list(text: str) -> list[str]:
    """Return the parts of a text that lists something: parted by commas, slashes, signs or blanks."""
    return [part for part in _LISTED.split(text.strip()) if part]


def _column_of(name: str, told: Sequence[ToldEntry | None]) -> SeenColumn:
    """Return what records tell under one name, with the unit if it is the same for all."""
    units = {one.unit for one in told if one is not None and one.value != ""}
    if len(units) < 2:
        return SeenColumn(
            name, units.pop() if units else None, [one.value if one else "" for one in told]
        )
    cells: list[Cell] = []
    for one in told:
        number = one.value if one else ""
        if isinstance(number, float) and number.is_integer():
            number = int(number)
        cells.append(f"{number} {one.unit}" if one and one.unit and number != "" else number)
    return SeenColumn(name, None, cells)


def _turned(sight: Sight) -> bool:
    """Tell whether a grid is read otherwise than from above down: on its side, or as records."""
    return sight.records or any(table.grid is not sight.grid for table in sight.tables)


def _is_text(line: Line) -> bool:
    """Tell whether a line is a text that may speak of more than the amounts in it."""
    return len(line.cells) == 1 and not re.search(r"[:=]", line.text)


def _alike(one: FileTable, other: FileTable) -> bool:
    return [title.name for title in one.titles] == [title.name for title in other.titles]


def _titles(sight: Sight) -> Iterator[list[str]]:
    return ([column.title for column in table.columns] for table in sight.tables if table.rows)


def _grouped(seen: Seen) -> bool:
    """Tell whether titles of a table stand below others that span several of them, no two the same."""
    parts = [column.parts for column in seen.columns if len(column.parts) > 1]
    return len({each[0] for each in parts}) < len(parts) == len(set(parts))


def _still_joined(cell: Cell) -> bool:
    """Tell whether a cell holds several numbers that another delimiter would part."""
    if not isinstance(cell, str):
        return False
    if re.search(r"\d\s{2,}[-+]?\d", cell):
        return True
    return (
        len(re.findall(r"\d[\d.,eE+-]*", cell)) > 2
        and re.search(r"[;|\t]|\d, ?-?\d+[.,]\d", cell) is not None
    )


def _grids(lines: Sequence[str], text: str, known: str | None = None) -> Iterator[Grid]:
    """Return a text parted in each way that may be meant; in one alone where that is known."""
    declared = declared_delimiter(lines)
    if declared:
        yield split(lines, declared, 1)
        return
    if known in DELIMITERS:
        yield split(lines, known)
        return
    for mark in DELIMITERS:
        if mark in text:
            yield split(lines, mark)
    if not any(mark in text for mark in DELIMITERS[:2]):
        yield Grid(
            [[line.strip()] for line in lines],
            range(1, len(lines) + 1),
            delimiter="\0",
            whole_lines=lines,
        )
    ways: tuple[tuple[str, Sequence[Sequence[str]]], ...] = (
        (ONE_BLANK * 2, _by_blanks(lines)),
        (ONE_BLANK, [_ONE_BLANK.split(line.strip()) for line in lines]),
    )
    for mark, rows in ways:
        if sum(len(row) > 1 for row in rows) > 1:
            cells: list[list[Cell]] = [list(row) for row in rows]
            yield Grid(cells, range(1, len(lines) + 1), delimiter=mark, whole_lines=lines)
            return


def _by_blanks(lines: Sequence[str]) -> list[list[str]]:
    """Return lines parted by several blanks or tabs, their cells under their columns."""
    if any("\t" in line for line in lines):
        return [_BLANKS.split(line.strip()) for line in lines]
    return aligned(lines)
