"""The forms in which exports show an impedance, and the way from each to its two parts."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from tiecoat.plugin import Relation, Source
from tiecoat.schemas.words import impedance as words

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Reals = NDArray[np.float64]


def frequency_of(omega_rad_s: Reals) -> Reals:
    r"""Return the frequency in Hz of an angular frequency, :math:`f = \omega / (2 \pi)`.

    Examples
    --------
    >>> frequency_of(np.array([6.283185307])).round(6)
    array([1.])
    """
    return omega_rad_s / (2 * np.pi)


def real_of_modulus(modulus_ohm: Reals, phase_deg: Reals) -> Reals:
    """Return the real part in ohm; the phase of a capacitor is -90 degrees.

    Examples
    --------
    >>> real_of_modulus(np.array([2.0]), np.array([-60.0])).round(9)
    array([1.])
    """
    return np.asarray(modulus_ohm * np.cos(np.radians(phase_deg)))


def imag_of_modulus(modulus_ohm: Reals, phase_deg: Reals) -> Reals:
    """Return the imaginary part in ohm; the phase of a capacitor is -90 degrees.

    Examples
    --------
    >>> imag_of_modulus(np.array([2.0]), np.array([-90.0]))
    array([-2.])
    """
    return np.asarray(modulus_ohm * np.sin(np.radians(phase_deg)))


def real_of_admittance(y_real_s: Reals, y_imag_s: Reals) -> Reals:
    r"""Return the real part of :math:`Z = 1/Y = (Y' - j Y'') / |Y|^2` in ohm; NaN where Y is 0.

    Examples
    --------
    >>> real_of_admittance(np.array([3.0]), np.array([4.0]))
    array([0.12])
    """
    return y_real_s / _square(y_real_s, y_imag_s)


def imag_of_admittance(y_real_s: Reals, y_imag_s: Reals) -> Reals:
    """Return the imaginary part of 1/Y in ohm, as `real_of_admittance`.

    Examples
    --------
    >>> imag_of_admittance(np.array([3.0]), np.array([4.0]))
    array([-0.16])
    """
    return -y_imag_s / _square(y_real_s, y_imag_s)


def _square(real: Reals, imag: Reals) -> Reals:
    square = real**2 + imag**2
    return np.where(square > 0, square, np.nan)


def area_of_circle(diameter_mm: Reals) -> Reals:
    r"""Return the area in cm² of a circle from its diameter in mm, :math:`A = \pi d^2 / 4`.

    Examples
    --------
    >>> area_of_circle(np.array([40.0])).round(4)
    array([12.5664])
    """
    return np.pi * (diameter_mm / 10) ** 2 / 4


def modulus_of(y_modulus_s: Reals) -> Reals:
    """Return the modulus of the impedance in ohm of that of the admittance; NaN where that is 0."""
    return 1 / np.where(y_modulus_s > 0, y_modulus_s, np.nan)


SOURCES = (
    Source("z_modulus_ohm", "ohm", "modulus of the impedance", words.Z_MODULUS_OHM, True),
    Source(
        "phase_deg", "deg", "phase of the impedance; negative = capacitive", words.PHASE_DEG, True
    ),
    Source("omega_rad_s", "rad/s", "angular frequency", words.OMEGA_RAD_S, True),
    Source("y_real_s", "S", "real part of the admittance", words.Y_REAL_S, True),
    Source(
        "y_imag_s",
        "S",
        "imaginary part of the admittance; positive = capacitive",
        words.Y_IMAG_S,
        True,
    ),
    Source("y_modulus_s", "S", "modulus of the admittance", words.Y_MODULUS_S, True),
    Source("z_complex", "ohm", "impedance as one complex number", words.Z_COMPLEX, True, "complex"),
)
AREA = "area_cm2"
CELL = (Source("cell_diameter_mm", "mm", "diameter of the wetted area", words.CELL_DIAMETER_MM),)
SPECIFIC = tuple(  # exports that multiply by the area
    Source(f"{source.name}_cm2", "ohm*cm**2", f"{source.meaning}, times the area", source.words)
    for source in (
        Source("z_real_ohm", "ohm", "real part of the impedance", words.Z_REAL_OHM),
        Source("z_imag_ohm", "ohm", "imaginary part of the impedance", words.Z_IMAG_OHM),
        SOURCES[0],
    )
)
POLAR, ADMITTANCE = ("z_modulus_ohm", "phase_deg"), ("y_real_s", "y_imag_s")
SHUNTED = ("y_modulus_s", "phase_deg")
AREA_WITHIN = 0.03  # what rounding of a diameter and an area may do
RELATIONS = (
    Relation(AREA, ("cell_diameter_mm",), area_of_circle, AREA_WITHIN),
    *(
        Relation(source.name.removesuffix("_cm2"), (source.name, AREA), lambda z, area: z / area)
        for source in SPECIFIC
    ),
    Relation("frequency_hz", ("omega_rad_s",), frequency_of),
    Relation("z_modulus_ohm", ("z_real_ohm", "z_imag_ohm"), np.hypot),
    Relation("z_real_ohm", POLAR, real_of_modulus, of="z_modulus_ohm"),
    Relation("z_imag_ohm", POLAR, imag_of_modulus, of="z_modulus_ohm"),
    Relation("z_real_ohm", ADMITTANCE, real_of_admittance),
    Relation("z_imag_ohm", ADMITTANCE, imag_of_admittance),
    Relation("z_real_ohm", SHUNTED, lambda y, phase: real_of_modulus(modulus_of(y), phase)),
    Relation("z_imag_ohm", SHUNTED, lambda y, phase: imag_of_modulus(modulus_of(y), phase)),
    Relation("z_real_ohm", ("z_complex",), np.real),
    Relation("z_imag_ohm", ("z_complex",), np.imag),
)
