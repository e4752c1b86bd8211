"""Cells as numbers with their unit; durations; ratings, which are none.

Checked against how the numbers were written, and pint for their units.
"""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tiecoat.dialect.units import scale
from tiecoat.tabular.facts import is_empty, is_notation, numbers_of, seconds_of, told_mark

NUMBERS = st.lists(
    st.decimals(-99_999, 99_999, places=3, allow_nan=False).map(float), min_size=1, max_size=12
)
UNITS = ("µm", "mm", "MPa", "kOhm", "g/cm³", "mPa·s", "min", "h", "%", "°C")
EMPTY = ("", "-", "n/a")


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    """The units that pint knows; it takes a while to learn them."""
    return pint.UnitRegistry()


def written(value: float, mark: str, unit: str = "") -> str:
    """Return a number as a text with a decimal mark, perhaps with its unit."""
    return f"{value:.3f}".replace(".", mark) + (f" {unit}" if unit else "")


@given(values=NUMBERS)
def test_numbers_are_read_under_the_mark_they_were_written_with(values: list[float]) -> None:
    """Under its own mark each number is itself, and none is odd or doubtful."""
    for mark, sign in (("point", "."), ("comma", ",")):
        read = numbers_of([written(value, sign) for value in values], mark)  # type: ignore[arg-type]

        assert list(read.values) == pytest.approx(values)
        assert (read.odd, read.doubtful, read.unit) == ((), (), None)


@given(values=NUMBERS, unit=st.sampled_from(UNITS))
def test_a_unit_behind_all_numbers_is_the_unit_of_the_column(
    values: list[float], unit: str
) -> None:
    """One unit in every cell is told once, and the numbers are without it."""
    read = numbers_of([written(value, ".", unit) for value in values], "point")

    assert list(read.values) == pytest.approx(values)
    assert read.unit == unit


@given(values=st.lists(st.floats(0.1, 900), min_size=2, max_size=9), small=st.booleans())
def test_units_that_differ_from_cell_to_cell_are_told_cell_by_cell(
    values: list[float], small: bool
) -> None:
    """Where one cell is in another unit, nothing is taken for the unit of all."""
    first, other = ("mm", "µm") if small else ("µm", "mm")
    read = numbers_of(
        [f"{values[0]:.2f} {first}", *(f"{v:.2f} {other}" for v in values[1:])], "point"
    )

    assert read.unit is None
    assert read.units == (first, *[other] * (len(values) - 1))


@given(values=NUMBERS, empty=st.sampled_from(EMPTY), odd=st.sampled_from(["edge", "B/C", "5 x"]))
def test_what_is_empty_is_missing_and_what_is_no_number_is_odd(
    values: list[float], empty: str, odd: str
) -> None:
    """An empty cell is no fault; a word among numbers is told by its place."""
    read = numbers_of([empty, odd, *(written(value, ".") for value in values)], "point")

    assert math.isnan(read.values[0])
    assert math.isnan(read.values[1])
    assert read.odd == (1,)
    assert read.filled == len(values) + 1
    assert is_empty(empty)


@given(thousands=st.integers(1, 999), rest=st.integers(0, 999))
def test_a_number_with_two_readings_is_doubtful_until_a_mark_is_known(
    thousands: int, rest: int
) -> None:
    """1,392 may be a thousand and a half, or one and a half."""
    cell = f"{thousands},{rest:03d}"

    assert numbers_of([cell], None).doubtful == (0,)
    assert numbers_of([cell], "comma").values[0] == pytest.approx(thousands + rest / 1000)


@given(values=st.lists(st.floats(0, 9.99), min_size=1, max_size=9))
def test_columns_tell_their_decimal_mark(values: list[float]) -> None:
    """Two decimals behind a mark tell it; a delimiter is no decimal mark."""
    points = [f"{value:.2f}" for value in values]
    commas = [text.replace(".", ",") for text in points]

    assert told_mark([points], ";") == "point"
    assert told_mark([commas], ";") == "comma"
    assert told_mark([points], ",") == "point"
    assert told_mark([["12.06.2026", "13:15"]], ";") is None


@given(hours=st.integers(0, 99), minutes=st.integers(0, 59), seconds=st.integers(0, 59))
def test_a_duration_is_read_in_seconds(hours: int, minutes: int, seconds: int) -> None:
    """Minutes and seconds, with hours before or units behind, are one number of seconds."""
    short = 60 * minutes + seconds

    assert seconds_of(f"{minutes}:{seconds:02d}") == short
    assert seconds_of(f"{minutes} min {seconds} s") == short
    assert seconds_of(f"{hours}:{minutes:02d}:{seconds:02d}") == 3600 * hours + short


@pytest.mark.parametrize("cell", ["75", "1:15 pm", "12.06.2026", "a:15", "", 75.0, True])
def test_what_is_no_duration_is_none(cell: str | float) -> None:
    """A plain number, a clock of twelve hours, a date, a text."""
    assert seconds_of(cell) is None


@given(quantity=st.integers(0, 5), size=st.integers(0, 5), depth=st.sampled_from(["", "a", "b"]))
def test_a_rating_is_no_quantity(quantity: int, size: int, depth: str) -> None:
    """A class in brackets is no unit: S is no siemens there."""
    for text in (
        f"{quantity}(S{size}){depth}",
        f"{quantity} (S{size}){depth}",
        f"{quantity}({size})",
    ):
        read = numbers_of([text], "point")

        assert is_notation(text)
        assert (read.odd, read.unit) == ((0,), None)


@given(value=st.floats(0.001, 9999), unit=st.sampled_from(["µm", "mm²", "kg/m³", "mS", "S"]))
def test_a_quantity_with_its_unit_in_brackets_is_no_rating(value: float, unit: str) -> None:
    """Units in brackets behind a number stay units."""
    text = f"{value:.3f} ({unit})"

    assert not is_notation(text)
    assert numbers_of([text], "point").unit == unit


@given(
    value=st.floats(0.1, 1000),
    units=st.sampled_from(
        [
            ("kg/dm³", "g/cm**3", "kg/dm^3"),
            ("dPa·s", "Pa*s", "dPa*s"),
            ("dm²", "cm**2", "dm^2"),
            ("dl/h", "ml/h", "dl/h"),
            ("% by mass", "percent", "percent"),
            ("ml/h je 80 cm²", "ml/h", "ml/h"),
            ("MM", "um", "mm"),
            ("poise", "Pa*s", "poise"),
        ]
    ),
)
def test_units_of_headers_are_turned_as_pint_turns_them(
    value: float, units: tuple[str, str, str], registry: pint.UnitRegistry
) -> None:
    """Tenths, percents by mass, capitals and a collecting area lead to what pint says."""
    text, to, plain = units
    way = scale(text, to)

    assert way is not None
    assert way.apply([value])[0] == pytest.approx(registry.Quantity(value, plain).to(to).magnitude)


@given(text=st.text(max_size=12))
def test_no_text_makes_reading_fail(text: str) -> None:
    """Whatever stands in a cell, it is a number, empty or odd."""
    assume(text == text.strip())
    read = numbers_of([text], None)

    assert len(read.values) == 1
    assert is_empty(text) or read.odd == (0,) or not math.isnan(read.values[0])
