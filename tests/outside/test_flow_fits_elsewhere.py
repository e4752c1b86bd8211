"""Fits of flow curves against scipy.optimize.curve_fit, which knows nothing of starting values."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy.optimize import curve_fit

from tiecoat.evaluate.estimate import Estimate
from tiecoat.evaluate.wet_paint.flow_fits import fit

RATES = np.geomspace(0.1, 1000, 25)
CASES: dict[str, tuple[Callable[..., np.ndarray], tuple[float, ...]]] = {
    "power law": (lambda r, k, n: k * r**n, (3.0, 0.6)),
    "Casson": (lambda r, y, h: (np.sqrt(y) + np.sqrt(h * r)) ** 2, (5.0, 0.3)),
    "Herschel-Bulkley": (lambda r, y, k, n: y + k * r**n, (4.0, 1.2, 0.82)),
    "Cross": (lambda r, z, e, t, m: r * (e + (z - e) / (1 + (t * r) ** m)), (40.0, 0.2, 1.5, 0.8)),
}


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("model", CASES)
def test_parameters_and_standard_errors_are_the_same(model: str, seed: int) -> None:
    """Same weights, same minimum: parameters to 1e-5, standard errors to 1e-3.

    curve_fit works from differences and in the parameters themselves; these are its limits.
    """
    law, truth = CASES[model]
    noise = np.random.default_rng(seed).normal(1, 0.01, len(RATES))
    stresses = law(RATES, *truth) * noise
    values, covariance = curve_fit(
        law, RATES, stresses, p0=truth, sigma=stresses, xtol=1e-12, ftol=1e-12, maxfev=5000
    )
    found = [one.found for one in fit(model, RATES, stresses).parameters.values()]
    for place, one in enumerate(found):
        assert isinstance(one, Estimate)
        assert one.value == pytest.approx(values[place], rel=1e-5)
        assert one.standard_error == pytest.approx(math.sqrt(covariance[place, place]), rel=1e-3)


def test_aicc_orders_models_as_written_out() -> None:
    """n ln(RSS/n) + 2k + 2k(k+1)/(n-k-1), k with the variance, from the residuals of curve_fit."""
    law, truth = CASES["Herschel-Bulkley"]
    stresses = law(RATES, *truth) * np.random.default_rng(1).normal(1, 0.01, len(RATES))
    for model, (candidate, start) in CASES.items():
        if model == "Cross":
            continue
        values, _ = curve_fit(candidate, RATES, stresses, p0=start, sigma=stresses, maxfev=5000)
        n, k = len(RATES), len(values) + 1
        rss = float(((candidate(RATES, *values) / stresses - 1) ** 2).sum())
        aicc = n * math.log(rss / n) + 2 * k + 2 * k * (k + 1) / (n - k - 1)
        assert fit(model, RATES, stresses).aicc == pytest.approx(aicc, abs=1e-6)
