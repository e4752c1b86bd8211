"""Flow curves of many paints fitted at once."""

from __future__ import annotations

from functools import partial

import numpy as np
import pytest

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.wet_paint.flow_fits import FlowFit, fit
from tiecoat.evaluate.wet_paint.flow_fits_many import fits_of
from tiecoat.evaluate.wet_paint.flow_models import MODELS
from tiecoat.evaluate.wet_paint.flow_steps import tried

RATES = np.geomspace(0.1, 1000, 17)
PAINTS = (
    5 + 2 * RATES**0.5,
    3 * RATES**0.6,
    (2 + np.sqrt(0.3 * RATES)) ** 2,
    RATES * (0.3 + (20 - 0.3) / (1 + (3 * RATES) ** 0.8)),
    0.8 * RATES,
    2 * RATES**1.3,
)


def test_curves_fitted_together_come_out_as_each_fitted_alone() -> None:
    """By MINPACK alone: to a hundred-thousandth of the standard errors, or none for its reason.

    Curves of six paints with 0.2 to 20 % of noise and different numbers of points.
    """
    rng = np.random.default_rng(2)
    curves = []
    for number in range(36):
        kept = np.sort(rng.choice(17, size=7 + number % 11, replace=False))
        noise = rng.normal(0, [0.002, 0.02, 0.2][number % 3], len(kept))
        curves.append((RATES[kept], PAINTS[number % len(PAINTS)][kept] * np.exp(noise)))
    determined = 0
    for curve, found in zip(curves, fits_of(curves), strict=True):
        assert list(found) == list(MODELS)
        for name, together in found.items():
            alone = tried(partial(fit, name, *curve))
            if isinstance(alone, NotDeterminable):
                assert str(together) == str(alone)
                continue
            assert isinstance(together, FlowFit)
            assert together.held == alone.held
            error = np.sqrt(np.diag(alone.covariance))
            assert (np.abs(together.inner - alone.inner) <= 1e-5 * error + 1e-12).all()
            assert together.aicc == pytest.approx(alone.aicc, rel=1e-9)
            determined += 1
    assert 90 < determined < 140
