"""The results of the kind density, from rows as the archive gives them."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest
from example_truth import AIR_AFTER_VACUUM, RECIPES, densities
from paint_rows import density_rows, no_rows, only, pick

from tiecoat.evaluate.choices import Choices, DensityChoices
from tiecoat.evaluate.density import compute, tiecoat_evaluations

MIXED = ("as mixed", 0.0, 23.0)
FREE = ("deaerated", 0.0, 23.0)
NAN = math.nan


def evaluated(frame: pd.DataFrame, **choices: object) -> pd.DataFrame:
    return compute({"density": frame}, Choices(density=DensityChoices(**choices)))


def example_rows() -> pd.DataFrame:
    return pd.concat(
        density_rows(
            [
                (one.state, 60.0 * one.rest_min, one.temperature_c, one.density_g_cm3)
                for one in densities(recipe)
            ],
            recipe.batch,
        )
        for recipe in RECIPES
    )


def test_the_air_of_the_example_is_found() -> None:
    """All nine batches: the true air lies in the interval of 95 %, or hardly outside of one."""
    table = pick(evaluated(example_rows()), "entrapped_air", "as mixed").set_index("batch")
    outside = 0
    for recipe in RECIPES:
        # what the vacuum left counts as none
        truth = 100 * (recipe.air - AIR_AFTER_VACUUM) / (1 - AIR_AFTER_VACUUM)
        row = table.loc[recipe.batch]
        outside += not row["low"] <= truth <= row["high"]
        assert row["value"] == pytest.approx(truth, abs=0.2)
        assert row["n"] == 3
    assert outside <= 1


def test_one_filling_of_each_state_gives_air_with_an_assumed_uncertainty() -> None:
    """No replicates: the uncertainty of one density stands in, and is told to be assumed."""
    row = only(evaluated(density_rows([(*MIXED, 1.40), (*FREE, 1.44)])), "entrapped_air")
    assert row["value"] == pytest.approx(100 * 0.04 / (1.44 - 0.0012))
    assert row["standard_error"] == pytest.approx(
        100 * 5e-4 * math.hypot(1, 1.4 / 1.44) / 1.44, rel=2e-3
    )
    assert row["flags"] == "as mixed: uncertainty assumed; deaerated: uncertainty assumed"


def test_a_stated_uncertainty_is_taken_instead() -> None:
    """What the instrument states is not overruled by an assumption."""
    table = evaluated(density_rows([(*MIXED, 1.40), (*FREE, 1.44)], uncertainty=0.002))
    assert only(table, "density_mean", "as mixed")["standard_error"] == 0.002
    assert not (table["flags"].str.contains("assumed")).any()


def test_a_batch_without_a_deaerated_sample_gives_a_reason() -> None:
    """No reference without air: no number, and what would help."""
    row = only(evaluated(density_rows([(*MIXED, 1.40)])), "entrapped_air")
    assert math.isnan(row["value"])
    assert "no deaerated sample" in row["reason"]
    assert "air_free_g_cm3" in row["reason"]


def test_a_density_without_air_may_be_set_for_a_batch() -> None:
    """The laboratory's own value is used, and the batch is found without regard to case."""
    table = evaluated(density_rows([(*MIXED, 1.40)]), air_free_g_cm3={"rb-001": 1.42})
    row = only(table, "entrapped_air")
    assert row["value"] == pytest.approx(100 * 0.02 / (1.42 - 0.0012))
    assert "the value set, 1.4200 g/cm3" in row["method"]


def test_densities_are_reduced_to_the_reference_temperature() -> None:
    """A sample measured 7 K too warm counts with what it weighs at 23 °C, and that is told."""
    table = evaluated(density_rows([("as mixed", 0.0, 30.0, 1.40), (*FREE, 1.44)]))
    row = only(table, "density_mean", "as mixed")
    assert row["value"] == pytest.approx(1.40 * (1 + 7e-4 * 7))
    assert row["standard_error"] == pytest.approx(math.hypot(5e-4, 1.40 * 7 * 2e-4), rel=5e-3)
    assert "as mixed: reduced over +7.0 K" in row["flags"]


def test_a_sample_denser_than_its_reference_is_told() -> None:
    """Less air than none is not cut off at zero, but flagged."""
    row = only(evaluated(density_rows([(*MIXED, 1.46), (*FREE, 1.44)])), "entrapped_air")
    assert row["value"] < 0
    assert "denser than its reference without air" in row["flags"]


def test_the_decay_of_foam_is_found() -> None:
    """Four times at rest: rate and half-life hold the truth."""
    share = [0.05 * 0.5 ** (minutes / 40) for minutes in (0, 20, 40, 80)]
    rows = [
        (
            "as mixed" if not place else "rested",
            1200.0 * (place if place < 3 else 4),
            23.0,
            1.44 * (1 - air) + 0.0012 * air,
        )
        for place, air in enumerate(share)
    ]
    table = evaluated(density_rows([*rows, (*FREE, 1.44)]))
    row = only(table, "foam_half_life")
    assert row["value"] == pytest.approx(40, rel=1e-6)
    assert row["low"] < 40 < row["high"]
    assert only(table, "foam_decay_rate")["value"] == pytest.approx(60 / 40 * math.log(2), rel=1e-6)


def test_two_times_at_rest_give_a_reason() -> None:
    """A decay needs three times."""
    rows = [(*MIXED, 1.40), ("rested", 1800.0, 23.0, 1.42), (*FREE, 1.44)]
    row = only(evaluated(density_rows(rows)), "foam_half_life")
    assert math.isnan(row["value"])
    assert row["reason"] == "2 times at rest; a decay needs at least 3"


def test_water_checks_the_instrument() -> None:
    """Each reading of water gives its deviation; one beyond the tolerance is flagged."""
    rows = [("water", 0.0, 20.0, 0.9982), ("water", 0.0, 20.0, 1.0)]
    table = pick(evaluated(density_rows(rows)), "water_density_deviation")
    assert table["value"].tolist() == pytest.approx([-6.7e-6, 1.7933e-3], abs=1e-7)
    assert table["measurement"].tolist() == ["RB-001-d0", "RB-001-d1"]
    assert "tolerance of 0.001 g/cm3" not in table["flags"].iloc[0]
    assert "tolerance of 0.001 g/cm3" in table["flags"].iloc[1]


def test_water_does_not_count_as_paint() -> None:
    """A batch with water only gives the check, and nothing else."""
    table = evaluated(density_rows([("water", 0.0, 20.0, 0.9982)]))
    assert table["quantity"].tolist() == ["water_density_deviation"]


def test_hot_water_gives_a_reason() -> None:
    """Beyond 40 °C the density of water is not known here."""
    row = only(evaluated(density_rows([("water", 0.0, 55.0, 0.99)])), "water_density_deviation")
    assert "0 to 40 °C only" in row["reason"]


@pytest.mark.parametrize(
    "readings",
    [
        [],
        [(*MIXED, NAN)],
        [(*MIXED, NAN), (*FREE, NAN)],
        [("as mixed", 0.0, NAN, 1.4), (*FREE, 1.44)],
        [("as mixed", NAN, 23.0, 1.4), (*FREE, 1.44)],
        [(*FREE, 1.44)],
        [(*MIXED, 0.0011), (*FREE, 1.44)],
        [("rested", 60.0, 23.0, 1.4)] * 4,
        [("water", 0.0, NAN, NAN)],
    ],
)
def test_bad_rows_give_reasons_and_never_an_error(
    readings: list[tuple[str, float, float, float]],
) -> None:
    """Whatever comes, there is a table, and where there is no number there is a reason."""
    frame = density_rows(readings) if readings else no_rows("density")
    table = evaluated(frame)
    assert (table["value"].notna() | (table["reason"] != "")).all()
    assert np.isfinite(table["value"].dropna()).all()


def test_readings_without_a_number_are_left_out_and_told() -> None:
    """One broken reading does not spoil its batch."""
    row = only(evaluated(density_rows([(*MIXED, 1.40), (*MIXED, NAN)])), "density_mean")
    assert row["value"] == 1.40
    assert "1 readings left out" in row["flags"]


def test_the_evaluation_is_offered_by_its_name() -> None:
    """The hook offers `density`."""
    assert [one.name for one in tiecoat_evaluations()] == ["density"]
