"""Uncertainty of what single spectra give: from repeats, else from their own points."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from scipy.special import stdtrit

from tiecoat.evaluate.grouping import RowGroups
from tiecoat.evaluate.impedance.panel_courses import exposures_together
from tiecoat.evaluate.impedance.spectra import Floats, Integers, Spectra, Texts, texts

BY_REPEATS = "interval from repeats of the place"
BY_OTHERS = "interval from the repeats of other places"
BY_POINTS = "interval from the scatter of the neighbouring points"
NOT_TOLD_H = -1.0  # exposures that are not told count as one
ONE_IN_HUNDRED, WORTH_TELLING = 0.01, 0.02
LEAST_FREEDOM = 4  # of repeats of other places, below which the spectrum's own points tell more


def repeatability(spectra: Spectra, values: Floats) -> tuple[Floats, Integers]:
    """Return the standard deviation of repeats, pooled over the exposures of each place.

    Repeats are spectra of the same batch, panel, spot and exposure, whatever the direction of their
    sweep; exposures count as one as in `exposures_together`. With x in cell c of a place,
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
    squares, freedom, place = _of_places(spectra, values)
    deviation = np.where(freedom > 0, np.sqrt(squares / np.maximum(freedom, 1)), np.nan)
    return deviation[place], freedom[place]


def _of_places(spectra: Spectra, values: Floats) -> tuple[Floats, Integers, Integers]:
    """Return sum of squares and degrees of freedom of the repeats of each place."""
    cell, place = _cells(spectra), spectra.place
    good = np.isfinite(values)
    cells, places = int(cell.max(initial=-1)) + 1, int(place.max(initial=-1)) + 1
    count = np.bincount(cell[good], minlength=cells)
    total = np.bincount(cell[good], values[good], minlength=cells)
    mean = total / np.maximum(count, 1)
    off = np.where(good, values - mean[cell], 0.0)
    squares = np.bincount(place, off**2, minlength=places).astype(np.float64)
    of_cell = np.zeros(cells, dtype=np.int64)
    of_cell[cell] = place
    freedom = np.bincount(of_cell, np.maximum(count - 1, 0), minlength=places).astype(np.int64)
    return squares, freedom, place


def _cells(spectra: Spectra) -> Integers:
    """Return a number for each spectrum, equal for those of one place and exposure."""
    hours = spectra.keys["exposure_h"].to_numpy(dtype=np.float64)
    return exposures_together(spectra.place, np.nan_to_num(hours, nan=NOT_TOLD_H))


def differences_told(
    spectra: Spectra, lg_value: Floats, of_points: Floats, of_points_freedom: Integers
) -> Texts:
    r"""Tell where repeats differ by more than their own points scatter.

    Then the sweep up saw another film than the one down, or the film changed in between. Of m
    repeats the farthest apart are held against :math:`\sqrt 2 s\, t_{1 - \alpha/(m(m-1))}` with
    alpha = 1 % and s pooled over the repeats; less than 2 % is not told (no source).

    Parameters
    ----------
    lg_value, of_points, of_points_freedom
        (n,) of each spectrum: its value, and the scatter of that by its own points.
    """
    good = np.isfinite(lg_value) & np.isfinite(of_points)
    cell = _cells(spectra)
    cells = RowGroups(np.where(good, cell, -1), int(cell.max(initial=-1)) + 1)
    several = cells.sizes > 1
    apart = np.where(several, cells.most(lg_value) - cells.least(lg_value), 0.0)
    freedom = cells.sum(of_points_freedom)
    scatter = np.sqrt(cells.sum(of_points**2 * of_points_freedom) / np.maximum(freedom, 1))
    pairs = np.maximum(cells.sizes * (cells.sizes - 1), 1)
    limit = np.sqrt(2) * scatter * stdtrit(np.maximum(freedom, 1), 1 - ONE_IN_HUNDRED / pairs)
    told = (apart > limit) & (apart > np.log10(1 + WORTH_TELLING))
    said = [
        f"repeats of this exposure differ by {100 * (10**one - 1):.2g} %, more than their points"
        " scatter: sweeps up and down, or a film that changes"
        if is_told
        else ""
        for one, is_told in zip(apart.tolist(), told.tolist(), strict=True)
    ]
    return texts([said[place] for place in cell.tolist()])


class SingleSpread(NamedTuple):
    """Standard deviation of n single values, its degrees of freedom, and whence it is."""

    deviation: Floats
    freedom: Integers
    whence: Texts


def single_spread(
    spectra: Spectra, values: Floats, of_points: Floats, of_points_freedom: Integers
) -> SingleSpread:
    """Return how far each single value scatters.

    From repeats of the place where there are any; else from those of all other places together,
    with four degrees of freedom or more; else from the scatter of the spectrum's own points.
    """
    squares, freedom, _ = _of_places(spectra, values)
    everywhere = int(freedom.sum())
    deviation, known = of_points, of_points_freedom
    words = np.full(len(values), BY_POINTS, dtype=object)
    if everywhere >= LEAST_FREEDOM:
        deviation = np.full(len(values), np.sqrt(squares.sum() / everywhere))
        known = np.full(len(values), everywhere, dtype=np.int64)
        words = np.full(len(values), BY_OTHERS, dtype=object)
    own, own_freedom = repeatability(spectra, values)
    repeated = own_freedom > 0
    deviation = np.where(repeated, own, deviation)
    none = ~np.isfinite(deviation)
    freedom = np.where(none, 0, np.where(repeated, own_freedom, known)).astype(np.int64)
    words = np.where(none, "no interval", np.where(repeated, BY_REPEATS, words)).astype(object)
    return SingleSpread(deviation, freedom, words)


def of_spread(value: Floats, spread: SingleSpread) -> dict[str, Any]:
    """Return standard_error, low and high of single values: value -+ t(0.975, freedom) s.

    It is the 95 % interval of one determination. From repeats it is on the safe side, since the
    value is itself one of those whose scatter gives s. NaN where nothing tells of it.
    """
    half = t_factors(spread.freedom) * spread.deviation
    known = np.where(np.isnan(value), np.nan, 1.0)
    return {"standard_error": spread.deviation * known, "low": value - half, "high": value + half}


def of_lg_spread(lg_value: Floats, spread: SingleSpread) -> dict[str, Any]:
    """Return the same for 10**lg_value: the error is relative, the interval is even in lg."""
    found = of_spread(lg_value, spread)
    error = 10**lg_value * np.log(10) * found["standard_error"]
    return {"standard_error": error, "low": 10 ** found["low"], "high": 10 ** found["high"]}


def of_lg(spectra: Spectra, lg_value: Floats) -> dict[str, Any]:
    """Return it of 10**lg_value from repeats of the same place alone; NaN where there are none."""
    deviation, freedom = repeatability(spectra, lg_value)
    words = np.full(len(lg_value), BY_REPEATS, dtype=object)
    return of_lg_spread(lg_value, SingleSpread(deviation, freedom, words))


def t_factors(freedom: Integers) -> Floats:
    """Return t(0.975, freedom): by how many standard errors the 95 % interval reaches."""
    quantile: Floats = stdtrit(np.maximum(freedom, 1), 0.975)
    return np.where(freedom > 0, quantile, np.nan)
