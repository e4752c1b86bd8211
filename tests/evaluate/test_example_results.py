"""The results of the example lab tell the story that its generator put in."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from example_topcoat import ALONE
from example_truth import AREA_CM2, RECIPES, Chance, Panel, film_impedance, panels

import tiecoat

EXAMPLE = Path(__file__).parents[2] / "archive_example"
RECIPE = {recipe.batch: recipe for recipe in RECIPES}
PANEL = {panel.name: panel for recipe in RECIPES for panel in panels(recipe)}
PRIMER_ALONE = f"coat system: {ALONE}"


@pytest.fixture(scope="module")
def archive() -> tiecoat.Archive:
    return tiecoat.open(EXAMPLE)


def of_batches(found: pd.DataFrame, quantity: str, condition: str = "") -> pd.DataFrame:
    """Return the rows of a quantity that is pooled over each batch, by batch."""
    whole = found[
        (found["quantity"] == quantity)
        & (found["panel"] == "")
        & (found["batch"] != "")
        & (found["condition"] == condition)
    ]
    return whole.set_index("batch")


def true_modulus(panel: Panel, exposure_h: float) -> float:
    """Return |Z| at 0.1 Hz times area, in ohm cm², of the circuit without noise."""
    pores_lg = Chance("impedance", panel.name).normal(panel.recipe.pores_lg, 0.1)
    z = film_impedance(0.1, panel.recipe, exposure_h, panel.thickness_um, pores_lg)
    return abs(z) * AREA_CM2


def test_the_modulus_is_that_of_the_circuit(archive: tiecoat.Archive) -> None:
    """Every modulus at 0.1 Hz lies within the noise (1 % a point) of the circuit's own."""
    found = archive.evaluate("impedance", quantity="modulus")
    truth = [
        true_modulus(PANEL[panel], hours)
        for panel, hours in zip(found["panel"], found["exposure_h"], strict=True)
    ]
    assert len(found) == 135
    assert np.abs(np.log(found["value"] / truth)).max() < 0.04


def test_every_spectrum_is_causal(archive: tiecoat.Archive) -> None:
    """The generator's circuits stand still during a sweep, and the test finds no fault in them."""
    found = archive.evaluate("impedance", quantity="kramers_kronig_passes")
    assert len(found) == 135
    assert (found["value"] == 1).all()


def test_the_worse_barrier_crosses_the_limit_sooner(archive: tiecoat.Archive) -> None:
    """Who falls below 1e8 ohm cm2 and in which order is as the pores of the recipes grow.

    They grow with the square root of time, so that a line has no slope to tell.
    """
    found = archive.evaluate("impedance", quantity="time_to_limit")
    fair = found["condition"] == "below 1e+08 ohm cm2 at 0.1 Hz"
    panels = found[fair & (found["panel"] != "")]
    last = {recipe.batch: recipe.pores_lg + recipe.pores_rise * 10**0.5 for recipe in RECIPES}
    crossed = panels[panels["value"].notna()].groupby("batch")["value"].mean()
    assert set(crossed.index) == set(sorted(last, key=last.__getitem__)[-len(crossed) :])
    order = pd.Series(last)[crossed.index]
    assert crossed.rank().corr(order.rank()) == pytest.approx(-1)
    decline = of_batches(archive.evaluate("impedance"), "modulus_decline", "0.1 Hz")
    assert decline.loc["RB-010", "reason"].startswith("3 of 3 panels without a decline: the course")


def test_entrapped_air_is_what_was_stirred_in(archive: tiecoat.Archive) -> None:
    """Air as mixed agrees with the recipe, but for what the vacuum left (0.1 %)."""
    found = of_batches(archive.evaluate("density"), "entrapped_air", "as mixed")
    for batch, row in found.iterrows():
        truth = 100 * (1 - (1 - RECIPE[str(batch)].air) / (1 - 0.001))
        assert abs(row["value"] - truth) < 5 * max(row["standard_error"], 0.03), batch


def test_the_yield_stress_is_found_again(archive: tiecoat.Archive) -> None:
    """On the way down, with little structure left, yield stress and index are the recipe's."""
    found = archive.evaluate("viscosity")
    fitted = found[found["condition"] == "down; Herschel-Bulkley"]
    for quantity, truth, tolerance in (
        ("yield_stress", "yield_pa", 0.08),
        ("flow_index", "index", 0.03),
    ):
        values = fitted[fitted["quantity"] == quantity].groupby("batch")["value"].first()
        assert len(values) == len(RECIPES)
        for batch, value in values.items():
            assert math.isclose(value, getattr(RECIPE[str(batch)], truth), rel_tol=tolerance), batch


def test_strength_is_that_of_the_film(archive: tiecoat.Archive) -> None:
    """With glue failures as lower bounds the mean strength lies within its interval of the truth.

    Of nine 95 % intervals one may miss.
    """
    found = of_batches(archive.evaluate("pull_off"), "strength_mean_censored", PRIMER_ALONE)
    inside = [
        row["low"] <= RECIPE[str(batch)].strength_mpa <= row["high"]
        for batch, row in found.iterrows()
    ]
    assert len(inside) == len(RECIPES)
    assert sum(inside) >= len(RECIPES) - 1


def test_the_best_barrier_is_the_one_that_lets_go(archive: tiecoat.Archive) -> None:
    """Ten per cent of glass flake: highest modulus after ten days, lowest strength."""
    modulus = archive.evaluate("impedance", quantity="modulus")
    last = modulus[modulus["exposure_h"] == 240].groupby("batch")["value"].mean()
    strength = of_batches(archive.evaluate("pull_off"), "strength_mean", PRIMER_ALONE)["value"]
    failure = of_batches(archive.evaluate("pull_off"), "failure_adhesive", PRIMER_ALONE)["value"]
    assert last.idxmax() == strength.idxmin() == failure.idxmax() == "RB-016"
