"""In which steps values were read, and what uncertainty that leaves."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from tiecoat.evaluate.grouping import Floats, RowGroups

TOLERANCE = 1e-6  # of a step: what is off by less is a multiple of it
DIGITS = tuple(10.0**power for power in range(2, -7, -1))


def step_of(values: ArrayLike, steps: Sequence[float] = DIGITS) -> float:
    """Return the largest step of which all values are multiples, else the smallest one.

    Parameters
    ----------
    values
        As they were read, shape (n,).
    steps
        Those that are tried, falling: by default whole digits.

    Examples
    --------
    >>> step_of([1.402, 1.41, 1.4])
    0.001
    """
    read = np.asarray(values, dtype=float)
    return next((one for one in steps if _are_multiples(read / one)), steps[-1])


def steps_of(values: Floats, groups: RowGroups) -> Floats:
    """Return `step_of` of each of several groups of values, none of which is empty.

    Parameters
    ----------
    values
        Shape (n,).
    groups
        To which group each belongs.

    Examples
    --------
    >>> steps_of(np.array([60.0, 61.0, 1.4, 1.42]), RowGroups(np.array([0, 0, 1, 1]), 2)).tolist()
    [1.0, 0.01]
    """
    found = np.full(groups.count, DIGITS[-1])
    for one in reversed(DIGITS):
        counts = values / one
        found[groups.most(np.abs(counts - np.round(counts))) <= TOLERANCE] = one
    return found


def _are_multiples(counts: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> bool:
    return bool(np.allclose(counts, np.round(counts), rtol=0, atol=TOLERANCE))


def rounding_error(step: float) -> float:
    """Return the standard uncertainty of a reading by its rounding alone.

    That of a rectangle as wide as the step, which is step / sqrt(12) (the GUM, F.2.2.1; from
    memory). Readings that are equal share it: their mean has it too.

    Examples
    --------
    >>> round(rounding_error(0.001), 6)
    0.000289
    """
    return step / math.sqrt(12)
