"""Flow cups: within the range of the standard only."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.wet_paint.flow_cups import (
    CUPS,
    dynamic_viscosity_pa_s,
    kinematic_viscosity_mm2_s,
    off_temperature,
)
from tiecoat.schemas.viscosity import CUPS as FILED_CUPS

WITHOUT_FORMULA = ("BS 3900-A6 ", "NF T30-014 ")  # none could be confirmed


def test_every_cup_that_can_be_filed_has_a_formula_or_says_that_none_is_known() -> None:
    """Those with a formula are all of the kind but those of standards with none confirmed."""
    without = {cup for cup in FILED_CUPS if cup.startswith(WITHOUT_FORMULA)}
    assert set(CUPS) == set(FILED_CUPS) - without
    for cup in without:
        with pytest.raises(NotDeterminable, match="no formula is known for the cup"):
            kinematic_viscosity_mm2_s(cup, 50.0)


@given(st.sampled_from(sorted(CUPS)), st.floats(0, 1), st.floats(0, 1))
def test_what_runs_longer_is_thicker(cup: str, one: float, other: float) -> None:
    """Within the range of each cup the viscosity rises with the time."""
    it = CUPS[cup]
    first, second = (
        it.shortest_s + share * (it.longest_s - it.shortest_s) for share in sorted((one, other))
    )
    low, high = kinematic_viscosity_mm2_s(cup, first), kinematic_viscosity_mm2_s(cup, second)
    assert 0 < low <= high


@pytest.mark.parametrize("cup", CUPS)
def test_outside_of_the_range_there_is_a_reason(cup: str) -> None:
    """Just below the shortest and above the longest time the formula does not hold."""
    it = CUPS[cup]
    assert kinematic_viscosity_mm2_s(cup, it.shortest_s) > 0
    assert kinematic_viscosity_mm2_s(cup, it.longest_s) > 0
    with pytest.raises(NotDeterminable, match="take a finer cup"):
        kinematic_viscosity_mm2_s(cup, it.shortest_s - 0.1)
    with pytest.raises(NotDeterminable, match="take a wider cup"):
        kinematic_viscosity_mm2_s(cup, it.longest_s + 0.1)


def test_a_time_that_is_no_number_has_a_reason() -> None:
    """NaN lies in no range."""
    with pytest.raises(NotDeterminable, match="holds from 30 to 100 s"):
        kinematic_viscosity_mm2_s("ISO 2431 4 mm", float("nan"))


def test_an_unknown_cup_has_a_reason() -> None:
    """No formula, no number."""
    with pytest.raises(NotDeterminable, match="no formula is known for the cup 'mug'"):
        kinematic_viscosity_mm2_s("mug", 50)


def test_dynamic_viscosity_is_in_pascal_seconds() -> None:
    """Water at 20 °C: 1.0034 mm²/s and 0.9982 g/cm³ are 1.0016 mPa s."""
    assert dynamic_viscosity_pa_s(1.0034, 0.9982) == pytest.approx(1.0016e-3, rel=1e-4)


def test_another_temperature_than_that_of_the_standard_is_told() -> None:
    """ISO 2431 asks for 23 °C, ASTM D1200 for 25 °C; half a kelvin off is told by neither."""
    for cup, asked in (("ISO 2431 4 mm", 23), ("ASTM D1200 no. 4", 25)):
        for near in (asked - 0.5, asked, asked + 0.5):
            assert off_temperature(cup, near) == ""
        for far in (asked - 1, asked + 1):
            said = f"at {far} °C; the standard asks for {asked} °C"
            assert off_temperature(cup, far) == said
