"""Decays against scipy.optimize.curve_fit, and the model against certified values of NIST.

NIST StRD, MGH17, is two exponentials and a constant; one of its amounts is below 0, which foam has
not, so that its certified parameters are looked at and not sought.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import curve_fit
from test_nist_nonlinear import read

from tiecoat.evaluate.statistics.decays import MODELS, TWO_TO_PLATEAU, DecayModel, Scatter, fit

MINUTES = np.array([0.0, 0.5, 1, 2, 3, 5, 7, 10, 15, 20, 30, 45])
STARTS = {1: [70.0, 0.1], 2: [40.0, 0.6, 40.0, 0.05]}


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.name)
def test_curve_fit_finds_the_same(model: DecayModel) -> None:
    """Parameters and standard errors, with the scatter of the residuals and with known errors."""
    start = np.array(STARTS[model.exponentials] + [10.0] * model.plateau)
    noise = np.random.default_rng(model.size).normal(0, 0.3, len(MINUTES))
    amounts = model.at(start * 1.1, MINUTES) + noise

    def curve(times: np.ndarray, *parameters: float) -> np.ndarray:  # type: ignore[type-arg]
        return model.at(np.array(parameters), times)

    best, covariance = curve_fit(curve, MINUTES, amounts, p0=start, xtol=1e-13, ftol=1e-13)
    found = fit(model, MINUTES, amounts)
    assert found.parameters == pytest.approx(best, rel=1e-5)
    errors = np.sqrt(np.diag(found.covariance))
    assert errors == pytest.approx(np.sqrt(np.diag(covariance)), rel=1e-3)

    known = np.diag(np.full(len(MINUTES), 0.3**2)) + 0.2**2
    best, covariance = curve_fit(
        curve, MINUTES, amounts, p0=start, sigma=known, absolute_sigma=True, xtol=1e-13, ftol=1e-13
    )
    found = fit(model, MINUTES, amounts, Scatter(known))
    assert found.parameters == pytest.approx(best, rel=1e-4)
    errors = np.sqrt(np.diag(found.covariance))
    assert errors == pytest.approx(np.sqrt(np.diag(covariance)), rel=1e-3)


def test_the_model_has_the_certified_squares_and_errors_of_nist() -> None:
    """MGH17: b1 + b2 exp(-x b4) + b3 exp(-x b5), to 7 digits of its sum of squares."""
    certified = read("MGH17")
    b1, b2, b3, b4, b5 = certified.parameters
    parameters = np.array([b2, b4, b3, b5, b1])
    off = TWO_TO_PLATEAU.at(parameters, certified.x) - certified.y
    assert float(off @ off) == pytest.approx(certified.sum_of_squares, rel=1e-7)
    slopes = TWO_TO_PLATEAU.slopes(parameters, certified.x)
    variance = certified.sum_of_squares / (len(off) - 5)
    errors = np.sqrt(np.diag(np.linalg.inv(slopes.T @ slopes)) * variance)
    assert errors[[4, 0, 2, 1, 3]] == pytest.approx(certified.errors, rel=1e-6)
