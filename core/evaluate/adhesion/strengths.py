"""Pull-off strength of some determinations: plain, with lower bounds as such, and the median."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from tiecoat.evaluate.adhesion.determinations import Determinations
from tiecoat.evaluate.estimate import Estimate, NotDeterminable
from tiecoat.evaluate.statistics import replicates
from tiecoat.evaluate.statistics.censored_normal import (
    CensoredNormal,
    fit_censored_normal,
    mean_over_units,
)
from tiecoat.evaluate.statistics.kaplan_meier import LEAST_FOR_LIMITS, kaplan_meier, median
from tiecoat.evaluate.statistics.replicates import NO_INTERVAL, Found, not_below_zero
from tiecoat.wording import counted

READING = "determination"


def bounds_words(bounds: int, n: int) -> str:
    """Return how many of n determinations are lower bounds.

    Examples
    --------
    >>> bounds_words(1, 18)
    '1 of 18 determinations is a lower bound, the glue failed'
    """
    are = "is a lower bound" if bounds == 1 else "are lower bounds"
    return f"{bounds} of {n} determinations {are}, the glue failed"


@dataclass(frozen=True)
class StrengthGroup:
    """Determinations that are taken together.

    Parameters
    ----------
    keys
        batch and panel, where it is one.
    rows
        What was found of each.
    condition
        What else tells the group from others.
    """

    keys: Mapping[str, str]
    rows: Determinations = field(repr=False)
    condition: str = ""

    @property
    def n(self) -> int:
        """How many determinations."""
        return len(self.rows.strength_mpa)

    @cached_property
    def bounds(self) -> int:
        """How many of them are lower bounds."""
        return int(self.rows.is_bound.sum())

    @cached_property
    def panels(self) -> int:
        """Of how many panels."""
        return len(np.unique(self.rows.panel_number))

    @cached_property
    def plain_mean(self) -> Found:
        """The mean of all, lower bounds as values."""
        return replicates.mean(self.rows.strength_mpa, self.rows.panel_number, READING)

    @cached_property
    def plain_spread(self) -> Found:
        """The standard deviation of all, lower bounds as values."""
        return replicates.spread(self.rows.strength_mpa, self.rows.panel_number, READING)

    @cached_property
    def fit(self) -> CensoredNormal:
        """The normal distribution with lower bounds as such."""
        return fit_censored_normal(self.rows.strength_mpa, self.rows.is_bound)


def mean(group: StrengthGroup) -> Found:
    """Return the plain mean; of several panels the mean of their means, with panels as unit.

    Raises
    ------
    NotDeterminable
        Where every determination is a lower bound.
    """
    if group.bounds == group.n:
        raise NotDeterminable(
            "every strength is a lower bound, the glue failed:"
            f" the mean is above {group.rows.strength_mpa.mean():.3g} MPa"
        )
    found = group.plain_mean
    if not group.bounds:
        return found
    low = f"{bounds_words(group.bounds, group.n)}: the plain mean is too low"
    return replace(found, flags=(low, *found.flags))


def spread(group: StrengthGroup) -> Found:
    """Return the standard deviation of all determinations, for one panel with its interval.

    Raises
    ------
    NotDeterminable
        For one determination, for equal ones, and where every one is a lower bound.
    """
    _must_not_be_all_bounds(group)
    return _told_too_small(group, group.plain_spread)


def variation(group: StrengthGroup) -> Found:
    """Return the coefficient of variation in %.

    Raises
    ------
    NotDeterminable
        Where mean or standard deviation is not determinable.
    """
    _must_not_be_all_bounds(group)
    found = replicates.variation(group.rows.strength_mpa, group.rows.panel_number, READING)
    return _told_too_small(group, found)


def _must_not_be_all_bounds(group: StrengthGroup) -> None:
    if 1 < group.n == group.bounds:
        raise NotDeterminable("every strength is a lower bound, the glue failed")


def _told_too_small(group: StrengthGroup, found: Found) -> Found:
    """Return a measure of spread with a flag where lower bounds among the strengths lessen it."""
    if not group.bounds:
        return found
    return replace(found, flags=("lower bounds are taken as values: it is too small",))


def censored_mean(group: StrengthGroup) -> Found:
    """Return the mean with lower bounds as such; without any it is the plain mean.

    Raises
    ------
    NotDeterminable
        Where fewer than two strengths are no bounds, or these are equal.
    """
    if not group.bounds:
        plain = mean(group)
        return replace(plain, method=f"no lower bounds: {plain.method}")
    fit = group.fit
    method = f"normal, {counted(group.bounds, 'lower bound')}, maximum likelihood"
    if group.panels == 1:
        return _by_profile(fit, f"{method}; interval by profile, determinations as unit")
    rows = group.rows
    try:
        over_panels = mean_over_units(rows.strength_mpa, rows.is_bound, rows.panel)
    except NotDeterminable as why:
        return Found(Estimate(fit.mean), method, (f"no interval over panels: {why}",))
    flags = ("no interval: no spread",) if math.isnan(over_panels.standard_error) else ()
    method = f"{method}; interval by t from the jackknife, panels as unit"
    return not_below_zero(Found(over_panels, method, flags))


def _by_profile(fit: CensoredNormal, method: str) -> Found:
    low, high = (end if math.isfinite(end) else math.nan for end in fit.mean_interval)
    found = Estimate(fit.mean, fit.mean_error * _unbiased(fit))
    return not_below_zero(Found(found, method, _open_ends(low, high), (low, high)))


def _open_ends(low: float, high: float) -> tuple[str, ...]:
    """Return flags for the ends of an interval that are not known."""
    ends = (("lower", low), ("upper", high))
    return tuple(f"the interval has no {name} end" for name, end in ends if math.isnan(end))


def _unbiased(fit: CensoredNormal) -> float:
    r"""Return :math:`\sqrt{k/(k-1)}` for k values that are no bounds.

    With it the results without bounds are the plain ones; with bounds the mean of the deviation is
    closer to the true one too (the tests measure it).
    """
    return math.sqrt(len(fit.values) / (len(fit.values) - 1))


def censored_spread(group: StrengthGroup) -> Found:
    """Return the standard deviation with lower bounds as such; without any it is the plain one.

    Raises
    ------
    NotDeterminable
        Where fewer than two strengths are no bounds, or these are equal.
    """
    if not group.bounds:
        plain = spread(group)
        return replace(plain, method=f"no lower bounds: {plain.method}")
    fit = group.fit
    factor = _unbiased(fit)
    error = fit.deviation_error * factor if group.panels == 1 else math.nan
    method = "normal, maximum likelihood, times sqrt(k/(k-1)) for k strengths that are no bounds"
    return Found(Estimate(fit.deviation * factor, error), method, (), NO_INTERVAL)


def median_strength(group: StrengthGroup) -> Found:
    """Return the strength that half of the determinations bear, for one panel with its limits.

    Raises
    ------
    NotDeterminable
        Where too many are lower bounds; the message says what it is above.
    """
    if group.n == 1:
        raise NotDeterminable("one determination has no median")
    found = median(kaplan_meier(group.rows.strength_mpa, group.rows.is_bound))
    if math.isnan(found.value):
        raise NotDeterminable(
            f"it is above {found.above:.3g} MPa: too many strengths are lower bounds"
        )
    if group.panels > 1:
        return Found(Estimate(found.value), "Kaplan-Meier", (), NO_INTERVAL)
    if group.n < LEAST_FOR_LIMITS:
        few = f"no interval: it takes {LEAST_FOR_LIMITS} determinations"
        return Found(Estimate(found.value), "Kaplan-Meier", (few,), NO_INTERVAL)
    method = "Kaplan-Meier; interval by ln(-ln S), determinations as unit"
    ends = found.low, found.high
    return Found(Estimate(found.value), method, _open_ends(*ends), ends)
