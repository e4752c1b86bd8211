"""Spectra of circuits in plain complex arithmetic, independent of the code under test."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

FREQUENCY_HZ = np.logspace(5, -2, 71)
ONES = {
    "blocking film": {
        "electrolyte_resistance": 300.0,
        "coating_cpe_coefficient": 4e-9,
        "cpe_exponent": 0.95,
    },
    "intact film, ideal": {
        "electrolyte_resistance": 300.0,
        "pore_resistance": 2e8,
        "coating_cpe_coefficient": 2e-9,
    },
    "intact film": {
        "electrolyte_resistance": 300.0,
        "pore_resistance": 2e7,
        "coating_cpe_coefficient": 4e-9,
        "cpe_exponent": 0.93,
    },
    "film with pores": {
        "electrolyte_resistance": 300.0,
        "pore_resistance": 5e5,
        "coating_cpe_coefficient": 4e-9,
        "cpe_exponent": 0.95,
        "double_layer_cpe_coefficient": 3e-7,
        "double_layer_exponent": 0.85,
        "charge_transfer_resistance": 4e6,
    },
}


def impedance(circuit: str, values: Mapping[str, float], frequency_hz: Floats) -> Complexes:
    """Return the impedance in ohm cm², written out element by element."""
    s = 2j * np.pi * frequency_hz
    film = values["coating_cpe_coefficient"] * s ** values.get("cpe_exponent", 1.0)
    if circuit == "blocking film":
        behind = 0.0
    elif circuit == "film with pores":
        layer = values["double_layer_cpe_coefficient"] * s ** values["double_layer_exponent"]
        steel = 1 / (layer + 1 / values["charge_transfer_resistance"])
        behind = 1 / (values["pore_resistance"] + steel)
    else:
        behind = 1 / values["pore_resistance"]
    found: Complexes = values["electrolyte_resistance"] + 1 / (film + behind)
    return found


def noisy(
    z: Complexes, chance: np.random.Generator, modulus: float, phase: float | None = None
) -> Complexes:
    """Return an impedance with errors of its modulus (a share) and its phase (in radian)."""
    phase = modulus if phase is None else phase
    shares = modulus * chance.normal(size=z.shape) + 1j * phase * chance.normal(size=z.shape)
    return z * np.exp(shares)


def frame_of(
    spectra: Mapping[str, tuple[Floats, Complexes]], area_cm2: float = 1.0
) -> pd.DataFrame:
    """Return a frame of the kind impedance from measurement -> frequencies, ohm cm²."""
    parts = [
        pd.DataFrame(
            {
                "measurement": name,
                "batch": "RB-014",
                "panel": f"RB-014-{number}",
                "measured_at": pd.Timestamp("2026-09-22", tz="UTC"),
                "exposure_h": 24.0,
                "spot": None,
                "area_cm2": area_cm2,
                "thickness_um": 180.0,
                "frequency_hz": frequency_hz,
                "z_real_ohm": z.real / area_cm2,
                "z_imag_ohm": z.imag / area_cm2,
            }
        )
        for number, (name, (frequency_hz, z)) in enumerate(spectra.items(), 1)
    ]
    return pd.concat(parts, ignore_index=True)
