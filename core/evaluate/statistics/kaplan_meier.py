"""The share that bears more than each stress, where some values are only lower bounds.

No distribution is assumed (Kaplan and Meier, J. Am. Stat. Assoc. 53 (1958) 457, as in R).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtri

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.grouping import RowGroups
from tiecoat.evaluate.statistics.censored_normal import Bools, Floats, checked

ROUNDING = 1e-12  # of a product of shares
# Of five values the least and the greatest, which lie farthest apart, hold the median between them
# in 1 - 2 / 2^5 = 94 % of cases: no limits of 95 % can be had from fewer than six.
LEAST_FOR_LIMITS = 6


@dataclass(frozen=True)
class Survival:
    """What share is above each value.

    Parameters
    ----------
    values
        The distinct values that are no bounds, rising, shape (m,).
    share
        Share above each of them, shape (m,).
    error
        Its standard error (Greenwood), shape (m,).
    low, high
        Its 95 % limits, shape (m,).
    greatest
        The greatest of all values and bounds.
    n
        How many values and bounds there are.
    """

    values: Floats
    share: Floats
    error: Floats
    low: Floats
    high: Floats
    greatest: float
    n: int


@dataclass(frozen=True)
class Median:
    """The median with its 95 % limits; NaN what is not determinable.

    Where the median is not determinable, `above` says what it is not below; else it is NaN.
    """

    value: float
    low: float
    high: float
    above: float = np.nan


def kaplan_meier(values: ArrayLike, is_bound: ArrayLike) -> Survival:
    r"""Return the share above each value.

    .. math:: S(t) = \prod_{t_i \le t} \Big(1 - \frac{d_i}{n_i}\Big), \qquad
        u^2(S) = S^2 \sum_{t_i \le t} \frac{d_i}{n_i (n_i - d_i)}

    with :math:`d_i` values at :math:`t_i` and :math:`n_i` values and bounds at or above it: a
    bound counts as lying above a value equal to it. The limits are normal for ln(-ln S); once
    nothing is above, they are 0.

    Parameters
    ----------
    values
        Values and lower bounds, shape (n,), all in one unit.
    is_bound
        True where the value is only a lower bound, shape (n,).

    Raises
    ------
    NotDeterminable
        If there is no value that is no bound.
    ValueError
        If there are not as many marks as values, or a value is not finite.

    Examples
    --------
    >>> kaplan_meier([6.0, 7.0, 8.0, 9.0], [False, True, False, True]).share
    array([0.75 , 0.375])
    """
    listed, marks = checked(values, is_bound)
    if marks.all():
        raise NotDeterminable(f"all {len(marks)} are lower bounds" if len(marks) else "no value")
    order = np.argsort(listed, kind="stable")
    found = _curves(listed[order][None], marks[order][None])
    at = found.ends[0]
    return Survival(
        found.values[0, at],
        found.share[0, at],
        found.error[0, at],
        found.low[0, at],
        found.high[0, at],
        float(listed.max()),
        len(listed),
    )


@dataclass(frozen=True)
class _ShareAbove:
    """The share above each value of groups of one size; shape (groups, places) each.

    `ends` marks where a distinct value stands that is no bound: there the others hold.
    """

    values: Floats
    ends: Bools
    share: Floats
    error: Floats
    low: Floats
    high: Floats


def _curves(values: Floats, is_bound: Bools) -> _ShareAbove:
    """Return the share above each value, of values that rise along each row."""
    size = values.shape[1]
    places = np.broadcast_to(np.arange(size), values.shape)
    new, last = np.ones(values.shape, dtype=np.bool_), np.ones(values.shape, dtype=np.bool_)
    new[:, 1:] = values[:, 1:] != values[:, :-1]
    last[:, :-1] = new[:, 1:]
    until = np.minimum.accumulate(np.where(last, places, size)[:, ::-1], axis=1)[:, ::-1]
    seen = np.cumsum(~is_bound, axis=1)
    ended = np.take_along_axis(seen, until, axis=1) - seen + ~is_bound  # of those that are equal
    standing = size - places
    ends = new & (ended > 0)
    some = ends & (standing > ended)  # where something is still above
    share: Floats = np.cumprod(np.where(ends, 1 - ended / standing, 1.0), axis=1).astype(float)
    with np.errstate(divide="ignore", invalid="ignore"):
        growth = np.where(some, ended / (standing * (standing - ended)), 0.0)
        spread = np.sqrt(np.cumsum(growth, axis=1))
        lean = np.exp(ndtri(0.975) * spread / -np.log(share))
        low, high = (np.where(some, share**one, 0.0) for one in (lean, 1 / lean))
    return _ShareAbove(values, ends, share, share * spread, low, high)


def median(curve: Survival) -> Median:
    """Return the value that half bear more than.

    It is the first value above which less than half lie. Where exactly half do from one value to
    the next, it is the middle of the two, as of an even number of plain values. The limits are
    the first values at which the limits of the share are at most one half (Brookmeyer and
    Crowley, Biometrics 38 (1982) 29; from memory). Of fewer than six values and bounds there are
    none: even from the least to the greatest they would hold the median in less than 95 %.

    Examples
    --------
    >>> median(kaplan_meier([6.0, 7.0, 8.0, 9.0, 9.5, 9.9], [False] * 6))
    Median(value=8.5, low=6.0, high=9.9, above=nan)
    >>> median(kaplan_meier([6.0, 9.0, 9.0, 9.0], [False, True, True, True]))
    Median(value=nan, low=nan, high=nan, above=9.0)
    """
    whole = np.ones((1, len(curve.values)), dtype=np.bool_)
    rows = (one[None] for one in (curve.share, curve.error, curve.low, curve.high))
    found = _medians(
        _ShareAbove(curve.values[None], whole, *rows), np.array([curve.greatest]), curve.n
    )
    return Median(*found[:, 0].tolist())


def medians(values: Floats, is_bound: Bools, groups: RowGroups) -> tuple[Floats, ...]:
    """Return the `median` of each group: value, low, high and above, shape (count,) each.

    Of a group of nothing but bounds it is above the greatest.

    Parameters
    ----------
    values, is_bound
        As for `kaplan_meier`.
    groups
        The groups of values.
    """
    found = np.full((4, groups.count), np.nan)
    for which, positions in groups.by_size():
        order = np.argsort(values[positions], axis=1, kind="stable")
        rising = np.take_along_axis(positions, order, axis=1)
        curves = _curves(values[rising], is_bound[rising])
        found[:, which] = _medians(curves, curves.values[:, -1], positions.shape[1])
    return tuple(found)


def _medians(curves: _ShareAbove, greatest: Floats, n: int) -> Floats:
    """Return value, low, high and above of each row."""
    half = curves.ends & (curves.share <= 0.5 + ROUNDING)
    at, some = half.argmax(axis=1), half.any(axis=1)
    later = curves.ends & (np.arange(half.shape[1]) > at[:, None])
    rows = np.arange(len(at))
    here, after = curves.values[rows, at], curves.values[rows, later.argmax(axis=1)]
    less = curves.share[rows, at] < 0.5 - ROUNDING
    between = np.where(later.any(axis=1), (here + after) / 2, np.nan)
    value = np.where(some, np.where(less, here, between), np.nan)
    above = np.where(np.isnan(value), np.where(some, here, greatest), np.nan)
    low, high = (_first(curves, one) for one in (curves.low, curves.high))
    if n < LEAST_FOR_LIMITS:
        low = high = np.full(len(at), np.nan)
    return np.array([value, low, high, above])


def _first(curves: _ShareAbove, limit: Floats) -> Floats:
    """Return of each row the first value at which a limit is at most one half."""
    reached = curves.ends & (limit <= 0.5 + ROUNDING)
    first = curves.values[np.arange(len(reached)), reached.argmax(axis=1)]
    found: Floats = np.where(reached.any(axis=1), first, np.nan)
    return found
