"""Modulus and phase of a film at a frequency, and the breakpoint.

The spectra come in as arrays (`tiecoat.evaluate.impedance.spectra`), all of them at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from tiecoat.contract.choices import ImpedanceChoices
from tiecoat.evaluate.impedance.point_scatter import point_scatter
from tiecoat.evaluate.impedance.repeated_spectra import (
    differences_told,
    of_lg,
    of_lg_spread,
    of_spread,
    single_spread,
)
from tiecoat.evaluate.impedance.spectra import (
    Bools,
    Floats,
    Spectra,
    Texts,
    joined,
    rows_of,
    texts,
)
from tiecoat.evaluate.result import together

END_TOLERANCE = 1e-3  # exports round frequencies: this close to the end of the range is the end
FAR_APART = 10**0.5  # neighbours as far apart as this factor, half a decade, are told of
AT_LIMIT = "at the limit of the instrument: at least so much"
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
        return texts(
            [
                f"interpolated between points {np.log10(gap):.2g} decades apart: up to"
                f" {100 * bend_loss(gap):.2g} % too low where the curve bends"
                if gap >= FAR_APART * (1 - END_TOLERANCE)
                else ""
                for gap in self.gap
            ]
        )


def bend_loss(gap: float) -> float:
    r"""Return by what share a modulus interpolated at a bend is too low.

    For a resistance parallel to a capacitance |Z| is R / sqrt(1 + (f / f0)^2); half-way between
    two points a factor g apart and on both sides of f0 the straight line in lg-lg gives
    :math:`R g^{1/4} / \sqrt{1 + g}` for :math:`R / \sqrt 2`, which is the worst case.

    Examples
    --------
    >>> print(round(bend_loss(10**0.5), 3), round(bend_loss(10.0), 3))
    0.076 0.242
    """
    return float(1 - np.sqrt(2 / (1 + gap)) * gap**0.25)


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
        limited = at_instrument_limit(spectra, modulus, choices.instrument_limit_ohm)
        at_limit = np.where(limited, AT_LIMIT, "").astype(object)
        points = point_scatter(spectra, at_hz)
        lg = np.log10(modulus)
        of_modulus = single_spread(spectra, lg, points.lg_modulus, points.freedom)
        of_phase = single_spread(spectra, phase, points.phase_deg, points.freedom)
        differ = differences_told(spectra, lg, points.lg_modulus, points.freedom)
        way = "between measured points, interpolated straight in"
        parts += [
            rows_of(
                spectra,
                "modulus",
                modulus,
                "ohm cm2",
                method=joined(texts([f"{way} lg-lg"] * len(spectra)), of_modulus.whence),
                **{**about, "flags": joined(joined(found.flags, at_limit), differ)},
                **of_lg_spread(lg, of_modulus),
            ),
            rows_of(
                spectra,
                "phase",
                phase,
                "deg",
                method=joined(texts([f"{way} lg f"] * len(spectra)), of_phase.whence),
                **about,
                **of_spread(phase, of_phase),
            ),
        ]
    return together([*parts, _breakpoint_rows(spectra)])


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
