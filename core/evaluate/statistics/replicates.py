"""Mean and spread of readings on one panel, or on several with the panels as the unit.

Readings of one panel have more in common than those of two: where there are several panels, the
interval of the mean rests on the means of the panels, and the spread of all readings has none.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import betaincinv, chdtri

from tiecoat.evaluate.estimate import CERTAIN, Estimate, NotDeterminable, t_factors
from tiecoat.evaluate.grouping import Bools, Floats, RowGroups, Whole, numbered
from tiecoat.evaluate.statistics.rounding import steps_of
from tiecoat.evaluate.statistics.stereology import ratios
from tiecoat.wording import counted

NO_INTERVAL = (math.nan, math.nan)


@dataclass(frozen=True)
class Found:
    """What was found, how, and what must be known of it."""

    estimate: Estimate
    method: str
    flags: tuple[str, ...] = ()
    interval: tuple[float, float] | None = None


def jackknives_ln(value: Floats, without: Floats, groups: RowGroups) -> tuple[Floats, Floats]:
    r"""Return the 95 % intervals of values above 0 from those without one unit each.

    .. math:: u^2 = \frac{n - 1}{n} \sum_i (\ln v_{-i} - \overline{\ln v_{-}})^2

    and Student's t with n - 1 degrees of freedom. NaN from fewer than two units, or without spread.

    Parameters
    ----------
    value
        Shape (m,).
    without, groups
        What each is without one of its units, and which of the values it is of.

    References
    ----------
    Efron and Tibshirani, An Introduction to the Bootstrap, 1993, chapter 11 (from memory).

    Examples
    --------
    >>> low, high = jackknives_ln(np.array([2.0]), np.array([1.9, 2.0, 2.1]), RowGroups.whole(3))
    >>> low.round(3), high.round(3)
    (array([1.56]), array([2.565]))
    """
    n = groups.sizes
    with np.errstate(invalid="ignore", divide="ignore"):
        left = np.log(without)
        error = np.sqrt((n - 1) / n * groups.squares(left))
        factor = np.exp(np.minimum(t_factors(n - 1) * error, 700))
        spread = groups.most(left) - groups.least(left) > 1e-12
    factor[(n < 2) | ~spread] = math.nan
    return value / factor, value * factor


@dataclass(frozen=True)
class ManyFound:
    """What was found of each of several groups, how, and what must be known of it.

    Parameters
    ----------
    value, standard_error, freedom
        Shape (m,); a value is NaN where it is not determinable, which `reason` tells.
    low, high
        The ends of the interval, shape (m,), NaN where there is none.
    n
        How many units stand behind each.
    method, flags, reason
        Of each group; no flag is "", nor is the reason of what is determinable more.
    """

    value: Floats
    standard_error: Floats
    freedom: Floats
    low: Floats
    high: Floats
    n: Whole
    method: list[str]
    flags: list[str]
    reason: list[str]

    def at(self, group: int) -> Found:
        """Return what was found of one group.

        Raises
        ------
        NotDeterminable
            Where it is not determinable.
        """
        if self.reason[group]:
            raise NotDeterminable(self.reason[group])
        estimate = Estimate(
            float(self.value[group]),
            float(self.standard_error[group]),
            float(self.freedom[group]),
            int(self.n[group]),
        )
        flags = (self.flags[group],) if self.flags[group] else ()
        interval = (float(self.low[group]), float(self.high[group]))
        return Found(estimate, self.method[group], flags, interval)


def mean(values: ArrayLike, panels: ArrayLike, what: str) -> Found:
    """Return the plain mean; of several panels the mean of their means, with panels as unit.

    The interval is cut at 0, unless a value is below.

    Parameters
    ----------
    values, panels
        Shape (n,), n > 0: the readings, and the panel of each.
    what
        What a value is called, such as "reading".

    Examples
    --------
    >>> panels = ["RB-014-1", "RB-014-1", "RB-014-2"]
    >>> found = mean([180.0, 184.0, 190.0], panels, "reading")
    >>> found.estimate.value, found.method
    (186.0, 'mean of 2 panel means; interval by t, panels as unit')
    """
    readings = np.asarray(values, dtype=float)
    return means(readings, numbered(panels)[0], RowGroups.whole(len(readings)), what).at(0)


def means(values: Floats, panels: Whole, groups: RowGroups, what: str) -> ManyFound:
    """Return `mean` of each of several groups of readings, none of which is empty.

    Parameters
    ----------
    values, panels
        Shape (n,): the readings, and the number of the panel of each.
    groups
        To which group each belongs.
    what
        What a value is called.
    """
    of_panel, owner = groups.parted(panels)
    readings = RowGroups(owner, groups.count)
    several = readings.sizes > 1
    of_panels = mean_over(of_panel.mean(values), readings)
    plain = mean_over(values, groups)
    value, error, n = (np.where(several, a, b) for a, b in zip(of_panels, plain, strict=True))
    unknown = np.isnan(error)
    freedom = np.where(unknown, CERTAIN, n - 1)
    half = t_factors(freedom) * error
    low, high = value - half, value + half
    method = [
        f"mean of {count} panel means; interval by t, panels as unit"
        if count > 1
        else f"mean; interval by t, {what}s as unit"
        for count in readings.sizes.tolist()
    ]
    none = ("", "no interval: no spread", f"no interval from one {what}")
    lacking = unknown.astype(int) + (unknown & (groups.sizes == 1))
    flags = [none[one] for one in lacking.tolist()]
    reason = [""] * groups.count
    found = ManyFound(value, error, freedom, low, high, n, method, flags, reason)
    return cut_at_zero(found, ~(groups.least(values) < 0))


def cut_at_zero(found: ManyFound, wanted: Bools) -> ManyFound:
    """Return it with the intervals cut at 0 of what cannot be less."""
    cut = wanted & (found.low < 0)
    method = [
        f"{one}, cut at 0" if is_cut else one
        for one, is_cut in zip(found.method, cut.tolist(), strict=True)
    ]
    return replace(found, low=np.where(cut, 0.0, found.low), method=method)


def mean_over(values: Floats, groups: RowGroups) -> tuple[Floats, Floats, Whole]:
    """Return mean, standard error and number as `mean_of` does, of each group."""
    average, n = groups.mean(values), groups.sizes
    with np.errstate(invalid="ignore", divide="ignore"):
        deviation = np.sqrt(groups.squares(values) / (n - 1))
        told = deviation > 1e-12 * np.abs(average)  # else nothing but the rounding of numbers
        return average, np.where(told, deviation / np.sqrt(n), math.nan), n


def spread(values: ArrayLike, panels: ArrayLike, what: str) -> Found:
    r"""Return the standard deviation of all readings, for one panel with its interval.

    .. math:: s \sqrt{(n-1) / \chi^2_{0.975}} \;\text{to}\; s \sqrt{(n-1) / \chi^2_{0.025}}, \qquad
        u(s) \approx s / \sqrt{2 (n-1)}

    Readings of several panels are not independent of each other, so that neither would hold. Where
    s is within the step in which they were read, they may scatter less by any factor: from 0.

    Raises
    ------
    NotDeterminable
        For one reading, and for equal ones.
    """
    readings = np.asarray(values, dtype=float)
    return spreads(readings, numbered(panels)[0], RowGroups.whole(len(readings)), what).at(0)


def spreads(values: Floats, panels: Whole, groups: RowGroups, what: str) -> ManyFound:
    """Return `spread` of each of several groups of readings; see `means`."""
    deviation, reason = _deviations(values, groups, what)
    one, n = groups.distinct(panels) == 1, groups.sizes
    with np.errstate(invalid="ignore", divide="ignore"):
        error = np.where(one, deviation / np.sqrt(2 * (n - 1)), math.nan)
        low, high = (
            np.where(one, deviation * np.sqrt((n - 1) / chdtri(n - 1, tail)), math.nan)
            for tail in (0.025, 0.975)
        )
        hidden = one & (deviation <= steps_of(values, groups))
    low = np.where(hidden, 0.0, low)
    pairs = zip(n.tolist(), groups.distinct(panels).tolist(), strict=True)
    method = [f"of {counted(size, what)} on {counted(several, 'panel')}" for size, several in pairs]
    how = np.where(one, "; interval by chi-squared", "")
    how = np.where(hidden, "; interval by chi-squared, from 0 within a step of the readings", how)
    method = [words + more for words, more in zip(method, how.tolist(), strict=True)]
    return without_flags(deviation, error, (low, high), method, reason)


def _deviations(values: Floats, groups: RowGroups, what: str) -> tuple[Floats, list[str]]:
    """Return the standard deviation of each group, NaN where the reason says why not."""
    n = groups.sizes
    with np.errstate(invalid="ignore", divide="ignore"):
        deviation = np.sqrt(groups.squares(values) / (n - 1))
    equal = ~(deviation > 1e-12 * groups.most(np.abs(values)))  # nothing but rounding
    reason = ["" for _ in range(groups.count)]
    for group in np.flatnonzero(equal).tolist():
        if n[group] == 1:
            reason[group] = f"one {what} has no spread"
        else:
            reason[group] = f"all {n[group]} {what}s are equal: their spread is not resolved"
    return np.where(equal, math.nan, deviation), reason


def without_flags(
    value: Floats,
    error: Floats,
    interval: tuple[Floats, Floats],
    method: list[str],
    reason: list[str] | None = None,
) -> ManyFound:
    """Return what has no flags, and counts as one number each; without reasons all are known."""
    count = len(value)
    certain, ones = np.full(count, CERTAIN), np.ones(count, dtype=np.intp)
    none = [""] * count
    return ManyFound(value, error, certain, *interval, ones, method, none, reason or none)


def variation(values: ArrayLike, panels: ArrayLike, what: str) -> Found:
    r"""Return the coefficient of variation in %.

    .. math:: v = s / \bar x, \qquad u(v) \approx v \sqrt{1 / (2(n-1)) + v^2 / n}

    The standard error is given for one panel only, and no interval.

    Raises
    ------
    NotDeterminable
        Where the standard deviation is not determinable, or the mean is not above 0.
    """
    readings = np.asarray(values, dtype=float)
    return variations(readings, numbered(panels)[0], RowGroups.whole(len(readings)), what).at(0)


def variations(values: Floats, panels: Whole, groups: RowGroups, what: str) -> ManyFound:
    """Return `variation` of each of several groups of readings; see `means`."""
    deviation, reason = _deviations(values, groups, what)
    average, n = means(values, panels, groups, what).value, groups.sizes
    for group in np.flatnonzero(~(average > 0) & ~np.isnan(deviation)).tolist():
        reason[group] = f"the mean is {average[group]:.3g}, not above 0"
    with np.errstate(invalid="ignore", divide="ignore"):
        relative = np.where(average > 0, deviation / average, math.nan)
        error = relative * np.sqrt(0.5 / (n - 1) + relative**2 / n)
    none = np.full(groups.count, math.nan)
    error = np.where(groups.distinct(panels) == 1, 100 * error, math.nan)
    method = ["standard deviation over mean"] * groups.count
    return without_flags(100 * relative, error, (none, none), method, reason)


def share_interval(happened: ArrayLike, panels: ArrayLike) -> tuple[tuple[float, float], str]:
    r"""Return the 95 % interval of a share of readings, in %, and how it was found in words.

    Of one panel it is the exact one of Clopper and Pearson,

    .. math:: B_{0.025}(k, n - k + 1) \;\text{to}\; B_{0.975}(k + 1, n - k),

    with quantiles of the beta distribution, for k of n readings. Of m panels, which differ more
    than readings of one, n is the effective number of Korn and Graubard, and k = n p:

    .. math:: n = \frac{p (1 - p)}{u^2(p)} \left(\frac{t_{N-1}}{t_{m-1}}\right)^2

    with N readings, the standard error u between panels, taken for no less than that of independent
    readings, and Student's t at 97.5 %. Measured coverage of 3 to 8 panels of 8 readings is 0.96 to
    1.00 (tests): it errs on the wide side, most for two or three panels.

    Parameters
    ----------
    happened, panels
        Shape (n,), n > 0: whether it is true of a reading, and the panel of each.

    References
    ----------
    Clopper and Pearson, Biometrika 26 (1934) 404 (the tests compare with scipy); Korn and Graubard,
    Survey Methodology 24 (1998) 193. Both from memory.

    Examples
    --------
    >>> happened = [True, False, False, False]
    >>> ends, method = share_interval(happened, ["RB-014-1"] * 4)
    >>> [round(end, 2) for end in ends], method
    ([0.63, 80.59], 'exact interval, readings as unit')
    """
    true = np.asarray(happened, dtype=float)
    low, high, method = share_intervals(true, numbered(panels)[0], RowGroups.whole(len(true)))
    return (float(low[0]), float(high[0])), method[0]


def share_intervals(
    happened: Floats, panels: Whole, groups: RowGroups
) -> tuple[Floats, Floats, list[str]]:
    """Return `share_interval` of each of several groups of readings; see `means`.

    `happened` is 1 or 0.
    """
    of_panel, owner = groups.parted(panels)
    units = RowGroups(owner, groups.count)
    n, several, p = groups.sizes, units.sizes, groups.mean(happened)
    error = ratios(of_panel.sum(happened), of_panel.sizes, units).standard_error
    with np.errstate(invalid="ignore", divide="ignore"):
        told = (error > 0) & (p > 0) & (p < 1)
        inflated = np.where(told, error**2 * n / (p * (1 - p)), 1.0)
        shrunk = (t_factors(n - 1) / t_factors(several - 1)) ** 2
        by_panels = np.maximum(n / np.maximum(inflated, 1.0) * shrunk, 1.0)
    effective = np.where(several > 1, by_panels, n)
    k = p * effective
    low = np.where(p > 0, betaincinv(k, effective - k + 1, 0.025), 0.0)
    high = np.where(p < 1, betaincinv(k + 1, effective - k, 0.975), 1.0)
    words = ("exact interval, readings as unit", "interval of Korn and Graubard, panels as unit")
    return 100 * low, 100 * high, [words[many > 1] for many in several.tolist()]
