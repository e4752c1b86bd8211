"""Reads micrographs of cut films: the film, its thickness, and every pore in it.

The picture belongs to its panel by its file or folder name, or by its notes (`panel`, `batch`); the
notes may also name the field of view (`field`), so that a picture taken again can be told from
another place of the same panel.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import PurePath
from typing import TYPE_CHECKING, Any

from tiecoat.picture.section_choices import SectionChoices
from tiecoat.plugin import Claim, Export, Measurement, Reader, hookimpl
from tiecoat.plugins.picture_files import claim, held_if_nothing, measurement, noted_text

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from tiecoat.picture.section import Section
    from tiecoat.plugin import Picture

KIND, PORES = "cross_section", "pores"
LEAST_UM_PER_PIXEL, MOST_UM_PER_PIXEL = 0.02, 20.0  # electron microscope to magnifying glass
CUT_OFF, OPEN, ON_STEEL = "picture edge", "surface", "substrate"


class CrossSectionPicture:
    """Film and pores of a cut panel, from a micrograph."""

    name, kind, version = "cross_section", KIND, "1"
    choices = SectionChoices

    def recognise(self, export: Export) -> Claim | None:
        """Claim pictures that are called a section, by their names or their notes."""
        return claim(export, KIND, export.choices.words)

    def read(self, export: Export) -> Iterator[Measurement]:
        """Return the film as a whole, and the pores if there are any."""
        seen = _look(export)
        yield measurement(export, KIND, _of_film(seen))
        if len(seen.section.pores):
            yield measurement(export, PORES, _of_pores(seen))

    def draw(self, export: Export) -> NDArray[np.uint8]:
        """Return the picture with the outlines of the film and of every pore, and the figures."""
        from tiecoat.picture.section_drawing import drawn

        seen = _look(export)
        return drawn(seen.picture.pixels, seen.section, seen.um_per_pixel, seen.field)


@dataclass(frozen=True)
class _SectionSeen:
    """A picture, its scale and what was found on it."""

    picture: Picture
    section: Section
    um_per_pixel: float
    scale_source: str
    field: str
    choices: SectionChoices


def _look(export: Export) -> _SectionSeen:
    from tiecoat.picture.section import measure

    choices: SectionChoices = export.choices
    field = noted_text(export, "field") or PurePath(export.name).stem
    picture = export.picture()
    um_per_pixel, source = export.um_per_pixel(
        picture, choices.um_per_pixel, LEAST_UM_PER_PIXEL, MOST_UM_PER_PIXEL
    )
    with held_if_nothing(export):
        section = measure(picture.pixels, choices)
    return _SectionSeen(picture, section, um_per_pixel, source, field, choices)


def _of_film(seen: _SectionSeen) -> dict[str, list[Any]]:
    section, scale = seen.section, seen.um_per_pixel
    film, void = section.film_area_px, section.void_area_px
    thickness = section.film.thickness
    return {
        "field": [seen.field],
        "film_area_mm2": [film * scale**2 / 1e6],
        "void_area_mm2": [void * scale**2 / 1e6],
        "void_fraction_percent": [100 * void / film],
        "pores": [len(section.pores)],
        "pores_cut": [int(section.at_edge.sum())],
        "thickness_um": [float(thickness.mean()) * scale],
        "thickness_min_um": [float(thickness.min()) * scale],
        "tilt_deg": [section.film.tilt_deg],
        "smallest_pore_um": [scale * math.sqrt(4 * seen.choices.smallest_pore_px / math.pi)],
        "um_per_pixel": [scale],
        "scale_source": [seen.scale_source],
        "substrate_side": [section.substrate_side],
        "parameters": [_parameters(section, seen.choices)],
        "remarks": ["; ".join(seen.picture.remarks) or None],
    }


def _parameters(section: Section, choices: SectionChoices) -> str:
    found = "" if math.isnan(section.threshold) else f", drawn at {section.threshold:.3f}"
    return (
        f"substrate {choices.substrate}; smoothing {choices.smoothing_px:g} px; {choices.pores}"
        f" pores from {choices.smallest_pore_px} px, contrast {choices.pore_contrast:g}{found}"
        f"; layer contrast {choices.least_contrast:g}"
    )


def _of_pores(seen: _SectionSeen) -> dict[str, list[Any]]:
    section, scale = seen.section, seen.um_per_pixel
    rows, columns = section.places()
    count = len(section.pores)
    return {
        "field": [seen.field] * count,
        "pore": [float(number) for number in range(1, count + 1)],
        "area_um2": (section.pores.area_px * scale**2).tolist(),
        "diameter_um": (section.pores.diameter_px * scale).tolist(),
        "x_um": ((columns + 0.5) * scale).tolist(),
        "y_um": ((rows + 0.5) * scale).tolist(),
        "substrate_distance_um": (section.gap_px * scale).tolist(),
        "touches": [_touched(section, n) for n in range(count)],
    }


def _touched(section: Section, n: int) -> str | None:
    if section.at_edge[n]:
        return CUT_OFF
    if section.at_surface[n]:
        return OPEN
    return ON_STEEL if section.gap_px[n] == 0 else None


@hookimpl
def tiecoat_readers() -> list[Reader]:
    """Return the reader."""
    return [CrossSectionPicture()]
