"""Spearman's rank correlation and its interval, beside numbers worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.statistics.rank_correlation import rank_correlation

# A worked example of many textbooks and of Wikipedia, "Spearman's rank correlation coefficient":
# ten pairs, the squared differences of the ranks add up to 194, so that r = 1 - 6 194 / 990
# (from memory).
TESTS = np.array([106.0, 100, 86, 101, 99, 103, 97, 113, 112, 110])
HOURS = np.array([7.0, 27, 2, 50, 28, 29, 20, 12, 6, 17])


def test_a_worked_example() -> None:
    """The coefficient is -29/165.

    By hand: artanh -0.17576 = -0.17761, the standard error is the root of (1 + 0.015446) / 7,
    0.38087, and 1.95996 of them are 0.74650; the hyperbolic tangents of both ends are these.
    """
    found = rank_correlation(TESTS, HOURS)
    assert found.value == pytest.approx(-29 / 165, rel=1e-12)
    assert (found.low, found.high) == pytest.approx((-0.7277, 0.5146), abs=5e-4)
    assert found.n == 10


def test_the_same_order_of_all_has_an_interval() -> None:
    """It reaches to 1, and from where six pairs with two neighbours exchanged begin theirs."""
    rising = np.arange(6.0)
    same, exchanged = (
        rank_correlation(rising, np.array(one)) for one in (rising, [0, 1, 2, 3, 5, 4])
    )
    assert (same.value, same.high, same.low) == (1.0, 1.0, exchanged.low)
    falling = rank_correlation(rising, -rising)
    assert (falling.value, falling.low, falling.high) == (-1.0, -1.0, -same.low)


def test_means_that_were_taken_off_cost_pairs() -> None:
    """Of ten panels of three batches it is as wide as that of eight pairs: sqrt(7 / 5) times."""
    one, other = rank_correlation(TESTS, HOURS), rank_correlation(TESTS, HOURS, levels=3)
    widths = [np.ptp(np.arctanh([found.low, found.high])) for found in (one, other)]
    assert widths[1] / widths[0] == pytest.approx(np.sqrt(7 / 5))


@pytest.mark.parametrize(
    ("first", "second", "told"),
    [
        ([1.0, 2, 3, 4], [1.0, 2, 3, 4], "4 pairs are too few: it takes 5"),
        ([1.0] * 6, [1.0, 2, 3, 4, 5, 6], "all values of one of the two are equal"),
    ],
)
def test_what_has_none_says_why(first: list[float], second: list[float], told: str) -> None:
    """Too few pairs, or nothing that varies."""
    with pytest.raises(NotDeterminable) as raised:
        rank_correlation(np.array(first), np.array(second))
    assert str(raised.value) == told
