r"""Two batches of which each has its own scatter: what the difference of their means is known by.

Welch's test (Biometrika 34 (1947) 28; from memory) refers the difference over its standard error to
Student's t, with the degrees of freedom of Satterthwaite (Biometrics 2 (1946) 110; from memory).
These are estimated too, and where few panels meet many they come out too high just when the few
happen to agree: with a control of ten and four candidates of three, 9 % of studies of equal paints
had a false difference. Here each variance weighs the more in them the less is known of it:

.. math:: \nu = \frac{(w_1 + w_2)^2}{w_1^2 / \nu_1 + w_2^2 / \nu_2}, \qquad w_i = u_i^2 / \nu_i

With as many panels on both sides that is Welch's test to the last digit. The weights are our own,
without a source: they were chosen among six by the rate of false differences, which
`chance_above` gives exactly for normal panels; the campaign of tests/campaign counts it: at most
4.6 % of 2,000 studies in each of 34 designs, of which DEVELOPERS.md has the table.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from scipy.special import betaincinv, nctdtr, stdtr, stdtrit

from tiecoat.evaluate.estimate import CERTAIN
from tiecoat.evaluate.statistics.censored_normal import Floats

KNOWN_WELL = 30.0  # degrees of freedom, above which a variance is weighed as one that is known
MOST_FREEDOM = 1e9  # as good as infinite, and a number for the t distribution
NODES = 96


def freedom_of_two(first: tuple[float, float], second: tuple[float, float]) -> float:
    """Return the degrees of freedom of a difference, from two standard errors with theirs.

    A standard error of 0 leaves the degrees of the other one.

    Examples
    --------
    >>> freedom_of_two((1.0, 4), (1.0, 4)), freedom_of_two((1.0, 2), (0.0, CERTAIN))
    (8.0, 2.0)
    >>> round(freedom_of_two((3**-0.5, 2), (10**-0.5, 9)), 2)  # Satterthwaite's are 3.3
    2.27
    """
    unit = max(first[0], second[0])
    if not unit > 0:
        return CERTAIN
    weights = [(u / unit) ** 2 / min(freedom, KNOWN_WELL) for u, freedom in (first, second)]
    below = sum(
        w**2 / of[1] for w, of in zip(weights, (first, second), strict=True) if of[1] < CERTAIN
    )
    return sum(weights) ** 2 / below if below > 0 else CERTAIN


def chance_above(
    away: float, confidence: float, sizes: tuple[int, int], deviations: tuple[float, float]
) -> float:
    r"""Return the chance that a difference lies beyond its critical value, on one side.

    With the share :math:`B` of the first in the sum of both scaled sums of squares, which is
    beta distributed, the statistic is noncentral t with all :math:`\nu_1 + \nu_2` degrees times a
    factor that depends on B alone; so does the critical value. The chance is the mean over B.

    Parameters
    ----------
    away
        The true difference in its true standard errors; 0 gives half the false differences.
    confidence
        Of the interval, two-sided.
    sizes, deviations
        Panels, at least two, and true standard deviation of both batches.

    Examples
    --------
    Two equal batches of three, two-sided 95 %: Welch's test is on the safe side there.

    >>> round(2 * chance_above(0.0, 0.95, (3, 3), (1.0, 1.0)), 4)
    0.0351
    """
    freedoms = [size - 1 for size in sizes]
    variances = [s**2 / size for s, size in zip(deviations, sizes, strict=True)]
    share, weights = _shares(*freedoms)
    parts = [
        variance / sum(variances) * of * sum(freedoms) / freedom
        for variance, of, freedom in zip(variances, (share, 1 - share), freedoms, strict=True)
    ]
    w = [part / min(freedom, KNOWN_WELL) for part, freedom in zip(parts, freedoms, strict=True)]
    freedom = (w[0] + w[1]) ** 2 / (w[0] ** 2 / freedoms[0] + w[1] ** 2 / freedoms[1])
    critical = stdtrit(freedom, 0.5 + confidence / 2) * np.sqrt(parts[0] + parts[1])
    total = float(sum(freedoms))
    return float(weights @ (1 - nctdtr(total, away, critical)))


@lru_cache(maxsize=256)
def _shares(first: int, second: int) -> tuple[Floats, Floats]:
    """Return nodes of the share of the first in both sums of squares, and their weights."""
    x, w = np.polynomial.legendre.leggauss(NODES)
    return np.asarray(betaincinv(first / 2, second / 2, 0.5 * (x + 1))), 0.5 * w


def two_sided_p(statistic: float, freedom: float) -> float:
    """Return the chance that Student's t lies as far out on either side.

    Examples
    --------
    >>> round(two_sided_p(2.7764451, 4), 6), round(two_sided_p(-1.9599640, CERTAIN), 6)
    (0.05, 0.05)
    """
    return float(2 * stdtr(min(freedom, MOST_FREEDOM), -abs(statistic)))


def limit_of(confidence: float, freedom: float) -> float:
    """Return by how many standard errors an interval of Student's t reaches to each side.

    Examples
    --------
    >>> round(limit_of(0.95, 4), 4)
    2.7764
    """
    return float(stdtrit(min(freedom, MOST_FREEDOM), 0.5 + confidence / 2))
