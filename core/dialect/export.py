"""An export as a reader sees it: bytes, text, sheets, tables, and where faults are noted."""

from __future__ import annotations

import math
import tomllib
from bisect import bisect_left, bisect_right
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from fnmatch import fnmatchcase
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, TypeAlias

from tiecoat.dialect.blocks import find_blocks
from tiecoat.dialect.delimited import (
    DELIMITERS,
    Cell,
    Grid,
    blank,
    declared_delimiter,
    lines_of,
    split,
)
from tiecoat.dialect.encoding import chosen, decode, read_in_pages
from tiecoat.dialect.entries import amount, entries
from tiecoat.dialect.habits import Habits, Layout
from tiecoat.dialect.numbers import EMPTY_WORDS, in_doubt, two_readings, weigh
from tiecoat.dialect.numbers import number as read_number
from tiecoat.dialect.sheets import is_workbook, read_sheets
from tiecoat.dialect.siblings import Siblings
from tiecoat.dialect.table import Table
from tiecoat.dialect.times import NoTime, read_time
from tiecoat.dialect.titles import Header, Names, Wanted, fits, lacking, wanted
from tiecoat.dialect.units import scale_from
from tiecoat.dialect.units import wanted as wanted_unit
from tiecoat.dialect.unread import ignored_rows, unread
from tiecoat.errors import FileHeld
from tiecoat.reasons import FAULTS_KEPT, Fault, Reason
from tiecoat.wording import at_line

if TYPE_CHECKING:
    from tiecoat.dialect.nested import Nested
    from tiecoat.dialect.picture_file import Picture
    from tiecoat.dialect.text_entries import TextEntries

Bytes: TypeAlias = bytes  # which is a method of an export, too

HEAD = 64 * 1024
_LINE_SHOWN = 200
_VISIBLE = {code: chr(0x2400 + code) for code in range(32)} | {0x7F: "␡"}


@dataclass(frozen=True)
class Sheet:
    """All cells of a sheet, or of a text file (then `name` is None).

    The first of `rows` is row 1 of the sheet; `numbers` says the line of each row of a text.
    """

    name: str | None
    rows: Sequence[Sequence[Cell]]
    numbers: Sequence[int]


class NotedFaults:
    """The faults of an export: each once, the first of them, and how many."""

    def __init__(self) -> None:
        self.first: list[Fault] = []
        self.count = 0
        self._every: set[Fault] = set()

    def add(self, fault: Fault) -> None:
        """Note a fault."""
        if fault in self._every:
            return
        self.count += 1
        if len(self.first) < FAULTS_KEPT:
            self._every.add(fault)
            self.first.append(fault)


class Export:
    """A file as an instrument wrote it, read once and offered in every form a reader needs.

    Parameters
    ----------
    path
        Where the bytes are; never changed.
    name
        The file's name as it arrived.
    folder
        The folder it arrived in, relative to the inbox; "" for the inbox itself.
    habits
        What the lab does where the file leaves it open.
    notes
        Where the notes are that a person put beside it, or None.
    beside
        The other files of the same export.
    of
        The export that this file is a companion in: its faults are noted there.
    """

    def __init__(
        self,
        path: Path,
        name: str,
        folder: str = "",
        habits: Habits = Habits(),
        notes: Path | None = None,
        *,
        beside: Sequence[Path] = (),
        of: Export | None = None,
    ) -> None:
        self.path = path
        self.name = name
        self.folder = folder
        self.habits = habits
        self._page: str | None = None
        self.choices: Any = None  # of the reader that is being asked
        self.may_lack: Collection[str] = ()  # columns that the kind of that reader lets be empty
        self.kept: dict[str, Any] = {}  # what a reader found when it was asked, for when it reads
        self._notes = notes
        self._beside = beside
        self._of = of
        self._noted: NotedFaults = of._noted if of else NotedFaults()
        self._texts: dict[str | None, str | FileHeld] = {}
        self._lines: dict[str | None, list[str]] = {}
        self._grids: dict[tuple[str | None, str | None], list[Grid]] = {}
        self._workbook: list[Grid] | FileHeld | None = None
        self._seen: dict[Grid, Siblings] = {}  # what `tables` looked through, and found
        self._ignored: dict[Grid, set[int]] = {}

    @property
    def faults(self) -> list[Fault]:
        """The first of the faults that were noted, those of companions among them."""
        return self._noted.first

    @property
    def fault_count(self) -> int:
        """How many faults were noted."""
        return self._noted.count

    @cached_property
    def companions(self) -> dict[str, Export]:
        """The other files of the same export by name, each offered in every form; see `Reader`."""
        return {
            path.name: Export(path, path.name, self.folder, self.habits, of=self)
            for path in self._beside
        }

    def companion(self, pattern: str) -> Export:
        """Return the first companion by name that fits a pattern such as "*.dat".

        Raises
        ------
        FileHeld
            COMPANION_MISSING.
        """
        named = self.companions.items()
        found = [one for name, one in named if fnmatchcase(name.casefold(), pattern.casefold())]
        if not found:
            self.hold(Reason.COMPANION_MISSING, expected=f"a file {pattern} beside it")
        return found[0]

    def bytes(self) -> Bytes:
        """Return all bytes of the file."""
        return self._raw

    @cached_property
    def size(self) -> int:
        """Size of the file in bytes."""
        return self.path.stat().st_size

    @cached_property
    def head(self) -> Bytes:
        """The first 64 KiB."""
        with self.path.open("rb") as file:
            return file.read(HEAD)

    @cached_property
    def _raw(self) -> Bytes:
        return self.head if len(self.head) < HEAD else self.path.read_bytes()

    @cached_property
    def is_workbook(self) -> bool:
        """True for a zip or OLE container by its first bytes, whatever the name says."""
        return is_workbook(self.head)

    @cached_property
    def is_picture(self) -> bool:
        """True for a PNG, JPEG or TIFF by its first bytes, whatever the name says."""
        from tiecoat.dialect.picture_file import is_picture

        return is_picture(self.head)

    def picture(self) -> Picture:
        """Return the decoded picture.

        Raises
        ------
        FileHeld
            DAMAGED_PICTURE; PICTURE_TOO_LARGE, before anything is unpacked.
        """
        from tiecoat.dialect.picture_file import read_picture

        return read_picture(self.path)

    @cached_property
    def notes(self) -> Mapping[str, Any]:
        """What a person wrote into `<file name>.toml` beside the file; empty without one.

        Raises
        ------
        FileHeld
            NOTES_INVALID.
        """
        if self._notes is None:
            return {}
        text = ""
        try:
            text = self._notes.read_text(encoding="utf-8-sig")
            return tomllib.loads(text)
        except ValueError as error:  # TOML or UTF-8
            said = at_line(str(error), text)
            self.hold(Reason.NOTES_INVALID, found=f"in {self.name}.toml: {said}")

    def um_per_pixel(
        self, picture: Picture, settled: float | None, low: float, high: float
    ) -> tuple[float, str]:
        """Return the size of a pixel in µm, and where it comes from.

        Parameters
        ----------
        picture
            The picture of this export.
        settled
            What the lab has set for the reader that asks, in µm; None for nothing.
        low, high
            What is possible for a picture of this sort, in µm.

        Raises
        ------
        FileHeld
            NO_SCALE, where neither notes nor settings nor metadata give one; SCALE_ABSURD;
            NOTES_INVALID.
        """
        noted = self.notes.get("um_per_pixel")
        if noted is not None:
            if isinstance(noted, bool) or not isinstance(noted, int | float):
                found = f"um_per_pixel = {noted!r} in {self.name}.toml"
                self.hold(Reason.NOTES_INVALID, found=found, expected="a number")
            size, origin = float(noted), "notes"
        elif settled is not None:
            size, origin = settled, "settings"
        elif picture.um_per_pixel is not None:
            size, origin = picture.um_per_pixel, "metadata of the file"
        else:
            self.hold(
                Reason.NO_SCALE,
                found="no resolution in the file but what programs write that know none",
                expected=f"um_per_pixel in notes beside it ({self.name}.toml) or in the settings",
            )
        if not low <= size <= high:
            found = f"{size:.4g} µm a pixel, from the {origin}"
            self.hold(Reason.SCALE_ABSURD, found=found, expected=f"{low:g} to {high:g} µm")
        return size, origin

    def text(self, encoding: str | None = None) -> str:
        """Return the whole text.

        Parameters
        ----------
        encoding
            Tried in place of the lab's code page.

        Raises
        ------
        FileHeld
            EMPTY_FILE, NOT_TEXT, WRONG_ENCODING; CUT_OFF for a text that ends in NUL bytes.
        """
        if encoding not in self._texts:
            try:
                if self.is_workbook:
                    self.hold(Reason.NOT_TEXT, found="a workbook or zip file", expected="text")
                if self.is_picture:
                    self.hold(Reason.NOT_TEXT, found="a picture", expected="text")
                self._texts[encoding] = decode(self._raw, self.code_page, encoding)
            except FileHeld as held:
                self._texts[encoding] = held
        found = self._texts[encoding]
        if isinstance(found, FileHeld):
            raise found.with_traceback(None)
        return found

    @property
    def code_page(self) -> str:
        """The code page that the text is read in where it is no Unicode."""
        return self._page or self.habits.code_page

    def in_pages(self) -> dict[str, str]:
        """Return what is beyond ASCII in each usual code page, where the file leaves it open."""
        if self.is_workbook or self.is_picture:
            return {}
        return read_in_pages(self._raw, self.habits.code_page)

    def take_page(self, code_page: str) -> None:
        """Read the text in another code page than the lab's from now on."""
        if code_page == self.code_page:
            return
        self._page = code_page
        for kept in (self._texts, self._lines, self._grids):
            kept.clear()

    def first_lines(self, n: int = 12) -> list[str]:
        """Return the first lines for showing to a person; never raises for what the file holds."""
        if self.is_picture:
            return []
        if self.is_workbook:
            try:
                return self._first_rows(n)
            except FileHeld as held:
                return str(held).splitlines()[:n]
        encoding, start = chosen(self.head, self.code_page)
        text = self.head[start:].decode(encoding, errors="replace")
        return [_visible(line) for line in lines_of(text)[:n]]

    def _first_rows(self, n: int) -> list[str]:
        lines = []
        for grid in self._sheet_grids():
            lines.append(f"sheet {grid.sheet!r}:")
            lines += [" | ".join(str(cell) for cell in row) for row in grid.rows[:n]]
        return [_visible(line) for line in lines[:n]]

    def sheets(self) -> list[Sheet]:
        """Return all visible sheets of a workbook, or a text file as one.

        Raises
        ------
        FileHeld
            DAMAGED_SHEET for a workbook that is damaged, encrypted or too large; NOT_TEXT for a
            container that is none; for a text file as `text`.
        """
        if self.is_workbook:
            grids = self._sheet_grids()
        else:
            grids = [max(self._text_grids(Layout()), key=_evenness)]
        return [Sheet(grid.sheet, grid.rows, grid.numbers) for grid in grids]

    def tables(
        self,
        titles: Mapping[str, Sequence[str]],
        optional: Collection[str] | None = None,
        layout: Layout = Layout(),
    ) -> list[Table]:
        """Return every table whose header row shows the titles, in the order of the file.

        Parameters
        ----------
        titles
            Key of a column -> the titles it may have.
        optional
            Keys of columns that may be missing. None: those that are called like columns which the
            kind of the reader lets be empty.
        layout
            What a table profile declares about the file.

        Raises
        ------
        FileHeld
            MISSING_COLUMN naming what is missing; EMPTY_TABLE; and as `text` and `sheets`.
        """
        asked = self._wanted(titles, optional)
        grids = self._hits(asked, layout)
        if not grids:
            self._hold_missing(asked, layout)
        for grid in self._candidates(layout) if self.is_workbook else grids:
            self._seen.setdefault(grid, Siblings(grid))
            self._ignored.setdefault(grid, set()).update(ignored_rows(grid, layout.ignore))
        tables: list[Table] = []
        for grid in grids:
            tables += self._tables_of(grid, asked, layout)
        if not tables:
            raise FileHeld(self.faults[0].reason, tuple(self.faults), self.fault_count)
        return tables

    def _tables_of(self, grid: Grid, asked: Wanted, layout: Layout) -> list[Table]:
        """Return the tables of one grid that have rows, noting the faults of its rows."""
        if grid.broken:
            self.fault(Reason.UNEVEN_ROW, grid.broken[0], found=grid.broken[1])

        def report(reason: Reason, row: int, found: str, expected: str) -> None:
            self.fault(reason, row, found=found, expected=expected, sheet=grid.sheet)

        blocks = find_blocks(grid, asked, layout.end, report)
        for block in blocks:
            if not block.rows and not block.uneven:
                report(
                    Reason.EMPTY_TABLE, block.row, "no rows below this header", "results below it"
                )
        siblings = self._seen[grid]
        siblings.add(blocks)
        return [Table(self, block, layout, siblings) for block in blocks if block.rows]

    def tell_unread(self) -> None:
        """Note rows that look like results and that no table took in.

        Called when a reader is done, since it may ask for several sorts of tables. Nothing is
        noted where it never asked for any.
        """
        for grid, siblings in self._seen.items():
            blocks = [block for each in self._seen.values() for block in each.blocks]
            told = unread(grid, siblings.blocks, blocks, self._ignored[grid])
            for reason, row, found, expected in told:
                self.fault(reason, row, found=found, expected=expected, sheet=grid.sheet)
        for companion in self.companions.values():
            companion.tell_unread()

    def missing(
        self,
        titles: Mapping[str, Sequence[str]],
        optional: Collection[str] | None = None,
        layout: Layout = Layout(),
    ) -> str:
        """Say which titles the best header row misses; "" if a header row shows all of them.

        What may be missing is as for `tables`.
        """
        asked = self._wanted(titles, optional)
        try:
            if self._hits(asked, layout):
                return ""
            _, _, names = self._nearest(asked, layout)
        except FileHeld as held:
            return held.reason.text
        return "; ".join(f"no column {name.words}" for name in names)

    def _wanted(
        self, titles: Mapping[str, Sequence[str]], optional: Collection[str] | None
    ) -> Wanted:
        may_lack = (self._of or self).may_lack if optional is None else optional
        return wanted(titles, may_lack)

    def json(self) -> Nested:
        """Return all of a JSON file; each value in it knows its place.

        Raises
        ------
        FileHeld
            DAMAGED_NESTED; as `text`.
        """
        from tiecoat.dialect.nested import parse_json

        return parse_json(self, self.text())

    def xml(self) -> Nested:
        """Return the root of an XML file; each element in it knows its place.

        Raises
        ------
        FileHeld
            DAMAGED_NESTED.
        """
        from tiecoat.dialect.nested import parse_xml

        return parse_xml(self, self.bytes())

    def entries(self, begin: int = 1, end: int | None = None) -> TextEntries:
        """Return the lines of a text that say a name and its value, outside of tables.

        Those above a table are told by `Table.entry` too.

        Parameters
        ----------
        begin, end
            The first and the last of the lines that are looked at, counted from 1; None: to the end
            of the text.

        Raises
        ------
        FileHeld
            As `text`.

        Examples
        --------
        >>> def panel_and_load(export):
        ...     head = export.entries()
        ...     return head["panel"].text(), head["wheel load"].number("N"), head["tested"].time()
        """
        from tiecoat.dialect.text_entries import TextEntries

        (grid,) = self._text_grids(Layout(delimiter="\t"))
        last = len(self._text_lines()) if end is None else end
        start, stop = bisect_left(grid.numbers, begin), bisect_right(grid.numbers, last)
        return TextEntries(self, entries(grid, start, stop))

    def number(
        self,
        text: str | float,
        to: str = "",
        unit: str | None = None,
        *,
        row: int | None = None,
        column: str | None = None,
        at: str | None = None,
    ) -> float:
        """Return what stands in no table as a number in the unit that is wanted.

        Parameters
        ----------
        text
            Such as "12,5", or with its unit "12.5 kHz"; or a number.
        to
            The unit that is wanted, as pint writes it; "" for a plain number.
        unit
            Taken where the text says none.
        row, column, at
            Where it stands, for a fault.

        Returns
        -------
        float
            NaN where the text says that there is none ("", "n/a"), and where a fault was noted:
            NOT_A_NUMBER, UNKNOWN_UNIT, AMBIGUOUS_NUMBER (neither text nor lab say the mark).
        """
        value, said = (text, None) if isinstance(text, int | float) else self._amount(text)
        if isinstance(value, Fault):
            self.fault(value.reason, row, column, value.found, value.expected, at=at)
            return math.nan
        if math.isnan(value):
            return math.nan
        way = scale_from((said, unit), to)
        if isinstance(way, str):
            self.fault(Reason.UNKNOWN_UNIT, row, column, way, wanted_unit(to), at=at)
            return math.nan
        return way.apply([value])[0]

    def _amount(self, text: str) -> tuple[float | Fault, str | None]:
        """Part a text into a number, or what is wrong with it, and the unit that it says."""
        cell, said = amount(text.strip())
        if cell.casefold() in EMPTY_WORDS:
            return math.nan, said
        habit = None if self.habits.decimal == "auto" else self.habits.decimal
        mark = weigh([cell]).mark or habit
        if mark is None and two_readings(cell):
            expected = "a number with one reading"
            return Fault(Reason.AMBIGUOUS_NUMBER, found=in_doubt(cell), expected=expected), said
        value = read_number(cell, mark or "point")
        if value is None:
            return Fault(Reason.NOT_A_NUMBER, found=f"'{text}'", expected="a number"), said
        return value, said

    def time(
        self,
        text: str,
        format: str | None = None,  # noqa: A002 (the contract's word)
        *,
        row: int | None = None,
        column: str | None = None,
        at: str | None = None,
    ) -> datetime | None:
        """Return a text that stands in no table as an aware time in UTC.

        Without an offset it is local time of the lab. None where the text is empty, and where a
        fault was noted: NOT_A_TIME, SKIPPED_TIME, DOUBLED_TIME.
        """
        text = text.strip()
        if text.casefold() in EMPTY_WORDS:
            return None
        moment = read_time(text, self.habits.zone, self.habits.time_formats, format)
        if isinstance(moment, NoTime):
            self.fault(moment.reason, row, column, f"'{text}'", moment.expected, at=at)
            return None
        return moment

    def fault(
        self,
        reason: Reason | str,
        row: int | None = None,
        column: str | None = None,
        found: str | None = None,
        expected: str | None = None,
        *,
        sheet: str | None = None,
        at: str | None = None,
    ) -> None:
        """Note a fault and read on; the file will be held. The same fault is noted once.

        Parameters
        ----------
        reason
            One of the codes; or in your own words what is wrong, in a few words that a technician
            understands (READER_SAYS).
        row, column, sheet
            Where it stands in a table.
        found, expected
            What stands there, and what should.
        at
            Where it stands in a nested file: see `Nested.at`.
        """
        self._noted.add(self._fault(reason, row, column, found, expected, sheet=sheet, at=at))

    def _fault(
        self,
        reason: Reason | str,
        row: int | None,
        column: str | None,
        found: str | None,
        expected: str | None,
        *,
        sheet: str | None,
        at: str | None,
    ) -> Fault:
        file = self.name if self._of else None
        code, words = (reason, None) if isinstance(reason, Reason) else (Reason.READER_SAYS, reason)
        return Fault(code, row, column, found, expected, sheet, file, at, words)

    def hold(
        self,
        reason: Reason | str,
        row: int | None = None,
        column: str | None = None,
        found: str | None = None,
        expected: str | None = None,
        *,
        sheet: str | None = None,
        at: str | None = None,
    ) -> NoReturn:
        """Hold the file at once, with this fault after those noted before; see `fault`.

        Raises
        ------
        FileHeld
            Always.
        """
        fault = self._fault(reason, row, column, found, expected, sheet=sheet, at=at)
        faults = (*self.faults, fault) if self.fault_count < FAULTS_KEPT else tuple(self.faults)
        raise FileHeld(fault.reason, faults, self.fault_count + 1)

    def last_row(self, sheet: str | None = None) -> int:
        """Return the last row that a value can have come from.

        Of a text that is a line, of a workbook a row of the sheet. Of a nested or binary file, of
        which rows are places in a list, it is its size: no byte holds two values.
        """
        if sheet in self.companions:
            return self.companions[sheet].last_row()
        if self.is_workbook:
            grids = [grid for grid in self._sheet_grids() if sheet in {None, grid.sheet}]
            return max((one.numbers[-1] for one in grids if one.numbers), default=0)
        is_nested = self.head.lstrip(b"\xef\xbb\xbf \t\r\n")[:1] in {b"{", b"[", b"<"}
        if is_nested or self.is_picture or b"\0" in self.head:
            return self.size
        try:
            return len(self._text_lines())
        except FileHeld:
            return self.size

    @cached_property
    def open_row(self) -> int:
        """Last line of a text file that ends without a line end; 0 if it ends with one."""
        text = next((text for text in self._texts.values() if isinstance(text, str)), "\n")
        return 0 if text.endswith(("\n", "\r")) else len(lines_of(text))

    def _sheet_grids(self) -> list[Grid]:
        if self._workbook is None:
            try:
                self._workbook = read_sheets(self.path, self.head)
            except FileHeld as held:
                self._workbook = held
        if isinstance(self._workbook, FileHeld):
            raise self._workbook.with_traceback(None)
        return self._workbook

    def _text_lines(self, encoding: str | None = None) -> list[str]:
        """Return the lines of the text; raises as `text` does. They are parted once."""
        if encoding not in self._lines:
            self._lines[encoding] = lines_of(self.text(encoding))
        return self._lines[encoding]

    def _text_grids(self, layout: Layout) -> list[Grid]:
        key = (layout.encoding, layout.delimiter)
        if key not in self._grids:
            lines = self._text_lines(layout.encoding)
            declared = declared_delimiter(lines)
            if only := layout.delimiter or declared:
                used = [only]
            else:
                text = self.text(layout.encoding)
                used = [mark for mark in DELIMITERS if mark in text] or [DELIMITERS[0]]
            self._grids[key] = [split(lines, mark, 1 if declared else 0) for mark in used]
        return self._grids[key]

    def _candidates(self, layout: Layout) -> list[Grid]:
        if not self.is_workbook:
            return self._text_grids(layout)
        grids = self._sheet_grids()
        return [grid for grid in grids if layout.sheet in (None, grid.sheet)]

    def _hits(self, asked: Wanted, layout: Layout) -> list[Grid]:
        """Return the grids with a header row that shows all: of a text at most one."""
        hits = [
            (grid, header)
            for grid in self._candidates(layout)
            for header in grid.headers
            if fits(header, asked)
        ]
        if self.is_workbook or not hits:
            return list(dict.fromkeys(grid for grid, _ in hits))
        return [max(hits, key=lambda hit: _fitness(hit[0], hit[1], asked))[0]]

    def _nearest(
        self, asked: Wanted, layout: Layout
    ) -> tuple[Grid | None, Header | None, list[Names]]:
        """Return the header row that shows most of what is asked for, and what it misses."""
        needed = [names for names in asked if names.needed] or list(asked)
        found: tuple[Grid | None, Header | None, list[Names]] = (None, None, needed)
        for grid in self._candidates(layout):
            for header in grid.headers:
                names = lacking(header, asked)
                if len(names) < len(found[2]):
                    found = (grid, header, names)
        return found

    def _hold_missing(self, asked: Wanted, layout: Layout) -> NoReturn:
        if not self.is_workbook:
            broken = next((g.broken for g in self._text_grids(layout) if g.broken), None)
            if broken:
                self.hold(Reason.UNEVEN_ROW, row=broken[0], found=broken[1])
        grid, header, names = self._nearest(asked, layout)
        row = grid.numbers[header.index] if grid and header else None
        sheet = grid.sheet if grid else layout.sheet
        seen = ", ".join(title for title in header.titles if title) if header else ""
        for name in names[:-1]:
            self.fault(
                Reason.MISSING_COLUMN,
                row,
                found=seen,
                expected=f"a column {name.words}",
                sheet=sheet,
            )
        expected = f"a column {names[-1].words}" if names else "a header row"
        self.hold(
            Reason.MISSING_COLUMN,
            row,
            found=f"the titles {seen}" if seen else "no row with such titles",
            expected=expected,
            sheet=sheet,
        )


def _fitness(grid: Grid, header: Header, asked: Wanted) -> tuple[int, bool, int, int]:
    """Rank a header row: columns found, whether it and rows are parted, rows like it, columns."""
    found = sum(1 for names in asked if header.columns(names))
    below = grid.rows[header.index + 1 : header.index + 51]
    alike = sum(1 for row in below if len(row) == len(header.titles) and not blank(row))
    return found, header.width > 1 and alike > 0, alike, header.width


def _evenness(grid: Grid) -> tuple[int, int]:
    """Rank a grid of a text nobody has described: rows of the commonest length above one cell."""
    lengths = [len(row) for row in grid.rows[-max(1, len(grid.rows) * 6 // 10) :]]
    if not lengths:  # a quotation mark that is never closed takes every row
        return 0, 0
    common = max(set(lengths), key=lengths.count)
    return (lengths.count(common) if common > 1 else 0), common


def _visible(line: str) -> str:
    shown = "".join(
        _VISIBLE.get(ord(letter), letter if letter.isprintable() else "�")
        for letter in line[:_LINE_SHOWN]
    )
    return shown + "…" if len(line) > _LINE_SHOWN else shown
