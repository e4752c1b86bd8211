r"""Circuits fitted to spectra by complex weighted least squares, and what the fit leaves open.

.. math:: \chi^2 = \sum_k \frac{|Z(\omega_k) - Z_k|^2}{|Z_k|^2}

Each point weighs by its modulus: an instrument's error is about the same share of every decade
(modulus weighting; Zoltowski, J. Electroanal. Chem. 178 (1984) 11, from memory). Both parts of the
impedance count: a spectrum of N points has 2 N observations.

The size of the errors is estimated from the residuals, apart for the modulus and for the phase,
which an instrument need not know equally well: with J = J_r + i J_t the derivatives of Z over Z_k,

.. math:: \mathrm{cov} = H^{-1} (s_r^2 J_r^T J_r + s_t^2 J_t^T J_t) H^{-1}, \quad
    H = J_r^T J_r + J_t^T J_t

(White, Econometrica 48 (1980) 817, with two variances; from memory). The standard errors hold if
the circuit is right and the residuals are noise.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from tiecoat.evaluate.impedance.circuit_models import (
    EXPONENT_OF,
    RELAXATION_CAPACITANCE,
    RESISTANCES,
    TIMES,
    WARBURG_COEFFICIENT,
    Circuit,
    Complexes,
    Floats,
)
from tiecoat.evaluate.impedance.circuit_starts import (
    Scaled,
    bounds,
    further_starts,
    largest_step,
    starts,
)
from tiecoat.evaluate.statistics.fit_statistics import SMALL, corrected_aic, correlations
from tiecoat.evaluate.statistics.least_squares_many import (
    Bools,
    Fit,
    Integers,
    Model,
    best_of_starts,
)

CHUNK = 500  # spectra fitted together: two threads gain 1.6 to 1.8 with that many, nothing with 128
WORKERS = 2  # measured with two cores; numpy lets go of the interpreter within a call only
SKETCH_POINTS = 20
TOLERANCE = 1e-9  # of chi square: a thousandth of a standard error
MOST_STEPS = 150


@dataclass(frozen=True)
class FittedCircuit:
    """One circuit fitted to n spectra.

    Parameters
    ----------
    circuit
        With p parameters.
    scaled
        (n, p) parameters without dimension, as they were fitted.
    parameters
        (n, p) in ohm cm² and s^n/(ohm cm²): natural logarithms, exponents as they are.
    covariance
        (n, p, p) of `parameters`; 0 where a parameter is at a bound.
    inflation
        (n, p) by what factor the variance of `scaled` is above the one that equal errors of
        modulus and phase give; the largest possible one where a parameter is at a bound.
    correlation
        (n, p, p); that of a coefficient is taken at the frequency where the constant-phase element
        is known best, or else it would always hang on its exponent.
    chi_square
        (n,) as in the module's formula.
    freedom
        (n,) 2 N - p.
    at_low, at_high
        (n, p) parameters held by a bound.
    aicc
        (n,) see `fit_statistics.corrected_aic`; NaN where there are too few points.
    pattern
        (n,) correlation between the residuals of neighbouring points, in its standard deviations.
    settled
        (n,) whether the fit came to rest.
    """

    circuit: Circuit
    scaled: Floats
    parameters: Floats
    covariance: Floats
    inflation: Floats
    correlation: Floats
    chi_square: Floats
    freedom: Integers
    at_low: Bools
    at_high: Bools
    aicc: Floats
    pattern: Floats
    settled: Bools

    @property
    def misfit(self) -> Floats:
        """(n,) standard deviation of a residual's part, as a share of the modulus."""
        found: Floats = np.sqrt(self.chi_square / self.freedom)
        return found

    @property
    def errors(self) -> Floats:
        """(n, p) standard errors of `parameters`; NaN for those at a bound."""
        variance = np.einsum("npp->np", self.covariance)
        found: Floats = np.sqrt(np.where(variance > 0, variance, np.nan))
        return found


def model_of(circuit: Circuit, spectra: Scaled) -> Model:
    """Return the weighted residuals of a circuit as a model for `least_squares`.

    Real and imaginary parts alternate.
    """

    def model(parameters: Floats, which: Integers) -> tuple[Floats, Floats]:
        impedance, derivatives = circuit.response(parameters, spectra.ln_frequency[which])
        slopes = derivatives()
        slopes *= spectra.weight[which][:, None, :]
        return spectra.residuals(impedance, which).view(np.float64), slopes.view(np.float64)

    return model


def fit_circuit(circuit: Circuit, spectra: Scaled) -> FittedCircuit:
    """Fit one circuit to every spectrum, from several starts that are read off it.

    Parameters
    ----------
    spectra
        Each with at least as many points as the circuit has parameters.
    """
    pieces = [slice(first, first + CHUNK) for first in range(0, len(spectra), CHUNK)]
    if len(pieces) <= 1:
        return _fit_piece(circuit, spectra)
    with ThreadPoolExecutor(WORKERS) as pool:
        fitted = list(pool.map(lambda piece: _fit_piece(circuit, spectra.of(piece)), pieces))
    return _joined(fitted)


def fit_further(circuit: Circuit, spectra: Scaled, pores: Floats) -> FittedCircuit:
    """Fit a circuit of `FURTHER`, from the film with pores fitted to every spectrum.

    Parameters
    ----------
    pores
        (n, 7) the scaled parameters of that fit.
    """
    with np.errstate(over="ignore", under="ignore", invalid="ignore", divide="ignore"):
        fit = fit_from(circuit, spectra, further_starts(circuit, spectra, pores))
        return _described(circuit, spectra, fit)


def fit_from(circuit: Circuit, spectra: Scaled, starts_of: Floats) -> Fit:
    """Fit one circuit from given starts, shape (n, starts, parameters)."""
    low, high = bounds(circuit, spectra)
    return best_of_starts(
        model_of(circuit, spectra),
        model_of(circuit, spectra.thinned(SKETCH_POINTS)),
        starts_of,
        low,
        high,
        largest_step=largest_step(circuit),
        most_steps=MOST_STEPS,
        tolerance=TOLERANCE,
    )


def _fit_piece(circuit: Circuit, spectra: Scaled) -> FittedCircuit:
    with np.errstate(over="ignore", under="ignore", invalid="ignore", divide="ignore"):
        fit = fit_from(circuit, spectra, starts(circuit, spectra))
        return _described(circuit, spectra, fit)


def _described(circuit: Circuit, spectra: Scaled, fit: Fit) -> FittedCircuit:
    low, high = bounds(circuit, spectra)
    size = len(circuit.parameters)
    freedom = 2 * spectra.points - size
    impedance, derivatives = circuit.response(fit.parameters, spectra.ln_frequency)
    turned = spectra.weight * np.abs(spectra.impedance) / spectra.impedance
    residuals = (impedance - spectra.impedance) * turned
    covariance, inflation = _covariance(
        fit, derivatives() * turned[:, None, :], residuals, spectra.points
    )
    matrix, shift = _to_units(circuit, spectra)
    return FittedCircuit(
        circuit=circuit,
        scaled=fit.parameters,
        parameters=np.einsum("npq,nq->np", matrix, fit.parameters) + shift,
        covariance=matrix @ covariance @ matrix.transpose(0, 2, 1),
        inflation=inflation,
        correlation=_best_correlations(circuit, spectra, covariance),
        chi_square=fit.chi_square,
        freedom=freedom,
        at_low=~fit.free & (fit.parameters <= low),
        at_high=~fit.free & (fit.parameters >= high),
        aicc=corrected_aic(fit.chi_square, 2 * spectra.points, size),
        pattern=_pattern(residuals, spectra.points),
        settled=fit.settled,
    )


def _covariance(
    fit: Fit, slopes: Complexes, residuals: Complexes, points: Integers
) -> tuple[Floats, Floats]:
    """Return the covariance of `fit.parameters` and its inflation, see the module and the class."""
    basis = fit.root.transpose(0, 2, 1) @ slopes.real  # the part of modulus in an orthonormal basis
    taken = (basis**2).sum(axis=(1, 2))  # of the parameters, by the modulus
    left = (points - taken, points - (fit.free.sum(axis=1) - taken))
    radial, tangential = (
        ((part**2).sum(axis=1) / np.maximum(n, 1))[:, None, None]
        for part, n in zip((residuals.real, residuals.imag), left, strict=True)
    )
    middle = tangential * np.eye(slopes.shape[1]) + (radial - tangential) * (
        basis @ basis.transpose(0, 2, 1)
    )
    covariance: Floats = fit.root @ middle @ fit.root.transpose(0, 2, 1)
    variance = np.einsum("npp->np", covariance)
    even = np.einsum("npp->np", fit.inverse) * ((radial + tangential) / 2)[:, :, 0]
    most = np.maximum(radial, tangential) / np.maximum((radial + tangential) / 2, SMALL)
    inflation = np.where(even > 0, variance / np.where(even > 0, even, 1.0), most[:, :, 0])
    return covariance, inflation


def _to_units(circuit: Circuit, spectra: Scaled) -> tuple[Floats, Floats]:
    """Return what turns the parameters into those with units: matrix (n, p, p) and shift (n, p).

    Z = z Z0 and w = u w0: ln R gains ln Z0; ln Q loses ln Z0 and n ln w0.
    """
    count, size = len(spectra), len(circuit.parameters)
    matrix = np.broadcast_to(np.eye(size), (count, size, size)).copy()
    shift = np.zeros((count, size))
    for place, name in enumerate(circuit.parameters):
        if name in RESISTANCES:
            shift[:, place] = spectra.ln_size
        elif name in TIMES:
            shift[:, place] = -spectra.ln_reference
        elif name == WARBURG_COEFFICIENT:
            shift[:, place] = spectra.ln_size + spectra.ln_reference / 2
        elif name == RELAXATION_CAPACITANCE:
            shift[:, place] = -spectra.ln_size - spectra.ln_reference
        elif name in EXPONENT_OF:
            shift[:, place] = -spectra.ln_size
            if EXPONENT_OF[name] in circuit.parameters:
                matrix[:, place, circuit.place(EXPONENT_OF[name])] = -spectra.ln_reference
            else:
                shift[:, place] -= spectra.ln_reference
    return matrix, shift


def _best_correlations(circuit: Circuit, spectra: Scaled, covariance: Floats) -> Floats:
    """Return correlations with each coefficient at the frequency where its element is known best.

    The variance of ln Q + n ln w is smallest at ln w = - cov(ln Q, n) / var(n), where it no longer
    hangs on n; within the measured frequencies only.
    """
    count, size = covariance.shape[:2]
    matrix = np.broadcast_to(np.eye(size), (count, size, size)).copy()
    slowest, fastest = spectra.ln_frequency.min(axis=1), spectra.ln_frequency.max(axis=1)
    for place, name in enumerate(circuit.parameters):
        if EXPONENT_OF.get(name) in circuit.parameters:
            other = circuit.place(EXPONENT_OF[name])
            variance = covariance[:, other, other]
            best = -covariance[:, place, other] / np.where(variance > 0, variance, 1.0)
            matrix[:, place, other] = np.clip(best, slowest, fastest)
    return correlations(matrix @ covariance @ matrix.transpose(0, 2, 1))


def _pattern(residuals: Complexes, points: Integers) -> Floats:
    """Return the correlation of neighbouring residuals over its standard deviation under noise."""
    total = (np.abs(residuals) ** 2).sum(axis=1)
    neighbours = (residuals[:, 1:] * residuals[:, :-1].conj()).real.sum(axis=1)
    share = np.divide(neighbours, total, out=np.zeros(len(total)), where=total > 0)
    found: Floats = share * np.sqrt(2 * points)
    return found


def spread(fit: FittedCircuit, rows: Integers, count: int) -> FittedCircuit:
    """Return a fit of some spectra as one of all: without a criterion for the others."""
    names = [name for name in FittedCircuit.__dataclass_fields__ if name != "circuit"]
    arrays = {}
    for name in names:
        some = getattr(fit, name)
        every = np.full((count, *some.shape[1:]), np.nan if some.dtype.kind == "f" else 0)
        arrays[name] = every.astype(some.dtype)
        arrays[name][rows] = some
    return FittedCircuit(circuit=fit.circuit, **arrays)


def _joined(fitted: Sequence[FittedCircuit]) -> FittedCircuit:
    names = [name for name in FittedCircuit.__dataclass_fields__ if name != "circuit"]
    arrays = {name: np.concatenate([getattr(one, name) for one in fitted]) for name in names}
    return FittedCircuit(circuit=fitted[0].circuit, **arrays)
