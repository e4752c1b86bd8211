"""Scribes on the photograph of a panel: long, thin, straight, and darker than the coating."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from skimage.transform import hough_line, hough_line_peaks

from tiecoat.picture.panel import Field
from tiecoat.picture.regions import Mask

SIDE_PX = 400  # scribes are sought on a picture shrunk to about this shorter side of the panel
WIDEST = 0.03  # of the shorter side of the panel
LEAST_LENGTH = 0.4  # of the shorter side
LEAST_DARKER = 6.0  # in lightness L*
LEAST_COVERED = 0.85  # of its length must be dark
# of that may be dark on either side: mottled rust is dark all over. Of 40 invented mottled panels
# none had a false scribe, and of 40 scribed ones two were missed, one being too short
MOST_BESIDE = 0.45
BESIDE = (1.0, 1.5, 2.2)  # where that is looked at, on each side, in widths
MOST = 4
NEAR_PX = 2.0  # from the line, on the shrunk picture: a scribe is not drawn with a ruler's edge
ANGLES = np.linspace(-np.pi / 2, np.pi / 2, 360, endpoint=False)


@dataclass(frozen=True)
class Scribe:
    """A straight line on the picture, its ends in pixels."""

    row_from: float
    column_from: float
    row_to: float
    column_to: float

    @property
    def length_px(self) -> float:
        """From end to end."""
        return math.hypot(self.row_to - self.row_from, self.column_to - self.column_from)

    def distance_px(self, rows: NDArray[np.float32], columns: NDArray[np.float32]) -> Field:
        """Return the distance of points from the line between its ends."""
        length = max(self.length_px, 1e-9)
        down, right = (
            (self.row_to - self.row_from) / length,
            (self.column_to - self.column_from) / length,
        )
        off_row, off_column = (
            rows - np.float32(self.row_from),
            columns - np.float32(self.column_from),
        )
        along = np.clip(off_row * np.float32(down) + off_column * np.float32(right), 0, length)
        return np.hypot(
            off_row - along * np.float32(down), off_column - along * np.float32(right)
        ).astype(np.float32)


def find_scribes(lightness: Field, panel: Mask, shorter_px: float) -> tuple[Scribe, ...]:
    """Return the scribes of a panel, the longest-voted first, at most four.

    What is thin and dark is what a closing of the lightness fills (black top-hat). A line is a
    peak of its Hough transform; its longest run of dark pixels, with small gaps closed, must be
    long enough, and what runs beside it much less dark.

    Parameters
    ----------
    lightness
        L* of CIELAB, shape (rows, columns).
    panel
        The panel without its very edge, same shape.
    shorter_px
        Shorter side of the panel.

    References
    ----------
    Duda and Hart, Commun. ACM 15 (1972) 11, for the transform (from memory).
    """
    block = max(1, round(shorter_px / SIDE_PX))
    small, inside, shorter = (
        _shrunk(lightness, block),
        _shrunk_mask(panel, block),
        shorter_px / block,
    )
    if shorter < 40 or not inside.any():
        return ()
    filled = np.where(inside, small, np.float32(np.median(small[inside])))
    width = 2 * max(2, round(WIDEST * shorter / 2)) + 1
    hat = ndimage.black_tophat(ndimage.gaussian_filter(filled, 0.7), size=(width, width))
    noise = float(np.median(hat[inside])) / 0.6745
    dark = inside & (hat > max(LEAST_DARKER, 4 * noise))
    scribes: list[Scribe] = []
    left = dark.copy()
    for _ in range(MOST):
        one = _best(left, dark, inside, shorter)
        if one is None:
            break
        rows, columns = (axis.astype(np.float32) for axis in np.nonzero(left))
        near = one.distance_px(rows, columns) <= 3 * NEAR_PX
        left[rows[near].astype(int), columns[near].astype(int)] = False
        scribes.append(one)
    return tuple(_enlarged(one, block) for one in scribes)


def _best(left: Mask, dark: Mask, inside: Mask, shorter: float) -> Scribe | None:
    """Return the line of most dark pixels that is long enough; None if there is none."""
    least_length, apart = LEAST_LENGTH * shorter, WIDEST * shorter / 2 + NEAR_PX + 1
    if left.sum() < least_length * LEAST_COVERED:
        return None
    near = ndimage.maximum_filter(dark, 2 * math.ceil(NEAR_PX) + 1)
    votes, angles, offsets = hough_line(left, ANGLES)
    peaks = hough_line_peaks(votes, angles, offsets, num_peaks=6, threshold=0.5 * least_length)
    for _, angle, offset in zip(*peaks, strict=True):
        one = _run(near, inside, float(angle), float(offset))
        if one is None or one.length_px < least_length:
            continue
        beside = [
            np.mean([_share_dark(near, one, side * place * apart) for place in BESIDE])
            for side in (-1, 1)
        ]
        if max(beside) <= MOST_BESIDE * _share_dark(near, one, 0):
            return one
    return None


def _run(near: Mask, inside: Mask, angle: float, offset: float) -> Scribe | None:
    """Return the longest stretch of a line along which most is dark."""
    reach = math.hypot(*near.shape)
    along = np.arange(-reach, reach)
    column = offset * math.cos(angle) - along * math.sin(angle)
    row = offset * math.sin(angle) + along * math.cos(angle)
    r, c = np.rint(row).astype(int), np.rint(column).astype(int)
    valid = (r >= 0) & (c >= 0) & (r < near.shape[0]) & (c < near.shape[1])
    hit = np.zeros(len(along), dtype=bool)
    hit[valid] = near[r[valid], c[valid]] & inside[r[valid], c[valid]]
    gap = 1 + 2 * round(0.02 * min(near.shape))
    closed = ndimage.binary_closing(hit, np.ones(gap))
    labels, count = ndimage.label(closed)
    if not count:
        return None
    longest = np.flatnonzero(labels == 1 + np.argmax(np.bincount(labels)[1:]))
    if hit[longest].mean() < LEAST_COVERED:
        return None
    first, last = longest[0], longest[-1]
    return Scribe(float(row[first]), float(column[first]), float(row[last]), float(column[last]))


def _share_dark(near: Mask, one: Scribe, apart: float) -> float:
    """Return how much of a line is dark that runs beside a scribe at this distance."""
    steps = max(2, round(one.length_px))
    down, right = one.row_to - one.row_from, one.column_to - one.column_from
    rows = np.linspace(one.row_from, one.row_to, steps) + apart * right / one.length_px
    columns = np.linspace(one.column_from, one.column_to, steps) - apart * down / one.length_px
    r, c = np.rint(rows).astype(int), np.rint(columns).astype(int)
    valid = (r >= 0) & (c >= 0) & (r < near.shape[0]) & (c < near.shape[1])
    return float(near[r[valid], c[valid]].mean()) if valid.any() else 0.0


def _enlarged(one: Scribe, block: int) -> Scribe:
    middle = (block - 1) / 2
    places = (one.row_from, one.column_from, one.row_to, one.column_to)
    return Scribe(*(block * place + middle for place in places))


def _shrunk(field: Field, block: int) -> Field:
    rows, columns = (side // block for side in field.shape)
    trimmed = field[: rows * block, : columns * block]
    blocks = trimmed.reshape(rows, block, columns, block)
    return np.asarray(blocks.mean(axis=(1, 3), dtype=np.float32))


def _shrunk_mask(mask: Mask, block: int) -> Mask:
    rows, columns = (side // block for side in mask.shape)
    trimmed = mask[: rows * block, : columns * block]
    return np.asarray(trimmed.reshape(rows, block, columns, block).all(axis=(1, 3)))
