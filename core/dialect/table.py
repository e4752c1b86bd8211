"""One table of an export: its columns as numbers, texts and times, and the entries above it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import date, datetime, time, timedelta
from typing import Protocol

from tiecoat.contract.words import truth_of
from tiecoat.dialect.blocks import Block
from tiecoat.dialect.delimited import Cell
from tiecoat.dialect.entries import EntryValue, amount
from tiecoat.dialect.habits import Habits, Layout
from tiecoat.dialect.numbers import (
    EMPTY_WORDS,
    DecimalMark,
    in_doubt,
    number,
    plain_numbers,
    two_readings,
    weigh,
)
from tiecoat.dialect.siblings import Siblings
from tiecoat.dialect.times import EXPECTED, NoTime, read_time, to_utc
from tiecoat.dialect.titles import fold, loosely_parted
from tiecoat.dialect.units import InUnit, scale_from, wanted
from tiecoat.reasons import Reason

_SHOWN = 60


class Surroundings(Protocol):
    """What a table asks of the export that it stands in."""

    habits: Habits

    @property
    def open_row(self) -> int:
        """Last line of a text file that ends without a line end; 0 if it ends with one."""

    def fault(
        self,
        reason: Reason,
        row: int | None = None,
        column: str | None = None,
        found: str | None = None,
        expected: str | None = None,
        *,
        sheet: str | None = None,
    ) -> None:
        """Note a fault and read on."""


class Table:
    """One block: a header row, the rows below it, the free lines above it.

    Parameters
    ----------
    export
        Where faults are noted.
    block
        The rows and where they stand.
    layout
        What a table profile declares.
    siblings
        All blocks of the same text file or the same sheet.
    """

    def __init__(
        self, export: Surroundings, block: Block, layout: Layout, siblings: Siblings
    ) -> None:
        self._export = export
        self._block = block
        self._layout = layout
        self._siblings = siblings
        self.rows: list[int] = block.numbers
        self.sheet: str | None = block.grid.sheet
        self.header_row: int = block.row

    def has(self, key: str) -> bool:
        """Tell whether the table has this column."""
        return key in self._block.columns

    def unit(self, key: str) -> str | None:
        """Return the unit of a column as its title or the unit row writes it."""
        column = self._block.columns.get(key)
        return None if column is None else self._block.units[column]

    def numbers(self, key: str, to: str, unit: str | None = None) -> list[float]:
        """Return a column as numbers.

        Parameters
        ----------
        key
            Of the titles that were asked for.
        to
            The unit that is wanted, as pint writes it; "" for a plain number.
        unit
            Taken where the export names none.

        Returns
        -------
        list of float
            NaN where the column is missing or a cell is empty, and where a fault was noted:
            NOT_A_NUMBER, AMBIGUOUS_NUMBER, CUT_OFF, UNKNOWN_UNIT. Given as it is for a column of a
            kind, it must be of the unit of that column.
        """
        column = self._block.columns.get(key)
        if column is None:
            return [math.nan] * len(self.rows)
        cells = [row[column] for row in self._block.rows]
        values = self._values(cells, column)
        way = scale_from((self._block.units[column], unit), to)
        if isinstance(way, str):
            self._fault(Reason.UNKNOWN_UNIT, self.header_row, column, way, wanted(to))
            return [math.nan] * len(values)
        return InUnit(way.apply(values), to)

    def whole_numbers(self, key: str, to: str = "", unit: str | None = None) -> list[int | None]:
        """Return a column as whole numbers; None where `numbers` gives NaN.

        NOT_A_NUMBER is noted where a number is not whole.
        """
        found: list[int | None] = []
        for value, row in zip(self.numbers(key, to, unit), self.rows, strict=True):
            whole = value.is_integer()
            if not whole and not math.isnan(value):
                column = self._block.columns[key]
                self._fault(Reason.NOT_A_NUMBER, row, column, f"{value:g}", "a whole number")
            found.append(int(value) if whole else None)
        return found

    def truths(self, key: str) -> list[bool | None]:
        """Return a column of yes and no, in the languages of the trade; None where it is empty.

        NOT_A_NUMBER is noted where a cell says neither.
        """
        found: list[bool | None] = []
        for text, row in zip(self.texts(key), self.rows, strict=True):
            truth = truth_of(text)
            if truth is None and (text or "").casefold() not in EMPTY_WORDS:
                column = self._block.columns[key]
                self._fault(Reason.NOT_A_NUMBER, row, column, f"'{text}'", "yes or no")
            found.append(truth)
        return found

    def texts(self, key: str) -> list[str | None]:
        """Return a column as texts without blanks around them; None where a cell is empty."""
        column = self._block.columns.get(key)
        if column is None:
            return [None] * len(self.rows)
        return [_text(row[column]) or None for row in self._block.rows]

    def texts_or_entry(self, key: str, names: Sequence[str]) -> list[str | None]:
        """Return a column as `texts` does; without it, the entry of these names for every row."""
        if self.has(key):
            return self.texts(key)
        return [self.entry(names)] * len(self.rows)

    def times(self, *keys: str, format: str | None = None) -> list[datetime | None]:  # noqa: A002 (the contract's word)
        """Return aware times in UTC; a time without an offset is local time of the lab.

        Parameters
        ----------
        *keys
            Columns that together make the time, such as date and time of day.
        format
            The one strptime format that is allowed.

        Returns
        -------
        list of datetime
            None where all cells are empty, and where a fault was noted: NOT_A_TIME, SKIPPED_TIME
            (the clocks were put forward over it), DOUBLED_TIME (they were put back over it).
        """
        columns = [self._block.columns[key] for key in keys if key in self._block.columns]
        if not columns:
            return [None] * len(self.rows)
        return [
            self._time([row[column] for column in columns], number, columns[0], format)
            for row, number in zip(self._block.rows, self.rows, strict=True)
        ]

    def entry(self, names: Sequence[str]) -> str | None:
        """Return the value beside one of these names in the free lines above the table.

        Looked for above this table first, then at the top of the file, in what stands there apart
        from the lines of the first table. A line that stands above another table and not above
        this one is noted as MISSING_COLUMN: it may be lost, and no value is taken over.
        """
        found = self._entry(names)
        return None if found is None else _text(found.value) or None

    def entry_number(self, names: Sequence[str], to: str, unit: str | None = None) -> float | None:
        """Return an entry as a number in the unit `to`; None if it is missing or at fault.

        `unit` is taken where the export names none. Faults are noted as for `numbers`.
        """
        found = self._entry(names)
        if found is None:
            self._tell_unknown_unit(names, to)
            return None
        value, said = self._amount(found)
        if value is None:
            return None
        way = scale_from((said, found.unit, unit), to)
        if isinstance(way, str):
            self._export.fault(
                Reason.UNKNOWN_UNIT,
                row=found.row,
                column=found.name,
                found=way,
                expected=wanted(to),
                sheet=self.sheet,
            )
            return None
        return way.apply([value])[0]

    def entry_time(self, names: Sequence[str], format: str | None = None) -> datetime | None:  # noqa: A002
        """Return an entry as an aware time in UTC; None if it is missing or at fault."""
        found = self._entry(names)
        if found is None or found.value == "":
            return None
        moment = self._moment([found.value], format)
        if not isinstance(moment, NoTime):
            return moment
        self._export.fault(
            moment.reason,
            row=found.row,
            column=found.name,
            found=_shown(found.value),
            expected=moment.expected,
            sheet=self.sheet,
        )
        return None

    def _entry(self, names: Sequence[str]) -> EntryValue | None:
        above = self._siblings.above(self._block)
        if (found := _named(above, names)) is not None:
            self._tell_rival(found)
            return found
        if (elsewhere := self._siblings.lost(names)) is not None:
            self._export.fault(
                Reason.MISSING_COLUMN,
                row=self.header_row,
                found=f"no line '{elsewhere.name}' above this table, but above another, in row "
                f"{elsewhere.row}",
                expected="such a line above each table; or one for all at the top of the file, set "
                "apart by an empty row",
                sheet=self.sheet,
            )
            return None
        if (found := _named(self._siblings.preamble, names)) is not None:
            self._tell_rival(found)
        return found

    def _tell_unknown_unit(self, names: Sequence[str], to: str) -> None:
        """A name with something beside it that is no unit would else be passed over."""
        known = {fold(name) for name in names}
        for place in (self._siblings.above(self._block), self._siblings.preamble):
            for entry in place.values():
                name, unit = loosely_parted(entry.name)
                if unit is not None and fold(name) in known:
                    self._export.fault(
                        Reason.UNKNOWN_UNIT,
                        row=entry.row,
                        column=entry.name,
                        found=f"the unit '{unit}'",
                        expected=wanted(to),
                        sheet=self.sheet,
                    )
                    return

    def _tell_rival(self, found: EntryValue) -> None:
        """Two values under one name: which of them is meant, nobody can tell."""
        if found.rival is None:
            return
        value, row = found.rival
        self._export.fault(
            Reason.INCONSISTENT,
            row=row,
            column=found.name,
            found=f"{_shown(value)}, and {_shown(found.value)} in row {found.row}",
            expected="one value above a table",
            sheet=self.sheet,
        )

    def _amount(self, found: EntryValue) -> tuple[float | None, str | None]:
        if isinstance(found.value, float):
            return found.value, None
        cell, unit = amount(_text(found.value))
        if cell.casefold() in EMPTY_WORDS:
            return None, None
        own = self._layout.decimal or weigh([cell]).mark
        value = self._one(cell, own or self._mark([cell]), found.row, found.name)
        return (None if math.isnan(value) else value), unit

    def _values(self, cells: list[Cell], column: int) -> list[float]:
        texts = [cell for cell in cells if isinstance(cell, str)]
        mark = self._mark(texts)
        if mark is not None and len(texts) == len(cells):
            plain = plain_numbers(texts, mark)
            if plain is not None:
                return plain
        return self._one_by_one(cells, mark, column)

    def _one_by_one(self, cells: list[Cell], mark: DecimalMark | None, column: int) -> list[float]:
        values: list[float] = []
        doubt_told = False
        title = self._block.header.titles[column]
        for cell, row in zip(cells, self.rows, strict=True):
            if not isinstance(cell, str):
                if type(cell) is not float:
                    self._fault(Reason.NOT_A_NUMBER, row, column, _shown(cell), "a number")
                values.append(cell if type(cell) is float else math.nan)
                continue
            doubtful = mark is None and two_readings(cell) is not None
            if cell.casefold() in EMPTY_WORDS or (doubtful and doubt_told):
                values.append(math.nan)
            else:
                doubt_told = doubt_told or doubtful
                values.append(self._one(cell, mark, row, title, self._is_cut(row, column)))
        return values

    def _one(
        self, cell: str, mark: DecimalMark | None, row: int, title: str, cut: bool = False
    ) -> float:
        """Return one number, or note the fault and return NaN."""
        if mark is None and two_readings(cell):
            reason, expected = Reason.AMBIGUOUS_NUMBER, "a number with one reading"
            found = in_doubt(cell)
        else:
            value = number(cell, mark or "point")
            if value is not None:
                return value
            reason = Reason.CUT_OFF if cut else Reason.NOT_A_NUMBER
            found = _shown(cell)
            expected = "a number" if mark is None else f"a number with decimal {mark}"
            if cut:
                expected += "; the file ends within this row"
        self._export.fault(
            reason, row=row, column=title, found=found, expected=expected, sheet=self.sheet
        )
        return math.nan

    def _is_cut(self, row: int, column: int) -> bool:
        """Tell whether a cell is the very last of a text file that ends without a line end."""
        return (
            self._block.grid.delimiter is not None
            and row == self._export.open_row
            and column == self._block.header.width - 1
        )

    def _mark(self, texts: Sequence[str]) -> DecimalMark | None:
        """Return the decimal mark for some cells; None if nothing says which it is."""
        if self._layout.decimal is not None:
            return self._layout.decimal
        evidence = self._block.evidence
        if evidence.mark is not None:
            return evidence.mark
        if evidence.points:  # as many cells say point as say comma
            return weigh(texts).mark
        if (elsewhere := self._siblings.evidence.mark) is not None:
            return elsewhere
        habit = self._export.habits.decimal
        if habit != "auto":
            return habit
        return None if any(two_readings(text) for text in texts) else "point"

    def _time(self, cells: list[Cell], row: int, column: int, form: str | None) -> datetime | None:
        cells = [cell for cell in cells if str(cell).casefold() not in EMPTY_WORDS]
        if not cells:
            return None
        moment = self._moment(cells, form)
        if not isinstance(moment, NoTime):
            return moment
        found = " ".join(_shown(cell) for cell in cells)
        self._fault(moment.reason, row, column, found, moment.expected)
        return None

    def _moment(self, cells: list[Cell], form: str | None) -> datetime | NoTime:
        habits = self._export.habits
        if all(isinstance(cell, str) for cell in cells):
            text = " ".join(str(cell) for cell in cells)
            return read_time(text, habits.zone, habits.time_formats, form)
        joined = _joined(cells)
        if joined is not None:
            return to_utc(joined, habits.zone)
        if any(isinstance(cell, float) for cell in cells):
            return NoTime(Reason.NOT_A_TIME, EXPECTED)
        text = " ".join(_text(cell) for cell in cells)
        return read_time(text, habits.zone, habits.time_formats, form)

    def _fault(self, reason: Reason, row: int, column: int, found: str, expected: str) -> None:
        self._export.fault(
            reason,
            row=row,
            column=self._block.header.titles[column],
            found=found,
            expected=expected,
            sheet=self.sheet,
        )


def _named(place: Mapping[str, EntryValue], names: Sequence[str]) -> EntryValue | None:
    return next((place[fold(name)] for name in names if fold(name) in place), None)


def _joined(cells: list[Cell]) -> datetime | None:
    """Return the local time that the date and time cells of a workbook make together."""
    day = cells[0]
    if isinstance(day, date) and not isinstance(day, datetime):
        day = datetime.combine(day, time())
    if not isinstance(day, datetime) or len(cells) > 2:
        return None
    if len(cells) == 1:
        return day
    clock = cells[1]
    if isinstance(clock, datetime):
        clock = clock.time()
    if isinstance(clock, timedelta):
        return day + clock
    return datetime.combine(day, clock) if isinstance(clock, time) else None


def _text(cell: Cell) -> str:
    if isinstance(cell, str):
        return cell
    if isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e15:
        return str(int(cell))
    if isinstance(cell, datetime):
        return cell.isoformat(" ")
    return str(cell)


def _shown(cell: Cell) -> str:
    text = _text(cell)[: _SHOWN + 1]
    text = text if text.isprintable() else text.encode("unicode_escape").decode()
    return f"'{text if len(text) <= _SHOWN else text[: _SHOWN - 1] + '…'}'"
