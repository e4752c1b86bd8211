"""Dates and clock times in the ways that people write them, as one file lets them be understood.

Whether day or month comes first is told by the file itself (a number above 12), else by the lab's
own formats, else nobody can tell, and both readings are shown.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, timezone
from zoneinfo import ZoneInfo

from tiecoat.dialect.delimited import Cell, is_plain
from tiecoat.dialect.times import NoTime, read_time, to_utc
from tiecoat.reasons import Reason
from tiecoat.tabular.plain_words import bare

_MONTHS = {
    1: "january jan januar janner janvier janv enero ene gennaio gen styczen sty stycznia januari leden ledna led",
    2: "february feb februar febrero fevrier fevr fev febbraio luty lut lutego februari unor unora uno",
    3: "march mar marz mrz mars marzo marzec marca maart mrt brezen brezna bre marcius marc",
    4: "april apr avril avr abril abr aprile kwiecien kwi kwietnia duben dubna dub aprilis",
    5: "may mai mayo maggio mag maj maja mei kveten kvetna kve majus",
    6: "june jun juni juin junio giugno giu czerwiec cze czerwca cerven cervna cer junius",
    7: "july jul juli juillet juil julio luglio lug lipiec lip lipca cervenec cervence cvc julius",
    8: "august aug aout agosto ago sierpien sie sierpnia augustus srpen srpna srp augusztus",
    9: "september sep sept septembre septiembre settembre set wrzesien wrz wrzesnia zari zar"
    " szeptember szept",
    10: "october oct oktober okt octobre octubre ottobre ott pazdziernik paz pazdziernika rijen rijna rij",
    11: "november nov novembre noviembre listopad lis listopada listopadu",
    12: "december dec dezember dez decembre diciembre dic dicembre grudzien gru grudnia prosinec prosince pro",
}
_MONTH = {name: number for number, names in _MONTHS.items() for name in names.split()}
_WEEKDAYS = (
    "monday mon mo montag lundi lun lunes lunedi poniedzialek pon maandag pondeli",
    "tuesday tue tues dienstag mardi mar martes martedi wtorek wt dinsdag utery ut",
    "wednesday wed mittwoch mercredi mer miercoles mie mercoledi sroda sr woensdag streda",
    "thursday thu thur thurs donnerstag jeudi jeu jueves jue giovedi gio czwartek czw donderdag ctvrtek ct",
    "friday fri freitag fr vendredi ven viernes vie venerdi piatek pt vrijdag vr patek",
    "saturday sat samstag sonnabend samedi sam sabado sab sabato sobota sob zaterdag",
    "sunday sun sonntag dimanche dim domingo dom domenica niedziela niedz zondag nedele",
)
_WEEKDAY_OF = {name: number for number, names in enumerate(_WEEKDAYS) for name in names.split()}

_CLOCK = (
    r"(?:(?P<hour>\d{1,2})[:hH](?P<minute>\d{2})(?:[:mM](?P<second>\d{2})(?:[.,](?P<fraction>\d{1,9}))?s?)?"
    r"\s*(?P<half>[aApP]\.?\s?[mM]\.?)?\s*(?:Uhr|h|hod\.?|godz\.?|uur)?"
    r"\s*(?P<offset>Z|UTC|[-+]\d{2}:?\d{2}|[-+]\d{2})?)"
)
_POINTED = _CLOCK.replace("[:hH](?P<minute>", "[:hH.](?P<minute>", 1)  # only behind a day
_JOIN = (  # 24/09/2025, début 10h20
    r"(?:(?:\s*[T,;]\s*|\s+|_)(?:(?:at|um|à|a las|alle|o|om|v|godz\.?|hod\.?|h|ore|klo"
    r"|(?i:start(?:ed)?|begin|beginn|ab|début|dès|inicio|desde|inizio|dalle|początek|od|vanaf|začátek)):?\s+)?"
    + _POINTED
    + r")?"
)
_DAYS = tuple(
    re.compile(day + _JOIN)
    for day in (
        r"(?P<year>\d{4})(?P<mark>[-/.])\s?(?P<one>\d{1,2})(?P=mark)\s?(?P<two>\d{1,2})(?:\.(?!\d))?",
        r"(?P<one>\d{1,2})(?P<mark>[-/.])\s?(?P<two>\d{1,2})(?P=mark)\s?(?P<year>\d{4}|\d{2})",
        r"(?P<year>\d{4})(?P<one>[01]\d)(?P<two>[0-3]\d)(?P<mark>)",
        r"(?:[^\W\d]{2,10}\.?,?\s)?(?P<one>\d{1,2})\.?(?:st|nd|rd|th|er)?[\s-]*(?:de\s)?(?P<month>[^\W\d]{3,13})\.?,?[\s-]*(?:de\s)?(?P<year>\d{4}|\d{2})",
        r"(?P<year>\d{4})\.?\s(?P<month>[^\W\d]{3,13})\.?\s(?P<one>\d{1,2})\.?",
        r"(?:[^\W\d]{2,10}\.?,?\s)?(?P<month>[^\W\d]{3,13})\.?\s(?P<one>\d{1,2})(?:st|nd|rd|th)?,?\s(?P<year>\d{4})",
    )
)
_ONLY_CLOCK = re.compile(_CLOCK)
_WORKING = (5, 22)  # hours of the day
_TELLS_CLOCK = re.compile(
    r"\d[:hH]\d{2}|\d\s?[ap]\.?m\b|\d\.\d{2}\s?(?:Uhr|uur|hod|godz)", re.IGNORECASE
)
OPEN_DAY = re.compile(r"(?<![\d.,/:-])(\d{1,2})([/-])(\d{1,2})\2(\d{4}|\d{2})(?![\d/-])")
_SERIAL_DAY_ZERO = datetime(1899, 12, 30)  # noqa: DTZ001 - a local day, turned into UTC later
_SERIAL_DAYS = (20_000.0, 80_000.0)  # 1954 to 2119
_SERIAL = re.compile(  # a day as workbooks count it, written as a text
    r"(?P<day>[2-7]\d{4})(?:[.,](?P<part>\d+)|\s+0[.,](?P<beside>\d+))?" + _JOIN
)
_DAYLIKE = re.compile(r"\d+\s?([-./])\s?\w+\s?\1\s?\d+.*")
_BEGUN = re.compile(r"([^\W\d_]{2,13})\.?,?\s+(?=\d{1,4}[-/.]\s?\d)")
_SIGNED = re.compile(r"(?P<day>\d[^,;|(]*\d)\s*[,;|(]\s*(?P<by>[^\W\d_][^\d:;,()]{0,40}?)\)?")
_OF_CLOCKS = set("utc gmt z am pm cet cest mez mesz bst west wet eet eest uhr h local".split())  # noqa: SIM905
_EXPECTED = "a date or time such as 2026-09-14 08:12 or 14.09.2026 08:12"


@dataclass(frozen=True)
class DayOrder:
    """Which comes first in dates such as 03/04/2026: "day", "month", or None where it is open.

    `why` is what custom alone says, for whoever uses what was read by it.
    """

    first: str | None
    contradicts: bool = False
    why: str = ""


def order_of(texts: Iterable[str], formats: Sequence[str] = ()) -> DayOrder:
    """Return what a file, else the lab's formats, say of day and month.

    Examples
    --------
    >>> order_of(["03/04/2026", "14/04/2026"]).first, order_of(["03/04/2026"]).first
    ('day', None)
    """
    day = month = False
    for text in texts:
        for match in OPEN_DAY.finditer(text):
            day |= int(match[1]) > 12
            month |= int(match[3]) > 12
    if day and month:
        return DayOrder(None, contradicts=True)
    if day or month:
        return DayOrder("day" if day else "month")
    for form in formats:
        places = [form.find("%d"), form.find("%m")]
        if min(places) >= 0 and re.search(r"%[dm][/-]%[dm]", form):
            return DayOrder("day" if places[0] < places[1] else "month")
    return DayOrder(None)


def moment(
    cells: Sequence[Cell], zone: ZoneInfo, formats: Sequence[str], order: DayOrder
) -> datetime | NoTime:
    """Return the aware time in UTC that a day, or a day and a clock time, make together.

    Parameters
    ----------
    cells
        One or two cells that are not empty.
    zone
        Of times without an offset.
    formats
        strptime formats of the lab, tried first.
    order
        What the file says of day and month.
    """
    if len(cells) == 2 and _clock_first(cells):
        cells = (cells[1], cells[0])
    if all(isinstance(cell, str) for cell in cells):
        text = " ".join(" ".join(str(cell) for cell in cells).split())
        by_file = (order.contradicts or order.first is not None) and is_open_day(text)
        if (
            formats
            and not by_file
            and not isinstance(read := read_time(text, zone, formats), NoTime)
        ):
            return read
        return _of_text(text, zone, order)
    local = _of_cells(cells, order, zone)
    return local if isinstance(local, NoTime) else to_utc(local, zone)


def _clock_first(cells: Sequence[Cell]) -> bool:
    first, second = cells
    return isinstance(first, time) or (
        isinstance(first, str)
        and _ONLY_CLOCK.fullmatch(first) is not None
        and not isinstance(second, time)
    )


def _of_cells(cells: Sequence[Cell], order: DayOrder, zone: ZoneInfo) -> datetime | NoTime:
    day: datetime | None = None
    for cell in cells:
        if isinstance(cell, datetime) and day is None:
            day = cell
        elif isinstance(cell, datetime) and day is not None:
            day = datetime.combine(day.date(), cell.time())
        elif isinstance(cell, date):
            day = datetime.combine(cell, time())
        elif isinstance(cell, bool):
            return NoTime(Reason.NOT_A_TIME, _EXPECTED)
        elif (
            isinstance(cell, float | int)
            and day is None
            and _SERIAL_DAYS[0] <= cell <= _SERIAL_DAYS[1]
        ):
            day = _SERIAL_DAY_ZERO + timedelta(seconds=round(cell * 86_400))
        elif isinstance(cell, float | int) and day is not None and 0 <= cell < 1:
            day += timedelta(seconds=round(cell * 86_400))
        elif isinstance(cell, time) and day is not None:
            day = datetime.combine(day.date(), cell)
        elif isinstance(cell, timedelta) and day is not None:
            day += cell
        elif (
            isinstance(cell, str)
            and day is None
            and not isinstance(read := _of_text(cell, zone, order), NoTime)
        ):
            day = read.astimezone(zone).replace(tzinfo=None)
        elif (
            isinstance(cell, str)
            and day is not None
            and (match := _ONLY_CLOCK.fullmatch(cell.strip()))
        ):
            clock = _clock(match.groupdict())
            if clock is None:
                return NoTime(Reason.NOT_A_TIME, _EXPECTED)
            day = datetime.combine(day.date(), clock)
        else:
            return NoTime(Reason.NOT_A_TIME, _EXPECTED)
    return day if day is not None else NoTime(Reason.NOT_A_TIME, _EXPECTED)


def _of_text(text: str, zone: ZoneInfo, order: DayOrder) -> datetime | NoTime:
    text = _without_weekday(without_initials(text.strip()))
    if (match := _SERIAL.fullmatch(text.strip())) is not None:
        return _of_serial(match.groupdict(), zone)
    for number, shape in enumerate(_DAYS):
        match = shape.fullmatch(text.strip())
        if match is None:
            continue
        part = match.groupdict()
        day = _day(part, number, order)
        if isinstance(day, NoTime):
            return day
        clock = _clock(part) if part.get("hour") else time()
        if clock is None:
            break
        local = datetime.combine(day, clock, tzinfo=_offset(part.get("offset")))
        return to_utc(local, zone)
    return NoTime(Reason.NOT_A_TIME, _EXPECTED)


def _of_serial(part: dict[str, str | None], zone: ZoneInfo) -> datetime | NoTime:
    """Return the time of a serial day of a workbook, its share of the day behind the mark or as a clock."""
    share = float(f"0.{part['part'] or part['beside'] or 0}")
    clock = _clock(part) if part.get("hour") else time()
    if clock is None or (share and part.get("hour")):
        return NoTime(Reason.NOT_A_TIME, _EXPECTED)
    day = _SERIAL_DAY_ZERO + timedelta(days=int(part["day"] or 0), seconds=round(share * 86_400))
    local = (
        day if share else datetime.combine(day.date(), clock, tzinfo=_offset(part.get("offset")))
    )
    return to_utc(local, zone)


def _day(part: dict[str, str | None], shape: int, order: DayOrder) -> date | NoTime:
    year = int(part["year"] or 0)
    year += 2000 if year < 100 else 0
    one = int(part["one"] or 0)
    if name := part.get("month"):
        month = month_of(name)
        days = [(month, one)] if month else []
    else:
        two, mark = int(part["two"] or 0), part["mark"]
        if shape in (0, 2):
            days = [(one, two)]
        elif mark == ".":
            days = [(two, one)]
        elif order.contradicts:
            return NoTime(Reason.NOT_A_TIME, "dates that are all day first or all month first")
        elif order.first is None and one != two:
            days = [(two, one), (one, two)]
        else:
            days = [(two, one)] if order.first != "month" else [(one, two)]
    found = []
    for month_number, day_number in days:
        try:
            found.append(date(year, month_number or 0, day_number))
        except ValueError:
            continue
    if not found:
        return NoTime(Reason.NOT_A_TIME, "a date that exists")
    if len(found) > 1:
        readings = " or ".join(f"{day:%-d %B %Y}" for day in found)
        return NoTime(
            Reason.NOT_A_TIME,
            f"a date with one reading; this may be {readings}: set times.formats, such as "
            '["%d/%m/%Y %H:%M"]',
        )
    return found[0]


def _clock(part: dict[str, str | None]) -> time | None:
    hour, half = int(part["hour"] or 0), (part.get("half") or "").casefold()[:1]
    if half and not 1 <= hour <= 12:
        return None
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    fraction = (part.get("fraction") or "").ljust(6, "0")[:6]
    try:
        return time(hour, int(part["minute"] or 0), int(part["second"] or 0), int(fraction))
    except ValueError:
        return None


def _offset(text: str | None) -> timezone | None:
    if not text:
        return None
    if text in ("Z", "UTC"):
        return UTC
    digits = text[1:].replace(":", "").ljust(4, "0")
    shift = timedelta(hours=int(digits[:2]), minutes=int(digits[2:]))
    return timezone(-shift if text[0] == "-" else shift)


def weekday_of(name: str) -> int | None:
    """Return the number of a weekday by its name or what it is shortened to; Monday is 0."""
    return _WEEKDAY_OF.get(bare(name))


def _without_weekday(text: str) -> str:
    """Return a text without the weekday before it: Mon 9 Mar 2026, Di, 03.02.2026."""
    match = _BEGUN.match(text)
    return text[match.end() :] if match and weekday_of(match[1]) is not None else text


def without_initials(text: str) -> str:
    """Return a day without who signed behind it: 26/05/2026, Javier or 04.05.2026 (M. K.).

    Examples
    --------
    >>> without_initials("26/05/2026, Javier"), without_initials("2026-05-26 08:00 (UTC)")
    ('26/05/2026', '2026-05-26 08:00 (UTC)')
    """
    match = _SIGNED.fullmatch(text)
    return match["day"] if match and bare(match["by"]) not in _OF_CLOCKS else text


def month_of(name: str) -> int | None:
    """Return the number of a month by its name or what it is shortened to."""
    return _MONTH.get(bare(name))


def is_open_day(cell: Cell) -> bool:
    """Tell whether a cell holds a date that has two readings by itself."""
    return isinstance(cell, str) and any(
        int(match[1]) <= 12 and int(match[3]) <= 12 and match[1] != match[3]
        for match in OPEN_DAY.finditer(cell)
    )


def is_day(cell: Cell) -> bool:
    """Tell whether a cell is a date, with or without a clock time, by its look."""
    if is_plain(cell):
        return False
    if isinstance(cell, str):
        text = _without_weekday(without_initials(cell.strip()))
        named = (shape.fullmatch(text) for shape in _DAYS[3:])
        return any(shape.fullmatch(text) for shape in _DAYS[:2]) or any(
            match is not None and month_of(match["month"]) is not None for match in named
        )
    return isinstance(cell, date) and not isinstance(cell, time)


def is_daylike(cell: Cell) -> bool:
    """Tell whether a cell is meant as a day, whether it exists or not, or counts days as workbooks do.

    Examples
    --------
    >>> is_daylike("2026-13-45 08:12"), is_daylike("45417,61667"), is_daylike("120 s")
    (True, True, False)
    """
    if isinstance(cell, str):
        text = cell.strip()
        return is_day(text) or any(shape.fullmatch(text) for shape in (_SERIAL, _DAYLIKE))
    return is_day(cell) or (
        isinstance(cell, float | int) and _SERIAL_DAYS[0] <= cell <= _SERIAL_DAYS[1]
    )


def is_clock(cell: Cell) -> bool:
    """Tell whether a cell is a clock time and no day."""
    if isinstance(cell, str):
        return not is_plain(cell) and _ONLY_CLOCK.fullmatch(cell.strip()) is not None
    return isinstance(cell, time)


def tells_clock(text: str) -> bool:
    """Tell whether a text that is a day or a clock time tells one of the day.

    Examples
    --------
    >>> [tells_clock(text) for text in ("12/06/2026, 8h45", "12.06.2026 8.45 Uhr", "12.06.2026")]
    [True, True, False]
    """
    return _TELLS_CLOCK.search(text) is not None


def is_of_working_day(cells: Sequence[Cell]) -> bool:
    """Tell whether all clock times among cells are hours at which people measure, if there is one.

    Minutes and seconds, as those of a flow time, or that begin at 0, are fewer.
    """
    hours = [hour for hour in map(hour_of, cells) if hour is not None]
    return bool(hours) and all(_WORKING[0] <= hour <= _WORKING[1] for hour in hours)


def hour_of(cell: Cell) -> int | None:
    """Return the hour of the day of a clock time; None of anything else.

    Examples
    --------
    >>> hour_of("2:35 pm"), hour_of("09:10"), hour_of("9.10.2026")
    (14, 9, None)
    """
    if isinstance(cell, time):
        return cell.hour
    match = _ONLY_CLOCK.fullmatch(cell.strip()) if isinstance(cell, str) else None
    clock = _clock(match.groupdict()) if match else None
    return clock.hour if clock else None
