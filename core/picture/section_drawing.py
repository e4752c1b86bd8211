"""A micrograph with what was found on it, so that a person can see and contest it."""

from __future__ import annotations

import numpy as np

from tiecoat.picture.regions import ORANGE, PURPLE, SKY, Pixels, captioned, outlined
from tiecoat.picture.section import Section


def drawn(pixels: Pixels, section: Section, um_per_pixel: float, field: str) -> Pixels:
    """Return the picture with outlines and a caption.

    Parameters
    ----------
    pixels
        As taken, shape (rows, columns, 3).
    section
        What was found on it.
    um_per_pixel
        Size of a pixel.
    field
        Name of the field of view.
    """
    cut = np.concatenate([[False], section.at_edge])[section.labels]
    picture = outlined(pixels, section.as_taken(section.film.mask), SKY)
    picture = outlined(picture, section.as_taken((section.labels > 0) & ~cut), ORANGE)
    picture = outlined(picture, section.as_taken(cut), PURPLE)
    film, void = section.film_area_px, section.void_area_px
    thickness = section.film.thickness * um_per_pixel
    largest = section.pores.diameter_px.max(initial=0.0) * um_per_pixel
    pores = (
        f"{field}: pores {100 * void / film:.2f} % of the film, {len(section.pores)} in number,"
        f" {int(section.at_edge.sum())} cut by the edge; the largest {largest:.1f} µm"
    )
    layer = (
        f"film {thickness.mean():.1f} µm, at least {thickness.min():.1f} µm;"
        f" substrate: {section.substrate_side}; {um_per_pixel:.4g} µm a pixel"
    )
    key = "blue: film; orange: pores; purple: pores cut by the edge of the picture"
    return captioned(picture, (pores, layer, key))
