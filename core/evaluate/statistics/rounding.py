"""In which steps values were read, and what uncertainty that leaves."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

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


def _are_multiples(counts: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> bool:
    return bool(np.allclose(counts, np.round(counts), rtol=0, atol=1e-6))


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
