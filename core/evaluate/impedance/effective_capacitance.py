r"""From a constant-phase element to the capacitance that it stands for.

A constant-phase element, admittance :math:`Q (i\omega)^n`, spreads a time constant. Which
capacitance hides in Q depends on how it is spread:

| spread | formula | for |
| --- | --- | --- |
| through the film | Hsu and Mansfeld, with the film's resistance | the film |
| over the surface | Brug and others, with resistances in series and parallel | double layer |

Both give Q itself for n = 1, and both are wrong for the other spread, by decades where n is low
(Hirschorn, Orazem, Tribollet, Vivier, Frateur and Musiani, Electrochim. Acta 55 (2010) 6218; from
memory). Both as Lazanas and Prodromidis give them, ACS Meas. Sci. Au, doi
10.1021/acsmeasuresciau.2c00070, equations 73 and 74. Inputs may be arrays; results are
of the area that these are normalised to.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def ln_through_film(ln_q: Floats, n: Floats, ln_r: Floats) -> tuple[Floats, Floats]:
    r"""Return ln C of a time constant spread through the thickness of a film, and its derivatives.

    .. math:: C = Q^{1/n} R^{(1-n)/n}

    (Hsu and Mansfeld, Corrosion 57 (2001) 747: :math:`C = Q (\omega''_m)^{n-1}`, with the frequency
    of the largest imaginary part.)

    Parameters
    ----------
    ln_q, n
        Logarithm of Q in s^n/(ohm cm²); n in 0.5 to 1.
    ln_r
        Logarithm of the resistance parallel to the element, in ohm cm². Without one the formula
        does not apply.

    Returns
    -------
    ln_c, slopes
        Of C in F/cm²; the derivatives by ln Q, n and ln R along the last axis.

    Examples
    --------
    >>> ln_c, slopes = ln_through_film(np.log(1e-9), np.float64(0.9), np.log(1e6))
    >>> f"{np.exp(ln_c):.4g}"
    '4.642e-10'
    """
    value = (ln_q + ln_r) / n - ln_r
    return value, np.stack([1 / n, -(ln_q + ln_r) / n**2, 1 / n - 1], axis=-1)


def ln_over_surface(
    ln_q: Floats, n: Floats, ln_series: Floats, ln_parallel: Floats
) -> tuple[Floats, Floats]:
    r"""Return ln C of a time constant spread over the surface, and its derivatives.

    .. math:: C = Q^{1/n} \left(\frac{1}{R_s} + \frac{1}{R_p}\right)^{(n-1)/n}

    (Brug, van den Eeden, Sluyters-Rehbach and Sluyters, J. Electroanal. Chem. 176 (1984) 275.)

    Parameters
    ----------
    ln_q, n
        Logarithm of Q in s^n/(ohm cm²); n in 0.5 to 1.
    ln_series
        Logarithm of the ohmic resistance in series with the element, in ohm cm². At the ground of
        pores that is electrolyte and pores together.
    ln_parallel
        Logarithm of the charge-transfer resistance parallel to it, in ohm cm².

    Returns
    -------
    ln_c, slopes
        Of C in F/cm²; the derivatives by ln Q, n, ln Rs and ln Rp along the last axis.

    Examples
    --------
    >>> ln_c, slopes = ln_over_surface(np.log(2e-5), np.float64(0.85), np.log(30.0), np.log(1e4))
    >>> f"{np.exp(ln_c):.4g}"
    '5.398e-06'
    """
    ln_g = np.logaddexp(-ln_series, -ln_parallel)
    value = ln_g + (ln_q - ln_g) / n
    by_g = 1 - 1 / n
    by_series, by_parallel = (-by_g * np.exp(-one - ln_g) for one in (ln_series, ln_parallel))
    return value, np.stack([1 / n, -(ln_q - ln_g) / n**2, by_series, by_parallel], axis=-1)
