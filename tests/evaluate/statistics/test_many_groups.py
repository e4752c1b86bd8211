"""Many groups at once: each comes out as if it stood alone, and more of them cost in proportion."""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial
from typing import TypeVar

import numpy as np
import pytest
from numpy.typing import NDArray

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.grouping import RowGroups
from tiecoat.evaluate.statistics.censored_jackknife import (
    MANY_UNITS,
    pseudo_values,
    pseudo_values_of,
)
from tiecoat.evaluate.statistics.censored_normal import fit_censored_normal, fits_of
from tiecoat.evaluate.statistics.kaplan_meier import kaplan_meier, median, medians
from tiecoat.evaluate.statistics.outliers import grubbs, grubbs_of

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
T = TypeVar("T")


def drawn(groups: int, seed: int = 1) -> tuple[Floats, Bools, RowGroups]:
    """Strengths of panels with 1 to 12 determinations, ties and equal ones among them, shuffled."""
    rng = np.random.default_rng(seed)
    number = np.repeat(np.arange(groups), rng.integers(1, 13, groups))
    strength = rng.normal(8.0, 1.0, len(number))
    strength = np.where(number % 3 == 0, strength.round(), strength)
    strength[number % 7 == 0] = 7.0
    is_bound = rng.random(len(number)) < np.array([0.0, 0.2, 0.7])[number % 5 % 3]
    order = rng.permutation(len(number))
    return strength[order], is_bound[order], RowGroups(number[order], groups)


def alone_or_why(law: Callable[[], T]) -> T | str:
    """Return what a law gives, or why it gives nothing."""
    try:
        return law()
    except NotDeterminable as why:
        return str(why)


def test_censored_fits_of_many_panels_are_those_of_each() -> None:
    """Mean, deviation and errors to nine digits; where there is no fit, for the same reason."""
    strength, is_bound, groups = drawn(120)
    found = fits_of(strength, is_bound, groups)
    for group, rows in enumerate(groups.positions):
        alone = alone_or_why(partial(fit_censored_normal, strength[rows], is_bound[rows]))
        if isinstance(alone, str):
            assert found.reasons[group] == alone
            continue
        assert found.reasons[group] == ""
        assert [
            found.mean[group],
            found.deviation[group],
            found.mean_error[group],
            found.deviation_error[group],
        ] == pytest.approx(
            [alone.mean, alone.deviation, alone.mean_error, alone.deviation_error], rel=1e-9
        )
    assert 20 < sum(not why for why in found.reasons) < 100


def test_medians_of_many_panels_are_those_of_each() -> None:
    """With their limits, to the last digit."""
    strength, is_bound, groups = drawn(120)
    columns = medians(strength, is_bound, groups)
    for group, rows in enumerate(groups.positions):
        if is_bound[rows].all():
            assert columns[3][group] == strength[rows].max()
            continue
        alone = median(kaplan_meier(strength[rows], is_bound[rows]))
        expected = (alone.value, alone.low, alone.high, alone.above)
        assert [column[group] for column in columns] == pytest.approx(expected, abs=0, nan_ok=True)


def test_outlier_tests_of_many_panels_are_those_of_each() -> None:
    """Which one lies farthest out, how far, and from where on it is odd, to the last digit."""
    strength, _, groups = drawn(120)
    for rows, found in zip(groups.positions, grubbs_of(strength, groups), strict=True):
        alone = alone_or_why(partial(grubbs, strength[rows]))
        assert (str(found) if isinstance(found, NotDeterminable) else found) == alone


def many_panels(panels: int) -> tuple[Floats, Bools, NDArray[np.intp]]:
    """Six strengths of each panel, a third of which are lower bounds."""
    rng = np.random.default_rng(panels)
    film = rng.normal(8.0, 1.0, 6 * panels)
    of_glue = rng.normal(8.5, 0.5, 6 * panels)
    return np.minimum(film, of_glue), film > of_glue, np.repeat(np.arange(panels), 6)


def test_leaving_one_of_many_panels_out_by_a_series_is_leaving_it_out() -> None:
    """Pseudo-values of 80 panels, to eight digits those of 80 fits without one panel each.

    One panel lies far off, so that the series does not serve for it.
    """
    strength, is_bound, panel = many_panels(80)
    assert len(np.unique(panel)) >= MANY_UNITS
    strength[panel == 3] -= 40.0
    whole = fit_censored_normal(strength, is_bound).mean
    without = np.array(
        [
            fit_censored_normal(strength[panel != one], is_bound[panel != one]).mean
            for one in range(80)
        ]
    )
    pseudo = 80 * whole - 79 * without
    expected = pseudo + whole - pseudo.mean()
    found = pseudo_values(strength, is_bound, [f"RB-{one:03d}" for one in panel])
    assert list(found.values()) == pytest.approx(expected, rel=1e-8, abs=1e-7)


def test_ten_times_the_panels_of_a_group_do_not_cost_a_hundred_times_as_much() -> None:
    """A coat system pools every batch of the archive: its cost grows as its panels do."""

    def cost_s(panels: int) -> float:
        strength, is_bound, panel = many_panels(panels)
        whole = RowGroups.whole(len(strength))
        start = time.process_time()
        fits = fits_of(strength, is_bound, whole)
        pseudo_values_of(strength, is_bound, panel, whole, fits)
        return time.process_time() - start

    cost_s(500)
    few, many = (min(cost_s(panels) for _ in range(2)) for panels in (500, 5000))
    assert many < 30 * few
