"""How well do the films keep salt water out? The modulus at 0.1 Hz by day, with pandas alone.

    python with_pandas.py

prints lg of |Z| times area in ohm cm²: the mean over the panels of each candidate and dose.
"""

from pathlib import Path

import numpy as np
import pandas as pd

ARCHIVE = Path(__file__).resolve().parent.parent / "archive"
AT_HZ = 0.1


def valid(kind: str) -> pd.DataFrame:
    """Read all tables of a kind, without the rows that were superseded or retracted."""
    rows = pd.read_parquet(ARCHIVE / kind)
    return rows[rows["withdrawn"].isna()]


def modulus_lg(spectrum: pd.DataFrame) -> float:
    """Return lg(|Z| area) at 0.1 Hz, on a straight line between its neighbours in lg and lg.

    A spectrum that does not reach 0.1 Hz gives NaN: nothing is extrapolated.
    """
    points = spectrum.sort_values("frequency_hz")
    modulus = np.hypot(points["z_real_ohm"], points["z_imag_ohm"]) * points["area_cm2"]
    return float(
        np.interp(
            np.log10(AT_HZ),
            np.log10(points["frequency_hz"]),
            np.log10(modulus),
            left=np.nan,
            right=np.nan,
        )
    )


impedance, batches = valid("impedance"), valid("batches")
spectra = [
    {"batch": batch, "day": round(exposure_h / 24), "modulus_lg": modulus_lg(spectrum)}
    for (_, batch, exposure_h), spectrum in impedance.groupby(
        ["measurement", "batch", "exposure_h"]
    )
]
by_day = (
    pd.DataFrame(spectra)
    .merge(batches[["batch", "candidate", "dose_percent"]], on="batch")
    .pivot_table(index=["candidate", "dose_percent"], columns="day", values="modulus_lg")
)
print(f"lg of |Z| at {AT_HZ} Hz times area (ohm cm²), mean over the panels, by day in salt water")
best_first = by_day.sort_values(by_day.columns[-1], ascending=False).round(2)
print(best_first.reset_index().to_string(index=False))
