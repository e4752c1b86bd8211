"""How often equal films are told apart by their times to a limit: counted, not derived."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
from scipy.stats import binom

from tiecoat.compare.time_ranks import with_order
from tiecoat.compare.times import Times, time_ratios

LOOKS_H = np.array([1.0, 24.0, 72.0, 168.0, 336.0])
MEDIAN_H = 100.0
DESIGNS = [(3, 3), (6, 6), (10, 3), (6, 3), (3, 10)]
SPREADS = [(0.3, 0.3), (0.8, 0.8), (0.25, 0.75), (0.75, 0.25)]  # of ln t; control, candidate
FEW, MANY = 25, 500
COUNTS = [pytest.param(FEW, id="few"), pytest.param(MANY, id="many", marks=pytest.mark.campaign)]


def at_most(studies: int, share: float) -> int:
    """Return how many of so many may come out wrong by chance alone, once in a thousand runs."""
    return int(binom.ppf(0.999, studies, share))


def between_looks(rng: np.random.Generator, n: int, spread: float) -> tuple[int, ...]:
    """Return between which looks each of n log-normal times lies, sorted."""
    hours = MEDIAN_H * np.exp(spread * rng.normal(size=n))
    return tuple(sorted(np.searchsorted(LOOKS_H, hours).tolist()))


def seen(places: tuple[int, ...]) -> Times:
    """Return times as the looks show them."""
    ends = np.concatenate([[0.0], LOOKS_H, [math.inf]])
    at = np.array(places)
    return Times(ends[at], ends[at + 1])


@cache
def told_apart(control: tuple[int, ...], candidate: tuple[int, ...]) -> tuple[bool, bool]:
    """Return whether either reckoning leaves out equality, own spreads with the order first."""
    own, alike = time_ratios(seen(control), seen(candidate))
    if len(control) == len(candidate):  # as verdicts have it
        own = with_order(seen(control), seen(candidate), own)
    is_apart = alike is not None and (alike.low > 0 or alike.high < 0)
    return own.low > 0 or own.high < 0, is_apart


def false_differences(
    sizes: tuple[int, int], spreads: tuple[float, float], count: int
) -> tuple[float, float]:
    """Return the share of studies of equal medians that each reckoning tells apart."""
    rng = np.random.default_rng(8)
    found = [
        told_apart(*(between_looks(rng, n, one) for n, one in zip(sizes, spreads, strict=True)))
        for _ in range(count)
    ]
    own, alike = np.mean(found, axis=0)
    return float(own), float(alike)


@pytest.mark.every(6)
@pytest.mark.parametrize("count", COUNTS)
@pytest.mark.parametrize("spreads", SPREADS, ids=str)
@pytest.mark.parametrize("sizes", DESIGNS, ids=str)
def test_equal_films_are_seldom_told_apart(
    sizes: tuple[int, int],
    spreads: tuple[float, float],
    count: int,
    request: pytest.FixtureRequest,
) -> None:
    """Own spreads: in at most 5 % of studies. One spread for both: so where the spreads are equal.

    Of unequal spreads the second is conditional on what is not so; then at most 10 % are asked for
    where the sizes are equal. Where they differ it is 5 % whatever the spreads are.
    """
    if count == MANY and "campaign" not in request.config.getoption("-m"):
        pytest.skip("run with -m campaign")
    own, alike = false_differences(sizes, spreads, count)
    print(sizes, spreads, count, own, alike)
    assert own * count <= at_most(count, 0.05)
    equal_sizes = sizes[0] == sizes[1]
    share = 0.10 if equal_sizes and spreads[0] != spreads[1] else 0.05
    assert alike * count <= at_most(count, share)
