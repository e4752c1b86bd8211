"""Dates and times as instruments write them, and the way from local time to UTC."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

from tiecoat.reasons import Reason

_TIME = (
    r"(?:(?:T|,?[ \u00a0]+)(?P<hour>\d{1,2}):(?P<minute>\d{2})"
    r"(?::(?P<second>\d{2})(?:[.,](?P<fraction>\d{1,9}))?)?"
    r"(?: ?(?P<offset>Z|UTC|[-+]\d{2}:?\d{2}|[-+]\d{2}))?)?"
)
_SHAPES = tuple(
    re.compile(date + _TIME)
    for date in (
        r"(?P<year>\d{4})(?P<mark>[-/])(?P<month>\d{1,2})(?P=mark)(?P<day>\d{1,2})",
        r"(?P<day>\d{1,2})\.(?P<month>\d{1,2})\.(?P<year>\d{4})",
    )
)
_SLASHED = re.compile(r"\d{1,2}[/-]\d{1,2}[/-]\d{2,4}\b.*")
_SHORT_YEAR = re.compile(r"\d{1,2}\.\d{1,2}\.\d{2}\b.*")
_WITH_YEAR = re.compile(r"%[YyGcx]")  # strptime takes 1900 where the format has no year
EXPECTED = "a date or time such as 2026-09-14 08:12 or 14.09.2026 08:12"


@dataclass(frozen=True)
class NoTime:
    """Why a text is not a point in time."""

    reason: Reason
    expected: str


def read_time(
    text: str, zone: ZoneInfo, formats: Sequence[str] = (), only: str | None = None
) -> datetime | NoTime:
    """Read one date or time; without an offset it is local time of `zone`.

    Parameters
    ----------
    text
        Without blanks around it.
    zone
        Zone of times without an offset. A date alone is its midnight there.
    formats
        strptime formats that are tried first.
    only
        The one strptime format that is allowed.

    Returns
    -------
    datetime
        Aware, in UTC; or `NoTime`: NOT_A_TIME, SKIPPED_TIME, DOUBLED_TIME.

    Examples
    --------
    >>> read_time("14.09.2026 08:12", ZoneInfo("Europe/Berlin")).isoformat()
    '2026-09-14T06:12:00+00:00'
    """
    for form in (only,) if only else formats:
        if not _WITH_YEAR.search(form):
            continue
        try:
            return to_utc(datetime.strptime(text, form), zone)  # noqa: DTZ007 (to_utc adds the zone)
        except ValueError:
            continue
    if only:
        return NoTime(Reason.NOT_A_TIME, f"a time in the format {only}")
    for shape in _SHAPES:
        if match := shape.fullmatch(text):
            return _from_parts(match.groupdict(), zone)
    return NoTime(Reason.NOT_A_TIME, _advice(text))


def _from_parts(part: dict[str, str | None], zone: ZoneInfo) -> datetime | NoTime:
    fraction = (part["fraction"] or "").ljust(6, "0")[:6]
    try:
        moment = datetime(
            int(part["year"] or 0),
            int(part["month"] or 0),
            int(part["day"] or 0),
            int(part["hour"] or 0),
            int(part["minute"] or 0),
            int(part["second"] or 0),
            int(fraction),
            tzinfo=_offset(part["offset"]),
        )
    except ValueError as error:
        return NoTime(Reason.NOT_A_TIME, f"a date and time that exist ({error})")
    return to_utc(moment, zone)


def _offset(text: str | None) -> timezone | None:
    if text is None:
        return None
    if text in ("Z", "UTC"):
        return UTC
    digits = text[1:].replace(":", "").ljust(4, "0")
    offset = timedelta(hours=int(digits[:2]), minutes=int(digits[2:]))
    return timezone(-offset if text[0] == "-" else offset)


def _advice(text: str) -> str:
    if _SLASHED.fullmatch(text):
        return (
            f"{EXPECTED}; {text.split(maxsplit=1)[0]} leaves day and month open: set times.formats"
        )
    if _SHORT_YEAR.fullmatch(text):
        return f"{EXPECTED}; with all four digits of the year"
    return EXPECTED


def to_utc(moment: datetime, zone: ZoneInfo) -> datetime | NoTime:
    """Turn a time into UTC; one without an offset is local time of `zone`."""
    try:
        if moment.tzinfo is not None:
            return moment.astimezone(UTC)
        first = moment.replace(tzinfo=zone, fold=0)
        second = moment.replace(tzinfo=zone, fold=1)
        moved = first.utcoffset() != second.utcoffset()
        utc = first.astimezone(UTC)
        if not moved:
            return utc
        exists = utc.astimezone(zone).replace(tzinfo=None) == moment
    except OverflowError:
        return NoTime(Reason.NOT_A_TIME, "a time between the years 2 and 9998")
    reason = Reason.DOUBLED_TIME if exists else Reason.SKIPPED_TIME
    fix = "the offset beside it" if exists else "a local time that exists"
    return NoTime(reason, f"{fix}; at {moment:%Y-%m-%d %H:%M} the clocks of {zone.key} change")
