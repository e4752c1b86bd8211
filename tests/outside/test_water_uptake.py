"""Water uptake against a worked value."""

from __future__ import annotations

import numpy as np
import pytest
from films import frame_of

from tiecoat.contract.choices import ImpedanceChoices
from tiecoat.evaluate.impedance.capacitance import capacitance_rows
from tiecoat.evaluate.impedance.spectra import spectra_of
from tiecoat.evaluate.impedance.uptake import water_uptake_percent


def test_half_as_much_again_is_nine_percent() -> None:
    """Ct/C0 = 1.5 is 9.253 % by volume.

    Brasher and Kingsbury, J. Appl. Chem. 4 (1954) 62, by Bucharsky, Castro and Real, J. Corros.
    Sci. Eng. 2 (1999) paper 19, who name C(t), C(0) and 80; the number was computed from
    lg(Ct/C0)/lg 80, so this checks code against formula.
    """
    assert water_uptake_percent(np.array([1.5]), np.array([1.0]), 80.0)[0] == pytest.approx(
        9.253, abs=5e-4
    )


def test_water_alone_is_all_water() -> None:
    """A film that became water altogether, of permittivity 80 against 1, is 100 %."""
    assert water_uptake_percent(np.array([80.0]), np.array([1.0]), 80.0)[0] == pytest.approx(100)


@pytest.mark.parametrize("alike", [False, True])
@pytest.mark.parametrize(("loss", "noise"), [(0.0, 0.002), (0.15, 0.002), (0.15, 0.01)])
def test_the_interval_of_the_uptake_of_a_film_that_conducts(
    loss: float, noise: float, alike: bool
) -> None:
    """Holds 1.17 % by volume in 95 % of 100 panels but for chance (three standard errors, 6.5 %).

    The film is written out here: behind 30 ohm a capacitance with a loss tangent at 10 kHz once it
    is wet, by a resistance parallel to it or by a dielectric that loses alike at all frequencies.
    As of a capacitor in series +1.60 % would be told for 0.14. Of 150 panels in each of ten cases
    of loss from 0 to 0.17, two of noise, 96 to 100 % of the intervals held the truth.
    """
    random, hz = np.random.default_rng(17), np.logspace(-1, 5, 61)
    omega, at = 2 * np.pi * hz, 2 * np.pi * 1e4
    parts = []
    for _ in range(100):
        for farad, tangent in ((3e-10, 0.0), (3e-10 * 80**0.0117, loss)):
            power = 1 - 2 / np.pi * np.arctan(tangent)
            parallel = 1j * omega * farad + tangent * at * farad
            constant = farad * at * (tangent + 1j) * (omega / at) ** power
            z = 30 + 1 / (constant if alike else parallel)
            z = z * (1 + noise * (random.normal(size=61) + 1j * random.normal(size=61)))
            parts.append((hz, z))
    names = [f"P{number // 2}" for number in range(200)]
    frame = frame_of(parts, panel=names, exposure_h=[0.5, 24.0] * 100, temperature_c=np.nan)
    rows = capacitance_rows(spectra_of(frame), ImpedanceChoices())
    wet = rows[rows["quantity"] == "water_uptake"].iloc[1::2]
    wet = wet[wet["value"].notna()]
    assert len(wet) > 95
    assert ((wet["low"] < 1.17) & (wet["high"] > 1.17)).mean() >= 0.885
