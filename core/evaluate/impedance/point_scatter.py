"""How far the points of one spectrum scatter about a smooth curve, around a frequency."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tiecoat.evaluate.impedance.spectra import Floats, Integers, Spectra

WINDOW = 7  # points around the frequency
FREEDOM = WINDOW - 3  # a parabola goes through them


@dataclass(frozen=True)
class PointScatter:
    """Of n spectra, the standard deviation of a value interpolated at one frequency.

    Parameters
    ----------
    lg_modulus, phase_deg
        (n,) of lg|Z| and of the phase; NaN where a spectrum has fewer than seven points, or the
        frequency lies outside of it.
    freedom
        (n,) degrees of freedom, 0 where there is none.
    """

    lg_modulus: Floats
    phase_deg: Floats
    freedom: Integers


def point_scatter(spectra: Spectra, at_hz: float) -> PointScatter:
    r"""Return how far a modulus and a phase interpolated at a frequency scatter.

    Through the seven points around it goes a parabola over lg f by least squares, so that a bend of
    the curve is not taken for scatter. With the sum of squares Q of what is left, a point scatters
    by :math:`s = \sqrt{Q / 4}`, and a value interpolated at the share w of the way between two by
    :math:`s \sqrt{(1 - w)^2 + w^2}`.

    It holds for points whose errors are independent and of one size there. What all points of a
    spectrum have in common, such as the area or a film that differs from place to place, it does
    not know: repeats do.
    """
    count, columns = len(spectra), spectra.frequency_hz.shape[1]
    nothing = np.full(count, np.nan)
    low, high = spectra.range_hz
    inside = (spectra.points >= WINDOW) & (low <= at_hz * 1.001) & (high >= at_hz * 0.999)
    if columns < WINDOW or not inside.any():
        return PointScatter(nothing, nothing, np.zeros(count, dtype=np.int64))
    rows = np.flatnonzero(inside)
    lg = np.log10(spectra.frequency_hz[rows])
    left = np.clip((lg <= np.log10(at_hz)).sum(axis=1) - 1, 0, spectra.points[rows] - 2)
    start = np.clip(left - WINDOW // 2 + 1, 0, spectra.points[rows] - WINDOW)
    at = start[:, None] + np.arange(WINDOW)
    here = np.arange(len(rows))
    x = lg[here[:, None], at]
    x = (x - x.mean(axis=1, keepdims=True)) / np.ptp(x, axis=1)[:, None]
    base, _ = np.linalg.qr(np.stack([np.ones_like(x), x, x**2], axis=-1))
    between = lg[here, left + 1] - lg[here, left]
    share = np.clip((np.log10(at_hz) - lg[here, left]) / between, 0.0, 1.0)
    part = np.sqrt((1 - share) ** 2 + share**2)
    found = []
    for curve in (np.log10(spectra.modulus_ohm_cm2), spectra.phase_deg):
        y = curve[rows[:, None], at]
        y = y - y.mean(axis=1, keepdims=True)
        fitted = np.einsum("nij,nj->ni", base, np.einsum("nij,ni->nj", base, y))
        one = nothing.copy()
        one[rows] = part * np.sqrt(((y - fitted) ** 2).sum(axis=1) / FREEDOM)
        found.append(one)
    return PointScatter(found[0], found[1], np.where(inside, FREEDOM, 0).astype(np.int64))
