"""From constant-phase elements to capacitances."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.evaluate.impedance.effective_capacitance import ln_over_surface, ln_through_film

Q = st.floats(-12, -4).map(lambda lg: 10.0**lg)
N = st.floats(0.5, 1.0)
R = st.floats(0, 12).map(lambda lg: 10.0**lg)


def through_film(q: float, n: float, r: float) -> float:
    """The capacitance itself."""
    return float(np.exp(ln_through_film(np.log(q), np.float64(n), np.log(r))[0]))


def over_surface(q: float, n: float, series: float, parallel: float) -> float:
    """The capacitance itself."""
    logs = np.log(q), np.float64(n), np.log(series), np.log(parallel)
    return float(np.exp(ln_over_surface(*logs)[0]))


@given(Q, N, R)
def test_through_the_film_is_taken_at_the_largest_imaginary_part(
    q: float, n: float, r: float
) -> None:
    """Hsu and Mansfeld's C = Q w^(n-1), at the frequency where -Z'' of R || Q peaks."""
    near = (r * q) ** (-1 / n)
    w = near * np.exp(np.linspace(-1, 1, 4001))
    z = 1 / (1 / r + q * (1j * w) ** n)
    peak = w[np.argmax(-z.imag)]
    assert through_film(q, n, r) == pytest.approx(q * peak ** (n - 1), rel=1e-3)


@given(Q, N, R, R)
def test_over_the_surface_the_time_constant_is_that_of_both_resistances(
    q: float, n: float, series: float, parallel: float
) -> None:
    """Brug's C times series and parallel resistance side by side is the time constant.

    Rs + (Rp || Q) has the admittance (1/Rs) [1 - Rp/(Rs + Rp) / (1 + (i w tau)^n)].
    """
    tau = over_surface(q, n, series, parallel) / (1 / series + 1 / parallel)
    w = np.array([0.1, 1.0, 10.0]) / tau
    written = 1 / (series + 1 / (1 / parallel + q * (1j * w) ** n))
    by_tau = (1 - parallel / (series + parallel) / (1 + (1j * w * tau) ** n)) / series
    np.testing.assert_allclose(by_tau, written, rtol=1e-6)


@given(Q, R, R)
def test_an_exponent_of_one_leaves_the_capacitance(
    q: float, series: float, parallel: float
) -> None:
    """For n = 1, Q is the capacitance, by either formula."""
    assert through_film(q, 1.0, series) == pytest.approx(q, rel=1e-9)
    assert over_surface(q, 1.0, series, parallel) == pytest.approx(q, rel=1e-9)


@given(st.floats(-25, -8), N, st.floats(0, 25), st.floats(0, 25))
def test_derivatives_are_those_of_differences(q: float, n: float, r: float, other: float) -> None:
    """The derivatives that carry the errors agree with central differences."""
    step = 1e-6
    for function, row in (
        (ln_through_film, np.array([q, n, r])),
        (ln_over_surface, np.array([q, n, r, other])),
    ):
        _, slopes = function(*row)
        for place in range(len(row)):
            ends = []
            for way in (1, -1):
                moved = row.copy()
                moved[place] += way * step
                ends.append(function(*moved)[0])
            assert slopes[place] == pytest.approx(
                (ends[0] - ends[1]) / (2 * step), abs=1e-5, rel=1e-5
            )
