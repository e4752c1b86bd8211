"""Pull-off strength of some determinations: plain, with lower bounds as such, and the median."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import pandas as pd
from scipy.special import chdtri

from tiecoat.evaluate.censored import CensoredNormal, fit_censored_normal, mean_over_units
from tiecoat.evaluate.estimate import Estimate, NotDeterminable, mean_of
from tiecoat.evaluate.kaplan_meier import kaplan_meier, median

NO_INTERVAL = (math.nan, math.nan)


@dataclass(frozen=True)
class Group:
    """Determinations that are taken together.

    Parameters
    ----------
    keys
        batch and panel, where it is one.
    rows
        A row each, with the columns panel, strength_mpa and is_bound among others.
    condition
        What else tells the group from others.
    """

    keys: Mapping[str, str]
    rows: pd.DataFrame = field(repr=False)
    condition: str = ""

    @property
    def n(self) -> int:
        """How many determinations."""
        return len(self.rows)

    @cached_property
    def bounds(self) -> int:
        """How many of them are lower bounds."""
        return int(self.rows["is_bound"].sum())

    @cached_property
    def panels(self) -> int:
        """Of how many panels."""
        return int(self.rows["panel"].nunique())


@dataclass(frozen=True)
class Found:
    """What was found, how, and what must be known of it."""

    estimate: Estimate
    method: str
    flags: tuple[str, ...] = ()
    interval: tuple[float, float] | None = None


def counted(n: int, what: str) -> str:
    """Return such as "1 panel" or "3 panels"."""
    return f"{n} {what}" if n == 1 else f"{n} {what}s"


def mean(group: Group) -> Found:
    """Return the plain mean; of several panels the mean of their means, with panels as unit.

    Raises
    ------
    NotDeterminable
        Where every determination is a lower bound.
    """
    found = _plain_mean(group)
    flags: tuple[str, ...] = ()
    if group.bounds:
        share = f"{group.bounds} of {group.n}"
        flags = (f"{share} are lower bounds, the glue failed: the plain mean is too low",)
    if math.isnan(found.standard_error):
        flags += (
            "no interval from one determination" if group.n == 1 else "no interval: no spread",
        )
    if group.panels == 1:
        return Found(found, "mean; interval by t, determinations as unit", flags)
    return Found(found, f"mean of {group.panels} panel means; interval by t, panels as unit", flags)


def _plain_mean(group: Group) -> Estimate:
    strength = group.rows["strength_mpa"]
    if group.bounds == group.n:
        raise NotDeterminable(
            "every strength is a lower bound, the glue failed:"
            f" the mean is above {strength.mean():.3g} MPa"
        )
    if group.panels == 1:
        return mean_of(strength)
    return mean_of(strength.groupby(group.rows["panel"]).mean())


def spread(group: Group) -> Found:
    r"""Return the standard deviation of all determinations, for one panel with its interval.

    .. math:: s \sqrt{(n-1) / \chi^2_{0.975}} \;\text{to}\; s \sqrt{(n-1) / \chi^2_{0.025}}, \qquad
        u(s) \approx s / \sqrt{2 (n-1)}

    Determinations of several panels are not independent of each other, so that neither would hold.

    Raises
    ------
    NotDeterminable
        For one determination, for equal ones, and where every one is a lower bound.
    """
    deviation, freedom = _deviation(group), group.n - 1
    method = f"of {counted(group.n, 'determination')} on {counted(group.panels, 'panel')}"
    if group.panels > 1:
        return Found(Estimate(deviation), method, _too_small(group))
    low, high = (deviation * math.sqrt(freedom / chdtri(freedom, tail)) for tail in (0.025, 0.975))
    found = Estimate(deviation, deviation / math.sqrt(2 * freedom))
    return Found(found, f"{method}; interval by chi-squared", _too_small(group), (low, high))


def _deviation(group: Group) -> float:
    strength = group.rows["strength_mpa"].to_numpy(float)
    if group.n == 1:
        raise NotDeterminable("one determination has no spread")
    if group.bounds == group.n:
        raise NotDeterminable("every strength is a lower bound, the glue failed")
    deviation = float(strength.std(ddof=1))
    if deviation <= 1e-12 * float(strength.max()):  # nothing but rounding
        raise NotDeterminable(f"all {group.n} strengths are equal: their spread is not resolved")
    return deviation


def _too_small(group: Group) -> tuple[str, ...]:
    return ("lower bounds are taken as values: it is too small",) if group.bounds else ()


def variation(group: Group) -> Found:
    r"""Return the coefficient of variation in %.

    .. math:: v = s / \bar x, \qquad u(v) \approx v \sqrt{1 / (2(n-1)) + v^2 / n}

    The standard error is given for one panel only, and no interval.

    Raises
    ------
    NotDeterminable
        Where mean or standard deviation is not determinable.
    """
    ratio = _deviation(group) / _plain_mean(group).value  # not 0: strengths are not all equal
    error = ratio * math.sqrt(0.5 / (group.n - 1) + ratio**2 / group.n)
    found = Estimate(100 * ratio, 100 * error if group.panels == 1 else math.nan)
    return Found(found, "standard deviation over mean", _too_small(group), NO_INTERVAL)


def censored_mean(group: Group) -> Found:
    """Return the mean with lower bounds as such; without any it is the plain mean.

    Raises
    ------
    NotDeterminable
        Where fewer than two strengths are no bounds, or these are equal.
    """
    if not group.bounds:
        plain = mean(group)
        return Found(plain.estimate, f"no lower bounds: {plain.method}", plain.flags)
    fit = _fit(group)
    method = f"normal, {counted(group.bounds, 'lower bound')}, maximum likelihood"
    if group.panels == 1:
        return _by_profile(fit, f"{method}; interval by profile, determinations as unit")
    strength, is_bound = group.rows["strength_mpa"], group.rows["is_bound"]
    try:
        over_panels = mean_over_units(strength, is_bound, group.rows["panel"])
    except NotDeterminable as why:
        return Found(Estimate(fit.mean), method, (f"no interval over panels: {why}",))
    return Found(over_panels, f"{method}; interval by t from the jackknife, panels as unit")


def _fit(group: Group) -> CensoredNormal:
    return fit_censored_normal(group.rows["strength_mpa"], group.rows["is_bound"])


def _by_profile(fit: CensoredNormal, method: str) -> Found:
    low, high = (end if math.isfinite(end) else math.nan for end in fit.mean_interval)
    flags = tuple(
        f"the interval has no {name} end"
        for name, end in (("lower", low), ("upper", high))
        if math.isnan(end)
    )
    return Found(Estimate(fit.mean, fit.mean_error * _unbiased(fit)), method, flags, (low, high))


def _unbiased(fit: CensoredNormal) -> float:
    r"""Return :math:`\sqrt{k/(k-1)}` for k values that are no bounds.

    With it the results without bounds are the plain ones; with bounds the mean of the deviation is
    closer to the true one too (the tests measure it).
    """
    return math.sqrt(len(fit.values) / (len(fit.values) - 1))


def censored_spread(group: Group) -> Found:
    """Return the standard deviation with lower bounds as such; without any it is the plain one.

    Raises
    ------
    NotDeterminable
        Where fewer than two strengths are no bounds, or these are equal.
    """
    if not group.bounds:
        plain = spread(group)
        return Found(plain.estimate, f"no lower bounds: {plain.method}", (), plain.interval)
    fit = _fit(group)
    factor = _unbiased(fit)
    error = fit.deviation_error * factor if group.panels == 1 else math.nan
    method = "normal, maximum likelihood, times sqrt(k/(k-1)) for k strengths that are no bounds"
    return Found(Estimate(fit.deviation * factor, error), method, (), NO_INTERVAL)


def median_strength(group: Group) -> Found:
    """Return the strength that half of the determinations bear, for one panel with its limits.

    Raises
    ------
    NotDeterminable
        Where too many are lower bounds; the message says what it is above.
    """
    if group.n == 1:
        raise NotDeterminable("one determination has no median")
    found = median(kaplan_meier(group.rows["strength_mpa"], group.rows["is_bound"]))
    if math.isnan(found.value):
        raise NotDeterminable(
            f"it is above {found.above:.3g} MPa: too many strengths are lower bounds"
        )
    if group.panels > 1:
        return Found(Estimate(found.value), "Kaplan-Meier", (), NO_INTERVAL)
    flags = tuple(
        f"the interval has no {name} end"
        for name, end in (("lower", found.low), ("upper", found.high))
        if math.isnan(end)
    )
    method = "Kaplan-Meier; interval by ln(-ln S), determinations as unit"
    return Found(Estimate(found.value), method, flags, (found.low, found.high))
