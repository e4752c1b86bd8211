"""Where the panel is on a photograph, and how far each pixel lies from its edge."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from skimage.filters import threshold_otsu
from skimage.morphology import convex_hull_image
from skimage.transform import resize

from tiecoat.picture.regions import Mask, Pixels

Field = NDArray[np.float32]

COARSE_PX = 512  # the panel is sought on a picture of at most this many pixels a side
RING_SHARE = 0.02  # of the shorter side: the outermost ring, taken for the surround
LEAST_RING = 0.6  # share of the ring that must look alike
LEAST_AREA = 0.1  # of the picture
LEAST_SOLIDITY = 0.8  # area over the area of the convex hull: a panel has no bays
SHARP_SHARE = 0.5  # of the contrast must lie in a few coarse pixels across the edge


@dataclass(frozen=True)
class Panel:
    """The panel on a picture.

    Parameters
    ----------
    depth_px
        Distance from the edge of the panel in pixels, below 0 outside; shape (rows, columns).
    whole
        No surround was found: all of the picture is taken as panel, and the depth is the distance
        from the edge of the picture.
    """

    depth_px: Field
    whole: bool

    @property
    def inside(self) -> Mask:
        """Which pixels are panel."""
        return self.depth_px > 0

    @property
    def shorter_px(self) -> float:
        """Diameter of the largest circle in the panel: the shorter side of a rectangle."""
        return 2 * float(self.depth_px.max())


def find_panel(pixels: Pixels, features: Callable[[Pixels], Field], least_contrast: float) -> Panel:
    """Find the panel: the largest convex thing in the middle that differs from the surround.

    The surround is what prevails along the edge of the picture. A panel must stand out from it by
    the least contrast, with a sharp edge: an uneven lamp has none.

    Parameters
    ----------
    pixels
        Shape (rows, columns, 3).
    features
        From 8-bit colours, shape (..., 3), to what tells panel from surround, shape (..., k).
    least_contrast
        Least Euclidean distance between panel and surround in these features.
    """
    block = max(1, math.ceil(max(pixels.shape[:2]) / COARSE_PX))
    coarse = _shrunk(pixels, block)
    hull = _hull(_from_surround(features(coarse)), least_contrast)
    if hull is None:
        return Panel(_depth_of_all(pixels.shape[0], pixels.shape[1]), whole=True)
    # a pixel at the edge is half a pixel deep; the margin lets the edge of the picture count too
    padded = np.pad(hull, 1)
    inward, outward = (ndimage.distance_transform_edt(one) for one in (padded, ~padded))
    depth = np.where(padded, inward - 0.5, 0.5 - outward)[1:-1, 1:-1].astype(np.float32)
    full = tuple(block * side for side in hull.shape)
    wide = depth if block == 1 else resize(depth, full, order=1, mode="edge", anti_aliasing=False)
    return Panel(np.float32(block) * wide[: pixels.shape[0], : pixels.shape[1]], whole=False)


def _shrunk(pixels: Pixels, block: int) -> Pixels:
    """Return the mean of blocks of pixels, those at the edges filled up by repetition."""
    if block == 1:
        return pixels
    rows, columns = (-side % block for side in pixels.shape[:2])
    padded = np.pad(pixels, ((0, rows), (0, columns), (0, 0)), mode="edge")
    blocks = padded.reshape(padded.shape[0] // block, block, -1, block, 3)
    mean: Field = blocks.mean(axis=(1, 3), dtype=np.float32)
    return (mean + 0.5).astype(np.uint8)


def _from_surround(features: Field) -> tuple[Field, Mask]:
    """Return how far each pixel is from what prevails along the edge, and the ring of the edge."""
    width = max(2, round(RING_SHARE * min(features.shape[:2])))
    ring = np.ones(features.shape[:2], dtype=bool)
    ring[width:-width, width:-width] = False
    far = np.linalg.norm(features - np.median(features[ring], axis=0), axis=-1)
    smooth: Field = ndimage.gaussian_filter(far.astype(np.float32), 1.0)
    return smooth, ring


def _hull(surround: tuple[Field, Mask], least_contrast: float) -> Mask | None:
    """Return the convex hull of the panel on the coarse picture; None if there is none."""
    far, ring = surround
    if min(far.shape) < 16 or not np.ptp(far) > least_contrast:
        return None
    stands_out = far > threshold_otsu(far)
    if stands_out[ring].mean() > 1 - LEAST_RING:
        return None
    contrast = float(np.median(far[stands_out]) - np.median(far[~stands_out]))
    labels, count = ndimage.label(stands_out)
    if contrast < least_contrast or not count:
        return None
    largest = labels == 1 + int(np.argmax(np.bincount(labels.ravel())[1:]))
    panel = ndimage.binary_fill_holes(largest)
    hull = np.asarray(convex_hull_image(panel), dtype=bool)
    middle = hull[hull.shape[0] // 2, hull.shape[1] // 2]
    if not middle or hull.mean() < LEAST_AREA or panel.sum() < LEAST_SOLIDITY * hull.sum():
        return None
    return hull if _is_sharp(far, hull, contrast) else None


def _is_sharp(far: Field, hull: Mask, contrast: float) -> bool:
    within, beyond = (
        ndimage.binary_erosion(hull, iterations=3),
        ndimage.binary_dilation(hull, iterations=3),
    )
    inner = within & ~ndimage.binary_erosion(within)
    outer = ndimage.binary_dilation(beyond) & ~beyond
    if not (inner.any() and outer.any()):
        return False
    return bool(np.median(far[inner]) - np.median(far[outer]) >= SHARP_SHARE * contrast)


def _depth_of_all(rows: int, columns: int) -> Field:
    down, right = (
        np.minimum(np.arange(side), np.arange(side)[::-1]).astype(np.float32) + 0.5
        for side in (rows, columns)
    )
    depth: Field = np.minimum(down[:, None], right[None, :])
    return depth
