"""Regions of a picture as a table, and pictures that show which regions were counted.

Pixels have their centre at whole numbers, row 0 and column 0 at the top left.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont
from scipy import ndimage
from skimage.measure import label

Labels = NDArray[np.int32]
Mask = NDArray[np.bool_]
Pixels = NDArray[np.uint8]
Floats = NDArray[np.float64]
Colour = tuple[int, int, int]

# Told apart by the colour-blind: Okabe and Ito, "Color Universal Design", 2008, as in R.
ORANGE: Final = (230, 159, 0)
SKY: Final = (86, 180, 233)
YELLOW: Final = (240, 228, 66)
BLUE: Final = (0, 114, 178)
PURPLE: Final = (204, 121, 167)

_EIGHT = np.ones((3, 3), dtype=bool)


@dataclass(frozen=True)
class Regions:
    """A row for each region, shape (n,) each; region k of the table is k + 1 in the labels.

    Parameters
    ----------
    area_px
        How many pixels.
    row, column
        Of the centroid.
    diameter_px
        Of the circle of equal area.
    eccentricity
        Of the ellipse with the same second moments: 0 is round, towards 1 a line.
    """

    area_px: Floats
    row: Floats
    column: Floats
    diameter_px: Floats
    eccentricity: Floats

    def __len__(self) -> int:
        return len(self.area_px)


def labelled(mask: Mask, smallest_px: int = 1) -> Labels:
    """Number the connected regions of a mask (8 neighbours) from 1, those below a size left out.

    Parameters
    ----------
    mask
        Shape (rows, columns).
    smallest_px
        Least number of pixels of a region.

    Examples
    --------
    >>> mask = np.zeros((5, 6), dtype=bool)
    >>> mask[1:3, 1:3] = mask[4, 5] = True
    >>> labels = labelled(mask, smallest_px=2)
    >>> regions = measured(labels)
    >>> int(labels.max()), regions.area_px, regions.row, regions.column
    (1, array([4.]), array([1.5]), array([1.5]))
    """
    labels = np.asarray(label(mask, connectivity=2), dtype=np.int32)
    sizes = np.bincount(labels.ravel())
    return renumbered(labels, np.flatnonzero(sizes >= max(smallest_px, 1)))


def renumbered(labels: Labels, kept: NDArray[Any]) -> Labels:
    """Keep some regions, by their numbers, and number them from 1 without gaps."""
    chosen = np.zeros(int(labels.max(initial=0)) + 1, dtype=bool)
    chosen[kept] = True
    chosen[0] = False
    numbers = np.where(chosen, np.cumsum(chosen), 0).astype(np.int32)
    return np.asarray(numbers[labels])


def measured(labels: Labels) -> Regions:
    r"""Return the table of regions that are labelled 1 to n without gaps.

    Eccentricity is :math:`\sqrt{1 - \lambda_2 / \lambda_1}` from the eigenvalues of the second
    central moments, 0 where both are 0. Sums over pixels, so that many thousands cost no more than
    a few; the tests compare it with `skimage.measure.regionprops_table`.
    """
    count = int(labels.max(initial=0))
    rows, columns = np.nonzero(labels)
    of = labels[rows, columns] - 1

    def sums(values: NDArray[Any] | None = None) -> Floats:
        return np.asarray(np.bincount(of, values, minlength=count), dtype=np.float64)

    area = sums()
    row, column = sums(rows) / area, sums(columns) / area
    down, right = rows - row[of], columns - column[of]
    a, b, c = (sums(product) / area for product in (down * down, down * right, right * right))
    half, root = (a + c) / 2, np.sqrt(b**2 + (a - c) ** 2 / 4)
    large = half + root
    share = np.divide(half - root, large, out=np.ones(count), where=large > 0)
    return Regions(
        area_px=area,
        row=row,
        column=column,
        diameter_px=np.sqrt(4 * area / np.pi),
        eccentricity=np.sqrt(np.clip(1 - share, 0, 1)),
    )


def touching(labels: Labels, area: Mask, reach_px: int = 1) -> Mask:
    """Say of each region whether an area lies next to it, shape (n,).

    Parameters
    ----------
    labels
        Regions 1 to n, shape (rows, columns).
    area
        Same shape.
    reach_px
        How far off still counts as next to it; 1 is the neighbouring pixel.
    """
    near = ndimage.maximum_filter(area.astype(np.uint8), 2 * reach_px + 1) > 0
    return _met(labels, labels[near])


def cut_by_edge(labels: Labels) -> Mask:
    """Say of each region whether it reaches the edge of the picture, shape (n,)."""
    edges = (labels[0], labels[-1], labels[:, 0], labels[:, -1])
    return _met(labels, np.concatenate(edges))


def _met(labels: Labels, numbers: Labels) -> Mask:
    met = np.zeros(int(labels.max(initial=0)) + 1, dtype=bool)
    met[np.unique(numbers)] = True
    return met[1:]


def pen_px(shape: Sequence[int]) -> int:
    """Return the width of an outline, 1 to 3 px by the size of the picture."""
    return int(min(3, max(1, round(min(shape[:2]) / 700))))


def outlined(pixels: Pixels, labels: NDArray[Any], colour: Colour) -> Pixels:
    """Return the picture with a line around each region, just outside of it.

    Parameters
    ----------
    pixels
        Shape (rows, columns, 3).
    labels
        Regions from 1, or a mask, shape (rows, columns).
    colour
        Red, green and blue.
    """
    inside = np.asarray(labels) > 0
    around = ndimage.binary_dilation(inside, _EIGHT, iterations=pen_px(pixels.shape))
    drawn = pixels.copy()
    drawn[around & ~inside] = colour
    return drawn


def captioned(pixels: Pixels, lines: Sequence[str]) -> Pixels:
    """Return the picture with a strip below that shows some lines of text, wrapped to its width.

    A narrow picture is padded on the right, so that the text stays legible.
    """
    import matplotlib  # for its font: Pillow's own has neither umlauts nor µ

    size = max(12, round(pixels.shape[1] / 60))
    width = max(pixels.shape[1], 30 * size)
    font = ImageFont.truetype(Path(matplotlib.get_data_path(), "fonts/ttf/DejaVuSans.ttf"), size)
    wrapped = [part for line in lines for part in _wrapped(line, font, width - size)]
    step = math.ceil(1.35 * size)
    strip = Image.new("RGB", (width, step * len(wrapped) + size), (255, 255, 255))
    draw = ImageDraw.Draw(strip)
    for place, line in enumerate(wrapped):
        draw.text((size // 2, size // 2 + step * place), line, fill=(0, 0, 0), font=font)
    padded = np.full((pixels.shape[0], width, 3), 255, dtype=np.uint8)
    padded[:, : pixels.shape[1]] = pixels
    return np.concatenate([padded, np.asarray(strip, dtype=np.uint8)])


def _wrapped(line: str, font: ImageFont.FreeTypeFont, width_px: int) -> list[str]:
    """Cut a line of text into parts that are no wider than this."""
    letters, parts = len(line), [line]
    while letters > 1 and max(map(font.getlength, parts)) > width_px:
        letters -= 1
        parts = textwrap.wrap(line, letters)
    return parts
