r"""The share of panels that are still sound, where it is known only between which inspections.

A panel that was sound at 500 h and not at 750 h reached the grade in (500, 750]; one that was not
sound at the first inspection in (0, that]; one that never reached it in (last, infinity). No
distribution is assumed. The likeliest one puts its mass on the *innermost* intervals, those that
begin at a lower end and end at an upper one with no other end between (Peto 1973), and

.. math:: \hat s_j = \frac1n \sum_i \frac{\alpha_{ij} \hat s_j}{\sum_k \alpha_{ik} \hat s_k}

with :math:`\alpha_{ij} = 1` where the innermost interval j lies within that of panel i (Turnbull
1976: self-consistency, which is the EM algorithm). Within an innermost interval the share is not
determined, and it is not drawn there.

References
----------
R. Peto, Appl. Stat. 22 (1973) 86; B. W. Turnbull, J. R. Stat. Soc. B 38 (1976) 290; conditions for
the maximum: R. Gentleman and C. J. Geyer, Biometrika 81 (1994) 618. The journals from memory; R's
survfit gives the same estimates.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import pairwise
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tiecoat.evaluate.estimate import NotDeterminable

Floats: TypeAlias = NDArray[np.float64]

MOST_STEPS = 50_000
SETTLED = 1e-9  # by so much at most could ln L still rise
KEPT_SETTLED = SETTLED / 100  # closer, so that their error does not bring back a mass of nothing
LEAST_MASS = 1e-10  # what is less is none
ROUND = 1000  # steps before masses that go to nothing are taken out
SMALL = 1e-3  # a mass below it may be taken out, and comes back with it
ROUNDING = 1e-6  # of a share that settled as above
EXACT, CLOSED, OPEN = 0, 1, 2  # at one time: an exact one begins, intervals end, others begin


@dataclass(frozen=True)
class Turnbull:
    """The likeliest distribution of times that are known as intervals.

    Parameters
    ----------
    low, high
        Ends of the innermost intervals (low, high] that have mass, rising, shape (m,); equal for
        an exact time, `high` infinite where nothing was reached.
    mass
        Share of the panels in each, shape (m,).
    n
        How many panels.
    steps
        How many steps were taken.
    gap
        By how much the logarithm of the likelihood could still rise at most.
    """

    low: Floats
    high: Floats
    mass: Floats
    n: int
    steps: int
    gap: float

    @property
    def converged(self) -> bool:
        """Whether it is the likeliest one within what matters."""
        return self.gap <= SETTLED

    def share_after(self, time: float) -> tuple[float, float]:
        """Return the least and the greatest share that reach it after a time.

        They are equal unless the time lies within an innermost interval.
        """
        least, most = self.shares_after([time])
        return float(least[0]), float(most[0])

    def shares_after(self, times: ArrayLike) -> tuple[Floats, Floats]:
        """Return `share_after` of each of many times, shape (t,) each."""
        after = self.high > np.asarray(times, dtype=float)[:, None]
        certain = after & (self.low >= np.asarray(times, dtype=float)[:, None])
        least, most = (np.clip((one * self.mass).sum(axis=1), 0.0, 1.0) for one in (certain, after))
        return least, most

    @property
    def median(self) -> tuple[float, float]:
        """The ends between which the median lies; the upper one is infinite where it is open.

        That is what inspections leave open, and no confidence interval. Where exactly half have
        reached it from one innermost interval to the next, both belong to it.
        """
        reached = np.cumsum(self.mass)
        first = int(np.flatnonzero(reached >= 0.5 - ROUNDING)[0])
        last = int(np.flatnonzero(reached > 0.5 + ROUNDING)[0])
        return float(self.low[first]), float(self.high[last])


def turnbull(low: ArrayLike, high: ArrayLike) -> Turnbull:
    """Return the likeliest distribution of times of which each lies in an interval (low, high].

    Parameters
    ----------
    low
        The last time at which it had not happened, 0 or more, shape (n,).
    high
        The first time at which it had, shape (n,); infinite where it never had; equal to `low`
        for a time that is known exactly.

    Raises
    ------
    NotDeterminable
        If there is no interval.
    ValueError
        If an interval ends before it begins, or a time is negative or not a number.

    Examples
    --------
    Two of four reached it by 500 h, a third by 750 h, one never.

    >>> found = turnbull([0, 250, 500, 750], [250, 500, 750, float("inf")])
    >>> found.mass.round(6).tolist(), found.share_after(500), found.converged
    ([0.25, 0.25, 0.25, 0.25], (0.5, 0.5), True)
    """
    begins, ends = checked(low, high)
    counted = sorted(Counter(zip(begins.tolist(), ends.tolist(), strict=True)).items())
    pairs = np.array([pair for pair, _ in counted])
    inner = _innermost(pairs)
    within = _within(inner, pairs)
    mass, steps, gap = _likeliest(within, np.array([count for _, count in counted], dtype=float))
    some = mass > LEAST_MASS
    return Turnbull(
        low=inner[some, 0],
        high=inner[some, 1],
        mass=mass[some] / mass[some].sum(),
        n=len(begins),
        steps=steps,
        gap=gap,
    )


def checked(low: ArrayLike, high: ArrayLike) -> tuple[Floats, Floats]:
    """Return the ends as arrays of shape (n,).

    Raises
    ------
    NotDeterminable
        If there is no interval.
    ValueError
        If an interval ends before it begins, or a time is negative or not a number.
    """
    begins, ends = np.asarray(low, dtype=float), np.asarray(high, dtype=float)
    if begins.ndim != 1 or begins.shape != ends.shape:
        raise ValueError(f"expected two ends for each; {begins.shape} and {ends.shape}")
    if not len(begins):
        raise NotDeterminable("there is no panel")
    if not ((begins >= 0) & np.isfinite(begins) & (ends >= begins)).all():
        raise ValueError("expected intervals that begin at 0 or later and end no earlier")
    return begins, ends


def _keys(pair: Floats) -> tuple[tuple[float, int], tuple[float, int]]:
    """Return both ends so that they sort: at one time intervals end before others begin."""
    low, high = float(pair[0]), float(pair[1])
    return (low, EXACT if low == high else OPEN), (high, CLOSED)


def _innermost(pairs: Floats) -> Floats:
    """Return the intervals from a lower end to an upper end with no end between, shape (m, 2)."""
    ends = sorted({(*key, side) for pair in pairs for side, key in enumerate(_keys(pair))})
    return np.array(
        [(here[0], after[0]) for here, after in pairwise(ends) if here[2] == 0 and after[2] == 1]
    )


def _within(inner: Floats, pairs: Floats) -> Floats:
    """Return 1 where an innermost interval (columns) lies within one of the pairs (rows)."""
    keys = [_keys(pair) for pair in inner]
    rows = []
    for pair in pairs:
        begin, end = _keys(pair)
        rows.append([begin <= own_begin and own_end <= end for own_begin, own_end in keys])
    return np.array(rows, dtype=float)


def _likeliest(within: Floats, counts: Floats) -> tuple[Floats, int, float]:
    r"""Return the masses, the steps and the gap.

    ln L is concave in the masses, so that it is below its maximum by at most
    :math:`\max_j d_j - n` with :math:`d_j = \sum_i \alpha_{ij} / p_i` and p the probability of each
    panel's interval. A mass that goes to nothing does so ever more slowly: it is taken out, and put
    back if the likelihood without it would rise with it.
    """
    n, m = counts.sum(), within.shape[1]
    mass = np.full(m, 1 / m)
    small = min(SMALL, 1 / (m * n))  # no panel is left without: for it d would be above n
    steps = 0
    while True:
        kept = mass > 0
        mass[kept], taken = _steps(within[:, kept], counts, mass[kept])
        steps += taken
        slope = within.T @ (counts / (within @ mass))
        gap = max(float(slope.max() - n), 0.0)
        if gap <= SETTLED or steps >= MOST_STEPS:
            return mass, steps, gap
        if float(slope[kept].max() - n) <= SETTLED:
            mass[~kept & (slope > n)] = small
        else:
            mass[(mass < small) & (slope < n)] = 0.0
        mass /= mass.sum()


def _steps(within: Floats, counts: Floats, mass: Floats) -> tuple[Floats, int]:
    """Return the masses after a round of steps, and how many it took."""
    n = counts.sum()
    taken = 0
    while taken < ROUND:
        taken += 1
        slope = within.T @ (counts / (within @ mass))
        mass = mass * slope / n
        if slope.max() - n <= KEPT_SETTLED:
            break
    return mass, taken
