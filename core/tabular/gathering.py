"""The lines around tables gathered: entries with what they count for, headings, records as a table."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence

from tiecoat.dialect.delimited import Cell, Grid, numberlike
from tiecoat.tabular.cell_looks import is_prose, shape_of, valuelike
from tiecoat.tabular.entry_lines import not_told, once, told_in_line
from tiecoat.tabular.listed_readings import with_readings_apart
from tiecoat.tabular.moments import is_clock, is_day
from tiecoat.tabular.note_amounts import NUMBER
from tiecoat.tabular.plain_words import code_of
from tiecoat.tabular.seen import Known, Line, Seen, SeenColumn, Sight
from tiecoat.tabular.title_parts import parted
from tiecoat.tabular.told_entries import FileTable, ToldEntry

_WORD = re.compile(r"[^\W\d_]{3,}")
_MARK = (
    re.compile(  # from the first letter behind a mark on: from each, a long line would take long
        r"(?<![^:=])(?:(?![:=])[\W\d_])*+[^\W\d_][^:=]*+[:=](?!\d\d)|\.{3,}"
    )
)
_NAME_AND_READINGS = re.compile(
    rf"(?P<name>[^\W\d][^:=\d]{{1,30}}?)\s*[:=]?\s+(?P<readings>{NUMBER}(?:\s{{2,}}{NUMBER})+)"
)
_TWO_PLACES = 3  # signs of a code of two places, such as B/C


def gathered(sights: Sequence[Sight], known: Known) -> tuple[list[FileTable], list[ToldEntry]]:
    """Return the tables of an export, each with its entries and headings, and the stray entries."""
    gatherer = _Gatherer(sights, known)
    gatherer.gather()
    return gatherer.tables, gatherer.stray


class _Gatherer:
    def __init__(self, sights: Sequence[Sight], known: Known) -> None:
        self.sights, self._known = sights, known
        self.tables: list[FileTable] = []
        self.stray: list[ToldEntry] = []  # entries that count for every table

    def gather(self) -> None:
        for sight in self.sights:
            for seen in sight.tables:
                table = FileTable(seen, len(self.tables))
                self.tables.append(table)
                for line in seen.above:
                    self._place(line, table, sight)
            owner = self.tables[-1] if len(sight.tables) == 1 else None
            for line in sight.below:
                self._place(line, owner, sight)
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

    def _place(self, line: Line, table: FileTable | None, sight: Sight) -> None:
        found, grid = False, sight.grid
        pairs = once(told_in_line(line, self._known, grid))
        if pairs and _is_row(line, pairs, grid):
            sight.orphans.append(line.row)
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

    def _told_records(self, sight: Sight) -> tuple[list[dict[str, ToldEntry]], list[Line]]:
        """Return what the lines of a grid tell by name, begun anew where a name comes again; the rest."""
        records: list[dict[str, ToldEntry]] = [{}]
        headings: list[Line] = []
        marked = 2 * sum(map(_is_marked, sight.below)) > len(sight.below)
        for line in sight.below:
            pairs = _listed(line) or once(told_in_line(line, self._known, sight.grid, every=True))
            if marked and not _is_marked(line) and not any(self._known(name) for name, *_ in pairs):
                pairs = []  # the title of a ticket
            if _is_row(line, pairs, sight.grid):
                sight.orphans.append(line.row)
                continue
            if whole := _prose(line, sight.grid):
                pairs = [pair for pair in pairs if valuelike(pair[1])]
            if whole or (_is_text(line) and ", " in line.text and ".." not in line.text):
                headings.append(Line((whole or line.text,), line.row))
            elif rest := not_told(line, pairs):
                headings.append(Line(rest, line.row))
            for name, value, unit in pairs:
                title = parted(name)
                coded = len(code_of(name) or "") == _TWO_PLACES
                key = name.strip() if coded else title.name.rstrip(". ")
                if key in records[-1]:
                    records.append({})
                records[-1][key] = ToldEntry(
                    title, value, unit or title.unit, line.row, None, sight.grid.sheet
                )
        return [record for record in records if record], headings

    def _records(self) -> None:
        """A file of nothing but entries is a table of one row, or of one for each time they repeat."""
        for sight in self.sights:
            records, headings = self._told_records(sight)
            if not records:
                continue
            first, general = records[0], {}
            names = list(dict.fromkeys(name for record in records for name in record))
            if len(records) > 1:
                repeated = [name for name in names if sum(name in record for record in records) > 1]
                last = max(n for n, name in enumerate(first) if name in repeated)
                general = {
                    name: told
                    for n, (name, told) in enumerate(first.items())
                    if name not in repeated and n < last
                }  # what ends the first record is its own, and the others lack it
                names = [name for name in names if name in repeated or name in [*first][last:]]
            if any(_goes_on_behind(sight.grid, told) for told in _of_one_shape(first)):
                continue
            first_row = next(iter(first.values())).row
            columns = [_column_of(n, [record.get(n) for record in records]) for n in names]
            rows = [
                next((told.row for name, told in record.items() if name in names), first_row)
                for record in records
            ]
            short = [(rows[-1], len(records[-1]))] if _breaks_off(records) else []
            seen = Seen(sight.grid, columns, rows[0], [], rows, short=short)
            seen = with_readings_apart(seen)
            table = FileTable(seen, len(self.tables), list(general.values()), headings)
            self.tables.append(table)


def _listed(line: Line) -> list[tuple[str, Cell, str | None]]:
    """Return the name and the readings of a line that lists some: `READINGS 48.6  47.8  49.1`."""
    match = _NAME_AND_READINGS.fullmatch("  ".join(map(str, line.cells)).strip())
    if match is None:
        return []
    return [(match["name"], "; ".join(match["readings"].split()), None)]


def _is_marked(line: Line) -> bool:
    """Tell whether a line parts a name from its value by a colon or the like, and is no clock time."""
    return _MARK.search(line.text) is not None


def _breaks_off(records: Sequence[Mapping[str, ToldEntry]]) -> bool:
    """Tell whether the last record ends before the others do: what is lacking is not as in those.

    A sentence, such as a remark, may be lacking.
    """
    *before, last = records
    if not before or [*last] != [*before[-1]][: len(last)]:
        return False
    lacking = [name for name in before[-1] if name not in last]
    lost = [n for n in lacking if not is_prose(str(before[-1][n].value), "")]
    return bool(lost) and all(set(lost) <= record.keys() for record in before)


def _of_one_shape(record: Mapping[str, ToldEntry]) -> list[ToldEntry]:
    """Return the entries whose names are codes of one look, such as the ids of batches."""
    shapes = Counter(shape_of(name) for name in record if any(map(str.isdigit, name)))
    return [told for name, told in record.items() if shapes[shape_of(name)] > 1]


def _goes_on_behind(grid: Grid, told: ToldEntry) -> bool:
    """Tell whether words stand behind the amount of an entry, of which nothing is read."""
    line = grid.line(told.row)
    if told.unit is None or line is None:
        return False
    behind = line.partition(told.unit)[2]
    return _WORD.search(behind) is not None


def _is_row(line: Line, pairs: Sequence[tuple[str, Cell, str | None]], grid: Grid) -> bool:
    """Tell whether a line has a value for a name, or more numbers than names.

    Then it is a row of a table whose titles were not understood, and what it holds would be lost.
    """
    behind = [str(cell) for cell in line.cells[1:]]
    numbers = 0  # a comma may be decimal
    if grid.delimiter != ",":
        numbers = sum(numberlike(cell) and not is_clock(cell) for cell in behind)
    return numbers > len(pairs) or any(name in behind and valuelike(name) for name, *_ in pairs)


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


def _is_text(line: Line) -> bool:
    """Tell whether a line is a text that may speak of more than the amounts in it."""
    return len(line.cells) == 1 and not re.search(r"[:=]", line.text.rstrip(" :"))


def _prose(line: Line, grid: Grid) -> str | None:
    """Return a line that the comma has parted if it is a sentence that names nothing with a colon."""
    whole = grid.line(line.row) if grid.delimiter == "," else None
    if whole is None:
        return None
    whole = whole.strip()
    return whole if is_prose(whole, "") and not re.search(r"[:=]", whole) else None


def _alike(one: FileTable, other: FileTable) -> bool:
    return [title.name for title in one.titles] == [title.name for title in other.titles]
