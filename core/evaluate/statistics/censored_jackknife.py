r"""Whole units as what varies in the mean of values of which some are only lower bounds.

Of many units one more or less moves the likeliest distribution by next to nothing: what the bounds
add to the likelihood is then taken from its Taylor series about the distribution of all, so that
the cost grows with the number of bounds and units, not with their product.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.polynomial.polynomial import polyder, polyval2d
from numpy.typing import ArrayLike
from scipy.special import binom, log_ndtr

from tiecoat.evaluate.estimate import Estimate, NotDeterminable, mean_of
from tiecoat.evaluate.grouping import Floats, RowGroups, Whole, numbered
from tiecoat.evaluate.statistics.censored_normal import (
    NO_MAXIMUM,
    Bools,
    CensoredNormals,
    checked,
    fits_of,
    reasons_of,
)
from tiecoat.evaluate.statistics.censored_normal_many import (
    Listed,
    OfBounds,
    OfValues,
    hazard_of,
)
from tiecoat.evaluate.statistics.likeliest_many import ROUNDING, likeliest

MANY_UNITS = 60  # from here on the series is worth its terms
ORDER = 12  # of the series
# Phi is 0 nowhere within 2.8 of a real number (zeros of erfc, from memory), so that what the series
# leaves out of a step so long is in the order of (0.2 / 2.8)^13 = 1e-15.
NEAR = 0.2


def mean_over_units(values: ArrayLike, is_bound: ArrayLike, units: ArrayLike) -> Estimate:
    r"""Return the mean of values of which some are bounds, with whole units as what varies.

    Values of one panel have more in common than those of two, so that the interval must rest on
    the panels. It is found from their pseudo-values:

    .. math:: u^2 = \frac{1}{m (m-1)} \sum_j (\tilde\mu_j - \hat\mu)^2

    with m - 1 degrees of freedom; NaN where the panels agree to the last digit, and so tell nothing
    of their spread. Without bounds, and with as many values of each panel, it is the interval by
    Student's t from the means of the panels.

    Parameters
    ----------
    values, is_bound, units
        As for `pseudo_values`.

    Raises
    ------
    NotDeterminable, ValueError
        As `pseudo_values`.
    """
    of_units = pseudo_values(values, is_bound, units)
    return replace(mean_of(list(of_units.values())), n=len(np.asarray(values)))


def pseudo_values(values: ArrayLike, is_bound: ArrayLike, units: ArrayLike) -> dict[str, float]:
    r"""Return what each unit adds to the mean of values of which some are bounds.

    Each of the m units is left out in turn:

    .. math:: \tilde\mu_j = m \hat\mu - (m - 1) \hat\mu_{(-j)} + \text{shift}

    (Tukey's jackknife; Miller, Biometrika 61 (1974) 1; from memory), shifted so that their mean is
    that of all together. Without bounds, and with as many values of each unit, they are the means
    of the units.

    Parameters
    ----------
    values
        Values and lower bounds, shape (n,), all in one unit of measure.
    is_bound
        True where the value is only a lower bound, shape (n,).
    units
        The panel of each, shape (n,).

    Raises
    ------
    NotDeterminable
        Where there is one unit, or all together or the rest without one of them have too few
        values that are no bounds.
    ValueError
        If there are not as many marks as values, or a value is not finite.
    """
    listed, marks = checked(values, is_bound)
    numbers, names = numbered(np.asarray(units, dtype=str))
    whole = RowGroups.whole(len(listed))
    found = pseudo_values_of(listed, marks, numbers, whole, fits_of(listed, marks, whole))
    if found.without[0] >= 0:
        raise NotDeterminable(f"without {names[found.without[0]]}: {found.reasons[0]}")
    if found.reasons[0]:
        raise NotDeterminable(found.reasons[0])
    return dict(zip(names.tolist(), found.values.tolist(), strict=True))


@dataclass(frozen=True)
class PseudoValues:
    """The pseudo-values of the units of many groups.

    Parameters
    ----------
    values
        Of each unit, shape (u,), by group and unit; NaN where there is none.
    units
        The groups of units.
    reasons
        Why a group has none, "" where it has.
    without
        The number of the unit without which that is so; below 0 where it is so with all.
    """

    values: Floats
    units: RowGroups
    reasons: list[str]
    without: Whole


def pseudo_values_of(
    values: Floats, is_bound: Bools, units: Whole, groups: RowGroups, fits: CensoredNormals
) -> PseudoValues:
    """Return `pseudo_values` for each of many groups.

    Parameters
    ----------
    values, is_bound
        Shape (n,).
    units
        The number of the unit of each, from 0.
    groups
        Their groups; each row belongs to one.
    fits
        Of the groups.
    """
    parts, owner = groups.parted(units)
    of_units = RowGroups(owner, groups.count)
    reasons, without = list(fits.reasons), np.full(groups.count, -1)
    for group in np.flatnonzero(of_units.sizes < 2).tolist():
        reasons[group] = "there is only one unit"
    rest = _rest_of(values, is_bound, parts, owner, fits)
    lacking = reasons_of(rest.values, rest.bounds, rest.alike)
    told = np.array([not why for why in reasons], dtype=np.bool_)
    solved = np.flatnonzero(told[owner] & np.array([not why for why in lacking], dtype=np.bool_))
    means = np.full(parts.count, np.nan)
    means[solved] = _means_without(rest, solved)
    for unit in np.flatnonzero(told[owner] & np.isnan(means))[::-1].tolist():
        reasons[owner[unit]] = lacking[unit] or NO_MAXIMUM
        without[owner[unit]] = parts.first(units)[unit]
    m, whole = of_units.sizes[owner], fits.mean[owner]
    pseudo = m * whole - (m - 1) * means
    return PseudoValues(pseudo + (whole - of_units.mean(pseudo)[owner]), of_units, reasons, without)


@dataclass(frozen=True)
class _Rest:
    """Of each unit what is left of its group without it, shape (u,), and the bounds of all.

    Values and bounds are standardised by the values of their group.
    """

    values: Whole
    bounds: Whole
    alike: Bools
    sums: OfValues
    owner: Whole
    of_bounds: RowGroups  # by group
    unit_of_bound: Whole
    bound: Floats
    fits: CensoredNormals


def _rest_of(
    values: Floats, is_bound: Bools, parts: RowGroups, owner: Whole, fits: CensoredNormals
) -> _Rest:
    group = owner[parts.of_row]
    each = (values - fits.centre[group]) / fits.scale[group]
    of_units, of_bounds = (
        RowGroups(parts.of_row[one], parts.count) for one in (~is_bound, is_bound)
    )
    units, y = RowGroups(owner, len(fits.mean)), values[~is_bound]
    squares = each[~is_bound] ** 2
    left = [
        units.sum(one)[owner] - one
        for one in (
            of_units.sizes,
            of_units.sum(each[~is_bound]),
            of_units.sum(squares),
            of_bounds.sizes,
        )
    ]
    least, most = _others_least(of_units.least(y), units), -_others_least(-of_units.most(y), units)
    with np.errstate(invalid="ignore"):
        alike = most - least <= ROUNDING * np.maximum(np.abs(least), np.abs(most))
    return _Rest(
        left[0].astype(np.intp),
        left[3].astype(np.intp),
        alike,
        OfValues(*left[:3]),
        owner,
        RowGroups(group[is_bound], units.count),
        parts.of_row[is_bound],
        each[is_bound],
        fits,
    )


def _others_least(each: Floats, units: RowGroups) -> Floats:
    """Return of each unit the least that another one of its group has; infinite of none."""
    order = np.lexsort((each, units.of_row))
    first = (units.ends - units.sizes)[units.of_row]
    several = units.sizes[units.of_row] > 1
    second = np.where(several, each[order[np.where(several, first + 1, first)]], np.inf)
    is_least = order[first] == np.arange(len(each))
    return np.where(is_least, second, each[order[first]])


def _means_without(rest: _Rest, units: Whole) -> Floats:
    """Return the likeliest mean without each of some units."""
    found = np.full(len(units), np.nan)
    group = rest.owner[units]
    far = np.ones(len(units), dtype=np.bool_)
    for one in np.flatnonzero(np.bincount(rest.owner) >= MANY_UNITS).tolist():
        here = np.flatnonzero(group == one)
        found[here], far[here] = _by_series(rest, units[here], one)
    delta, theta = _likeliest_without(rest, units[far], _listed_without(rest, units[far]))
    found[far] = _mean(rest, group[far], delta, theta)
    return found


def _mean(rest: _Rest, group: Whole | int, delta: Floats, theta: Floats) -> Floats:
    mean: Floats = rest.fits.centre[group] + rest.fits.scale[group] * delta / theta
    return mean


def _likeliest_without(rest: _Rest, units: Whole, bounds: OfBounds) -> tuple[Floats, Floats]:
    sums, group = rest.sums, rest.owner[units]
    left = OfValues(sums.number[units], sums.total[units], sums.squares[units])
    best = likeliest(left.beside(bounds), rest.fits.delta[group], rest.fits.theta[group])
    return best.delta, best.theta


def _listed_without(rest: _Rest, units: Whole) -> Listed:
    """Return the bounds that are left without each of some units, one by one."""
    sizes = rest.of_bounds.sizes[rest.owner[units]]
    problem = np.repeat(np.arange(len(units)), sizes)
    first = (rest.of_bounds.ends - rest.of_bounds.sizes)[rest.owner[units]]
    within = np.arange(len(problem)) - np.repeat(np.cumsum(sizes) - sizes, sizes)
    place = rest.of_bounds.order[first[problem] + within]
    others = rest.unit_of_bound[place] != units[problem]
    return Listed(rest.bound[place[others]], problem[others])


def _by_series(rest: _Rest, units: Whole, group: int) -> tuple[Floats, Bools]:
    """Return the likeliest mean without each of some units of a group, and where it is too far."""
    delta, theta = float(rest.fits.delta[group]), float(rest.fits.theta[group])
    here = rest.of_bounds.positions[group]
    bounds = rest.bound[here]
    terms = _series(bounds, delta, theta)
    place = np.full(len(rest.owner), -1)
    place[units] = np.arange(len(units))
    of_these = place[rest.unit_of_bound[here]]
    own = Listed(bounds[of_these >= 0], of_these[of_these >= 0])

    def others(at_delta: Floats, at_theta: Floats, who: Whole) -> Floats:
        by = at_delta - delta, at_theta - theta
        return np.array([polyval2d(*by, one) for one in terms]) - own(at_delta, at_theta, who)

    found = _likeliest_without(rest, units, others)
    moved = np.abs(found[0] - delta) + np.abs(found[1] - theta) * np.abs(bounds).max(initial=0.0)
    return _mean(rest, group, *found), ~(moved <= NEAR)


def _series(bounds: Floats, delta: Floats | float, theta: Floats | float) -> list[Floats]:
    r"""Return F and its derivatives as polynomials about a point, in the order of `OfBounds`.

    The terms of :math:`\ln\Phi(z + t)` follow from those of its derivative h, as h' = -h (z + h).
    """
    z = delta - theta * bounds
    ln = log_ndtr(z)
    hazards = [hazard_of(z, ln)]
    for k in range(ORDER - 1):
        before = hazards[k - 1] if k else 0.0
        both = sum(one * other for one, other in zip(hazards, reversed(hazards), strict=True))
        hazards.append(-(z * hazards[k] + before + both) / (k + 1))
    terms = [ln, *(one / (k + 1) for k, one in enumerate(hazards))]
    moments = np.array(terms) @ np.vander(-bounds, ORDER + 1, increasing=True)
    whole = np.zeros((ORDER + 1, ORDER + 1))
    for k in range(ORDER + 1):
        for i in range(k + 1):
            whole[k - i, i] = binom(k, i) * moments[k, i]
    by_delta, by_theta = polyder(whole, axis=0), polyder(whole, axis=1)
    mixed = polyder(by_delta, axis=1)
    return [
        np.asarray(one, dtype=np.float64)
        for one in (whole, by_delta, by_theta, polyder(by_delta), mixed, polyder(by_theta, axis=1))
    ]
