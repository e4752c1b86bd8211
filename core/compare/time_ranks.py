r"""Times known as intervals, by their order alone: exact, whatever the times are distributed like.

Of two panels one lasted longer for certain where its interval begins where the other one's ends, or
later; else the order is open. Each panel scores one for each of the others that it outlasted for
certain, less one for each that outlasted it (Mantel, Biometrics 23 (1967) 65, after Gehan,
Biometrika 52 (1965) 203; from memory), and the statistic is the sum of the candidate's scores. p is
its place among those of all splits of the panels: of times without ties that is the test of
Wilcoxon, Mann and Whitney. It is exact where paints that do not differ are looked at at the same
hours.

The interval of the ratio holds every ratio by which the candidate's times can be divided without
that the same test tells them from the control's: Hodges and Lehmann's for times that are known as
intervals (Ann. Math. Stat. 34 (1963) 598; from memory). Hours of inspection are divided too, so
that away from 1 it is near, not exact.

Order knows of a difference that the profile with own spreads (`tiecoat.compare.times`) misses, and
says little of its size. So where order tells a difference the interval is what both leave, and p
the smaller one. Of 500 studies a design, of log-normal times looked at after 1, 24, 72, 168, 336,
504 and 1,008 h: how many told a difference of equal medians of 100 h (false), one of 100 and 300 h
(by the profile alone, and with order), and held the ratio 3 in the interval, in %; spreads of ln t
of control and candidate:

======  ==========  =====  ==========  ========
panels  spreads     false  told        coverage
======  ==========  =====  ==========  ========
3, 3    0.3, 0.3    0.0    0.0 0.0     100.0
3, 3    0.8, 0.8    0.0    0.0 0.0     100.0
3, 3    0.25, 0.75  0.0    0.0 0.0     100.0
3, 3    0.75, 0.25  0.0    0.0 0.0     100.0
4, 4    0.3, 0.3    0.0    4.8 76.2    100.0
4, 4    0.8, 0.8    0.2    2.0 15.6    99.8
4, 4    0.25, 0.75  0.6    2.8 38.4    99.6
4, 4    0.75, 0.25  0.8    1.6 36.4    100.0
6, 6    0.3, 0.3    0.4    78.0 98.2   99.8
6, 6    0.8, 0.8    3.6    9.0 46.2    97.8
6, 6    0.25, 0.75  1.2    21.4 65.8   98.2
6, 6    0.75, 0.25  2.4    24.4 70.2   99.6
8, 8    0.3, 0.3    0.2    93.8 100.0  99.8
8, 8    0.8, 0.8    4.0    24.0 63.8   98.2
8, 8    0.25, 0.75  4.8    42.8 90.0   97.0
8, 8    0.75, 0.25  5.8    51.8 88.6   99.6
======  ==========  =====  ==========  ========
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache
from itertools import combinations

import numpy as np

from tiecoat.compare.many_to_one import independent_p, single_confidence
from tiecoat.compare.ranks import MOST_SPLITS, SEED
from tiecoat.compare.times import TimeRatio, Times
from tiecoat.evaluate.statistics.censored_normal import Floats

JUST = 1e-9  # of ln of a ratio: an end that lies at 1 and does not hold it


def with_order(control: Times, candidate: Times, own: TimeRatio, comparisons: int = 1) -> TimeRatio:
    """Return the ratio by own spreads with what the order of the panels tells beyond it.

    Parameters
    ----------
    own
        As `time_ratios` finds it.
    comparisons
        How many candidates are compared with the control.
    """
    order = ratio_by_order(control, candidate, own.ln_ratio, comparisons)
    if not (order.low > 0 or order.high < 0) or order.p > own.p:
        return own
    low, high = max(own.low, order.low), min(own.high, order.high)
    if not low < high:
        low, high = order.low, order.high
    return replace(order, low=low, high=high)


def ratio_by_order(
    control: Times, candidate: Times, ln_ratio: float, comparisons: int = 1
) -> TimeRatio:
    """Return a ratio of times with the interval and the p that the order of the panels gives.

    Parameters
    ----------
    ln_ratio
        The likeliest one.
    comparisons
        How many candidates are compared with the control; interval and p are adjusted by Sidak.

    Examples
    --------
    Four panels that fell on the first day, and four that fell between four days and a week.

    >>> steady = Times(np.full(4, 96.0), np.full(4, 168.0))
    >>> dead = Times(np.full(4, 1.0), np.full(4, 24.0))
    >>> found = ratio_by_order(steady, dead, -2.0)
    >>> round(found.p, 4), round(math.exp(found.high), 2)
    (0.0286, 0.25)
    """
    places = _turning_points(control, candidate)
    level = 1 - single_confidence(comparisons)
    middles = (places[1:] + places[:-1]) / 2
    tried = np.sort(np.concatenate([places, middles, [places[0] - 1, places[-1] + 1]]))
    held = tried[[p_of_order(control, _divided(candidate, at)) > level for at in tried]]
    alone = p_of_order(control, candidate)
    low, high = _hull(held, tried, places)
    if alone <= level:  # the ends may lie at equality, which they do not hold
        low, high = (max(low, JUST), high) if ln_ratio > 0 else (low, min(high, -JUST))
    return TimeRatio(ln_ratio, low, high, independent_p(alone, comparisons), alone)


def _hull(held: Floats, tried: Floats, places: Floats) -> tuple[float, float]:
    """Return the turning points within which ratios are held, infinite beyond the last ones."""
    if not len(held):  # no ratio makes the same of them: nothing tells its size
        return -math.inf, math.inf
    first, last = float(held[0]), float(held[-1])
    low = -math.inf if first == tried[0] else float(places[places <= first][-1])
    high = math.inf if last == tried[-1] else float(places[places >= last][0])
    return low, high


def p_of_order(control: Times, candidate: Times) -> float:
    """Return the two-sided p of the order of all panels; see above.

    Examples
    --------
    >>> early = Times(np.array([0.0, 0, 24]), np.array([24.0, 24, 72]))
    >>> late = Times(np.array([72.0, 168, 336]), np.array([168.0, 336, np.inf]))
    >>> p_of_order(early, late), p_of_order(early, early)
    (0.1, 1.0)
    """
    scores = _scores(control, candidate)
    splits = _splits(len(control.low), len(candidate.low))
    sums = splits @ scores
    found = float(scores[len(control.low) :].sum())
    least, most = (sums <= found + 0.5).mean(), (sums >= found - 0.5).mean()
    return float(min(1.0, 2 * min(least, most)))


def _scores(control: Times, candidate: Times) -> Floats:
    low = np.concatenate([control.low, candidate.low])
    high = np.concatenate([control.high, candidate.high])
    outlasts = low[:, None] >= high[None, :]
    return np.asarray(outlasts.sum(axis=1) - outlasts.sum(axis=0), dtype=np.float64)


@lru_cache(maxsize=32)
def _splits(m: int, n: int) -> Floats:
    """Return who is of the candidate, in a row a split; the one found is among them."""
    if math.comb(m + n, n) <= MOST_SPLITS:
        chosen = np.array(list(combinations(range(m + n), n)))
    else:
        order = np.random.default_rng(SEED).random((MOST_SPLITS, m + n)).argsort(axis=1)
        chosen = np.vstack([order[:, :n], np.arange(m, m + n)])
    found = np.zeros((len(chosen), m + n))
    np.put_along_axis(found, chosen, 1.0, axis=1)
    return found


def _divided(times: Times, ln_ratio: float) -> Times:
    ratio = math.exp(ln_ratio)
    return Times(times.low / ratio, times.high / ratio)


def _turning_points(control: Times, candidate: Times) -> Floats:
    """Return ln of the ratios at which the order of a panel of each changes."""
    pairs = [
        np.log(one[:, None]) - np.log(other[None, :])
        for one, other in (
            (_known(candidate.low), _known(control.high)),
            (_known(candidate.high), _known(control.low)),
        )
    ]
    found = np.unique(np.round(np.concatenate([one.ravel() for one in pairs]), 9))
    return found if len(found) else np.zeros(1)


def _known(ends: Floats) -> Floats:
    return ends[(ends > 0) & np.isfinite(ends)]
