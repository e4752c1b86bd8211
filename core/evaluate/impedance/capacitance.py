"""Capacitance of a film, its relative permittivity, and the water that it took up."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tiecoat.contract.choices import ImpedanceChoices
from tiecoat.evaluate.impedance.modulus import At, modulus_at
from tiecoat.evaluate.impedance.repeated_spectra import of_lg, repeatability, t_factors
from tiecoat.evaluate.impedance.spectra import (
    Bools,
    Floats,
    Integers,
    Spectra,
    Texts,
    joined,
    rows_of,
    texts,
)
from tiecoat.evaluate.result import together

VACUUM_PERMITTIVITY_F_CM = 8.8541878188e-14  # CODATA 2022, F/cm
PERMITTIVITY_OF_WATER = 80.0  # as Brasher and Kingsbury took it, near 20 degrees C
CAPACITIVE_DEG = -80.0  # common practice, no source
UPTAKE_SMALL_PERCENT = 10.0  # common practice, no source
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


def water_uptake_percent(capacitance: Floats, capacitance_dry: Floats) -> Floats:
    """Return the volume share of water in the film, in percent.

    phi = lg(Ct / C0) / lg 80 (Brasher and Kingsbury, J. Appl. Chem. 4 (1954) 62, from memory). It
    holds for small uptake, water evenly spread in small drops, no swelling, and a polymer whose
    own permittivity stays; a negative value is a fall of capacitance, no uptake.

    Parameters
    ----------
    capacitance, capacitance_dry
        Ct and C0 in the same unit, above zero.

    Examples
    --------
    >>> print(water_uptake_percent(np.array([1.5]), np.array([1.0])).round(3))
    [9.253]
    """
    phi: Floats = 100 * np.log(capacitance / capacitance_dry) / np.log(PERMITTIVITY_OF_WATER)
    return phi


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
                f"not nearly a capacitor at {at_hz:g} Hz: the phase is {phase:.1f} degrees, "
                f"{CAPACITIVE_DEG:g} or less, down to {-180 - CAPACITIVE_DEG:g}, is needed"
                if np.isnan(value)
                else ""
            )
            for outside, phase, value in zip(at.reason, at.phase_deg, found, strict=True)
        ]
    )
    return Capacitance(found, at, reason)


@dataclass(frozen=True)
class Uptake:
    """Water uptake of n spectra against the first of the same panel and spot.

    Parameters
    ----------
    percent, standard_error, low, high
        (n,) by volume; the error from repeats.
    first
        (n,) row of the spectrum that it is compared with.
    reason
        (n,) why there is none, else "".
    """

    percent: Floats
    standard_error: Floats
    low: Floats
    high: Floats
    first: Integers
    reason: Texts


def first_of_place(spectra: Spectra) -> Integers:
    """Return for each spectrum the row of the first one of its batch, panel and spot.

    First by exposure, then by time; one without an exposure is never first if another has one.
    """
    place = spectra.place
    when = pd.to_datetime(spectra.keys["measured_at"], utc=True)
    order = np.lexsort(
        (when.rank(na_option="bottom").to_numpy(), spectra.keys["exposure_h"].to_numpy(), place)
    )
    starts = np.flatnonzero(np.diff(place[order], prepend=-1))
    found: Integers = order[starts].astype(np.int64)[place]
    return found


def water_uptake(spectra: Spectra, capacitance: Capacitance) -> Uptake:
    """Return the water uptake (`water_uptake_percent`) of each spectrum.

    With the standard deviation s of lg C between repeats of the place (`repeatability`), the
    standard error of a single comparison is sqrt(2) s / lg 80; the first spectrum is zero by
    definition and has none.
    """
    first = first_of_place(spectra)
    of_first = capacitance.f_cm2[first]
    percent = water_uptake_percent(capacitance.f_cm2, of_first)
    deviation, freedom = repeatability(spectra, np.log10(capacitance.f_cm2))
    itself = first == np.arange(len(spectra))
    error = 100 * np.sqrt(2) * deviation / np.log10(PERMITTIVITY_OF_WATER)
    error = np.where(itself | np.isnan(percent), np.nan, error)
    half = t_factors(freedom) * error
    names = spectra.keys["measurement"].to_numpy()[first]
    reason = texts(
        [
            own or (f"the first spectrum {name} has no capacitance: {its}" if its else "")
            for own, its, name in zip(
                capacitance.reason, capacitance.reason[first], names, strict=True
            )
        ]
    )
    return Uptake(percent, error, percent - half, percent + half, first, reason)


def uptake_flags(spectra: Spectra, uptake: Uptake, dry_until_h: float) -> Texts:
    """Return the known limits that a water uptake runs into, a text each."""
    exposure = spectra.keys["exposure_h"].to_numpy()
    of_first = exposure[uptake.first]
    itself = uptake.first == np.arange(len(spectra))
    wet: Bools = of_first > dry_until_h
    failed = np.array(["Kramers-Kronig" in text for text in spectra.flags], dtype=bool)
    cases: tuple[tuple[Bools, str], ...] = (
        (itself, "the first spectrum: zero by definition"),
        (wet & ~itself, "the film was wet already at the first spectrum, {first:g} h: too low"),
        (failed[uptake.first] & ~itself, "the first spectrum fails the Kramers-Kronig test"),
        (
            uptake.percent > UPTAKE_SMALL_PERCENT,
            f"above {UPTAKE_SMALL_PERCENT:g} %: no small uptake; swelling and pores count as water",
        ),
        ((uptake.percent < 0) & ~itself, "the capacitance fell: no uptake of water"),
    )
    listed: list[list[str]] = [[] for _ in range(len(spectra))]
    for holds, text in cases:
        for n in np.flatnonzero(holds):
            listed[n].append(text.format(first=of_first[n]))
    return texts(["; ".join(one) for one in listed])


def capacitance_rows(spectra: Spectra, choices: ImpedanceChoices) -> pd.DataFrame:
    """Return the results of this module: a row a spectrum for each of the quantities.

    coating_capacitance (F/cm2), relative_permittivity (1), water_uptake (% by volume).
    """
    at_hz = choices.capacitance_frequency_hz
    found = coating_capacitance(spectra, at_hz)
    condition, flags = f"{at_hz:g} Hz", found.at.flags
    lg = np.log10(found.f_cm2)
    thickness = spectra.keys["thickness_um"].to_numpy()
    eps = relative_permittivity(found.f_cm2, np.where(thickness > 0, thickness, np.nan))
    thickness_from = spectra.keys["thickness_from"].to_numpy(dtype=object)
    no_eps = texts([one or "no thickness" for one in found.reason])
    uptake = water_uptake(spectra, found)
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
                method="C = -1/(2 pi f Z'')",
                **of_lg(spectra, lg),
            ),
            rows_of(
                spectra,
                "relative_permittivity",
                eps,
                "",
                reason=no_eps,
                flags=joined(flags, thickness_from),
                condition=condition,
                method="C d / eps0; d of the export unless a flag says otherwise",
                **of_lg(spectra, np.log10(eps)),
            ),
            rows_of(
                spectra,
                "water_uptake",
                uptake.percent,
                "% by volume",
                reason=uptake.reason,
                flags=uptake_flags(spectra, uptake, choices.dry_until_h),
                condition=condition,
                standard_error=uptake.standard_error,
                low=uptake.low,
                high=uptake.high,
                method="lg(Ct/C0)/lg 80, C0 of the first spectrum of panel and spot "
                "(Brasher and Kingsbury 1954); evenly spread water, no swelling",
            ),
        ]
    )
