r"""Whether courses over time are straight: one that is not has no slope.

Several courses of one kind, such as the panels of a batch, are told apart from a line by what they
have in common. With the residuals :math:`e_{ij}` of m courses i, each from its own line, at the
same k times j,

.. math:: F = \frac{m \sum_j \bar e_j^2 / (k - 2)}
    {\sum_{ij} (e_{ij} - \bar e_j)^2 / \big((m - 1)(k - 2)\big)}

follows F with k - 2 and (m - 1)(k - 2) degrees where every course is straight and their errors are
independent, normal and of one size: the residuals of a course lie in a space of k - 2 dimensions,
in which its errors are the same in all directions. Any shape that the courses share raises it. A
single course is tested by its quadratic term (Student's t with k - 3 degrees), which sees a bend
and not every shape. Repeats of a spectrum are no yardstick: they know nothing of how a film differs
from day to day.

What is seen need not matter: a course counts as bent where it is off its line, from the furthest
above to the furthest below, by more than 1/6 of its fall, as one whose fall is twice as fast in one
half of the time as in the other, and by more than 0.05 decades (no source).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import fdtrc

from tiecoat.evaluate.impedance.panel_courses import exposures_together
from tiecoat.evaluate.impedance.spectra import Bools, Floats, Integers

LEVEL = 0.05
HOURS_PER_DAY = 24.0
SHARE_OF_FALL = 1 / 6
LEAST_OFF = 0.05
LEAST_POINTS = 3
ROUNDING = 1e-9  # decades: residuals below are those of binary numbers


@dataclass(frozen=True)
class Bends:
    """What was found of g groups.

    Parameters
    ----------
    tested
        (g,) whether there was enough to test.
    bent
        (g,) whether they are bent, beyond chance and by what matters.
    off
        (g,) largest distance from the line, in decades.
    """

    tested: Bools
    bent: Bools
    off: Floats


def common_bends(
    days: Floats, lg: Floats, unit: Integers, group_of_unit: Integers, groups: int
) -> Bends:
    """Return whether the courses of each group are bent alike.

    Parameters
    ----------
    days, lg, unit
        (r,) each: the points, and the number of the course that each belongs to.
    group_of_unit
        (u,) the group of each course. A group counts as not tested unless it has at least two
        courses of three or more points, all at the same times.
    """
    units = len(group_of_unit)
    off, slope = _off_own_line(days, lg, unit, units)
    group = group_of_unit[unit]
    cell = exposures_together(group, days * HOURS_PER_DAY)
    cells = int(cell.max(initial=-1)) + 1
    in_cell = np.bincount(cell, minlength=cells)
    of_cell = np.zeros(cells, dtype=np.int64)
    of_cell[cell] = group
    m = np.bincount(group_of_unit, np.bincount(unit, minlength=units) > 0, minlength=groups)
    k = np.bincount(of_cell, minlength=groups)
    alike = np.bincount(of_cell, in_cell != m[of_cell], minlength=groups) == 0
    tested = alike & (m >= 2) & (k >= LEAST_POINTS)
    mean = np.bincount(cell, off, minlength=cells) / np.maximum(in_cell, 1)
    common = np.bincount(of_cell, in_cell * mean**2, minlength=groups)
    squares = np.asarray((off - mean[cell]) ** 2, dtype=np.float64)
    own = np.asarray(np.bincount(group, squares, minlength=groups), dtype=np.float64)
    freedom = np.maximum(k - 2, 1).astype(np.float64)
    within = np.asarray(freedom * np.maximum(m - 1, 1), dtype=np.float64)
    first = np.asarray(freedom, dtype=np.float64)
    p = _chance(common / first, own, first, within)
    fall = _mean_fall(days, unit, slope, group_of_unit, groups)
    high, low = _ends(mean, of_cell, groups)
    return Bends(tested, tested & (p <= LEVEL) & _matters(high - low, fall), np.maximum(high, -low))


def own_bends(days: Floats, lg: Floats, unit: Integers, units: int) -> Bends:
    """Return whether each course is bent by itself, by its quadratic term; four points at least."""
    off, slope = _off_own_line(days, lg, unit, units)
    count = np.bincount(unit, minlength=units)
    square, _ = _off_own_line(days, days**2, unit, units)
    of_square = np.bincount(unit, square**2, minlength=units)
    product = np.bincount(unit, square * off, minlength=units)
    seen = product**2 / np.where(of_square > 0, of_square, np.nan)
    left = np.bincount(unit, off**2, minlength=units) - np.nan_to_num(seen)
    tested = (count >= LEAST_POINTS + 1) & (of_square > 0)
    one = np.ones(units)
    p = _chance(np.nan_to_num(seen), np.maximum(left, 0.0), one, np.maximum(count - 3, 1))
    fall = _mean_fall(days, unit, slope, np.arange(units), units)
    high, low = _ends(off, unit, units)
    return Bends(tested, tested & (p <= LEVEL) & _matters(high - low, fall), np.maximum(high, -low))


def _off_own_line(
    days: Floats, values: Floats, unit: Integers, units: int
) -> tuple[Floats, Floats]:
    """Return how far each point is off the line of its course, and the slopes."""
    count = np.maximum(np.bincount(unit, minlength=units), 1)
    x = days - (np.bincount(unit, days, minlength=units) / count)[unit]
    y = values - (np.bincount(unit, values, minlength=units) / count)[unit]
    sxx = np.bincount(unit, x**2, minlength=units)
    sxy = np.bincount(unit, x * y, minlength=units)
    slope = np.where(sxx > 0, sxy / np.where(sxx > 0, sxx, 1.0), 0.0)
    return y - slope[unit] * x, slope


def _mean_fall(
    days: Floats, unit: Integers, slope: Floats, group_of_unit: Integers, groups: int
) -> Floats:
    high, low = _ends(days, unit, len(slope))
    there = np.bincount(unit, minlength=len(slope)) > 0
    fall = np.where(there, slope * np.where(there, high - low, 0.0), 0.0)
    count = np.maximum(np.bincount(group_of_unit, there, minlength=groups), 1)
    return np.abs(np.bincount(group_of_unit, fall, minlength=groups) / count)


def _ends(values: Floats, group: Integers, groups: int) -> tuple[Floats, Floats]:
    high, low = np.full(groups, -np.inf), np.full(groups, np.inf)
    np.maximum.at(high, group, values)
    np.minimum.at(low, group, values)
    return high, low


def _chance(seen: Floats, own: Floats, first: Floats, second: Floats) -> Floats:
    scatter = np.maximum(own / second, ROUNDING**2)
    return np.asarray(fdtrc(first, second, seen / scatter))


def _matters(between: Floats, fall: Floats) -> Bools:
    return np.asarray(between > np.maximum(SHARE_OF_FALL * fall, LEAST_OFF))
