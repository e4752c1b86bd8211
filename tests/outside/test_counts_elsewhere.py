"""Poisson intervals and dispersion against statsmodels and R."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import KDTree
from scipy.stats import chisquare
from statsmodels.stats.rates import confint_poisson, confint_poisson_2indep

from tiecoat.compare.rates import Counts, exact_difference
from tiecoat.contract.notations.rust_scales import ri_of_area
from tiecoat.evaluate.statistics.counts import apart, dispersion, rate, weighted_rate

counted = st.integers(0, 10_000)
area = st.floats(0.01, 100)


@given(counted, area)
def test_the_interval_is_that_of_statsmodels(count: int, area: float) -> None:
    """statsmodels.stats.rates.confint_poisson, method "exact-c"."""
    found, interval = rate([count], [area])
    assert found.value == pytest.approx(count / area)
    assert interval == pytest.approx(confint_poisson(count, area, method="exact-c"), rel=1e-9)


@pytest.mark.parametrize(
    ("count", "low", "high"),
    [
        (0, 0.0, 3.689),
        (1, 0.0253, 5.572),
        (2, 0.242, 7.225),
        (5, 1.623, 11.668),
        (10, 4.795, 18.390),
        (20, 12.217, 30.888),
    ],
)
def test_the_interval_is_that_of_r(count: int, low: float, high: float) -> None:
    """Exact 95 % limits of a Poisson mean, as R 4.2.2 computes them (poisson.test)."""
    _, interval = rate([count], [1.0])
    assert interval == pytest.approx((low, high), abs=6e-4)


@given(st.lists(st.tuples(st.integers(0, 500), area), min_size=2, max_size=6))
def test_dispersion_is_pearsons_test(panels: list[tuple[int, float]]) -> None:
    """scipy.stats.chisquare with expected counts in proportion to the areas."""
    counts, areas = zip(*panels, strict=True)
    if not sum(counts):
        return
    expected = [sum(counts) * one / sum(areas) for one in areas]
    square, p = chisquare(counts, expected, sum_check=False)
    assert dispersion(counts, areas) == pytest.approx((square / (len(counts) - 1), p), abs=1e-9)


@pytest.mark.parametrize(
    ("percent", "degree"), [(0.0, 0), (0.05, 1), (0.5, 2), (1.0, 3), (8.0, 4), (40.0, 5), (50.0, 5)]
)
def test_the_degrees_that_photographs_are_told_in_are_those_of_iso_4628_3(
    percent: float, degree: int
) -> None:
    """ISO 4628-3:2016, table 1, for the pictures Ri 0 to Ri 5, as printed in a published table."""
    assert ri_of_area(percent) == degree


def connected(diameters: np.ndarray, rng: np.random.Generator) -> int:
    """How many connected spots discs make that are thrown at random into a unit square."""
    places = rng.uniform(0, 1, (len(diameters), 2))
    one, other = np.array(list(KDTree(places).query_pairs(diameters.max()))).T
    away = np.hypot(*(places[one] - places[other]).T)
    meet = away < (diameters[one] + diameters[other]) / 2
    pairs = (np.ones(meet.sum()), (one[meet], other[meet]))
    size = (len(diameters), len(diameters))
    return int(connected_components(coo_matrix(pairs, shape=size), directed=False)[0])


@pytest.mark.parametrize("spread", [0.0, 0.4])
@pytest.mark.parametrize("psi", [0.05, 0.1, 0.2])
def test_spots_that_touch_are_allowed_for(psi: float, spread: float) -> None:
    """20 times 400 discs whose areas sum to 5, 10, 20 % of the whole: 9 to 34 % fewer are seen.

    Over (1 - p)^2, with the share that they cover, their number is right to 3 %.
    """
    rng = np.random.default_rng(1949)
    diameters = np.exp(rng.normal(0, spread, 400))
    diameters *= np.sqrt(psi / (np.pi / 4 * (diameters**2).sum()))
    seen = float(np.mean([connected(diameters, rng) for _ in range(20)]))
    assert seen / 400 < 1 - 1.5 * psi
    assert seen * apart(1 - np.exp(-psi)) == pytest.approx(400, rel=0.035)


def area_coverage(events: float, spread: float, samples: int) -> float:
    """How often the interval holds the true sum, of those samples in which there is an event."""
    rng = np.random.default_rng(int(events))
    truth, held, seen = events * np.exp(spread**2 / 2), 0, 0
    for _ in range(samples):
        weights = np.exp(rng.normal(0, spread, rng.poisson(events)))
        if len(weights):
            low, high = weighted_rate(weights, 1.0)
            held, seen = held + (low <= truth <= high), seen + 1
    return held / seen


def test_equal_weights_have_the_exact_interval() -> None:
    """Fay and Feuer's interval of equal weights is Garwood's, as R's poisson.test has it."""
    for count, (low, high) in {1: (0.0253, 5.572), 10: (4.795, 18.390)}.items():
        assert weighted_rate([3.0] * count, 3.0) == pytest.approx((low, high), abs=6e-4)


@pytest.mark.parametrize(("events", "spread"), [(8, 0.3), (20, 0.8), (60, 0.8)])
def test_the_interval_of_a_sum_of_areas_holds_it(events: float, spread: float) -> None:
    """At 95 % stated, 400 samples: 0.92 or more."""
    assert area_coverage(events, spread, 400) >= 0.92


@pytest.mark.thorough
@pytest.mark.campaign
@pytest.mark.parametrize(
    ("events", "spread", "least"),
    [(8, 0.3, 0.95), (20, 0.3, 0.94), (20, 0.8, 0.94), (60, 1.2, 0.94), (8, 1.2, 0.86)],
)
def test_the_interval_of_a_sum_of_areas_in_many(events: float, spread: float, least: float) -> None:
    """At 95 % stated, 10,000 samples; the last is what the flag of few defects is for."""
    assert area_coverage(events, spread, 10_000) >= least


@pytest.mark.parametrize(("control", "candidate"), [(4, 9), (0, 3), (12, 12), (60, 21), (0, 0)])
def test_difference_of_rates_as_statsmodels_has_it(control: int, candidate: int) -> None:
    """`confint_poisson_2indep`, way "mover" (Zou and Donner 2008), from exact limits."""
    found = exact_difference(
        Counts(np.array([float(control)]), np.array([2.0])),
        Counts(np.array([float(candidate)]), np.array([3.0])),
    )
    low, high = confint_poisson_2indep(
        *(candidate, 3.0, control, 2.0), method="mover", compare="diff", method_mover="exact-c"
    )
    assert (found.low, found.high) == pytest.approx((low, high), rel=1e-9)
