"""From determinations to what the chemist writes into the report."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import t as student

from tiecoat.contract.choices import Choices, PullOffChoices
from tiecoat.evaluate.adhesion.pull_off import compute
from tiecoat.evaluate.result import COLUMNS
from tiecoat.evaluate.statistics.censored_normal import fit_censored_normal

CHOICES = Choices()
DAY = pd.Timestamp("2026-10-05 08:00", tz="UTC")
SIX = [7.1, 7.6, 7.3, 8.0, 7.4, 7.2]


def pulled(
    strengths: Sequence[float],
    failures: Sequence[str] | str = "B",
    panel: str = "RB-014-1",
    **more: Any,
) -> pd.DataFrame:
    """Determinations of one panel as the archive gives them."""
    n = len(strengths)
    columns = {
        "measurement": [f"{panel}-{place}" for place in range(n)],
        "batch": panel[:6],
        "panel": panel,
        "measured_at": DAY,
        "determination": np.arange(1.0, n + 1),
        "dolly_diameter_mm": 20.0,
        "force_n": np.array(strengths, dtype=float) * math.pi * 100,
        "strength_mpa": np.array(strengths, dtype=float),
        "failure": failures,
    }
    return pd.DataFrame({**columns, **more}, index=range(n))


def evaluated(
    *panels: pd.DataFrame, systems: dict[str, str] | None = None, choices: Choices = CHOICES
) -> pd.DataFrame:
    """The result table; every panel is in the register unless the coat systems are given."""
    rows = pd.concat(panels, ignore_index=True)
    if systems is None:
        systems = dict.fromkeys(rows["panel"].unique(), "epoxy primer, 2 coats")
    register = pd.DataFrame(
        {"panel": list(systems), "coat_system": list(systems.values())}, dtype="str"
    )
    return compute({"pull_off": rows, "panels": register}, choices)


def one(table: pd.DataFrame, quantity: str, panel: str = "", condition: str = "") -> pd.Series[Any]:
    """The one row of a quantity; without a panel and a condition that of the batch."""
    rows = table[
        (table["quantity"] == quantity)
        & (table["panel"] == panel)
        & (table["condition"] == condition)
    ]
    assert len(rows) == 1, table[table["quantity"] == quantity]
    return rows.iloc[0]


def test_of_one_panel_the_determinations_are_the_unit() -> None:
    """Mean, standard deviation, coefficient of variation and the interval by Student's t."""
    table = evaluated(pulled(SIX))
    mean, half = np.mean(SIX), student.ppf(0.975, 5) * np.std(SIX, ddof=1) / math.sqrt(6)
    for panel in ("RB-014-1", ""):  # the batch has only this panel
        row = one(table, "strength_mean", panel)
        assert (row["value"], row["n"], row["unit"]) == (pytest.approx(mean), 6, "MPa")
        assert (row["low"], row["high"]) == pytest.approx((mean - half, mean + half))
        assert row["standard_error"] == pytest.approx(np.std(SIX, ddof=1) / math.sqrt(6))
        assert "determinations as unit" in row["method"]
        assert row["flags"] == ""
        deviation = one(table, "strength_sd", panel)
        assert deviation["value"] == pytest.approx(np.std(SIX, ddof=1))
        assert deviation["low"] < deviation["value"] < deviation["high"]
        ratio = one(table, "strength_cv", panel)
        assert ratio["value"] == pytest.approx(100 * np.std(SIX, ddof=1) / mean)
        assert (deviation["flags"], ratio["flags"]) == ("", "")


def test_of_several_panels_the_panels_are_the_unit() -> None:
    """The interval of a batch rests on the means of its panels, and says so."""
    panels = [[7.0, 7.2, 7.4], [8.0, 8.2, 8.4], [7.5, 7.7, 7.9, 8.1]]
    table = evaluated(*(pulled(p, panel=f"RB-014-{i}") for i, p in enumerate(panels, 1)))
    means = [np.mean(p) for p in panels]
    row = one(table, "strength_mean")
    half = student.ppf(0.975, 2) * np.std(means, ddof=1) / math.sqrt(3)
    assert row["value"] == pytest.approx(np.mean(means))
    assert (row["low"], row["high"]) == pytest.approx((row["value"] - half, row["value"] + half))
    assert row["n"] == 10
    assert row["method"] == "mean of 3 panel means; interval by t, panels as unit"
    every = [value for panel in panels for value in panel]
    assert one(table, "strength_sd")["value"] == pytest.approx(np.std(every, ddof=1))
    assert one(table, "determinations")["method"] == "on 3 panels"


def test_without_lower_bounds_the_censored_mean_is_the_plain_one() -> None:
    """Both stand in the table, with the same value and interval."""
    table = evaluated(pulled(SIX), pulled(SIX[::-1], panel="RB-014-2"))
    numbers = ["value", "standard_error", "low", "high"]
    for panel in ("RB-014-1", ""):
        for name in ("strength_mean", "strength_sd"):
            plain, censored = one(table, name, panel), one(table, f"{name}_censored", panel)
            assert list(censored[numbers]) == pytest.approx(list(plain[numbers]), nan_ok=True)
            assert censored["method"].startswith("no lower bounds: ")


def test_glue_failures_are_lower_bounds() -> None:
    """The plain mean is told to be too low, and beside it stands a higher one."""
    failures = ["B", "100 % Y", "B", "60 % -/Y, 40 % B", "B", "40 % Y/Z, 60 % B"]
    table = evaluated(pulled(SIX, failures))
    assert one(table, "lower_bounds", "RB-014-1")["value"] == 2  # the last has only 40 % glue
    plain = one(table, "strength_mean", "RB-014-1")
    assert plain["value"] == pytest.approx(np.mean(SIX))
    low = "2 of 6 determinations are lower bounds, the glue failed: the plain mean is too low"
    assert low in plain["flags"]
    censored = one(table, "strength_mean_censored", "RB-014-1")
    assert censored["value"] > plain["value"]
    assert censored["low"] < censored["value"] < censored["high"]
    assert censored["high"] - censored["value"] > censored["value"] - censored["low"]
    assert "2 lower bounds, maximum likelihood" in censored["method"]
    fit, factor = fit_censored_normal(SIX, [False, True, False, True, False, False]), 4 / 3
    assert censored["standard_error"] == pytest.approx(fit.mean_error * math.sqrt(factor))
    spread = one(table, "strength_sd_censored", "RB-014-1")
    assert spread["value"] == pytest.approx(fit.deviation * math.sqrt(factor))
    assert spread["standard_error"] == pytest.approx(fit.deviation_error * math.sqrt(factor))
    for name in ("strength_sd", "strength_cv"):
        flags = one(table, name, "RB-014-1")["flags"]
        assert flags == "lower bounds are taken as values: it is too small"


@pytest.mark.parametrize(
    ("failure", "threshold", "bounds"),
    [
        ("50 % Y, 50 % B", 50.0, 6),
        ("49 % Y, 51 % B", 50.0, 0),
        ("25 % -/Y, 25 % Y, 50 % B", 50.0, 6),
        ("16.7 % -/Y, 16.7 % Y, 16.6 % Y/Z, 50 % C", 50.0, 6),
        ("33.3 % Y, 33.3 % B, 33.3 % A", 33.3, 6),
        ("90 % Y, 10 % B", 100.0, 0),
        ("Y", 100.0, 6),
        ("10 % Y, 90 % B", 10.0, 6),
        ("A", 10.0, 0),
    ],
)
def test_the_laboratory_sets_from_which_share_of_glue_on(
    failure: str, threshold: float, bounds: int
) -> None:
    """Shares of all glue failures count together; 50 % unless set otherwise."""
    choices = replace(CHOICES, pull_off=PullOffChoices(lower_bound_glue_percent=threshold))
    table = evaluated(pulled(SIX, failure), choices=choices)
    row = one(table, "lower_bounds", "RB-014-1")
    assert row["value"] == bounds
    assert f"{threshold:g} % of the area" in row["method"]
    assert "no source" in row["method"]


def test_where_every_glue_failed_only_a_bound_is_told() -> None:
    """No mean, no spread and no median are made of nothing but lower bounds."""
    table = evaluated(pulled([9.0, 9.2, 9.4, 9.1, 9.0, 9.3], "Y"))
    for name in ("mean", "sd", "cv", "mean_censored", "sd_censored", "median"):
        row = one(table, f"strength_{name}", "RB-014-1")
        assert math.isnan(row["value"])
        assert "lower bound" in row["reason"]
        assert row["n"] == 6
    assert "above 9.17 MPa" in one(table, "strength_mean", "RB-014-1")["reason"]
    assert one(table, "failure_glue", "RB-014-1")["value"] == pytest.approx(100)
    assert "at least 3 values" in one(table, "grubbs_statistic", "RB-014-1")["reason"]


def test_one_determination_is_a_value_without_an_interval() -> None:
    """What it measured is told; spread, interval and outliers are not, each with its reason."""
    table = evaluated(pulled([7.3]))
    mean = one(table, "strength_mean", "RB-014-1")
    assert mean["value"] == 7.3
    assert math.isnan(mean["standard_error"])
    assert math.isnan(mean["low"])
    assert "no interval from one determination" in mean["flags"]
    assert "1 determination, where ISO 4624 asks for at least 6" in mean["flags"]
    assert one(table, "strength_sd", "RB-014-1")["reason"] == "one determination has no spread"
    assert "one determination" in one(table, "strength_cv", "RB-014-1")["reason"]
    assert "one determination" in one(table, "strength_median", "RB-014-1")["reason"]
    assert "found 1" in one(table, "grubbs_statistic", "RB-014-1")["reason"]


def test_equal_determinations_have_no_spread_and_no_interval() -> None:
    """A gauge that shows 7.5 six times has not shown that the film never differs."""
    table = evaluated(pulled([7.5] * 6))
    mean = one(table, "strength_mean", "RB-014-1")
    assert mean["value"] == 7.5
    assert math.isnan(mean["low"])
    assert "no interval: no spread" in mean["flags"]
    assert "all 6 determinations are equal" in one(table, "strength_sd", "RB-014-1")["reason"]
    assert "all values are equal" in one(table, "grubbs_statistic", "RB-014-1")["reason"]


def test_two_determinations() -> None:
    """The interval is as wide as one degree of freedom makes it; of a bound and a value no mean."""
    row = one(evaluated(pulled([7.0, 8.0])), "strength_mean", "RB-014-1")
    assert row["high"] - row["value"] == pytest.approx(student.ppf(0.975, 1) * 0.5, rel=1e-9)
    table = evaluated(pulled([7.0, 9.0], ["B", "Y"]))
    assert "only one value" in one(table, "strength_mean_censored", "RB-014-1")["reason"]
    assert "it is above 7 MPa" in one(table, "strength_median", "RB-014-1")["reason"]


@pytest.mark.parametrize("n", [2, 5, 6])
def test_a_median_of_fewer_than_six_has_no_interval(n: int) -> None:
    """Even least and greatest of five hold the true median in 94 % only, of two in 50 %."""
    row = one(evaluated(pulled(SIX[:n])), "strength_median", "RB-014-1")
    assert row["value"] == pytest.approx(np.median(SIX[:n]))
    assert math.isnan(row["low"]) == math.isnan(row["high"]) == (n < 6)
    few = "no interval: it takes 6 determinations"
    assert (row["flags"], row["method"] == "Kaplan-Meier") == (few if n < 6 else "", n < 6)


def test_panels_that_agree_to_the_last_digit_give_no_interval_of_no_width() -> None:
    """As without lower bounds: what they have in common is no proof that panels never differ."""
    failures = ["B", "B", "Y"]
    table = evaluated(*(pulled([7.0, 8.0, 9.0], failures, f"RB-014-{i}") for i in (1, 2)))
    row = one(table, "strength_mean_censored")
    assert row["value"] > 8
    assert math.isnan(row["standard_error"])
    assert math.isnan(row["low"])
    assert "no interval: no spread" in row["flags"]


def test_an_interval_of_a_strength_does_not_reach_below_zero() -> None:
    """Plain and with lower bounds, of one panel and of two."""
    table = evaluated(
        pulled([2.0, 6.0, 7.0], ["B", "B", "Y"], "RB-014-1"),
        pulled([7.0, 9.0, 9.5], ["B", "B", "Y"], "RB-014-2"),
    )
    for name, panel in (("", "RB-014-1"), ("_censored", "RB-014-1"), ("", ""), ("_censored", "")):
        row = one(table, f"strength_mean{name}", panel)
        assert row["low"] == 0.0
        assert row["method"].endswith(", cut at 0")
    whole = one(evaluated(pulled([2.0, 6.0])), "strength_mean_censored", "RB-014-1")
    assert (whole["low"], whole["method"][-10:]) == (0.0, ", cut at 0")


def test_over_panels_lower_bounds_keep_the_panels_as_unit() -> None:
    """The interval of the censored mean rests on leaving out panels, not determinations."""
    rng = np.random.default_rng(3)
    panels = []
    for place, shift in enumerate((-0.8, 0.0, 0.9), 1):
        film, glue = rng.normal(8 + shift, 0.4, 6), rng.normal(8.8, 0.2, 6)
        failures = ["Y" if f > g else "B" for f, g in zip(film, glue, strict=True)]
        panels.append(pulled(np.minimum(film, glue).tolist(), failures, f"RB-014-{place}"))
    table = evaluated(*panels)
    row = one(table, "strength_mean_censored")
    assert "panels as unit" in row["method"]
    assert row["high"] - row["low"] > 2  # panels differ by 0.85 MPa, determinations by 0.4
    assert row["low"] < 8 < row["high"]
    spread = one(table, "strength_sd_censored")
    assert spread["value"] > 0.4
    assert spread[["standard_error", "low", "high"]].isna().all()
    median = one(table, "strength_median")
    assert math.isnan(median["low"])  # determinations of one panel are not independent
    assert median["method"] == "Kaplan-Meier"


def test_where_leaving_out_a_panel_leaves_nothing_there_is_no_interval() -> None:
    """The value stays, and the flag names the panel."""
    table = evaluated(
        pulled([9.0, 9.1, 9.2], "Y", "RB-014-1"), pulled([8.0, 8.5, 8.2], "B", "RB-014-2")
    )
    row = one(table, "strength_mean_censored")
    assert row["value"] > 8.4
    assert math.isnan(row["low"])
    assert "no interval over panels: without RB-014-2: all 3 are lower bounds" in row["flags"]


def test_the_failures_are_shares_of_the_area() -> None:
    """A larger dolly counts for more; adhesive, cohesive and glue add up to all of it."""
    table = evaluated(pulled([7.0, 8.0], ["B", "A/B"], dolly_diameter_mm=[20.0, 14.0]), systems={})
    small = 14**2 / (14**2 + 20**2) * 100
    assert one(table, "failure_share", "RB-014-1", "A/B")["value"] == pytest.approx(small)
    assert one(table, "failure_share", "RB-014-1", "B")["value"] == pytest.approx(100 - small)
    assert one(table, "failure_adhesive", "RB-014-1")["value"] == pytest.approx(small)
    assert one(table, "failure_cohesive", "RB-014-1")["value"] == pytest.approx(100 - small)
    assert one(table, "failure_glue", "RB-014-1")["value"] == 0
    assert "dollies of 14 and 20 mm together" in one(table, "strength_mean", "RB-014-1")["flags"]


def test_a_place_is_told_for_each_panel_where_it_occurs_and_for_the_batch_over_all() -> None:
    """Panels without it count with 0 %."""
    table = evaluated(pulled(SIX, "B", "RB-014-1"), pulled(SIX, "40 % B/C, 60 % B", "RB-014-2"))
    assert one(table, "failure_share", "", "B/C")["value"] == pytest.approx(20)
    assert one(table, "failure_share", "", "B/C")["standard_error"] == pytest.approx(20)
    panels = table[(table["quantity"] == "failure_share") & (table["condition"] == "B/C")]
    assert sorted(panels["panel"]) == ["", "RB-014-2"]


def test_an_outlier_is_named_and_kept() -> None:
    """The flag stands at the test, at the panel and at the batch; the mean is of all."""
    strengths = [7.1, 7.3, 7.2, 3.0, 7.4, 7.2]
    table = evaluated(pulled(strengths), pulled(SIX, panel="RB-014-2"))
    said = "determination 4 of RB-014-1 (3 MPa) is an outlier (Grubbs) and is kept"
    test = one(table, "grubbs_statistic", "RB-014-1")
    assert test["flags"] == said
    assert test["measurement"] == "RB-014-1-3"
    assert "an outlier above 1.887" in test["method"]
    assert one(table, "strength_mean", "RB-014-1")["value"] == pytest.approx(np.mean(strengths))
    assert said in one(table, "strength_mean", "RB-014-1")["flags"]
    assert said in one(table, "strength_mean")["flags"]
    assert said not in one(table, "strength_mean", "RB-014-2")["flags"]


def test_of_fewer_than_the_least_number_none_is_an_outlier() -> None:
    """Of five, where six are asked for, the statistic is told and no flag; three rounded agree."""
    five = [7.1, 7.3, 7.2, 3.0, 7.4]
    row = one(evaluated(pulled(five)), "grubbs_statistic", "RB-014-1")
    assert row["value"] > 1.715
    assert row["flags"] == ""
    assert row["method"].endswith("none is told of fewer than 6")
    three = replace(CHOICES, pull_off=PullOffChoices(least_determinations=3))
    asked = one(evaluated(pulled(five), choices=three), "grubbs_statistic", "RB-014-1")
    assert "determination 4 of RB-014-1 (3 MPa)" in asked["flags"]
    agree = one(evaluated(pulled([7.1, 7.1, 7.4]), choices=three), "grubbs_statistic", "RB-014-1")
    assert (agree["flags"], agree["value"]) == ("", pytest.approx(1.1547, abs=1e-4))


def test_lower_bounds_are_no_outliers() -> None:
    """A film that the glue did not break is not odd: only the others are tested."""
    table = evaluated(pulled([7.1, 7.3, 7.2, 11.0, 7.4, 7.2], ["B", "B", "B", "Y", "B", "B"]))
    row = one(table, "grubbs_statistic", "RB-014-1")
    assert (row["n"], row["flags"]) == (5, "")


@pytest.mark.parametrize(
    ("asked", "n", "flag"),
    [
        (6, 5, "5 determinations, where ISO 4624 asks for at least 6"),
        (6, 6, ""),
        (3, 2, "2 determinations, where the settings ask for at least 3"),
        (3, 3, ""),
    ],
)
def test_too_few_determinations_are_flagged(asked: int, n: int, flag: str) -> None:
    """Six as the standard asks, or what the laboratory has set."""
    choices = replace(CHOICES, pull_off=PullOffChoices(least_determinations=asked))
    table = evaluated(pulled(SIX[:n]), choices=choices)
    assert one(table, "determinations", "RB-014-1")["flags"] == flag
    assert one(table, "strength_mean", "RB-014-1")["flags"] == flag


def test_determinations_from_weeks_apart_are_told() -> None:
    """Before and after exposure may stand together; the reader must know."""
    later = [DAY] * 3 + [DAY + pd.Timedelta(days=21)] * 3
    table = evaluated(pulled(SIX, measured_at=later))
    assert "determinations from 21 days together" in one(table, "strength_mean")["flags"]


def test_each_coat_system_over_its_panels() -> None:
    """By batch, and over batches; the flag says so."""
    table = evaluated(
        pulled(SIX, panel="RB-014-1"),
        pulled([x + 1 for x in SIX], panel="RB-015-1"),
        pulled([x - 2 for x in SIX], panel="RB-015-2"),
        systems={"RB-014-1": "2 coats", "RB-015-1": "2 coats", "RB-015-2": "3 coats"},
    )
    rows = table[table["quantity"] == "strength_mean"].set_index(["condition", "batch"])
    two = rows.loc["coat system: 2 coats", ""]
    assert two["value"] == pytest.approx(np.mean(SIX) + 0.5)
    assert (two["n"], two["flags"]) == (12, "2 batches together")
    for batch, system, mean in (
        ("RB-014", "2 coats", np.mean(SIX)),
        ("RB-015", "2 coats", np.mean(SIX) + 1),
        ("RB-015", "3 coats", np.mean(SIX) - 2),
    ):
        mine = rows.loc[f"coat system: {system}", batch]
        assert (mine["value"], mine["n"], mine["flags"]) == (pytest.approx(mean), 6, "")
    assert ("coat system: 3 coats", "") not in rows.index
    places = table[table["quantity"] == "failure_share"]["condition"]
    assert "B; coat system: 2 coats" in set(places)


def test_panels_that_are_not_in_the_register_are_named() -> None:
    """They count for their batch, but for no coat system."""
    table = evaluated(pulled(SIX), pulled(SIX, panel="RB-014-2"), systems={"RB-014-1": "2 coats"})
    row = one(table, "strength_mean", "", "coat system: unknown")
    assert row["reason"] == "not in the register, so without a coat system: RB-014-2"
    assert one(table, "strength_mean")["n"] == 12


def test_what_is_not_stated_is_in_no_share_and_told() -> None:
    """Shares are those of the tests that state them; each mean tells of the others."""
    table = evaluated(
        pulled([8.0, 8.2, 8.4], ["B", "not stated", "A/B"]),
        pulled([7.0, 7.3], ["not stated"] * 2, panel="RB-014-2"),
    )
    shares = table[(table["quantity"] == "failure_cohesive") & (table["panel"] != "")]
    assert shares[["panel", "value", "n"]].values.tolist() == [["RB-014-1", 50.0, 2]]
    assert not ((table["quantity"] == "failure_share") & (table["panel"] == "RB-014-2")).any()
    means = table[(table["quantity"] == "strength_mean") & (table["panel"] != "")]
    of = " without a place of failure: a lower bound if the glue failed"
    assert [("1 determination" + of) in flags for flags in means["flags"]] == [True, False]
    assert [("2 determinations" + of) in flags for flags in means["flags"]] == [False, True]
    assert one(table, "lower_bounds")["value"] == 0


def test_no_determinations_give_an_empty_table() -> None:
    """An archive without pull-off tests is no error."""
    table = evaluated(pulled([]), systems={})
    assert list(table.columns) == list(COLUMNS)
    assert len(table) == 0


@pytest.fixture(scope="module")
def in_usual_order() -> tuple[pd.DataFrame, pd.DataFrame]:
    """Rows of three panels, and their results."""
    rng = np.random.default_rng(11)
    strengths = np.round(rng.normal(8, 1, (3, 6)), 2)
    rows = pd.concat(
        [
            pulled(p.tolist(), ["Y" if s > 8.7 else "B" for s in p], f"RB-014-{i}")
            for i, p in enumerate(strengths, 1)
        ],
        ignore_index=True,
    )
    return rows, evaluated(rows)


@settings(max_examples=10, deadline=None)
@given(order=st.permutations(range(18)))
def test_the_order_of_the_rows_does_not_matter(
    order: list[int], in_usual_order: tuple[pd.DataFrame, pd.DataFrame]
) -> None:
    """However the rows come, the numbers are the same."""
    rows, usual = in_usual_order
    shuffled = evaluated(rows.iloc[order])
    keys = ["quantity", "batch", "panel", "condition"]
    usual, shuffled = (t.sort_values(keys, ignore_index=True) for t in (usual, shuffled))
    numbers = ["value", "standard_error", "low", "high", "n"]
    pd.testing.assert_frame_equal(usual[[*keys, *numbers]], shuffled[[*keys, *numbers]], rtol=1e-9)


def test_the_invented_truth_comes_back() -> None:
    """20 panels of a film of 8.6 +- 0.8 MPa under a glue of 9 +- 0.5 MPa.

    The plain mean misses the film's mean; the censored mean and deviation, and the median, do not.
    """
    rng = np.random.default_rng(2026)
    film, glue = rng.normal(8.6, 0.8, (20, 6)), rng.normal(9.0, 0.5, (20, 6))
    panels = [
        pulled(np.minimum(f, g).tolist(), np.where(f > g, "Y", "B").tolist(), f"RB-014-{i}")
        for i, (f, g) in enumerate(zip(film, glue, strict=True), 1)
    ]
    table = evaluated(*panels)
    plain, censored = one(table, "strength_mean"), one(table, "strength_mean_censored")
    assert plain["high"] < 8.6
    assert censored["low"] < 8.6 < censored["high"]
    assert censored["high"] - censored["low"] < 0.4
    assert one(table, "strength_sd_censored")["value"] == pytest.approx(0.8, abs=0.15)
    assert one(table, "strength_median")["value"] == pytest.approx(8.6, abs=0.25)
