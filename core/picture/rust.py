"""Rusted area on the photograph of an exposed panel, by colour in CIELAB.

An aid to the inspector: the rating is the inspector's. A camera sees colour, not rust: black rust
is not counted, but told.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from skimage.color import rgb2lab

from tiecoat.picture.lighting import darkest_and_brightest, linear_light
from tiecoat.picture.nothing import NothingToMeasure
from tiecoat.picture.panel import Field, Panel, find_panel
from tiecoat.picture.regions import Mask, Pixels
from tiecoat.picture.rust_choices import RustChoices
from tiecoat.picture.scribe import find_scribes
from tiecoat.picture.sharpness import edge_blur_px
from tiecoat.picture.turning import turned, turned_box, turns_to_position

STRIP_ROWS = 256  # CIELAB is computed strip by strip: of a whole picture it fills the memory
LEAST_PX = 4  # specks of fewer pixels are noise
LEAST_CONTRAST = 10.0  # between panel and surround, in CIELAB
GREY_CHROMA = 3.0  # a picture that hardly has more has no colour
WHITE = 250  # of 255: a picture that is all above shows nothing
LEAST_COVERED = 0.5  # from here on the coating itself may have the colour
LEAST_MOTTLED = 6.0  # rust varies by more in lightness, quartile to quartile; a coating does not
BESIDE_EDGE = 0.03  # of the shorter side, where shadows look like scribes
SHARP_PX = 1.2  # standard deviation of the blur of a good photograph; common practice, no source
RESOLVED = 4  # deviations across from which on a spot keeps half of its area and more: measured
UNKNOWN_BLUR_PX = 3.0  # allowed for where no edge tells it: measured, enough for up to 3 px
SAMPLE = 3  # of other colours every third pixel in rows and columns is looked at
NEAR_RUST = 2  # of these from what is rust on: outlines have colours between
OTHER_TINT = 0.2  # of saturation, between the coating and what is of another colour
# Black rust (magnetite) has no colour. Black iron oxide has a lightness of 22 to 26 (from memory):
BLACK_LIGHTNESS = 26.0
DARKER = 0.5  # of the coating's lightness: no light falls so unevenly on a panel to be judged
TELL_OTHER, TELL_OTHER_SHARE = 0.02, 0.05  # % of the area, and share of its upper bound
LEAST_LEFT = 0.1  # of the panel must be left to judge
BLACK = "black, as magnetite is, or dirt"
EXPECTED = "a colour photograph of an exposed panel"

LAX: Final = 1
NOMINAL: Final = 2
STRICT: Final = 3


@dataclass(frozen=True)
class Rust:
    """What was found on a photograph.

    Parameters
    ----------
    certainty
        0 for no rust; 1, 2, 3 for what is rust by the wide limits, by the limits as set, by the
        narrow ones; shape (rows, columns).
    evaluated
        The panel without its edge and without what is scribed.
    scribed
        What is left out for scribes.
    panel
        Where the panel was seen.
    remarks
        What must be known of it.
    blur_px
        Standard deviation of the blur of the panel's edge; NaN where none is seen.
    """

    certainty: NDArray[np.uint8]
    evaluated: Mask
    scribed: Mask
    panel: Panel
    remarks: tuple[str, ...]
    blur_px: float = math.nan

    def percent(self, least: int = NOMINAL) -> float:
        """Return the rusted area in % of the evaluated one, by the limits of this certainty."""
        return 100 * float(np.count_nonzero(self.certainty >= least) / self.evaluated.sum())

    @property
    def bounds_percent(self) -> tuple[float, float]:
        """The rusted area by the narrow and by the wide limits, in % of the evaluated one.

        How much of a pixel on an outline is rust is not known, nor of its neighbour, by the blur:
        by these pixels the lower bound is lowered and the upper one raised. That matters where
        spots are a few pixels wide. Blur takes away from spots and adds nothing: the upper bound
        alone is raised by as many pixels as the edge of the panel is blurred by, where that is more
        than one, or by 3 where no edge tells it. Measured on drawn spots (tests): right for spots
        of four deviations of the blur across and more; smaller ones are not all seen, which a
        remark tells.
        """
        total = float(self.evaluated.sum())
        narrow, wide = (self.certainty >= level for level in (STRICT, LAX))
        low = narrow.sum() - _outline_px(narrow)
        blur = UNKNOWN_BLUR_PX if math.isnan(self.blur_px) else max(self.blur_px, 1.0)
        high = min(wide.sum() + blur * _outline_px(wide), total)
        return 100 * float(low) / total, 100 * float(high) / total

    @property
    def evaluated_percent(self) -> float:
        """Evaluated share of the panel, in %."""
        return 100 * float(self.evaluated.sum() / self.panel.inside.sum())


def find_rust(pixels: Pixels, um_per_pixel: float | None, choices: RustChoices) -> Rust:
    r"""Find the rusted area of an exposed panel by its colour.

    A pixel is rust if its hue angle :math:`h = \operatorname{atan2}(b^*, a^*)` lies within limits
    and its saturation :math:`C^* / \sqrt{L^{*2} + C^{*2}}`, :math:`C^* = \sqrt{a^{*2} + b^{*2}}`,
    is above one. How far the limits are to be trusted is told by the area that wider and narrower
    ones give: an interval of the choice of limits, not of chance.

    Parameters
    ----------
    pixels
        sRGB, shape (rows, columns, 3).
    um_per_pixel
        Size of a pixel in µm; None if unknown, then margins are in % of the panel.
    choices
        Limits.

    Raises
    ------
    NothingToMeasure
        If the picture has no colour, is black or white, leaves too little of the panel, or shows a
        coating that itself has the colour of rust.

    References
    ----------
    CIE 15:2004 and ISO/CIE 11664-4 for CIELAB; saturation: Lübbe, Colours in the Mind, 2008 (from
    memory).
    """
    turns = turns_to_position(pixels)
    box = turned_box(choices.scribe_box_percent, turns)  # the lab means the picture as it is taken
    choices = replace(choices, scribe_box_percent=box)
    found = _find(turned(pixels, turns), um_per_pixel, choices)
    return replace(
        found,
        certainty=turned(found.certainty, -turns),
        evaluated=turned(found.evaluated, -turns),
        scribed=turned(found.scribed, -turns),
        panel=Panel(turned(found.panel.depth_px, -turns), found.panel.whole),
    )


def _find(pixels: Pixels, um_per_pixel: float | None, choices: RustChoices) -> Rust:
    _refuse_blank(pixels)
    panel = find_panel(pixels, _lab, LEAST_CONTRAST)
    edge = _margin_px(panel, um_per_pixel, choices.edge_mm, choices.edge_percent)
    within = panel.depth_px > edge
    certainty, lightness = _judged(pixels, choices)
    scribed, how = _scribed(lightness, panel, um_per_pixel, choices)
    evaluated = within & ~scribed
    share = float(evaluated.sum() / panel.inside.sum())
    if share < LEAST_LEFT:
        seen = f"{100 * share:.0f} % of the panel beside its edge and its scribe"
        raise NothingToMeasure(seen, f"at least {100 * LEAST_LEFT:g} % left to judge")
    certainty = _without_specks(certainty * evaluated)
    blur_px = math.nan if panel.whole else edge_blur_px(pixels, panel.inside)
    found = Rust(certainty, evaluated, scribed, panel, (), blur_px)
    remarks = [*_remarks(found, lightness), *_of_other_colours(found, pixels)]
    if how:
        left_out = 100 * float((within & scribed).sum() / within.sum())
        remarks.append(f"{how}, {left_out:.3g} % left out")
    return replace(found, remarks=tuple(remarks))


def _outline_px(mask: Mask) -> int:
    """Return how many pixels of a mask have one of their four neighbours outside of it."""
    return int(mask.sum() - ndimage.binary_erosion(mask, border_value=1).sum())


def _lab(pixels: Pixels) -> Field:
    return np.asarray(rgb2lab(pixels.astype(np.float32) / np.float32(255)), dtype=np.float32)


def _strips(pixels: Pixels) -> Iterator[tuple[slice, Field]]:
    for start in range(0, len(pixels), STRIP_ROWS):
        strip = slice(start, start + STRIP_ROWS)
        yield strip, _lab(pixels[strip])


def _refuse_blank(pixels: Pixels) -> None:
    sample = pixels[::3, ::3]
    darkest, _ = darkest_and_brightest(linear_light(sample), EXPECTED)
    if darkest > WHITE:
        raise NothingToMeasure(f"white: hardly a pixel below {darkest} of 255", EXPECTED)
    if bool((pixels == pixels[:1, :1]).all()):
        raise NothingToMeasure("one even colour", EXPECTED)
    lab = _lab(sample)
    if float(np.quantile(np.hypot(lab[..., 1], lab[..., 2]), 0.999)) < GREY_CHROMA:
        raise NothingToMeasure("only greys: rust is told by its colour", EXPECTED)


def _margin_px(
    panel: Panel, um_per_pixel: float | None, margin_mm: float, margin_percent: float
) -> float:
    if um_per_pixel is not None:
        return 1000 * margin_mm / um_per_pixel
    return margin_percent / 100 * panel.shorter_px


def _judged(pixels: Pixels, choices: RustChoices) -> tuple[NDArray[np.uint8], Field]:
    """Return the certainty of rust for each pixel, and its lightness."""
    certainty = np.zeros(pixels.shape[:2], dtype=np.uint8)
    lightness = np.empty(pixels.shape[:2], dtype=np.float32)
    for strip, lab in _strips(pixels):
        light, chroma = lab[..., 0], np.hypot(lab[..., 1], lab[..., 2])
        hue = np.degrees(np.arctan2(lab[..., 2], lab[..., 1]))
        saturation = chroma / np.maximum(np.hypot(light, chroma), np.float32(1e-6))
        for inward in (-1, 0, 1):
            doubt = inward * choices.hue_doubt_deg
            least = choices.saturation_from + inward * choices.saturation_doubt
            certainty[strip] += (
                (hue >= choices.hue_from_deg + doubt)
                & (hue <= choices.hue_to_deg - doubt)
                & (saturation >= least)
                & (light >= choices.darkest_lightness)
            )
        lightness[strip] = light
    return certainty, lightness


def _scribed(
    lightness: Field, panel: Panel, um_per_pixel: float | None, choices: RustChoices
) -> tuple[Mask, str]:
    """Return what is left out for scribes, and how it was found; "" if nothing is."""
    zone: Mask = np.zeros(lightness.shape, dtype=bool)
    if choices.scribe_box_percent:
        zone[_box(panel.inside, choices.scribe_box_percent)] = True
        return zone, "scribe: the part that the lab has set"
    if not choices.find_scribe:
        return zone, ""
    shorter = panel.shorter_px
    scribes = find_scribes(lightness, panel.depth_px > BESIDE_EDGE * shorter, shorter)
    margin = _margin_px(panel, um_per_pixel, choices.scribe_mm, choices.scribe_percent)
    rows = np.arange(zone.shape[0], dtype=np.float32)
    columns = np.arange(zone.shape[1], dtype=np.float32)
    for scribe in scribes:
        zone |= scribe.distance_px(rows[:, None], columns[None, :]) <= margin
    return zone, f"scribe: {len(scribes)} found" if scribes else ""


def _box(inside: Mask, box_percent: tuple[float, ...]) -> tuple[slice, slice]:
    left, right, top, bottom = (share / 100 for share in box_percent)
    down, across = np.flatnonzero(inside.any(axis=1)), np.flatnonzero(inside.any(axis=0))

    def part(places: NDArray[np.intp], start: float, end: float) -> slice:
        first, length = int(places[0]), len(places)
        return slice(first + math.floor(start * length), first + math.ceil(end * length))

    return part(down, top, bottom), part(across, left, right)


def _without_specks(certainty: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return the certainty with specks of noise taken out, at each level by itself."""
    cleaned = np.zeros_like(certainty)
    for level in (LAX, NOMINAL, STRICT):
        labels, _ = ndimage.label(certainty >= level, np.ones((3, 3)))
        sizes = np.bincount(labels.ravel())
        sizes[0] = 0
        cleaned += (sizes >= LEAST_PX)[labels]
    return cleaned


def _remarks(found: Rust, lightness: Field) -> Iterator[str]:
    if found.panel.whole:
        yield "no edge of a panel seen: all of the picture is taken as panel"
    if math.isnan(found.blur_px):
        yield (
            f"blur not known: the upper bound allows for {UNKNOWN_BLUR_PX:g} px, and rust spots"
            f" below {RESOLVED * UNKNOWN_BLUR_PX:.0f} px across may be missed"
        )
    if found.blur_px > SHARP_PX:
        yield (
            f"blurred by {found.blur_px:.2g} px: rust spots below {RESOLVED * found.blur_px:.0f} px"
            " across are seen too small or not at all, and the area may be above its bounds"
        )
    share = found.percent()
    if share < 100 * LEAST_COVERED:
        return
    low, high = np.quantile(lightness[found.certainty >= NOMINAL], (0.25, 0.75))
    if high - low < LEAST_MOTTLED:
        seen = f"{share:.0f} % of the panel evenly in the colour of rust: it may be the coating's"
        raise NothingToMeasure(seen, "a coating of another colour; rate it by eye")
    yield f"{share:.0f} % in the colour of rust: make sure that it is not the coating's own"


def _of_other_colours(found: Rust, pixels: Pixels) -> Iterator[str]:
    """Tell of what is in the colour neither of the coating nor of rust: rust may have another."""
    every = (slice(None, None, SAMPLE),) * 2
    evaluated, rust = found.evaluated[every], found.certainty[every] > 0
    lab = _lab(pixels[every])
    light = np.maximum(np.hypot(lab[..., 0], np.hypot(lab[..., 1], lab[..., 2])), 1e-6)
    tint = lab[..., 1:] / light[..., None]
    coating = evaluated & ~rust
    if not coating.any():
        return
    own_tint, own_lightness = np.median(tint[coating], axis=0), np.median(lab[coating][:, 0])
    off = np.linalg.norm(tint - own_tint, axis=-1) > OTHER_TINT
    black = (lab[..., 0] < DARKER * own_lightness) & ~off
    near = ndimage.binary_dilation(rust, np.ones((3, 3)), iterations=NEAR_RUST)
    high = found.bounds_percent[1]
    for other, seen in ((off, "in the colour neither of the coating nor of rust"), (black, BLACK)):
        share = 100 * float(ndimage.binary_opening(other & coating & ~near).sum() / evaluated.sum())
        if share > max(TELL_OTHER, TELL_OTHER_SHARE * high):
            yield (
                f"{share:.2g} % of the area is {seen}: if it is rust, up to {high + share:.3g} % is"
                " rusted"
            )
    if DARKER * own_lightness < BLACK_LIGHTNESS and np.linalg.norm(own_tint) < OTHER_TINT:
        yield "the coating is dark: black rust (magnetite) is not told from it"
