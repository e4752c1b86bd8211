"""A slipped digit in a flow curve is told; curves of real paints are not.

The truth is the law of Herschel and Bulkley, stress = yield + k rate^n (W. H. Herschel and
R. Bulkley, Kolloid-Zeitschrift 39, 1926, 291; from memory), with noise of 3 % and thixotropy as a
lower stress on the way down.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tiecoat.schemas.flow_curve import jumps

PAINTS = {"newtonian": (0.0, 1.2, 1.0), "thinning": (2.0, 8.0, 0.45), "pasty": (60.0, 5.0, 0.3)}
RATES = {"decades": np.logspace(-1, 3, 5), "dense": np.logspace(-1, 3, 17)}
SEEDS = range(20)


def curve(paint: str, rates: str, seed: int) -> dict[str, Any]:
    """Return a curve up and down, the stress on the way down lower by a third."""
    yielding, k, n = PAINTS[paint]
    rate = np.concatenate([RATES[rates], RATES[rates][::-1]])
    thixotropy = np.repeat([1.0, 0.67], len(RATES[rates]))
    noise = np.random.default_rng(seed).normal(1, 0.03, len(rate))
    stress = (yielding + k * rate**n) * thixotropy * noise
    return {
        "step": np.full(len(rate), None, dtype=object),
        "shear_rate_per_s": rate,
        "shear_stress_pa": stress,
        "viscosity_pa_s": stress / rate,
    }


@pytest.mark.parametrize("rates", RATES)
@pytest.mark.parametrize("paint", PAINTS)
def test_curves_up_and_down_pass(paint: str, rates: str) -> None:
    """Newtonian, thinning and pasty paints pass, with hysteresis and noise."""
    assert [list(jumps(curve(paint, rates, seed))) for seed in SEEDS] == [[]] * len(SEEDS)


def test_rest_shear_rest_passes() -> None:
    """A rate that jumps, and a structure that builds up again, are no slipped digits."""
    rate = np.array([0.1] * 4 + [500.0] * 4 + [0.1] * 6)
    viscosity = np.array([80, 79, 80, 80, 0.9, 0.8, 0.8, 0.8, 6, 18, 35, 50, 61, 68.0])
    columns = {
        "step": np.full(len(rate), None, dtype=object),
        "shear_rate_per_s": rate,
        "shear_stress_pa": rate * viscosity,
        "viscosity_pa_s": viscosity,
    }
    assert list(jumps(columns)) == []


@pytest.mark.parametrize("factor", [0.01, 0.1, 10.0, 100.0])
@pytest.mark.parametrize("paint", PAINTS)
def test_a_slipped_digit_is_told_where_it_stands(paint: str, factor: float) -> None:
    """A point of the way up that is one or two decades off in both values is told."""
    for seed in SEEDS:
        columns = curve(paint, "dense", seed)
        at = seed % 17
        columns["shear_stress_pa"][at] *= factor
        columns["viscosity_pa_s"][at] *= factor
        assert at in [fault.row for fault in jumps(columns)], seed
