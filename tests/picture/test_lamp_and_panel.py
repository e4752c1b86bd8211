"""The unevenness of a lamp is taken out, the panel is found, and turning changes nothing."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from photographs import film

from tiecoat.picture.lighting import fit_lamp, grey_of, lamp_over_film, linear_light
from tiecoat.picture.nothing import NothingToMeasure
from tiecoat.picture.panel import Field, Panel, find_panel
from tiecoat.picture.regions import Mask, Pixels
from tiecoat.picture.turning import turned, turns_to_position


def ln_light(pixels: Pixels) -> Field:
    """What tells a film from the lamp."""
    return np.log(np.maximum(linear_light(pixels), np.float32(1e-3)))[..., None]


def lamp(rows: int, columns: int) -> Field:
    """A lamp that is brightest off the middle, and falls to a third."""
    y, x = np.mgrid[-1 : 1 : rows * 1j, -1 : 1 : columns * 1j]
    return (0.3 * np.exp(-0.5 * ((x - 0.3) ** 2 + (y + 0.2) ** 2))).astype(np.float32)


def everywhere(light: Field) -> Mask:
    """All of the picture."""
    return np.ones(light.shape, dtype=bool)


def test_the_lamp_is_followed() -> None:
    """Within half a per cent everywhere, and hardly anything is left over."""
    true = lamp(240, 320)
    fitted = fit_lamp(true, everywhere(true))
    assert np.abs(fitted.light / true - 1).max() < 0.005
    assert fitted.left_over < 0.002


def test_bright_defects_do_not_pull_the_lamp() -> None:
    """A tenth of the area ten times as bright moves it by less than a per cent."""
    true = lamp(240, 320)
    light = true.copy()
    light[40:117, 50:150] *= 10
    fitted = fit_lamp(light, everywhere(light))
    assert np.abs(fitted.light / true - 1).max() < 0.01


@pytest.mark.parametrize("wave", [(0.0, 1.0), (0.06, 4.5), (0.15, 9.0), (0.1, 15.0)], ids=str)
@pytest.mark.parametrize("uneven", [0.0, 0.8])
def test_the_bare_lamp_is_compared_with_the_film_under_one_lamp(
    uneven: float, wave: tuple[float, float]
) -> None:
    """Within 4 % of the true 6.25, with waves in the film within 12 %; none seen, none told."""
    pixels = film([], (52.0, 36.0), pixel_mm=0.1, border_mm=4.0, uneven=uneven, wave=wave)
    light, depth = linear_light(pixels), find_panel(pixels, ln_light, 0.4).depth_px
    ratio = lamp_over_film(light, depth > 50, depth < -5)
    assert ratio == pytest.approx(6.25, rel=0.12 if wave[0] else 0.04)
    assert lamp_over_film(light, depth > 50, depth < -42) is None


def test_too_small_a_film_has_no_lamp_to_be_followed() -> None:
    """It is said how small it is."""
    light = lamp(12, 15)
    with pytest.raises(NothingToMeasure, match="film on 15 x 12 pixels"):
        fit_lamp(light, everywhere(light))
    strip = np.zeros(light.shape, dtype=bool)
    strip[5:7] = True  # no cell fits
    with pytest.raises(NothingToMeasure, match="film on 15 x 2 pixels"):
        fit_lamp(light, strip)
    with pytest.raises(NothingToMeasure, match="no film inside of the margin"):
        fit_lamp(light, np.zeros(light.shape, dtype=bool))


def test_an_amount_of_light_is_told_as_the_grey_that_shows_it() -> None:
    """There and back, for each grey; between two of them it is the nearer."""
    greys = np.repeat(np.arange(256, dtype=np.uint8)[:, None], 3, axis=1)
    light = linear_light(greys)
    assert [grey_of(float(one)) for one in light] == list(range(256))
    assert grey_of(float(0.4 * light[100] + 0.6 * light[101])) == 101
    assert grey_of(2.0) == 255


@pytest.mark.parametrize("angle_deg", [0.0, 3.0, 30.0, 81.0])
def test_the_panel_is_found_and_its_depth_measured(angle_deg: float) -> None:
    """Area and shorter side within a per cent, at any angle."""
    panel = find_panel(film([], (50.0, 36.0), angle_deg=angle_deg, pixel_mm=0.1), ln_light, 0.4)
    assert not panel.whole
    assert panel.inside.sum() * 0.01 == pytest.approx(50 * 36, rel=0.01)
    assert panel.shorter_px * 0.1 == pytest.approx(36, rel=0.01)


def test_a_large_picture_is_looked_at_coarsely() -> None:
    """The panel is as large as on the small one."""
    small = film([], (50.0, 36.0), pixel_mm=0.2, angle_deg=10.0)
    large = np.repeat(np.repeat(small, 5, axis=0), 5, axis=1)[:-3, :-2]
    ones = [find_panel(pixels, ln_light, 0.4) for pixels in (small, large)]
    assert ones[1].inside.sum() == pytest.approx(25 * ones[0].inside.sum(), rel=0.01)
    assert ones[1].depth_px.shape == large.shape[:2]


def test_without_a_surround_all_of_the_picture_is_panel() -> None:
    """A lamp that is dark in the corners is no panel, nor is a crater, nor noise."""
    vignetted = film([], (50.0, 36.0), border_mm=-1.0, uneven=0.9, pixel_mm=0.1)
    noise = np.random.default_rng(1).integers(0, 255, (200, 300, 3), dtype=np.uint8)
    crater = np.full((200, 300, 3), 60, np.uint8)
    crater[70:130, 120:180] = 200
    for pixels in (vignetted, noise, crater):
        panel = find_panel(pixels, ln_light, 0.4)
        assert panel.whole
        assert panel.inside.all()
        assert panel.shorter_px == pytest.approx(min(pixels.shape[:2]), abs=1)


def test_a_surround_on_one_side_only_is_no_panel() -> None:
    """What reaches from the side but not into the middle is not taken for the panel."""
    pixels = np.full((200, 300, 3), 60, np.uint8)
    pixels[:, :60] = 220
    assert find_panel(pixels, ln_light, 0.4).whole


def test_the_depth_of_a_whole_picture_is_the_distance_from_its_edge() -> None:
    """Half a pixel at the edge."""
    panel = find_panel(np.full((40, 60, 3), 60, np.uint8), ln_light, 0.4)
    assert isinstance(panel, Panel)
    assert panel.depth_px[0].tolist() == [0.5] * 60
    assert panel.depth_px[20, 30] == 19.5


@given(arrays(np.uint8, st.tuples(st.integers(1, 6), st.integers(1, 6), st.just(3))))
def test_a_picture_comes_into_one_position_however_it_lies(pixels: Pixels) -> None:
    """Four ways to lie, one position, unless its quarters cannot tell the ways apart."""
    turns = turns_to_position(pixels)
    first = turned(pixels, turns)
    assert first.shape[0] <= first.shape[1]
    assert np.array_equal(turned(first, -turns), pixels)
    half, across = first.shape[0] // 2, first.shape[1] // 2
    sums = [
        int(first[rows, columns].sum())
        for rows in (slice(0, half), slice(-half or len(first), None))
        for columns in (slice(0, across), slice(-across or first.shape[1], None))
    ]
    if len(set(sums)) == 4:
        for other in range(4):
            again = np.ascontiguousarray(np.rot90(pixels, other))
            assert np.array_equal(turned(again, turns_to_position(again)), first)
