"""Regions on pictures that others have published, with what is known of them."""

from __future__ import annotations

import numpy as np
import pytest
import skimage.data
from scipy import ndimage
from skimage.data import binary_blobs
from skimage.filters import sobel
from skimage.segmentation import watershed

from tiecoat.picture.regions import labelled, measured


def test_the_coins_of_scikit_image_are_24() -> None:
    """skimage.data.coins(): 24 coins in four rows of six, to be counted on the picture itself.

    The mask is that of scikit-image's own example of region-based segmentation.
    """
    coins = skimage.data.coins()
    markers = np.where(coins > 150, 2, np.where(coins < 30, 1, 0))
    mask = ndimage.binary_fill_holes(watershed(sobel(coins), markers) == 2)
    regions = measured(labelled(mask, 500))
    assert len(regions) == 24
    rows = np.sort(regions.row).reshape(4, 6)
    assert (np.ptp(rows, axis=1) < 25).all()
    assert (np.diff(rows.mean(axis=1)) > 50).all()


@pytest.mark.parametrize("fraction", [0.02, 0.1, 0.3])
def test_the_area_of_blobs_is_the_fraction_that_was_asked_for(fraction: float) -> None:
    """skimage.data.binary_blobs(volume_fraction=...): area fraction and regions agree with it."""
    blobs = binary_blobs(256, blob_size_fraction=0.06, volume_fraction=fraction, rng=5)
    regions = measured(labelled(blobs))
    assert regions.area_px.sum() / blobs.size == pytest.approx(fraction, abs=0.001)
    assert len(regions) == ndimage.label(blobs, np.ones((3, 3)))[1]
