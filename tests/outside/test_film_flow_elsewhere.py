"""Sagging and levelling against check values, and levelling against the flow solved anew."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tiecoat.evaluate.estimate import Estimate
from tiecoat.evaluate.wet_paint.sag_and_levelling import (
    levelling_s,
    levelling_stress_pa,
    sag_limit_um,
)


def creeping_flow(k: float, depth: float, tension: float, height: float) -> tuple[float, float]:
    """Return rate of decay in 1/s and wall stress in Pa of a wavy film of 1 Pa s.

    Slow plain reference: the stream function (A cosh ky + B sinh ky + y (C cosh ky + D sinh ky))
    sin kx fulfils the biharmonic equation. It sticks to the wall, the surface bears no shear, and
    the normal stress there balances surface tension, -tension k² height cos kx.
    """

    def derivatives(y: float) -> np.ndarray:
        c, s = math.cosh(k * y), math.sinh(k * y)
        return np.array(
            [
                [c, s, y * c, y * s],
                [k * s, k * c, c + y * k * s, s + y * k * c],
                [k**2 * c, k**2 * s, 2 * k * s + y * k**2 * c, 2 * k * c + y * k**2 * s],
                [
                    k**3 * s,
                    k**3 * c,
                    3 * k**2 * c + y * k**3 * s,
                    3 * k**2 * s + y * k**3 * c,
                ],
            ]
        )

    wall, top = derivatives(0.0), derivatives(depth)
    pressure_and_stretch = (top[3] - k**2 * top[1]) / k - 2 * k * top[1]
    rows = np.array([wall[0], wall[1], top[2] + k**2 * top[0], pressure_and_stretch])
    found = np.linalg.solve(rows, [0, 0, 0, -tension * k**2 * height])
    return k * float(top[0] @ found) / height, abs(float(wall[2] @ found))


@pytest.mark.parametrize("film_um", [20, 100, 400, 1000])
@pytest.mark.parametrize("wave_mm", [0.5, 2, 10])
def test_levelling_is_that_of_the_creeping_flow(wave_mm: float, film_um: float) -> None:
    """Time constant and largest stress, for thin and deep films, to 1e-6."""
    k = 2 * math.pi / (wave_mm * 1e-3)
    rate, stress = creeping_flow(k, film_um * 1e-6, 0.03, 5e-6)
    assert levelling_s(1.0, wave_mm, film_um, 30.0) == pytest.approx(1 / abs(rate), rel=1e-6)
    assert levelling_stress_pa(wave_mm, film_um, 30.0, 5) == pytest.approx(stress, rel=1e-6)


@pytest.mark.parametrize("film_um", [800, 1000, 5000, 10000])
def test_a_deep_film_levels_as_a_half_space(film_um: float) -> None:
    """2 viscosity k / tension, the limit of creeping flow: kh from 50 on takes no other digit.

    It is the damping of short capillary waves in a fluid that hardly flows: Levich, Physicochemical
    Hydrodynamics, 1962 (from memory). The tests above solve the flow anew where it can be solved.
    """
    k = 2 * math.pi / 0.1e-3
    found = levelling_s(1.0, 0.1, film_um, 30.0)
    assert found == pytest.approx(2 * 1.0 / (0.03 * k), rel=1e-12)


def test_the_check_value_of_orchard() -> None:
    """1 Pa s, 2 mm, 30 mN/m, 100 µm: 1.0266 s for long waves (by hand from Orchard's law).

    That grows with the fourth power of the wavelength; waves 100 times as long are long ones.
    """
    assert levelling_s(1.0, 200.0, 100.0, 30.0) * 1e-8 == pytest.approx(1.0266, abs=1e-4)


def test_the_check_value_of_sagging() -> None:
    """1400 kg/m³ and 500 µm on a vertical face: 6.865 Pa (by hand, density g thickness).

    Half of the last digit of 6.865 Pa is 0.04 µm.
    """
    assert sag_limit_um(Estimate(6.865), Estimate(1.4)).value == pytest.approx(500, abs=0.04)
