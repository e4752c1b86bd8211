"""Coating capacitance against the worked value of the facts and the constants of scipy."""

from __future__ import annotations

import numpy as np
import pytest
from films import SWEEP_HZ, C, frame_of, impedance
from scipy import constants

from tiecoat.evaluate.impedance.capacitance import (
    VACUUM_PERMITTIVITY_F_CM,
    coating_capacitance,
    relative_permittivity,
)
from tiecoat.evaluate.impedance.spectra import spectra_of


def test_the_vacuum_permittivity_is_codata_s() -> None:
    """In F/cm; to nine digits, since the last ones change with each edition of CODATA."""
    assert constants.epsilon_0 / 100 == pytest.approx(VACUUM_PERMITTIVITY_F_CM, rel=1e-9)


def test_a_film_of_permittivity_4() -> None:
    """C = eps eps0 A / d: 4, 100 um and 1 cm2 are 35.417 pF (computed), and back again."""
    spectra = spectra_of(
        frame_of([(SWEEP_HZ, impedance(C(35.417e-12)))], area_cm2=1.0, thickness_um=100.0)
    )
    found = coating_capacitance(spectra, 1e4)
    assert found.f_cm2[0] == pytest.approx(35.417e-12, rel=1e-9)
    assert relative_permittivity(found.f_cm2, np.array([100.0]))[0] == pytest.approx(4, abs=1e-4)
