"""The results of the kind density, from rows as the archive gives them."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest
from example_truth import AIR_AFTER_VACUUM, RECIPES, densities
from paint_rows import density_rows, no_rows, only, pick
from scipy.optimize import curve_fit
from scipy.stats import t as student

from tiecoat.contract.choices import Choices, DensityChoices
from tiecoat.evaluate import evaluations
from tiecoat.evaluate.wet_paint.density import compute

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
    row = only(evaluated(density_rows([(*MIXED, 1.4003), (*FREE, 1.4403)])), "entrapped_air")
    assert row["value"] == pytest.approx(100 * 0.04 / (1.4403 - 0.0012))
    assert row["standard_error"] == pytest.approx(
        100 * math.hypot(5e-4, 1e-4 / math.sqrt(12)) * math.hypot(1, 1.4 / 1.44) / 1.44, rel=2e-3
    )
    assert row["flags"] == "as mixed: uncertainty assumed; deaerated: uncertainty assumed"


@pytest.mark.parametrize("readings", [[1.41], [1.41, 1.41], [1.41, 1.41, 1.42]])
def test_densities_that_were_read_coarsely_are_known_no_better(readings: list[float]) -> None:
    """Read to 0.01 g/cm³, no number of replicates makes them good to 0.0005."""
    table = evaluated(density_rows([("as mixed", 0.0, 23.0, one) for one in readings]))
    mean = only(table, "density_mean", "as mixed")
    assert mean["low"] <= 1.405
    assert mean["high"] >= 1.415
    assert mean["standard_error"] >= 0.01 / math.sqrt(12)
    for _, one in table[table["quantity"] == "density"].iterrows():
        assert one["low"] <= one["value"] - 0.005
        assert one["high"] >= one["value"] + 0.005


def test_a_series_that_is_called_as_mixed_throughout_has_rested() -> None:
    """Only its first readings are as mixed; what follows minutes later is no repeat of them."""
    series = [("as mixed", seconds, 23.0, 1.40 + seconds / 1e5) for seconds in (0.0, 60.0, 600.0)]
    table = evaluated(density_rows([*series, (*FREE, 1.4403)]))
    air = table[table["quantity"] == "entrapped_air"]
    assert air["condition"].tolist() == ["as mixed", "as mixed", "rested 10 min"]


def test_repeats_of_a_batch_tell_how_good_each_reading_is() -> None:
    """Where nothing is stated, their scatter counts for each, and nothing is assumed."""
    rows = [("as mixed", 0.0, 23.0, density) for density in (1.4003, 1.4023, 1.4043)]
    table = evaluated(density_rows([*rows, (*FREE, 1.4403)]))
    readings = table[table["quantity"] == "density"]
    assert readings["standard_error"].tolist() == pytest.approx([0.002] * 4, rel=1e-3)
    assert set(readings["flags"]) == {""}
    stated = evaluated(density_rows(rows, uncertainty=0.01))
    assert set(stated[stated["quantity"] == "density"]["standard_error"]) == {0.01}


def test_a_paint_measured_at_an_unknown_time_has_its_air_and_no_place_in_the_decay() -> None:
    """As mixed and deaerated without a time at rest: the air is found, its decay is not told."""
    known = [("rested", 60.0 * minutes, 23.0, 1.41 + minutes / 1e4) for minutes in (10, 20, 40)]
    told = density_rows([(*MIXED, 1.40), (*FREE, 1.44), *known])
    rows = density_rows([("as mixed", NAN, 23.0, 1.40), ("deaerated", NAN, 23.0, 1.44), *known])
    air, as_told = (pick(evaluated(each), "entrapped_air", "as mixed") for each in (rows, told))
    assert air["value"].tolist() == as_told["value"].tolist()
    decay, with_time = (only(evaluated(each), "air_decay_rate") for each in (rows, told))
    assert (decay["n"], with_time["n"]) == (3, 4)


def test_a_density_without_a_temperature_stays_as_it_was_read_and_is_told() -> None:
    """It is not reduced, and neither is the air that is found by it said to be free of doubt."""
    warm = [("as mixed", 0.0, NAN, 1.40), ("as mixed", 0.0, 33.0, 1.40), (*FREE, 1.44)]
    table = evaluated(density_rows(warm))
    single = table[table["quantity"] == "density"]
    reduced = 1.40 * (1 + 7e-4 * 10)
    assert single["value"].tolist() == pytest.approx([1.40, reduced, 1.44])
    assert single["method"].tolist() == ["as read", "at 23 °C", "at 23 °C"]
    mean, air = (only(table, name, "as mixed") for name in ("density_mean", "entrapped_air"))
    assert mean["value"] == pytest.approx((1.40 + reduced) / 2)
    for told in (mean, air):
        assert "as mixed: 1 of 2 as read, no temperature stated" in told["flags"]
    alone = only(evaluated(density_rows(warm[:1])), "density_mean")
    assert alone["method"] == "mean of 1 determination as read"


def test_determinations_of_a_batch_are_averaged_and_told() -> None:
    """Three densities of one batch at once: their mean, how many there were, the interval by t."""
    rows = [("as mixed", 0.0, 23.0, density) for density in (1.400, 1.402, 1.404)]
    table = evaluated(density_rows([*rows, (*FREE, 1.440)]))
    mean = only(table, "density_mean", "as mixed")
    assert mean["value"] == pytest.approx(1.402)
    assert mean["n"] == 3
    scatter, rounding = 0.002 / math.sqrt(3), 0.001 / math.sqrt(12)  # of multiples of 0.001
    error = math.hypot(scatter, rounding)
    half = student.ppf(0.975, 2 * (error / scatter) ** 4) * error
    assert mean["high"] - mean["low"] == pytest.approx(2 * half)
    assert mean["method"] == "mean of 3 determinations at 23 °C"
    air = only(table, "entrapped_air")
    assert air["n"] == 3
    assert air["method"] == (
        "mean of 3 determinations, balance of masses against deaerated, 1.4400 g/cm3"
    )


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
    table = evaluated(density_rows([("as mixed", 0.0, 30.0, 1.4003), (*FREE, 1.44)]))
    row = only(table, "density_mean", "as mixed")
    assert row["value"] == pytest.approx(1.4003 * (1 + 7e-4 * 7))
    assert row["standard_error"] == pytest.approx(math.hypot(5e-4, 1.40 * 7 * 2e-4), rel=5e-3)
    assert "as mixed: reduced over +7.0 K" in row["flags"]


def test_a_sample_denser_than_its_reference_has_no_negative_air() -> None:
    """Far denser: no number, what may be wrong, and the flag."""
    row = only(evaluated(density_rows([(*MIXED, 1.46), (*FREE, 1.44)])), "entrapped_air")
    assert math.isnan(row["value"])
    assert row["reason"] == (
        "the readings would give -1.4 % of air: the reference still holds air, or one of the two "
        "densities is wrong"
    )
    assert "denser than its reference without air" in row["flags"]


def test_a_sample_as_dense_as_its_reference_has_no_air_to_be_seen() -> None:
    """Denser by less than the uncertainty: no air, told with what the readings give.

    -0.0005/1.4388 is -0.035 %; the interval is that of the readings, to be compared with others.
    """
    row = only(evaluated(density_rows([(*MIXED, 1.4405), (*FREE, 1.44)])), "entrapped_air")
    assert row["value"] == 0
    assert row["low"] + row["high"] == pytest.approx(2 * -0.03475, rel=1e-3)
    assert row["flags"].startswith("no air to be seen: the readings give -0.035 %; ")


def test_water_without_a_temperature_is_told_in_words() -> None:
    """No text says `nan`."""
    row = only(evaluated(density_rows([("water", 0.0, NAN, 0.998)])), "water_density_deviation")
    assert (row["reason"], row["condition"]) == ("no temperature stated", "")


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
    row = only(table, "air_half_life")
    assert row["value"] == pytest.approx(40, rel=1e-6)
    assert row["low"] < 40 < row["high"]
    assert only(table, "air_decay_rate")["value"] == pytest.approx(60 / 40 * math.log(2), rel=1e-6)


def test_the_error_of_the_decay_is_that_of_a_general_fit() -> None:
    """scipy.optimize.curve_fit with the whole covariance: own errors, and the reference's for all.

    One reading at rest, two or three at other times: their spread is pooled, the reference's too.
    """
    minutes, counts = np.array([0.0, 20.0, 40.0, 80.0]), np.array([3, 1, 2, 1])
    means, free = np.array([1.371, 1.402, 1.4205, 1.4338]), 1.44
    off = {1: [0.0], 2: [-0.0004, 0.0004], 3: [-0.0006, 0.0, 0.0006]}
    rows = [
        ("rested" if minute else "as mixed", 60 * minute, 23.0, mean + one)
        for minute, count, mean in zip(minutes, counts, means, strict=True)
        for one in off[count]
    ]
    rows += [(*FREE, free - 0.0006), (*FREE, free + 0.0006)]
    spread = math.sqrt((2 * 0.0006**2 + 2 * 0.0004**2 + 2 * 0.0006**2) / 4)  # 2 + 1 + 1 free
    gap, rounding = free - 0.0012, 0.0001 / math.sqrt(12)  # all are multiples of 0.0001
    reference = math.hypot(spread / math.sqrt(2), rounding)  # of two readings
    shared = (means - 0.0012) / gap**2 * reference
    covariance = np.diag((spread**2 / counts + rounding**2) / gap**2) + np.outer(shared, shared)
    (_, rate), errors = curve_fit(
        lambda t, start, rate: start * np.exp(-rate * t),
        minutes,
        (free - means) / gap,
        p0=(0.05, 0.03),
        sigma=covariance,
        absolute_sigma=True,
    )
    error, t_97_5 = math.sqrt(errors[1, 1]), student.ppf(0.975, 4)
    table = evaluated(density_rows(rows))
    row = only(table, "air_decay_rate")
    assert row["value"] == pytest.approx(60 * rate, rel=1e-5)
    assert row["standard_error"] == pytest.approx(60 * error, rel=1e-4)
    half_width = (row["high"] - row["low"]) / 2
    assert half_width == pytest.approx(60 * t_97_5 * error, rel=1e-4)
    half_life = only(table, "air_half_life")
    assert half_life["standard_error"] == pytest.approx(math.log(2) / rate**2 * error, rel=1e-4)
    assert half_life["n"] == 7


def test_air_that_stays_is_a_plateau() -> None:
    """Air of which a third stays for good, at readings good to 0.0002 g/cm³."""
    rows = [
        ("rested" if minute else "as mixed", 60.0 * minute, 23.0, 1.44 - 1.4388 * air)
        for minute in (0, 30, 60, 120)
        for air in [0.03 * (0.35 + 0.65 * 0.5 ** (minute / 20))]
    ]
    table = evaluated(density_rows([*rows, (*FREE, 1.44)]), uncertainty_g_cm3=0.0002)
    stays, half = only(table, "air_plateau"), only(table, "air_half_life")
    assert (stays["value"], stays["unit"]) == (pytest.approx(1.05, rel=1e-3), "%")
    assert stays["low"] < 1.05 < stays["high"]
    assert half["value"] == pytest.approx(20 * math.log2(0.65 / 0.15), rel=1e-3)
    assert half["low"] < half["value"] < half["high"]
    assert half["method"] == "first-order decay to a plateau while the paint rests"


def test_a_decay_that_is_no_exponential_is_flagged() -> None:
    """Half of the air leaves at once, half stays for hours."""
    rows = [
        ("rested" if minute else "as mixed", 60.0 * minute, 23.0, 1.44 - 1.4388 * air)
        for minute in (0, 5, 15, 30, 60, 120)
        for air in [0.015 * (0.5 ** (minute / 3) + 0.5 ** (minute / 120))]
    ]
    table = evaluated(density_rows([*rows, (*FREE, 1.44)]), uncertainty_g_cm3=0.0002)
    for quantity in ("air_decay_rate", "air_half_life"):
        assert only(table, quantity)["flags"].startswith("does not fall as one exponential")


@pytest.mark.parametrize(
    ("readings", "scatter", "step"), [(1, 0.001, 0.001), (1, 0.002, 0.01), (3, 0.0005, 0.001)]
)
def test_a_decay_of_one_rate_is_seldom_told_to_have_none(
    readings: int, scatter: float, step: float
) -> None:
    """Of 60 courses with realistic scatter and rounding at most 10 % are called no exponential."""
    rng = np.random.default_rng(1)
    flagged = 0
    for _ in range(60):
        rows = [
            ("rested" if minute else "as mixed", 60.0 * minute, 23.0, 1.44 - 1.4388 * air)
            for minute in (0, 5, 10, 20, 30, 60)
            for air in [0.05 * 0.5 ** (minute / 15)] * readings
        ]
        rows += [(*FREE, 1.44)] * readings
        drawn = [
            (state, at, t, round((density + rng.normal(0, scatter)) / step) * step)
            for state, at, t, density in rows
        ]
        flags = only(evaluated(density_rows(drawn)), "air_half_life")["flags"]
        flagged += "does not fall as one exponential" in flags
    assert flagged <= 6


def test_two_times_at_rest_give_a_reason() -> None:
    """A decay needs three times."""
    rows = [(*MIXED, 1.40), ("rested", 1800.0, 23.0, 1.42), (*FREE, 1.44)]
    row = only(evaluated(density_rows(rows)), "air_half_life")
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
    assert [one.name for one in evaluations.density.tiecoat_evaluations()] == ["density"]
