"""Film and pores of a cut film, found on pictures whose truth is known."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import skimage.data
from numpy.typing import NDArray
from section_pictures import Cut, Disc

from tiecoat.picture.nothing import NothingToMeasure
from tiecoat.picture.section import Section, measure
from tiecoat.picture.section_choices import SectionChoices
from tiecoat.picture.section_drawing import drawn

CHOICES = SectionChoices()
SMALL = Cut(rows=180, columns=240, surface=45.0, substrate=135.0)
PLAIN = SMALL.with_pores(0.05)
TURNED = [(0, "bottom"), (1, "right"), (2, "top"), (3, "left")]


def found(cut: Cut, **changes: Any) -> Section:
    """What is measured on the picture of a cut."""
    return measure(cut.pixels(), replace(CHOICES, **changes))


def percent(section: Section) -> float:
    """Void fraction."""
    return 100 * section.void_area_px / section.film_area_px


def true_percent(cut: Cut) -> float:
    """Void fraction of the truth."""
    return 100 * cut.void_area / cut.film_area


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"noise": 12.0},
        {"gradient": 0.3},
        {"fillers": 60},
        {"resin_grey": 200.0, "steel_grey": 230.0},
        {"film_grey": 60.0, "resin_grey": 130.0, "pore_grey": 5.0},
        {"film_grey": 200.0, "resin_grey": 30.0, "steel_grey": 90.0},
        {"roughness": 5.0, "slope": 0.05},
    ],
    ids=str,
)
def test_film_and_pores_are_found_whatever_the_greys(changes: dict[str, Any]) -> None:
    """Resin, film and steel of any order of grey; noise, uneven light, flakes, blasted steel."""
    cut = SMALL.with_pores(0.05, **changes)
    section = found(cut)
    assert percent(section) == pytest.approx(true_percent(cut), abs=0.35)
    assert len(section.pores) == len(cut.pores)
    across = math.cos(math.atan(cut.slope))
    assert section.film.thickness.mean() == pytest.approx(cut.thickness * across, abs=1)
    assert section.film.tilt_deg == pytest.approx(math.degrees(math.atan(cut.slope)), abs=0.4)
    assert section.substrate_side == "bottom"


def test_each_pore_is_where_it_is() -> None:
    """Centre within half a pixel, diameter within one, and the way to the substrate."""
    section = found(PLAIN)
    assert len(section.pores) == len(PLAIN.pores)
    for disc in PLAIN.pores:
        off = np.hypot(section.pores.row - disc.row, section.pores.column - disc.column)
        nearest = int(off.argmin())
        assert off[nearest] < 0.5
        assert section.pores.diameter_px[nearest] == pytest.approx(2 * disc.radius, abs=1)
        gap = PLAIN.substrate - disc.row - disc.radius
        assert section.gap_px[nearest] == pytest.approx(gap, abs=1.5)


@pytest.mark.parametrize(("quarters", "side"), TURNED)
def test_a_turned_picture_gives_the_same_numbers(quarters: int, side: str) -> None:
    """To the last digit, and each pore at the place where the turned picture shows it."""
    cut = SMALL.with_pores(0.05, slope=0.03, gradient=0.2)
    plain = found(cut)
    pixels = np.ascontiguousarray(np.rot90(cut.pixels(), quarters))
    section = measure(pixels, CHOICES)
    assert section.substrate_side == side
    assert (section.labels == plain.labels).all()
    assert (section.film.thickness == plain.film.thickness).all()
    assert (section.gap_px == plain.gap_px).all()
    rows, columns = section.places()
    labels = section.as_taken(section.labels)
    inside = labels[rows.round().astype(int), columns.round().astype(int)]
    assert inside.tolist() == list(range(1, len(section.pores) + 1))


@pytest.mark.parametrize(("quarters", "side"), TURNED)
def test_the_side_of_the_substrate_can_be_set(quarters: int, side: Any) -> None:
    """Where the substrate is darker than the resin, the lab says where it lies."""
    dark_steel = SMALL.with_pores(0.05, film_grey=150.0, resin_grey=230.0, steel_grey=90.0)
    pixels = np.ascontiguousarray(np.rot90(dark_steel.pixels(), quarters))
    section = measure(pixels, replace(CHOICES, substrate=side))
    assert section.substrate_side == side
    assert percent(section) == pytest.approx(true_percent(dark_steel), abs=0.35)
    assert measure(pixels, CHOICES).substrate_side != side


def test_the_light_of_the_whole_picture_hardly_matters() -> None:
    """A fifth brighter or darker changes the void fraction by less than 0.1 points."""
    pixels = PLAIN.pixels().astype(float)
    base = percent(found(PLAIN))
    for factor in (0.8, 1.15):
        other = measure(np.clip(pixels * factor, 0, 255).astype(np.uint8), CHOICES)
        assert percent(other) == pytest.approx(base, abs=0.1)


def test_bright_pores_are_found_if_asked_for() -> None:
    """Pores filled with a fluorescent dye shine in a dark film."""
    cut = SMALL.with_pores(0.05, film_grey=70.0, resin_grey=130.0, pore_grey=240.0)
    section = found(cut, pores="bright")
    assert percent(section) == pytest.approx(true_percent(cut), abs=0.35)
    assert len(section.pores) == len(cut.pores)


def test_what_pores_touch_is_told() -> None:
    """One at the edge of the picture, one on the steel, one that opens into the resin, one free."""
    discs = (Disc(90, 0, 8), Disc(129, 80, 8), Disc(48, 130, 12), Disc(90, 180, 6))
    section = found(replace(SMALL, pores=discs))
    by_column = np.argsort(section.pores.column)
    assert section.at_edge[by_column].tolist() == [True, False, False]
    assert (section.gap_px[by_column] == 0).tolist() == [False, True, False]
    assert section.film.thickness[130] < SMALL.thickness - 10  # the open pit is no pore
    assert section.film.thickness[180] == pytest.approx(SMALL.thickness, abs=1.5)


def test_small_spots_and_faint_ones_are_no_pores() -> None:
    """By the limits that the lab sets."""
    cut = replace(SMALL, pores=(Disc(80, 60, 6), Disc(80, 120, 2.6)))
    assert len(found(cut).pores) == 2
    assert len(found(cut, smallest_pore_px=40).pores) == 1
    faint = replace(SMALL, pores=(Disc(80, 60, 6),), pore_grey=105.0)
    assert len(found(faint).pores) == 0
    assert math.isnan(found(faint).threshold)
    assert len(found(faint, pore_contrast=0.1).pores) == 1


def test_a_film_without_pores_is_a_film() -> None:
    """Its void fraction is 0."""
    section = found(replace(SMALL, noise=10.0))
    assert len(section.pores) == 0
    assert section.void_area_px == 0


def grey(array: NDArray[Any]) -> NDArray[np.uint8]:
    """Three equal channels."""
    return np.repeat(np.asarray(array, dtype=np.uint8)[..., None], 3, axis=2)


def noise() -> NDArray[np.uint8]:
    """A picture of nothing."""
    return np.random.default_rng(3).integers(0, 256, (150, 200, 3), dtype=np.uint8)


@pytest.mark.parametrize(
    ("pixels", "seen"),
    [
        (grey(np.zeros((100, 100))), "grey 0 to 0 all over"),
        (grey(np.full((100, 100), 255)), "grey 255 to 255 all over"),
        (grey(np.zeros((20, 100))), "100 x 20 pixels"),
        (noise(), "no layers that go from edge to edge"),
        (grey(np.tile(np.arange(240.0)[:, None], 200)), "without a layer of one grey"),
        (grey(np.repeat([50, 200], 80)[:, None] * np.ones((1, 200))), "layers of grey"),
        (replace(SMALL, surface=-9.0).pixels(), "without a layer of one grey"),
        (replace(SMALL, surface=131.0).pixels(), "between"),
        (Cut(rows=400, surface=160.0, substrate=230.0, slope=0.7).pixels(), "tilted by 35"),
        (grey(skimage.data.coins()), "no layers"),
        (grey(skimage.data.page()), "without a layer of one grey"),
    ],
)
def test_what_is_no_cut_film_is_not_measured(pixels: NDArray[np.uint8], seen: str) -> None:
    """Black, white, noise, a shade, steel alone, half a film, coins, a page: it is told."""
    with pytest.raises(NothingToMeasure, match=seen):
        measure(pixels, CHOICES)


def test_more_pores_than_a_film_can_have_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """A film full of dark filler is not measured as one full of pores."""
    monkeypatch.setattr("tiecoat.picture.section.MOST_PORES", 5)
    with pytest.raises(NothingToMeasure, match="dark spots in the film"):
        found(PLAIN)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"um_per_pixel": 0.0}, "um_per_pixel"),
        ({"smallest_pore_px": 0}, "smallest_pore_px"),
        ({"smoothing_px": -1.0}, "smoothing_px"),
        ({"pore_contrast": 0.0}, "pore_contrast"),
        ({"words": ("",)}, "empty word"),
    ],
)
def test_choices_that_make_no_sense_are_refused(changes: dict[str, Any], said: str) -> None:
    """By their name."""
    with pytest.raises(ValueError, match=said):
        SectionChoices(**changes)


def test_the_overlay_shows_film_and_pores_on_the_picture_as_it_was_taken() -> None:
    """Pores keep their own pixels, with outlines around them; the caption stands below."""
    pixels = np.ascontiguousarray(np.rot90(PLAIN.pixels()))
    section = measure(pixels, CHOICES)
    picture = drawn(pixels, section, 0.8, "section 1")
    assert picture.shape[0] > pixels.shape[0]
    upper = picture[: pixels.shape[0], : pixels.shape[1]]
    pores = section.as_taken(section.labels) > 0
    assert (upper[pores] == pixels[pores]).all()
    orange = (upper == (230, 159, 0)).all(axis=2)
    assert orange.sum() > 20 * len(section.pores)


def campaign(repeats: int, **changes: Any) -> tuple[float, float, float]:
    """Mean and standard deviation of the void fraction's error in points; pores missed in %."""
    errors, missed, there = [], 0, 0
    for seed in range(repeats):
        cut = SMALL.with_pores(0.05, seed=seed, **changes)
        section = found(cut)
        errors.append(percent(section) - true_percent(cut))
        missed += len(cut.pores) - len(section.pores)
        there += len(cut.pores)
    return float(np.mean(errors)), float(np.std(errors, ddof=1)), 100 * missed / there


CONDITIONS = {
    "sharp": ({}, 0.15),
    "noise": ({"noise": 12.0}, 0.15),
    "uneven light": ({"gradient": 0.3}, 0.15),
    "blur": ({"blur": 1.5}, 0.5),
    "all": ({"noise": 8.0, "blur": 1.5, "gradient": 0.3, "fillers": 40, "slope": 0.03}, 0.5),
}


@pytest.mark.parametrize("name", CONDITIONS)
def test_the_void_fraction_is_right_in_the_mean(name: str) -> None:
    """Within 0.15 of 5 points on sharp pictures, within 0.5 where the picture is blurred."""
    changes, bias = CONDITIONS[name]
    mean, spread, missed = campaign(3, **changes)
    assert abs(mean) < bias
    assert spread < 0.4
    assert abs(missed) < 5


@pytest.mark.campaign
@pytest.mark.parametrize("name", CONDITIONS)
def test_the_void_fraction_over_many_pictures(name: str, request: pytest.FixtureRequest) -> None:
    """200 pictures: the same limits."""
    if "campaign" not in request.config.getoption("-m"):
        pytest.skip("run with -m campaign")
    changes, bias = CONDITIONS[name]
    mean, spread, missed = campaign(200, **changes)
    print(f"{name}: bias {mean:+.3f}, spread {spread:.3f} points of 5; {missed:.1f} % missed")
    assert abs(mean) < bias
    assert spread < 0.4
    assert abs(missed) < 5
