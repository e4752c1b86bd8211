"""Cross-sections: what a micrograph of a cut film shows, as a whole and pore by pore."""

from __future__ import annotations

from tiecoat.plugin import Kind, column, hookimpl
from tiecoat.schemas.strict import StrictModel

SIDES = ("top", "bottom", "left", "right")
CUT_OFF, OPEN, ON_STEEL = "picture edge", "surface", "substrate"


class CrossSection(StrictModel):
    """Film and pores on one field of view of a cut panel, seen under the microscope."""

    field: str = column("", "field of view, by the notes beside the picture or the file's name")
    film_area_mm2: float = column("mm**2", "area of the film, with its pores", gt=0, le=1e4)
    void_area_mm2: float = column("mm**2", "area of the pores", ge=0, le=1e4)
    void_fraction_percent: float = column("%", "area of the pores over film area", ge=0, le=100)
    pores: float = column("", "number of pores, those cut by the picture's edge too", ge=0, le=1e6)
    pores_cut: float = column("", "number of pores cut by the edge of the picture", ge=0, le=1e6)
    # outside of these it is not a paint film, or the scale is wrong
    thickness_um: float = column("um", "mean thickness of the film, across it", ge=1, le=5000)
    thickness_min_um: float = column("um", "its thickness where it is least", ge=0, le=5000)
    tilt_deg: float = column("deg", "angle of the film with the picture's edge", ge=-90, le=90)
    smallest_pore_um: float = column("um", "diameter of the least pore counted", gt=0, le=1e4)
    um_per_pixel: float = column("um", "size of a pixel", gt=0, le=1000)
    scale_source: str = column("", "where the size of a pixel comes from")
    substrate_side: str = column(
        "",
        "side of the picture on which the substrate lies",
        isin=list(SIDES),
    )
    parameters: str = column("", "how film and pores were found")
    remarks: str = column("", "what was done to the picture, and what was odd", nullable=True)


class Pores(StrictModel):
    """Pores of a cut film, a row for each; those of one field of view are one measurement."""

    field: str = column("", "field of view, by the notes beside the picture or the file's name")
    pore: float = column("", "number of the pore on its picture", ge=1, le=1e6)
    area_um2: float = column("um**2", "area of the section through the pore", gt=0, le=1e10)
    diameter_um: float = column("um", "diameter of the circle of equal area", gt=0, le=1e5)
    x_um: float = column("um", "centre, from the left edge of the picture", ge=0, le=1e6)
    y_um: float = column("um", "centre, from the upper edge of the picture", ge=0, le=1e6)
    substrate_distance_um: float = column(
        "um", "shortest way from the edge of the pore to the substrate", ge=0, le=1e5
    )
    touches: str = column(
        "",
        "what it touches; a pore that the picture's edge cuts has no full size",
        isin=[CUT_OFF, OPEN, ON_STEEL],
        nullable=True,
    )


KIND = Kind("cross_section", CrossSection, per="panel", identity=("field",), repeats=("field",))
PORES = Kind(
    "pores",
    Pores,
    per="panel",
    identity=("field",),
    repeats=("field",),
    unique=("pore",),
    order=("pore",),
)


@hookimpl
def tiecoat_kinds() -> list[Kind]:
    """Return both kinds."""
    return [KIND, PORES]
