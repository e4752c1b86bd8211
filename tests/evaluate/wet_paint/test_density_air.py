"""Entrapped air, temperature reduction and foam decay as formulas."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.evaluate.estimate import CERTAIN, Estimate, NotDeterminable, mean_of, pooled, t_factor
from tiecoat.evaluate.wet_paint.air import (
    AIR_G_CM3,
    Reduced,
    air_estimate,
    at_reference,
    entrapped_air,
)
from tiecoat.evaluate.wet_paint.air_decay import decay

DENSITIES = st.floats(0.8, 4.0)
SHARES = st.floats(0.0, 0.6)


@given(DENSITIES, SHARES)
def test_air_that_was_mixed_in_is_found_again(air_free: float, share: float) -> None:
    """The share of air put into a paint is the share found, to the last digits."""
    mixed = (1 - share) * air_free + share * AIR_G_CM3
    assert float(entrapped_air(mixed, air_free)) == pytest.approx(share, abs=1e-12)


@given(DENSITIES, SHARES)
def test_weightless_air_would_be_a_tenth_of_a_percent_off(air_free: float, share: float) -> None:
    """The common form 1 - rho/rho0 finds 0.15 % of the share too little at most."""
    mixed = (1 - share) * air_free + share * AIR_G_CM3
    common = 1 - mixed / air_free
    assert common == pytest.approx(share, rel=0.0016, abs=1e-12)


@given(DENSITIES, st.floats(-10, 60), st.floats(0, 2e-3))
def test_reduction_undoes_the_expansion(density: float, warmth: float, expansion: float) -> None:
    """A paint whose volume grew evenly comes back to the density at the reference temperature."""
    warm = density / (1 + expansion * (warmth - 23))
    assert float(at_reference(warm, warmth, 23, expansion)) == pytest.approx(density, rel=1e-12)


def test_an_expansion_that_no_liquid_has_is_refused() -> None:
    """A coefficient in the wrong unit gives no density."""
    with pytest.raises(NotDeterminable, match=r"0\.7 per K is outside"):
        at_reference(1.4, 30, 23, 0.7)


def test_a_density_of_nothing_is_refused() -> None:
    """A density of zero gives no share of air."""
    with pytest.raises(NotDeterminable, match="above that of air"):
        entrapped_air(0.0, 1.4)


def test_the_expansion_cancels_where_both_were_measured_equally_warm() -> None:
    """Sample and reference at one temperature: the coefficient's uncertainty does not count."""
    mixed = Reduced("as mixed", 0, Estimate(1.4, 1e-9), shift_k=5)
    free = Reduced("deaerated", 0, Estimate(1.44, 1e-9), shift_k=5)
    assert air_estimate(mixed, free, 2e-4).standard_error < 1e-7
    cold = Reduced("deaerated", 0, Estimate(1.44, 1e-9), shift_k=0)
    assert air_estimate(mixed, cold, 2e-4).standard_error == pytest.approx(1e-3, rel=0.05)


def test_the_interval_of_the_air_holds_the_truth_in_95_of_100_cases() -> None:
    """Three fillings of each: the intervals cover the true share as often as they promise.

    3,000 cases: the share of covered ones is known to 0.4 %. Welch and Satterthwaite is a little
    wide for so few readings, hence the room upwards.
    """
    random = np.random.default_rng(1)
    share, free, spread = 0.026, 1.44, 8e-4
    mixed = (1 - share) * free + share * AIR_G_CM3
    covered = 0
    for fillings in random.normal(0, spread, (3000, 2, 3)):
        found = air_estimate(
            Reduced("as mixed", 0, mean_of(mixed + fillings[0])),
            Reduced("deaerated", 0, mean_of(free + fillings[1])),
            0.0,
        )
        low, high = found.interval
        covered += low <= share <= high
    assert 0.94 <= covered / 3000 <= 0.975


def test_replicates_that_agree_to_the_last_digit_are_not_taken_as_certain() -> None:
    """No spread between replicates is no proof: the stated uncertainty stands."""
    assert mean_of([1.4028, 1.4028, 1.4028], 5e-4).standard_error == 5e-4
    assert mean_of([1.4028, 1.4028, 1.4028], 5e-4).freedom == CERTAIN


@given(st.lists(st.lists(st.floats(-1e3, 1e3), min_size=1, max_size=5), min_size=1, max_size=5))
def test_the_pooled_spread_is_that_within_groups(groups: list[list[float]]) -> None:
    """Against the sum over groups, written out."""
    spread, freedom = pooled(groups)
    squares = sum((one - sum(group) / len(group)) ** 2 for group in groups for one in group)
    assert freedom == sum(len(group) - 1 for group in groups)
    if freedom:
        assert spread == pytest.approx(math.sqrt(squares / freedom), rel=1e-9, abs=1e-9)


@given(st.floats(0.01, 0.1), st.floats(1e-5, 2e-3))
def test_a_decay_without_noise_is_found_to_many_digits(start: float, rate: float) -> None:
    """What was put in comes out, whatever its rate."""
    times = np.linspace(0, 3 / rate, 5)
    found = decay(times, start * np.exp(-rate * times), 1e-5)
    assert found.fit.rates[0].value == pytest.approx(rate, rel=1e-6)
    assert found.fit.amounts[0].value == pytest.approx(start, rel=1e-6)


@pytest.mark.thorough
def test_the_interval_of_the_decay_holds_the_truth_in_95_of_100_cases() -> None:
    """With the error of the common reference among the errors; 2,000 cases: known to 0.5 %."""
    random = np.random.default_rng(2)
    times = np.array([0.0, 1800, 3600, 5400])
    truth, own, common = 0.05 * np.exp(-times / 3000), 5e-4, 1e-3
    covered = 0
    for _ in range(2000):
        noise = random.normal(0, own, 4) + random.normal(0, common)
        _, (low, high) = decay(times, truth + noise, own, common).fit.half_life()
        covered += low <= 3000 * math.log(2) <= high
    assert 0.935 <= covered / 2000 <= 0.965


@pytest.mark.thorough
def test_a_good_decay_fails_its_own_test_in_one_of_20_cases() -> None:
    """The test for lack of fit keeps its level, with estimated errors too."""
    random = np.random.default_rng(3)
    times, own = np.array([0.0, 1800, 3600, 5400]), 5e-4
    low = 0
    for _ in range(2000):
        estimated = own * math.sqrt(random.chisquare(4) / 4)
        noise = random.normal(0, own, 4)
        found = decay(times, 0.05 * np.exp(-times / 3000) + noise, estimated, 0.0, 4)
        low += found.lack_of_fit_p < 0.05
    assert 0.035 <= low / 2000 <= 0.065


def test_air_that_stays_is_found() -> None:
    """A decay that ends at a third of the air has a plateau, if the readings are good."""
    times = np.array([0.0, 1800, 3600, 7200])
    shares = 0.03 * (0.35 + 0.65 * np.exp(-times / 1800))
    found = decay(times, shares, 1e-4)
    assert found.fit.plateau is not None
    assert found.fit.plateau.value == pytest.approx(0.35 * 0.03, rel=1e-6)
    half, (low, high) = found.fit.half_life()
    assert isinstance(half, Estimate)
    assert half.value == pytest.approx(1800 * math.log(0.65 / 0.15), rel=1e-6)
    assert low < half.value < high
    assert found.lack_of_fit_p > 0.9


def test_air_of_many_sizes_is_no_exponential() -> None:
    """Half that leaves at once and half that stays for hours fails the test for lack of fit."""
    times = np.array([0.0, 300, 900, 1800, 3600, 7200])
    shares = 0.03 * (0.5 * np.exp(-times / 200) + 0.5 * np.exp(-times / 9000))
    assert decay(times, shares, 1e-4).lack_of_fit_p < 0.001


def test_two_times_are_no_decay() -> None:
    """Two times, one of them twice, are told to be too few."""
    with pytest.raises(NotDeterminable, match="2 times at rest"):
        decay([0, 600, 600], [0.03, 0.02, 0.02], 1e-4)


def test_no_air_cannot_decay() -> None:
    """Where no air can be told from none, no rate is given."""
    with pytest.raises(NotDeterminable, match="cannot be told from none"):
        decay([0, 600, 1200], [0.0001, 0.0, 0.0], 1e-3)


def test_the_t_factor_of_no_freedom_is_not_a_number() -> None:
    """Nothing behind a standard error, no interval."""
    assert math.isnan(t_factor(0))
