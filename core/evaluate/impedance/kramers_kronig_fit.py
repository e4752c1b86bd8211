r"""Sums of admittances fitted to spectra: what obeys Kramers and Kronig, and what is left over.

See `kramers_kronig` for the sum and its sources. Noise that differs from decade to decade is taken
from the residuals themselves, as a parabola of its logarithm over the points:

.. math:: \ln \frac{|r_{k+1} - r_k|^2}{4} = \ln s_{k+1/2}^2 - \gamma + e

Half the squared step between neighbours has the mean s^2 in each part, its logarithm lies by
Euler's gamma below (regression on the logarithm of squares: Harvey, Econometrica 44 (1976) 461,
from memory). A pattern that goes on from point to point hardly touches it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tiecoat.evaluate.impedance.spectra import Complexes, Floats, Integers

BEYOND_DECADES = 0.5
HIGHEST_LN_SQUARE = 1.0  # above its parabola, so that one wrong point lifts it but little
TINY = 1e-100
LEAST_NOISE = 2e-3  # of |Z|: what the sum itself cannot follow is nearly as large


@dataclass(frozen=True)
class Weighted:
    """The fit of n spectra with each point weighted by the noise around it.

    Parameters
    ----------
    residual
        (n, m) complex, (Z - fit) / |Z|.
    noise
        (n, m) standard deviation of each of its parts.
    change, change_error
        (n,) by what share of 1 / max |Z| the conductance rose until the lowest frequency was
        measured, and its standard error.
    """

    residual: Complexes
    noise: Floats
    change: Floats
    change_error: Floats


def fit_by_noise(omega: Floats, z: Complexes, elements: Integers, residual: Complexes) -> Weighted:
    """Fit again, each point weighted by |Z| over the noise that a first fit left around it.

    Parameters
    ----------
    omega, z
        As in `fit_admittance`.
    elements, residual
        (n,) and (n, m) of the first fit.
    """
    count = len(z)
    noise, left = local_noise(residual, elements), np.empty(z.shape, dtype=np.complex128)
    change, error = np.empty(count), np.empty(count)
    for number in np.unique(elements):
        rows = np.flatnonzero(elements == number)
        grid = omega if len(omega) == 1 else omega[rows]
        left[rows], change[rows], error[rows] = _fit_with_change(
            grid, z[rows], int(number), noise[rows]
        )
    # few points tell of the noise at the lowest frequencies: seldom is it less there than elsewhere
    error *= np.maximum(np.median(noise, axis=1) / noise[:, 0], 1.0)
    return Weighted(left, local_noise(left, elements), change, error)


def local_noise(residual: Complexes, elements: Integers) -> Floats:
    """Return the standard deviation of residuals around each point, see the module.

    Parameters
    ----------
    residual
        (n, m) complex, ascending in frequency, at least four points.
    elements
        (n,) of the fit: what its coefficients took from the noise is given back.
    """
    points = residual.shape[1]
    place = np.linspace(-1.0, 1.0, points)
    between = (place[1:] + place[:-1]) / 2
    squares = np.maximum(np.abs(np.diff(residual, axis=1)) ** 2 / 4, (LEAST_NOISE / 10) ** 2)
    ln_square = np.log(squares) + np.euler_gamma
    inverse = np.asarray(np.linalg.pinv(_parabola(between)).T, dtype=np.float64)
    for _ in range(3):
        curve = _each_times(ln_square, inverse, _parabola(between).T)
        ln_square = np.minimum(ln_square, curve + HIGHEST_LN_SQUARE)
    share = 1 - (elements + 2) / (2 * points)
    variance = np.exp(_each_times(ln_square, inverse, _parabola(place).T)) / share[:, None]
    found: Floats = np.sqrt(variance + LEAST_NOISE**2)
    return found


def _each_times(rows: Floats, *matrices: Floats) -> Floats:
    """Return each row times the matrices: to the last bit the same among few rows or many.

    One product of all rows would be summed in another order as there are more or fewer of them, or
    more processors.
    """
    for matrix in matrices:
        rows = np.matmul(rows[:, None, :], matrix)[:, 0, :]
    return rows


def _parabola(place: Floats) -> Floats:
    return np.stack([np.ones_like(place), place, place**2], axis=1)


def fit_admittance(omega: Floats, z: Complexes, elements: int) -> tuple[Floats, Complexes]:
    """Fit the sum of admittances with a given number of elements, each point weighted by |Z|.

    Weighted linear least squares by the normal equations, columns scaled to length one: the
    condition number stays near 1e5 up to five elements a decade, so its square leaves five digits.

    Parameters
    ----------
    omega
        (1, m) or (n, m), rad/s, ascending: one grid for all spectra, or one each.
    z
        (n, m), ohm cm2, none zero.
    elements
        Number of time constants, 2 or more.

    Returns
    -------
    mu, residual
        (n,), and (n, m) complex: (Z - fit) / |Z|.
    """
    columns = _columns(omega, elements)
    z = z / np.abs(z).max(axis=1, keepdims=True)
    weight = np.abs(z) ** 2  # of squares: 1 / |Y|^2
    gram, right = _gram(columns, weight), _right(columns, weight, 1 / z)
    solution = _solved(gram, right[:, :, None])[:, :, 0]
    inner = solution[:, 1 : elements + 1]
    below, above = np.where(inner < 0, -inner, 0).sum(1), np.where(inner > 0, inner, 0).sum(1)
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        mu = np.where(above > 0, 1 - below / np.where(above > 0, above, 1.0), -np.inf)
    return mu, _residual(z, columns, solution)


def _fit_with_change(
    omega: Floats, z: Complexes, elements: int, noise: Floats
) -> tuple[Complexes, Floats, Floats]:
    """Return the residual without a change, and the change of the conductance with its error.

    The change is one more coefficient, of a conductance as the inverse of the frequency: a point
    takes a number of cycles, so that nearly all the time of a sweep goes into its lowest ones. Such
    a conductance without its share of capacitance obeys no Kramers-Kronig relation.
    """
    z = z / np.abs(z).max(axis=1, keepdims=True)
    slow = (omega[:, :1] / omega).astype(np.complex128)[:, :, None]
    columns = np.concatenate([_columns(omega, elements), slow], axis=2)
    weight = np.abs(z / noise) ** 2
    gram, right = _gram(columns, weight), _right(columns, weight, 1 / z)[:, :, None]
    last = np.zeros_like(right)
    last[:, -1] = 1.0
    solution, inverse = np.moveaxis(_solved(gram, np.concatenate([right, last], axis=2)), 2, 0)
    variance = np.maximum(inverse[:, -1], TINY)
    still = solution - inverse * (solution[:, -1] / variance)[:, None]  # the last one held at 0
    return _residual(z, columns, still), solution[:, -1], np.sqrt(variance)


def _residual(z: Complexes, columns: Complexes, solution: Floats) -> Complexes:
    fitted = np.matmul(solution[:, None, :], columns.transpose(0, 2, 1))[:, 0, :]
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        found: Complexes = (z - 1 / fitted) / np.abs(z)
    return found


def _solved(gram: Floats, right: Floats) -> Floats:
    """Return (n, p, r) solutions of (n, p, p) sums for (n, p, r) right sides."""
    length = np.sqrt(np.einsum("npp->np", gram))[:, :, None]
    scaled = length * length.transpose(0, 2, 1)
    np.divide(gram, scaled, out=scaled)
    try:
        found = np.linalg.solve(scaled, right / length)
    except np.linalg.LinAlgError:  # singular: what no film gives; the smallest solution will do
        found = np.matmul(np.linalg.pinv(scaled, rcond=1e-12, hermitian=True), right / length)
    return np.asarray(found / length, dtype=np.float64)


def _columns(omega: Floats, elements: int) -> Complexes:
    """Return (1 or n, m, elements + 2): conductance, elements, capacitance."""
    reach = 10**BEYOND_DECADES
    shortest, longest = 1 / (omega[:, -1] * reach), reach / omega[:, 0]
    share = np.linspace(0, 1, elements)
    tau = shortest[:, None] * (longest / shortest)[:, None] ** share
    turn = 1j * omega[:, :, None] * tau[:, None, :]
    whole = np.ones((*omega.shape, 1), dtype=np.complex128)
    # the capacitance over the highest frequency, so that no column is very small
    scaled = 1j * (omega / omega[:, -1:])[:, :, None]
    return np.concatenate([whole, turn / (1 + turn), scaled], axis=2)


def _gram(columns: Complexes, weight: Floats) -> Floats:
    """Return (n, p, p): sum over points of weight times column times column, both parts."""
    count = columns.shape[2]
    if len(columns) > 1:
        both = np.concatenate([columns.real, columns.imag], axis=1)
        doubled = np.concatenate([weight, weight], axis=1)
        one_each: Floats = np.matmul(both.transpose(0, 2, 1), doubled[:, :, None] * both)
        return one_each
    first, second = np.triu_indices(count)
    products = (columns[0][:, first] * columns[0][:, second].conj()).real
    place = np.zeros((count, count), dtype=np.int64)
    place[first, second] = place[second, first] = np.arange(len(first))
    return _each_times(weight, products)[:, place]


def _right(columns: Complexes, weight: Floats, y: Complexes) -> Floats:
    weighted = (weight * y)[:, None, :]
    found: Floats = np.matmul(weighted, columns.conj())[:, 0, :].real
    return found
