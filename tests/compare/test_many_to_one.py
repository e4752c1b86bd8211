"""How far out the farthest of several t values lies by chance."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import t as student

from tiecoat.compare.many_to_one import (
    adjusted_p,
    chance_within,
    critical_value,
    independent_p,
    single_confidence,
)

SIZES = st.lists(st.integers(2, 30), min_size=1, max_size=6).map(tuple)


@settings(max_examples=50, deadline=None)
@given(st.integers(2, 40), st.integers(2, 40), st.floats(0.01, 12), st.integers(1, 400))
def test_one_candidate_is_students_t(n: int, control: int, limit: float, freedom: int) -> None:
    """With a single comparison the double integral is the t distribution, to seven digits."""
    expected = 1 - 2 * student.sf(limit, freedom)
    assert chance_within(limit, (n,), control, float(freedom)) == pytest.approx(expected, abs=1e-7)


@settings(max_examples=20, deadline=None)
@given(SIZES, st.integers(2, 30), st.integers(1, 200), st.floats(0.1, 6))
def test_it_lies_between_one_comparison_and_independent_ones(
    sizes: tuple[int, ...], control: int, freedom: int, limit: float
) -> None:
    """Sidak and the single comparison enclose it: the common control makes t values alike."""
    alone = 2 * student.sf(limit, freedom)
    p = adjusted_p(limit, sizes, control, float(freedom))
    assert alone <= p <= independent_p(alone, len(sizes)) + 1e-9


@settings(max_examples=10, deadline=None)
@given(SIZES, st.integers(2, 30), st.integers(1, 200))
def test_the_critical_value_has_its_confidence(
    sizes: tuple[int, ...], control: int, freedom: int
) -> None:
    """What is solved for is what is found, whatever the numbers of panels."""
    limit = critical_value(sizes, control, float(freedom))
    assert chance_within(limit, sizes, control, float(freedom)) == pytest.approx(0.95, abs=1e-8)


def test_the_plain_reference_agrees() -> None:
    """400,000 draws of means and variance, three unequal candidates, to three standard errors."""
    rng = np.random.default_rng(5)
    sizes, control, freedom, limit, draws = (3, 4, 8), 5, 12, 2.4, 400_000
    of_control = rng.normal(0, 1 / math.sqrt(control), draws)
    s = np.sqrt(rng.chisquare(freedom, draws) / freedom)
    inside = np.ones(draws, dtype=bool)
    for n in sizes:
        t = (rng.normal(0, 1 / math.sqrt(n), draws) - of_control) / math.sqrt(1 / n + 1 / control)
        inside &= np.abs(t / s) <= limit
    expected = chance_within(limit, sizes, control, float(freedom))
    assert inside.mean() == pytest.approx(expected, abs=3 * 0.5 / math.sqrt(draws))


def test_far_out_p_keeps_its_digits() -> None:
    """Where the integral has none left, p is still between one comparison and the sum of all."""
    alone = 2 * student.sf(40, 18)
    assert 0 < alone <= adjusted_p(40.0, (3,) * 8, 3, 18.0) <= 8 * alone
    assert adjusted_p(0.0, (3, 3), 3, 6.0) == 1.0
    assert independent_p(1.0, 8) == 1.0
    assert independent_p(1e-20, 8) == pytest.approx(8e-20)
    assert single_confidence(1) == 0.95
