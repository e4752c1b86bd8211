"""The least number of panels by other programs: statsmodels, and scipy where there are several."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from scipy.optimize import brentq
from scipy.stats import multivariate_t, nct
from statsmodels.stats.power import TTestIndPower, TTestPower

POWER = 0.8


def least(power: Callable[[int], float]) -> int:
    """Return the first number of panels with enough power, tried one after the other."""
    return next(n for n in range(2, 1001) if power(n) >= POWER)


def against_a_control(margin: float, deviation: float, *, both_sides: bool = False) -> int:
    """Return the number for one candidate: the t test of two samples, one-sided 2.5 %."""

    def power(n: int) -> float:
        alone = TTestIndPower().power(margin / deviation, n, 0.025, alternative="larger")
        return float(2 * alone - 1 if both_sides else alone)

    return least(power)


def against_a_number(margin: float, deviation: float, comparisons: int = 1) -> int:
    """Return the number for both ends inside about a known target: the t test of one sample."""
    alpha = (1 - 0.95 ** (1 / comparisons)) / 2  # Sidak

    def power(n: int) -> float:
        return float(2 * TTestPower().power(margin / deviation, n, alpha, alternative="larger") - 1)

    return least(power)


def power_of_two_candidates(panels: int, margin: float, deviation: float) -> float:
    """Return the power for two candidates: Dunnett's limit is where scipy's bivariate t has 95 %.

    Two t values that share a control of as many panels have a correlation of one half.
    """
    freedom = 3 * (panels - 1)
    together = multivariate_t([0, 0], [[1, 0.5], [0.5, 1]], df=freedom, seed=1)

    def beyond(limit: float) -> float:
        ends = np.full(2, limit)
        return float(together.cdf(ends, lower_limit=-ends, random_state=1)) - 0.95

    limit = brentq(beyond, 1.5, 6.0)
    return float(nct.sf(limit, freedom, margin / (deviation * math.sqrt(2 / panels))))
