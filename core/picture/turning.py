"""A position that a picture is always brought into, so that turning it changes no number.

Sums of floating-point numbers depend on their order, and so does a pixel that lies on a threshold.
The picture is therefore turned by a multiple of 90 degrees that only its content decides.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from tiecoat.picture.regions import Pixels


def turns_to_position(pixels: Pixels) -> int:
    """Return by how many quarter turns (`numpy.rot90`) the picture comes into its position.

    There it is no higher than wide, and its top left quarter is the brightest that this allows; at
    a tie the next quarters decide.

    Parameters
    ----------
    pixels
        Shape (rows, columns, 3).

    Examples
    --------
    >>> pixels = np.zeros((2, 4, 3), dtype=np.uint8)
    >>> pixels[1, 3] = 9
    >>> turns_to_position(pixels), turns_to_position(np.rot90(pixels, 2))
    (2, 0)
    """
    rows, columns = pixels.shape[:2]
    half, across = rows // 2, columns // 2
    quarters = np.zeros((2, 2), dtype=np.int64)
    for down, above in enumerate((slice(0, half), slice(rows - half, rows))):
        for right, left in enumerate((slice(0, across), slice(columns - across, columns))):
            quarters[down, right] = pixels[above, left].sum(dtype=np.int64)
    allowed = {True: (0, 1, 2, 3), rows < columns: (0, 2), rows > columns: (1, 3)}[True]
    return max(allowed, key=lambda turn: tuple(np.rot90(quarters, turn).ravel().tolist()))


def turned(array: NDArray[Any], turns: int) -> NDArray[Any]:
    """Return the array turned by quarter turns, contiguous in memory."""
    return np.ascontiguousarray(np.rot90(array, turns))


def turned_box(box_percent: tuple[float, ...], turns: int) -> tuple[float, ...]:
    """Return where a box lies after quarter turns: from, to across, from, to down, in %.

    Examples
    --------
    >>> turned_box((10, 20, 30, 90), 1), turned_box((10, 20, 30, 90), 2), turned_box((), 1)
    ((30, 90, 80, 90), (80, 90, 10, 70), ())
    """
    if not box_percent:
        return box_percent
    left, right, top, bottom = box_percent
    for _ in range(turns % 4):
        left, right, top, bottom = top, bottom, 100 - right, 100 - left
    return left, right, top, bottom
