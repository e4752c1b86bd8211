"""Rusted area of exposed panels, from photographs: an aid to the inspector, who rates."""

from __future__ import annotations

from tiecoat.plugin import Kind, column, hookimpl
from tiecoat.schemas.strict import StrictModel


class RustImage(StrictModel):
    """A photograph of an exposed panel: how much of it has the colour of rust.

    An aid to the inspector: the rating by ISO 4628-3 is the inspector's.
    """

    photograph: str = column("", "photograph, by the notes beside the picture or the file's name")
    exposure_h: float = column("h", "time of exposure", ge=0, le=1e6, nullable=True)
    rusted_area_percent: float = column("%", "rusted share of the evaluated area", ge=0, le=100)
    rusted_area_low_percent: float = column("%", "the same by narrower limits", ge=0, le=100)
    rusted_area_high_percent: float = column("%", "the same by wider limits", ge=0, le=100)
    evaluated_percent: float = column(
        "%", "share of the panel without its edge and its scribe", gt=0, le=100
    )
    um_per_pixel: float = column("um", "size of a pixel", gt=0, le=1e4, nullable=True)
    scale_source: str = column("", "where the size of a pixel comes from", nullable=True)
    parameters: str = column("", "limits by which rust was found")
    remarks: str = column("", "what was done to the picture, and what was odd", nullable=True)


KIND = Kind("rust_image", RustImage, per="panel", identity=("photograph", "exposure_h"))


@hookimpl
def tiecoat_kinds() -> list[Kind]:
    """Return the kind."""
    return [KIND]
