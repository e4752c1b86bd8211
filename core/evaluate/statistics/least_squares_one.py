"""Least squares by Levenberg and Marquardt for small problems, with little overhead."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import leastsq

from tiecoat.evaluate.estimate import NotDeterminable

Floats = NDArray[np.float64]

# A parameter that moves the residuals by less than this share of what another does is not
# determined, as all are scaled to order one.
LEAST_SHARE = 1e-12
LEAST_SINGULAR = 1e-7  # so far apart, singular values of J leave a direction open


@dataclass(frozen=True)
class Solved:
    """Parameters at the minimum, sum of squares there, and the inverse of J'J."""

    parameters: Floats
    squares: float
    inverse: Floats


def solve(
    residuals: Callable[[Floats], Floats],
    jacobian: Callable[[Floats], Floats],
    start: Floats,
) -> Solved:
    """Return the parameters that make the sum of squared residuals least.

    Parameters
    ----------
    residuals
        From parameters, shape (p,), to residuals, shape (n,), n >= p.
    jacobian
        From parameters to the derivatives of the residuals, shape (n, p).
    start
        Starting values, shape (p,), scaled to order one each.

    Raises
    ------
    NotDeterminable
        If the search does not settle, or the points do not determine all parameters.

    References
    ----------
    Marquardt, J. Soc. Indust. Appl. Math. 11 (1963) 431, as in MINPACK (from memory).
    """
    with np.errstate(all="ignore"):  # a step too far is taken back
        found, *_, status = leastsq(
            residuals, start, Dfun=jacobian, full_output=True, xtol=1e-12, ftol=1e-12, maxfev=300
        )
        off, slope = residuals(found), jacobian(found)
    if status not in (1, 2, 3, 4) or not (np.isfinite(off).all() and np.isfinite(slope).all()):
        raise NotDeterminable("the fit does not settle")
    lengths = np.sqrt((slope**2).sum(axis=0))
    if not lengths.min() > LEAST_SHARE * lengths.max():
        raise NotDeterminable("the points do not determine all parameters")
    singular = np.linalg.svd(slope / lengths, compute_uv=False)
    if singular[-1] < LEAST_SINGULAR * singular[0]:
        raise NotDeterminable("the points do not determine all parameters")
    inverse = np.linalg.inv((slope / lengths).T @ (slope / lengths)) / np.outer(lengths, lengths)
    return Solved(np.asarray(found, dtype=float), float(off @ off), inverse)
