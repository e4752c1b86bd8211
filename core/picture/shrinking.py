"""A picture made smaller or larger, and with it what is drawn on it, which must not fade."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import distance_transform_edt

Pixels = NDArray[np.uint8]


def resized(
    plain: Pixels, marked: Pixels | None, rows: int, columns: int, pen_px: int = 1
) -> tuple[Pixels, Pixels | None]:
    """Return a picture in another size, and the same with the marks that are drawn on it.

    An outline of one pixel would vanish among the many that become one. So marks are told from the
    picture by comparing the two, and each small pixel with a mark in it has the mean colour of the
    mark alone.

    Parameters
    ----------
    plain
        Shape (m, n, 3).
    marked
        The same picture with lines drawn on it, of the same shape; None where there is none.
    rows, columns
        Of what is returned, at least 1 each.
    pen_px
        Width to which lines are widened there.

    Examples
    --------
    >>> plain = np.zeros((100, 100, 3), dtype=np.uint8)
    >>> marked = plain.copy()
    >>> marked[40] = (255, 0, 0)
    >>> _, small = resized(plain, marked, 10, 10)
    >>> small[4, 4].tolist(), small[5, 5].tolist()
    ([255, 0, 0], [0, 0, 0])
    """
    is_smaller = rows <= plain.shape[0] and columns <= plain.shape[1]
    way = Image.Resampling.BOX if is_smaller else Image.Resampling.BICUBIC
    small = np.asarray(Image.fromarray(plain).resize((columns, rows), way))
    if marked is None:
        return small, None
    is_mark = (plain != marked).any(axis=2)
    drawn = small.copy()
    if not is_mark.any():
        return small, drawn
    colours, there = _marks(marked, is_mark, rows, columns)
    if pen_px > 1:
        away, nearest = distance_transform_edt(~there, return_indices=True)
        colours, there = colours[nearest[0], nearest[1]], away <= pen_px / 2
    drawn[there] = colours[there]
    return small, drawn


def _marks(
    marked: Pixels, is_mark: NDArray[np.bool_], rows: int, columns: int
) -> tuple[Pixels, NDArray[np.bool_]]:
    """Return the mean colour of the marks in each pixel of another size, and where there is one."""
    high, wide = is_mark.shape
    if rows >= high and columns >= wide:  # each becomes several
        at = np.ix_(np.arange(rows) * high // rows, np.arange(columns) * wide // columns)
        return marked[at], is_mark[at]
    row, column = np.nonzero(is_mark)
    place = (row * rows // high) * columns + column * columns // wide
    count = np.bincount(place, minlength=rows * columns)
    sums = [np.bincount(place, one, minlength=rows * columns) for one in marked[row, column].T]
    mean = np.stack(sums, axis=1) / np.maximum(count, 1)[:, None]
    shape = (rows, columns)
    return np.round(mean).astype(np.uint8).reshape(*shape, 3), (count > 0).reshape(shape)
