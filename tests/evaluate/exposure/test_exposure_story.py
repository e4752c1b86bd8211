"""The salt spray test of the example, from the sheets to the results, against its own truth."""

from __future__ import annotations

import math
from statistics import mean
from typing import Any

import pandas as pd
import pytest
from example_exposure import (
    BATCHES,
    CREEP_HOURS,
    HOURS,
    chamber_days,
    every_inspection,
    exports,
    inspections,
    rusts_after_h,
)
from example_truth import RECIPES, Panel, panels
from labs import LabAtWork, make_lab

import tiecoat

PANELS = [panel for recipe in RECIPES for panel in panels(recipe)]
BY_D610 = "RB-015"  # rated by ASTM D610 only
BY_AREA = {"RB-013", "RB-014"}  # rated in % only
BANDED = {BY_D610, *BY_AREA}  # whose degrees are bands where areas lie between pictures
NO_CREEP = {"RB-015", "RB-017", "RB-018"}


@pytest.fixture(scope="module")
def fed(tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """A lab that was fed all sheets at once."""
    unregistered = {"unregistered": "off"}  # without a register there would be a remark on each
    lab = make_lab(tmp_path_factory.mktemp("salt spray") / "lab", checks=unregistered)
    for path, content in exports().items():
        folder, _, name = path.rpartition("/")
        lab.drop(name, content, folder)
    lab.take()
    return lab


@pytest.fixture(scope="module")
def table(fed: LabAtWork) -> pd.DataFrame:
    """The results."""
    return tiecoat.open(fed.root).evaluate("exposure_rating")


def row_of(table: pd.DataFrame, quantity: str, batch: str, panel: str = "") -> Any:
    """The one row of a quantity without hours."""
    rows = table[
        (table["quantity"] == quantity)
        & (table["batch"] == batch)
        & (table["panel"] == panel)
        & table["exposure_h"].isna()
    ]
    assert len(rows) == 1
    return rows.iloc[0]


def around(panel: Panel) -> tuple[float, float]:
    """The inspections between which a panel truly rusts to Ri 3."""
    true_h = rusts_after_h(panel)
    low = max((hour for hour in HOURS if hour <= true_h), default=0)
    return low, min((hour for hour in HOURS if hour > true_h), default=math.inf)


def test_every_sheet_is_filed(fed: LabAtWork) -> None:
    """Nothing is held, and making the sheets again gives the same bytes."""
    assert fed.held() == {}
    assert fed.waiting() == ["salt spray"]
    path = "salt spray/Salzsprühtest Kammer 2.xlsx"
    assert fed.original(exports()[path]) is not None
    assert fed.sound()


def test_every_rating_is_as_it_was_given(table: pd.DataFrame) -> None:
    """Each degree of each inspection is that of the truth, or its band holds it."""
    found = table[table["quantity"] == "rust_grade"].set_index(["panel", "exposure_h"])
    truth = every_inspection()
    assert len(found) == len(truth) == len(PANELS) * len(HOURS)
    for one in truth:
        row = found.loc[one.panel.name, one.hours]
        if one.panel.recipe.batch in BANDED and not math.isnan(row["low"]):
            assert row["low"] <= one.degree <= row["high"]
            assert "ISO 4628-3:2016" in row["method"]
        else:
            assert row["value"] == one.degree
    areas = table[table["quantity"] == "rusted_area"].set_index(["panel", "exposure_h"])
    for one in truth:
        row = areas.loc[one.panel.name, one.hours]
        known = not math.isnan(row["value"])
        assert (
            row["value"] == one.area_percent
            if known
            else (row["low"] <= one.area_percent <= row["high"])
        )


def test_the_true_time_lies_between_the_inspections(table: pd.DataFrame) -> None:
    """Of every panel, and a panel that lasts is known to last longer than the test."""
    for panel in PANELS:
        row = row_of(table, "time_to_rust_grade", panel.recipe.batch, panel.name)
        low, high = around(panel)
        if panel.recipe.batch in BANDED:
            assert row["low"] <= low
            assert math.isnan(row["high"]) or row["high"] >= high
            continue
        assert row["low"] == low
        assert row["high"] == high or (math.isnan(row["high"]) and math.isinf(high))
        assert ("not reached by 1000 h" in row["reason"]) == math.isinf(high)


def test_the_better_barrier_rusts_later(table: pd.DataFrame) -> None:
    """The control's median lies before that of every film with half a decade fewer pores."""
    medians = {batch: row_of(table, "time_to_rust_grade_median", batch) for batch in BATCHES}
    control = medians["RB-010"]
    for recipe in RECIPES:
        true_h = sorted(map(rusts_after_h, panels(recipe)))[1]
        median = medians[recipe.batch]
        assert median["low"] <= true_h
        assert math.isnan(median["high"]) or true_h <= median["high"]
        if recipe.pores_lg <= RECIPES[0].pores_lg - 0.5:
            assert median["low"] >= control["high"]
    assert "at least half have not reached it by 1000 h" in medians["RB-016"]["reason"]


def test_creep_is_that_of_the_truth(table: pd.DataFrame) -> None:
    """Of each panel, and of the batch their mean; glass flake, which rusts last, creeps most."""
    found = table[table["quantity"] == "scribe_delamination"].set_index(["panel", "exposure_h"])
    assert set(found["batch"]) == set(BATCHES) - NO_CREEP
    of_batch: dict[str, float] = {}
    for recipe in RECIPES:
        if recipe.batch in NO_CREEP:
            continue
        for hours in CREEP_HOURS:
            true_mm = {
                panel.name: one.delamination_mm
                for panel in panels(recipe)
                for one in inspections(panel)
                if one.hours == hours
            }
            for name, creep in true_mm.items():
                assert found.loc[name, hours]["value"] == pytest.approx(creep, abs=1e-9)
            rows = found.loc["", hours]
            row = rows[rows["batch"] == recipe.batch].iloc[0]
            of_batch[recipe.batch] = row["value"]
            assert row["value"] == pytest.approx(mean(true_mm.values()), abs=1e-9)
            assert row["low"] < row["value"] < row["high"]
    assert max(of_batch, key=lambda batch: of_batch[batch]) == "RB-016"


def test_the_chamber_is_told_with_every_batch(fed: LabAtWork, table: pd.DataFrame) -> None:
    """Two days outside its limits stand in the chamber's results and beside those of the panels."""
    days = len(chamber_days())
    record = tiecoat.open(fed.root).evaluate("chamber_record")
    for batch in BATCHES:
        row = row_of(record, "days_outside", batch)
        assert (row["value"], row["n"]) == (2, days)
        worst = row_of(table, "rust_grade_worst", batch)
        assert f"chamber out of limits on 2 of {days} days" in worst["flags"]
    broken = record[(record["quantity"] == "limits_broken") & (record["value"] > 0)]
    assert set(broken["flags"]) == {
        "collected spray 2.3 ml/h, limits 1 to 2 ml/h",
        "pH 6.3, limits 6.5 to 7.2",
    }


def test_the_lab_sets_the_grade(fed: LabAtWork) -> None:
    """[evaluate.exposure_rating] in tiecoat.toml changes the grade whose time is told."""
    settings = fed.root / "tiecoat.toml"
    before = settings.read_text(encoding="utf-8")
    settings.write_text(before + "\n[evaluate.exposure_rating]\nrust_grade = 4\n", encoding="utf-8")
    try:
        table = tiecoat.open(fed.root).evaluate("exposure_rating", batch="RB-010")
    finally:
        settings.write_text(before, encoding="utf-8")
    row = row_of(table, "time_to_rust_grade", "RB-010", "RB-010-1")
    true_h = min(one.hours for one in inspections(PANELS[0]) if one.degree >= 4)
    assert row["condition"] == "neutral salt spray; Ri 4"
    assert row["high"] == true_h
