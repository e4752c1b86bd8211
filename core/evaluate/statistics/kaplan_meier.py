"""The share that bears more than each stress, where some values are only lower bounds.

No distribution is assumed (Kaplan and Meier, J. Am. Stat. Assoc. 53 (1958) 457; from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtri

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.statistics.censored_normal import Floats, checked

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
    above: float = math.nan


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
    at, ended = np.unique(listed[~marks], return_counts=True)
    standing = len(listed) - np.searchsorted(np.sort(listed), at)
    share = np.asarray(np.cumprod(1 - ended / standing), dtype=np.float64)
    some = standing > ended  # where something is still above
    growth = np.zeros(len(at))
    growth[some] = ended[some] / (standing[some] * (standing[some] - ended[some]))
    spread = np.sqrt(np.cumsum(growth))
    lean = np.zeros(len(at))
    lean[some] = np.exp(ndtri(0.975) * spread[some] / -np.log(share[some]))
    low, high = np.zeros(len(at)), np.zeros(len(at))
    low[some], high[some] = share[some] ** lean[some], share[some] ** (1 / lean[some])
    error = np.asarray(share * spread, dtype=np.float64)
    return Survival(at, share, error, low, high, float(listed.max()), len(listed))


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
    low, high = _first(curve.values, curve.low), _first(curve.values, curve.high)
    if curve.n < LEAST_FOR_LIMITS:
        low = high = math.nan
    half = np.flatnonzero(curve.share <= 0.5 + ROUNDING)
    if not len(half):
        return Median(math.nan, low, high, curve.greatest)
    first = half[0]
    if curve.share[first] < 0.5 - ROUNDING:
        return Median(float(curve.values[first]), low, high)
    if first + 1 == len(curve.values):
        return Median(math.nan, low, high, float(curve.values[first]))
    return Median(float(curve.values[first : first + 2].mean()), low, high)


def _first(values: Floats, limit: Floats) -> float:
    """Return the first value at which a limit is at most one half."""
    at = np.flatnonzero(limit <= 0.5 + ROUNDING)
    return float(values[at[0]]) if len(at) else math.nan
