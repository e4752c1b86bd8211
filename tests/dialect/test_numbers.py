"""Numbers as instruments write them."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tiecoat.dialect.numbers import (
    DecimalMark,
    Evidence,
    number,
    plain_numbers,
    two_readings,
    weigh,
)

FINITE = st.floats(allow_nan=False, allow_infinity=False)


@pytest.mark.parametrize(
    ("cell", "mark", "value"),
    [
        ("1.234,5", "comma", 1234.5),
        ("1,234.5", "point", 1234.5),
        ("1 234 567,8", "comma", 1234567.8),
        ("1\u00a0234,5", "comma", 1234.5),
        ("1\u202f234.5", "point", 1234.5),
        ("1'234.5", "point", 1234.5),
        ("1’234’567", "point", 1234567.0),
        ("1.234", "comma", 1234.0),
        ("1.234", "point", 1.234),
        ("−2,5", "comma", -2.5),
        ("–2.5", "point", -2.5),
        ("+2.5", "point", 2.5),
        (".5", "point", 0.5),
        ("5.", "point", 5.0),
        ("1.5E+3", "point", 1500.0),
        ("1.5D-3", "point", 0.0015),
        ("1,5e−3", "comma", 0.0015),
        ("007", "point", 7.0),
    ],
)
def test_every_usual_way_to_write_a_number_is_read(
    cell: str, mark: DecimalMark, value: float
) -> None:
    """Thousands by point, comma, blanks and apostrophe; typographic minus; Fortran exponents."""
    assert number(cell, mark) == value


@pytest.mark.parametrize(
    ("cell", "mark"),
    [
        ("1,5", "point"),
        ("1.5", "comma"),
        ("0,123", "point"),
        ("1,23,456", "point"),
        ("1.234.5", "point"),
        ("12 34", "point"),
        ("1,234.567,8", "point"),
        ("inf", "point"),
        ("-Infinity", "point"),
        ("1e999", "point"),
        ("1_000", "point"),
        ("0x10", "point"),
        ("--5", "point"),
        ("3,4.", "point"),
        (".", "point"),
        ("-", "point"),
        ("1.5e", "point"),
        ("5 mm", "point"),
        ("< 5", "point"),
    ],
)
def test_what_is_no_number_under_this_mark_is_none(cell: str, mark: DecimalMark) -> None:
    """Nothing is dropped, repaired or rounded to make a number of it."""
    assert number(cell, mark) is None


def test_a_cell_with_two_readings_is_known_as_such() -> None:
    """One mark and exactly three digits behind it can be read in two ways, unless 0 leads."""
    assert two_readings("1,250") == ("1.25", "1250")
    assert two_readings("-12.500") == ("-12.5", "-12500")
    for clear in ("0,125", "1,25", "1250,125", "1,250,000", "1.250,5", ",125", "1,250e3", "1250"):
        assert two_readings(clear) is None


@pytest.mark.parametrize(
    ("cells", "mark"),
    [
        (["22,8"], "comma"),
        (["1,250", "22,8"], "comma"),
        (["1,250", "22.8"], "point"),
        (["1.234,567"], "comma"),
        (["1,234.567"], "point"),
        (["1.234.567"], "comma"),
        (["1,234,567"], "point"),
        (["0,123"], "comma"),
        (["-0.123"], "point"),
        (["1234,567"], "comma"),
        (["1 234,567"], "comma"),
        (["1,250"], None),
        (["1.250"], None),
        (["100", "RB-014", "", "14.09.2026", "n/a"], None),
        (["1,5", "1.5"], None),
        (["1,5", "1.5", "2,5"], "comma"),
    ],
)
def test_the_decimal_mark_is_what_the_clear_cells_say(
    cells: list[str], mark: DecimalMark | None
) -> None:
    """Cells of one reading decide; ids, dates and cells of two readings say nothing."""
    assert weigh(cells).mark == mark


@given(st.lists(FINITE, min_size=1), st.sampled_from(["point", "comma"]))
def test_the_quick_way_and_the_slow_way_read_the_same(
    values: list[float], mark: DecimalMark
) -> None:
    """What the quick way accepts, the slow way reads to the same value."""
    cells = [repr(value) for value in values]
    if mark == "comma":
        cells = [cell.replace(".", ",") for cell in cells]
    quick = plain_numbers(cells, mark)
    slow = [number(cell, mark) for cell in cells]
    assert slow == values
    assert quick is None or quick == values


@given(
    st.lists(st.text("0123456789.,-+eE_nainf ٣", max_size=8)), st.sampled_from(["point", "comma"])
)
@example(["1_000"], "point")
@example(["nan"], "point")
@example(["1.250"], "comma")
@example(["٣"], "point")
def test_the_quick_way_never_reads_what_the_slow_way_refuses(
    cells: list[str], mark: DecimalMark
) -> None:
    """Underscores, words, infinities and thousands marks go the slow way."""
    quick = plain_numbers([cell.strip() for cell in cells], mark)
    if quick is not None:
        assert quick == [number(cell.strip(), mark) for cell in cells]


@given(st.text(max_size=20), st.sampled_from(["point", "comma"]))
def test_any_text_is_a_finite_number_or_none(cell: str, mark: DecimalMark) -> None:
    """No text raises, and none becomes infinite."""
    value = number(cell, mark)
    assert value is None or math.isfinite(value)


@pytest.mark.parametrize(
    ("cells", "evidence"),
    [
        ([], Evidence(0, 0)),
        (["7", "100000", "Küche"], Evidence(0, 0)),
        (["1.250", "1,250"], Evidence(0, 0)),
        (["7.5", "7.25"], Evidence(1, 0)),
        (["7,5", "7,25"], Evidence(0, 1)),
        (["7,5", "7.25", "0.5"], Evidence(2, 1)),
    ],
)
def test_only_cells_with_a_clear_mark_speak_for_one(cells: list[str], evidence: Evidence) -> None:
    """Whole numbers and three digits behind a mark say nothing; all that agree count as one."""
    assert weigh(cells) == evidence


def test_plain_numbers_are_read_the_quick_way_with_either_mark() -> None:
    """One cell with the other mark, and all are left to the slow way."""
    assert plain_numbers(["7,5", "-2"], "comma") == [7.5, -2.0]
    assert plain_numbers(["7.5", "-2"], "point") == [7.5, -2.0]
    assert plain_numbers(["7,5", "1.250"], "comma") is None
    assert plain_numbers(["7.5", "1,250"], "point") is None
