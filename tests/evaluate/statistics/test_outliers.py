"""One value that does not go with the others."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.statistics.outliers import critical, grubbs, resolution_of

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


@pytest.mark.thorough
@pytest.mark.parametrize("n", [3, 6, 10])
def test_chance_makes_an_outlier_in_one_of_twenty(n: int) -> None:
    """2,000 normal samples: 5 % +- 1.5 % (three standard errors)."""
    rng = np.random.default_rng(n)
    found = sum(grubbs(rng.normal(8, 1, n)).is_outlier for _ in range(2000))
    assert 0.035 <= found / 2000 <= 0.065


def rounded_alarms(n: int, step: float, samples: int) -> float:
    """How often chance makes an outlier among n normal values that are rounded to a step."""
    rng = np.random.default_rng(n)
    found = 0
    for _ in range(samples):
        values = np.round(rng.normal(8, 1, n) / step) * step
        found += np.ptp(values) > step / 2 and grubbs(values).is_outlier
    return found / samples


@pytest.mark.every(3)
@pytest.mark.parametrize("step", [0.01, 0.1, 0.5, 1.0, 2.0])
@pytest.mark.parametrize("n", [3, 6])
def test_rounding_makes_no_outlier(n: int, step: float) -> None:
    """Of three values rounded to the deviation itself two often agree: 400 samples, 5 % stated."""
    assert rounded_alarms(n, step, 400) <= 0.08


@pytest.mark.thorough
@pytest.mark.campaign
@pytest.mark.parametrize("step", [0.01, 0.1, 0.5, 1.0, 2.0])
@pytest.mark.parametrize("n", [3, 4, 5, 6, 10])
def test_rounding_makes_no_outlier_in_many(n: int, step: float) -> None:
    """5,000 samples: 5 % and three standard errors at most."""
    assert rounded_alarms(n, step, 5000) <= 0.06


@given(
    st.lists(st.integers(-50, 50), min_size=3, max_size=6).filter(lambda one: len(set(one)) > 1),
    st.floats(0, 3),
)
def test_the_least_distance_is_that_of_every_corner(tenths: list[int], step: float) -> None:
    """Against all sums of half a step up or down, tried one by one."""
    values = np.array(tenths) / 10
    found = grubbs(values, resolution=step)
    side = np.sign(values[found.position] - values.mean())
    least = math.inf
    for signs in itertools.product((-1, 1), repeat=len(values)):
        moved = values + step / 2 * np.array(signs)
        if (deviation := moved.std(ddof=1)) > 0:
            least = min(least, side * (moved[found.position] - moved.mean()) / deviation)
    assert found.least == pytest.approx(max(least, 0.0), abs=1e-9)
    assert found.least <= found.statistic + 1e-9


def test_an_outlier_is_found_beyond_what_rounding_can_do() -> None:
    """Two of three that agree to 0.1 do not make 7.4 an outlier, nor 4.0, but 3.0 among six."""
    assert not grubbs([7.1, 7.1, 7.4]).is_outlier
    assert not grubbs([7.1, 7.1, 5.0]).is_outlier
    assert grubbs([7.1, 7.1, 7.2, 7.1, 7.1, 3.0]).is_outlier
    assert grubbs([7.1, 7.1, 7.4], resolution=0.0).is_outlier


@pytest.mark.parametrize(
    ("values", "step"),
    [([7.0, 7.2, 7.4], 0.1), ([7, 8, 9], 1), ([150, 250], 10), ([7.25, 7.5, 7.0], 0.01)],
)
def test_the_step_of_readings_is_their_last_place(values: list[float], step: float) -> None:
    """As far as they show it; converted ones show theirs by their differences."""
    assert resolution_of(values) == pytest.approx(step)
    converted = np.array([1, 4, 6, 9]) * step * math.pi
    assert resolution_of(converted) == pytest.approx(step * math.pi)


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
