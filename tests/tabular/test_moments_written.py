"""Dates and clocks as people and spreadsheets write them.

Checked against the standard library (datetime, zoneinfo) and openpyxl, which counts the days
of workbooks.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.utils.datetime import from_excel, to_excel

from tiecoat.dialect.times import NoTime
from tiecoat.reasons import Reason
from tiecoat.tabular.moments import _MONTHS, DayOrder, is_clock, is_day, moment, order_of

ZONE = ZoneInfo("Europe/Prague")
OPEN, DAY, MONTH = DayOrder(None), DayOrder("day"), DayOrder("month")
# no hours that a change to summer time leaves out or doubles
TIMES = st.datetimes(datetime(2000, 1, 1, 4), datetime(2060, 12, 31)).map(  # noqa: DTZ001
    lambda at: at.replace(hour=max(4, at.hour), second=0, microsecond=0)
)
FORMS = (
    "%Y-%m-%d %H:%M",
    "%Y-%m-%dT%H:%M:%S",
    "%Y/%m/%d %H:%M",
    "%d.%m.%Y %H:%M",
    "%d.%m.%Y, %H:%M Uhr",
    "%d.%m.%Y %H.%M",
    "%d %B %Y %H:%M",
    "%d-%b-%Y %H:%M",
    "%B %d, %Y %H:%M",
    "%d.%m.%Y %I:%M %p",
    "%Y%m%d %H:%M",
    "%d.%m.%Y %Hh%M",
)


def in_utc(local: datetime) -> datetime:
    """Return a local time of the zone in UTC, by the standard library."""
    return local.replace(tzinfo=ZONE).astimezone(UTC)


@given(at=TIMES, form=st.sampled_from(FORMS))
def test_a_time_is_read_as_it_was_written(at: datetime, form: str) -> None:
    """Every way of writing that has one reading gives back the time, in UTC."""
    assert moment([at.strftime(form)], ZONE, (), OPEN) == in_utc(at)


@given(at=TIMES)
def test_day_and_clock_in_two_cells_make_one_time_in_either_order(at: datetime) -> None:
    """The clock may stand before the day, as texts or as cells of a workbook."""
    day, clock = at.strftime("%d.%m.%Y"), at.strftime("%H:%M")
    cells = [(day, clock), (clock, day), (at.date(), at.time()), (at.time(), at.date())]

    assert {moment(pair, ZONE, (), OPEN) for pair in cells} == {in_utc(at)}


@given(at=TIMES)
def test_a_serial_day_of_a_spreadsheet_is_the_day_that_the_spreadsheet_means(at: datetime) -> None:
    """As a number and as a text, with either decimal mark, a day counts as openpyxl counts it."""
    serial = round(to_excel(at), 8)
    meant = from_excel(serial)
    texts = [serial, f"{serial:.8f}", f"{serial:.8f}".replace(".", ",")]
    found = [moment([cell], ZONE, (), OPEN) for cell in texts]

    assert not any(isinstance(read, NoTime) for read in found)
    assert all(
        abs((read - in_utc(meant.replace(microsecond=0))).total_seconds()) <= 1
        for read in found
        if isinstance(read, datetime)
    )


@given(at=TIMES)
def test_a_serial_day_takes_its_clock_from_the_cell_beside(at: datetime) -> None:
    """A whole serial day and a clock, or a share of the day, make one time."""
    whole, share = divmod(to_excel(at), 1)
    clock = at.strftime("%H:%M")

    assert moment([f"{whole:.0f}", clock], ZONE, (), OPEN) == in_utc(at)
    beside = moment([f"{whole:.0f}", f"{share:.9f}"], ZONE, (), OPEN)
    assert isinstance(beside, datetime)
    assert abs((beside - in_utc(at)).total_seconds()) <= 1


@given(at=st.dates(date(2000, 1, 1), date(2060, 12, 31)))
def test_which_comes_first_is_told_by_the_file_or_both_readings_are_shown(at: date) -> None:
    """With slashes the order decides; where it is open and both exist, nothing is guessed."""
    text = at.strftime("%d/%m/%Y")
    midnight = in_utc(datetime.combine(at, time()))
    read = moment([text], ZONE, (), OPEN)

    assert moment([text], ZONE, (), DAY) == midnight
    if at.day > 12 or at.day == at.month:
        assert read == midnight
    else:
        assert isinstance(read, NoTime)
        assert "one reading" in read.expected


@given(
    days=st.lists(st.dates(date(2000, 1, 1), date(2060, 12, 31)), min_size=1, max_size=8),
    form=st.sampled_from(["%d/%m/%Y", "%m/%d/%Y"]),
)
def test_a_number_above_twelve_tells_what_comes_first(days: list[date], form: str) -> None:
    """One date with a day above 12 settles all of a file, and never the wrong way."""
    order = order_of([day.strftime(form) for day in days])
    told = any(day.day > 12 for day in days)

    assert order == DayOrder(("day" if form.startswith("%d") else "month") if told else None)


def test_a_file_that_contradicts_itself_is_not_read() -> None:
    """A day above 12 in either place leaves no reading."""
    order = order_of(["14/03/2026", "03/14/2026"])
    read = moment(["05/06/2026"], ZONE, (), order)

    assert order.contradicts
    assert isinstance(read, NoTime)


def test_the_lab_tells_the_order_where_the_file_does_not() -> None:
    """The formats of the lab say whether day or month comes first."""
    assert order_of(["03/04/2026"], ["%m/%d/%Y"]) == MONTH
    assert order_of(["03/04/2026"], ["%d/%m/%Y %H:%M"]) == DAY
    assert order_of(["14/04/2026"], ["%m/%d/%Y"]) == DAY


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("12. März 2026", date(2026, 3, 12)),
        ("3 août 2026", date(2026, 8, 3)),
        ("4 de mayo de 2026", date(2026, 5, 4)),
        ("7 luglio 2026", date(2026, 7, 7)),
        ("9 października 2026", date(2026, 10, 9)),
        ("1 maart 2026", date(2026, 3, 1)),
        ("5. září 2026", date(2026, 9, 5)),
        ("21st June 2026", date(2026, 6, 21)),
        ("Mon, 7 Sep 2026", date(2026, 9, 7)),
    ],
)
def test_months_are_known_by_their_names_in_eight_languages(text: str, day: date) -> None:
    """A named month needs no order of day and month."""
    assert is_day(text)
    assert moment([text], ZONE, (), OPEN) == in_utc(datetime.combine(day, time()))


@pytest.mark.parametrize("month", range(1, 13))
def test_every_month_of_every_language_is_a_day(month: int) -> None:
    """Whatever name of a month the module knows is read, by its look too; the longest in Polish."""
    for name in _MONTHS[month].split():
        text = f"9. {name} 2026"
        assert is_day(text), text
        read = moment([text], ZONE, (), OPEN)
        assert read == in_utc(datetime.combine(date(2026, month, 9), time())), text


def test_an_offset_counts_before_the_zone_of_the_lab() -> None:
    """A time with its own offset is no local time."""
    for text in ("2026-06-12T08:00:00+02:00", "2026-06-12 06:00:00Z", "2026-06-12T02:00-0400"):
        assert moment([text], ZONE, (), OPEN) == datetime(2026, 6, 12, 6, tzinfo=UTC)


@pytest.mark.parametrize(
    "text", ["31.02.2026", "2026-13-01", "12.06.2026 25:10", "12.06.2026 13:10 pm", "soon", "12"]
)
def test_what_is_no_time_is_said_to_be_none(text: str) -> None:
    """A day that does not exist, an hour too many, a word: no time, and no traceback."""
    read = moment([text], ZONE, (), DAY)

    assert isinstance(read, NoTime)
    assert read.reason is Reason.NOT_A_TIME


@pytest.mark.parametrize("text", ["Spot 12, 2026", "1.392", "12:30", "24.5", "45698", "M24-0107B"])
def test_what_only_looks_a_little_like_a_day_is_none_by_its_look(text: str) -> None:
    """A name and a number, a clock, a number and an id are no days."""
    assert not is_day(text)


@given(clock=st.times())
def test_a_clock_is_a_clock_and_no_day(clock: time) -> None:
    """Texts and cells of a workbook alike."""
    for cell in (clock, clock.strftime("%H:%M"), clock.strftime("%H:%M:%S")):
        assert is_clock(cell)
        assert not is_day(cell)
