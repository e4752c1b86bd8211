"""Invented films: impedances that are causal by construction, noise, drift, frames from them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

Floats = npt.NDArray[np.float64]
Complexes = npt.NDArray[np.complex128]

AREA_CM2 = 14.6
SWEEP_HZ = np.logspace(-2, 5, 71)


def resistance(ohm: float) -> Callable[[Complexes], Complexes]:
    """Return a resistance as a function of j omega."""
    return lambda s: np.full(s.shape, complex(ohm))


def capacitance(farad: float) -> Callable[[Complexes], Complexes]:
    """Return a capacitance."""
    return lambda s: 1 / (s * farad)


def phase_element(coefficient: float, exponent: float) -> Callable[[Complexes], Complexes]:
    """Return a constant-phase element, 1 / (Q (j omega)^n)."""
    return lambda s: 1 / (coefficient * s**exponent)


def inductance(henry: float) -> Callable[[Complexes], Complexes]:
    """Return an inductance."""
    return lambda s: s * henry


def series(*parts: Callable[[Complexes], Complexes]) -> Callable[[Complexes], Complexes]:
    """Return parts one behind the other."""
    return lambda s: np.sum([part(s) for part in parts], axis=0)


def parallel(*parts: Callable[[Complexes], Complexes]) -> Callable[[Complexes], Complexes]:
    """Return parts beside each other."""
    return lambda s: 1 / np.sum([1 / part(s) for part in parts], axis=0)


R, C, Q, L = resistance, capacitance, phase_element, inductance
FILM = C(3e-10)

# 23 sorts of what a laboratory meets, from the bare dummy cell to the blistered film
CIRCUITS: dict[str, Callable[[Complexes], Complexes]] = {
    "capacitor": FILM,
    "capacitor in electrolyte": series(R(30), FILM),
    "capacitor behind 10 kohm": series(R(1e4), FILM),
    "resistor": R(1e4),
    "film 1e11": series(R(30), parallel(FILM, R(1e11))),
    "film 1e9": series(R(30), parallel(FILM, R(1e9))),
    "film 1e8": series(R(30), parallel(FILM, R(1e8))),
    "film 1e5": series(R(30), parallel(FILM, R(1e5))),
    "turns at the lowest frequency": series(R(30), parallel(FILM, R(5.305e10))),
    "turns below the lowest frequency": series(R(30), parallel(FILM, R(1.6e11))),
    "turns above the lowest frequency": series(R(30), parallel(FILM, R(2.6e10))),
    "blocking, exponent 0.97": series(R(30), Q(3e-10, 0.97)),
    "blocking, exponent 0.9": series(R(30), Q(1e-9, 0.9)),
    "blocking, exponent 0.8": series(R(30), Q(1e-9, 0.8)),
    "diffusion": series(R(30), Q(1e-6, 0.5)),
    "film with constant phase": series(R(30), parallel(Q(1e-9, 0.9), R(1e8))),
    "pores": series(R(30), parallel(FILM, series(R(1e6), parallel(C(1e-7), R(1e7))))),
    "corroding pores": series(
        R(30), parallel(FILM, series(R(1e5), parallel(Q(1e-6, 0.85), R(1e8))))
    ),
    "blocked pores": series(R(30), parallel(Q(3e-10, 0.97), series(R(1e6), Q(1e-7, 0.9)))),
    "pores with diffusion": series(R(30), parallel(FILM, series(R(1e5), Q(1e-6, 0.5)))),
    "two coats": series(R(30), parallel(FILM, R(1e9)), parallel(C(3e-9), R(1e7))),
    "long leads": series(L(1e-4), R(30), parallel(FILM, R(1e6))),
    "bare steel": series(R(10), parallel(Q(5e-5, 0.85), R(2e3))),
}


def impedance(circuit: Callable[[Complexes], Complexes], hz: Floats = SWEEP_HZ) -> Complexes:
    """Return the impedance in ohm."""
    return circuit(2j * np.pi * hz)


def noisy(z: Complexes, rng: np.random.Generator, share: float = 0.01) -> Complexes:
    """Return with noise on the modulus, and a fifth of a degree per percent on the phase."""
    turn = np.radians(20 * share) * rng.normal(size=z.shape)
    changed: Complexes = z * (1 + share * rng.normal(size=z.shape)) * np.exp(1j * turn)
    return changed


def drifting(z: Complexes, per_decade: float, hz: Floats = SWEEP_HZ) -> Complexes:
    """Return as a film gives that changes during the sweep: by a share per decade of time.

    Swept from the highest frequency down with a fixed number of cycles a point, so that the time
    gone is as the inverse of the frequency.
    """
    changed: Complexes = z * (1 - per_decade * np.log10(hz.max() / hz))
    return changed


def frame_of(spectra: Sequence[tuple[Floats, Complexes]], **columns: Any) -> pd.DataFrame:
    """Return a frame as `archive.read("impedance")` gives it: one measurement a spectrum.

    `columns` holds a value for all, or a list with one for each spectrum.
    """
    given: dict[str, Any] = {
        "measurement": [f"m{n:04d}" for n in range(len(spectra))],
        "batch": "RB-010",
        "panel": "RB-010-1",
        "measured_at": pd.Timestamp("2026-09-21T08:00", tz="UTC"),
        "exposure_h": 1.0,
        "spot": None,
        "area_cm2": AREA_CM2,
        "thickness_um": 180.0,
        **columns,
    }
    lengths = [len(hz) for hz, _ in spectra]
    data = {
        name: np.repeat(np.array(value, dtype=object), lengths)
        if isinstance(value, list)
        else [value] * sum(lengths)
        for name, value in given.items()
    }
    z = np.concatenate(
        [np.asarray(one, dtype=complex) for _, one in spectra] or [np.array([0j])[:0]]
    )
    data["frequency_hz"] = np.concatenate([hz for hz, _ in spectra] or [np.array([])])
    data["z_real_ohm"], data["z_imag_ohm"] = z.real, z.imag
    numbers = ("exposure_h", "area_cm2", "thickness_um", "frequency_hz", "z_real_ohm", "z_imag_ohm")
    texts = ("measurement", "batch", "panel", "spot")
    frame = pd.DataFrame(data).astype(
        {**dict.fromkeys(numbers, float), **dict.fromkeys(texts, "str")}
    )
    return frame.assign(measured_at=pd.to_datetime(frame["measured_at"], utc=True))
