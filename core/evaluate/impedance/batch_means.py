"""Means of a batch over its panels at each exposure: modulus, capacitance and water uptake."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from tiecoat.evaluate.grouping import RowGroups
from tiecoat.evaluate.impedance.group_estimates import mean_of_groups
from tiecoat.evaluate.impedance.panel_courses import exposures_together
from tiecoat.evaluate.impedance.spectra import Spectra, codes
from tiecoat.evaluate.result import results, together

if TYPE_CHECKING:
    from numpy.typing import NDArray

# by logarithms, or not
MEANS = {
    "modulus": True,
    "coating_capacitance": True,
    "water_uptake": False,
    "water_uptake_from_dry": False,
}


def batch_mean_rows(spectra: Spectra, table: pd.DataFrame) -> pd.DataFrame:
    """Return modulus_mean, coating_capacitance_mean, water_uptake_mean, water_uptake_from_dry_mean.

    A row a batch and exposure, with an empty panel: the panel is the unit. Repeats and spots of a
    panel are averaged first. Of modulus and capacitance it is the geometric mean, with the t
    interval of lg. Exposures as near as 2 % or three minutes count as one: their mean is told.

    Parameters
    ----------
    table
        The results of single spectra, a row a spectrum in the order of `spectra` for each quantity
        and condition.
    """
    parts = []
    for quantity, by_logs in MEANS.items():
        rows = table[(table["quantity"] == quantity) & (table["measurement"] != "")]
        for condition, mine in rows.groupby("condition", sort=False):
            parts.append(_means(spectra, mine, f"{quantity}_mean", str(condition), by_logs))
    return together(parts)


def _means(
    spectra: Spectra, rows: pd.DataFrame, quantity: str, condition: str, by_logs: bool
) -> pd.DataFrame:
    value = rows["value"].to_numpy(dtype=np.float64)
    hours = rows["exposure_h"].to_numpy(dtype=np.float64)
    known = np.isfinite(hours)
    if not known.any():
        return together([])
    value, hours = value[known], hours[known]
    flags = rows["flags"].fillna("").astype(str).to_numpy()[known]
    keys = spectra.keys.loc[known, ["batch", "panel", "system"]].reset_index(drop=True)
    group = codes(keys, ("batch", "system"))
    cell = exposures_together(group, hours)
    cells = int(cell.max()) + 1
    unit = codes(keys.assign(cell=cell), ("cell", "panel"))
    units = int(unit.max()) + 1
    cell_of_unit = np.zeros(units, dtype=np.int64)
    cell_of_unit[unit] = cell
    used = np.isfinite(value)
    of_panels = mean_of_groups(np.log(value) if by_logs else value, unit, units).value
    mean = mean_of_groups(of_panels, cell_of_unit, cells)
    there = np.bincount(cell_of_unit, minlength=cells)
    of_cells = RowGroups(np.where(used, cell, -1), cells)
    first = np.zeros(cells, dtype=np.int64)
    first[cell[::-1]] = np.arange(len(cell))[::-1]
    ends = [mean.value, mean.low, mean.high]
    middle, low, high = (np.exp(one) for one in ends) if by_logs else ends
    of_batch = keys.loc[first].reset_index(drop=True)
    return results(
        quantity,
        {
            "batch": of_batch["batch"],
            "exposure_h": np.bincount(cell, hours, minlength=cells) / np.bincount(cell),
        },
        middle,
        str(rows["unit"].iloc[0]),
        standard_error=mean.standard_error * middle if by_logs else mean.standard_error,
        low=low,
        high=high,
        n=mean.n,
        condition=condition + of_batch["system"],
        method=("geometric mean" if by_logs else "mean") + " of panels, t interval over panels",
        reason=np.where(mean.n == 0, "no panel with one", ""),
        flags=[
            "; ".join(filter(None, (_how_many(n, all_), _told(flags[own]))))
            for n, all_, own in zip(mean.n, there, of_cells.positions, strict=True)
        ],
    )


def _how_many(n: int, panels: int) -> str:
    if 0 < n < panels:
        return f"{panels - n} of {panels} panels without one"
    return "one panel: no interval between panels" if n == 1 else ""


def _told(flags: NDArray[np.object_]) -> str:
    """Return what there is to know of the spectra behind a mean, the most frequent first."""
    counts = Counter(part for flag in flags for part in dict.fromkeys(flag.split("; ")) if part)
    listed = sorted(counts, key=lambda part: (-counts[part], part))
    return "; ".join(f"{counts[part]} of {len(flags)} spectra: {part}" for part in listed)
