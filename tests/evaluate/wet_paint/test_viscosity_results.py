"""The results of the kind viscosity, from rows as the archive gives them."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest
from example_truth import RECIPES, cup_runs, densities, flow_curve, kinematic_mm2_s
from paint_rows import cup_rows, curve_rows, density_rows, no_rows, only, pick

from tiecoat.contract.choices import Choices, DensityChoices, ViscosityChoices
from tiecoat.evaluate import evaluations
from tiecoat.evaluate.result import COLUMNS
from tiecoat.evaluate.wet_paint.viscosity import compute

RATES = np.geomspace(0.1, 1000, 17)
NAN = math.nan
MEAN = "kinematic_viscosity_mean"
THIN = 0.05 + 0.8 * RATES**0.9  # levels, and lets bubbles go
STIFF = 6.0 + 1.2 * RATES**0.8
PAINT = density_rows([("as mixed", 0.0, 23.0, 1.40), ("deaerated", 0.0, 23.0, 1.44)])
NO_DENSITY = no_rows("density")


def evaluated(
    frame: pd.DataFrame, density: pd.DataFrame = PAINT, **choices: object
) -> pd.DataFrame:
    table = compute(
        {"viscosity": frame, "density": density}, Choices(viscosity=ViscosityChoices(**choices))
    )
    assert tuple(table.columns) == COLUMNS
    return table


def example() -> tuple[pd.DataFrame, pd.DataFrame]:
    curves, wet = [], []
    for recipe in RECIPES:
        for ramp in ("up", "down"):
            points = [one for one in flow_curve(recipe) if one.ramp == ramp]
            rates, stresses = zip(*((p.rate_per_s, p.stress_pa) for p in points), strict=True)
            curves.append(curve_rows(rates, stresses, ramp, batch=recipe.batch))
        curves.append(cup_rows([(run.cup, run.efflux_s) for run in cup_runs(recipe)], recipe.batch))
        readings = [
            (one.state, 60.0 * one.rest_min, one.temperature_c, one.density_g_cm3)
            for one in densities(recipe)
        ]
        wet.append(density_rows(readings, recipe.batch))
    return pd.concat(curves), pd.concat(wet)


def test_the_flow_curves_of_the_example_are_found() -> None:
    """All nine batches, falling curve: chosen is Herschel-Bulkley, the truth is in the interval."""
    table = evaluated(*example())
    outside = 0
    for recipe in RECIPES:
        rows = table[table["batch"] == recipe.batch]
        truths = {
            "yield_stress": recipe.yield_pa,
            "consistency": recipe.consistency,
            "flow_index": recipe.index,
        }
        for quantity, truth in truths.items():
            row = only(rows, quantity, "down; Herschel-Bulkley")
            assert row["flags"] == "chosen by AICc"
            assert row["value"] == pytest.approx(truth, rel=0.04)
            outside += not row["low"] <= truth <= row["high"]
    assert outside <= 4  # of 27: the last of the structure still breaks down


def test_what_was_not_chosen_says_so() -> None:
    """Of the models of a curve one is chosen; each row of the others says by how much it is not."""
    table = evaluated(*example())
    names = table["condition"].str.split("; ", expand=True)
    table = table.assign(step=names[0], model=names[1])
    compared = table[(table["quantity"] == "flow_fit_aicc") & table["value"].notna()]
    fits = table[table["model"].isin(compared["model"]) & table["value"].notna()]
    others = 0
    for curve, rows in fits.groupby(["batch", "step"]):
        of_curve = compared[(compared["batch"] == curve[0]) & (compared["step"] == curve[1])]
        aicc = of_curve.set_index("model")["value"]
        for row in rows.itertuples():
            above = aicc[row.model] - aicc.min()
            said = f"not chosen: AICc {above:.1f} above that of {aicc.idxmin()}"
            others += above > 0
            assert row.flags.split("; ")[0] == (said if above else "chosen by AICc")
    assert others > 100


def test_the_sag_limits_of_the_example_follow_the_recipe() -> None:
    """Yield stress over weight, with the density as mixed; within 3 %."""
    table = evaluated(*example())
    for recipe in RECIPES:
        found = only(table[table["batch"] == recipe.batch], "sag_limit", "down")["value"]
        mixed = recipe.density * (1 - recipe.air) * 1000
        assert found == pytest.approx(recipe.yield_pa / mixed / 9.80665 * 1e6, rel=0.03)


def test_the_flow_cups_of_the_example_are_found() -> None:
    """The mean of two runs is within 4 % of the truth: times scatter by 1.2 %."""
    table = pick(evaluated(*example()), "kinematic_viscosity_mean").set_index("batch")
    for recipe in RECIPES:
        assert table.loc[recipe.batch, "value"] == pytest.approx(kinematic_mm2_s(recipe), rel=0.04)


def test_structure_that_shear_broke_down_is_seen() -> None:
    """The falling curve lies lower: less than all of the viscosity is there again."""
    frame = pd.concat([curve_rows(RATES, 1.2 * STIFF), curve_rows(RATES, STIFF, "down")])
    table = evaluated(frame)
    row = only(table, "structure_recovery")
    assert row["value"] == pytest.approx(100 / 1.2)
    assert row["condition"] == "down over up; 1 1/s"
    area = only(table, "hysteresis_area")
    assert area["value"] == pytest.approx(0.2 * np.trapezoid(STIFF, RATES))


def test_a_step_of_recovery_is_read_at_its_end() -> None:
    """Rows of the step `recovery`: its last viscosity against that before, at the same rate."""
    frame = pd.concat(
        [
            curve_rows(RATES, STIFF),
            curve_rows(RATES, 0.8 * STIFF, "down", from_s=85),
            curve_rows([1.0, 1.0], [4.0, 6.48], "recovery", from_s=170),
        ]
    )
    row = only(evaluated(frame), "structure_recovery")
    assert row["value"] == pytest.approx(100 * 6.48 / 7.2)
    assert row["condition"] == "recovery after 10 s; 1 1/s"


def test_a_rising_curve_alone_tells_no_recovery() -> None:
    """No falling curve, no recovery and no hysteresis: reasons."""
    table = evaluated(curve_rows(RATES, STIFF))
    assert only(table, "structure_recovery")["reason"] == "no step 'down' in the program"
    assert only(table, "hysteresis_area")["reason"] == "no step 'down' in the program"
    assert only(table, "yield_stress", "up; Herschel-Bulkley")["value"] == pytest.approx(6.0)


def test_stiff_paint_keeps_its_marks_and_bubbles() -> None:
    """A yield stress above what surface tension and buoyancy bring to bear: reasons, no numbers."""
    table = evaluated(curve_rows(RATES, STIFF))
    assert "the marks stay" in only(table, "levelling_half_time")["reason"]
    assert "holds a bubble of 50 µm" in only(table, "bubble_velocity")["reason"]
    smallest = only(table, "smallest_escaping_radius")
    assert "every bubble that fits" in smallest["reason"]
    # what would escape is larger than any that fits into the film of 200 µm
    assert (smallest["low"], math.isnan(smallest["value"])) == (100.0, True)
    assert math.isnan(smallest["high"])
    assert only(table, "sag_limit")["value"] == pytest.approx(6 / 1400 / 9.80665 * 1e6)
    assert "sags" not in only(table, "sag_limit")["flags"]


def test_thin_paint_levels_lets_bubbles_go_and_sags() -> None:
    """Numbers with intervals, and what must be told of them."""
    random = np.random.default_rng(9)
    noisy = 0.8 * RATES**0.9 * random.normal(1, 0.01, 17)
    table = evaluated(curve_rows(RATES, noisy), open_time_s=120.0)
    levelling = only(table, "levelling_half_time")
    assert levelling["low"] < levelling["value"] < levelling["high"]
    rise = only(table, "bubble_velocity")
    assert rise["low"] < rise["value"] < rise["high"]
    assert "extrapolated" in rise["flags"]
    smallest = only(table, "smallest_escaping_radius")
    assert smallest["low"] < smallest["value"] < smallest["high"]
    sag = only(table, "sag_limit")
    assert math.isnan(sag["value"])
    assert "no yield stress" in sag["reason"]


def test_a_film_thicker_than_the_sag_limit_is_flagged() -> None:
    """A wet film of 200 µm on paint that holds 146 µm sags."""
    row = only(evaluated(curve_rows(RATES, 2.0 + RATES**0.8)), "sag_limit")
    assert row["value"] == pytest.approx(145.7, abs=0.1)
    assert row["flags"] == "a film of 200 µm sags"


@pytest.mark.thorough
def test_the_interval_of_a_bubbles_velocity_holds_the_truth() -> None:
    """150 curves with 1 % noise, far extrapolated: some 95 of 100 intervals cover it."""
    from tiecoat.evaluate.wet_paint.bubbles import rise
    from tiecoat.evaluate.wet_paint.drag import Fluid

    random = np.random.default_rng(10)
    truth = rise(Fluid(lambda rate: 0.8 * rate**0.9), 50, 1.44).velocity_um_s
    frames = [
        curve_rows(RATES, 0.8 * RATES**0.9 * random.normal(1, 0.01, 17), measurement=str(place))
        for place in range(150)
    ]
    rows = pick(evaluated(pd.concat(frames)), "bubble_velocity")
    right = rows[rows["n"] > 0]
    covered = ((right["low"] <= truth) & (truth <= right["high"])).mean()
    assert len(right) >= 135  # where noise makes a yield stress, the bubble is held: a reason
    assert 0.85 <= covered <= 0.98  # a wrong model is now and then chosen: it is not counted


def test_without_a_density_what_needs_it_gives_a_reason() -> None:
    """Sag, bubbles and dynamic viscosity need one; the flow curve does not."""
    frame = pd.concat([curve_rows(RATES, STIFF), cup_rows([("ISO 2431 4 mm", 60.0)])])
    table = evaluated(frame, NO_DENSITY)
    for quantity in ("sag_limit", "bubble_velocity", "smallest_escaping_radius"):
        assert only(table, quantity)["reason"] == "no density of the batch"
    assert only(table, "dynamic_viscosity")["reason"] == "no density of the batch"
    assert only(table, "kinematic_viscosity")["value"] == pytest.approx(78.867, abs=0.001)


def test_the_density_set_for_a_batch_serves_its_bubbles() -> None:
    """Air-free density from the settings, where no sample was deaerated."""
    mixed = density_rows([("as mixed", 0.0, 23.0, 1.40)])
    choices = Choices(density=DensityChoices(air_free_g_cm3={"RB-001": 1.5}))
    frame = curve_rows(RATES, 0.8 * RATES**0.9)
    table = compute({"viscosity": frame, "density": mixed}, choices)
    slow = only(evaluated(frame, mixed), "bubble_velocity")["value"]
    assert only(table, "bubble_velocity")["value"] > slow


def test_cups_out_of_range_give_reasons_and_do_not_enter_the_mean() -> None:
    """One run of three is too long: told for it, and the mean is that of the other two."""
    runs = [("ISO 2431 4 mm", 60.0), ("ISO 2431 4 mm", 62.0), ("ISO 2431 4 mm", 120.0)]
    table = evaluated(cup_rows(runs))
    assert pick(table, "kinematic_viscosity")["value"].isna().tolist() == [False, False, True]
    assert "take a wider cup" in pick(table, "kinematic_viscosity")["reason"].iloc[2]
    mean = only(table, "kinematic_viscosity_mean")
    assert mean["n"] == 2
    assert mean["value"] == pytest.approx((78.8667 + 81.7142) / 2, abs=1e-3)
    dynamic = only(table, "dynamic_viscosity_mean")
    assert dynamic["value"] == pytest.approx(mean["value"] * 1.40 / 1000)
    assert dynamic["low"] < dynamic["value"] < dynamic["high"]


def test_runs_beyond_the_range_are_told_and_widen_the_interval_of_the_mean() -> None:
    """98, 99, 103 and 104 s in a cup up to 100 s: the mean of two is told to be too low.

    The formula 1.37 t - 200/t by hand: 132.219, 133.610 within, 139.168, 140.557 beyond; mean of
    all 136.388.
    """
    times = (98.0, 99.0, 103.0, 104.0)
    table = evaluated(cup_rows([("ISO 2431 4 mm", time) for time in times]))
    told = "2 of 4 runs beyond the range of the cup, 30 to 100 s, not in the mean: it is too low"
    for quantity, factor in (("kinematic_viscosity_mean", 1.0), ("dynamic_viscosity_mean", 1.4e-3)):
        row = only(table, quantity)
        assert row["flags"] == told
        assert row["value"] == pytest.approx(132.9145 * factor, rel=1e-5)
        assert row["low"] < row["value"]
        assert row["high"] > 140.557 * factor
    short = evaluated(cup_rows([("ISO 2431 4 mm", time) for time in (28.0, 31.0)]))
    row = only(short, "kinematic_viscosity_mean")
    assert row["flags"].endswith("not in the mean: it is too high")
    assert row["low"] < 1.37 * 28 - 200 / 28 < row["value"] < row["high"]


@pytest.mark.parametrize(
    ("times", "step_s", "spread"),
    [((64.0, 64.0, 64.0), 1.0, 0.0), ((64.0, 65.0, 66.0), 1.0, 1.0), ((64.3, 64.3), 0.1, 0.0)],
)
def test_the_reading_of_the_stopwatch_is_in_the_mean(
    times: tuple[float, ...], step_s: float, spread: float
) -> None:
    """Equal runs have an interval by the step of reading; others have it beside their scatter.

    By hand: a step has the standard uncertainty step/sqrt(12), what it hides of the scatter of n
    equal runs the same over sqrt(n); a second is 1.37 + 200/t² mm²/s, to 0.1 % between 64 and 66 s.
    """
    row = only(evaluated(cup_rows([("ISO 2431 4 mm", time) for time in times])), MEAN)
    slope = 1.37 + 200 / np.mean(times) ** 2
    read = step_s / np.sqrt(12)
    scatter = spread / np.sqrt(len(times)) if spread else read / np.sqrt(len(times))
    assert row["standard_error"] == pytest.approx(slope * np.hypot(read, scatter), rel=1e-3)
    assert row["low"] < row["value"] < row["high"]


def test_a_single_run_tells_nothing_of_how_runs_repeat() -> None:
    """So its mean has no interval."""
    row = only(evaluated(cup_rows([("ISO 2431 4 mm", 64.0)])), MEAN)
    assert np.isnan([row["standard_error"], row["low"], row["high"]]).all()


def test_runs_without_a_time_or_a_temperature_are_told_in_words() -> None:
    """No `nan` in any text; what is not stated is said not to be."""
    rows = cup_rows([("ISO 2431 4 mm", NAN), ("ISO 2431 4 mm", 60.0)], temperature_c=NAN)
    table = evaluated(rows)
    texts = table[["reason", "flags", "condition", "method"]].to_numpy().ravel()
    assert not any("nan" in text.split() for text in texts)
    assert pick(table, "kinematic_viscosity")["reason"].tolist() == [
        "no efflux time; the formula of the standard holds from 30 to 100 s",
        "",
    ]
    assert only(table, "kinematic_viscosity_mean")["flags"] == (
        "1 of 2 runs without an efflux time; no temperature stated; the standard asks for 23 °C"
    )


@pytest.mark.parametrize("quantity", ["kinematic_viscosity_mean", "dynamic_viscosity_mean"])
def test_a_run_at_another_temperature_is_told_of_the_mean(quantity: str) -> None:
    """Runs at 18 °C: of one among others, and of all."""
    others = cup_rows([("ISO 2431 4 mm", 60.0), ("ISO 2431 4 mm", 61.0)])
    cold = cup_rows([("ISO 2431 4 mm", 75.0)], temperature_c=18.0)
    flags = only(evaluated(pd.concat([others, cold])), quantity)["flags"]
    assert flags == "1 of 3 runs at 18 °C; the standard asks for 23 °C"
    assert only(evaluated(cold), quantity)["flags"] == "at 18 °C; the standard asks for 23 °C"


def test_what_is_told_of_a_density_is_told_of_what_is_computed_with_it() -> None:
    """A density taken 12 K off, and one that is none: dynamic viscosity, sag and bubbles say so."""
    wet = density_rows(
        [
            ("as mixed", 0.0, 35.0, 1.39),
            ("as mixed", 0.0, 23.0, 0.0),
            ("deaerated", 0.0, 35.0, 1.43),
        ]
    )
    frame = pd.concat([curve_rows(RATES, THIN), cup_rows([("ISO 2431 4 mm", 60.0)])])
    table = evaluated(frame, wet)
    for quantity in ("dynamic_viscosity", "dynamic_viscosity_mean", "sag_limit"):
        row = only(table, quantity)
        assert "as mixed: reduced over +12.0 K" in row["flags"]
        assert "1 readings left out: no numbers, or no denser than air" in row["flags"]
    assert "deaerated: reduced over +12.0 K" in only(table, "bubble_velocity")["flags"]


def test_a_cup_run_at_the_wrong_temperature_is_told() -> None:
    """ISO 2431 asks for 23 °C."""
    table = evaluated(cup_rows([("ISO 2431 4 mm", 60.0)], temperature_c=19.0))
    assert "the standard asks for 23 °C" in only(table, "kinematic_viscosity")["flags"]


def test_a_cup_of_thinning_paint_is_told() -> None:
    """Where the flow curve of the batch thins, its cup viscosity holds at the cup's rate only."""
    frame = pd.concat([curve_rows(RATES, STIFF), cup_rows([("ISO 2431 4 mm", 60.0)])])
    assert "thins with shear" in only(evaluated(frame), "kinematic_viscosity")["flags"]


def test_one_stress_at_all_rates_is_no_flow_curve() -> None:
    """It would give a shear-thinning index of ten with no error at all; a reason instead."""
    table = evaluated(curve_rows(RATES, np.full(17, 25.0)))
    assert table["value"].isna().all()
    assert only(table, "shear_thinning_index")["reason"] == (
        "the stress is 25 Pa at all rates: an instrument at its limit, or a sample that slips, and "
        "no flow curve"
    )


def test_points_without_scatter_give_no_standard_error() -> None:
    """Points on a model to the last digit tell nothing of how far off they may be."""
    row = only(evaluated(curve_rows(RATES, STIFF)), "shear_thinning_index")
    assert row["value"] > 1
    assert math.isnan(row["standard_error"])


def test_an_unknown_step_is_told() -> None:
    """A step of another name is not guessed to be a ramp."""
    row = only(evaluated(curve_rows(RATES, STIFF, "hold")), "yield_stress")
    assert row["reason"] == "the step 'hold' is none of up, down, single, recovery"


def test_a_step_without_a_name_is_a_single_curve() -> None:
    """An export that names no step gives one curve."""
    table = evaluated(curve_rows(RATES, STIFF, None))
    assert only(table, "yield_stress", "single; Herschel-Bulkley")["value"] == pytest.approx(6.0)
    assert pick(table, "hysteresis_area").empty


def test_points_at_rest_are_left_out_and_told() -> None:
    """A rate of zero, and a stress of zero, say nothing on a logarithmic scale."""
    frame = curve_rows([0.0, *RATES, 2000.0], [5.0, *STIFF, 0.0])
    row = only(evaluated(frame), "yield_stress", "up; Herschel-Bulkley")
    assert row["value"] == pytest.approx(6.0)
    assert "2 points without rate or stress left out" in row["flags"]


@pytest.mark.every(4)
@pytest.mark.parametrize(
    ("rates", "stresses"),
    [
        ([], []),
        ([1.0], [2.0]),
        ([1.0, 2.0], [2.0, 3.0]),
        ([0.0] * 8, [1.0] * 8),
        ([NAN] * 8, [NAN] * 8),
        (RATES, [NAN] * 17),
        (RATES, -STIFF),
        (RATES, [0.0] * 17),
        (RATES, [1.0] * 17),
        (RATES, STIFF[::-1]),
        ([5.0] * 17, STIFF),
        (RATES, 1e300 * STIFF),
        (RATES * 1e-300, STIFF),
    ],
)
@pytest.mark.parametrize("step", ["up", "down", "single", "recovery", None])
def test_bad_curves_give_reasons_and_never_an_error(
    rates: list[float], stresses: list[float], step: str | None
) -> None:
    """Whatever comes, there is a table, and where there is no number there is a reason."""
    frame = curve_rows(rates, stresses, step) if len(rates) else no_rows("viscosity")
    table = evaluated(frame)
    assert (table["value"].notna() | (table["reason"] != "")).all()
    assert np.isfinite(table["value"].dropna()).all()
    assert (table["low"].isna() | (table["low"] <= table["high"])).all()


@pytest.mark.parametrize("efflux_s", [NAN, 0.0, -3.0, 29.9, 1e9])
def test_bad_cups_give_reasons_and_never_an_error(efflux_s: float) -> None:
    """Outside of the range, or no number."""
    table = evaluated(cup_rows([("ISO 2431 3 mm", efflux_s)]))
    assert table["value"].isna().all()
    assert (table["reason"] != "").all()


def test_the_evaluation_needs_the_density() -> None:
    """The hook offers `viscosity`, which asks for the rows of density as well."""
    (offered,) = evaluations.viscosity.tiecoat_evaluations()
    assert (offered.name, offered.kind, offered.needs) == ("viscosity", "viscosity", ("density",))
