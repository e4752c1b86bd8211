"""One number for each of many groups: lines and means by least squares, all groups at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tiecoat.evaluate.impedance.repeated_spectra import t_factors
from tiecoat.evaluate.impedance.spectra import Bools, Floats, Integers


@dataclass(frozen=True)
class Estimates:
    """One number for each of k groups.

    Parameters
    ----------
    value
        (k,); NaN where there is none.
    standard_error, low, high
        (k,) of it; the interval is 95 %; NaN where the data leave none.
    n
        (k,) how many observations stand behind it.
    """

    value: Floats
    standard_error: Floats
    low: Floats
    high: Floats
    n: Integers

    def only(self, where: Bools) -> Estimates:
        """Return them with NaN where a condition does not hold; n stays."""
        kept = np.where(where, 1.0, np.nan)
        value, error, low, high = (
            one * kept for one in (self.value, self.standard_error, self.low, self.high)
        )
        return Estimates(value, error, low, high, self.n)


def decline(days: Floats, lg_modulus: Floats, group: Integers, groups: int) -> Estimates:
    """Return the fall of lg modulus per day of each group by least squares; positive = it falls.

    With x in days and y = lg|Z|: -slope = -Sxy / Sxx; s^2 = (Syy - Sxy^2 / Sxx) / (n - 2);
    standard error s / sqrt(Sxx); interval -+ t(0.975, n - 2) times it (ordinary linear regression,
    the same as scipy.stats.linregress). No value below two different times, no error below three
    points. Valid for a decline that is straight in lg|Z| over time, with independent normal errors
    of one size.

    Parameters
    ----------
    days, lg_modulus, group
        (n,) each; NaN does not count; group is 0 to groups - 1.

    Examples
    --------
    >>> found = decline(np.array([0.0, 1, 2]), np.array([9.0, 8.5, 8]), np.zeros(3, int), 1)
    >>> print(found.value)
    [0.5]
    """
    good = np.isfinite(days) & np.isfinite(lg_modulus)
    x, y, of = days[good], lg_modulus[good], group[good]

    def total(values: Floats) -> Floats:
        return np.bincount(of, values, minlength=groups).astype(np.float64)

    points = np.bincount(of, minlength=groups).astype(np.int64)
    weight = np.maximum(points, 1)
    dx, dy = x - (total(x) / weight)[of], y - (total(y) / weight)[of]
    sxx, sxy = total(dx**2), total(dx * dy)
    apart = sxx > 0
    slope = sxy / np.where(apart, sxx, np.nan)
    off = total((dy - np.where(apart, slope, 0.0)[of] * dx) ** 2)
    freedom = points - 2
    spread = np.sqrt(off / np.maximum(freedom, 1) / np.where(apart, sxx, np.nan))
    error = np.where(freedom > 0, spread, np.nan)
    half = t_factors(freedom) * error
    return Estimates(-slope, error, -slope - half, -slope + half, points)


def mean_of_groups(values: Floats, group: Integers, groups: int) -> Estimates:
    """Return mean, standard error s / sqrt(n) and 95 % t interval of each group of values.

    NaN does not count; a single value has no error.
    """
    good = np.isfinite(values)
    of = group[good]
    points = np.bincount(of, minlength=groups).astype(np.int64)
    mean = np.bincount(of, values[good], minlength=groups) / np.where(points > 0, points, np.nan)
    off = np.bincount(of, (values[good] - mean[of]) ** 2, minlength=groups)
    several = points > 1
    error = np.where(
        several, np.sqrt(off / np.maximum(points - 1, 1) / np.maximum(points, 1)), np.nan
    )
    half = t_factors(points - 1) * error
    return Estimates(mean, error, mean - half, mean + half, points)
