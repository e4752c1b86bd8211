"""Modulus and phase of a film: at a frequency, on the plateau, at the breakpoint; barrier class.

The spectra come in as arrays (`tiecoat.evaluate.impedance.spectra`), all of them at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from tiecoat.contract.choices import ImpedanceChoices
from tiecoat.evaluate.impedance.repeated_spectra import of_lg, of_repeats, t_factors
from tiecoat.evaluate.impedance.spectra import (
    Bools,
    Floats,
    Integers,
    Spectra,
    Texts,
    rows_of,
    texts,
)
from tiecoat.evaluate.result import together

END_TOLERANCE = 1e-3  # exports round frequencies: this close to the end of the range is the end
FAR_APART = 10.0  # neighbours further apart than this factor are told of
PLATEAU_DECADES = 1.0
PLATEAU_POINTS = 3
PLATEAU_SLOPE = 0.1  # common practice, no source
PLATEAU_PHASE_DEG = 10.0  # common practice, no source
BREAKPOINT_DEG = -45.0


@dataclass(frozen=True)
class At:
    """Modulus and phase of n spectra at one frequency.

    Parameters
    ----------
    modulus_ohm_cm2, phase_deg
        (n,); NaN where the frequency does not lie within the measured range.
    gap
        (n,) by what factor the two measured frequencies around it lie apart; 1 at a measured one.
    reason
        (n,) why there is no value, else "".
    """

    modulus_ohm_cm2: Floats
    phase_deg: Floats
    gap: Floats
    reason: Texts

    @property
    def flags(self) -> Texts:
        """(n,) what there is to know of the interpolation."""
        text = "interpolated between points more than a decade apart"
        return np.where(self.gap > FAR_APART * (1 + END_TOLERANCE), text, "").astype(object)


def interpolate(frequency_hz: Floats, values: Floats, at_hz: float) -> tuple[Floats, Floats]:
    """Return values between measured frequencies, linear over the logarithm of the frequency.

    v(f) = v1 + (v2 - v1) (lg f - lg f1) / (lg f2 - lg f1) between the neighbours f1 <= f <= f2.

    Parameters
    ----------
    frequency_hz
        (n, m), ascending in each row, NaN behind the last point.
    values
        (n, m, k): k curves; the logarithm of what is to be straight in lg-lg.
    at_hz
        One frequency. Valid within the measured range of each row; a frequency within 0.1 % of an
        end counts as the end, since exports round. Nothing is extrapolated.

    Returns
    -------
    value, gap
        (n, k), NaN outside the range; and (n,) f2 / f1, 1 at a measured frequency.

    Examples
    --------
    >>> frequency_hz = np.array([[0.01, 1.0, 100.0]])
    >>> value, gap = interpolate(frequency_hz, np.array([[[8.0], [6.0], [4.0]]]), 0.1)
    >>> print(value, gap)
    [[7.]] [100.]
    """
    rows, columns = frequency_hz.shape
    if not columns or not 0 < at_hz < np.inf:
        return np.full((rows, values.shape[2]), np.nan), np.full(rows, np.nan)
    every = np.arange(rows)
    last = np.maximum(np.isfinite(frequency_hz).sum(axis=1) - 1, 0)
    low, high = frequency_hz[:, 0], frequency_hz[every, last]
    inside = (at_hz >= low * (1 - END_TOLERANCE)) & (at_hz <= high * (1 + END_TOLERANCE))
    target = np.clip(at_hz, low, high)
    left = np.clip((frequency_hz <= target[:, None]).sum(axis=1) - 1, 0, last)
    right = np.where(frequency_hz[every, left] == target, left, np.minimum(left + 1, last))
    gap = frequency_hz[every, right] / frequency_hz[every, left]
    step = np.where(gap > 1, np.log(gap), 1.0)  # two may differ in the last digit only
    share = (np.log(target / frequency_hz[every, left]) / step)[:, None]
    value = values[every, left] + share * (values[every, right] - values[every, left])
    return np.where(inside[:, None], value, np.nan), np.where(inside, gap, np.nan)


def at_instrument_limit(
    spectra: Spectra, modulus_ohm_cm2: Floats, limit_ohm: float | None
) -> Bools:
    """Return which moduli the instrument could not have measured larger, (n,).

    Parameters
    ----------
    limit_ohm
        The largest impedance that the instrument measures, in ohm: not times the area.
    """
    if limit_ohm is None:
        return np.zeros(len(spectra), dtype=np.bool_)
    area = spectra.keys["area_cm2"].to_numpy(dtype=np.float64)
    return np.asarray(modulus_ohm_cm2 / area >= limit_ohm)


def modulus_at(spectra: Spectra, at_hz: float) -> At:
    """Return modulus and phase at a frequency.

    lg|Z| and the unwrapped phase are linear over lg f between measured points (`interpolate`), so
    that a constant-phase element is met exactly. Outside the measured range there is a reason.

    Parameters
    ----------
    at_hz
        Frequency in Hz.

    Returns
    -------
    At
        In ohm cm2 and degrees.
    """
    curves = np.stack([np.log10(spectra.modulus_ohm_cm2), spectra.phase_deg], axis=-1)
    found, gap = interpolate(spectra.frequency_hz, curves, at_hz)
    outside = np.isnan(found[:, 0])
    low, high = spectra.range_hz
    reason = texts(
        [
            f"{at_hz:g} Hz lies outside what was measured, {a:.4g} to {b:.4g} Hz" if out else ""
            for out, a, b in zip(outside, low, high, strict=True)
        ]
    )
    return At(10 ** found[:, 0], found[:, 1], gap, reason)


@dataclass(frozen=True)
class Plateau:
    """Low-frequency plateau of n spectra.

    Parameters
    ----------
    lg_modulus, lg_error
        (n,) mean of lg(|Z| / (ohm cm2)) over the lowest decade and its standard error; NaN where
        there is no plateau.
    points
        (n,) how many points lie there.
    reason
        (n,) why there is no plateau, else "".
    """

    lg_modulus: Floats
    lg_error: Floats
    points: Integers
    reason: Texts


def plateau(spectra: Spectra) -> Plateau:
    """Return the low-frequency plateau: the film's resistance, where it shows.

    It shows where, over the lowest decade measured, the least-squares slope of lg|Z| over lg f is
    less than 0.1 in size and no phase is further than 10 degrees from zero, with three points or
    more (common practice, no source). For a resistance parallel to a capacitance the modulus is
    then at most 1.5 % too low: |Z| = R cos(phase). Its value is the geometric mean there.
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
    phase = np.where(there, np.abs(spectra.phase_deg), 0.0).max(axis=1, initial=0.0)
    few = count < PLATEAU_POINTS
    steep, turned = np.abs(slope) >= PLATEAU_SLOPE, phase > PLATEAU_PHASE_DEG
    error = np.sqrt((dy**2).sum(axis=1) / np.maximum(count - 1, 1) / weight)
    reason = texts(
        [
            f"no plateau: {n} points in the lowest decade, {PLATEAU_POINTS} are needed"
            if a
            else f"no plateau over the lowest decade: slope {s:.2f} (limit {PLATEAU_SLOPE:g}), "
            f"phase up to {p:.1f} degrees from zero (limit {PLATEAU_PHASE_DEG:g})"
            if b
            else ""
            for a, b, n, s, p in zip(few, steep | turned, count, slope, phase, strict=True)
        ]
    )
    none = reason != ""
    return Plateau(
        np.where(none, np.nan, mean), np.where(none, np.nan, error), count.astype(np.int64), reason
    )


@dataclass(frozen=True)
class Breakpoint:
    """Breakpoint frequency of n spectra.

    Parameters
    ----------
    frequency_hz
        (n,) the highest one; NaN where there is none.
    crossings_hz
        (n, m - 1) every frequency at which the phase crosses -45 degrees, else NaN.
    falling
        (n, m - 1) whether the phase falls there with rising frequency: resistive below it,
        capacitive above. Only these are breakpoints.
    reason
        (n,) why there is none, else "".
    """

    frequency_hz: Floats
    crossings_hz: Floats
    falling: Bools
    reason: Texts

    @property
    def flags(self) -> Texts:
        """(n,) all crossings where there are several."""
        flags = np.full(len(self.reason), "", dtype=object)
        for n in np.flatnonzero(np.isfinite(self.crossings_hz).sum(axis=1) > 1):
            crossed = np.isfinite(self.crossings_hz[n])
            listed = ", ".join(
                f"{one:.4g} Hz {'falling' if down else 'rising'}"
                for one, down in zip(
                    self.crossings_hz[n, crossed], self.falling[n, crossed], strict=True
                )
            )
            flags[n] = f"several crossings of -45 degrees, the highest falling one counts: {listed}"
        return flags


def breakpoints(spectra: Spectra) -> Breakpoint:
    """Return the breakpoint frequency: where the film turns from resistance to capacitance.

    For a resistance parallel to a capacitance the phase is -45 degrees at f = 1 / (2 pi R C)
    (Haruyama, Asari and Tsuru, in Corrosion Protection by Organic Coatings, Electrochem. Soc.
    1987, from memory). The unwrapped phase is linear over lg f between measured points. Crossings
    at which the phase rises with frequency (the electrolyte's resistance at the upper end, the
    double layer at the lower) are told of and are no breakpoints. Nothing is extrapolated.
    """
    f, above = spectra.frequency_hz, spectra.phase_deg - BREAKPOINT_DEG
    if f.shape[1] < 2:
        empty = np.full((len(spectra), 0), np.nan)
        reason = np.full(len(spectra), "one point only", dtype=object)
        return Breakpoint(np.full(len(spectra), np.nan), empty, empty > 0, reason)
    valid = np.isfinite(f[:, 1:])
    resistive = above > 0
    falling = valid & resistive[:, :-1] & ~resistive[:, 1:]
    crossed = falling | (valid & ~resistive[:, :-1] & resistive[:, 1:])
    step = np.where(crossed, above[:, :-1] - above[:, 1:], 1.0)
    lg = np.log10(f)
    at = lg[:, :-1] + above[:, :-1] / step * (lg[:, 1:] - lg[:, :-1])
    crossings = np.where(crossed, 10 ** np.where(crossed, at, 0.0), np.nan)
    highest = np.where(falling, crossings, -np.inf).max(axis=1)
    found = np.where(falling.any(axis=1), highest, np.nan)
    return Breakpoint(found, crossings, falling, _no_breakpoint(spectra, found, crossed, resistive))


def _no_breakpoint(spectra: Spectra, found: Floats, crossed: Bools, resistive: Bools) -> Texts:
    low, high = spectra.range_hz
    reason = np.full(len(spectra), "", dtype=object)
    for n in np.flatnonzero(np.isnan(found)):
        measured = f"from {low[n]:.4g} to {high[n]:.4g} Hz"
        if spectra.points[n] < 2:
            reason[n] = "one point only"
        elif crossed[n].any():
            reason[n] = f"the phase only rises through -45 degrees {measured}"
        elif resistive[n, 0]:
            reason[n] = f"the phase stays above -45 degrees {measured}"
        else:
            reason[n] = f"the phase stays below -45 degrees {measured}: the breakpoint lies lower"
    return reason


def barrier_class(modulus_ohm_cm2: Floats, good_from: float, poor_below: float) -> Floats:
    """Return 3 good, 2 fair, 1 poor; NaN for NaN.

    Parameters
    ----------
    modulus_ohm_cm2
        Any shape.
    good_from, poor_below
        Limits in ohm cm2; usually 1e8 and 1e6 (Bacon, Smith and Rugg, Ind. Eng. Chem. 40 (1948)
        161, by direct current; from memory; with the modulus at 0.1 Hz common practice).

    Examples
    --------
    >>> print(barrier_class(np.array([1e8, 2e7, 1e6, 9e5]), 1e8, 1e6))
    [3. 2. 2. 1.]
    """
    level = np.where(modulus_ohm_cm2 >= good_from, 3.0, 2.0)
    level = np.where(modulus_ohm_cm2 < poor_below, 1.0, level)
    return np.where(np.isnan(modulus_ohm_cm2), np.nan, level)


def modulus_rows(spectra: Spectra, choices: ImpedanceChoices) -> pd.DataFrame:
    """Return the results of this module: a row a spectrum for each of the quantities.

    modulus and plateau_modulus (ohm cm2), phase (deg), breakpoint_frequency (Hz), barrier_class
    (3 good, 2 fair, 1 poor).
    """
    parts = []
    for at_hz in choices.frequencies_hz:
        found = modulus_at(spectra, at_hz)
        about: dict[str, Any] = {
            "condition": f"{at_hz:g} Hz",
            "reason": found.reason,
            "flags": found.flags,
        }
        modulus, phase = found.modulus_ohm_cm2, found.phase_deg
        way = "between measured points, interpolated straight in"
        parts += [
            rows_of(
                spectra,
                "modulus",
                modulus,
                "ohm cm2",
                method=f"{way} lg-lg",
                **about,
                **of_lg(spectra, np.log10(modulus)),
            ),
            rows_of(
                spectra,
                "phase",
                phase,
                "deg",
                method=f"{way} lg f",
                **about,
                **of_repeats(spectra, phase),
            ),
        ]
    return together(
        [*parts, _plateau_rows(spectra), _breakpoint_rows(spectra), _class_rows(spectra, choices)]
    )


def _plateau_rows(spectra: Spectra) -> pd.DataFrame:
    found = plateau(spectra)
    value = 10**found.lg_modulus
    half = t_factors(found.points - 1) * found.lg_error
    return rows_of(
        spectra,
        "plateau_modulus",
        value,
        "ohm cm2",
        reason=found.reason,
        condition="lowest decade measured",
        standard_error=value * np.log(10) * found.lg_error,
        low=10 ** (found.lg_modulus - half),
        high=10 ** (found.lg_modulus + half),
        n=found.points,
        method="geometric mean, where flat and near phase zero; interval from the points' scatter",
    )


def _breakpoint_rows(spectra: Spectra) -> pd.DataFrame:
    found = breakpoints(spectra)
    with np.errstate(divide="ignore"):
        spread = of_lg(spectra, np.log10(found.frequency_hz))
    return rows_of(
        spectra,
        "breakpoint_frequency",
        found.frequency_hz,
        "Hz",
        reason=found.reason,
        flags=found.flags,
        condition="-45 degrees",
        method="phase interpolated over lg f; the highest frequency where it falls through",
        **spread,
    )


def _class_rows(spectra: Spectra, choices: ImpedanceChoices) -> pd.DataFrame:
    at_hz = choices.class_frequency_hz
    if at_hz is None:
        modulus, reason = _lowest(spectra), spectra.reason
        where = texts([f"lowest frequency measured, {low:.4g} Hz" for low in spectra.range_hz[0]])
    else:
        found = modulus_at(spectra, at_hz)
        modulus, reason = found.modulus_ohm_cm2, found.reason
        where = texts([f"{at_hz:g} Hz"] * len(spectra))
    good, poor = choices.good_from_ohm_cm2, choices.poor_below_ohm_cm2
    level = barrier_class(modulus, good, poor)
    return rows_of(
        spectra,
        "barrier_class",
        level,
        "",
        reason=reason,
        condition=where,
        method=f"3 good from {good:g}, 2 fair, 1 poor below {poor:g} ohm cm2 "
        "(Bacon, Smith and Rugg 1948; common practice)",
    )


def _lowest(spectra: Spectra) -> Floats:
    modulus = spectra.modulus_ohm_cm2
    return modulus[:, 0] if modulus.shape[1] else np.full(len(spectra), np.nan)
