"""Capacitance of a film and its relative permittivity; the water in it is told by `uptake`."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tiecoat.contract.choices import ImpedanceChoices
from tiecoat.evaluate.impedance.modulus import At, modulus_at
from tiecoat.evaluate.impedance.point_scatter import point_scatter
from tiecoat.evaluate.impedance.repeated_spectra import SingleSpread, of_lg_spread, single_spread
from tiecoat.evaluate.impedance.spectra import (
    Floats,
    Spectra,
    Texts,
    joined,
    rows_of,
    texts,
)
from tiecoat.evaluate.impedance.uptake import FilmCapacitances, uptake_rows
from tiecoat.evaluate.impedance.water_permittivity import water_permittivity
from tiecoat.evaluate.result import together
from tiecoat.wording import unlike

VACUUM_PERMITTIVITY_F_CM = 8.8541878188e-14  # CODATA 2022, F/cm
CAPACITIVE_DEG = -80.0  # common practice, no source
UM_PER_CM = 1e4


def series_capacitance(frequency_hz: float, z_imag_ohm_cm2: Floats) -> Floats:
    """Return the capacitance from the imaginary part, as of a capacitor in series.

    C = -1 / (2 pi f Z''). A resistance in series, such as the electrolyte's, does not change it.
    It holds for a film that is nearly a capacitor at this frequency: with a resistance parallel to
    the capacitor it is too high by the factor 1 / sin^2(phase), 3.1 % at -80 degrees.

    Parameters
    ----------
    frequency_hz
        Above zero.
    z_imag_ohm_cm2
        Imaginary part, in ohm cm2; capacitive = negative.

    Returns
    -------
    F/cm2; NaN where the imaginary part is not negative.

    Examples
    --------
    >>> print(series_capacitance(1e4, np.array([-449.37e3])).round(15))
    [3.5417e-11]
    """
    capacitive = z_imag_ohm_cm2 < 0
    product = 2 * np.pi * frequency_hz * np.where(capacitive, z_imag_ohm_cm2, np.nan)
    found: Floats = -1.0 / product
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
    at
        Modulus and phase it came from.
    reason
        (n,) why there is none, else "".
    """

    f_cm2: Floats
    at: At
    reason: Texts


def coating_capacitance(spectra: Spectra, at_hz: float) -> Capacitance:
    """Return the coating capacitance from the imaginary part at a high frequency.

    |Z| and the phase are interpolated (`modulus_at`), Z'' = |Z| sin(phase), and C as of
    `series_capacitance`. Where the phase is not between -80 and -100 degrees there is no value: the
    film leaks or the electrolyte's resistance shows, or the cell's inductance.
    """
    at = modulus_at(spectra, at_hz)
    capacitive = np.abs(at.phase_deg + 90) <= 90 + CAPACITIVE_DEG
    z_imag = at.modulus_ohm_cm2 * np.sin(np.radians(at.phase_deg))
    found = np.where(capacitive, series_capacitance(at_hz, z_imag), np.nan)
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
    return Capacitance(found, at, reason)


def _beyond(phase_deg: float) -> str:
    """Return a phase so that it does not read as the limit that it misses."""
    limit = CAPACITIVE_DEG if phase_deg > -90 else -180 - CAPACITIVE_DEG
    told = f"{phase_deg:.1f}"
    return told if float(told) != limit else unlike(phase_deg, limit)


def capacitance_scatter(spectra: Spectra, found: Capacitance, at_hz: float) -> SingleSpread:
    """Return how far lg C of each spectrum scatters.

    Of the spectrum's own points, with C = -1 / (2 pi f |Z| sin(phase)): the square root of
    s^2(lg|Z|) + (cot(phase) s(phase) / ln 10)^2.
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
    thickness = spectra.keys["thickness_um"].to_numpy()
    eps = relative_permittivity(found.f_cm2, np.where(thickness > 0, thickness, np.nan))
    thickness_from = spectra.keys["thickness_from"].to_numpy(dtype=object)
    no_eps = texts([one or "no thickness" for one in found.reason])
    temperature = bath_temperature_c(spectra, choices)
    film = FilmCapacitances(
        found.f_cm2, found.reason, spread.deviation, spread.freedom, water_permittivity(temperature)
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
                method=joined(texts(["C = -1/(2 pi f Z'')"] * len(spectra)), spread.whence),
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
