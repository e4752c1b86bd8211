"""Uncertainty of single results from repeated spectra of the same place."""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy.special import stdtrit

from tiecoat.evaluate.impedance.spectra import Floats, Integers, Spectra, codes


def repeatability(spectra: Spectra, values: Floats) -> tuple[Floats, Integers]:
    """Return the standard deviation of repeats, pooled over the exposures of each place.

    Repeats are spectra of the same batch, panel, spot and exposure. With x in cell c of a place,
    s^2 = sum_c sum_i (x_ci - mean_c)^2 / sum_c (n_c - 1).

    Parameters
    ----------
    values
        (n,) one a spectrum; NaN does not count.

    Returns
    -------
    deviation, freedom
        (n,) each; NaN and 0 where a place has no repeats.
    """
    cell = codes(spectra.keys, ("batch", "panel", "spot", "exposure_h"))
    place = spectra.place
    good = np.isfinite(values)
    cells, places = int(cell.max(initial=-1)) + 1, int(place.max(initial=-1)) + 1
    count = np.bincount(cell[good], minlength=cells)
    total = np.bincount(cell[good], values[good], minlength=cells)
    mean = total / np.maximum(count, 1)
    off = np.where(good, values - mean[cell], 0.0)
    squares = np.bincount(place, off**2, minlength=places)
    of_cell = np.zeros(cells, dtype=np.int64)
    of_cell[cell] = place
    freedom = np.bincount(of_cell, np.maximum(count - 1, 0), minlength=places).astype(np.int64)
    deviation = np.where(freedom > 0, np.sqrt(squares / np.maximum(freedom, 1)), np.nan)
    return deviation[place], freedom[place]


def of_repeats(spectra: Spectra, value: Floats) -> dict[str, Any]:
    """Return standard_error, low and high of single values, from repeats of the same place.

    value -+ t(0.975, freedom) s with s of `repeatability`: the 95 % interval of one determination.
    It is on the safe side, since the value is itself one of those whose scatter gives s. NaN where
    nothing was repeated.
    """
    deviation, freedom = repeatability(spectra, value)
    half = t_factors(freedom) * deviation
    known = np.where(np.isnan(value), np.nan, 1.0)
    return {"standard_error": deviation * known, "low": value - half, "high": value + half}


def of_lg(spectra: Spectra, lg_value: Floats) -> dict[str, Any]:
    """Return the same for 10**lg_value: the error is relative, the interval is even in lg."""
    spread = of_repeats(spectra, lg_value)
    error = 10**lg_value * np.log(10) * spread["standard_error"]
    return {"standard_error": error, "low": 10 ** spread["low"], "high": 10 ** spread["high"]}


def t_factors(freedom: Integers) -> Floats:
    """Return t(0.975, freedom): by how many standard errors the 95 % interval reaches."""
    quantile: Floats = stdtrit(np.maximum(freedom, 1), 0.975)
    return np.where(freedom > 0, quantile, np.nan)
