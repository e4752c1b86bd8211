"""Means of a batch over its panels at each exposure: modulus, capacitance and water uptake."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tiecoat.evaluate.impedance.group_estimates import mean_of_groups
from tiecoat.evaluate.impedance.panel_courses import exposures_together
from tiecoat.evaluate.impedance.spectra import Bools, Integers, Spectra, Texts, codes
from tiecoat.evaluate.result import results, together

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
    cells = _Cells.of(spectra)
    if not len(cells.keys):
        return together([])
    parts = []
    of_spectra = table[table["quantity"].isin(list(MEANS)) & (table["measurement"] != "")]
    for (name, condition), rows in of_spectra.groupby(["quantity", "condition"], sort=False):
        parts.append(_means(cells, rows, str(name), str(condition)))
    return together(parts)


@dataclass(frozen=True)
class _Cells:
    """Spectra of each batch and exposure: k cells, of u units, which are the panels of a cell.

    Parameters
    ----------
    known
        (n,) which spectra have an exposure.
    cell, unit
        (r,) of each of these.
    cell_of_unit
        (u,).
    keys
        A row a cell: batch, system, exposure_h, the mean of its spectra.
    """

    known: Bools
    cell: Integers
    unit: Integers
    cell_of_unit: Integers
    keys: pd.DataFrame

    @classmethod
    def of(cls, spectra: Spectra) -> _Cells:
        known = np.isfinite(spectra.keys["exposure_h"].to_numpy(dtype=np.float64))
        keys = spectra.keys.loc[known, ["batch", "panel", "system", "exposure_h"]]
        hours = keys["exposure_h"].to_numpy(dtype=np.float64)
        cell = exposures_together(codes(keys, ("batch", "system")), hours)
        count = int(cell.max(initial=-1)) + 1
        unit = codes(keys.assign(cell=cell), ("cell", "panel"))
        cell_of_unit = np.zeros(int(unit.max(initial=-1)) + 1, dtype=np.int64)
        cell_of_unit[unit] = cell
        first = np.zeros(count, dtype=np.int64)
        first[cell[::-1]] = np.arange(len(cell))[::-1]
        mean = np.bincount(cell, hours, minlength=count) / np.bincount(cell, minlength=count)
        of_cells = keys[["batch", "system"]].iloc[first].reset_index(drop=True)
        return cls(known, cell, unit, cell_of_unit, of_cells.assign(exposure_h=mean))


def _means(cells: _Cells, rows: pd.DataFrame, name: str, condition: str) -> pd.DataFrame:
    value = rows["value"].to_numpy(dtype=np.float64)[cells.known]
    flags = rows["flags"].fillna("").to_numpy(dtype=object)[cells.known]
    count, by_logs, used = len(cells.keys), MEANS[name], np.isfinite(value)
    units = len(cells.cell_of_unit)
    of_panels = mean_of_groups(np.log(value) if by_logs else value, cells.unit, units).value
    mean = mean_of_groups(of_panels, cells.cell_of_unit, count)
    there = np.bincount(cells.cell_of_unit, minlength=count)
    ends = [mean.value, mean.low, mean.high]
    middle, low, high = (np.exp(one) for one in ends) if by_logs else ends
    return results(
        f"{name}_mean",
        cells.keys,
        middle,
        str(rows["unit"].iloc[0]),
        standard_error=mean.standard_error * middle if by_logs else mean.standard_error,
        low=low,
        high=high,
        n=mean.n,
        condition=condition + cells.keys["system"],
        method=("geometric mean" if by_logs else "mean") + " of panels, t interval over panels",
        reason=np.where(mean.n == 0, "no panel with one", ""),
        flags=[
            "; ".join(filter(None, (_how_many(n, all_), *told)))
            for n, all_, told in zip(
                mean.n, there, _told(flags[used], cells.cell[used], count), strict=True
            )
        ],
    )


def _how_many(n: int, panels: int) -> str:
    if 0 < n < panels:
        return f"{panels - n} of {panels} panels without one"
    return "one panel: no interval between panels" if n == 1 else ""


def _told(flags: Texts, cell: Integers, cells: int) -> list[list[str]]:
    """Return what there is to know of the spectra behind each mean, the most frequent first."""
    number, distinct = pd.factorize(flags)
    parts_of = [sorted({*flag.split("; ")} - {""}) for flag in distinct]
    names = sorted({part for parts in parts_of for part in parts})
    at = {part: n for n, part in enumerate(names)}
    parts = np.array([at[part] for n in number for part in parts_of[n]], dtype=np.int64)
    owner = np.repeat(cell, [len(parts_of[n]) for n in number])
    each, counts = np.unique(owner * max(len(names), 1) + parts, return_counts=True)
    owner, parts = np.divmod(each, max(len(names), 1))
    sizes = np.bincount(cell, minlength=cells)
    told: list[list[str]] = [[] for _ in range(cells)]
    order = np.lexsort((parts, -counts, owner))
    for n, part, count in zip(owner[order], parts[order], counts[order], strict=True):
        told[n].append(f"{count} of {sizes[n]} spectra: {names[part]}")
    return told
