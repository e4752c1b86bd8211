"""Water uptake against a worked value."""

from __future__ import annotations

import numpy as np
import pytest

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
