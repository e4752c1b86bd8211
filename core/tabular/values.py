"""From what was found to values in the units of the kind; each fault is noted where it stands."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime
from typing import Any

import numpy as np

from tiecoat.dialect.complexes import NONE, complex_number
from tiecoat.dialect.delimited import Cell
from tiecoat.dialect.entries import amount
from tiecoat.dialect.numbers import DecimalMark, in_doubt, weigh
from tiecoat.dialect.times import NoTime
from tiecoat.dialect.units import multiplied, scale, wanted
from tiecoat.reasons import Reason
from tiecoat.remarks import Remark
from tiecoat.tabular.attempts import Attempt, Given
from tiecoat.tabular.cell_texts import shown, text_of
from tiecoat.tabular.facts import (
    Numbers,
    is_empty,
    numbers_of,
    says_hours,
    seconds_of,
    span_in_hours,
    without_apart,
)
from tiecoat.tabular.lexicon import Role
from tiecoat.tabular.moments import DayOrder, is_of_working_day, is_open_day, moment
from tiecoat.tabular.plus_minus import (
    speaks_of_uncertainty,
    which_uncertainty,
    without_behind,
)
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.unit_ways import UnitWays
from tiecoat.tabular.words import EXACT

_CLOSE = 10  # times a span: what lies closer together than that is rather of one day
_MARKS: tuple[DecimalMark, DecimalMark] = ("point", "comma")


def _decimal_in(text: str) -> DecimalMark:
    """Return the decimal mark of a number with two readings if it has no thousands."""
    return "comma" if "," in text else "point"


class ValueReader:
    """Reads what an attempt has found, for every row of its table."""

    def __init__(self, found: Attempt) -> None:
        self.found = found
        self.export = found.file.export
        self.seen = found.table.seen
        self.rows: list[int] = found.table.seen.rows
        self.remarks: list[str] = []
        self.units = UnitWays(found, self.fault)

    def fault(
        self, reason: Reason, row: int | None, column: str | None, what: str | None, expected: str
    ) -> None:
        self.export.fault(reason, row, column, what, expected, sheet=self.seen.sheet)

    def title(self, place: int) -> Title:
        return self.found.titles[place]

    # numbers

    def numbers(self, given: Given) -> list[float]:
        """Return a column, or an entry for every row, as numbers in the unit of its role."""
        role = given.role
        if given.told is not None:
            return [self._told_number(given)] * len(self.rows)
        assert given.place is not None
        content, title = self.found.contents[given.place], self.title(given.place)
        if content.is_duration:
            return self._durations(given.place, role)
        read = self._decided(content.numbers, given.place, role, given.hint)
        self._tell_odd(read, given.place)
        self._tell_apart(read, given.place, role)
        if read.units:
            return self._cell_by_cell(read, given.place, role)
        way = self.units.way(title, read.unit or given.hint, role, self.seen.header_row, title.raw)
        if way is None:
            return [math.nan] * len(self.rows)
        values: list[float] = list(read.values)
        if title.log:
            values = [10.0**value if abs(value) < 300 else math.nan for value in values]
        if title.turned and role.signed:
            values = [-value for value in values]
        if title.factor != 1:
            values = multiplied(values, title.factor)
        if not (title.unit or read.unit or given.hint):
            self._tell_unusual(values, given.place, role)
        return way.apply(values)

    def _tell_unusual(self, values: Sequence[float], place: int, role: Role) -> None:
        """Refuse a customary unit for values that are not those it is customary for."""
        title = self.title(place)
        if self.units.is_told(role, title):
            return
        told = [abs(value) for value in values if not math.isnan(value)]
        if role.unit == "deg" and told and 0 < max(told) <= math.pi / 2:
            found = f"no unit, and no value beyond {max(told):g}, which may be radians"
            self.fault(Reason.UNKNOWN_UNIT, self.seen.header_row, title.raw, found, wanted("deg"))
        if role.usual is None:
            return
        low, high = role.usual
        for at, value in enumerate(values):
            if value != 0 and not math.isnan(value) and not low <= value <= high:
                self.fault(
                    Reason.UNKNOWN_UNIT,
                    self.rows[at],
                    title.raw,
                    f"{value:g} and no unit",
                    f"{wanted(role.unit)}; {role.unit} is assumed from {low:g} to {high:g} only",
                )
                return

    def _decided(self, read: Numbers, place: int, role: Role, hint: str | None) -> Numbers:
        """Where nothing says which mark is decimal, let the bounds of the column decide.

        They may rule out thousands (1,482 kN of a gauge); that a decimal number is impossible may
        come of its unit as well (1.391 kg/m³ of a paint), so it makes no thousands. But where the
        unit is told, and usual values are known, they do (1,189 psi).
        """
        if not read.doubtful:
            return read
        cells = self.found.contents[place].cells
        doubted = str(cells[read.doubtful[0]])
        title = self.title(place)
        unread = Numbers((math.nan,) * len(cells), None, ())
        if title.unit and self.units.quietly(title, None, role) is None:
            return unread  # of a unit that is told as wrong
        low, high = self.found.lexicon.bounds(role.name)
        possible: dict[DecimalMark, Numbers] = {}
        usual: list[DecimalMark] = []
        for mark in _MARKS:
            other = numbers_of(cells, mark)
            way = self.units.quietly(title, other.unit or hint, role)
            values = way.apply(other.values) if way else other.values
            if not other.odd and any(low <= value <= high for value in values):
                possible[mark] = other
                usual += [mark] * _all_usual(values, role)
        if (title.unit or read.unit or hint) and len(usual) == 1:
            return possible[usual[0]]
        if len(possible) == 1 and (mark := next(iter(possible))) == _decimal_in(doubted):
            return possible[mark]
        self.fault(
            Reason.AMBIGUOUS_NUMBER,
            self.rows[read.doubtful[0]],
            title.raw,
            in_doubt(doubted),
            "a number with one reading",
        )
        return unread

    def _tell_odd(self, read: Numbers, place: int) -> None:
        for at in read.odd:
            cell = self.found.contents[place].cells[at]
            last = at == len(self.rows) - 1 and self.rows[at] == self.export.open_row
            reason = Reason.CUT_OFF if last else Reason.NOT_A_NUMBER
            self.fault(reason, self.rows[at], self.title(place).raw, shown(cell), "a number")

    def _tell_apart(self, read: Numbers, place: int, role: Role) -> None:
        """Tell of what is left out behind ±, or refuse it where it makes a mean of the value."""
        for at in read.apart:
            cell = self.found.contents[place].cells[at]
            self._apart(cell, role, self.rows[at], self.title(place).raw)

    def _apart(self, cell: Cell, role: Role, row: int, column: str) -> bool:
        """Tell whether a value with what it may be off is one: a mean of several is none."""
        infos = self.found.lexicon.infos
        own = {name for name, info in infos.items() if info.unit == role.unit} - {role.name}
        if role.unit == "degC":
            why = f"{column} as told before ±, which is a tolerance"
        elif which_uncertainty(self.found, role.name) is not None:
            return True  # it is read too
        elif any(name.startswith("uncertainty") for name in own):
            if speaks_of_uncertainty(self.found, role.name):
                self.fault(
                    Reason.INCONSISTENT,
                    row,
                    column,
                    f"{shown(cell)}, and a text that does not say which uncertainty it is",
                    "whether it is the standard uncertainty or the expanded one (k = 2)",
                )
                return False
            why = without_behind(column)
        else:
            self.fault(Reason.NOT_A_NUMBER, row, column, shown(cell), "a number, and no mean")
            return False
        self.remarks.append(Remark.ASSUMED.said(why))
        return True

    def _durations(self, place: int, role: Role) -> list[float]:
        values: list[float] = []
        way = scale("s", role.unit)
        content = self.found.contents[place]
        self._tell_open_clock(content.filled, self.title(place), role, self.rows[0])
        for at, cell in enumerate(content.cells):
            seconds = math.nan if is_empty(cell) else content.span(cell)
            if seconds is None:
                self.fault(
                    Reason.NOT_A_NUMBER,
                    self.rows[at],
                    self.title(place).raw,
                    shown(cell),
                    "minutes and seconds, such as 1:15",
                )
                seconds = math.nan
            values.append(seconds)
        return way.apply(values) if way else values

    def _tell_open_clock(
        self, cells: Sequence[Cell], title: Title, role: Role, row: int | None
    ) -> None:
        """Refuse times such as 10:20 and 10:40 that may be of the day as well as minutes and seconds."""
        kind, fits = self.found.lexicon.kind, self.found.lexicon.fits(title)
        named = any(each.name == "clock" and fit.level == EXACT for each, fit in fits)
        if not named or title.unit or role.name not in {*kind.unique, *kind.identity}:
            return
        spans = [span for cell in cells if (span := seconds_of(cell)) is not None]
        close = bool(spans) and min(spans) > _CLOSE * (max(spans) - min(spans))
        if close and is_of_working_day(cells):
            self.fault(
                Reason.INCONSISTENT,
                row,
                title.raw,
                f"{shown(cells[0])}, a time of day or minutes and seconds",
                "a title that says which, such as min:s, or the day beside it",
            )

    def _cell_by_cell(self, read: Numbers, place: int, role: Role) -> list[float]:
        values = []
        title = self.title(place)
        for at, (value, unit) in enumerate(zip(read.values, read.units, strict=True)):
            if math.isnan(value):
                values.append(value)
                continue
            way = self.units.way(title, unit, role, self.rows[at], title.raw)
            values.append(way.apply([value])[0] if way else math.nan)
        return values

    def complexes(self, given: Given) -> list[complex]:
        """Return a column of complex numbers in the unit of its role."""
        if given.place is None:
            return [NONE] * len(self.rows)
        title, role = self.title(given.place), given.role
        values: list[complex] = []
        for row, cell in zip(self.rows, self.found.contents[given.place].cells, strict=True):
            value, unit = complex_number(cell)
            if value != value and not is_empty(cell):  # noqa: PLR0124
                expected = "a complex number such as 1.2e5-3.4e4j"
                self.fault(Reason.NOT_A_NUMBER, row, title.raw, shown(cell), expected)
            way = self.units.way(title, unit, role, row, title.raw)
            values.append(complex(*way.apply([value.real, value.imag])) if way else NONE)
        return values

    def _told_number(self, given: Given) -> float:
        told, role = given.told, given.role
        assert told is not None
        value: Cell = told.value
        if isinstance(value, str):
            read_span = span_in_hours if says_hours(told.title.raw) else seconds_of
            if (seconds := read_span(value)) is not None and (
                way := scale("s", role.unit)
            ) is not None:
                self._tell_open_clock([value], told.title, role, told.row)
                return way.apply([seconds])[0]
            plain = without_apart(value)
            if plain is not value and not self._apart(value, role, told.row, told.title.raw):
                return math.nan
            text, unit = amount(str(plain))
            mark = weigh([text]).mark or self.found.mark or self.found.file.mark
            read = numbers_of([text], mark)
            if read.doubtful:
                fitting = [
                    m
                    for m in _MARKS
                    if self._in_bounds(numbers_of([text], m).values[0], told.unit or unit, role)
                ]
                if fitting != [_decimal_in(text)]:
                    self.fault(
                        Reason.AMBIGUOUS_NUMBER,
                        told.row,
                        told.title.raw,
                        in_doubt(text),
                        "a number with one reading",
                    )
                    return math.nan
                read = numbers_of([text], fitting[0])
            if read.odd:
                self.fault(Reason.NOT_A_NUMBER, told.row, told.title.raw, shown(value), "a number")
                return math.nan
            number = read.values[0]
        elif isinstance(value, bool) or not isinstance(value, float | int):
            self.fault(Reason.NOT_A_NUMBER, told.row, told.title.raw, shown(value), "a number")
            return math.nan
        else:
            number, unit = float(value), None
        number = _as_titled(number, told.title, role)
        title = Title(told.title.raw, told.title.name, told.unit or told.title.unit or unit)
        way = self.units.way(
            title, given.hint if not title.unit else None, role, told.row, told.title.raw
        )
        return way.apply([number])[0] if way else math.nan

    def _in_bounds(self, value: float, unit: str | None, role: Role) -> bool:
        low, high = self.found.lexicon.bounds(role.name)
        way = scale(unit, role.unit) if unit else None
        return low <= (way.apply([value])[0] if way else value) <= high

    # texts and times

    def texts(self, given: Given) -> list[str | None]:
        """Return a column, or an entry for every row, as texts; None where a cell is empty."""
        if given.told is not None:
            return [text_of(given.told.value)] * len(self.rows)
        assert given.place is not None
        return [text_of(cell) for cell in self.found.contents[given.place].cells]

    def times(self, parts: Sequence[Given]) -> list[datetime | None]:
        """Return aware times from a day, or a day and a clock time, each a column or an entry."""
        habits = self.export.habits
        order = (
            DayOrder(self.found.taught.dates) if self.found.taught.dates else self.found.file.order
        )
        known: dict[tuple[Any, ...], datetime | NoTime] = {}
        moments: list[datetime | None] = []
        for at, row in enumerate(self.rows):
            cells, place = [], row
            for given in parts:
                cell: Cell = (
                    given.told.value
                    if given.told
                    else self.found.contents[given.place or 0].cells[at]
                )
                if given.told:
                    place = given.told.row if len(parts) == 1 else row
                if not is_empty(cell):
                    cells.append(cell)
            if not cells:
                moments.append(None)
                continue
            key = tuple(cells)
            if order.why and order.why not in self.remarks and any(map(is_open_day, cells)):
                self.remarks.append(order.why)
            if key not in known:
                known[key] = moment(cells, habits.zone, habits.time_formats, order)
                read = known[key]
                if isinstance(read, NoTime):
                    title = (
                        parts[0].told.title.raw
                        if parts[0].told
                        else self.title(parts[0].place or 0).raw
                    )
                    self.fault(
                        read.reason,
                        place,
                        title,
                        " ".join(shown(cell) for cell in cells),
                        read.expected,
                    )
            read = known[key]
            moments.append(None if isinstance(read, NoTime) else read)
        return moments


def _as_titled(number: float, title: Title, role: Role) -> float:
    """Return the number of an entry with what its title says of it: a logarithm, a sign, a factor."""
    value = 10.0**number if title.log else number
    return multiplied([-value if title.turned and role.signed else value], title.factor)[0]


def _all_usual(values: Sequence[float], role: Role) -> bool:
    if role.usual is None:
        return False
    low, high = role.usual
    return all(math.isnan(value) or low <= value <= high for value in values)


def as_array(values: Sequence[Any], kind_type: str) -> Any:
    """Return values as relations get them: floats, complex numbers, texts, or seconds for times."""
    if kind_type == "time":
        moments = [math.nan if value is None else value.timestamp() for value in values]
        return np.asarray(moments, dtype=np.float64)
    if kind_type in ("float", "complex"):
        return np.asarray(values, dtype=np.float64 if kind_type == "float" else np.complex128)
    if len(set(map(id, values))) == 1:  # mostly one and the same is told for all rows
        return np.full(len(values), "" if values[0] is None else values[0], dtype=object)
    return np.asarray(["" if value is None else value for value in values], dtype=object)
