"""Fits of the film with pores against a loop of scipy's curve_fit from the same starts.

The loop is what one would write by hand: a function of real and imaginary parts, weights of one
over the modulus, the same bounds, numeric derivatives. It runs over a sample; its time for all is
scaled from that. Two comparisons: everything (all starts, the best end counts), and one start each.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import curve_fit

from tiecoat.evaluate.impedance.circuit_fitting import TOLERANCE, fit_circuit, model_of
from tiecoat.evaluate.impedance.circuit_models import PORES
from tiecoat.evaluate.impedance.circuit_starts import Scaled, bounds, largest_step, scaled, starts
from tiecoat.evaluate.statistics.least_squares_many import least_squares

Floats = NDArray[np.float64]
POINTS = 71
NOISE = 0.01
SAME = 1e-4  # of chi square: a hundredth of a standard error


def spectra(count: int) -> Scaled:
    """Return spectra of random films whose two arcs lie within the sweep or near its end."""
    chance = np.random.default_rng(2026)

    def lg(low: float, high: float) -> Floats:
        return 10 ** chance.uniform(low, high, size=(count, 1))

    frequency = np.logspace(-2, 5, POINTS)
    s = 2j * np.pi * frequency
    layer = lg(-7.5, -5.5) * s ** chance.uniform(0.75, 0.95, size=(count, 1)) + 1 / lg(5.5, 8)
    film = lg(-9.5, -8.5) * s ** chance.uniform(0.9, 0.99, size=(count, 1))
    z = lg(1.5, 2.5) + 1 / (film + 1 / (lg(4.5, 7) + 1 / layer))
    noise = chance.normal(size=z.shape) + 1j * chance.normal(size=z.shape)
    return scaled(np.tile(frequency, (count, 1)), z * np.exp(NOISE * noise))


def by_hand(found: Scaled, number: int, start: Floats, low: Floats, high: Floats) -> float:
    """Return chi square of one spectrum from one start; infinite where curve_fit gives up."""
    u = np.exp(found.ln_frequency[number])
    z = found.impedance[number]

    def both_parts(_: Floats, *p: float) -> Floats:
        rs, rp, q, qd, rt = np.exp([p[0], p[1], p[2], p[4], p[6]])
        steel = 1 / (qd * (1j * u) ** p[5] + 1 / rt)
        fitted = rs + 1 / (q * (1j * u) ** p[3] + 1 / (rp + steel))
        return np.concatenate([fitted.real, fitted.imag])

    measured = np.concatenate([z.real, z.imag])
    sigma = np.tile(np.abs(z), 2)
    try:
        values, _ = curve_fit(
            both_parts, u, measured, start, sigma, bounds=(low, high), maxfev=5000
        )
    except RuntimeError:
        return np.inf
    return float((((both_parts(u, *values) - measured) / sigma) ** 2).sum())


def timed(work: Callable[[], Floats]) -> tuple[float, Floats]:
    start = time.perf_counter()
    found = work()
    return time.perf_counter() - start, found


def compared(ours: Floats, theirs: Floats) -> str:
    ratio = ours / theirs
    better, worse = (ratio < 1 - SAME).mean(), (ratio > 1 + SAME).mean()
    return f"ours lower in {better:.1%}, higher in {worse:.1%} of the sample, else the same"


def run(_folder: Path, count: int = 2000, sample: int = 40) -> str:
    """Return ratios and optima in words."""
    found = spectra(count)
    all_starts = starts(PORES, found)
    low, high = bounds(PORES, found)
    lows, highs = low - 1e-9, high + 1e-9  # curve_fit wants its start inside
    begun = np.clip(all_starts, low[:, None], high[:, None])

    def loop(several: int) -> Floats:
        return np.array(
            [
                min(by_hand(found, n, one, lows[n], highs[n]) for one in begun[n, :several])
                for n in range(sample)
            ]
        )

    def one_start() -> Floats:
        return least_squares(
            model_of(PORES, found),
            begun[:, 0],
            low,
            high,
            largest_step=largest_step(PORES),
            tolerance=TOLERANCE,
        ).chi_square

    texts = [f"film with pores, {count} spectra of {POINTS} points, loop over {sample} scaled"]
    for name, fitted, several in (
        ("from one start", one_start, 1),
        (
            f"from {begun.shape[1]} starts, ours with the search for them",
            lambda: fit_circuit(PORES, found).chi_square,
            begun.shape[1],
        ),
    ):
        seconds, ours = timed(fitted)
        by_loop, theirs = timed(lambda several=several: loop(several))
        by_loop *= count / sample
        texts.append(
            f"{name}: ours {seconds:.2f} s, loop {by_loop:.0f} s, ratio {by_loop / seconds:.0f}; "
            f"{compared(ours[:sample], theirs)}"
        )
    return "\n".join(texts)
