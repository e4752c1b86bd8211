"""What a least-squares fit tells besides its parameters: covariance, correlation, criterion."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats: TypeAlias = NDArray[np.float64]
Bools: TypeAlias = NDArray[np.bool_]

SMALL = 1e-100
RANK = 1e-13  # below this share of a column, the rest of it is rounding


def inverse_root(slopes: Floats, free: Bools) -> Floats:
    """Return a root of the inverse of J^T J over the free parameters; 0 for the others.

    From the QR factors of J with columns of norm 1, so that the condition of J is not squared. A
    parameter that moves nothing gets an immense variance instead of none.

    Parameters
    ----------
    slopes
        Shape (n, p, m).
    free
        Shape (n, p).
    """
    columns, norms = _normed(slopes, free)
    triangle = _of_full_rank(np.asarray(np.linalg.qr(columns, mode="r")))
    root: Floats = np.linalg.inv(triangle) / norms[:, :, None]
    root *= free[:, :, None] & free[:, None, :]
    return root


def gauss_newton_step(residuals: Floats, slopes: Floats, free: Bools) -> Floats:
    """Return the undamped step of the free parameters by QR; 0 for the others.

    NaN where the free parameters do not each move something of their own.

    Parameters
    ----------
    residuals
        Shape (n, m).
    slopes
        Their derivatives, shape (n, p, m).
    free
        Shape (n, p).

    Examples
    --------
    From y = 0 x to y = 2 x through (1, 2) and (2, 4):

    >>> free = np.array([[True]])
    >>> gauss_newton_step(np.array([[-2.0, -4.0]]), np.array([[[1.0, 2.0]]]), free).tolist()
    [[2.0]]
    """
    columns, norms = _normed(slopes, free)
    factor, triangle = np.linalg.qr(columns)
    points = residuals.shape[1]
    right = np.matmul(factor[:, :points].transpose(0, 2, 1), -residuals[:, :, None])
    of_full_rank = (np.abs(np.einsum("kpp->kp", triangle)) >= RANK).all(axis=1, keepdims=True)
    step: Floats = np.linalg.solve(_of_full_rank(triangle), right)[:, :, 0] / norms
    return np.where(of_full_rank, np.where(free, step, 0.0), np.nan)


def _normed(slopes: Floats, free: Bools) -> tuple[Floats, Floats]:
    """Return J with columns of norm 1, and those norms; a column of its own for what is held."""
    count, size, points = slopes.shape
    norms = np.sqrt(np.einsum("kpm,kpm->kp", slopes, slopes))
    norms = np.where(norms > 0, norms, SMALL)
    columns = np.zeros((count, points + size, size))
    columns[:, :points] = np.where(
        free[:, None, :], (slopes / norms[:, :, None]).transpose(0, 2, 1), 0.0
    )
    own = np.einsum("kpp->kp", columns[:, points:])
    own[...] = np.where(free, 0.0, 1.0)
    return columns, norms


def _of_full_rank(triangle: Floats) -> Floats:
    """Give what is nothing but rounding on the diagonal the size of rounding, in place."""
    diagonal = np.einsum("kpp->kp", triangle)
    diagonal[...] = np.where(np.abs(diagonal) < RANK, RANK, diagonal)
    return triangle


def corrected_aic(chi_square: ArrayLike, observations: ArrayLike, parameters: int) -> Floats:
    r"""Return Akaike's criterion, corrected for few observations.

    .. math::
        \mathrm{AICc} = N \ln\frac{\chi^2}{N} + 2K + \frac{2K(K+1)}{N-K-1}

    with K = parameters + 1, for the unknown variance counts (Hurvich and Tsai, Biometrika 76
    (1989) 297; from memory). Smaller is better; only differences mean something, and only between
    fits of the same residual weights. NaN where N - K - 1 < 1.

    Examples
    --------
    >>> corrected_aic([1.0], [10], 2).round(4).tolist()
    [-13.0259]
    """
    n = np.asarray(observations, dtype=float)
    k = parameters + 1
    room = n - k - 1
    with np.errstate(divide="ignore", invalid="ignore"):
        value = n * np.log(np.asarray(chi_square) / n) + 2 * k + 2 * k * (k + 1) / room
    return np.where(room >= 1, value, np.nan)


def correlations(covariance: Floats) -> Floats:
    """Return the correlations of covariances of shape (n, p, p); 0 where a variance is 0."""
    errors = np.sqrt(np.einsum("kpp->kp", covariance))
    product = errors[:, :, None] * errors[:, None, :]
    found: Floats = np.divide(covariance, product, out=np.zeros_like(covariance), where=product > 0)
    return found
