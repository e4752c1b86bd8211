"""One value that does not go with the others (Grubbs)."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import stdtrit

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.grouping import Floats, RowGroups, Whole

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
    Grubbs, Ann. Math. Stat. 21 (1950) 27, as public packages have it; they print the statistic and
    limits for the data of Tietjen and Moore. ISO 5725-2, clause 8.3.4, from memory. That G is least
    at a corner of what rounding leaves open, with the lesser readings of the others lowered and the
    greater raised, follows from s being convex in the values.

    Examples
    --------
    >>> grubbs([7.1, 7.3, 7.2, 7.4, 7.0, 3.0]).is_outlier, grubbs([7.0, 7.0, 7.1]).is_outlier
    (True, False)
    """
    listed = np.asarray(values, dtype=float)
    found = grubbs_of(listed, RowGroups.whole(len(listed)), level, resolution)[0]
    if isinstance(found, NotDeterminable):
        raise found
    return found


def grubbs_of(
    values: Floats, groups: RowGroups, level: float = 0.05, resolution: float | None = None
) -> list[Grubbs | NotDeterminable]:
    """Return `grubbs` for each of many groups, or why it is not determinable.

    Parameters
    ----------
    values
        Shape (n,).
    groups
        The groups of values; the position of an outlier is that in its group.
    level, resolution
        As for `grubbs`.

    Raises
    ------
    ValueError
        If a value is not finite.
    """
    if not np.isfinite(values).all():
        raise ValueError("expected finite values")
    found: list[Grubbs | NotDeterminable] = [NotDeterminable()] * groups.count
    for which, positions in groups.by_size():
        tests = _of_one_size(values[positions], level, resolution)
        for place, one in zip(which.tolist(), tests, strict=True):
            found[place] = one
    return found


def _of_one_size(
    values: Floats, level: float, resolution: float | None
) -> Iterator[Grubbs | NotDeterminable]:
    """Test groups of one size: values of shape (groups, size)."""
    count, size = values.shape
    if size < LEAST:
        few = f"an outlier test needs at least {LEAST} values; found {size}"
        yield from (NotDeterminable(few) for _ in range(count))
        return
    away = np.abs(values - values.mean(axis=1)[:, None])
    deviation = values.std(axis=1, ddof=1)
    equal = deviation <= 1e-12 * np.abs(values).max(axis=1)  # nothing but rounding
    farthest = away.argmax(axis=1)
    steps = _resolutions(values) if resolution is None else np.full(count, resolution)
    statistic = away[np.arange(count), farthest] / np.where(equal, np.nan, deviation)
    columns = (farthest, statistic, _least_statistics(values, farthest, steps / 2), equal)
    limit = critical(size, level)
    for position, reached, least, alike in zip(*(one.tolist() for one in columns), strict=True):
        if alike:
            yield NotDeterminable("all values are equal")
        else:
            yield Grubbs(position, reached, least, limit)


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
    return float(_resolutions(np.asarray(values, dtype=float)[None])[0])


def _resolutions(values: Floats) -> Floats:
    """Return the `resolution_of` each row."""
    listed = np.sort(values, axis=1)
    most = np.abs(listed).max(axis=1)
    close = SAME * most
    found = np.zeros(len(listed))
    unknown = np.ones(len(listed), dtype=np.bool_)
    for exponent in range(WRITTEN_DIGITS, -WRITTEN_DIGITS - 1, -1):
        step = 10.0**exponent
        off = np.abs(listed - np.round(listed / step) * step).max(axis=1)
        written = unknown & (off <= close) & (np.round(most / step) < 10**WRITTEN_DIGITS)
        found[written] = step
        unknown &= ~written
    found[unknown] = _common_steps(np.diff(listed[unknown], axis=1), close[unknown])
    return found


def _common_steps(gaps: Floats, close: Floats) -> Floats:
    """Return the greatest step of which all gaps of a row are multiples (Euclid); 0 where none."""
    found = np.zeros(len(gaps))
    for gap in gaps.T:
        larger, smaller = np.maximum(found, gap), np.minimum(found, gap)
        while (more := smaller > close).any():
            times = np.round(larger[more] / smaller[more])
            rest = np.abs(larger[more] - smaller[more] * times)
            larger[more], smaller[more] = smaller[more], rest
        found = larger
    return np.where(found > close, found, 0.0)


def _least_statistics(values: Floats, farthest: Whole, half_step: Floats) -> Floats:
    """Return the least G of each row that values within half a step of these can have."""
    count, size = values.shape
    others = values[np.arange(size) != farthest[:, None]].reshape(count, size - 1)
    others = np.sort(others, axis=1)
    odd = values[np.arange(count), farthest]
    side = np.where(odd > values.mean(axis=1), 1.0, -1.0)
    raised = np.tri(size, size - 1, -1)  # of each row so many more are lowered
    moved = others[:, None, :] + half_step[:, None, None] * (1 - 2 * raised)
    nearer = np.broadcast_to((odd - side * half_step)[:, None, None], (count, size, 1))
    together = np.concatenate([moved, nearer], axis=2)
    away = side[:, None] * (nearer[:, :, 0] - together.mean(axis=2))
    deviation = together.std(axis=2, ddof=1)
    least: Floats = (away / np.where(deviation > 0, deviation, np.inf)).min(axis=1)
    return np.maximum(least, 0.0)


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
