"""The three layers of a cut film: resin, film and substrate, told apart by their grey.

The picture is cut into strips across the layers. The median grey over a strip's width, row by row,
does not see pores; two steps are fitted to it by least squares, which gives three layers whatever
their greys are, as long as they differ.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.stats import theilslopes

from tiecoat.picture.nothing import NothingToMeasure
from tiecoat.picture.regions import Floats
from tiecoat.picture.section_choices import SectionChoices, Side

Grey = NDArray[np.float32]

MOST_ROWS = 600  # of a profile; the search for the steps grows with the square
STRIPS = 16
LEAST_STRIP_PX = 6
LEAST_SIDE_PX = 48
LEAST_AGREEING = 0.75  # share of the strips in which the layers lie on one line
LEAST_EVEN = 0.75  # share of a layer's rows whose grey is nearly its median; a mere shade has half
TURNS = {"bottom": 0, "left": 1, "top": 2, "right": 3}  # quarters, until the substrate is below
EXPECTED = "substrate, film and resin as three layers from edge to edge, each of its own grey"


@dataclass(frozen=True)
class Layers:
    """Three layers, the substrate below; shape (strips,), in pixels.

    Parameters
    ----------
    centre
        Column in the middle of each strip.
    surface, substrate
        Row where the film begins, and where the substrate does.
    greys
        Grey of resin, film and substrate, shape (strips, 3).
    """

    centre: Floats
    surface: Floats
    substrate: Floats
    greys: Floats

    @property
    def thickness(self) -> float:
        """Median over the strips."""
        return float(np.median(self.substrate - self.surface))

    def greys_at(self, columns: int) -> NDArray[np.float32]:
        """Return the greys of the three layers in each column, shape (3, columns)."""
        at = np.arange(columns)
        of = [np.interp(at, self.centre, self.greys[:, layer]) for layer in range(3)]
        return np.asarray(of, dtype=np.float32)


def turned_upright(grey: Grey, choices: SectionChoices) -> int:
    """Return by how many quarters to turn the picture so that the substrate lies below.

    Raises
    ------
    NothingToMeasure
        If the picture is too small, or of one grey.
    """
    if min(grey.shape) < LEAST_SIDE_PX:
        seen = f"a picture of {grey.shape[1]} x {grey.shape[0]} pixels"
        raise NothingToMeasure(seen, f"at least {LEAST_SIDE_PX} pixels on each side")
    low, high = float(grey.min()), float(grey.max())
    if high - low < choices.least_contrast * 255:
        raise NothingToMeasure(f"a picture that is grey {low:.0f} to {high:.0f} all over", EXPECTED)
    side: Side = choices.substrate
    if side != "auto":
        return TURNS[side]
    upright, lying = _strips(grey), _strips(np.rot90(grey))
    turns, strips = (0, upright) if upright.explained >= lying.explained else (1, lying)
    first, _, last = np.median(strips.greys, axis=0)
    return turns if last >= first else turns + 2


def fit_layers(grey: Grey, choices: SectionChoices) -> Layers:
    """Return the layers of a picture whose substrate lies below.

    Raises
    ------
    NothingToMeasure
        If the strips do not agree on three layers, or these do not differ enough.
    """
    strips = _strips(grey)
    agree = np.ones(len(strips.centre), dtype=bool)
    for rows in (strips.surface, strips.substrate):
        slope, offset, *_ = theilslopes(rows, strips.centre)
        agree &= np.abs(rows - offset - slope * strips.centre) < max(0.3 * strips.thickness, 4)
    if agree.mean() < LEAST_AGREEING:
        raise NothingToMeasure("no layers that go from edge to edge", EXPECTED)
    layers = Layers(
        strips.centre[agree], strips.surface[agree], strips.substrate[agree], strips.greys[agree]
    )
    resin, film, substrate = (float(one) for one in np.median(layers.greys, axis=0))
    if min(abs(film - resin), abs(film - substrate)) < choices.least_contrast * 255:
        seen = f"layers of grey {resin:.0f}, {film:.0f} and {substrate:.0f} (0 black, 255 white)"
        raise NothingToMeasure(seen, EXPECTED)
    even = float(np.median(strips.even))
    if even < LEAST_EVEN:
        seen = f"grey {resin:.0f} to {substrate:.0f} without a layer of one grey between"
        raise NothingToMeasure(f"{seen} ({even:.0%} even)", EXPECTED)
    return layers


@dataclass(frozen=True)
class _Strips(Layers):
    """Layers as each strip shows them.

    `explained` is how much of the greys' variance they explain; `even`, shape (strips,), the share
    of the rows whose grey is within a quarter of the step to the next layer.
    """

    explained: float
    even: Floats


def _strips(grey: Grey) -> _Strips:
    """Fit each strip on its own; greys change down the rows."""
    rows, columns = grey.shape
    step = max(1, -(-rows // MOST_ROWS))
    aside = max(1, columns // 1600)
    count = max(3, min(STRIPS, columns // (LEAST_STRIP_PX * aside)))
    edges = np.linspace(0, columns, count + 1).astype(int)
    parts = list(pairwise(edges.tolist()))
    profiles = [
        np.median(grey[::step, low:high:aside], axis=1).astype(float) for low, high in parts
    ]
    fits = [_two_steps(profile) for profile in profiles]
    greys = [_greys(profile, fit[0], fit[1]) for profile, fit in zip(profiles, fits, strict=True)]
    return _Strips(
        centre=np.array([(low + high - 1) / 2 for low, high in parts]),
        surface=np.array([step * first for first, _, _ in fits], dtype=float),
        substrate=np.array([step * second for _, second, _ in fits], dtype=float),
        greys=np.array(greys),
        explained=sum(fit[2] / len(profiles[0]) for fit in fits) / count,
        even=np.array([_even(*one) for one in zip(profiles, fits, greys, strict=True)]),
    )


def _two_steps(profile: Floats) -> tuple[int, int, float]:
    """Return where the second and the third of three constant pieces begin, by least squares.

    The last value is the sum of squares that the steps explain.
    """
    n, least = len(profile), max(3, len(profile) // 60)
    sums = np.concatenate([[0.0], np.cumsum(profile - profile.mean())])
    first = np.arange(least, n - 2 * least + 1)[:, None]
    second = np.arange(2 * least, n - least + 1)[None, :]
    width = np.maximum(second - first, 1)
    gain = sums[first] ** 2 / first
    gain = gain + (sums[second] - sums[first]) ** 2 / width + sums[second] ** 2 / (n - second)
    gain = np.where(second - first >= least, gain, -np.inf)
    i, j = np.unravel_index(int(np.argmax(gain)), gain.shape)
    return int(first[i, 0]), int(second[0, j]), float(gain[i, j])


def _greys(profile: Floats, first: int, second: int) -> list[float]:
    """Return the median grey of each piece, without a tenth at both of its ends."""
    found = []
    for low, high in ((0, first), (first, second), (second, len(profile))):
        trim = (high - low) // 10
        found.append(float(np.median(profile[low + trim : high - trim])))
    return found


def _even(profile: Floats, fit: tuple[int, int, float], greys: list[float]) -> float:
    """Return the share of the rows of the layer that is least even, near its own median grey."""
    near = 0.25 * min(abs(greys[1] - greys[0]), abs(greys[2] - greys[1]))
    parts = np.split(profile, fit[:2])
    return min(
        float((np.abs(part - grey) <= near).mean()) for part, grey in zip(parts, greys, strict=True)
    )
