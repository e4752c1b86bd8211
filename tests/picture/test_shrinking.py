"""A picture in another size: what is drawn on it does not fade."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from tiecoat.picture.shrinking import resized

RED = (255, 0, 0)


@given(
    rows=st.integers(1, 90),
    columns=st.integers(1, 90),
    row=st.integers(0, 59),
    column=st.integers(0, 39),
)
def test_a_mark_of_one_pixel_is_there_in_full_colour_in_any_size(
    rows: int, columns: int, row: int, column: int
) -> None:
    """Where it belongs, to the pixel, and nowhere else."""
    plain = np.full((60, 40, 3), 90, dtype=np.uint8)
    marked = plain.copy()
    marked[row, column] = RED
    small, drawn = resized(plain, marked, rows, columns)
    assert small.shape == (rows, columns, 3)
    assert drawn is not None
    at = np.argwhere((drawn == RED).all(axis=2))
    assert ((small == 90).all(axis=2)).all()
    assert len(at) > 0
    if rows <= 60 and columns <= 40:
        assert at.tolist() == [[row * rows // 60, column * columns // 40]]


def test_the_picture_itself_is_scaled_as_pillow_does() -> None:
    """A block of pixels becomes its mean."""
    plain = np.random.default_rng(1).integers(0, 255, (40, 60, 3)).astype(np.uint8)
    small, drawn = resized(plain, plain.copy(), 10, 15)
    blocks = plain.reshape(10, 4, 15, 4, 3).mean(axis=(1, 3))
    assert np.abs(small - blocks).max() <= 1
    np.testing.assert_array_equal(small, drawn)


@pytest.mark.parametrize(("pen", "wide"), [(1, 1), (2, 3), (4, 5)])
def test_a_line_is_widened_on_request(pen: int, wide: int) -> None:
    """By half its width to each side."""
    plain = np.zeros((40, 40, 3), dtype=np.uint8)
    marked = plain.copy()
    marked[:, 20] = RED
    _, drawn = resized(plain, marked, 20, 20, pen)
    assert drawn is not None
    assert int((drawn[5] == RED).all(axis=1).sum()) == wide
    assert Image.fromarray(drawn).getpixel((0, 0)) == (0, 0, 0)
