r"""From a constant-phase element to the capacitance that it stands for.

A constant-phase element, admittance :math:`Q (i\omega)^n`, spreads a time constant. Which
capacitance hides in Q depends on how it is spread:

| spread | formula | for |
| --- | --- | --- |
| through the film | Hsu and Mansfeld, with the film's resistance | the film |
| over the surface | Brug and others, with resistances in series and parallel | double layer |

Both give Q itself for n = 1, and both are wrong for the other spread, by decades where n is low
(Hirschorn, Orazem, Tribollet, Vivier, Frateur and Musiani, Electrochim. Acta 55 (2010) 6218). All
sources from memory. Inputs may be arrays; resistances in ohm cm², Q in s^n/(ohm cm²), results in
F/cm² of the area that these are normalised to.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def through_film(coefficient: ArrayLike, exponent: ArrayLike, resistance: ArrayLike) -> Floats:
    r"""Return the capacitance of a time constant spread through the thickness of a film, in F/cm².

    .. math:: C = Q^{1/n} R^{(1-n)/n}

    (Hsu and Mansfeld, Corrosion 57 (2001) 747: :math:`C = Q (\omega''_m)^{n-1}`, with the frequency
    of the largest imaginary part.)

    Parameters
    ----------
    coefficient, exponent
        Q in s^n/(ohm cm²), above 0; n in 0.5 to 1.
    resistance
        R parallel to the element, in ohm cm², above 0. Without one the formula does not apply.

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> f"{through_film(1e-9, 1.0, 1e7):.4g}"
    '1e-09'
    >>> f"{through_film(1e-9, 0.9, 1e6):.4g}"
    '4.642e-10'
    """
    q, n, r = _checked(coefficient, exponent, resistance)
    return np.exp(ln_through_film(np.log(q), n, np.log(r))[0])


def over_surface(
    coefficient: ArrayLike, exponent: ArrayLike, series: ArrayLike, parallel: ArrayLike = np.inf
) -> Floats:
    r"""Return the capacitance of a time constant spread over the surface, in F/cm².

    .. math:: C = Q^{1/n} \left(\frac{1}{R_s} + \frac{1}{R_p}\right)^{(n-1)/n}

    (Brug, van den Eeden, Sluyters-Rehbach and Sluyters, J. Electroanal. Chem. 176 (1984) 275.)

    Parameters
    ----------
    coefficient, exponent
        Q in s^n/(ohm cm²), above 0; n in 0.5 to 1.
    series
        Ohmic resistance in series with the element, in ohm cm², above 0. At the ground of pores
        that is electrolyte and pores together.
    parallel
        Charge-transfer resistance parallel to it; infinite where nothing is transferred.

    Raises
    ------
    ValueError
        Outside these ranges.

    Examples
    --------
    >>> f"{over_surface(2e-5, 0.85, 30.0, 1e4):.4g}"
    '5.398e-06'
    """
    q, n, rs = _checked(coefficient, exponent, series)
    rp = np.asarray(parallel, dtype=float)
    if not (rp > 0).all():
        raise ValueError("the parallel resistance must be above 0")
    return np.exp(ln_over_surface(np.log(q), n, np.log(rs), np.log(rp))[0])


def ln_through_film(ln_q: Floats, n: Floats, ln_r: Floats) -> tuple[Floats, Floats]:
    """Return ln C of `through_film` and its derivatives by ln Q, n and ln R, last axis."""
    value = (ln_q + ln_r) / n - ln_r
    return value, np.stack([1 / n, -(ln_q + ln_r) / n**2, 1 / n - 1], axis=-1)


def ln_over_surface(
    ln_q: Floats, n: Floats, ln_series: Floats, ln_parallel: Floats
) -> tuple[Floats, Floats]:
    """Return ln C of `over_surface` and its derivatives by ln Q, n, ln Rs and ln Rp, last axis."""
    ln_g = np.logaddexp(-ln_series, -ln_parallel)
    value = ln_g + (ln_q - ln_g) / n
    by_g = 1 - 1 / n
    by_series, by_parallel = (-by_g * np.exp(-one - ln_g) for one in (ln_series, ln_parallel))
    return value, np.stack([1 / n, -(ln_q - ln_g) / n**2, by_series, by_parallel], axis=-1)


def _checked(
    coefficient: ArrayLike, exponent: ArrayLike, resistance: ArrayLike
) -> tuple[Floats, Floats, Floats]:
    q, n, r = (np.asarray(one, dtype=float) for one in (coefficient, exponent, resistance))
    if not (np.isfinite(q) & (q > 0)).all():
        raise ValueError("the coefficient of a constant-phase element must be above 0")
    if not ((n >= 0.5) & (n <= 1)).all():
        raise ValueError("the exponent of a constant-phase element must lie within 0.5 to 1")
    if not (np.isfinite(r) & (r > 0)).all():
        raise ValueError("the resistance must be above 0 and finite")
    return q, n, r
