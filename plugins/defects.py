"""Reads photographs of a film before a lamp: pinholes, craters and thin spots shine bright.

The picture belongs to its panel by its file or folder name, or by its notes (`panel`, `batch`);
they may also name the photograph (`photograph`), else its file name does.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from tiecoat.picture.defect_choices import DefectChoices
from tiecoat.plugin import Claim, Export, Measurement, Reader, hookimpl
from tiecoat.plugins.picture_files import claim, held_if_nothing, measurement, photograph_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from tiecoat.picture.defects import FoundDefects
    from tiecoat.plugin import Picture

KIND, REGIONS = "defects", "defect_regions"
LEAST_UM_PER_PIXEL, MOST_UM_PER_PIXEL = 1.0, 500.0  # macro lens to a panel a metre off; no source
WAVES = (
    "waves_0_3_to_1_mm_percent",
    "waves_1_to_3_mm_percent",
    "waves_3_to_10_mm_percent",
    "waves_10_to_30_mm_percent",
)


class TransmittedLight:
    """Defects of a film, from a photograph before a lamp."""

    name, kind, version = "transmitted_light", KIND, "2"
    choices = DefectChoices

    def recognise(self, export: Export) -> Claim | None:
        """Claim pictures that are called so, by their names or their notes."""
        return claim(export, KIND, export.choices.words)

    def read(self, export: Export) -> Iterator[Measurement]:
        """Return the film as a whole, and the defects if there are any."""
        seen = _look(export)
        yield measurement(export, KIND, _of_film(seen))
        if len(seen.defects.regions):
            yield measurement(export, REGIONS, _of_regions(seen))

    def draw(self, export: Export) -> NDArray[np.uint8]:
        """Return the picture with the film and every defect outlined, and the figures."""
        from tiecoat.picture.defect_drawing import drawn

        seen = _look(export)
        title = f"{seen.photograph}; {seen.um_per_pixel:.4g} µm a pixel"
        return drawn(seen.picture.pixels, seen.defects, seen.um_per_pixel / 1000, title)


@dataclass(frozen=True)
class _DefectsSeen:
    """A picture, its scale and what was found on it."""

    picture: Picture
    defects: FoundDefects
    um_per_pixel: float
    scale_source: str
    photograph: str
    choices: DefectChoices


def _look(export: Export) -> _DefectsSeen:
    from tiecoat.picture.defects import find_defects

    choices: DefectChoices = export.choices
    photograph = photograph_of(export)
    picture = export.picture()
    um_per_pixel, source = export.um_per_pixel(
        picture, choices.um_per_pixel, LEAST_UM_PER_PIXEL, MOST_UM_PER_PIXEL
    )
    with held_if_nothing(export):
        defects = find_defects(picture.pixels, um_per_pixel, choices)
    return _DefectsSeen(picture, defects, um_per_pixel, source, photograph, choices)


def _of_film(seen: _DefectsSeen) -> dict[str, list[Any]]:
    defects, pixel_mm = seen.defects, seen.um_per_pixel / 1000
    return {
        "photograph": [seen.photograph],
        "evaluated_mm2": [float(defects.film.sum()) * pixel_mm**2],
        "pinholes": [float(defects.count("pinhole"))],
        "craters": [float(defects.count("crater"))],
        "bare_spots": [float(defects.count("bare spot"))],
        "thin_spots": [float(defects.count("thin spot"))],
        "least_diameter_mm": [defects.least_diameter_px * pixel_mm],
        "lamp_ratio": [defects.lamp_ratio],
        "lamp_source": ["seen beside the panel" if defects.lamp_seen else "settings"],
        **{name: [float(wave)] for name, wave in zip(WAVES, defects.waviness_percent, strict=True)},
        "um_per_pixel": [seen.um_per_pixel],
        "scale_source": [seen.scale_source],
        "parameters": [_parameters(seen.choices)],
        "remarks": ["; ".join((*seen.picture.remarks, *defects.remarks)) or None],
    }


def _parameters(choices: DefectChoices) -> str:
    return (
        f"margin {choices.edge_mm:g} mm; thin from {choices.thin_from:g} x film; through where"
        f" {choices.through_share:g} of the film is missing; pinhole to {choices.pinhole_to_mm:g}"
        f" mm; crater: axes from {choices.round_from:g}, rim to {choices.rim_to:g} x film"
    )


def _of_regions(seen: _DefectsSeen) -> dict[str, list[Any]]:
    regions, pixel_mm = seen.defects.regions, seen.um_per_pixel / 1000
    count = len(regions)
    return {
        "photograph": [seen.photograph] * count,
        "defect": [float(number) for number in range(1, count + 1)],
        "defect_class": seen.defects.classes.tolist(),
        "area_mm2": (regions.area_px * pixel_mm**2).tolist(),
        "diameter_mm": (regions.diameter_px * pixel_mm).tolist(),
        "brightness": seen.defects.brightest.tolist(),
        "x_mm": ((regions.column + 0.5) * pixel_mm).tolist(),
        "y_mm": ((regions.row + 0.5) * pixel_mm).tolist(),
    }


@hookimpl
def tiecoat_readers() -> list[Reader]:
    """Return the reader."""
    return [TransmittedLight()]
