"""One value that does not go with the others."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.statistics.outliers import critical, grubbs

VALUES = st.lists(st.floats(-1000, 1000).map(lambda x: round(x, 3)), min_size=3, max_size=20)


@given(VALUES, st.randoms(use_true_random=False))
def test_the_farthest_value_is_found_wherever_it_stands(values: list[float], random) -> None:  # type: ignore[no-untyped-def]
    """Its distance is that of the definition, whatever the order."""
    if np.std(values) < 1e-6 * max(1, *map(abs, values)):
        return
    shuffled = random.sample(values, len(values))
    found = grubbs(shuffled)
    distances = [abs(one - np.mean(values)) / np.std(values, ddof=1) for one in shuffled]
    assert found.statistic == pytest.approx(max(distances), rel=1e-6)
    assert distances[found.position] == pytest.approx(max(distances), rel=1e-9)
    assert found.statistic <= (len(values) - 1) / math.sqrt(len(values)) + 1e-9


def test_too_low_and_too_high_are_both_found() -> None:
    """The test has two sides."""
    usual = [7.1, 7.3, 7.2, 7.4, 7.0]
    assert grubbs([*usual, 3.0]).is_outlier
    assert grubbs([*usual, 11.0]).is_outlier
    assert grubbs([*usual, 11.0]).position == 5
    assert not grubbs([*usual, 7.5]).is_outlier


@pytest.mark.parametrize("n", [3, 6, 10])
def test_chance_makes_an_outlier_in_one_of_twenty(n: int) -> None:
    """2,000 normal samples: 5 % +- 1.5 % (three standard errors)."""
    rng = np.random.default_rng(n)
    found = sum(grubbs(rng.normal(8, 1, n)).is_outlier for _ in range(2000))
    assert 0.035 <= found / 2000 <= 0.065


@pytest.mark.parametrize(
    ("values", "why"),
    [
        ([], "at least 3 values; found 0"),
        ([7.0, 8.0], "at least 3 values; found 2"),
        ([7.1, 7.1, 7.1], "all values are equal"),
    ],
)
def test_too_few_or_equal_values_are_refused_with_the_reason(values: list[float], why: str) -> None:
    """No outlier among two, none among equals."""
    with pytest.raises(NotDeterminable, match=why):
        grubbs(values)


def test_nonsense_is_an_error() -> None:
    """A missing value, a level that is none, a number of values that is none."""
    with pytest.raises(ValueError, match="finite"):
        grubbs([7.0, 8.0, math.nan])
    with pytest.raises(ValueError, match="between 0 and 1"):
        critical(6, 5)
    with pytest.raises(NotDeterminable, match="found 2"):
        critical(2)
