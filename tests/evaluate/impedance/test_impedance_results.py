"""All results of impedance together: the invented truth recovered, and any data that come in."""

from __future__ import annotations

import math
from typing import Any

import example_truth as truth
import films
import numpy as np
import pandas as pd
import pytest
import scipy.stats
from films import CIRCUITS, SWEEP_HZ, C, R, frame_of, impedance, noisy, parallel
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.contract.choices import Choices, ImpedanceChoices
from tiecoat.evaluate.impedance.impedance import compute
from tiecoat.evaluate.result import COLUMNS

QUANTITIES = {
    "modulus",
    "phase",
    "plateau_modulus",
    "breakpoint_frequency",
    "barrier_class",
    "coating_capacitance",
    "relative_permittivity",
    "water_uptake",
    "kramers_kronig_passes",
    "kramers_kronig_rms",
    "kramers_kronig_systematic",
    "kramers_kronig_largest",
    "kramers_kronig_change",
    "kramers_kronig_seen_loss",
    "water_saturation",
    "water_diffusion",
    "dry_capacitance",
    "modulus_mean",
    "coating_capacitance_mean",
    "water_uptake_mean",
    "water_uptake_from_dry",
    "water_uptake_from_dry_mean",
    "modulus_decline",
    "time_to_limit",
}


def example_frame() -> pd.DataFrame:
    """Return the spectra of the example as the archive would give them."""
    found = [
        one
        for recipe in truth.RECIPES
        for panel in truth.panels(recipe)
        for one in truth.spectra(panel)
    ]
    parts = [
        (np.array([f for f, _ in one.points]), np.array([z for _, z in one.points]))
        for one in found
    ]
    return frame_of(
        parts,
        batch=[one.panel.recipe.batch for one in found],
        panel=[one.panel.name for one in found],
        measured_at=[pd.Timestamp(one.measured_at) for one in found],
        exposure_h=[one.exposure_h for one in found],
        thickness_um=[float(one.panel.thickness_um) for one in found],
        area_cm2=truth.AREA_CM2,
    )


@pytest.fixture(scope="module")
def example() -> pd.DataFrame:
    """The results of the example."""
    return compute({"impedance": example_frame()}, Choices())


def column(table: pd.DataFrame, quantity: str) -> pd.DataFrame:
    """Return the rows of one quantity."""
    return table[table["quantity"] == quantity].reset_index(drop=True)


def of(table: pd.DataFrame, quantity: str) -> Any:
    """Return the one row of a quantity."""
    rows = column(table, quantity)
    assert len(rows) == 1
    return rows.iloc[0]


def recipe(batch: str) -> truth.Recipe:
    """Return the recipe of a batch."""
    return next(one for one in truth.RECIPES if one.batch == batch)


def water(batch: str, hours: float) -> float:
    """Return the volume share of water that the example puts into a film."""
    return recipe(batch).uptake * (1 - math.exp(-math.sqrt(hours / 36)))


def test_every_quantity_is_there(example: pd.DataFrame) -> None:
    """The table has its columns, and each spectrum, panel and batch has its row."""
    assert list(example) == list(COLUMNS)
    assert set(example["quantity"]) == QUANTITIES
    assert len(column(example, "modulus")) == 9 * 3 * 5
    assert len(column(example, "modulus_decline")) == 9 * 3 + 9
    assert len(column(example, "time_to_limit")) == 2 * (9 * 3 + 9)
    assert len(column(example, "water_diffusion")) == 9 * 3 + 9
    for mean in ("modulus_mean", "coating_capacitance_mean", "water_uptake_mean"):
        assert len(column(example, mean)) == 9 * 5


def test_the_example_passes_the_test(example: pd.DataFrame) -> None:
    """Its films are causal; noise of 1 % and 0.2 degrees is no failure."""
    assert (column(example, "kramers_kronig_passes")["value"] == 1).all()


def test_the_permittivity_put_into_the_example_comes_out(example: pd.DataFrame) -> None:
    """4.6 times 80^water, to the noise of 1 %: the mean to 0.3 %, each to 4 %.

    The film's exponent of 0.97 alone makes 0.1 %: 1 / sin(87.3 degrees).
    """
    rows = column(example, "relative_permittivity")
    put_in = [
        4.6 * 80 ** water(b, h) for b, h in zip(rows["batch"], rows["exposure_h"], strict=True)
    ]
    ratio = rows["value"] / put_in
    assert ratio.mean() == pytest.approx(1.001, abs=0.003)
    assert ratio.to_numpy() == pytest.approx(1, abs=0.04)


def test_the_water_put_into_the_example_comes_out(example: pd.DataFrame) -> None:
    """The rise of water since the first hour: without bias, and each within 1 % by volume.

    Noise of 1 % on both capacitances makes 100 sqrt(2) 0.01 / ln 80 = 0.32 % on each.
    """
    rows = column(example, "water_uptake")
    rows = rows[rows["exposure_h"] > 1]
    put_in = [
        100 * (water(b, h) - water(b, 1.0))
        for b, h in zip(rows["batch"], rows["exposure_h"], strict=True)
    ]
    off = rows["value"].to_numpy() - put_in
    assert off.mean() == pytest.approx(0, abs=3 * 0.32 / math.sqrt(27))
    assert off.std() < 0.4
    assert abs(off).max() < 1


def test_the_modulus_put_into_the_example_comes_out(example: pd.DataFrame) -> None:
    """At 0.1 Hz, against the impedance of the ideal film with the panel's own pores, to 4 %."""
    rows = column(example, "modulus")
    chance = {
        panel.name: truth.Chance("impedance", panel.name).normal(one.pores_lg, 0.1)
        for one in truth.RECIPES
        for panel in truth.panels(one)
    }
    thickness = {p.name: p.thickness_um for one in truth.RECIPES for p in truth.panels(one)}
    ideal = [
        abs(truth.film_impedance(0.1, recipe(b), h, thickness[p], chance[p])) * truth.AREA_CM2
        for b, p, h in zip(rows["batch"], rows["panel"], rows["exposure_h"], strict=True)
    ]
    assert (rows["value"] / ideal).to_numpy() == pytest.approx(1, abs=0.04)


def test_a_worse_film_crosses_the_limit_sooner(example: pd.DataFrame) -> None:
    """Where panels of a batch cross 1e8 ohm cm2, the ideal film does so between the exposures too.

    Pores grow with the square root of time: no course that falls by much is called straight.
    """
    rows = column(example, "time_to_limit")
    rows = rows[(rows["condition"] == "below 1e+08 ohm cm2 at 0.1 Hz") & (rows["panel"] != "")]
    place = {panel.name: panel for one in truth.RECIPES for panel in truth.panels(one)}
    for _, row in rows.iterrows():
        panel = place[row["panel"]]
        pores = truth.Chance("impedance", panel.name).normal(panel.recipe.pores_lg, 0.1)
        below = [
            abs(truth.film_impedance(0.1, panel.recipe, h, panel.thickness_um, pores))
            * truth.AREA_CM2
            < 1e8
            for h in truth.EXPOSURES_H
        ]
        assert np.isfinite(row["high"]) == any(below)
        assert not any(below) or row["high"] == truth.EXPOSURES_H[below.index(True)]
    assert rows["value"].notna().sum() > 3
    declines = column(example, "modulus_decline").set_index(["batch", "panel"])["reason"]
    bent = declines.str.contains("the course is not straight")
    steep = [one.batch for one in truth.RECIPES if one.pores_rise > 0.3]
    assert bent[steep].all()


def test_the_order_of_the_rows_does_not_matter(example: pd.DataFrame) -> None:
    """Points may come in any order."""
    shuffled = example_frame().sample(frac=1, random_state=1)
    again = compute({"impedance": shuffled}, Choices())
    keys = ["quantity", "batch", "panel", "measurement", "condition"]
    pd.testing.assert_frame_equal(
        again.sort_values(keys, ignore_index=True), example.sort_values(keys, ignore_index=True)
    )


def test_nothing_in_nothing_out() -> None:
    """An archive without spectra gives an empty table of the right columns."""
    empty = compute({"impedance": frame_of([])}, Choices())
    assert list(empty) == list(COLUMNS)
    assert len(empty) == 0


def test_one_point_gives_its_modulus_and_reasons() -> None:
    """At its own frequency; everything else says why there is nothing."""
    one = np.array([0.1])
    found = compute({"impedance": frame_of([(one, impedance(R(1e6), one))])}, Choices())
    assert of(found, "modulus")["value"] == pytest.approx(1e6 * 14.6)
    assert of(found, "barrier_class")["value"] == 2
    assert of(found, "breakpoint_frequency")["reason"] == "one point only"
    assert of(found, "kramers_kronig_passes")["reason"].startswith("1 points from 0.1 to 0.1 Hz")
    assert of(found, "plateau_modulus")["reason"].startswith("no plateau: 1 points")


def test_a_frequency_twice_gives_reasons_only() -> None:
    """Which of the two is meant nobody knows; the frequency is named."""
    hz = np.append(SWEEP_HZ, SWEEP_HZ[20])
    found = compute({"impedance": frame_of([(hz, impedance(CIRCUITS["film 1e8"], hz))])}, Choices())
    of_spectrum = found[found["measurement"] != ""]
    assert of_spectrum["value"].isna().all()
    assert set(of_spectrum["reason"]) == {"the frequency 1 Hz stands twice in the spectrum"}


def test_points_without_numbers_are_left_out_and_told() -> None:
    """The rest is used, and every result says how many were left out."""
    z = impedance(CIRCUITS["film 1e8"])
    z[[3, 7]], z[9] = np.nan, 0
    found = compute({"impedance": frame_of([(SWEEP_HZ, z)])}, Choices())
    rows = found[found["measurement"] != ""]
    assert (rows["flags"].map(lambda f: "3 points without a usable number left out" in f)).all()
    assert of(found, "modulus")["value"] > 1e8


@pytest.mark.parametrize("area", [np.nan, 0.0, -1.0])
def test_without_an_area_there_is_nothing(area: float) -> None:
    """Area-normalised means just that."""
    frame = frame_of([(SWEEP_HZ, impedance(R(1e6)))], area_cm2=area)
    found = compute({"impedance": frame}, Choices())
    assert found["value"].isna().all()
    assert of(found, "modulus")["reason"] == "the wetted area is missing or not one number"


def test_a_coil_gives_reasons() -> None:
    """Crossed leads give an inductance: no capacitance, no breakpoint, no plateau."""
    found = compute({"impedance": frame_of([(SWEEP_HZ, 1j * SWEEP_HZ * 1e-3)])}, Choices())
    for quantity in (
        "coating_capacitance",
        "water_uptake",
        "breakpoint_frequency",
        "plateau_modulus",
    ):
        row = of(found, quantity)
        assert np.isnan(row["value"])
        assert row["reason"]


def test_repeats_give_the_modulus_an_uncertainty() -> None:
    """Three spectra of one spot and exposure: the standard error of one is about their scatter."""
    rng = np.random.default_rng(2)
    z = impedance(parallel(R(1e8), C(3e-10)))
    frame = frame_of([(SWEEP_HZ, noisy(z, rng)) for _ in range(40)], exposure_h=1.0)
    rows = column(compute({"impedance": frame}, Choices()), "modulus")
    assert (rows["standard_error"] / rows["value"]).iloc[0] == pytest.approx(0.01, rel=0.35)
    assert ((rows["low"] < rows["value"]) & (rows["value"] < rows["high"])).all()


@pytest.mark.parametrize(("back", "told"), [(1.25, "25 %"), (1.0, "")])
def test_sweeps_down_and_up_are_one_panel_seen_twice(back: float, told: str) -> None:
    """Half an hour apart at 168 h: repeats of one panel, and what lies between them is told.

    By hand: with values a and 1.25 a the error of one is |ln 1.25| / sqrt 2.
    """
    rng, z = np.random.default_rng(4), impedance(parallel(R(1e8), C(3e-10)))
    parts = [(SWEEP_HZ, noisy(z, rng, 0.001)), (SWEEP_HZ[::-1], noisy(z, rng, 0.001)[::-1] * back)]
    found = compute({"impedance": frame_of(parts, exposure_h=[168.0, 168.5])}, Choices())
    rows, means = column(found, "modulus"), column(found, "modulus_mean")
    said = [one for text in rows["flags"] for one in text.split("; ") if one.startswith("repeats")]
    assert [one.split(" differ by ")[1].split(",")[0] for one in said] == (
        [told] * 2 if told else []
    )
    assert rows["method"].str.endswith("interval from repeats of the place").all()
    if told:
        error = (rows["standard_error"] / rows["value"]).to_numpy()
        assert error == pytest.approx(math.log(1.25) / math.sqrt(2), rel=0.03)
    assert means["n"].tolist() == [1]
    assert "one panel: no interval between panels" in means["flags"].iloc[0]


def test_the_laboratory_sets_frequencies_and_limits() -> None:
    """Each set frequency has its modulus, phase, decline and times."""
    choices = Choices(impedance=ImpedanceChoices(frequencies_hz=(0.01, 10.0)))
    found = compute({"impedance": frame_of([(SWEEP_HZ, impedance(R(1e6)))])}, choices)
    assert column(found, "modulus")["condition"].tolist() == ["0.01 Hz", "10 Hz"]
    assert len(column(found, "time_to_limit")) == 2 * 2 * 2


@pytest.mark.parametrize(
    "wrong",
    [{"frequencies_hz": (0.0,)}, {"good_from_ohm_cm2": 1e5}, {"capacitance_frequency_hz": -1.0}],
    ids=str,
)
def test_choices_without_sense_are_refused(wrong: dict[str, Any]) -> None:
    """Before anything is computed, by the name of the choice."""
    with pytest.raises(ValueError, match=r"frequency_hz|good_from"):
        ImpedanceChoices(**wrong)


WILD = st.one_of(
    st.floats(allow_nan=True, allow_infinity=True),
    st.floats(-1e12, 1e12),
    st.sampled_from([0.0, -0.0, 1.0, 5e-324, 1e308, -1e308]),
)


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["a", "b", "c"]),
            st.one_of(st.sampled_from([0.01, 0.1, 1.0, 10.0, 1e4]), WILD),
            WILD,
            WILD,
        ),
        max_size=40,
    ),
    WILD,
    WILD,
    WILD,
)
def test_no_data_break_it(
    points: list[tuple[str, float, float, float]], area: float, thickness: float, hours: float
) -> None:
    """Whatever stands in the frame: numbers or reasons, no exception, no warning."""
    frame = pd.DataFrame(
        {
            "measurement": pd.array([one[0] for one in points], dtype="str"),
            "batch": "RB-010",
            "panel": "RB-010-1",
            "measured_at": pd.Timestamp("2026-01-01", tz="UTC"),
            "exposure_h": hours,
            "spot": None,
            "area_cm2": area,
            "thickness_um": thickness,
            "frequency_hz": np.array([one[1] for one in points], dtype=float),
            "z_real_ohm": np.array([one[2] for one in points], dtype=float),
            "z_imag_ohm": np.array([one[3] for one in points], dtype=float),
        }
    )
    found = compute({"impedance": frame}, Choices())
    assert ((found["reason"] != "") == found["value"].isna()).all()


def test_the_means_of_a_batch_are_over_panels_with_their_t_interval() -> None:
    """Two spectra of one panel count once; the geometric mean by hand, Student's t by scipy.

    Panels that were measured ten minutes apart after a day share the exposure.
    """
    moduli = {"A": [1e8, 4e8], "B": [1e9], "C": [5e8]}
    parts, panels, hours = [], [], []
    for place, (panel, values) in enumerate(moduli.items()):
        for value in values:
            parts.append((SWEEP_HZ, impedance(R(value / films.AREA_CM2))))
            panels.append(panel)
            hours.append(24.0 + place / 6)
    table = compute({"impedance": frame_of(parts, panel=panels, exposure_h=hours)}, Choices())
    row = of(table, "modulus_mean")
    ln = np.log([2e8, 1e9, 5e8])
    interval = scipy.stats.ttest_1samp(ln, 0).confidence_interval(0.95)
    assert (row["value"], row["n"]) == (pytest.approx(np.exp(ln.mean())), 3)
    assert (row["low"], row["high"]) == pytest.approx(tuple(np.exp(interval)))
    assert (row["condition"], row["panel"]) == ("0.1 Hz", "")
    assert row["exposure_h"] == pytest.approx(24.125)


def test_every_flag_of_a_spectrum_reaches_the_mean_of_its_batch() -> None:
    """Of six spectra measured at points farther and farther apart the mean names all six gaps."""
    apart = [0.55, 0.6, 0.65, 0.7, 0.75, 0.8]
    sweeps = [10 ** (-1 + gap * (np.arange(9.0) - 2.5)) for gap in apart]
    parts = [(hz, impedance(R(1e8), hz)) for hz in sweeps]
    panels = [f"RB-010-{number}" for number in range(1, 7)]
    table = compute({"impedance": frame_of(parts, panel=panels)}, Choices())
    told = of(table, "modulus_mean")["flags"]
    for gap in apart:
        assert f"1 of 6 spectra: interpolated between points {gap:g} decades apart" in told
    assert "more flag" not in told


def test_coat_systems_of_a_batch_stay_apart() -> None:
    """Where the register tells two systems of a batch, each has its mean, time and decline."""
    parts = [(SWEEP_HZ, impedance(R(value))) for value in (1e6, 1e6, 1e9, 1e9)]
    names = ["A", "B", "C", "D"]
    register = pd.DataFrame(
        {
            "batch": "RB-010",
            "panel": names,
            "coat_system": ["primer"] * 2 + ["primer and topcoat"] * 2,
            "thickness_um": 180.0,
        }
    )
    frame = frame_of(parts, panel=names)
    table = compute({"impedance": frame, "panels": register}, Choices())
    rows = column(table, "modulus_mean")
    assert rows["condition"].tolist() == [
        "0.1 Hz; coat system: primer",
        "0.1 Hz; coat system: primer and topcoat",
    ]
    assert rows["value"].tolist() == pytest.approx([1.46e7, 1.46e10])
    whole = column(table, "modulus_decline")
    assert (whole["panel"] == "").sum() == 2
