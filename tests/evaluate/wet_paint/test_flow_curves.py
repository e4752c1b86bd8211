"""Shear thinning, hysteresis and recovery, straight from the points."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.wet_paint.thinning_and_recovery import (
    curve,
    hysteresis_area,
    recovery,
    thinning_index,
    viscosity_at,
)

RATES = np.geomspace(0.1, 1000, 17)


@given(st.floats(0.1, 50), st.floats(0.1, 1.2), st.floats(0.1, 1000))
def test_a_power_law_is_read_exactly_between_points(k: float, n: float, rate: float) -> None:
    """Log-log, a power law is a straight line."""
    found = viscosity_at(curve(RATES, k * RATES**n), rate)
    assert found.value == pytest.approx(k * rate ** (n - 1), rel=1e-9)


@given(st.floats(0.1, 1.2))
def test_the_index_of_a_power_law_tells_its_exponent(n: float) -> None:
    """Rates a factor of ten apart: ten to the power of 1 - n."""
    found = thinning_index(curve(RATES, 2 * RATES**n), 1, 10)
    assert found.value == pytest.approx(10 ** (1 - n), rel=1e-9)


@pytest.mark.parametrize("points", [5, 17])
def test_between_points_a_plastic_paint_is_read_as_well_as_told(points: int) -> None:
    """17 % with one point a decade, 1 % with four: the docstring's promise at the sharpest bend."""
    rates = np.geomspace(0.1, 1000, points)
    at = np.geomspace(0.1, 1000, 300)
    worst = 0.0
    for tau in np.geomspace(0.1, 1000, 25):
        found = curve(rates, tau + rates)
        off = [viscosity_at(found, rate).value / ((tau + rate) / rate) - 1 for rate in at[1:-1]]
        worst = max(worst, *off)
    assert worst < (0.18 if points == 5 else 0.0105)


def test_nothing_is_read_outside_of_the_points() -> None:
    """A rate below the lowest one gives a reason with the range."""
    with pytest.raises(NotDeterminable, match=r"0\.01 1/s lies outside the measured 0\.1 to 1000"):
        viscosity_at(curve(RATES, RATES), 0.01)
    with pytest.raises(NotDeterminable, match="outside"):
        thinning_index(curve(RATES, RATES), 200, 2000)


def test_one_point_gives_its_own_viscosity_only() -> None:
    """A single point is no curve."""
    single = curve([60.0], [30.0])
    assert viscosity_at(single, 60.0).value == pytest.approx(0.5)
    with pytest.raises(NotDeterminable, match="outside the measured 60 1/s"):
        viscosity_at(single, 61.0)


def test_rates_that_do_not_rise_are_refused() -> None:
    """An index needs a lower and a higher rate."""
    with pytest.raises(NotDeterminable, match="do not rise"):
        thinning_index(curve(RATES, RATES), 10, 1)


def test_the_standard_error_of_the_index_is_its_spread() -> None:
    """5,000 noisy curves scatter as the standard error says, within 5 %."""
    random = np.random.default_rng(7)
    stresses = 4 + RATES**0.8
    told = thinning_index(curve(RATES, stresses, 0.02), 1.3, 13).standard_error
    noisy = [
        thinning_index(curve(RATES, stresses * random.normal(1, 0.02, 17)), 1.3, 13).value
        for _ in range(5000)
    ]
    assert np.std(noisy) == pytest.approx(told, rel=0.05)


def test_hysteresis_is_the_area_between_the_curves() -> None:
    """Against the integral by quadrature of the straight lines, over the common range."""
    up, down = curve(RATES, 6 + 2 * RATES**0.7), curve(RATES[2:-3], 4 + 2 * RATES[2:-3] ** 0.7)
    low, high = RATES[2], RATES[-4]

    def between(rate: float) -> float:
        one = np.interp(rate, up.rate_per_s, up.stress_pa)
        return float(one - np.interp(rate, down.rate_per_s, down.stress_pa))

    area, _ = quad(between, low, high, points=RATES[3:-4].tolist(), limit=200)
    assert hysteresis_area(up, down).value == pytest.approx(area, rel=1e-9)
    assert hysteresis_area(up, down).value == pytest.approx(2 * (high - low), rel=1e-9)


@given(st.lists(st.floats(0.01, 100), min_size=2, max_size=8, unique=True))
def test_a_curve_with_itself_has_no_hysteresis(rates: list[float]) -> None:
    """No area between a curve and itself, and the other way round it changes its sign."""
    one = curve(rates, np.asarray(rates) ** 0.5)
    other = curve(rates, np.asarray(rates) ** 0.4 + 1)
    assert hysteresis_area(one, one).value == pytest.approx(0, abs=1e-9)
    turned = -hysteresis_area(other, one).value
    assert hysteresis_area(one, other).value == pytest.approx(turned)


def test_the_standard_error_of_the_area_is_its_spread() -> None:
    """3,000 noisy pairs scatter as the standard error says, within 5 %."""
    random = np.random.default_rng(8)
    rates, stresses = RATES[4:], 6 + 2 * RATES[4:] ** 0.7
    told = hysteresis_area(curve(rates, stresses, 0.02), curve(rates, stresses, 0.02))
    noisy = [
        hysteresis_area(
            curve(rates, stresses * random.normal(1, 0.02, 13)),
            curve(rates, stresses * random.normal(1, 0.02, 13)),
        ).value
        for _ in range(3000)
    ]
    assert np.std(noisy) == pytest.approx(told.standard_error, rel=0.05)


def test_curves_that_do_not_overlap_have_no_hysteresis() -> None:
    """No common rate, a reason."""
    with pytest.raises(NotDeterminable, match="do not overlap"):
        hysteresis_area(curve([1, 2], [1, 2]), curve([3, 4], [1, 2]))


def test_recovery_is_the_ratio_at_the_same_rate() -> None:
    """Half of the stress at the same rate is half of the viscosity."""
    before, after = curve(RATES, RATES**0.5, 0.01), curve(RATES, RATES**0.5 / 2, 0.01)
    found = recovery(before, after, 1.0)
    assert found.value == pytest.approx(0.5)
    assert found.standard_error == pytest.approx(0.5 * math.sqrt(2) * 0.01, rel=0.01)


def test_points_at_one_rate_count_as_their_mean() -> None:
    """A rate that was held gives one point."""
    found = curve([1, 1, 10], [2, 4, 9])
    assert found.rate_per_s.tolist() == [1, 10]
    assert found.stress_pa.tolist() == [3, 9]


@pytest.mark.parametrize(("rates", "stresses"), [([], []), ([0.0], [1.0]), ([1.0], [math.nan])])
def test_no_usable_point_is_no_curve(rates: list[float], stresses: list[float]) -> None:
    """At rest, missing or nothing at all."""
    with pytest.raises(NotDeterminable, match="no point"):
        curve(rates, stresses)
