"""The film on a micrograph, pixel by pixel: what lies between the resin and the substrate."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from skimage.measure import label

from tiecoat.picture.nothing import NothingToMeasure
from tiecoat.picture.regions import Floats, Mask
from tiecoat.picture.section_layers import EXPECTED, Grey, Layers

LEAST_THICKNESS_PX = 10
LEAST_COVERED = 0.8  # share of the columns in which there must be film
LEAST_PURE = 0.8  # share of a layer's own pixels that have its grey
MOST_TILT = 30.0  # degrees


@dataclass(frozen=True)
class Film:
    """The film of a picture whose substrate lies below; pores belong to it.

    Parameters
    ----------
    mask, resin, substrate
        Shape (rows, columns); every pixel is in one of them, or in a part that hangs with none.
    thickness
        Of the film in each column in pixels, across the film, shape (columns,).
    tilt_deg
        Angle between the film and the rows.
    """

    mask: Mask
    resin: Mask
    substrate: Mask
    thickness: Floats
    tilt_deg: float


def find_film(grey: Grey, layers: Layers) -> Film:
    """Return the film.

    A pixel belongs to the resin or the substrate if its grey is nearer to theirs than to the
    film's and it hangs together with the upper or the lower edge of the picture, by a path that is
    not thinner than a thirtieth of the film. So pores of the resin's grey stay in the film, unless
    they open into the resin wider than that.

    Parameters
    ----------
    grey
        Smoothed, substrate below, shape (rows, columns).
    layers
        Its layers.

    Raises
    ------
    NothingToMeasure
        If no film goes from edge to edge, or it is thinner than ten pixels, or tilted too far.
    """
    resin_grey, film_grey, substrate_grey = layers.greys_at(grey.shape[1])
    opening = 2 * max(1, round(layers.thickness / 60)) + 1
    resin = _nearer(grey, resin_grey, film_grey)
    substrate = _nearer(grey, substrate_grey, film_grey)
    _refuse_muddle(resin, substrate, layers)
    resin = _from_edge(resin, opening)
    substrate = _from_edge(substrate[::-1], opening)[::-1]
    mask = _largest(~(resin | substrate))
    upright = mask.sum(axis=0).astype(float)
    covered = float((upright > 0).mean())
    if covered < LEAST_COVERED:
        raise NothingToMeasure(f"a film in {covered:.0%} of the columns only", EXPECTED)
    tilt = _tilt(mask)
    thickness = upright * math.cos(tilt)
    if (mean := float(thickness.mean())) < LEAST_THICKNESS_PX:
        seen = f"a layer of {mean:.1f} pixels between substrate and resin"
        raise NothingToMeasure(seen, f"a film of at least {LEAST_THICKNESS_PX} pixels")
    if abs(math.degrees(tilt)) > MOST_TILT:
        seen = f"a film that is tilted by {abs(math.degrees(tilt)):.0f} degrees"
        raise NothingToMeasure(seen, f"at most {MOST_TILT:g} degrees")
    return Film(mask, resin, substrate, thickness, math.degrees(tilt))


def _nearer(grey: Grey, own: Grey, other: Grey) -> Mask:
    """Say which pixels are nearer to the grey of one layer than to that of another."""
    half, sign = (own + other) / 2, np.sign(own - other)
    return np.asarray((grey - half) * sign > 0)


def _refuse_muddle(resin: Mask, substrate: Mask, layers: Layers) -> None:
    """Refuse a picture whose outer layers are not of their own grey."""
    columns = resin.shape[1]
    surface = np.interp(np.arange(columns), layers.centre, layers.surface)
    bottom = np.interp(np.arange(columns), layers.centre, layers.substrate)
    row = np.arange(resin.shape[0], dtype=np.float32)[:, None]
    margin = 0.1 * layers.thickness
    for name, mask, place in (
        ("above the film", resin, row < surface - margin),
        ("below the film", substrate, row > bottom + margin),
    ):
        pure = float(mask[place].mean()) if place.any() else 0.0
        if pure < LEAST_PURE:
            raise NothingToMeasure(f"{pure:.0%} of the layer {name} is of its grey", EXPECTED)


def _from_edge(mask: Mask, opening: int) -> Mask:
    """Return what hangs together with the first row, with everything that it encloses."""
    padded = np.pad(mask, ((opening, 0), (opening, opening)), mode="edge").astype(np.uint8)
    opened = ndimage.maximum_filter(ndimage.minimum_filter(padded, opening), opening)
    outer = _hanging(label(opened[opening:, opening:-opening], connectivity=1), 0)
    return ~_hanging(label(~outer, connectivity=1), -1)


def _hanging(labels: NDArray[np.integer], row: int) -> Mask:
    """Say which pixels are in a region that reaches a row."""
    chosen = np.zeros(int(labels.max()) + 1, dtype=bool)
    chosen[labels[row]] = True
    chosen[0] = False
    return np.asarray(chosen[labels])


def _largest(mask: Mask) -> Mask:
    labels = label(mask, connectivity=1)
    sizes = np.bincount(labels.ravel())
    sizes[0] = 0
    return np.asarray((labels == int(sizes.argmax())) & mask)


def _tilt(mask: Mask) -> float:
    """Return the angle of the film's middle line, by least squares, in radians."""
    upright = mask.sum(axis=0).astype(float)
    columns = np.flatnonzero(upright)
    row = np.arange(mask.shape[0], dtype=np.float64)
    middle = (row @ mask)[columns] / upright[columns]
    slope, _ = np.polynomial.polynomial.polyfit(columns, middle, 1)[::-1]
    return math.atan(float(slope))
