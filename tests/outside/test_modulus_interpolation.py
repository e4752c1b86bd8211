"""The interpolation of modulus and phase against scipy.interpolate."""

from __future__ import annotations

import numpy as np
import pytest
from films import AREA_CM2, frame_of
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import make_interp_spline

from tiecoat.evaluate.impedance.modulus import modulus_at
from tiecoat.evaluate.impedance.spectra import spectra_of


@settings(deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(-3000, 6000), st.floats(-1, 12), st.floats(-89, 89)),
        min_size=2,
        max_size=60,
        unique_by=lambda point: point[0],
    ),
    st.floats(0, 1),
)
def test_it_is_a_spline_of_degree_one(points: list[tuple[int, float, float]], share: float) -> None:
    """On any grid of frequencies, at any place within, the same lg|Z| and phase to nine digits."""
    lg_hz, lg_ohm, degrees = np.array(sorted(points), dtype=float).T
    lg_hz = lg_hz / 1000
    z = 10**lg_ohm * np.exp(1j * np.radians(degrees))
    at = lg_hz[0] + share * (lg_hz[-1] - lg_hz[0])
    found = modulus_at(spectra_of(frame_of([(10**lg_hz, z)])), 10**at)
    lg = make_interp_spline(lg_hz, lg_ohm + np.log10(AREA_CM2), k=1)(at)
    phase = make_interp_spline(lg_hz, np.unwrap(degrees, period=360), k=1)(at)
    assert np.log10(found.modulus_ohm_cm2[0]) == pytest.approx(lg, rel=1e-9, abs=1e-9)
    turn = (found.phase_deg[0] - phase + 180) % 360 - 180  # the anchor may be a turn away
    assert turn == pytest.approx(0, abs=1e-7)
