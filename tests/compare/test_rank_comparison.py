"""The probability of superiority and its interval."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from tiecoat.compare.ranks import interval, superiority

RATINGS = st.lists(st.integers(0, 5).map(float), min_size=2, max_size=6)


def plain_p(control: list[float], candidate: list[float]) -> float:
    """The slow way: of all splits of the ratings, the share at least as far from a half."""
    together = control + candidate

    def away(chosen: tuple[int, ...]) -> float:
        mine = [together[i] for i in chosen]
        others = [one for i, one in enumerate(together) if i not in chosen]
        wins = sum((a > b) + 0.5 * (a == b) for a in mine for b in others)
        return wins / (len(mine) * len(others))

    here = away(tuple(range(len(control), len(together))))
    every = [away(one) for one in combinations(range(len(together)), len(candidate))]
    low = sum(one <= here + 1e-12 for one in every) / len(every)
    high = sum(one >= here - 1e-12 for one in every) / len(every)
    return min(1.0, 2 * min(low, high))


@settings(max_examples=25)
@given(RATINGS, RATINGS)
def test_p_is_that_of_all_splits_of_the_panels(
    control: list[float], candidate: list[float]
) -> None:
    """Counted one by one, ties included."""
    found = superiority(np.array(control), np.array(candidate))
    assert found.p == pytest.approx(plain_p(control, candidate))


@given(st.floats(0, 1), st.integers(2, 30), st.integers(2, 30))
def test_the_interval_lies_about_the_estimate_and_turns_with_it(
    value: float, m: int, n: int
) -> None:
    """Between 0 and 1, mirrored when better and worse change places, wider for more candidates."""
    low, high = interval(value, m, n)
    assert 0 <= low <= value <= high <= 1
    mirrored = interval(1 - value, n, m)
    assert (low, high) == pytest.approx((1 - mirrored[1], 1 - mirrored[0]), abs=1e-6)
    wider = interval(value, m, n, 5)
    assert wider[1] - wider[0] >= high - low - 1e-9


@pytest.mark.parametrize(("m", "shift"), [(6, 0.0), (6, 0.8), (12, 0.8), (12, 1.6)])
def test_the_interval_holds_the_true_probability(m: int, shift: float) -> None:
    """Normal ratings of m panels each; the true value is Phi(shift/sqrt 2).

    400 repeats: 95 % less three standard errors, 3.3 %.
    """
    rng = np.random.default_rng(20261126)
    truth = norm.cdf(shift / math.sqrt(2))
    held = 0
    for _ in range(400):
        x, y = rng.normal(0, 1, m), rng.normal(shift, 1, m)
        low, high = interval(float((y[:, None] > x[None, :]).mean()), m, m)
        held += low <= truth <= high
    assert held / 400 >= 0.917
