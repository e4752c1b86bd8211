"""The uncertainty of entrapped air against the package uncertainties, which derives by itself."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from uncertainties import ufloat

from tiecoat.evaluate.estimate import Estimate
from tiecoat.evaluate.wet_paint.air import AIR_G_CM3, Reduced, air_estimate

DENSITIES = st.floats(0.9, 3.0)
ERRORS = st.floats(1e-5, 5e-3)
SHIFTS = st.floats(-15, 15)


@given(st.tuples(DENSITIES, ERRORS, SHIFTS), st.tuples(DENSITIES, ERRORS, SHIFTS))
def test_the_propagated_uncertainty_is_the_same(
    sample: tuple[float, float, float], reference: tuple[float, float, float]
) -> None:
    """Two densities as measured and one expansion coefficient, carried through the formula."""
    (rho, error, shift), (rho0, error0, shift0) = sample, reference
    beta, error_beta = 7e-4, 2e-4
    expansion = ufloat(beta, error_beta)
    # so that at the coefficient itself the densities are those given
    one = ufloat(rho, error) / (1 + beta * shift) * (1 + expansion * shift)
    free = ufloat(rho0, error0) / (1 + beta * shift0) * (1 + expansion * shift0)
    expected = (free - one) / (free - AIR_G_CM3)
    found = air_estimate(
        Reduced("as mixed", 0, Estimate(rho, error), shift),
        Reduced("deaerated", 0, Estimate(rho0, error0), shift0),
        error_beta,
    )
    assert found.value == pytest.approx(expected.n, abs=1e-12)
    # the code takes the derivative at the reference temperature: beta * shift is 1 % at most
    assert found.standard_error == pytest.approx(expected.s, rel=0.02)
