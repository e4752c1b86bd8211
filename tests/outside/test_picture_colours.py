"""Colours against the values that are printed for them, and against the plain formulas."""

from __future__ import annotations

import math

import numpy as np
import pytest
from skimage.color import rgb2xyz

from tiecoat.picture.lighting import linear_light
from tiecoat.picture.rust import _lab

PRIMARIES = {
    (255, 255, 255): (100.0, 0.0, 0.0),
    (255, 255, 0): (97.1393, -21.5537, 94.4780),
    (0, 255, 255): (91.1132, -48.0875, -14.1312),
    (0, 255, 0): (87.7347, -86.1827, 83.1793),
    (255, 0, 255): (60.3242, 98.2343, -60.8249),
    (255, 0, 0): (53.2408, 80.0925, 67.2032),
    (0, 0, 255): (32.2970, 79.1875, -107.8602),
    (0, 0, 0): (0.0, 0.0, 0.0),
}


@pytest.mark.parametrize(("rgb", "lab"), PRIMARIES.items())
def test_the_primaries_of_srgb_in_cielab(
    rgb: tuple[int, int, int], lab: tuple[float, float, float]
) -> None:
    """Against the values widely printed for D65 and the 2 degree observer, to 0.01.

    The digits are those in scikit-image's own tests (skimage/color/tests/test_colorconv.py,
    gt_for_colbars), which name B. Lindbloom's tables; his page was not open when this was written.
    """
    found = _lab(np.array([[rgb]], dtype=np.uint8))[0, 0]
    assert found == pytest.approx(lab, abs=0.01)


def plain_lab(rgb: tuple[int, int, int]) -> tuple[float, float, float]:
    """CIELAB by the formulas of IEC 61966-2-1 and CIE 15, one colour at a time."""
    linear = [
        c / 255 / 12.92 if c / 255 <= 0.04045 else ((c / 255 + 0.055) / 1.055) ** 2.4 for c in rgb
    ]
    matrix = (
        (0.4124, 0.3576, 0.1805),
        (0.2126, 0.7152, 0.0722),
        (0.0193, 0.1192, 0.9505),
    )
    white = (0.95047, 1.0, 1.08883)

    def f(t: float) -> float:
        return math.cbrt(t) if t > (6 / 29) ** 3 else t / 3 / (6 / 29) ** 2 + 4 / 29

    x, y, z = (
        f(sum(m * c for m, c in zip(row, linear, strict=True)) / w)
        for row, w in zip(matrix, white, strict=True)
    )
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


@pytest.mark.parametrize(
    "rgb", [(139, 69, 19), (183, 65, 14), (90, 50, 30), (130, 132, 131), (222, 200, 160)]
)
def test_colours_of_rust_by_the_plain_formulas(rgb: tuple[int, int, int]) -> None:
    """IEC 61966-2-1:1999 and CIE 15:2004, matrix and white from memory; within 0.05."""
    found = _lab(np.array([[rgb]], dtype=np.uint8))[0, 0]
    assert found == pytest.approx(plain_lab(rgb), abs=0.05)


def test_the_amount_of_light_is_the_luminance_of_srgb() -> None:
    """Against Y of scikit-image's rgb2xyz, whose weights have two digits more, within 1e-4."""
    greys = np.repeat(np.arange(256, dtype=np.uint8)[:, None], 3, axis=1)
    colours = np.random.default_rng(1).integers(0, 256, (1000, 3), dtype=np.uint8)
    pixels = np.concatenate([greys, colours])[None]
    assert linear_light(pixels) == pytest.approx(rgb2xyz(pixels)[..., 1], abs=1e-4)
