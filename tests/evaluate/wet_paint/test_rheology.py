"""Flow curves: models, weighted fits, and what they may be used for."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tiecoat.evaluate.estimate import Estimate, NotDeterminable
from tiecoat.evaluate.wet_paint.flow_fits import FlowFit, best, fit
from tiecoat.evaluate.wet_paint.flow_fits_many import fit_all
from tiecoat.evaluate.wet_paint.flow_models import MODELS

RATES = np.geomspace(0.1, 1000, 17)
TRUTHS = {
    "power law": {"consistency": 3.0, "flow_index": 0.6},
    "Casson": {"yield_stress": 5.0, "high_shear_viscosity": 0.3},
    "Herschel-Bulkley": {"yield_stress": 4.0, "consistency": 1.2, "flow_index": 0.82},
    "Cross": {
        "rest_viscosity": 40.0,
        "high_shear_viscosity": 0.2,
        "cross_time": 1.5,
        "cross_index": 0.8,
    },
}


def stress(model: str, rates: np.ndarray = RATES) -> np.ndarray:
    """The four models written out, apart from the code under test."""
    p = TRUTHS[model]
    if model == "power law":
        return p["consistency"] * rates ** p["flow_index"]
    if model == "Casson":
        root = math.sqrt(p["yield_stress"]) + np.sqrt(p["high_shear_viscosity"] * rates)
        return root**2
    if model == "Herschel-Bulkley":
        return p["yield_stress"] + p["consistency"] * rates ** p["flow_index"]
    falling = 1 + (p["cross_time"] * rates) ** p["cross_index"]
    high = p["high_shear_viscosity"]
    return rates * (high + (p["rest_viscosity"] - high) / falling)


@pytest.mark.parametrize("model", TRUTHS)
def test_parameters_that_were_put_in_come_out(model: str) -> None:
    """Without noise, each model gives its parameters back to seven digits."""
    found = fit(model, RATES, stress(model)).parameters
    for name, truth in TRUTHS[model].items():
        estimate = found[name].found
        assert isinstance(estimate, Estimate)
        assert estimate.value == pytest.approx(truth, rel=1e-7)


@pytest.mark.every(4)
@pytest.mark.parametrize("model", TRUTHS)
def test_the_right_model_is_chosen(model: str) -> None:
    """From points with 1 % noise, AICc picks the model they were made with."""
    random = np.random.default_rng(4)
    right = sum(
        best(fit_all(RATES, stress(model) * random.normal(1, 0.01, 17))).model.name == model
        for _ in range(20)
    )
    assert right >= 18


@pytest.mark.every(2)
@pytest.mark.parametrize("model", TRUTHS)
def test_intervals_hold_the_truth_in_95_of_100_cases(model: str) -> None:
    """1,000 curves with 1 % noise: each parameter's share is known to 0.7 %."""
    random = np.random.default_rng(5)
    covered = dict.fromkeys(TRUTHS[model], 0)
    for _ in range(1000):
        found = fit(model, RATES, stress(model) * random.normal(1, 0.01, 17)).parameters
        for name, truth in TRUTHS[model].items():
            low, high = found[name].interval
            covered[name] += low <= truth <= high
    for name, count in covered.items():
        assert 0.925 <= count / 1000 <= 0.975, name


@pytest.mark.parametrize("model", MODELS)
def test_the_slope_of_each_model_is_that_of_its_stress(model: str) -> None:
    """The derivatives that the fit steps by, against small differences."""
    one = MODELS[model]
    inner = fit(model, RATES, stress(model)).inner * 1.1
    gradient = one.gradient(inner, RATES)
    for place in range(len(inner)):
        step = np.zeros(len(inner))
        step[place] = 1e-6 * max(abs(inner[place]), 1)
        difference = one.stress(inner + step, RATES) - one.stress(inner - step, RATES)
        assert gradient[:, place] == pytest.approx(difference / (2 * step[place]), rel=1e-6)


@settings(deadline=None, max_examples=60)
@given(st.floats(0.01, 100), st.floats(0.01, 50), st.floats(0.2, 1.1))
def test_herschel_bulkley_is_found_wherever_it_lies(tau: float, k: float, n: float) -> None:
    """Yield stress, consistency and index over four decades, without noise."""
    found = fit("Herschel-Bulkley", RATES, tau + k * RATES**n)
    assert found.model.stress(found.inner, RATES) == pytest.approx(tau + k * RATES**n, rel=1e-6)


def test_no_yield_stress_is_none_and_not_a_negative_one() -> None:
    """Points that ask for less than no yield stress give a reason for it; the rest is fitted."""
    stresses = 3 * RATES**0.6 - 0.2
    found = fit("Herschel-Bulkley", RATES, stresses)
    assert found.held == 0
    assert found.yield_stress_pa == 0
    parameters = found.parameters
    assert "less than zero" in str(parameters["yield_stress"].found)
    assert isinstance(parameters["consistency"].found, Estimate)
    assert found.freedom == 15


def test_newtonian_paint_is_a_power_law_of_index_one() -> None:
    """All models describe it; the simplest is taken."""
    chosen = best(fit_all(RATES, 0.5 * RATES))
    assert chosen.model.name == "power law"
    assert chosen.model.stress(chosen.inner, np.array([10.0])) == pytest.approx([5.0])


def test_a_cross_curve_without_its_plateaus_is_not_made_up() -> None:
    """Points of a power law do not tell what happens at rest: no numbers for it."""
    with pytest.raises(NotDeterminable, match=r"do not determine|makes no sense|does not settle"):
        fit("Cross", RATES, 3 * RATES**0.6)


@pytest.mark.parametrize(
    ("rates", "stresses", "why"),
    [
        ([], [], "0 points"),
        ([1.0], [2.0], "1 point; a power law curve needs at least 5"),
        ([1, 2], [2, 3], "2 points"),
        ([0, 1, 2, 3, 4], [1, 2, 3, 4, 5], "not a number above 0"),
        ([1, 2, 3, 4, 5], [1, 2, 3, 4, -5], "not a number above 0"),
        ([1, 2, 3, 4, 5], [math.nan] * 5, "not a number above 0"),
        ([1, 2, 3, 4, 5], [math.inf] * 5, "not a number above 0"),
        ([3, 3, 3, 4, 4], [1, 1, 1, 2, 2], "2 different rates"),
        ([1, 2, 3, 4, 5], [1, 2, 3], "not two lists of one length"),
        ([1, 2, 3, 4, 5], [5, 4, 3, 2, 1], "makes no sense"),
    ],
)
def test_bad_points_give_reasons(rates: list[float], stresses: list[float], why: str) -> None:
    """Too few, at rest, negative, missing, at one rate, falling: a reason each."""
    with pytest.raises(NotDeterminable, match=why):
        fit("power law", rates, stresses)


def test_no_fit_no_best() -> None:
    """Where no model can be fitted, the reasons are given together."""
    with pytest.raises(NotDeterminable, match="a Cross curve needs at least 7"):
        best(fit_all([1.0, 2.0], [1.0, 2.0]))


# points between which a parameter of a model moves nothing at all
WILD_RATES = (202199.0, 282238.0, 727598.0, 724017.0, 807403.0, 920123.0, 1.0)
WILD = (56236.0, 1.0, 174609.0, 751005.0, 717205.0, 925323.0, 95751.0)
WILD_TOO = (55502.0, 1.0, 174609.0, 751005.0, 717109.0, 920844.0, 95751.0)


@settings(deadline=None, max_examples=150)
@given(st.lists(st.tuples(st.floats(1e-4, 1e6), st.floats(1e-6, 1e6)), min_size=0, max_size=20))
@example(list(zip(WILD_RATES, WILD, strict=True)))
@example(list(zip(WILD_RATES, WILD_TOO, strict=True)))
def test_any_points_give_finite_numbers_or_a_reason(points: list[tuple[float, float]]) -> None:
    """Nonsense in: nothing raised but a reason, no infinite number out."""
    found = fit_all([one[0] for one in points], [one[1] for one in points])
    for one in found.values():
        if isinstance(one, FlowFit):
            ends = np.array([one.lowest_per_s, one.highest_per_s])
            assert np.isfinite(one.model.stress(one.inner, ends)).all()
            for parameter in one.parameters.values():
                if isinstance(parameter.found, Estimate):
                    assert math.isfinite(parameter.found.value)
        else:
            assert str(one)
