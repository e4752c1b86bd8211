"""Relative permittivity of water, by which the capacitance of a film tells how much of it is in."""

from __future__ import annotations

import numpy as np

from tiecoat.evaluate.impedance.spectra import Bools, Floats, Texts, texts

AS_PUBLISHED = 80.0  # as Brasher and Kingsbury took it: that of water at 20 degrees C
COLDEST_C, WARMEST_C = 0.0, 100.0
# of the uptake, where the temperature is not known: from 10 to 40 degrees C, see the tests
UNKNOWN = (
    "temperature of the bath not known: permittivity of water 80, as Brasher and Kingsbury took it,"
    " and from 10 to 40 °C the uptake would be 1.1 % of itself less to 2.1 % more"
)


def water_permittivity(temperature_c: Floats) -> Floats:
    r"""Return the static relative permittivity of pure water; 80 where no temperature is known.

    .. math:: \varepsilon = 87.740 - 0.40008\, t + 9.398 \cdot 10^{-4} t^2
        - 1.410 \cdot 10^{-6} t^3

    (C. G. Malmberg and A. A. Maryott, J. Res. Natl. Bur. Stand. 56 (1956) 1; from memory, checked
    against IAPWS), from 0 to 100 degrees C; outside it is not known. Salt lowers it: a few percent
    of sodium chloride by about a tenth, which makes the uptake a fortieth of itself larger.

    Examples
    --------
    >>> print(water_permittivity(np.array([20.0, 25.0, np.nan])).round(2))
    [80.1 78.3 80. ]
    """
    t = np.where((temperature_c >= COLDEST_C) & (temperature_c <= WARMEST_C), temperature_c, np.nan)
    found = 87.740 - 0.40008 * t + 9.398e-4 * t**2 - 1.410e-6 * t**3
    return np.asarray(np.where(np.isnan(t), AS_PUBLISHED, found))


def permittivity_said(temperature_c: Floats, told: Bools) -> Texts:
    """Return which permittivity was taken, and whether the temperature was told or set."""
    said = []
    for eps, t, own in zip(water_permittivity(temperature_c), temperature_c, told, strict=True):
        if np.isnan(t):
            said.append(f"permittivity of water {eps:.1f}")
        elif own:
            said.append(f"permittivity of water {eps:.1f} at {t:.4g} °C, told with the spectra")
        else:
            said.append(f"permittivity of water {eps:.1f} at {t:.4g} °C, set for the spectra")
    return texts(said)
