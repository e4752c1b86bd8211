"""A number with its uncertainty, and the error for what cannot be determined."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtri, stdtrit

CERTAIN = math.inf  # degrees of freedom of an uncertainty that is stated, not estimated


class NotDeterminable(ValueError):
    """The data do not give this number; the message says why, for the chemist."""


@dataclass(frozen=True)
class Estimate:
    """A value, its standard error, the degrees of freedom behind that and the number of readings.

    The standard error is NaN where nothing is known of it.
    """

    value: float
    standard_error: float = math.nan
    freedom: float = CERTAIN
    n: int = 1

    @property
    def interval(self) -> tuple[float, float]:
        """The 95 % interval by Student's t; NaN where there is no standard error."""
        half = t_factor(self.freedom) * self.standard_error
        return self.value - half, self.value + half

    def times(self, factor: float) -> Estimate:
        """Return it in another unit: value and standard error times a factor."""
        return Estimate(
            self.value * factor, self.standard_error * abs(factor), self.freedom, self.n
        )

    def read_in_steps(self, rounding: float) -> Estimate:
        """Return it with the standard uncertainty by the steps of reading beside its own."""
        if not rounding:
            return self
        freedom = effective_freedom([(self.standard_error, self.freedom), (rounding, CERTAIN)])
        error = math.hypot(self.standard_error, rounding)
        return replace(self, standard_error=error, freedom=freedom)


@lru_cache(maxsize=1024)
def t_factor(freedom: float) -> float:
    """Return by how many standard errors the 95 % interval reaches to each side.

    Examples
    --------
    >>> round(t_factor(2), 3), round(t_factor(CERTAIN), 3)
    (4.303, 1.96)
    """
    return float(t_factors(freedom))


def t_factors(freedom: ArrayLike) -> NDArray[np.float64]:
    """Return `t_factor` of each of many degrees of freedom, in their shape; NaN of none."""
    known = np.asarray(freedom, dtype=float)
    return np.asarray(np.where(np.isinf(known), ndtri(0.975), stdtrit(known, 0.975)))


def effective_freedom(parts: Iterable[tuple[float, float]]) -> float:
    """Return the degrees of freedom of a sum of independent parts (Welch and Satterthwaite).

    .. math:: \\nu = \\frac{(\\sum u_i^2)^2}{\\sum u_i^4 / \\nu_i}

    Parameters
    ----------
    parts
        Standard uncertainty and degrees of freedom of each part.

    References
    ----------
    the GUM (edition in `standards`), equation G.2b (from memory).

    Examples
    --------
    >>> effective_freedom([(1.0, 4), (1.0, 4)]), effective_freedom([(1.0, CERTAIN)])
    (8.0, inf)
    """
    listed = list(parts)
    below = sum(u**4 / freedom for u, freedom in listed if not math.isinf(freedom))
    return sum(u**2 for u, _ in listed) ** 2 / below if below > 0 else CERTAIN


def mean_of(values: ArrayLike, stated: float = math.nan, rounding: float = 0.0) -> Estimate:
    """Return the mean of replicates with its standard error.

    .. math:: u^2 = s^2 / n + r^2, \\quad s^2 = \\sum (x_i - \\bar x)^2 / (n - 1)

    A single reading, and replicates that agree to the last digit and so tell nothing of their
    spread, have the stated standard uncertainty in place of s, not divided by the root of n. The
    rounding r stays however many there are: readings that scatter by less than a step share it.
    Those that are equal may scatter as much as it hides: s is r there, too.

    Parameters
    ----------
    values
        Shape (n,).
    stated
        Standard uncertainty of one reading, in the unit of the values; NaN if none is known.
    rounding
        Standard uncertainty by the steps in which they were read (`statistics.rounding`).

    Raises
    ------
    NotDeterminable
        If there is no value.

    References
    ----------
    the GUM (edition in `standards`), clauses 4.2 and F.2.2.1 (from memory).

    Examples
    --------
    >>> mean_of([1.0, 2.0, 3.0])
    Estimate(value=2.0, standard_error=0.5773502691896258, freedom=2, n=3)
    """
    readings = np.asarray(values, dtype=float)
    if not len(readings):
        raise NotDeterminable("there is no reading")
    mean = float(readings.mean())
    spread = float(readings.std(ddof=1)) if len(readings) > 1 else 0.0
    if spread <= 1e-12 * abs(mean):  # nothing but the rounding of binary numbers
        hidden = rounding / math.sqrt(len(readings)) if len(readings) > 1 else 0.0
        known = Estimate(mean, math.hypot(stated, hidden), CERTAIN, len(readings))
    else:
        error = spread / math.sqrt(len(readings))
        known = Estimate(mean, error, len(readings) - 1, len(readings))
    return known.read_in_steps(rounding)


def pooled(groups: Sequence[ArrayLike]) -> tuple[float, int]:
    """Return the standard deviation within groups, and its degrees of freedom.

    .. math:: s^2 = \\sum_j \\sum_i (x_{ij} - \\bar x_j)^2 / \\sum_j (n_j - 1)

    NaN and 0 where no group has two values.
    """
    arrays = [np.asarray(group, dtype=float) for group in groups]
    freedom = sum(max(len(one) - 1, 0) for one in arrays)
    if not freedom:
        return math.nan, 0
    squares = sum(float(((one - one.mean()) ** 2).sum()) for one in arrays if len(one))
    return math.sqrt(squares / freedom), freedom
