r"""Rank correlation of two results with its interval.

Spearman's coefficient :math:`r_s` (scipy.stats.spearmanr) with the interval of Bonett and Wright
(Psychometrika 65 (2000) 23; from memory):

.. math:: \tanh\Big(\operatorname{artanh} r_s \pm z_{0.975}
    \sqrt{\frac{1 + r_s^2 / 2}{n - 3}}\Big)

It is of pairs that are independent of each other. How often it holds the true coefficient was
simulated: tests/compare/test_what_goes_together.py.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.statistics.fit_statistics import Floats

LEAST = 5  # pairs: with four even the same order of all is no sign (p 0.08)
METHOD = "Spearman, interval: Bonett and Wright"


@dataclass(frozen=True)
class RankCorrelation:
    """A rank correlation with its 95 % interval, and of how many pairs it is."""

    value: float
    low: float
    high: float
    n: int


def rank_correlation(first: Floats, second: Floats, levels: int = 1) -> RankCorrelation:
    """Return Spearman's rank correlation with its 95 % interval.

    Where all ranks agree, the method has no interval: its end towards 0 is then that of the next
    lower coefficient, with two neighbours exchanged.

    Parameters
    ----------
    first, second
        Shape (n,) both, without NaN.
    levels
        How many means were taken off the values before; each but the first costs a pair.

    Raises
    ------
    NotDeterminable
        If fewer than five pairs are left, or all values of one side are equal.

    Examples
    --------
    >>> found = rank_correlation(np.array([1.0, 2, 3, 4, 5, 6]), np.array([1.0, 2, 3, 4, 6, 5]))
    >>> round(found.value, 3), round(found.low, 2), found.n
    (0.943, 0.38, 6)
    """
    from scipy.stats import spearmanr

    n = len(first)
    count = n - (levels - 1)
    if count < LEAST:
        raise NotDeterminable(f"{count} pairs are too few: it takes {LEAST}")
    if np.ptp(first) == 0 or np.ptp(second) == 0:
        raise NotDeterminable("all values of one of the two are equal")
    value = float(spearmanr(first, second).statistic)
    next_lower = 1 - 12 / (n * (n * n - 1))  # two neighbours exchanged
    inner = math.copysign(min(abs(value), next_lower), value)
    half = float(ndtri(0.975)) * math.sqrt((1 + inner * inner / 2) / (count - 3))
    low, high = math.tanh(math.atanh(inner) - half), math.tanh(math.atanh(inner) + half)
    if abs(value) > next_lower:
        low, high = (low, 1.0) if value > 0 else (-1.0, high)
    return RankCorrelation(value, low, high, n)
