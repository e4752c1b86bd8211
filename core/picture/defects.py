"""Craters, pinholes and thin spots of a film photographed before a lamp: what is bright is thin."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from skimage.measure import regionprops_table

from tiecoat.picture.defect_choices import DefectChoices
from tiecoat.picture.lighting import (
    darkest_and_brightest,
    fit_lamp,
    grey_of,
    lamp_over_film,
    linear_light,
)
from tiecoat.picture.nothing import NothingToMeasure
from tiecoat.picture.panel import Field, Panel, find_panel
from tiecoat.picture.regions import Labels, Mask, Pixels, Regions, measured, renumbered
from tiecoat.picture.turning import turned, turns_to_position
from tiecoat.picture.waviness import BANDS_MM, waviness_percent

Class = Literal["pinhole", "crater", "bare spot", "thin spot"]
CLASSES: Final[tuple[Class, ...]] = ("pinhole", "crater", "bare spot", "thin spot")

SMOOTHING_PX = 0.8  # against single noisy pixels
APART_PX = 3  # after that smoothing the noise of pixels so far apart is independent
LEAST_PX = 3.0  # across the smallest defect counted
NOISES = 5.0  # a spot must stand out of the noise by so many standard deviations
WHITE = 250  # of 255: a picture that is nearly all above shows no film
MOST_WHITE = 0.9
DARK_FILM = 10  # of 255: below, one step of grey is more than 20 % of the light
LEAST_CONTRAST = math.log(1.5)  # between panel and surround, in ln of light
MOST_COVERED = 0.3  # of the film; more is no film with defects
MOST_REGIONS = 5000
MOST_NOISE = 0.2  # standard deviation after smoothing, as a share
MOST_UNEVEN = 0.4  # robust standard deviation of the light, as a share
SURROUND_PX = 5.0  # so far beyond the edge of the panel the lamp is taken as bare
NEAR_SHARE = 0.2  # of the shorter side: farther out the picture may show what is no lamp
DIMMED_PX = 6.0  # a hole that is smaller may look like a thin spot by blur: measured up to 2 px
LEAST_MARGIN_PX = 10.0  # blur, and how coarsely the edge is sought, make it bright so far inside
OPEN_EDGE = 0.03  # of the shorter side, where the picture does not show the panel's edge
SOLID_FROM = 0.85  # of a crater: area over that of its convex hull
DAMPED_PX = 8.0  # width of the soft edge for waviness, at least
FILM = "an even film with single defects"
EXPECTED = "a photograph of a film before a lamp"


@dataclass(frozen=True)
class FoundDefects:
    """What was found on a photograph.

    Parameters
    ----------
    labels
        0 for film, k + 1 for region k; shape (rows, columns).
    regions
        A row a defect that is counted.
    classes
        The class of each.
    brightest
        The most light in each, over the light of the film.
    film
        What was evaluated: the panel without its margin.
    panel
        Where the panel was seen.
    least_diameter_px
        Smaller ones are not counted.
    lamp_ratio, lamp_seen
        Light of the bare lamp over that of the film, and whether the picture shows it.
    waviness_percent
        Brightness waves in `waviness.BANDS_MM`.
    remarks
        What must be known of it.
    """

    labels: Labels
    regions: Regions
    classes: NDArray[np.str_]
    brightest: NDArray[np.float64]
    film: Mask
    panel: Panel
    least_diameter_px: float
    lamp_ratio: float
    lamp_seen: bool
    waviness_percent: NDArray[np.float64]
    remarks: tuple[str, ...]

    def count(self, name: Class) -> int:
        """How many defects of a class."""
        return int((self.classes == name).sum())


def find_defects(pixels: Pixels, um_per_pixel: float, choices: DefectChoices) -> FoundDefects:
    r"""Find the defects of a film before a lamp.

    The light r of each pixel over that of the even film (`lighting.fit_lamp`) is smoothed by a
    Gaussian of 0.8 px. A defect has a pixel with r above `thin_from`, or above 1 plus five standard
    deviations of the noise. It reaches as far as half of its own height,
    :math:`r - 1 \ge (r_{max} - 1)/2`, so that its size depends neither on the exposure nor on the
    blur of its edge. It is counted where its centroid lies inside of the margin.

    Classes: light falls with the logarithm through a film (Lambert and Beer), so that a share of
    :math:`\ln r_{max} / \ln r_{lamp}` of the thickness is missing. A spot that lacks
    `through_share` of it goes through the film. It is a pinhole up to `pinhole_to_mm`; above, a
    crater if it is round, else a bare spot. What does not go through is a crater if it is larger
    than a pinhole, round and has a dark rim, else a thin spot. Blur dims what is few pixels wide:
    of 24 holes of 4 px none looked like a thin spot at a standard deviation of 1 px, 21 did at 1.5.
    So it is told how many thin spots are below 6 px.

    Parameters
    ----------
    pixels
        sRGB, shape (rows, columns, 3).
    um_per_pixel
        Size of a pixel in µm.
    choices
        Limits.

    Raises
    ------
    NothingToMeasure
        If the picture is black or white all over, or shows no even film.
    """
    turns = turns_to_position(pixels)
    found = _find(turned(pixels, turns), um_per_pixel / 1000, choices)
    panel = Panel(turned(found.panel.depth_px, -turns), found.panel.whole)
    labels = turned(found.labels, -turns)
    return replace(
        found,
        labels=labels,
        regions=measured(labels),
        film=turned(found.film, -turns),
        panel=panel,
    )


def _find(pixels: Pixels, pixel_mm: float, choices: DefectChoices) -> FoundDefects:
    light = linear_light(pixels)
    _refuse_blank(light)
    panel = find_panel(pixels, _ln_light, LEAST_CONTRAST)
    margin = _margin_px(panel, choices.edge_mm / pixel_mm)
    film = panel.depth_px > margin
    if not film.any():
        seen = f"a panel {panel.shorter_px * pixel_mm:.3g} mm wide"
        raise NothingToMeasure(seen, f"more than twice the margin of {margin * pixel_mm:.3g} mm")
    lamp = fit_lamp(light, film)
    remarks = _remarks(panel, float(np.median(light[film])), lamp.left_over, choices)
    lamp_ratio, lamp_seen = _lamp_ratio(light, film, panel, choices)
    plain = np.divide(light, lamp.light, out=light)
    del lamp  # of a large picture each field counts
    ratio = ndimage.gaussian_filter(plain, SMOOTHING_PX)
    least_px = max(LEAST_PX, choices.least_diameter_mm / pixel_mm)
    sought = panel.depth_px > margin / 2
    height = _least_height(ratio, film, choices.thin_from)
    labels, brightest = _spots(ratio, film, sought, least_px, height)
    regions = measured(labels)
    through = np.log(brightest) >= choices.through_share * math.log(lamp_ratio)
    small = regions.diameter_px * pixel_mm <= choices.pinhole_to_mm
    classes = _classes(_Spots(labels, regions, small, through), ratio, choices)
    dimmed = int(((classes == "thin spot") & (regions.diameter_px < DIMMED_PX)).sum())
    return FoundDefects(
        labels=labels,
        regions=regions,
        classes=classes,
        brightest=brightest,
        film=film,
        panel=panel,
        least_diameter_px=least_px,
        lamp_ratio=lamp_ratio,
        lamp_seen=lamp_seen,
        # of the plain light: smoothing would damp the shortest waves
        waviness_percent=_waves(plain, labels, film, panel.depth_px - margin, pixel_mm),
        remarks=(*remarks, *_doubts(height, dimmed, choices)),
    )


def _ln_light(pixels: Pixels) -> Field:
    light = np.log(np.maximum(linear_light(pixels), np.float32(1e-3)))
    return np.asarray(light[..., None], dtype=np.float32)


def _refuse_blank(light: Field) -> None:
    sample = light[::3, ::3]
    darkest, brightest = darkest_and_brightest(sample, EXPECTED)
    white = float(np.mean(sample >= linear_light(np.full((1, 3), WHITE, np.uint8))[0]))
    if white > MOST_WHITE:
        seen = f"white: {100 * white:.0f} % of it at least {WHITE} of 255"
        raise NothingToMeasure(seen, EXPECTED)
    if brightest == darkest and float(np.ptp(light)) == 0:
        raise NothingToMeasure(f"one even grey, {brightest} of 255", EXPECTED)


def _margin_px(panel: Panel, edge_px: float) -> float:
    if panel.whole:
        return min(edge_px, OPEN_EDGE * panel.shorter_px)
    return max(edge_px, LEAST_MARGIN_PX)


def _lamp_ratio(
    light: Field, film: Mask, panel: Panel, choices: DefectChoices
) -> tuple[float, bool]:
    """Return the light of the bare lamp over that of the film, and whether it is seen."""
    reach = SURROUND_PX + NEAR_SHARE * panel.shorter_px
    beside = (panel.depth_px < -SURROUND_PX) & (panel.depth_px > -reach)
    seen = lamp_over_film(light, film, beside)
    if seen is not None and seen > choices.thin_from:
        return seen, True
    return choices.lamp_ratio, False


def _remarks(
    panel: Panel, film_light: float, left_over: float, choices: DefectChoices
) -> tuple[str, ...]:
    remarks = []
    if panel.whole:
        remarks.append("no edge of a panel seen: all of the picture is taken as film")
    if (grey := grey_of(film_light)) < DARK_FILM:
        remarks.append(f"film nearly black ({grey} of 255): thin spots hardly show, expose longer")
    if left_over > (choices.thin_from - 1) / 3:
        remarks.append(f"light uneven by {100 * left_over:.0f} % beyond what was taken out")
    return tuple(remarks)


def _doubts(height: float, dimmed: int, choices: DefectChoices) -> Iterator[str]:
    if height > choices.thin_from - 1:
        yield f"noise: only spots above {1 + height:.2f} x film are counted"
    if dimmed:
        seen = f"{dimmed} of the thin spots below {DIMMED_PX:g} pixels across"
        yield f"{seen}: they may be holes, dimmed by blur"


def _least_height(ratio: Field, film: Mask, thin_from: float) -> float:
    """Return by how much the light of a spot must exceed that of the film, as a share of it."""
    values = ratio[film]
    uneven = _robust_spread(values - np.median(values))
    if uneven > MOST_UNEVEN:
        seen = f"light that varies by {100 * uneven:.0f} % from place to place"
        raise NothingToMeasure(seen, FILM)
    noise = _noise(ratio, film)
    if noise > MOST_NOISE:
        raise NothingToMeasure(f"noise of {100 * noise:.0f} % of the light", FILM)
    return max(thin_from - 1, NOISES * noise)


def _robust_spread(residuals: Field) -> float:
    return float(np.median(np.abs(residuals))) / 0.6745


def _noise(ratio: Field, film: Mask) -> float:
    """Return the noise of a pixel, from pixels too far apart to share any after smoothing.

    Neighbours have the same film in front of them, so that waves and defects add nothing.
    """
    pairs = film[:, APART_PX:] & film[:, :-APART_PX]
    if not pairs.any():
        return 0.0
    return _robust_spread((ratio[:, APART_PX:] - ratio[:, :-APART_PX])[pairs]) / math.sqrt(2)


def _spots(
    ratio: Field, film: Mask, sought: Mask, least_px: float, height: float
) -> tuple[Labels, NDArray[np.float64]]:
    """Return the regions that are counted, from 1, and the greatest ratio in each."""
    base = (ratio > 1 + height / 2) & sought
    labels, count = ndimage.label(base, np.ones((3, 3)))
    if count > 20 * MOST_REGIONS or base[film].mean() > MOST_COVERED:
        _refuse_texture(float(base[film].mean()), count)
    at = np.flatnonzero(labels)
    peaks = _peaks(ratio.ravel()[at], labels.ravel()[at], count)
    of = labels.ravel()[at]
    kept = (peaks[of] - 1 >= height) & (ratio.ravel()[at] - 1 >= (peaks[of] - 1) / 2)
    spots = np.zeros(ratio.size, dtype=bool)
    spots[at[kept]] = True
    return _counted(spots.reshape(ratio.shape), ratio, film, least_px)


def _peaks(values: Field, of: NDArray[np.int32], count: int) -> NDArray[np.float64]:
    peaks = np.zeros(count + 1)
    np.maximum.at(peaks, of, values)
    return peaks


def _counted(
    spots: Mask, ratio: Field, film: Mask, least_px: float
) -> tuple[Labels, NDArray[np.float64]]:
    """Number the regions that are large enough and have their centroid on the film."""
    labels, count = ndimage.label(spots, np.ones((3, 3)))
    row, column = np.nonzero(labels)
    of = labels[row, column]
    sizes = np.bincount(of, minlength=count + 1)
    with np.errstate(invalid="ignore"):
        middle = [np.bincount(of, place, count + 1) / sizes for place in (row, column)]
    kept = sizes >= math.pi / 4 * least_px**2
    kept[0] = False
    down, right = (np.rint(np.where(kept, place, 0)).astype(int) for place in middle)
    kept &= film[down, right]
    if kept.sum() > MOST_REGIONS:
        _refuse_texture(float(spots[film].mean()), int(kept.sum()))
    peaks = _peaks(ratio[row, column], of, count)
    return renumbered(labels, kept), peaks[kept]


def _refuse_texture(covered: float, count: int) -> None:
    seen = f"{count} bright spots on {100 * covered:.0f} % of the area"
    raise NothingToMeasure(seen, FILM)


@dataclass(frozen=True)
class _Spots:
    """The regions, and which of them are small and which go through the film."""

    labels: Labels
    regions: Regions
    small: NDArray[np.bool_]
    through: NDArray[np.bool_]


def _classes(spots: _Spots, ratio: Field, choices: DefectChoices) -> NDArray[np.str_]:
    small, through = spots.small, spots.through
    round_ = np.sqrt(1 - spots.regions.eccentricity**2) >= choices.round_from
    boxes = ndimage.find_objects(spots.labels)
    for k in np.flatnonzero(round_ & ~small).tolist():
        mask = (spots.labels[boxes[k]] == k + 1).astype(np.uint8)
        solidity = regionprops_table(mask, properties=("solidity",))["solidity"]
        round_[k] = bool(solidity[0] >= SOLID_FROM)
    rimmed = np.zeros(len(spots.regions), dtype=bool)
    for k in np.flatnonzero(round_ & ~small & ~through).tolist():
        rimmed[k] = _rim(spots.labels, boxes[k], k + 1, ratio) <= choices.rim_to
    classes = np.full(len(spots.regions), "thin spot", dtype="<U9")
    classes[~small & round_ & (through | rimmed)] = "crater"
    classes[~small & ~round_ & through] = "bare spot"
    classes[small & through] = "pinhole"
    return classes


def _rim(labels: Labels, box: tuple[slice, slice], number: int, ratio: Field) -> float:
    """Return the darkest median light of rings around a region, each a pixel wide."""
    size = max(side.stop - side.start for side in box)
    reach = max(4, size // 2)
    around = tuple(slice(max(0, side.start - reach), side.stop + reach) for side in box)
    distance = np.ceil(ndimage.distance_transform_edt(labels[around] != number))
    film = labels[around] == 0
    rings = (ratio[around][film & (distance == step)] for step in range(1, reach + 1))
    return min((float(np.median(ring)) for ring in rings if ring.size), default=math.inf)


def _waves(
    ratio: Field, labels: Labels, film: Mask, depth_px: Field, pixel_mm: float
) -> NDArray[np.float64]:
    weight = _soft(film, labels, depth_px, BANDS_MM[0][0] / pixel_mm)
    across_mm = 2 * float(depth_px.max()) * pixel_mm
    return waviness_percent(np.maximum(ratio, 0.05), weight, 1000 * pixel_mm, across_mm)


def _soft(film: Mask, labels: Labels, depth_px: Field, shortest_px: float) -> Field:
    """Return the weight of each pixel for waviness: 0 at the edge and on defects, softly to 1."""
    width = max(DAMPED_PX, 0.1 * float(depth_px.max()))
    weight = np.sin(np.clip(depth_px / width, 0, 1) * np.float32(np.pi / 2)) ** 2
    weight *= film
    if not labels.any():
        return np.asarray(weight, dtype=np.float32)
    blur = max(2.0, shortest_px / 4)
    spots = (ndimage.maximum_filter(labels, 2 * round(2 * blur) + 1) > 0).astype(np.float32)
    weight *= 1 - ndimage.gaussian_filter(spots, blur)
    weight[labels > 0] = 0
    return np.asarray(weight, dtype=np.float32)
