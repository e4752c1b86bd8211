"""Where the fit of a circuit starts, and between which bounds it stays, read off the spectrum.

All values are those of the circuits' parameters: without dimension, resistances and coefficients
as natural logarithms (`tiecoat.evaluate.impedance.circuit_models`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tiecoat.evaluate.impedance.circuit_models import (
    BLOCKING,
    IDEAL,
    INTACT,
    RELAXING,
    RESISTANCES,
    TIMES,
    WARBURG_COEFFICIENT,
    Circuit,
    Complexes,
    Floats,
)
from tiecoat.evaluate.statistics.least_squares_many import Bools, Integers

LEAST_EXPONENT, MOST_EXPONENT = 0.5, 1.0
LN10 = float(np.log(10.0))
SCREENING_POINTS = 12
KEPT_STARTS = 8
# In one step a fit changes no resistance by more than a decade and no exponent by more than this.
EXPONENT_STEP = 0.1


@dataclass(frozen=True)
class Scaled:
    """n spectra of at most m points, without dimension, weighted by their modulus.

    Parameters
    ----------
    ln_frequency
        (n, m) ln of the angular frequency over its geometric mean; 0 where there is no point.
    impedance
        (n, m) over the geometric mean of the modulus; 1 where there is no point.
    weight
        (n, m) one over the modulus of `impedance` and its noise; 0 where there is no point.
    points
        (n,) how many points; the first ones of each row, in ascending frequency.
    ln_reference
        (n,) ln of the mean angular frequency in rad/s.
    ln_size
        (n,) ln of the mean modulus in ohm cm².
    """

    ln_frequency: Floats
    impedance: Complexes
    weight: Floats
    points: Integers
    ln_reference: Floats
    ln_size: Floats

    def __len__(self) -> int:
        return len(self.points)

    def of(self, rows: Integers | Bools | slice) -> Scaled:
        """Return some of the spectra."""
        return Scaled(
            self.ln_frequency[rows],
            self.impedance[rows],
            self.weight[rows],
            self.points[rows],
            self.ln_reference[rows],
            self.ln_size[rows],
        )

    def thinned(self, most: int) -> Scaled:
        """Return the spectra with at most that many of their points, evenly picked."""
        share = np.linspace(0.0, 1.0, most)
        picked = np.rint(share * (self.points[:, None] - 1)).astype(np.int64)
        rows = np.arange(len(self))[:, None]
        return Scaled(
            self.ln_frequency[rows, picked],
            self.impedance[rows, picked],
            self.weight[rows, picked],
            np.minimum(self.points, most),
            self.ln_reference,
            self.ln_size,
        )

    def residuals(self, impedance: Complexes, rows: Integers) -> Complexes:
        """Return the weighted residuals of fitted impedances of some spectra."""
        found: Complexes = (impedance - self.impedance[rows]) * self.weight[rows]
        return found


def scaled(frequency_hz: Floats, z_ohm_cm2: Complexes, noise: Floats | None = None) -> Scaled:
    """Return spectra without dimension.

    Parameters
    ----------
    frequency_hz
        (n, m), ascending in each row, NaN behind the last point; in Hz.
    z_ohm_cm2
        (n, m), finite and not 0 where there is a frequency; in ohm cm².
    noise
        (n, m) by how much more or less than the whole spectrum each point is in error; 1 if not
        given.
    """
    if not frequency_hz.shape[1]:  # no spectrum has a point
        none = np.full((len(frequency_hz), 1), np.nan)
        frequency_hz, z_ohm_cm2, noise = none, none.astype(np.complex128), None
    here = np.isfinite(frequency_hz)
    points = here.sum(axis=1)
    share = np.where(here, 1 / np.maximum(points, 1)[:, None], 0.0)
    ln_frequency = np.log(2 * np.pi * np.where(here, frequency_hz, 1.0))
    impedance = np.where(here, z_ohm_cm2, 1.0)
    ln_modulus = np.log(np.abs(impedance))
    ln_reference = (ln_frequency * share).sum(axis=1)
    ln_size = (ln_modulus * share).sum(axis=1)
    impedance = np.where(here, impedance * np.exp(-ln_size)[:, None], 1.0)
    return Scaled(
        np.where(here, ln_frequency - ln_reference[:, None], 0.0),
        impedance,
        np.where(here, 1 / np.abs(impedance) / (1.0 if noise is None else noise), 0.0),
        points.astype(np.int64),
        ln_reference,
        ln_size,
    )


def bounds(circuit: Circuit, spectra: Scaled) -> tuple[Floats, Floats]:
    """Return the lower and upper bounds of the parameters, shape (n, parameters) each.

    What lies beyond them leaves no trace in the spectrum: a resistance a thousand times above the
    largest modulus or below a thousandth of the smallest, a capacitance as far away.
    """
    ln_modulus = _ln_modulus(spectra)
    smallest, largest = np.nanmin(ln_modulus, axis=1), np.nanmax(ln_modulus, axis=1)
    slowest, fastest = spectra.ln_frequency.min(axis=1), spectra.ln_frequency.max(axis=1)
    far = 3 * LN10
    low, high = (np.empty((len(spectra), len(circuit.parameters))) for _ in range(2))
    for place, name in enumerate(circuit.parameters):
        if circuit.is_exponent(name):
            low[:, place], high[:, place] = LEAST_EXPONENT, MOST_EXPONENT
        elif name in RESISTANCES:
            low[:, place], high[:, place] = smallest - far, largest + far
        elif name in TIMES:
            low[:, place], high[:, place] = -fastest - far, -slowest + far
        elif name == WARBURG_COEFFICIENT:
            low[:, place] = smallest - far + slowest / 2
            high[:, place] = largest + far + fastest / 2
        else:
            low[:, place], high[:, place] = -largest - fastest - far, -smallest - slowest + far
    return low, high


def largest_step(circuit: Circuit) -> Floats:
    """Return by how much each parameter may change in one step."""
    return np.array(
        [EXPONENT_STEP if circuit.is_exponent(name) else LN10 for name in circuit.parameters]
    )


def starts(circuit: Circuit, spectra: Scaled) -> Floats:
    """Return several starts for each spectrum, shape (n, starts, parameters)."""
    if circuit is BLOCKING:
        return _stack(_film(spectra, LEAST_SLOPE_POINT), _film(spectra, HIGHEST_POINT))
    if circuit in {IDEAL, INTACT}:
        return _intact_starts(spectra, with_exponent=circuit is INTACT)
    return screened(circuit, spectra, _pore_grid(spectra))


# Pore resistance: share of the way from the smallest to the largest modulus, in lg. The steel at
# the ground: share of the modulus at the lowest frequency.
PORE_SHARES = (
    (0.03, 1.0),
    (0.12, 1.0),
    (0.25, 1.0),
    (0.5, 1.0),
    (0.7, 0.9),
    (0.85, 0.7),
    (0.95, 0.3),
    (1.0, 0.1),
    (1.0, 0.02),
)
# Where the double layer takes over: share of the way from the lowest to the highest frequency; how
# many decades the charge transfer lies above the ground there.
LAYERS = ((0.0, 0.0), (0.0, 1.0), (0.15, 0.0), (0.3, 0.0), (0.45, 0.0), (0.6, 0.0))
LEAST_SLOPE_POINT, HIGHEST_POINT = "most capacitive point", "highest frequency"


def _ln_modulus(spectra: Scaled) -> Floats:
    found: Floats = np.where(spectra.weight > 0, np.log(np.abs(spectra.impedance)), np.nan)
    return found


def _stack(*several: Floats) -> Floats:
    return np.stack(several, axis=1)


def _film(spectra: Scaled, where: str) -> Floats:
    """Return (n, 3): ln Rs, ln Q and n of the film, read off one point of the spectrum."""
    rows = np.arange(len(spectra))
    last = spectra.points - 1
    lag = np.where(spectra.weight > 0, -np.angle(spectra.impedance), -np.inf)
    if where == HIGHEST_POINT:
        point, exponent = last, np.full(len(spectra), 0.9)
    else:
        point = lag.argmax(axis=1)
        exponent = np.clip(lag[rows, point] * 2 / np.pi, 0.6, 0.98)
    ln_q = -_ln_modulus(spectra)[rows, point] - exponent * spectra.ln_frequency[rows, point]
    highest = spectra.impedance[rows, last]
    ln_rs = np.log(np.maximum(highest.real, 1e-2 * np.abs(highest)) / 2)
    return np.column_stack([ln_rs, ln_q, exponent])


def _ends(spectra: Scaled) -> tuple[Floats, Floats]:
    """Return ln of the modulus at the lowest and at the highest frequencies (three points)."""
    ln_modulus = _ln_modulus(spectra)
    rows = np.arange(len(spectra))[:, None]
    last = np.maximum(spectra.points[:, None] - 1 - np.arange(3), 0)
    return np.nanmean(ln_modulus[:, :3], axis=1), ln_modulus[rows, last].mean(axis=1)


def _intact_starts(spectra: Scaled, *, with_exponent: bool) -> Floats:
    lowest, _ = _ends(spectra)
    found = []
    for where in (LEAST_SLOPE_POINT, HIGHEST_POINT):
        ln_rs, ln_q, exponent = _film(spectra, where).T
        for more in (0.0, LN10):
            columns = [ln_rs, lowest + more, ln_q, exponent]
            found.append(np.column_stack(columns if with_exponent else columns[:3]))
    return _stack(*found)


def further_starts(circuit: Circuit, spectra: Scaled, pores: Floats) -> Floats:
    """Return starts of a circuit of `FURTHER` from the film with pores fitted to each spectrum.

    Parameters
    ----------
    pores
        (n, 7) the scaled parameters of that fit.
    """
    slowest, fastest = spectra.ln_frequency.min(axis=1), spectra.ln_frequency.max(axis=1)
    _, _, ln_q, exponent, ln_qd, _, ln_rt = pores.T
    found = []
    if circuit is RELAXING:
        resistance = np.logaddexp(pores[:, 1], ln_rt)
        for share in (0.2, 0.4, 0.6, 0.8):  # of the way from the fastest to the slowest
            tau = -(fastest + share * (slowest - fastest))
            ln_c = ln_q - (1 - exponent) * tau  # about as much again as the film's own
            columns = [pores[:, 0], resistance, ln_q, exponent, ln_c, tau, np.full(len(tau), 0.8)]
            found.append(np.column_stack(columns))
        turn = np.minimum(pores[:, 1] + ln_qd, -slowest)
        columns = [pores[:, 0], resistance, ln_q, exponent, ln_qd, turn, np.full(len(turn), 0.9)]
        return _stack(*found, np.column_stack(columns))
    for share in (0.1, 0.5, 0.9):  # of what is left at the ground of the pores, to diffusion
        more = pores.copy()
        left = np.minimum(ln_rt, np.log(np.abs(spectra.impedance[:, 0])) + LN10)
        more[:, 6] = left + np.log(1 - share)
        slow = left + np.log(share)
        if WARBURG_COEFFICIENT in circuit.parameters:
            found.append(np.column_stack([more, slow + slowest / 2]))
        else:
            found += [np.column_stack([more, slow, -slowest - turn]) for turn in (0.0, 3.0)]
    return _stack(*found)


def _pore_grid(spectra: Scaled) -> Floats:
    """Return (n, groups, starts, 7); a group has one pore resistance and one film.

    The pore resistance lies between the moduli at both ends. The steel at the ground of the pores
    is what is left at the lowest frequency, or a trace of it beside large pores; the double layer
    takes over somewhere in the lower half; the charge transfer may lie further down.
    """
    lowest, highest = _ends(spectra)
    slowest, fastest = spectra.ln_frequency[:, 0], spectra.ln_frequency.max(axis=1)
    groups = []
    for where in (LEAST_SLOPE_POINT, HIGHEST_POINT):
        ln_rs, ln_q, exponent = _film(spectra, where).T
        for share, ground in PORE_SHARES:
            ln_rp = highest + share * (lowest - highest)
            left = lowest + np.log(ground)
            layer = np.full(len(spectra), 0.8)
            group = []
            for turn, more in LAYERS:
                ln_qd = -left - layer * (slowest + turn * (fastest - slowest))
                ln_rt = left + more * LN10
                group.append(np.column_stack([ln_rs, ln_rp, ln_q, exponent, ln_qd, layer, ln_rt]))
            groups.append(_stack(*group))
    return _stack(*groups)


def screened(circuit: Circuit, spectra: Scaled, grid: Floats) -> Floats:
    """Return the best start of each of the best groups, shape (n, kept, parameters).

    Parameters
    ----------
    grid
        Shape (n, groups, starts, parameters). Compared by a few points of the spectrum only.
    """
    count, groups, several, size = grid.shape
    few = spectra.thinned(SCREENING_POINTS)
    owner = np.repeat(np.arange(count), groups * several)
    impedance, _ = circuit.response(grid.reshape(-1, size), few.ln_frequency[owner])
    residuals = few.residuals(impedance, owner)
    # a start that is far off at some points may be the right one: the logarithm forgives it
    misfit = np.log1p(np.abs(residuals) ** 2).sum(axis=1).reshape(count, groups, several)
    rows = np.arange(count)[:, None]
    inner = misfit.argmin(axis=2)
    outer = misfit.min(axis=2).argsort(axis=1, kind="stable")[:, :KEPT_STARTS]
    best: Floats = grid[rows, outer, inner[rows, outer]]
    return best
