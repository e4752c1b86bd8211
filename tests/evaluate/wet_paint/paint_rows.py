"""Rows of wet paint as the archive gives them, for the tests of density and viscosity."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pandas as pd

NOTHING = math.nan
DENSITY = ("state", "elapsed_s", "temperature_c", "density_g_cm3", "uncertainty_g_cm3")
VISCOSITY = (
    "method",
    "step",
    "elapsed_s",
    "shear_rate_per_s",
    "shear_stress_pa",
    "viscosity_pa_s",
    "temperature_c",
    "cup",
    "efflux_s",
)


def density_rows(
    readings: Sequence[tuple[str, float, float, float]],
    batch: str = "RB-001",
    uncertainty: float = NOTHING,
) -> pd.DataFrame:
    """Return rows from state, time at rest in s, temperature in °C and density in g/cm³."""
    rows = [(*reading, uncertainty) for reading in readings]
    frame = pd.DataFrame(rows, columns=list(DENSITY)).astype({"state": "str"})
    names = [f"{batch}-d{place}" for place in range(len(rows))]
    return _keyed(frame, batch, names)


def curve_rows(
    rates: Sequence[float],
    stresses: Sequence[float],
    step: str | None = "up",
    *,
    batch: str = "RB-001",
    measurement: str = "flow",
    from_s: float = 0.0,
) -> pd.DataFrame:
    """Return the rows of a step of a flow curve, five seconds a point."""
    rates, stresses = np.asarray(rates, dtype=float), np.asarray(stresses, dtype=float)
    frame = pd.DataFrame(
        {
            "method": "rotational",
            "step": pd.Series([step] * len(rates), dtype="str"),
            "elapsed_s": from_s + 5.0 * np.arange(1, len(rates) + 1),
            "shear_rate_per_s": rates,
            "shear_stress_pa": stresses,
            "viscosity_pa_s": stresses / np.where(rates > 0, rates, NOTHING),
            "temperature_c": 23.0,
            "cup": pd.Series([None] * len(rates), dtype="str"),
            "efflux_s": NOTHING,
        }
    )
    return _keyed(frame, batch, [measurement] * len(frame))


def cup_rows(
    runs: Sequence[tuple[str, float]], batch: str = "RB-001", temperature_c: float = 23.0
) -> pd.DataFrame:
    """Return rows from cups and efflux times in s."""
    frame = pd.DataFrame(runs, columns=["cup", "efflux_s"]).astype({"cup": "str"})
    frame = frame.assign(method="flow cup", temperature_c=temperature_c, step=None)
    frame = frame.assign(**dict.fromkeys(VISCOSITY[2:6], NOTHING))
    names = [f"{batch}-c{place}" for place in range(len(runs))]
    return _keyed(frame[list(VISCOSITY)].astype({"step": "str"}), batch, names)


def no_rows(kind: str) -> pd.DataFrame:
    """Return an empty frame of a kind."""
    columns = ("measurement", "batch", "panel", *(DENSITY if kind == "density" else VISCOSITY))
    return pd.DataFrame({name: pd.Series(dtype="float64") for name in columns})


def pick(table: pd.DataFrame, quantity: str, condition: str | None = None) -> pd.DataFrame:
    """Return the result rows of a quantity, under one condition where one is given."""
    rows = table[table["quantity"] == quantity]
    return rows if condition is None else rows[rows["condition"] == condition]


def only(table: pd.DataFrame, quantity: str, condition: str | None = None) -> pd.Series:
    """Return the one result row of a quantity."""
    rows = pick(table, quantity, condition)
    assert len(rows) == 1, f"{quantity}, {condition}: {len(rows)} rows"
    return rows.iloc[0]


def _keyed(frame: pd.DataFrame, batch: str, measurements: Sequence[str]) -> pd.DataFrame:
    return frame.assign(
        measurement=pd.Series(list(measurements), dtype="str"),
        batch=pd.Series([batch] * len(frame), dtype="str"),
        panel=pd.Series([None] * len(frame), dtype="str"),
    )
