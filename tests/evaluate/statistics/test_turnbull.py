"""The share that is still sound, known only between inspections: the likeliest one, and no more."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import minimize

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.statistics import turnbull as module
from tiecoat.evaluate.statistics.kaplan_meier import kaplan_meier
from tiecoat.evaluate.statistics.turnbull import Turnbull, turnbull

HOURS = (0.0, 24.0, 48.0, 96.0, 168.0, 240.0, 336.0, math.inf)
PANELS = st.lists(
    st.tuples(st.integers(0, 6), st.integers(1, 4)).map(
        lambda ends: (HOURS[ends[0]], HOURS[min(sum(ends), 7)])
    ),
    min_size=1,
    max_size=9,
)
Pairs = list[tuple[float, float]]


def found_of(panels: Pairs) -> Turnbull:
    """The estimate of some panels."""
    return turnbull([low for low, _ in panels], [high for _, high in panels])


def log_likelihood(panels: Pairs, low: NDArray, high: NDArray, mass: NDArray) -> float:  # type: ignore[type-arg]
    """By the definition: the mass that lies within the interval of each panel."""
    return sum(
        math.log(max(mass[(low >= begin) & (high <= end)].sum(), 1e-300)) for begin, end in panels
    )


@given(PANELS)
def test_no_other_distribution_is_likelier(panels: Pairs) -> None:
    """A general search over masses between all inspections finds nothing better.

    Its own tolerance is 1e-9 in ln L, and it may stop 1e-5 short.
    """
    found = found_of(panels)
    ours = log_likelihood(panels, found.low, found.high, found.mass)
    low, high = np.array(HOURS[:-1]), np.array(HOURS[1:])
    searched = minimize(
        lambda mass: -log_likelihood(panels, low, high, np.abs(mass) / np.abs(mass).sum()),
        np.full(len(low), 1 / len(low)),
        method="SLSQP",
        bounds=[(1e-9, 1)] * len(low),
        options={"ftol": 1e-9},
    )
    assert found.converged
    assert ours >= -searched.fun - 1e-9


@given(PANELS)
def test_the_masses_are_a_distribution_whatever_the_order(panels: Pairs) -> None:
    """They add to 1, their intervals follow each other; the order of the panels is no matter."""
    found, turned = found_of(panels), found_of(panels[::-1])
    assert found.mass.sum() == pytest.approx(1)
    assert (found.mass > 0).all()
    assert (found.low < found.high).all()
    assert (found.high[:-1] <= found.low[1:]).all()
    assert found.low.tolist() == turned.low.tolist()
    assert found.mass == pytest.approx(turned.mass, abs=1e-6)


@given(PANELS, st.floats(0, 400))
def test_the_share_falls_and_its_bounds_hold_each_other(panels: Pairs, time: float) -> None:
    """At any time the least share is no more than the greatest, and later neither is more."""
    found = found_of(panels)
    least, most = found.share_after(time)
    later_least, later_most = found.share_after(time + 24)
    assert 0 <= least <= most <= 1
    assert later_least <= least + 1e-12
    assert later_most <= most + 1e-12
    assert found.share_after(0)[1] == pytest.approx(1)


@given(PANELS)
def test_the_median_is_where_the_share_passes_one_half(panels: Pairs) -> None:
    """At its lower end at least half are left, at its upper end no more than half may be."""
    found = found_of(panels)
    low, high = found.median
    assert found.share_after(low)[1] >= 0.5 - 1e-6
    if math.isfinite(high):
        assert found.share_after(high)[0] <= 0.5 + 1e-6


@given(
    st.lists(
        st.tuples(st.sampled_from(HOURS[1:-1]), st.booleans()), min_size=2, max_size=12
    ).filter(lambda times: not all(bound for _, bound in times))
)
def test_exact_times_and_lower_bounds_give_the_estimate_of_kaplan_and_meier(
    times: list[tuple[float, bool]],
) -> None:
    """An exact time is an interval of no length, a lower bound one without end."""
    values, bounds = [t for t, _ in times], [bound for _, bound in times]
    found = turnbull(values, [math.inf if bound else t for t, bound in times])
    curve = kaplan_meier(values, bounds)
    for place in (0, 1):  # the least and the greatest share: nothing is open
        shares = [found.share_after(t)[place] for t in curve.values]
        assert shares == pytest.approx(curve.share.tolist(), abs=1e-5)


def test_panels_of_one_interval_tell_no_more() -> None:
    """All between the same two inspections: the share is 1 before, 0 after and open between."""
    found = found_of([(240, 336)] * 3)
    assert (found.share_after(240), found.share_after(336)) == ((1, 1), (0, 0))
    assert found.share_after(300) == (0, 1)
    assert found.median == (240, 336)


def test_nothing_reached_is_open_to_the_right() -> None:
    """The median has no upper end, and the lower one is the first time up to which all lasted."""
    found = found_of([(1000, math.inf), (720, math.inf), (1000, math.inf)])
    assert found.median == (1000, math.inf)
    assert found.share_after(720) == (1, 1)


def test_half_and_half_leave_the_median_open_from_one_interval_to_the_next() -> None:
    """Where exactly half have reached it for a while, any time in it halves the panels."""
    assert found_of([(24, 48), (168, 240)]).median == (24, 240)


def test_an_interval_that_ends_where_another_begins_has_nothing_in_common_with_it() -> None:
    """A panel that failed by 48 h and one that was sound at 48 h differ."""
    found = found_of([(0, 48), (48, 96)])
    assert list(zip(found.low, found.high, strict=True)) == [(0, 48), (48, 96)]
    assert found.mass == pytest.approx([0.5, 0.5])


def test_a_mass_that_is_just_nothing_does_not_keep_it_from_settling() -> None:
    """Where the likelihood is level for a mass of 0, it is out after thousands of steps at most."""
    low = [0, 0, 0, 24, 24, 48, 240, 480]
    high = [24, 48, 48, 96, 96, 336, 720, 1000]
    found = turnbull(low, high)
    assert found.converged
    assert found.steps < 10_000
    assert found.mass == pytest.approx([0.25, 0.25, 0.25, 0.25], abs=1e-6)


def test_what_did_not_settle_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """With too few steps the gap is above what matters and bounds what is missing in ln L."""
    panels = [(0, 96), (24, 168), (48, 240), (96, math.inf), (0, 48), (168, math.inf)]
    best = found_of(panels)
    monkeypatch.setattr(module, "MOST_STEPS", 3)
    monkeypatch.setattr(module, "ROUND", 3)
    early = found_of(panels)
    short = [log_likelihood(panels, one.low, one.high, one.mass) for one in (best, early)]
    assert (early.converged, early.steps) == (False, 3)
    assert 0 < short[0] - short[1] <= early.gap


@pytest.mark.parametrize(
    ("low", "high"),
    [([48.0], [24.0]), ([-1.0], [24.0]), ([math.nan], [24.0]), ([0.0], [math.nan])],
)
def test_ends_that_make_no_interval_are_an_error(low: list[float], high: list[float]) -> None:
    """An interval begins at 0 or later and ends no earlier than it begins."""
    with pytest.raises(ValueError, match="begin at 0 or later and end no earlier"):
        turnbull(low, high)
    with pytest.raises(ValueError, match="expected two ends for each"):
        turnbull([0.0, 1.0], high)


def test_no_panel_gives_no_share() -> None:
    """Nothing is not everything sound."""
    with pytest.raises(NotDeterminable, match="there is no panel"):
        turnbull([], [])
