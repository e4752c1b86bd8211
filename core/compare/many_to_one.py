r"""Several candidates against one control: how far out their farthest t value lies by chance.

The t values share the control's mean and one pooled variance. Given these two they are independent
of each other, so that the chance is a double integral (Dunnett, J. Am. Stat. Assoc. 50 (1955)
1096, as in scipy and R, with which the tests compare, beside the printed tables):

.. math:: P(\max_i |T_i| \le c) = \int_0^\infty f_\nu(s) \int_{-\infty}^\infty \varphi(z)
    \prod_i \Big[ \Phi\Big(\frac{b_i z + c s}{\sqrt{1 - b_i^2}}\Big)
    - \Phi\Big(\frac{b_i z - c s}{\sqrt{1 - b_i^2}}\Big) \Big] \, dz \, ds

with :math:`b_i = \sqrt{n_i / (n_i + n_0)}`, so that :math:`b_i b_j` is the correlation of two of
them, and the density :math:`f_\nu` of :math:`\sqrt{\chi^2_\nu / \nu}`. It is computed by fixed
Gauss-Legendre rules, so that the same data always give the same digits; scipy.stats.dunnett draws
random numbers for it.
"""

from __future__ import annotations

import math
from collections import Counter
from functools import lru_cache

import numpy as np
from scipy.optimize import brentq
from scipy.special import chdtri, gammaln, ndtr, stdtr, stdtrit

from tiecoat.evaluate.statistics.censored_normal import Floats

CONFIDENCE = 0.95
NODES = 96
REACH = 8.5  # standard deviations; beyond lie 2e-17
TAIL = 1e-15  # of chi squared that is left out on each side
FARTHEST = 1e6  # where a critical value is looked for: one degree of freedom, 100 candidates


def chance_within(limit: float, sizes: tuple[int, ...], control_size: int, freedom: float) -> float:
    """Return the chance that no t value lies farther out than the limit, if none differs.

    Parameters
    ----------
    limit
        Of the absolute t values.
    sizes, control_size
        Panels of each candidate, and of the control.
    freedom
        Degrees of freedom of the pooled variance, above 0.

    Up to 15 times as many panels of a candidate as of the control it has nine digits, at 50 times
    five.

    Examples
    --------
    One candidate: Student's t, 2.7764 for four degrees of freedom.

    >>> round(chance_within(2.7764451, (3,), 3, 4), 6)
    0.95
    """
    if not limit > 0:
        return 0.0
    z, by_z, s, by_s = _rules(freedom)
    inside = np.ones((len(s), len(z)))
    for size, alike in Counter(sizes).items():
        load = math.sqrt(size / (size + control_size))
        rest = math.sqrt(control_size / (size + control_size))
        centre, half = load * z[None, :] / rest, limit * s[:, None] / rest
        inside *= (ndtr(centre + half) - ndtr(centre - half)) ** alike
    return min(1.0, float(by_s @ inside @ by_z))


@lru_cache(maxsize=64)
def _rules(freedom: float) -> tuple[Floats, Floats, Floats, Floats]:
    """Return nodes and weights, times the density, over z and over s."""
    x, w = np.polynomial.legendre.leggauss(NODES)
    z = REACH * x
    by_z = REACH * w * np.exp(-0.5 * z**2) / math.sqrt(2 * math.pi)
    low, high = (math.sqrt(chdtri(freedom, tail) / freedom) for tail in (1 - TAIL, TAIL))
    s = 0.5 * (high - low) * x + 0.5 * (high + low)
    log_density = (
        math.log(2)
        + 0.5 * freedom * math.log(freedom / 2)
        - gammaln(freedom / 2)
        + (freedom - 1) * np.log(s)
        - 0.5 * freedom * s**2
    )
    return z, by_z, s, 0.5 * (high - low) * w * np.exp(log_density)


def adjusted_p(t: float, sizes: tuple[int, ...], control_size: int, freedom: float) -> float:
    """Return the chance that the farthest of all t values lies as far out as this one.

    It lies between the p of the one comparison and that times their number, and is kept there
    where the integral has no more digits.

    Examples
    --------
    >>> round(adjusted_p(2.7764451, (3,), 3, 4), 6)
    0.05
    """
    alone = float(2 * stdtr(freedom, -abs(t)))
    together = 1 - chance_within(abs(t), sizes, control_size, freedom)
    return min(1.0, max(alone, min(together, len(sizes) * alone)))


@lru_cache(maxsize=4096)
def critical_value(sizes: tuple[int, ...], control_size: int, freedom: float) -> float:
    """Return the limit within which all t values lie with 95 %, two-sided.

    Parameters
    ----------
    sizes, control_size, freedom
        As for `chance_within`.

    Examples
    --------
    Two candidates, three panels each: the table of Dunnett (1955) has 2.86 for 6 degrees.

    >>> round(critical_value((3, 3), 3, 6), 2)
    2.86
    """
    least = float(stdtrit(freedom, 0.5 + CONFIDENCE / 2))
    if len(sizes) == 1:
        return least
    most = float(stdtrit(freedom, 1 - (1 - CONFIDENCE) / (2 * len(sizes)))) + 1e-9
    found: float = brentq(
        lambda limit: chance_within(limit, sizes, control_size, freedom) - CONFIDENCE,
        least * (1 - 1e-9),
        min(most, FARTHEST),
        xtol=1e-10,
        rtol=1e-12,
    )
    return found


def independent_p(p: float, comparisons: int) -> float:
    r"""Return the chance that the smallest of several independent p is as small as this one.

    .. math:: 1 - (1 - p)^k

    Under the positive dependence that a common control makes, it is on the safe side (Sidak,
    J. Am. Stat. Assoc. 62 (1967) 626; from memory).

    Examples
    --------
    >>> round(independent_p(0.05, 2), 4)
    0.0975
    """
    return 1.0 if p >= 1 else float(-math.expm1(comparisons * math.log1p(-p)))


def single_confidence(comparisons: int) -> float:
    """Return the confidence of each of several intervals that together have 95 % (Sidak).

    Examples
    --------
    >>> round(single_confidence(2), 5)
    0.97468
    """
    return float(CONFIDENCE ** (1 / comparisons))
