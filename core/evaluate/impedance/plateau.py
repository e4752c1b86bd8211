"""Low-frequency plateau of a film: its resistance, where it shows."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tiecoat.evaluate.impedance.repeated_spectra import t_factors
from tiecoat.evaluate.impedance.spectra import (
    Bools,
    Floats,
    Integers,
    Spectra,
    Texts,
    rows_of,
    texts,
)
from tiecoat.wording import unlike

END_TOLERANCE = 1e-3  # exports round frequencies
PLATEAU_DECADES = 1.0
PLATEAU_POINTS = 3
PLATEAU_SLOPE = 0.1  # common practice, no source
PLATEAU_PHASE_DEG = 10.0  # common practice, no source
LEAST_EXPONENT = 0.8  # of a constant-phase element parallel to the resistance; no source
PARABOLA = 3  # numbers that it takes


@dataclass(frozen=True)
class Plateau:
    """Low-frequency plateau of n spectra.

    Parameters
    ----------
    lg_modulus
        (n,) mean of lg(|Z| / (ohm cm2)) over the lowest decade; NaN where there is no plateau.
    lg_low, lg_high
        (n,) 95 % interval of lg of the resistance; NaN where too few points tell.
    points
        (n,) how many points lie there.
    reason
        (n,) why there is no plateau, else "".
    """

    lg_modulus: Floats
    lg_low: Floats
    lg_high: Floats
    points: Integers
    reason: Texts


def plateau(spectra: Spectra) -> Plateau:
    r"""Return the low-frequency plateau: the film's resistance, where it shows.

    It shows where, over the lowest decade measured, the least-squares slope of lg|Z| over lg f is
    less than 0.1 in size and no phase is further than 10 degrees from zero, with three points or
    more (common practice, no source). Its value is the geometric mean there.

    The mean is lower than the resistance by what the capacitance parallel to it carries. To first
    order a constant-phase element of the exponent a that turns the phase by p lowers ln|Z| by
    :math:`|p| \cot(a \pi / 2) + p^2 / 2`. The interval is that of the points' scatter s about a
    parabola, :math:`t(0.975, n - 3) s / \sqrt n`, and its upper end is higher by the mean of that
    for a = 0.8, since nothing tells the exponent. There is no standard error: such an uncertainty
    to one side is none.
    """
    f, lg_modulus = spectra.frequency_hz, np.log10(spectra.modulus_ohm_cm2)
    lowest = f[:, :1] * 10**PLATEAU_DECADES * (1 + END_TOLERANCE)
    there: Bools = f <= lowest if f.shape[1] else np.zeros(f.shape, dtype=np.bool_)
    count = there.sum(axis=1)
    weight = np.maximum(count, 1)
    x, y = np.where(there, np.log10(f), 0.0), np.where(there, lg_modulus, 0.0)
    mean = y.sum(axis=1) / weight
    dx = np.where(there, x - (x.sum(axis=1) / weight)[:, None], 0.0)
    dy = np.where(there, y - mean[:, None], 0.0)
    spread = (dx**2).sum(axis=1)
    slope = (dx * dy).sum(axis=1) / np.where(spread > 0, spread, np.nan)
    turned = np.where(there, np.radians(np.abs(spectra.phase_deg)), 0.0)
    phase = np.degrees(turned.max(axis=1, initial=0.0))
    few = count < PLATEAU_POINTS
    steep, off = np.abs(slope) >= PLATEAU_SLOPE, phase > PLATEAU_PHASE_DEG
    reason = texts(
        [
            f"no plateau: {n} points in the lowest decade, {PLATEAU_POINTS} are needed"
            if a
            else f"no plateau over the lowest decade: slope "
            f"{unlike(s, math.copysign(PLATEAU_SLOPE, s), 2)} (limit {PLATEAU_SLOPE:g}), "
            f"phase up to {unlike(p, PLATEAU_PHASE_DEG, 3)} degrees from zero "
            f"(limit {PLATEAU_PHASE_DEG:g})"
            if b
            else ""
            for a, b, n, s, p in zip(few, steep | off, count, slope, phase, strict=True)
        ]
    )
    freedom = (count - PARABOLA).astype(np.int64)
    half = t_factors(freedom) * np.sqrt(
        _about_parabola(dx, dy, there) / np.maximum(freedom, 1) / weight
    )
    carried = turned / np.tan(LEAST_EXPONENT * np.pi / 2) + turned**2 / 2
    hidden = carried.sum(axis=1) / weight / np.log(10)
    known = np.where(reason == "", 1.0, np.nan)
    return Plateau(
        mean * known,
        (mean - half) * known,
        (mean + half + hidden) * known,
        count.astype(np.int64),
        reason,
    )


def _about_parabola(dx: Floats, dy: Floats, there: Bools) -> Floats:
    """Return the sum of squares about a parabola; dx and dy have the mean 0, 0 outside of it."""
    weight = np.maximum(there.sum(axis=1), 1)
    square = np.where(there, dx**2 - ((dx**2).sum(axis=1) / weight)[:, None], 0.0)
    left = dy
    for one in _orthogonal(dx, square):
        size = (one**2).sum(axis=1)
        share = (one * left).sum(axis=1) / np.where(size > 0, size, 1.0)
        left = left - share[:, None] * one
    return np.asarray((left**2).sum(axis=1))


def _orthogonal(first: Floats, second: Floats) -> tuple[Floats, Floats]:
    size = (first**2).sum(axis=1)
    share = (first * second).sum(axis=1) / np.where(size > 0, size, 1.0)
    return first, second - share[:, None] * first


def plateau_rows(spectra: Spectra) -> pd.DataFrame:
    """Return plateau_modulus (ohm cm2), a row a spectrum."""
    found = plateau(spectra)
    return rows_of(
        spectra,
        "plateau_modulus",
        10**found.lg_modulus,
        "ohm cm2",
        reason=found.reason,
        condition="lowest decade measured",
        low=10**found.lg_low,
        high=10**found.lg_high,
        n=found.points,
        method="geometric mean, where flat and near phase zero; interval from the points' scatter"
        " about a parabola, upwards with what a capacitive element parallel to it can hide",
    )
