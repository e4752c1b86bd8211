"""Impedance of a film in salt water: one spectrum of one spot at one exposure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from tiecoat.plugin import Kind, column, hookimpl
from tiecoat.schemas.began import BEGAN, EXPOSED
from tiecoat.schemas.impedance_forms import CELL, RELATIONS, SOURCES, SPECIFIC
from tiecoat.schemas.passive_film import contradictions, slipped_parts
from tiecoat.schemas.strict import StrictModel
from tiecoat.schemas.words import impedance as words

HOT_C = 60.0  # common practice, no source: few immersion baths are hotter, a room in °F is


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
    temperature_c: float = column(
        "degC",
        "temperature of the bath",
        words=words.TEMPERATURE_C,
        customary=True,
        ge=-10,
        le=100,
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


def oddities(columns: Mapping[str, Any]) -> Iterator[tuple[int, str]]:
    """Tell what is possible and seldom right: slipped parts, and a bath that may be in °F.

    A unit that the file does not say is taken as °C.
    """
    yield from slipped_parts(columns)
    temperature_c = np.asarray(columns.get("temperature_c", ()), dtype=float)
    for at in np.flatnonzero(temperature_c > HOT_C).tolist():
        yield at, f"a bath above {HOT_C:g} °C: is it °F?"


KIND = Kind(
    "impedance",
    Impedance,
    per="panel",
    version=2,
    identity=("exposure_h", "spot"),
    unique=("frequency_hz",),
    order=("frequency_hz",),
    sources=(*SOURCES, *SPECIFIC, *CELL, BEGAN),
    relations=(*RELATIONS, EXPOSED),
    check=contradictions,
    odd=oddities,
    beside=words.BESIDE,
)


@hookimpl
def tiecoat_kinds() -> list[Kind]:
    """Return the kind."""
    return [KIND]
