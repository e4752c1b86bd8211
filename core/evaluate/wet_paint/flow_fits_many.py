"""The fits of many flow curves at once.

All curves take the steps of a search together. Where that does not end at a minimum which all
parameters share, the curve is fitted alone, as `flow_fits.fit` does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.grouping import Bools, Floats, Whole
from tiecoat.evaluate.statistics.least_squares_many import least_squares
from tiecoat.evaluate.statistics.least_squares_one import LEAST_SHARE, LEAST_SINGULAR, Solved
from tiecoat.evaluate.wet_paint.flow_fits import ROUNDING, FlowFit, check, fit, found_of
from tiecoat.evaluate.wet_paint.flow_models import MODELS, FlowCurves, FlowModel

MOST_STEPS = 40
TOLERANCE = 1e-14  # the share of the sum of squares by which a step would lower it
SETTLED = 1e-12  # of a step by the curvature alone, the same share
FIRM = 1e-5  # singular values this far apart are told by J'J to some digits
LEVEL = 1e-5  # cosine between residuals and a derivative at the bottom of a valley

Fits = dict[str, FlowFit | NotDeterminable]


def fits_of(curves: Sequence[tuple[Floats, Floats]]) -> list[Fits]:
    """Return the fit of every model to each of many curves, or why there is none.

    Parameters
    ----------
    curves
        Rates in 1/s and stresses in Pa of each, shape (n,).

    Examples
    --------
    >>> rates = np.array([0.1, 1.0, 10.0, 100.0, 1000.0])
    >>> found = fits_of([(rates, 2.0 * rates**0.5), (rates, 3.0 * rates)])
    >>> [round(float(one["power law"].inner[1]), 6) for one in found]
    [0.5, 1.0]
    """
    found: list[Fits] = [{} for _ in curves]
    for model in MODELS.values():
        for place, one in enumerate(_fits_of(model, curves)):
            found[place][model.name] = one
    return found


def fit_all(rate_per_s: ArrayLike, stress_pa: ArrayLike) -> Fits:
    """Return the fit of every model to one flow curve, or why there is none."""
    rates, stresses = np.asarray(rate_per_s, dtype=float), np.asarray(stress_pa, dtype=float)
    return fits_of([(rates, stresses)])[0]


def _fits_of(
    model: FlowModel, curves: Sequence[tuple[Floats, Floats]]
) -> list[FlowFit | NotDeterminable]:
    found: list[FlowFit | NotDeterminable | None] = [None] * len(curves)
    for place, (rates, stresses) in enumerate(curves):
        try:
            check(model, rates, stresses)
        except NotDeterminable as why:
            found[place] = why
    fitted = np.array([place for place, one in enumerate(found) if one is None], dtype=np.intp)
    padded = FlowCurves.of([curves[place] for place in fitted.tolist()])
    free = np.ones((len(fitted), len(model.names)), dtype=np.bool_)
    solved = _search(model, padded, free)
    if model.floored is not None:
        below = np.flatnonzero(solved.firm & (solved.parameters[:, model.floored] <= 0))
        free[below, model.floored] = False
        solved.put(below, _search(model, padded.at(below), free[below]))
    for at, place in enumerate(fitted.tolist()):
        found[place] = _told(model, curves[place], solved, free, at)
    return [one for one in found if one is not None]


@dataclass
class _Searched:
    """Where the searches of c curves ended.

    `firm` says that it is a minimum and that the points determine all parameters, `lost` that they
    do not.
    """

    parameters: Floats
    squares: Floats
    inverse: Floats
    firm: Bools
    lost: Bools

    def put(self, places: Whole, others: _Searched) -> None:
        """Put others into some places."""
        for name in ("parameters", "squares", "inverse", "firm", "lost"):
            getattr(self, name)[places] = getattr(others, name)


def _told(
    model: FlowModel, curve: tuple[Floats, Floats], searched: _Searched, free: Bools, at: int
) -> FlowFit | NotDeterminable:
    try:
        if searched.lost[at]:
            raise NotDeterminable("the points do not determine all parameters")
        if not searched.firm[at]:
            return fit(model.name, *curve)
        squares = float(searched.squares[at])
        solved = Solved(searched.parameters[at], squares, searched.inverse[at])
        return found_of(model, curve[0], solved, free[at])
    except NotDeterminable as why:
        return why


def _search(model: FlowModel, curves: FlowCurves, free: Bools) -> _Searched:
    """Look for the best parameters of curves that share which ones are free."""
    count, size = free.shape
    if not count:
        none = np.zeros((0, size))
        marks = np.zeros(0, dtype=np.bool_)
        return _Searched(none, none[:, 0], np.zeros((0, size, size)), marks, marks)
    weight = curves.there / curves.stresses

    def off(parameters: Floats, which: Whole) -> tuple[Floats, Floats]:
        inner = parameters.T[:, :, None]
        with np.errstate(all="ignore"):  # a step too far is taken back
            stress = model.stress(inner, curves.rates[which])
            slopes = model.gradient(inner, curves.rates[which]) * weight[which][:, :, None]
        return stress * weight[which] - curves.there[which], slopes.transpose(0, 2, 1)

    start = model.start(curves, not bool(free.all()))
    low, high = (np.where(free, end, start) for end in (-np.inf, np.inf))
    found = least_squares(off, start, low, high, most_steps=MOST_STEPS, tolerance=TOLERANCE)
    residuals, slopes = off(found.parameters, np.arange(count))
    return _judged(found.parameters, residuals, slopes, free, found.steps < MOST_STEPS)


def _judged(
    parameters: Floats, residuals: Floats, slopes: Floats, free: Bools, ended: Bools
) -> _Searched:
    """Say which searches ended at a minimum that the points determine, and which cannot."""
    both = np.concatenate([slopes.reshape(len(slopes), -1), residuals], axis=1)
    finite: Bools = np.isfinite(both).all(axis=1)
    slopes = np.where(finite[:, None, None] & free[:, :, None], slopes, 0.0)
    residuals = np.where(finite[:, None], residuals, 0.0)
    lengths = np.sqrt((slopes**2).sum(axis=2))
    even = np.where(free, lengths, np.inf).min(axis=1) > LEAST_SHARE * np.where(
        free, lengths, 0.0
    ).max(axis=1)
    lengths = np.where(lengths > 0, lengths, 1.0)
    unit = slopes / lengths[:, :, None]
    size = np.arange(free.shape[1])
    normal = unit @ unit.transpose(0, 2, 1)
    normal[:, size, size] = np.where(free, normal[:, size, size], 1.0)
    singular = np.linalg.svd(unit.transpose(0, 2, 1), compute_uv=False)
    number = free.sum(axis=1)
    least = singular[np.arange(len(free)), number - 1]
    ratio = np.where(even, least / singular[:, 0], 0.0)
    firm = finite & (ratio > FIRM)
    normal = np.where(firm[:, None, None], normal, np.eye(free.shape[1]))
    inverse = np.linalg.inv(normal)
    downhill = np.einsum("kpm,km->kp", unit, residuals)
    squares = np.einsum("km,km->k", residuals, residuals)
    lower = np.einsum("kp,kpq,kq->k", downhill, inverse, downhill)
    firm &= ended & (lower <= SETTLED * squares)
    firm &= squares > residuals.shape[1] * ROUNDING**2  # else on which side of 0 it ends is chance
    cosine = np.abs(downhill).max(axis=1) <= LEVEL * np.sqrt(squares)
    lost = finite & (ratio < LEAST_SINGULAR) & cosine
    lengths = np.where(firm[:, None], lengths, 1.0)
    inverse = inverse / (lengths[:, :, None] * lengths[:, None, :])
    inverse *= free[:, :, None] & free[:, None, :]
    return _Searched(parameters, squares, inverse, firm, lost)
