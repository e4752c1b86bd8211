"""Panels whose rusted area is known, on photographs that are darker, tilted, scribed, cut."""

from __future__ import annotations

import io
import random
from typing import Any

import numpy as np
import pytest
from photographs import Exposed, Pixels, Spot, encoded, exposed, off_line, saved, scattered
from PIL import Image
from skimage.color import lab2rgb

from tiecoat.picture.nothing import NothingToMeasure
from tiecoat.picture.rust import Rust, find_rust
from tiecoat.picture.rust_choices import RustChoices

CHOICES = RustChoices()
PIXEL_MM = 0.3
SIZE_MM = (70.0, 100.0)
PRIMER_RED = (0.14, 0.03, 0.02)
GREEN, BLUE, WHITE, IVORY = (0.1, 0.2, 0.15), (0.08, 0.1, 0.3), (0.7, 0.7, 0.68), (0.78, 0.67, 0.5)


def rusted(seed: int = 3, count: int = 16) -> list[Spot]:
    """Spots of 2 to 6 mm that keep apart."""
    rng = random.Random(seed)
    return [
        Spot(x + 10, y + 10, rng.uniform(2, 6), 1)
        for x, y in scattered(rng, count, (SIZE_MM[0] - 20, SIZE_MM[1] - 20), 7.5)
    ]


def taken(spots: list[Spot] | None = None, **how: Any) -> Exposed:
    """A photograph at the scale of these tests."""
    spots = rusted() if spots is None else spots
    return exposed(spots, SIZE_MM, **{"pixel_mm": PIXEL_MM, "border_mm": 8.0, **how})


def found(pixels: Pixels, choices: RustChoices = CHOICES) -> Rust:
    """What is found, at the scale of these pictures."""
    return find_rust(pixels, 1000 * PIXEL_MM, choices)


def left_out_percent(seen: Rust) -> float:
    """How much of the panel without its edge of 10 mm is taken as scribed."""
    inside = seen.panel.depth_px > 10 / PIXEL_MM
    return 100 * float((seen.scribed & inside).sum() / inside.sum())


def truth(picture: Exposed, seen: Rust) -> float:
    """The true rusted area of what was evaluated, in %."""
    return 100 * float((picture.rust & seen.evaluated).sum() / seen.evaluated.sum())


@pytest.mark.every(4)
@pytest.mark.parametrize(
    "how",
    [
        {},
        {"exposure": 0.6},
        {"exposure": 1.5},
        {"angle_deg": 30.0},
        {"table": (0.8, 0.8, 0.8)},
        {"uneven": 0.5},
        {"coat": GREEN},
        {"coat": BLUE},
        {"coat": WHITE},
        {"coat": IVORY},
    ],
    ids=str,
)
def test_the_bounds_hold_the_rusted_area(how: dict[str, Any]) -> None:
    """Exposure, angle, table and coating may be other ones; the value is within a sixth."""
    picture = taken(**how)
    seen = found(picture.pixels)
    low, high = seen.bounds_percent
    true = truth(picture, seen)
    assert true == pytest.approx(picture.rust_percent(10 / PIXEL_MM), rel=0.03)
    assert low <= true <= high
    assert seen.percent() == pytest.approx(true, rel=1 / 6)
    assert seen.remarks == ()
    assert seen.evaluated.sum() * PIXEL_MM**2 == pytest.approx(50 * 80, rel=0.02)


def patched(colours: list[tuple[float, float]]) -> tuple[Pixels, list[tuple[int, int]]]:
    """A panel without rust with a row of patches of hue angle and saturation, and their middles."""
    pixels, middles = taken([], noise=0.0, uneven=0.0).pixels.copy(), []
    for place, (hue_deg, saturation) in enumerate(colours):
        row, column = 80 + 60 * (place // 4), 80 + 30 * (place % 4)
        chroma = 40 * saturation / np.sqrt(1 - saturation**2)
        hue = np.radians(hue_deg)
        colour = lab2rgb([[[40.0, chroma * np.cos(hue), chroma * np.sin(hue)]]])
        pixels[row - 10 : row + 10, column - 10 : column + 10] = np.rint(255 * colour)
        middles.append((row, column))
    return pixels, middles


def test_a_colour_is_rust_by_the_limits_that_it_keeps() -> None:
    """By wide, set and narrow limits: hue 20 to 80 degrees and 5 of doubt, saturation 0.3 and 0.1.

    Two to three degrees from a limit, or 0.05: the eight bits of a pixel round off less than that.
    """
    certainty = (
        {(12, 0.6): 0, (17, 0.6): 1, (22, 0.6): 2, (28, 0.6): 3}
        | {(72, 0.6): 3, (78, 0.6): 2, (83, 0.6): 1, (88, 0.6): 0}
        | {(50, 0.15): 0, (50, 0.25): 1, (50, 0.35): 2, (50, 0.45): 3}
    )
    pixels, middles = patched(list(certainty))
    seen = found(pixels, RustChoices(find_scribe=False))
    assert [int(seen.certainty[middle]) for middle in middles] == list(certainty.values())


@pytest.mark.parametrize("hue_deg", [5.0, 100.0])
def test_rust_of_another_colour_is_told_with_how_much_it_would_be(hue_deg: float) -> None:
    """Four patches of 20 x 20 px, too red or too yellow for the limits: no rust, but told."""
    pixels, _ = patched([(hue_deg, 0.5)] * 4)
    seen = found(pixels)
    (said,) = [one for one in seen.remarks if "neither" in one]
    truth_percent = 100 * 1600 / seen.evaluated.sum()
    share, most = float(said.split(" %")[0]), float(said.split("up to ")[1].split(" %")[0])
    assert share == pytest.approx(truth_percent, rel=0.15)
    assert seen.percent() == 0
    assert most == pytest.approx(share, rel=0.05)


MAGNETITE = (0.037, 0.035, 0.034)  # black iron oxide: lightness 22, no colour (from memory)


@pytest.mark.parametrize("coat", [{}, {"uneven": 0.5}, {"coat": WHITE, "exposure": 0.6}], ids=str)
def test_black_rust_is_not_counted_but_told(coat: dict[str, Any]) -> None:
    """Round spots of magnetite on a coating: their drawn area stands in the remark, within a fifth.

    Beside brown spots, whose area and bounds stay what they are without the black ones.
    """
    brown, black = rusted(seed=5, count=6), [Spot(20, 30, 5, 1), Spot(45, 60, 4, 1)]
    picture = taken(brown, **coat)
    pixels, place = picture.pixels.copy(), picture.place
    u, v = place.on_panel
    drawn = np.zeros(pixels.shape[:2], dtype=bool)
    for spot in black:
        drawn |= np.hypot(u - spot.x_mm, v - spot.y_mm) < spot.diameter_mm / 2
    drawn &= ~picture.rust
    shade = np.rint(encoded(np.array(MAGNETITE) * coat.get("exposure", 1.0)))
    pixels[drawn] = shade.astype(np.uint8)
    seen, without = found(pixels), found(picture.pixels)
    (said,) = [one for one in seen.remarks if "black" in one]
    true = 100 * float((drawn & seen.evaluated).sum() / seen.evaluated.sum())
    assert float(said.split(" %")[0]) == pytest.approx(true, rel=0.2)
    most = float(said.split("up to ")[1].split(" %")[0])
    assert most == pytest.approx(seen.bounds_percent[1] + true, rel=0.05)
    assert seen.percent() == pytest.approx(without.percent(), rel=0.02)
    assert not [one for one in without.remarks if "black" in one]


def test_a_coating_too_dark_to_show_black_rust_says_so() -> None:
    """Dark grey of lightness 30."""
    assert "the coating is dark: black rust (magnetite) is not told from it" in (
        found(taken(coat=(0.06, 0.062, 0.065)).pixels).remarks
    )


def test_a_quarter_turn_changes_no_number() -> None:
    """Area, bounds and what was left out are equal to the last bit, a scribe included."""
    pixels = taken(scribe=(20, 20, 50, 80)).pixels
    first = found(pixels)
    for turns in (1, 2, 3):
        other = found(np.ascontiguousarray(np.rot90(pixels, turns)))
        assert np.array_equal(other.certainty, np.rot90(first.certainty, turns))
        assert np.array_equal(other.evaluated, np.rot90(first.evaluated, turns))
        assert (other.percent(), other.bounds_percent) == (first.percent(), first.bounds_percent)


def test_a_compressed_photograph_gives_nearly_the_same_area() -> None:
    """JPEG of everyday quality, which blurs colours more than light."""
    picture = taken()
    small = np.asarray(Image.open(io.BytesIO(saved(picture.pixels, "JPEG", quality=85))))
    seen = found(small)
    assert seen.percent() == pytest.approx(found(picture.pixels).percent(), rel=0.1)
    assert seen.bounds_percent[0] <= truth(picture, seen) <= seen.bounds_percent[1]


def test_a_panel_without_rust_has_none() -> None:
    """Nothing, and the bounds say nothing too."""
    green = found(taken([], coat=GREEN).pixels)
    assert (green.percent(), *green.bounds_percent) == (0.0, 0.0, 0.0)


def test_the_margin_is_in_percent_where_no_scale_is_known() -> None:
    """Of the panel's shorter side: 7 mm of 70."""
    seen = find_rust(taken().pixels, None, CHOICES)
    assert seen.evaluated.sum() * PIXEL_MM**2 == pytest.approx(56 * 86, rel=0.02)


@pytest.mark.parametrize(
    ("scribe", "angle_deg"),
    [((35, 20, 35, 80), 0.0), ((20, 20, 50, 80), 25.0), ((15, 60, 55, 55), 0.0)],
)
def test_a_scribe_is_found_and_left_out(
    scribe: tuple[float, float, float, float], angle_deg: float
) -> None:
    """With 10 mm on each side and at its ends; the rust elsewhere still counts."""
    picture = taken(scribe=scribe, angle_deg=angle_deg)
    seen = found(picture.pixels)
    assert seen.remarks == (f"scribe: 1 found, {left_out_percent(seen):.3g} % left out",)
    length = float(np.hypot(scribe[2] - scribe[0], scribe[3] - scribe[1]))
    zone = seen.scribed.sum() * PIXEL_MM**2
    assert zone == pytest.approx(20 * length + np.pi * 100, rel=0.05)
    low, high = seen.bounds_percent
    assert low <= truth(picture, seen) <= high


def test_a_cross_is_two_scribes() -> None:
    """Both are found and left out, with 10 mm around each, and their share is told."""
    one, other = (taken([], scribe=ends) for ends in ((15, 25, 55, 75), (55, 25, 15, 75)))
    seen = found(np.minimum(one.pixels, other.pixels))
    assert seen.remarks == (f"scribe: 2 found, {left_out_percent(seen):.3g} % left out",)
    lines = (((15, 25), (55, 75)), ((55, 25), (15, 75)))
    zone = np.minimum(*(off_line(one.place, ends) for ends in lines)) <= 10
    # its outline is off by a pixel or two, its ends among them: 5 %
    assert (seen.scribed ^ zone).sum() < 0.06 * zone.sum()
    inside = one.depth_px > 10 / PIXEL_MM
    true = 100 * (zone & inside).sum() / inside.sum()
    assert left_out_percent(seen) == pytest.approx(true, rel=0.03)


def test_rust_alone_makes_no_scribe() -> None:
    """Many spots, and a run of rust, are not thin and dark enough for one, over four panels."""
    for seed in range(4):
        assert found(taken(rusted(seed, 20), seed=10 * seed).pixels).remarks == ()


def test_the_lab_may_say_where_the_scribe_is_or_that_there_is_none() -> None:
    """The part that it names is left out instead; or nothing is sought."""
    pixels = taken(scribe=(35, 20, 35, 80)).pixels
    boxed = found(pixels, RustChoices(scribe_box_percent=(30.0, 70.0, 10.0, 90.0)))
    assert boxed.remarks[0].startswith("scribe: the part that the lab has set, ")
    assert boxed.scribed.sum() * PIXEL_MM**2 == pytest.approx(28 * 80, rel=0.02)
    assert boxed.scribed[pixels.shape[0] // 2, pixels.shape[1] // 2]
    unsought = found(pixels, RustChoices(find_scribe=False))
    assert unsought.remarks == ()
    assert not unsought.scribed.any()


@pytest.mark.parametrize("turns", [0, 1, 2, 3])
def test_the_part_that_the_lab_has_set_is_that_of_the_picture_as_taken(turns: int) -> None:
    """Across and down as a person sees it, however the picture is brought into its position."""
    pixels = np.ascontiguousarray(np.rot90(taken([], coat=GREEN, noise=0.5).pixels, turns))
    across, down = ((70, 100), (100, 70))[turns % 2]
    seen = found(pixels, RustChoices(scribe_box_percent=(10.0, 40.0, 60.0, 95.0)))
    rows, columns = np.nonzero(seen.scribed)
    ends = np.array([columns.min(), columns.max() + 1, rows.min(), rows.max() + 1]) * PIXEL_MM - 8
    true = [0.1 * across, 0.4 * across, 0.6 * down, 0.95 * down]
    assert ends == pytest.approx(true, abs=3 * PIXEL_MM)


def test_a_picture_that_is_nothing_but_panel_says_so() -> None:
    """It is evaluated all the same."""
    picture = taken(border_mm=-2.0)
    seen = found(picture.pixels)
    blur = "the upper bound allows for 3 px, and rust spots below 12 px across may be missed"
    assert seen.remarks == (
        "no edge of a panel seen: all of the picture is taken as panel",
        f"blur not known: {blur}",
    )
    assert seen.bounds_percent[0] <= truth(picture, seen) <= seen.bounds_percent[1]


def test_a_panel_that_is_mostly_rust_is_told_with_a_doubt() -> None:
    """Mottled rust on more than half is rust, and a person is to make sure of it."""
    seen = found(taken([Spot(35, 50, 90, 1)]).pixels)
    assert seen.percent() > 80
    assert "make sure that it is not the coating's own" in seen.remarks[-1]


@pytest.mark.parametrize(
    ("pixels", "seen"),
    [
        (np.zeros((300, 400, 3), np.uint8), "black: hardly a pixel above 0 of 255"),
        (np.full((300, 400, 3), 255, np.uint8), "white: hardly a pixel below 255 of 255"),
        (np.full((300, 400, 3), (90, 60, 30), np.uint8), "one even colour"),
        (taken([], coat=PRIMER_RED).pixels, "100 % of the panel evenly in the colour of rust"),
        (taken(scribe=(35, 8, 35, 92)).pixels[:, 90:250], "of the panel beside its edge"),
    ],
)
def test_what_cannot_be_judged_is_refused(pixels: Pixels, seen: str) -> None:
    """What was seen is said."""
    with pytest.raises(NothingToMeasure, match=seen):
        found(pixels, RustChoices(scribe_mm=20.0))


def test_a_grey_photograph_is_refused() -> None:
    """Rust is told by its colour."""
    grey = taken().pixels.mean(axis=2, keepdims=True).astype(np.uint8).repeat(3, axis=2)
    with pytest.raises(NothingToMeasure, match="only greys: rust is told by its colour"):
        found(grey)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"words": (" ",)}, "an empty word"),
        ({"um_per_pixel": -1.0}, "um_per_pixel = -1: allowed is above 0"),
        ({"saturation_from": 1.5}, "saturation_from = 1.5: allowed is 0.05 to 0.95"),
        ({"hue_from_deg": 75.0}, "leave nothing between"),
        ({"saturation_from": 0.1}, "saturation_doubt is not below saturation_from"),
        ({"scribe_box_percent": (1.0, 2.0)}, "has 2 numbers: allowed are 4 or none"),
        ({"scribe_box_percent": (50.0, 20.0, 0.0, 9.0)}, "two that rise across"),
    ],
)
def test_nonsense_in_the_settings_is_refused(wrong: dict[str, Any], said: str) -> None:
    """The message names the choice and what is allowed."""
    with pytest.raises(ValueError, match=said):
        RustChoices(**wrong)


def campaign(pictures: int) -> tuple[np.ndarray[Any, Any], float]:
    """Rusted area found over the true one, and how often the bounds hold the true one."""
    ratios, held = [], 0
    for seed in range(pictures):
        rng = random.Random(seed)
        picture = taken(
            rusted(seed, rng.randint(4, 24)),
            angle_deg=rng.uniform(-45, 45),
            exposure=rng.uniform(0.6, 1.4),
            uneven=rng.uniform(0, 0.5),
            noise=rng.uniform(0.5, 4),
            coat=tuple(
                rng.uniform(0.8, 1.2) * light for light in rng.choice((GREEN, WHITE, IVORY))
            ),
            seed=10 * seed,
        )
        seen = found(picture.pixels)
        true = truth(picture, seen)
        ratios.append(seen.percent() / true)
        held += seen.bounds_percent[0] <= true <= seen.bounds_percent[1]
    return np.array(ratios), held / pictures


@pytest.mark.campaign
def test_bias_and_bounds_over_two_hundred_pictures(
    request: pytest.FixtureRequest, capsys: pytest.CaptureFixture[str]
) -> None:
    """The value is within a tenth on average, and the bounds hold the truth nearly always."""
    if "campaign" not in request.config.getoption("-m"):
        pytest.skip("run with -m campaign")
    ratios, held = campaign(200)
    with capsys.disabled():
        print(
            f"\nrusted area over truth: mean {ratios.mean():.3f}, sd {ratios.std():.3f},"
            f" from {ratios.min():.3f} to {ratios.max():.3f}; bounds hold {held:.1%}"
        )
    assert ratios.mean() == pytest.approx(1.0, abs=0.1)
    assert held > 0.95
