"""Ratios of counts on areas, exact and by profile."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize
from scipy.stats import binom, nbinom, poisson

from tiecoat.compare.rates import (
    Counts,
    dispersed_ratio,
    dispersion_p,
    exact_difference,
    exact_ratio,
    ratio_by_own_scatter,
)
from tiecoat.evaluate.estimate import NotDeterminable

COUNTS = st.lists(st.integers(0, 40), min_size=2, max_size=5)


def counted(counts: list[int], area: float = 1.0) -> Counts:
    """Return counts on panels of one area."""
    return Counts(np.array(counts, dtype=float), np.full(len(counts), area))


@given(COUNTS, COUNTS, st.floats(0.1, 10))
def test_the_ends_of_the_exact_interval_leave_two_and_a_half_per_cent(
    control: list[int], candidate: list[int], area: float
) -> None:
    """At each end the chance of a count as far out, given the sum, is 2.5 %."""
    if not sum(control) + sum(candidate):
        return
    found = exact_ratio(counted(control), counted(candidate, area))
    whole = sum(control) + sum(candidate)
    areas = area * len(candidate) / len(control)
    low, high = (areas * math.exp(end) for end in (found.low, found.high))
    if low > 0:
        tail = binom.sf(sum(candidate) - 1, whole, low / (1 + low))
        assert tail == pytest.approx(0.025, rel=1e-6)
    if high < math.inf:
        tail = binom.cdf(sum(candidate), whole, high / (1 + high))
        assert tail == pytest.approx(0.025, rel=1e-6)
    assert found.low <= found.effect <= found.high


@settings(max_examples=5, deadline=None)
@given(COUNTS, COUNTS)
def test_turning_candidate_and_control_round_turns_the_sign(
    control: list[int], candidate: list[int]
) -> None:
    """The ratio of a to b is one over that of b to a, with the same p."""
    if not sum(control) * sum(candidate):
        return
    here = dispersed_ratio(counted(control), counted(candidate))
    there = dispersed_ratio(counted(candidate), counted(control))
    assert here.effect == pytest.approx(-there.effect, abs=1e-6)
    assert here.p == pytest.approx(there.p, abs=1e-5)
    assert (here.low, here.high) == pytest.approx((-there.high, -there.low), abs=1e-4)


def plain_log_likelihood(at: np.ndarray, control: list[int], candidate: list[int]) -> float:
    """The slow way: as scipy's negative binomial says it, for ln rate, ln ratio, ln dispersion."""
    size = math.exp(-at[2])
    means = (math.exp(at[0]), math.exp(at[0] + at[1]))
    return float(
        sum(
            nbinom.logpmf(one, size, size / (size + mean)).sum()
            for one, mean in zip((control, candidate), means, strict=True)
        )
    )


def test_no_other_ratio_is_likelier() -> None:
    """A plain search over scipy's negative binomial ends at the same ratio and interval."""
    control, candidate = [5, 22, 3, 9], [1, 0, 8, 2]
    found = dispersed_ratio(counted(control), counted(candidate))

    def unlikely(at: np.ndarray) -> float:
        return -plain_log_likelihood(at, control, candidate)

    options = {"xatol": 1e-9, "fatol": 1e-13, "maxiter": 5000}
    best = minimize(unlikely, [2.0, -1.0, -1.0], method="Nelder-Mead", options=options)
    assert found.effect == pytest.approx(best.x[1], abs=1e-5)
    fall = 4 * math.log1p(2.446911851**2 / 6)  # Student's t for 6 degrees, 8 panels
    for end in (found.low, found.high):
        profile = minimize(
            lambda at, end=end: unlikely(np.array([at[0], end, at[1]])),
            [2.0, 0.0],
            method="Nelder-Mead",
            options=options,
        )
        assert profile.fun - best.fun == pytest.approx(fall, rel=1e-5)


def test_no_counts_on_one_side_leave_the_interval_open() -> None:
    """None on the candidate: the ratio is 0 and only the upper end is known."""
    for ratio in (exact_ratio, dispersed_ratio):
        found = ratio(counted([5, 12, 3]), counted([0, 0, 0]))
        assert (found.effect, found.low) == (-math.inf, -math.inf)
        assert -3 < found.high < 0
        with pytest.raises(
            NotDeterminable, match=r"^nothing was counted on the candidate nor on the control$"
        ):
            ratio(counted([0, 0]), counted([0, 0]))
    with pytest.raises(
        NotDeterminable, match=r"^2 panels in both tell nothing of what differs among them$"
    ):
        dispersed_ratio(counted([5]), counted([3]))


def test_counts_on_the_candidate_alone_leave_the_interval_open() -> None:
    """None on the control: the ratio is infinite and only the lower end is known."""
    for ratio in (exact_ratio, dispersed_ratio):
        found = ratio(counted([0, 0, 0]), counted([5, 12, 3]))
        assert (found.effect, found.high) == (math.inf, math.inf)
        assert 0 < found.low < 3


def test_the_variance_of_a_panel_by_own_scatter_is_that_of_one_on_each_side() -> None:
    """Worked by hand: the relative variances of 36 and 72 counts, on three panels each.

    The squares about 12 and 24, times 3/2, are 12 and 48: less than the 36 and 72 of chance alone.
    """
    found = ratio_by_own_scatter(counted([10, 12, 14]), counted([20, 24, 28]))
    assert found.effect == pytest.approx(math.log(2))
    assert found.variance_of_a_panel == pytest.approx(3 * (1 / 36 + 1 / 72))
    spread = ratio_by_own_scatter(counted([2, 12, 22]), counted([20, 24, 28]))
    assert spread.variance_of_a_panel == pytest.approx(3 * (200 * 1.5 / 36**2 + 1 / 72))


def test_dispersion_is_seen_where_panels_differ() -> None:
    """Counts of one rate agree; counts of 1 and 30 on like panels do not."""
    assert dispersion_p([counted([10, 12, 9]), counted([20, 22, 18])]) > 0.5
    assert dispersion_p([counted([1, 30, 2])]) < 1e-6
    assert math.isnan(dispersion_p([counted([3]), counted([0, 0])]))
    some = counted([1, 30, 2])
    assert dispersion_p([some, counted([3]), counted([0, 0])]) == dispersion_p([some])


def coverage(dispersion: float, repeats: int, seed: int) -> float:
    """Share of intervals by profile that hold a true ratio of one half; 5 panels, mean of 20."""
    rng = np.random.default_rng(seed)
    held = 0
    for _ in range(repeats):
        drawn = [rng.poisson(mean * rng.gamma(1 / dispersion, dispersion, 5)) for mean in (20, 10)]
        found = dispersed_ratio(counted(drawn[0].tolist()), counted(drawn[1].tolist()))
        held += found.low <= math.log(0.5) <= found.high
    return held / repeats


def test_the_interval_by_profile_holds_the_true_ratio() -> None:
    """25 repeats with panels that differ by 50 %: 95 % less three standard errors, 13 %."""
    assert coverage(0.25, 25, seed=4) >= 0.82


@pytest.mark.campaign
@pytest.mark.parametrize("dispersion", [0.02, 0.25, 1.0])
def test_the_interval_by_profile_over_many_repeats(
    dispersion: float, request: pytest.FixtureRequest
) -> None:
    """1,000 repeats, from nearly Poisson to panels that differ by 100 %: at least 92.9 %."""
    if "campaign" not in request.config.getoption("-m"):
        pytest.skip("run with -m campaign")
    assert coverage(dispersion, 1000, seed=5) >= 0.929


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("control", "candidate"), [(0.5, 0.5), (3.0, 3.0), (3.0, 8.0), (10.0, 4.0)]
)
def test_the_exact_difference_covers_what_it_promises(control: float, candidate: float) -> None:
    """Summed over all pairs of Poisson counts the true difference lies within in 95 % or more."""
    covered = 0.0
    for mine in range(30):
        for other in range(30):
            found = exact_difference(counted([other]), counted([mine]))
            if found.low <= candidate - control <= found.high:
                covered += poisson.pmf(mine, candidate) * poisson.pmf(other, control)
    assert 0.945 < covered <= 1


@given(COUNTS, COUNTS)
def test_a_difference_turned_round_is_its_negative(
    control: list[int], candidate: list[int]
) -> None:
    """Who is called the control makes no difference to its size."""
    there = exact_difference(counted(control), counted(candidate), 3)
    back = exact_difference(counted(candidate), counted(control), 3)
    assert (there.effect, there.low, there.high) == pytest.approx(
        (-back.effect, -back.high, -back.low)
    )
    assert there.p == pytest.approx(back.p)
    assert there.low <= there.effect <= there.high
