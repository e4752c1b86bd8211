"""One value that does not go with the others (Grubbs)."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import stdtrit

from tiecoat.evaluate.estimate import NotDeterminable

LEAST = 3  # values; the greatest distance of two from their mean is always the same


@dataclass(frozen=True)
class Grubbs:
    """The value farthest from the mean: its position, its distance, and from where on it is odd.

    `statistic` and `critical` are in standard deviations.
    """

    position: int
    statistic: float
    critical: float

    @property
    def is_outlier(self) -> bool:
        """Whether it lies farther out than chance allows."""
        return self.statistic > self.critical


def grubbs(values: ArrayLike, level: float = 0.05) -> Grubbs:
    r"""Test whether the value farthest from the mean of all is an outlier, on either side.

    .. math:: G = \max_i |x_i - \bar x| / s

    Validity: one outlier among values of a normal distribution. Two outliers can hide each other.

    Parameters
    ----------
    values
        Shape (n,).
    level
        How often chance alone may make an outlier.

    Raises
    ------
    NotDeterminable
        Where there are fewer than three values, or all are equal.
    ValueError
        If a value is not finite.

    References
    ----------
    Grubbs, Ann. Math. Stat. 21 (1950) 27; ISO 5725-2:2019, clause 8.3.4 (both from memory).

    Examples
    --------
    >>> grubbs([7.1, 7.3, 7.2, 7.4, 7.0, 3.0]).is_outlier
    True
    """
    listed = np.asarray(values, dtype=float)
    if not np.isfinite(listed).all():
        raise ValueError("expected finite values")
    if len(listed) < LEAST:
        raise NotDeterminable(f"an outlier test needs at least {LEAST} values; found {len(listed)}")
    away = np.abs(listed - listed.mean())
    deviation = float(listed.std(ddof=1))
    if deviation <= 1e-12 * float(np.abs(listed).max()):  # nothing but rounding
        raise NotDeterminable("all values are equal")
    position = int(away.argmax())
    return Grubbs(position, float(away[position]) / deviation, critical(len(listed), level))


def critical(n: int, level: float = 0.05) -> float:
    r"""Return the value of Grubbs' G above which the farthest of n values is an outlier.

    .. math:: G = \frac{n-1}{\sqrt n} \sqrt{\frac{t^2}{n - 2 + t^2}}

    with Student's t for n - 2 degrees of freedom, exceeded with probability level / (2 n).
    Two-sided: the table for one side gives this at half the level.

    Raises
    ------
    NotDeterminable
        Where n is below three.
    ValueError
        If the level is not between 0 and 1.

    Examples
    --------
    >>> round(critical(6), 3), round(critical(6, 0.01), 3)
    (1.887, 1.973)
    """
    if n < LEAST:
        raise NotDeterminable(f"an outlier test needs at least {LEAST} values; found {n}")
    if not 0 < level < 1:
        raise ValueError(f"level is {level}; expected between 0 and 1")
    t_squared = float(stdtrit(n - 2, 1 - level / (2 * n))) ** 2
    return (n - 1) / math.sqrt(n) * math.sqrt(t_squared / (n - 2 + t_squared))
