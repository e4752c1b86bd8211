"""Whether a yield stress can be told: paints with and without one, from rates that may not reach.

The truth is drawn, not fitted: paints after Cross have no yield stress and sag, whatever a curve
through their points looks like; paints after Herschel-Bulkley and Casson have one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
import pytest
from paint_rows import curve_rows, density_rows, only, pick

from tiecoat.contract.choices import Choices
from tiecoat.evaluate.estimate import Estimate
from tiecoat.evaluate.wet_paint.flow_fits import fit as fit_of
from tiecoat.evaluate.wet_paint.flow_steps import no_yield_stress
from tiecoat.evaluate.wet_paint.viscosity import compute

PAINT = density_rows([("as mixed", 0.0, 23.0, 1.40)])
RATES = np.geomspace(0.1, 1000, 17)
UM_PER_PA = 1e6 / (1400 * 9.80665)


@dataclass
class Tally:
    """How often a sag limit was given, and how often its lower end was at most the true one."""

    drawn: int = 0
    given: int = 0
    below_truth: int = 0


def cross(rates: np.ndarray, rest: float, high: float, time: float, index: float) -> np.ndarray:
    return rates * (high + (rest - high) / (1 + (time * rates) ** index))


def drawn(law: str, random: np.random.Generator) -> tuple[np.ndarray, np.ndarray, float]:
    """Return rates, stresses with noise and the yield stress of a paint, as laboratories have."""
    low, most = random.choice([0.01, 0.1, 0.5, 1.0, 5.0]), random.choice([100.0, 500.0, 1000.0])
    rates = np.geomspace(low, most, random.choice([8, 10, 13, 17, 25]))
    noise = random.normal(1, random.choice([0.01, 0.02, 0.05]), len(rates))
    tau = 10 ** random.uniform(-0.3, 1.5)
    if law == "Cross":
        rest, high = 10 ** random.uniform(1, 3.5), 10 ** random.uniform(-1.3, -0.2)
        time, index = 10 ** random.uniform(-1, 2.5), random.uniform(0.6, 1.0)
        return rates, cross(rates, rest, high, time, index) * noise, 0.0
    if law == "Casson":
        high = 10 ** random.uniform(-1.3, 0)
        return rates, (np.sqrt(tau) + np.sqrt(high * rates)) ** 2 * noise, tau
    consistency, index = 10 ** random.uniform(-1, 0.8), random.uniform(0.4, 1.0)
    return rates, (tau + consistency * rates**index) * noise, tau


def tally(law: str, count: int, seed: int) -> Tally:
    random = np.random.default_rng(seed)
    found = Tally()
    for _ in range(count):
        rates, stresses, tau = drawn(law, random)
        table = compute({"viscosity": curve_rows(rates, stresses), "density": PAINT}, Choices())
        row = only(table, "sag_limit")
        found.drawn += 1
        found.given += bool(np.isfinite(row["value"]))
        found.below_truth += bool(row["low"] <= tau * UM_PER_PA)
    return found


def only_in_a_campaign(request: pytest.FixtureRequest) -> None:
    """Skip what takes minutes unless it is asked for."""
    if "campaign" not in request.config.getoption("-m"):
        pytest.skip("run with -m campaign")


@pytest.mark.thorough
def test_a_paint_without_a_yield_stress_has_no_safe_film() -> None:
    """Of 120 paints after Cross at most three are given a sag limit: one in a hundred and luck."""
    assert tally("Cross", 120, seed=21).given <= 3


@pytest.mark.campaign
def test_hardly_any_paint_after_cross_has_a_safe_film(request: pytest.FixtureRequest) -> None:
    """Of 2,000 at most 1.5 %."""
    only_in_a_campaign(request)
    assert tally("Cross", 2000, seed=22).given <= 30


@pytest.mark.campaign
@pytest.mark.parametrize("law", ["Herschel-Bulkley", "Casson"])
def test_the_lower_end_of_a_sag_limit_is_safe(law: str, request: pytest.FixtureRequest) -> None:
    """Of 1,000 paints with a yield stress more than half are told; the lower end holds in 95 %."""
    only_in_a_campaign(request)
    found = tally(law, 1000, seed=23)
    assert found.given > 0.6 * found.drawn
    assert found.below_truth >= 0.95 * found.given


def test_what_is_not_told_names_the_models_on_both_sides() -> None:
    """Rates from 5 1/s on a paint after Cross whose plateau at rest lies below: no number, why."""
    rates = np.geomspace(5, 500, 10)
    stresses = cross(rates, 900.0, 0.3, 60.0, 0.9)
    noisy = stresses * np.random.default_rng(3).normal(1, 0.03, 10)
    table = compute({"viscosity": curve_rows(rates, noisy), "density": PAINT}, Choices())
    sag = only(table, "sag_limit")
    assert np.isnan(sag["value"])
    assert sag["reason"] == (
        "not determinable from rates above 5 1/s: Sisko would describe the points without a yield "
        "stress as well as Herschel-Bulkley does with one"
    )
    for row in pick(table, "yield_stress").itertuples():
        assert np.isnan(row.value)
    told = "whether there is a yield stress is not determinable from rates above 5 1/s"
    for quantity in ("levelling_half_time", "bubble_velocity", "smallest_escaping_radius"):
        assert told in only(table, quantity)["flags"]


def test_a_clear_yield_stress_is_told_without_a_word_of_doubt() -> None:
    """Herschel-Bulkley, 1 % noise, four decades: no law without a yield stress does as well."""
    stresses = (6 + 1.2 * RATES**0.8) * np.random.default_rng(4).normal(1, 0.01, 17)
    table = compute({"viscosity": curve_rows(RATES, stresses), "density": PAINT}, Choices())
    row = only(table, "sag_limit")
    assert row["flags"] == ""
    assert row["low"] < 6 * UM_PER_PA < row["high"]
    assert only(table, "yield_stress", "up; Herschel-Bulkley")["flags"] == "chosen by AICc"


def test_of_two_models_alike_the_lower_sag_limit_is_taken() -> None:
    """A paint after Casson that Herschel-Bulkley describes as well: both named, the lower value."""
    random = np.random.default_rng(12)
    for _ in range(40):
        stresses = (np.sqrt(9) + np.sqrt(0.3 * RATES[::2])) ** 2 * random.normal(1, 0.04, 9)
        frame = curve_rows(RATES[::2], stresses)
        table = compute({"viscosity": frame, "density": PAINT}, Choices())
        sag = only(table, "sag_limit")
        if "do alike" in sag["flags"]:
            break
    assert "Casson and Herschel-Bulkley do alike: the lowest limit is taken" in sag["flags"]
    yields = pick(table, "yield_stress")
    assert sag["value"] == pytest.approx(yields["value"].min() * UM_PER_PA)
    assert sag["low"] <= sag["value"] <= sag["high"]
    chosen = yields[yields["flags"].str.contains("chosen by AICc")].iloc[0]
    assert chosen["flags"].endswith("would do as well")


def test_a_newtonian_paint_is_not_given_the_model_of_casson() -> None:
    """Of 100 at most five, with 2 % noise; what does as well is named on both sides."""
    random, rates = np.random.default_rng(31), np.geomspace(1, 100, 8)
    frames = [
        curve_rows(rates, 1.2 * rates * random.normal(1, 0.02, 8), batch=f"RB-{number:03}")
        for number in range(100)
    ]
    table = compute({"viscosity": pd.concat(frames), "density": PAINT}, Choices())
    fits = table[(table["quantity"] == "flow_fit_aicc") & table["value"].notna()]
    chosen = fits[fits["flags"].str.startswith("chosen by AICc").to_numpy(dtype=bool)]
    casson = chosen["condition"].str.endswith("Casson").to_numpy(dtype=bool)
    assert len(chosen) == 100
    assert casson.sum() <= 5
    simplest = chosen[chosen["condition"].str.endswith("power law").to_numpy(dtype=bool)]
    assert simplest["flags"].str.contains("would do as well").mean() > 0.95
    assert simplest["flags"].str.contains("Casson").mean() > 0.95
    assert pick(table, "yield_stress")["value"].isna().all()


def test_a_yield_stress_whose_interval_reaches_zero_is_not_told_as_one() -> None:
    """The model is there, with its value and interval in words; neither sag limit nor number."""
    rates = np.geomspace(1, 100, 8)
    fit = fit_of(
        "Herschel-Bulkley",
        rates,
        (0.1 + 1.2 * rates**0.9) * np.random.default_rng(2).normal(1, 0.02, 8),
    )
    assert fit.parameters["yield_stress"].interval[0] <= 0
    told = fit.parameters["yield_stress"].found
    assert isinstance(told, Estimate)
    low, high = fit.parameters["yield_stress"].interval
    assert str(no_yield_stress(fit)) == (
        f"not told from none: {told.value:.2g} Pa of the Herschel-Bulkley model, 95 % interval"
        f" {low:.2g} to {high:.2g} Pa"
    )
