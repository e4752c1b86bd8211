"""The reader that a table profile becomes: recognises by titles, reads column by column."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from fnmatch import fnmatch
from itertools import groupby
from typing import TYPE_CHECKING, Any

from tiecoat.contract.words import truth_of
from tiecoat.dialect.habits import Layout
from tiecoat.dialect.times import NoTime, read_time
from tiecoat.plugin import Claim, Measurement
from tiecoat.reasons import Reason

if TYPE_CHECKING:
    from tiecoat.contract.columns import ColumnInfo
    from tiecoat.dialect.export import Export
    from tiecoat.dialect.table import Table
    from tiecoat.extend.profile import Column, ColumnOrEntry, Time, WrittenProfile

HINT, ALL_TITLES, FIRST_LINES, EACH_TITLE = 0.4, 0.6, 0.2, 0.01  # parts of how sure a claim is
FIELDS = ("batch", "panel", "instrument")


@dataclass(frozen=True)
class _ReadTable:
    """One table, read: for each of its rows the values, and what it belongs to."""

    table: Table
    columns: dict[str, list[Any]]
    batch: list[str | None]
    panel: list[str | None]
    instrument: list[str | None]
    times: list[datetime | None]


class TableReader:
    """Reads the exports that a table profile describes.

    Parameters
    ----------
    profile
        A checked profile.
    infos
        The columns of its kind.
    """

    def __init__(self, profile: WrittenProfile, infos: Sequence[ColumnInfo]) -> None:
        self.name, self.kind, self.version = profile.name, profile.kind, profile.version
        self._profile = profile
        self._infos = {info.name: info for info in infos}
        self._layout = Layout(**profile.layout.model_dump())
        self._titles: dict[str, tuple[str, ...]] = {}
        self._optional: set[str] = set()
        for key, place in _places(profile):
            if place.titles:
                self._titles[key] = place.titles
                if place.optional:
                    self._optional.add(key)

    def recognise(self, export: Export) -> Claim:
        """Claim the export if it shows every title and whatever else the profile asks for."""
        asked = self._profile.recognise
        needed = len(self._titles) - len(self._optional)
        if missing := export.missing(self._titles, self._optional, self._layout):
            if missing == Reason.WRONG_ENCODING.text:
                return Claim(HINT, f"it asks for {self._layout.encoding}: {missing}")
            lacking = missing.count("no column ") or needed
            return Claim(HINT * max(0, needed - lacking) / max(needed, 1), f"missing: {missing}")
        sure, why = ALL_TITLES, f"all {needed} needed columns"
        if asked.file_name and not fnmatch(export.name.casefold(), asked.file_name.casefold()):
            return Claim(HINT, f"{why}, but the file name is not like {asked.file_name}")
        if asked.first_lines:
            head = "\n".join(export.first_lines()).casefold()
            unseen = [text for text in asked.first_lines if text.casefold() not in head]
            if unseen:
                return Claim(HINT, f"{why}, but the first lines do not show {unseen[0]!r}")
            sure, why = sure + FIRST_LINES, f"{why} and {asked.first_lines[0]!r} in the first lines"
        # not by tables(): that would note faults on an export which another reader may win
        shown = needed + sum(
            not export.missing(self._titles, self._optional - {key}, self._layout)
            for key in self._optional
        )
        return Claim(min(sure + EACH_TITLE * shown, 1.0), why)

    def read(self, export: Export) -> Iterator[Measurement]:
        """Return the measurements in the order of the file."""
        tables = export.tables(self._titles, self._optional, self._layout)
        blocks = [self._block(export, table) for table in tables]
        cells = [(n, i) for n, block in enumerate(blocks) for i in range(len(block.table.rows))]
        for _, group in groupby(cells, key=lambda cell: self._group(cell, blocks)):
            yield self._measurement([(blocks[n], i) for n, i in group])

    def _group(self, cell: tuple[int, int], blocks: Sequence[_ReadTable]) -> tuple[Any, ...]:
        """Rows that agree in this, one after the other, are one measurement."""
        n, i = cell
        block, profile = blocks[n], self._profile
        if profile.by:
            # as text, because a missing number (NaN) is not equal to itself
            values = [str(block.columns[name][i]) for name in profile.by]
            return (n, block.batch[i], block.panel[i], *values)
        if profile.each == "row":
            return cell
        return (n if profile.each == "table" else None, block.batch[i], block.panel[i])

    def _measurement(self, cells: Sequence[tuple[_ReadTable, int]]) -> Measurement:
        first, i = cells[0]
        return Measurement(
            columns={
                name: [block.columns[name][row] for block, row in cells] for name in first.columns
            },
            rows=[block.table.rows[row] for block, row in cells],
            batch=first.batch[i],
            panel=first.panel[i],
            measured_at=first.times[i],
            instrument=first.instrument[i],
            sheet=first.table.sheet,
        )

    def _block(self, export: Export, table: Table) -> _ReadTable:
        reading = _TableReading(export, table)
        batch, panel, instrument = (
            reading.texts(f"[{field}]", getattr(self._profile, field)) for field in FIELDS
        )
        return _ReadTable(
            table,
            {
                name: reading.column(self._infos[name], column)
                for name, column in self._profile.columns.items()
            },
            batch,
            panel,
            instrument,
            reading.when(self._profile.time),
        )


@dataclass(frozen=True)
class _TableReading:
    """Reads one table of one export."""

    export: Export
    table: Table

    def texts(self, key: str, place: ColumnOrEntry | None) -> list[str | None]:
        """A text for each row; None where the export does not say."""
        if place is None:
            return [None] * len(self.table.rows)
        if place.entry:
            return [self.table.entry(place.entry)] * len(self.table.rows)
        texts = self.table.texts(key)
        if self.table.has(key) and not place.optional:
            self._none_missing(texts, place.titles or ())
        return texts

    def when(self, time: Time | None) -> list[datetime | None]:
        """A time for each row; None where the export does not say."""
        if time is None:
            return [None] * len(self.table.rows)
        if time.entry:
            if self.table.entry(time.entry) is None and not time.optional:
                self._no_entry(time.entry)
            return [self.table.entry_time(time.entry, time.format)] * len(self.table.rows)
        if time.titles:
            moments = self.table.times("[time]", format=time.format)
        elif time.date and time.clock and time.date.titles and time.clock.titles:
            moments = self.table.times("[time.date]", "[time.clock]", format=time.format)
        else:
            moments = self._day_and_clock(time)
        if not time.optional:
            told = {fault.row for fault in self.export.faults}
            untold = [
                None if moment is None and row not in told else True
                for row, moment in zip(self.table.rows, moments, strict=True)
            ]
            self._none_missing(untold, time.titles or ("date and time",))
        return moments

    def _day_and_clock(self, time: Time) -> list[datetime | None]:
        """Join a date and a clock time of which at least one stands above the table."""
        assert time.date is not None
        assert time.clock is not None
        days = self._texts_of("[time.date]", time.date)
        clocks = self._texts_of("[time.clock]", time.clock)
        zone, formats = self.export.habits.zone, self.export.habits.time_formats
        if time.date.entry and not time.format:
            day = self.table.entry_time(time.date.entry)
            local = day.astimezone(zone).date().isoformat() if day else None
            days = [local] * len(self.table.rows)
        moments: list[datetime | None] = []
        for row, day_text, clock in zip(self.table.rows, days, clocks, strict=True):
            moment = None
            if day_text and clock:
                read = read_time(f"{day_text} {clock}", zone, formats, time.format)
                if isinstance(read, NoTime):
                    self.export.fault(
                        read.reason,
                        row=row,
                        column=(time.clock.titles or time.clock.entry or ("",))[0],
                        found=f"'{clock}' on {day_text}",
                        expected=read.expected,
                        sheet=self.table.sheet,
                    )
                else:
                    moment = read
            moments.append(moment)
        return moments

    def _texts_of(self, key: str, place: ColumnOrEntry) -> list[str | None]:
        if not place.entry:
            return self.table.texts(key)
        text = self.table.entry(place.entry)
        if text is None:
            self._no_entry(place.entry)
        return [text] * len(self.table.rows)

    def column(self, info: ColumnInfo, column: Column) -> list[Any]:
        """The values of one column of the kind, in the kind's unit."""
        if column.value is not None:
            return self._constant(info, column)
        if column.entry:
            return self._entry(info, column, column.entry)
        values: list[Any]
        match info.type:
            case "float":
                values = self.table.numbers(info.name, to=info.unit, unit=column.unit)
            case "whole":
                values = self.table.whole_numbers(info.name, to=info.unit, unit=column.unit)
            case "bool":
                values = self.table.truths(info.name)
            case "time":
                values = self.table.times(info.name, format=column.format)
            case _:
                texts = self.table.texts(info.name)
                values = [_in_words(text, column.words) for text in texts]
        return values

    def _constant(self, info: ColumnInfo, column: Column) -> list[Any]:
        from tiecoat.dialect.units import convert

        value: object = column.value
        if isinstance(value, float) and column.unit:
            value = convert([value], column.unit, info.unit)[0]
        if info.type == "bool" and isinstance(value, str):
            value = truth_of(value)
        return [value] * len(self.table.rows)

    def _entry(self, info: ColumnInfo, column: Column, names: Sequence[str]) -> list[Any]:
        value: object
        if self.table.entry(names) is None:
            if not column.optional:
                self._no_entry(names)
            value = None
            if info.type == "float":  # tells of a unit that is not known
                self.table.entry_number(names, to=info.unit, unit=column.unit)
                value = float("nan")
        elif info.type in {"float", "whole"}:
            value = self.table.entry_number(names, to=info.unit, unit=column.unit)
        elif info.type == "bool":
            value = truth_of(self.table.entry(names) or "")
        elif info.type == "time":
            value = self.table.entry_time(names, format=column.format)
        else:
            value = _in_words(self.table.entry(names), column.words)
        return [value] * len(self.table.rows)

    def _no_entry(self, names: Sequence[str]) -> None:
        self.export.fault(
            Reason.MISSING_COLUMN,
            row=self.table.header_row,
            expected=f"a line such as '{names[0]}: ...' above the table",
            sheet=self.table.sheet,
        )

    def _none_missing(self, values: Sequence[object], titles: Sequence[str]) -> None:
        for row, value in zip(self.table.rows, values, strict=True):
            if value is None:
                self.export.fault(
                    Reason.MISSING_VALUE,
                    row=row,
                    column=titles[0],
                    found="nothing",
                    expected="a value in every row",
                    sheet=self.table.sheet,
                )


def _places(profile: WrittenProfile) -> Iterator[tuple[str, ColumnOrEntry | Time | Column]]:
    """Name and place of everything that the profile looks for; a column goes by its own name."""
    for field in FIELDS:
        if place := getattr(profile, field):
            yield f"[{field}]", place
    if time := profile.time:
        yield "[time]", time
        for part in ("date", "clock"):
            if place := getattr(time, part):
                yield f"[time.{part}]", place
    yield from profile.columns.items()


def _in_words(text: str | None, words: dict[str, str] | None) -> str | None:
    """Replace a text of the export by the kind's word for it; the case does not matter."""
    if text is None or words is None:
        return text
    by_case = {word.casefold(): instead for word, instead in words.items()}
    return by_case.get(text.casefold(), text)
