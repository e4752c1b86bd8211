"""One value that does not go with the others (Grubbs)."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import stdtrit

from tiecoat.evaluate.estimate import NotDeterminable

Floats: TypeAlias = NDArray[np.float64]

LEAST = 3  # values; the greatest distance of two from their mean is always the same
WRITTEN_DIGITS = 6  # significant digits that a reading may have been written with
SAME = 1e-9  # relative: two numbers that conversion of units made of one


@dataclass(frozen=True)
class Grubbs:
    """The value farthest from the mean: its position, its distance, and from where on it is odd.

    `statistic`, `least` and `critical` are in standard deviations; `least` is the smallest that the
    statistic can have been before the readings were rounded.
    """

    position: int
    statistic: float
    least: float
    critical: float

    @property
    def is_outlier(self) -> bool:
        """Whether it lies farther out than chance and rounding allow."""
        return self.least > self.critical


def grubbs(values: ArrayLike, level: float = 0.05, resolution: float | None = None) -> Grubbs:
    r"""Test whether the value farthest from the mean of all is an outlier, on either side.

    .. math:: G = \max_i |x_i - \bar x| / s

    Readings are rounded to the resolution of the instrument: two that agree may have differed by as
    much, and then s was larger. The value is an outlier only if G is above the limit for every set
    of numbers that round to these readings. Measured on normal samples of 3 to 10, rounded to a
    hundredth up to two of their standard deviations, chance made an outlier in 0 to 5 % (tests);
    without regard to rounding it did in up to 56 % of three.

    Validity: one outlier among values of a normal distribution. Two outliers can hide each other.

    Parameters
    ----------
    values
        Shape (n,).
    level
        How often chance alone may make an outlier, at most.
    resolution
        The step of the readings, in their unit; None: see `resolution_of`.

    Raises
    ------
    NotDeterminable
        Where there are fewer than three values, or all are equal.
    ValueError
        If a value is not finite.

    References
    ----------
    Grubbs, Ann. Math. Stat. 21 (1950) 27, and ISO 5725-2, clause 8.3.4, both from memory; statistic
    and limits as a public package prints them for the data of Tietjen and Moore. That G is least at
    a corner of what rounding leaves open, with the lesser readings of the others lowered and the
    greater raised, follows from s being convex in the values.

    Examples
    --------
    >>> grubbs([7.1, 7.3, 7.2, 7.4, 7.0, 3.0]).is_outlier, grubbs([7.0, 7.0, 7.1]).is_outlier
    (True, False)
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
    step = resolution_of(listed) if resolution is None else resolution
    least = _least_statistic(listed, position, step / 2)
    return Grubbs(position, float(away[position]) / deviation, least, critical(len(listed), level))


def resolution_of(values: ArrayLike) -> float:
    """Return the step to which readings were rounded, as far as they show it.

    The last decimal place of readings that have six digits or fewer; else, as where units were
    converted, the greatest step of which all differences are multiples, which may be too large;
    next to nothing where there is none.

    Examples
    --------
    >>> resolution_of([7.0, 7.25, 7.1]), resolution_of([150.0, 140.0])
    (0.01, 10.0)
    >>> mpa_per_psi = 0.006894757293168361
    >>> round(resolution_of([1000 * mpa_per_psi, 1010 * mpa_per_psi, 1040 * mpa_per_psi]), 6)
    0.068948
    """
    listed = np.unique(np.asarray(values, dtype=float))
    close = SAME * float(np.abs(listed).max(initial=0.0))
    for exponent in range(WRITTEN_DIGITS, -WRITTEN_DIGITS - 1, -1):
        step = 10.0**exponent
        if float(np.abs(listed - np.round(listed / step) * step).max()) <= close:
            digits = len(f"{float(np.abs(listed).max()) / step:.0f}")
            if digits <= WRITTEN_DIGITS:
                return step
    found = 0.0
    for gap in np.diff(listed).tolist():
        larger, smaller = max(found, gap), min(found, gap)
        while smaller > close:
            larger, smaller = smaller, abs(larger - smaller * round(larger / smaller))
        found = larger
    return found if found > close else 0.0


def _least_statistic(values: Floats, position: int, half_step: float) -> float:
    """Return the least G that values within half a step of these can have."""
    others = np.sort(np.delete(values, position))
    side = 1.0 if values[position] > values.mean() else -1.0
    raised = np.tri(len(others) + 1, len(others), -1)  # of each row so many more are lowered
    moved = others + half_step * (1 - 2 * raised)
    nearer = np.full((len(moved), 1), values[position] - side * half_step)
    together = np.hstack([moved, nearer])
    away = side * (nearer[:, 0] - together.mean(axis=1))
    deviation = together.std(axis=1, ddof=1)
    return max(float((away / np.where(deviation > 0, deviation, np.inf)).min()), 0.0)


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
