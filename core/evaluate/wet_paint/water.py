"""Density of pure water: what a density meter is checked against."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tiecoat.evaluate.estimate import NotDeterminable

COLDEST_C, WARMEST_C = 0.0, 40.0


def water_density_kg_m3(temperature_c: ArrayLike) -> NDArray[np.float64]:
    """Return the density of pure, air-free water at 101.325 kPa in kg/m³.

    .. math:: \\rho = a_5 \\left[1 - \\frac{(t + a_1)^2 (t + a_2)}{a_3 (t + a_4)}\\right]

    The formula is good to some 0.001 kg/m³ (from memory), far better than any density cup. Water
    saturated with air is lighter by up to 0.005 kg/m³ at 0 °C and 0.002 kg/m³ at 25 °C.

    Parameters
    ----------
    temperature_c
        Temperature in °C (ITS-90), 0 to 40, any shape.

    Raises
    ------
    NotDeterminable
        Outside 0 to 40 °C.

    References
    ----------
    Tanaka, Girard, Davis, Peuto and Bignell, Metrologia 38 (2001) 301, equation 1; coefficients as
    several public programs have them that name it.

    Examples
    --------
    >>> round(float(water_density_kg_m3(20.0)), 4)
    998.2067
    """
    t = np.asarray(temperature_c, dtype=float)
    if not np.all((t >= COLDEST_C) & (t <= WARMEST_C)):
        raise NotDeterminable(
            f"the density of water is known here from {COLDEST_C:g} to {WARMEST_C:g} °C only, "
            f"not at {', '.join(f'{one:g}' for one in np.ravel(t)[:3])} °C"
        )
    a1, a2, a3, a4, a5 = -3.983035, 301.797, 522528.9, 69.34881, 999.974950
    density: NDArray[np.float64] = np.asarray(
        a5 * (1 - (t + a1) ** 2 * (t + a2) / (a3 * (t + a4))), dtype=float
    )
    return density
