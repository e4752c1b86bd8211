"""Impedance of a film in salt water: one spectrum of one spot at one exposure."""

from __future__ import annotations

from tiecoat.plugin import Kind, column, hookimpl
from tiecoat.schemas.began import BEGAN, EXPOSED
from tiecoat.schemas.impedance_forms import CELL, RELATIONS, SOURCES, SPECIFIC
from tiecoat.schemas.passive_film import contradictions, slipped_parts
from tiecoat.schemas.strict import StrictModel
from tiecoat.schemas.words import impedance as words


class Impedance(StrictModel):
    """Impedance spectrum of a coated panel under immersion (ISO 16773)."""

    exposure_h: float = column("h", "time since immersion", words=words.EXPOSURE_H, ge=0, le=1e5)
    spot: str = column(
        "", "place on the panel, where there are several", words=words.SPOT, nullable=True
    )
    area_cm2: float = column(
        "cm**2", "wetted area of the film", words=words.AREA_CM2, gt=0, le=1000
    )
    thickness_um: float = column(
        "um",
        "dry film thickness under the cell",
        words=words.THICKNESS_UM,
        gt=0,
        le=20_000,
        nullable=True,
    )
    frequency_hz: float = column(
        "Hz",
        "frequency of the excitation",
        words=words.FREQUENCY_HZ,
        customary=True,
        ge=1e-6,
        le=1e8,
    )
    z_real_ohm: float = column(
        "ohm",
        "real part of the impedance",
        words=words.Z_REAL_OHM,
        customary=True,
        ge=-1e13,
        le=1e13,
    )
    z_imag_ohm: float = column(
        "ohm",
        "imaginary part of the impedance; negative = capacitive",
        words=words.Z_IMAG_OHM,
        customary=True,
        ge=-1e13,
        le=1e13,
    )


KIND = Kind(
    "impedance",
    Impedance,
    per="panel",
    identity=("exposure_h", "spot"),
    unique=("frequency_hz",),
    order=("frequency_hz",),
    sources=(*SOURCES, *SPECIFIC, *CELL, BEGAN),
    relations=(*RELATIONS, EXPOSED),
    check=contradictions,
    odd=slipped_parts,
    beside=words.BESIDE,
)


@hookimpl
def tiecoat_kinds() -> list[Kind]:
    """Return the kind."""
    return [KIND]
