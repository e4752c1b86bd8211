"""Dates, times and the way into UTC."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tiecoat.dialect.times import NoTime, read_time
from tiecoat.reasons import Reason

BERLIN = ZoneInfo("Europe/Berlin")
ZONES = st.sampled_from(["Europe/Berlin", "America/St_Johns", "Australia/Lord_Howe", "UTC"])
MOMENTS = st.datetimes(datetime(1980, 1, 1), datetime(2037, 1, 1), allow_imaginary=True)  # noqa: DTZ001 (local)


def problem(text: str, **how: object) -> NoTime:
    found = read_time(text, BERLIN, **how)  # type: ignore[arg-type]
    assert isinstance(found, NoTime)
    return found


@pytest.mark.parametrize(
    ("text", "utc"),
    [
        ("2026-09-14", "2026-09-13T22:00:00"),
        ("14.09.2026", "2026-09-13T22:00:00"),
        ("2026-09-14 08:12", "2026-09-14T06:12:00"),
        ("2026-09-14T08:12:05", "2026-09-14T06:12:05"),
        ("2026-09-14T08:12:05.250", "2026-09-14T06:12:05.250000"),
        ("2026-09-14T08:12:05,25", "2026-09-14T06:12:05.250000"),
        ("2026/09/14 08:12", "2026-09-14T06:12:00"),
        ("14.09.2026 08:12", "2026-09-14T06:12:00"),
        ("14.09.2026, 8:12:59", "2026-09-14T06:12:59"),
        ("4.1.2026 08:12", "2026-01-04T07:12:00"),
        ("2026-09-14T08:12:00Z", "2026-09-14T08:12:00"),
        ("2026-09-14T08:12:00+02:00", "2026-09-14T06:12:00"),
        ("2026-09-14 08:12 -0330", "2026-09-14T11:42:00"),
        ("2026-10-25T02:30:00+01:00", "2026-10-25T01:30:00"),
    ],
)
def test_the_usual_ways_to_write_a_time_are_read(text: str, utc: str) -> None:
    """ISO 8601 with and without offset, German and slashed dates; a date alone is its midnight."""
    assert read_time(text, BERLIN) == datetime.fromisoformat(utc).replace(tzinfo=UTC)


@pytest.mark.parametrize(
    "text",
    [
        "14.09.26",
        "14/09/2026",
        "08:12",
        "2026-13-01",
        "2026-02-30",
        "31.04.2026",
        "2026-09-14 25:00",
        "2026-09-14 08:60",
        "tomorrow",
        "46279.5",
        "2026-09-14 08",
        "2026-09-14 08:12 PM",
        "20260914",
    ],
)
def test_what_is_no_time_or_leaves_it_open_is_refused(text: str) -> None:
    """Two-digit years, open orders of day and month, days that do not exist."""
    assert problem(text).reason is Reason.NOT_A_TIME


def test_a_day_that_does_not_exist_is_told_with_what_is_wrong_with_it() -> None:
    """In the words of Python's calendar."""
    with pytest.raises(ValueError, match="day") as caught:
        datetime(2026, 2, 30, tzinfo=UTC)
    assert problem("2026-02-30").expected == f"a date and time that exist ({caught.value})"


def test_an_open_order_of_day_and_month_is_told_with_the_way_out() -> None:
    """03/04/2026 is not guessed; the setting that decides it is named."""
    assert (
        "03/04/2026 leaves day and month open: set times.formats" in problem("03/04/2026").expected
    )


def test_the_formats_of_the_lab_come_first() -> None:
    """With %m/%d/%Y set, 03/04/2026 is the fourth of March."""
    found = read_time("03/04/2026", BERLIN, ("%m/%d/%Y %H:%M", "%m/%d/%Y"))
    assert found == datetime(2026, 3, 3, 23, tzinfo=UTC)


def test_an_explicit_format_is_the_only_one() -> None:
    """A profile that names a format takes nothing else, not even ISO 8601."""
    assert read_time("26-09-14", BERLIN, only="%y-%m-%d") == datetime(2026, 9, 13, 22, tzinfo=UTC)
    assert problem("2026-09-14", only="%d.%m.%Y").expected == "a time in the format %d.%m.%Y"


def test_a_format_without_a_year_makes_no_time() -> None:
    """strptime would take the year 1900."""
    assert problem("08:12", formats=("%H:%M",)).reason is Reason.NOT_A_TIME


def test_the_hour_that_the_clocks_skip_and_the_one_they_repeat_are_held() -> None:
    """02:30 does not exist on 29 March 2026 in Berlin and occurs twice on 25 October."""
    assert problem("29.03.2026 02:30").reason is Reason.SKIPPED_TIME
    assert problem("25.10.2026 02:30").reason is Reason.DOUBLED_TIME
    assert read_time("29.03.2026 03:00", BERLIN) == datetime(2026, 3, 29, 1, tzinfo=UTC)
    assert read_time("25.10.2026 03:00", BERLIN) == datetime(2026, 10, 25, 2, tzinfo=UTC)


def test_a_time_at_the_end_of_the_calendar_does_not_raise() -> None:
    """Year 1 and year 9999 fall off the calendar when an offset is taken away."""
    assert problem("0001-01-01 00:00").reason is Reason.NOT_A_TIME
    assert problem("9999-12-31T23:59:59-05:00").reason is Reason.NOT_A_TIME


@given(MOMENTS, ZONES)
@example(datetime(2026, 3, 29, 2, 30), "Europe/Berlin")  # noqa: DTZ001
@example(datetime(2026, 10, 25, 2, 30), "Europe/Berlin")  # noqa: DTZ001
@example(datetime(2026, 4, 5, 1, 45), "Australia/Lord_Howe")  # noqa: DTZ001
@example(datetime(2011, 11, 6, 0, 0, 30), "America/St_Johns")  # noqa: DTZ001
def test_local_times_come_back_or_are_held_exactly_at_clock_changes(
    moment: datetime, zone_name: str
) -> None:
    """The reference: all UTC instants within a day whose wall clock shows the time."""
    zone = ZoneInfo(zone_name)
    moment = moment.replace(microsecond=0)
    near = moment.replace(tzinfo=UTC)
    offsets = {(near + timedelta(hours=h)).astimezone(zone).utcoffset() for h in (-26, 0, 26)}
    fitting = sorted(
        near - offset
        for offset in offsets
        if offset is not None and (near - offset).astimezone(zone).replace(tzinfo=None) == moment
    )
    found = read_time(moment.isoformat(" "), zone)
    if len(fitting) == 1:
        assert found == fitting[0]
    else:
        assert isinstance(found, NoTime)
        assert found.reason is (Reason.DOUBLED_TIME if fitting else Reason.SKIPPED_TIME)


@given(MOMENTS, st.integers(-14 * 60, 14 * 60))
def test_a_time_with_its_offset_never_depends_on_the_zone(moment: datetime, minutes: int) -> None:
    """An offset beside the time settles it, clock change or not."""
    sign = "-" if minutes < 0 else "+"
    hours, rest = divmod(abs(minutes), 60)
    found = read_time(f"{moment.isoformat()}{sign}{hours:02}:{rest:02}", BERLIN)
    assert found == moment.replace(tzinfo=UTC) - timedelta(minutes=minutes)


@given(st.text(max_size=30))
def test_any_text_is_a_time_in_utc_or_told_why_not(text: str) -> None:
    """No text raises."""
    found = read_time(text, BERLIN)
    assert found.expected if isinstance(found, NoTime) else found.tzinfo is UTC
