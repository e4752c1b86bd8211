"""Pull-off strength against the formula of the standard."""

import numpy as np
import pytest

from tiecoat.schemas.pull_off import area_mm2


def test_one_kilonewton_on_a_20_mm_dolly() -> None:
    """ISO 4624:2016: sigma = 4 F / (pi d^2); 1 kN on 20 mm is 3.1831 MPa.

    The formula is from memory, the value computed from it by hand (4000 / (400 pi)).
    """
    strength = 1000 / area_mm2(np.array([20.0]))
    assert strength[0] == pytest.approx(3.1831, abs=5e-5)


def test_the_area_under_the_usual_dollies() -> None:
    """The area of a 20 mm dolly is 314.159 mm², and that of a 14 mm dolly 153.938 mm² (pi d²/4)."""
    assert area_mm2(np.array([20.0, 14.0])) == pytest.approx([314.159, 153.938], abs=5e-4)
