"""Films before a lamp: what a photograph in transmitted light shows, as a whole and by defect."""

from __future__ import annotations

from typing import Any

from tiecoat.plugin import Kind, column, hookimpl
from tiecoat.schemas.strict import StrictModel

PHOTOGRAPH = "photograph, by the notes beside the picture or the file's name"


def _waves(band: str) -> Any:
    meaning = f"root-mean-square wave of the brightness, wavelengths of {band} mm; relative only"
    return column("%", meaning, ge=0, le=1e3, nullable=True)


class Defects(StrictModel):
    """A film photographed before a lamp; brighter is thinner, a hole is as bright as the lamp.

    Counts hold above the smallest diameter that is counted, on the evaluated area. An aid to the
    person who judges the panel.
    """

    photograph: str = column("", PHOTOGRAPH)
    evaluated_mm2: float = column("mm**2", "area of film that was evaluated", gt=0, le=1e7)
    pinholes: float = column("", "number of small holes through the film", ge=0, le=1e5)
    craters: float = column("", "number of round holes or bowls with a rim", ge=0, le=1e5)
    bare_spots: float = column("", "number of other places without film", ge=0, le=1e5)
    thin_spots: float = column("", "number of other spots brighter than the film", ge=0, le=1e5)
    least_diameter_mm: float = column("mm", "smaller defects are not counted", gt=0, le=100)
    lamp_ratio: float = column("", "light of the bare lamp over that of the film", gt=1, le=1e5)
    lamp_source: str = column(
        "", "where that comes from", isin=["seen beside the panel", "settings"]
    )
    waves_0_3_to_1_mm_percent: float = _waves("0.3 to 1")
    waves_1_to_3_mm_percent: float = _waves("1 to 3")
    waves_3_to_10_mm_percent: float = _waves("3 to 10")
    waves_10_to_30_mm_percent: float = _waves("10 to 30")
    um_per_pixel: float = column("um", "size of a pixel", gt=0, le=1e4)
    scale_source: str = column("", "where the size of a pixel comes from")
    parameters: str = column("", "limits by which defects were found")
    remarks: str = column("", "what was done to the picture, and what was odd", nullable=True)


class DefectRegions(StrictModel):
    """Defects of a film before a lamp, a row each; those of a photograph are one measurement."""

    photograph: str = column("", PHOTOGRAPH)
    defect: float = column("", "number of the defect on its photograph", ge=1, le=1e5)
    defect_class: str = column(
        "", "what it is", isin=["pinhole", "crater", "bare spot", "thin spot"]
    )
    area_mm2: float = column("mm**2", "area at half of its brightness", gt=0, le=1e6)
    diameter_mm: float = column("mm", "diameter of the circle of equal area", gt=0, le=1e3)
    brightness: float = column("", "its greatest light over that of the film", gt=0, le=1e5)
    x_mm: float = column("mm", "centre, from the left edge of the picture", ge=0, le=1e5)
    y_mm: float = column("mm", "centre, from the upper edge of the picture", ge=0, le=1e5)


KIND = Kind("defects", Defects, per="panel", identity=("photograph",), repeats=("photograph",))
REGIONS = Kind(
    "defect_regions",
    DefectRegions,
    per="panel",
    identity=("photograph",),
    repeats=("photograph",),
    unique=("defect",),
    order=("defect",),
)


@hookimpl
def tiecoat_kinds() -> list[Kind]:
    """Return both kinds."""
    return [KIND, REGIONS]
