"""Which thickness the relative permittivity is computed with, and that it is told."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from films import SWEEP_HZ, C, frame_of, impedance

from tiecoat.contract.choices import Choices
from tiecoat.evaluate.impedance.impedance import compute

NAN = float("nan")
READINGS = pd.DataFrame(
    {
        "batch": "RB-010",
        "panel": ["RB-010-1"] * 5 + ["RB-010-2"],
        "coat": ["system", "system", "system", "coat 1", "system", "coat 1"],
        "state": ["dry", "dry", "dry", "dry", "wet", "dry"],
        "thickness_um": [195.0, 200.0, 205.0, 90.0, 400.0, 95.0],
    }
)
REGISTER = pd.DataFrame(
    {"batch": "RB-010", "panel": ["RB-010-1", "RB-010-2"], "thickness_um": [180.0, 190.0]}
)
OF_READINGS = "thickness: mean of dry film thickness as read, n = 3"
OF_REGISTER = "thickness from the register of panels"


def permittivity(
    thickness: float, panel: str, readings: pd.DataFrame | None, register: pd.DataFrame
) -> pd.Series[float]:
    """The result of one spectrum of a film of 3e-10 F."""
    spectrum = [(SWEEP_HZ, impedance(C(3e-10)))]
    frames = {
        "impedance": frame_of(spectrum, thickness_um=thickness, panel=panel),
        "panels": register,
    }
    if readings is not None:
        frames["film_thickness"] = readings
    table = compute(frames, Choices())
    (row,) = [row for _, row in table[table["quantity"] == "relative_permittivity"].iterrows()]
    return row


@pytest.mark.parametrize(
    ("thickness", "panel", "readings", "register", "used", "told"),
    [
        (150.0, "RB-010-1", READINGS, REGISTER, 150.0, ""),
        (NAN, "RB-010-1", READINGS, REGISTER, 200.0, OF_READINGS),
        (NAN, "RB-010-1", READINGS, REGISTER.iloc[:0], 200.0, OF_READINGS),
        (NAN, "RB-010-2", READINGS, REGISTER, 190.0, OF_REGISTER),  # only its first coat was read
        (NAN, "RB-010-1", READINGS.iloc[:0], REGISTER, 180.0, OF_REGISTER),
        (NAN, "RB-010-1", None, REGISTER, 180.0, OF_REGISTER),
    ],
)
def test_the_export_comes_first_then_the_gauge_then_the_register(
    *,
    thickness: float,
    panel: str,
    readings: pd.DataFrame | None,
    register: pd.DataFrame,
    used: float,
    told: str,
) -> None:
    """Only dry readings of the whole system count, and the flag says where it came from."""
    row = permittivity(thickness, panel, readings, register)
    one_um = permittivity(1.0, panel, None, REGISTER)["value"]
    assert row["value"] == pytest.approx(used * one_um, rel=1e-12)
    assert row["flags"] == told


def test_without_any_thickness_there_is_a_reason() -> None:
    """Neither export nor gauge nor register: no number."""
    row = permittivity(NAN, "RB-010-9", READINGS, REGISTER)
    assert np.isnan(row["value"])
    assert row["reason"] == "no thickness"
