r"""Limits of a resistance that a spectrum does not fix: how small, how large could it be?

The resistance is held at trial values while all other parameters are fitted again. It is still
possible where

.. math:: \chi^2(R) \le \chi^2_{min} \left(1 + v \frac{t_{p,\nu}^2}{\nu}\right)

with nu degrees of freedom, and p = 0.975 for an interval and for a one-sided limit: of these 0.91
to 0.93 held at p = 0.95, since the circuit is chosen from the same spectrum: the profile of
the sum of squares (Bates and Watts, Nonlinear Regression Analysis and Its Applications, Wiley 1988,
chapter 6; from memory). v is the inflation of the variance where modulus and phase have unequal
errors (`FittedCircuit.inflation`; the adjustment of Kent, Biometrika 69 (1982) 19, from memory).
"""

from __future__ import annotations

import numpy as np
from scipy.special import stdtrit

from tiecoat.evaluate.impedance.circuit_fitting import FittedCircuit, model_of
from tiecoat.evaluate.impedance.circuit_models import Floats
from tiecoat.evaluate.impedance.circuit_starts import Scaled, bounds, largest_step
from tiecoat.evaluate.statistics.least_squares_many import Integers, least_squares

ONE_SIDED, TWO_SIDED = 0.975, 0.975  # either makes limits of 95 %, see above
HALVINGS = 9
STEPS = 25
TOLERANCE = 1e-5


def resistance_limits(
    fitted: FittedCircuit, spectra: Scaled, parameter: str, rows: Integers, level: float
) -> tuple[Floats, Floats]:
    """Return the 95 % limits of a resistance, in ohm cm².

    Parameters
    ----------
    fitted, spectra
        A circuit fitted to these spectra.
    parameter
        Name of a resistance.
    rows
        The spectra in question.
    level
        ONE_SIDED or TWO_SIDED.

    Returns
    -------
    low, high
        (rows,) each; NaN where nothing limits the resistance on that side.
    """
    if not rows.size:
        return np.empty(0), np.empty(0)
    place = fitted.circuit.place(parameter)
    with np.errstate(over="ignore", under="ignore", invalid="ignore", divide="ignore"):
        limits = [_limit(fitted, spectra, place, rows, side=side, level=level) for side in (0, 1)]
    low, high = (np.exp(one + spectra.ln_size[rows]) for one in limits)
    return low, high


def _limit(
    fitted: FittedCircuit,
    spectra: Scaled,
    place: int,
    rows: Integers,
    *,
    side: int,
    level: float,
) -> Floats:
    """Halve the way between the optimum and the bound; NaN where the bound itself is possible."""
    here = spectra.of(rows)
    freedom = fitted.freedom[rows]
    allowed = 1 + stdtrit(freedom, level) ** 2 / freedom * fitted.inflation[rows, place]
    most = fitted.chi_square[rows] * allowed
    inside = fitted.scaled[rows].copy()
    outside = bounds(fitted.circuit, here)[side][:, place]
    open_end = _profile(fitted, here, place, outside, inside)[0] <= most
    for _ in range(HALVINGS):
        trial = (inside[:, place] + outside) / 2
        chi_square, parameters = _profile(fitted, here, place, trial, inside)
        possible = chi_square <= most
        inside[possible] = parameters[possible]
        outside = np.where(possible, outside, trial)
    return np.where(open_end, np.nan, inside[:, place])


def _profile(
    fitted: FittedCircuit, spectra: Scaled, place: int, value: Floats, start: Floats
) -> tuple[Floats, Floats]:
    """Fit all parameters but one, which is held."""
    low, high = bounds(fitted.circuit, spectra)
    begun = start.copy()
    begun[:, place] = low[:, place] = high[:, place] = value
    fit = least_squares(
        model_of(fitted.circuit, spectra),
        begun,
        low,
        high,
        largest_step=largest_step(fitted.circuit),
        most_steps=STEPS,
        tolerance=TOLERANCE,
    )
    return fit.chi_square, fit.parameters
