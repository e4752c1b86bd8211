"""Capacitance of a film and its relative permittivity; the water in it is told by `uptake`."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tiecoat.contract.choices import ImpedanceChoices
from tiecoat.evaluate.impedance.modulus import At, modulus_at
from tiecoat.evaluate.impedance.point_scatter import point_scatter
from tiecoat.evaluate.impedance.repeated_spectra import (
    SingleSpread,
    of_lg_spread,
    single_spread,
)
from tiecoat.evaluate.impedance.spectra import (
    Complexes,
    Floats,
    Spectra,
    Texts,
    joined,
    rows_of,
    texts,
)
from tiecoat.evaluate.impedance.uptake import OPEN_TOLD, FilmCapacitances, uptake_rows
from tiecoat.evaluate.impedance.water_permittivity import water_permittivity
from tiecoat.evaluate.result import together
from tiecoat.wording import unlike

VACUUM_PERMITTIVITY_F_CM = 8.8541878188e-14  # CODATA 2022, F/cm
CAPACITIVE_DEG = -80.0  # common practice, no source
SLOWEST_FALL = -CAPACITIVE_DEG / 90  # the exponent of a constant-phase element of that phase
UM_PER_CM = 1e4
METHOD = "C = -Z''/(2 pi f |Z - Rs|^2), Rs the least Z' from f upwards"


def film_capacitance(
    frequency_hz: float, z_ohm_cm2: Complexes, in_series_ohm_cm2: Floats
) -> Floats:
    r"""Return the capacitance of a film, parallel to what conducts in it.

    .. math:: C = \frac{\Im Y}{2 \pi f} = \frac{-Z''}{2 \pi f \, [(Z' - R_s)^2 + Z''^2]},
        \quad Y = \frac{1}{Z - R_s}

    Y is the admittance of the film alone, behind the resistance :math:`R_s` of the electrolyte. The
    complex permittivity is defined by :math:`Y = 2 \pi i f \varepsilon^* \varepsilon_0 / d`, so
    that C is its real part, whatever carries the loss. With :math:`Z'' = -r^2 \omega C / (1 +
    (r \omega C)^2)` of a resistance r parallel to C, -1/(2 pi f Z'') would be C (1 + tan^2 delta)
    with tan delta = 1 / (r omega C), 3.1 % too high at -80 degrees; and without :math:`R_s`,
    -Z''/(2 pi f |Z|^2) is too low by as much where all of Z' is the electrolyte's.

    Parameters
    ----------
    frequency_hz
        Above zero.
    z_ohm_cm2
        Impedance in ohm cm2; capacitive = negative imaginary part.
    in_series_ohm_cm2
        The resistance in series with the film, in ohm cm2.

    Returns
    -------
    F/cm2; NaN where the imaginary part is not negative.

    Examples
    --------
    >>> film = 1 / (1 / 1e6 + 2j * np.pi * 1e4 * 35.417e-12)  # 1 Mohm parallel to it
    >>> print(film_capacitance(1e4, np.array([300 + film]), np.array([300.0])).round(15))
    [3.5417e-11]
    """
    out_of_phase = np.where(z_ohm_cm2.imag < 0, -z_ohm_cm2.imag, np.nan)
    squares = (z_ohm_cm2.real - in_series_ohm_cm2) ** 2 + out_of_phase**2
    found: Floats = out_of_phase / (2 * np.pi * frequency_hz * squares)
    return found


def relative_permittivity(capacitance_f_cm2: Floats, thickness_um: Floats) -> Floats:
    """Return eps = C d / eps0 of a plate capacitor, C per area.

    Parameters
    ----------
    capacitance_f_cm2, thickness_um
        In F/cm2 and um; both above zero, the thickness small against the width of the cell.

    Examples
    --------
    >>> print(relative_permittivity(np.array([35.417e-12]), np.array([100.0])).round(3))
    [4.]
    """
    eps: Floats = capacitance_f_cm2 * (thickness_um / UM_PER_CM) / VACUUM_PERMITTIVITY_F_CM
    return eps


@dataclass(frozen=True)
class Capacitance:
    """Coating capacitance of n spectra at one frequency.

    Parameters
    ----------
    f_cm2
        (n,) in F/cm2; NaN where the film is not nearly a capacitor there.
    too_high
        (n,) by which share of itself it may be too high, see `in_series`.
    at
        Modulus and phase it came from.
    reason
        (n,) why there is none, else "".
    """

    f_cm2: Floats
    too_high: Floats
    at: At
    reason: Texts


def in_series(spectra: Spectra, at_hz: float, z_real_ohm_cm2: Floats) -> tuple[Floats, Floats]:
    """Return how much of the real part at a frequency is in series with the film: most and least.

    No real part of a film is below zero, and it falls with rising frequency: so the least one
    measured from there upwards is the most that is in series. What a film loses by conduction falls
    with the square of the frequency, what its dielectric loses more slowly, yet with the power 8/9
    or more where a constant-phase element has a phase of -80 degrees: so of the film's part at most
    the share (at_hz/f)^(8/9) is left at the highest frequency f, which gives the least. A sweep
    that ends at the frequency leaves all open.

    Parameters
    ----------
    z_real_ohm_cm2
        (n,) there, not below zero.

    Returns
    -------
    most, least
        (n,) in ohm cm2.
    """
    if not spectra.frequency_hz.shape[1]:
        return z_real_ohm_cm2, np.zeros_like(z_real_ohm_cm2)
    from_there = spectra.frequency_hz >= at_hz
    reals = np.where(from_there, spectra.z_ohm_cm2.real, np.inf)
    most = np.clip(reals.min(axis=1), 0.0, z_real_ohm_cm2)
    last = np.maximum(spectra.points - 1, 0)[:, None]
    highest = np.take_along_axis(spectra.frequency_hz, last, axis=1)[:, 0]
    at_highest = np.take_along_axis(spectra.z_ohm_cm2.real, last, axis=1)[:, 0]
    beyond = highest > at_hz
    left = (at_hz / np.where(beyond, highest, np.inf)) ** SLOWEST_FALL
    least = np.where(beyond, (at_highest - left * z_real_ohm_cm2) / (1 - left), 0.0)
    return most, np.clip(least, 0.0, most)


def coating_capacitance(spectra: Spectra, at_hz: float) -> Capacitance:
    """Return the coating capacitance by the impedance at a high frequency.

    |Z| and the phase are interpolated (`modulus_at`), and C as of `film_capacitance` behind the
    most that may be in series (`in_series`); behind the least C is lower, by `too_high`. Where the
    phase is not between -80 and -100 degrees there is no value: the film leaks or the electrolyte's
    resistance shows, or the cell's inductance. A phase below -90 is taken as one of -90 would be.
    """
    at = modulus_at(spectra, at_hz)
    capacitive = np.abs(at.phase_deg + 90) <= 90 + CAPACITIVE_DEG
    turned = np.radians(at.phase_deg)
    real = np.maximum(at.modulus_ohm_cm2 * np.cos(turned), 0.0)
    z = np.where(capacitive, real + 1j * at.modulus_ohm_cm2 * np.sin(turned), np.nan)
    most, least = in_series(spectra, at_hz, real)
    found, low = (film_capacitance(at_hz, z, one) for one in (most, least))
    reason = texts(
        [
            outside
            or (
                f"not nearly a capacitor at {at_hz:g} Hz: the phase is {_beyond(phase)} degrees, "
                f"{CAPACITIVE_DEG:g} or less, down to {-180 - CAPACITIVE_DEG:g}, is needed"
                if np.isnan(value)
                else ""
            )
            for outside, phase, value in zip(at.reason, at.phase_deg, found, strict=True)
        ]
    )
    return Capacitance(found, found / low - 1, at, reason)


def _beyond(phase_deg: float) -> str:
    """Return a phase so that it does not read as the limit that it misses."""
    limit = CAPACITIVE_DEG if phase_deg > -90 else -180 - CAPACITIVE_DEG
    told = f"{phase_deg:.1f}"
    return told if float(told) != limit else unlike(phase_deg, limit)


def capacitance_scatter(spectra: Spectra, found: Capacitance, at_hz: float) -> SingleSpread:
    """Return how far lg C of each spectrum scatters.

    Of the spectrum's own points: the square root of s^2(lg|Z|) + (cot(phase) s(phase) / ln 10)^2.
    That is so where all of the real part is the film's and where all is the electrolyte's, and less
    in between.
    """
    points = point_scatter(spectra, at_hz)
    phase = np.radians(found.at.phase_deg)
    turned = np.radians(points.phase_deg) / np.tan(np.where(phase == 0, np.nan, phase))
    own = np.hypot(points.lg_modulus, turned / np.log(10))
    return single_spread(spectra, np.log10(found.f_cm2), own, points.freedom)


def capacitance_rows(spectra: Spectra, choices: ImpedanceChoices) -> pd.DataFrame:
    """Return the results of this module and of `uptake`: a row a spectrum for each of them.

    coating_capacitance (F/cm2), relative_permittivity (1), water_uptake (% by volume).
    """
    at_hz = choices.capacitance_frequency_hz
    found = coating_capacitance(spectra, at_hz)
    condition, flags = f"{at_hz:g} Hz", found.at.flags
    lg = np.log10(found.f_cm2)
    spread = capacitance_scatter(spectra, found, at_hz)
    told = np.where(found.too_high > OPEN_TOLD, found.too_high, 0.0)
    too_high = [
        f"up to {100 * one:.2g} % too high: how much of Z' is the film's is not known"
        if one
        else ""
        for one in told
    ]
    flags = joined(flags, texts(too_high))
    thickness = spectra.keys["thickness_um"].to_numpy()
    eps = relative_permittivity(found.f_cm2, np.where(thickness > 0, thickness, np.nan))
    thickness_from = spectra.keys["thickness_from"].to_numpy(dtype=object)
    no_eps = texts([one or "no thickness" for one in found.reason])
    temperature = bath_temperature_c(spectra, choices)
    film = FilmCapacitances(
        found.f_cm2,
        found.reason,
        spread.deviation,
        spread.freedom,
        water_permittivity(temperature),
        found.too_high,
    )
    return together(
        [
            rows_of(
                spectra,
                "coating_capacitance",
                found.f_cm2,
                "F/cm2",
                reason=found.reason,
                flags=flags,
                condition=condition,
                method=joined(texts([METHOD] * len(spectra)), spread.whence),
                **of_lg_spread(lg, spread),
            ),
            rows_of(
                spectra,
                "relative_permittivity",
                eps,
                "",
                reason=no_eps,
                flags=joined(flags, thickness_from),
                condition=condition,
                method=joined(
                    texts(
                        ["C d / eps0; d of the export unless a flag says otherwise, taken as known"]
                        * len(spectra)
                    ),
                    spread.whence,
                ),
                **of_lg_spread(np.log10(eps), spread),
            ),
            uptake_rows(spectra, film, temperature, choices, spread.whence),
        ]
    )


def bath_temperature_c(spectra: Spectra, choices: ImpedanceChoices) -> Floats:
    """Return the temperature of each bath: of the spectrum, else what the laboratory has set."""
    own = spectra.keys["temperature_c"].to_numpy(dtype=np.float64)
    set_c = np.nan if choices.bath_temperature_c is None else choices.bath_temperature_c
    return np.asarray(np.where(np.isnan(own), set_c, own))
