"""Counted events over an area: the rate with its exact interval, and whether panels agree."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import chdtrc, chdtri

from tiecoat.evaluate.estimate import CERTAIN, Estimate, NotDeterminable


def rate(counts: ArrayLike, areas: ArrayLike) -> tuple[Estimate, tuple[float, float]]:
    r"""Return events for each unit of area, with the exact 95 % Poisson interval (Garwood).

    .. math:: \lambda = \frac{N}{A}, \quad N = \sum c_i, \; A = \sum a_i, \qquad
        \frac{\chi^2_{0.025}(2N)}{2A} \le \lambda \le \frac{\chi^2_{0.975}(2N + 2)}{2A}

    with quantiles of chi-squared; the lower end is 0 for N = 0. The standard error is
    :math:`\sqrt N / A`, NaN for N = 0. It holds for events that are independent of each other.

    Parameters
    ----------
    counts, areas
        Of each photograph, shape (n,).

    Raises
    ------
    ValueError
        If a count is below 0 or an area is not above 0.

    References
    ----------
    Garwood, Biometrika 28 (1936) 437 (from memory; the tests compare with statsmodels).

    Examples
    --------
    >>> found, (low, high) = rate([3, 7], [1.0, 1.0])
    >>> found.value, round(low, 3), round(high, 3)
    (5.0, 2.398, 9.195)
    """
    events, area = np.asarray(counts, dtype=float), np.asarray(areas, dtype=float)
    if not ((events >= 0).all() and (area > 0).all() and len(events)):
        raise ValueError("expected counts of at least 0 and areas above 0")
    number, total = float(events.sum()), float(area.sum())
    low = chdtri(2 * number, 0.975) / 2 if number else 0.0
    high = chdtri(2 * number + 2, 0.025) / 2
    error = math.sqrt(number) / total if number else math.nan
    return (
        Estimate(number / total, error, CERTAIN, len(events)),
        (float(low / total), float(high / total)),
    )


def dispersion(counts: ArrayLike, areas: ArrayLike) -> tuple[float, float]:
    r"""Return how much more counts differ than independent events do, and the chance of that.

    .. math:: \frac{X^2}{k - 1}, \qquad X^2 = \sum_i \frac{(c_i - \lambda a_i)^2}{\lambda a_i},
        \qquad p = P(\chi^2_{k-1} \ge X^2)

    About 1 for independent events; p is a small chance where panels differ. With fewer than about
    five expected events a panel, p is a rough number.

    Parameters
    ----------
    counts, areas
        Of each panel, shape (k,).

    Raises
    ------
    NotDeterminable
        For fewer than two panels, and without any event.

    References
    ----------
    Fisher, Thornton and Mackenzie, Ann. Appl. Biol. 9 (1922) 325 (from memory).

    Examples
    --------
    >>> value, chance = dispersion([2, 8], [1.0, 1.0])
    >>> value, round(chance, 3)
    (3.6, 0.058)
    """
    events, area = np.asarray(counts, dtype=float), np.asarray(areas, dtype=float)
    if len(events) < 2:
        raise NotDeterminable("one panel does not differ from others")
    if not events.sum():
        raise NotDeterminable("nothing was counted")
    expected = events.sum() * area / area.sum()
    square = float(((events - expected) ** 2 / expected).sum())
    freedom = len(events) - 1
    return square / freedom, float(chdtrc(freedom, square))
