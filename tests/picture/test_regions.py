"""Regions of a picture: numbered, measured, outlined."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from skimage.measure import regionprops_table

from tiecoat.picture.regions import (
    ORANGE,
    captioned,
    cut_by_edge,
    labelled,
    measured,
    outlined,
    pen_px,
    touching,
)

MASKS = arrays(bool, st.tuples(st.integers(1, 14), st.integers(1, 14)))
PROPERTIES = {
    "area": "area_px",
    "centroid-0": "row",
    "centroid-1": "column",
    "equivalent_diameter_area": "diameter_px",
    "eccentricity": "eccentricity",
}


@given(MASKS, st.integers(1, 4))
@settings(max_examples=60)
def test_the_table_is_that_of_scikit_image(mask: np.ndarray, smallest: int) -> None:
    """Sums over all pixels give what regionprops finds region by region."""
    labels = labelled(mask, smallest)
    regions = measured(labels)
    assert len(regions) == labels.max(initial=0)
    assert (regions.area_px >= smallest).all()
    if not len(regions):
        return
    names = ["centroid" if name.startswith("centroid") else name for name in PROPERTIES]
    table = regionprops_table(labels, properties=list(dict.fromkeys(names)))
    for theirs, ours in PROPERTIES.items():
        assert getattr(regions, ours) == pytest.approx(table[theirs], abs=1e-7), ours


def test_regions_meet_over_corners_and_small_ones_are_left_out() -> None:
    """Eight neighbours; numbers run on without a gap."""
    mask = np.array([[1, 0, 0, 1], [0, 1, 0, 0], [0, 0, 0, 1]], dtype=bool)
    assert labelled(mask).tolist() == [[1, 0, 0, 2], [0, 1, 0, 0], [0, 0, 0, 3]]
    assert labelled(mask, 2).tolist() == [[1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 0, 0]]


def test_what_lies_next_to_an_area_or_at_the_edge_is_known() -> None:
    """One pixel between them is no contact, unless it is asked for."""
    labels = labelled(np.array([[0, 0, 0, 0, 0], [0, 1, 0, 1, 0], [0, 0, 0, 1, 0]], dtype=bool))
    area = np.zeros((3, 5), dtype=bool)
    area[:, 4] = True
    assert touching(labels, area).tolist() == [False, True]
    assert touching(labels, area, 3).tolist() == [True, True]
    assert cut_by_edge(labels).tolist() == [False, True]


def test_an_outline_lies_outside_of_its_region_and_grows_with_the_picture() -> None:
    """What was counted stays visible; the picture that was given is not changed."""
    pixels = np.zeros((40, 40, 3), dtype=np.uint8)
    mask = np.zeros((40, 40), dtype=bool)
    mask[10:20, 10:20] = True
    drawn = outlined(pixels, mask, ORANGE)
    assert (drawn[mask] == 0).all()
    assert tuple(drawn[9, 15]) == ORANGE
    assert (drawn == ORANGE).all(axis=2).sum() == 12 * 12 - 10 * 10
    assert (pixels == 0).all()
    assert [pen_px((300, 400)), pen_px((1400, 2000)), pen_px((3000, 4000))] == [1, 2, 3]


@pytest.mark.parametrize("width", [20, 400, 3000])
def test_a_caption_stands_below_the_picture(width: int) -> None:
    """Whatever its width, the picture itself is untouched and the text is there."""
    pixels = np.full((30, width, 3), 100, dtype=np.uint8)
    drawn = captioned(pixels, ["pores 5.9 % of the film, 47 in number", "film 120 um"])
    assert (drawn[:30, :width] == 100).all()
    assert drawn.shape[1] >= width
    assert (drawn[30:] < 50).any()


@pytest.mark.parametrize("word", ["W" * 90, "SALZSPRÜHNEBEL UND WASSER " * 4, "Feld " * 30])
def test_a_caption_is_never_cut_by_the_edge(word: str) -> None:
    """Capitals are wider than other letters, and a long name has no gap to be wrapped at."""
    strip = captioned(np.full((30, 400, 3), 100, dtype=np.uint8), [word])[30:]
    assert (strip[:, -6:] == 255).all()
    assert (strip[:, 200:394] < 128).any()


def test_a_caption_has_umlauts_and_units() -> None:
    """Each sign has its own shape: a font that lacks them draws the same box for all."""
    pixels = np.full((5, 5, 3), 100, dtype=np.uint8)
    shapes = {captioned(pixels, [sign]).tobytes() for sign in "äöüßµ²é±"}
    assert len(shapes) == 8
