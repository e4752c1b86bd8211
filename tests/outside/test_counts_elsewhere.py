"""Poisson intervals and dispersion against statsmodels and R."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chisquare
from statsmodels.stats.rates import confint_poisson

from tiecoat.contract.notations.rust_scales import ri_of_area
from tiecoat.evaluate.statistics.counts import dispersion, rate

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
