"""From gauge readings to thickness and to the verdict on it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tiecoat.evaluate.choices import FilmThicknessChoices
from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.film.film_thickness import compute
from tiecoat.evaluate.film.thickness_rules import acceptance_rules
from tiecoat.evaluate.result import COLUMNS

SYSTEM = "epoxy primer, 2 coats"
NOMINAL = FilmThicknessChoices(nominal_um={SYSTEM: 180.0}, surface_profile="none")
VERDICTS = ["mean", "least_reading", "low_share", "maximum", "accepted"]
EIGHT = [182.0, 190.0, 185.0, 196.0, 188.0, 184.0, 191.0, 187.0]


def read(thickness: Sequence[float], panel: str = "RB-014-1", **more: Any) -> pd.DataFrame:
    """Readings of one panel as the archive gives them."""
    n = len(thickness)
    columns = {
        "measurement": [f"{panel}-{place}" for place in range(n)],
        "batch": panel[:6],
        "panel": panel,
        "spot": np.arange(1.0, n + 1),
        "coat": "system",
        "state": "dry",
        "thickness_um": np.array(thickness, dtype=float),
    }
    return pd.DataFrame({**columns, **more}, index=range(n))


def evaluated(
    *readings: pd.DataFrame,
    choices: FilmThicknessChoices = NOMINAL,
    systems: dict[str, str] | None = None,
) -> pd.DataFrame:
    """The result table; every panel is in the register unless the coat systems are given."""
    rows = pd.concat(readings, ignore_index=True)
    systems = dict.fromkeys(rows["panel"].unique(), SYSTEM) if systems is None else systems
    register = pd.DataFrame({"panel": list(systems), "coat_system": list(systems.values())})
    return compute({"film_thickness": rows, "panels": register.astype("str")}, choices)


def one(
    table: pd.DataFrame, quantity: str, panel: str = "RB-014-1", condition: str = "system, dry"
) -> pd.Series[Any]:
    """The one row of a quantity; without a panel that of the batch."""
    rows = table[
        (table["quantity"] == quantity)
        & (table["panel"] == panel)
        & (table["condition"] == condition)
    ]
    assert len(rows) == 1, table[table["quantity"] == quantity]
    return rows.iloc[0]


def verdicts(table: pd.DataFrame, panel: str = "RB-014-1") -> list[float]:
    """Mean, least reading, low share, maximum, accepted."""
    return [float(one(table, f"iso_19840_{name}", panel)["value"]) for name in VERDICTS]


def test_the_numbers_of_a_panel() -> None:
    """Readings, mean with interval, spread, least and most, share below the nominal."""
    table = evaluated(read([*EIGHT, 176.0, 179.0]))
    values = np.array([*EIGHT, 176.0, 179.0])
    mean = one(table, "thickness_mean")
    assert (mean["value"], mean["unit"], mean["n"]) == (pytest.approx(values.mean()), "um", 10)
    assert mean["low"] < mean["value"] < mean["high"]
    assert one(table, "thickness_readings")["value"] == 10
    assert one(table, "thickness_sd")["value"] == pytest.approx(values.std(ddof=1))
    cv = 100 * values.std(ddof=1) / values.mean()
    assert one(table, "thickness_cv")["value"] == pytest.approx(cv)
    assert one(table, "thickness_least")["value"] == 176
    assert one(table, "thickness_most")["value"] == 196
    assert one(table, "thickness_below_nominal")["value"] == 20
    assert mean["flags"] == ""


def test_of_a_batch_the_panels_are_the_unit() -> None:
    """Its interval rests on the means of the panels; extremes are those of all readings."""
    table = evaluated(read(EIGHT), read([x + 10 for x in EIGHT], "RB-014-2"))
    row = one(table, "thickness_mean", "")
    assert row["value"] == pytest.approx(np.mean(EIGHT) + 5)
    assert row["method"] == "mean of 2 panel means; interval by t, panels as unit"
    assert row["standard_error"] == pytest.approx(5)
    assert one(table, "thickness_most", "")["value"] == 206
    assert math.isnan(one(table, "thickness_sd", "")["low"])
    assert row["flags"] == ""  # spot 1 of the other panel is another spot


def test_wet_and_dry_and_coats_stand_apart() -> None:
    """A wet reading is never mixed with a dry one, nor a coat with the system."""
    table = evaluated(
        read(EIGHT),
        read([300.0, 310.0], state="wet", coat="coat 1"),
        read([90.0, 95.0], coat="coat 1"),
    )
    for condition, mean in (
        ("system, dry", float(np.mean(EIGHT))),
        ("coat 1, wet", 305),
        ("coat 1, dry", 92.5),
    ):
        assert one(table, "thickness_mean", condition=condition)["value"] == pytest.approx(mean)
    judged = table[table["quantity"].str.contains("19840|below")]
    assert set(judged["condition"]) == {"system, dry"}


def test_a_film_that_fulfils_all_rules_is_accepted_by_them() -> None:
    """Each verdict names its rule and source, and the total defers to the responsible person."""
    table = evaluated(read(EIGHT))
    assert verdicts(table) == [1, 1, 1, 1, 1]
    total = one(table, "iso_19840_accepted")
    assert "does not replace the inspection by the responsible person" in total["method"]
    for name in VERDICTS:
        row = one(table, f"iso_19840_{name}")
        assert "ISO 19840:2012" in row["method"]
        assert row["flags"] == ""


@pytest.mark.parametrize(
    ("readings", "expected", "said"),
    [
        ([*EIGHT[:-1], 143.9], [1, 0, 1, 1, 0], "1 of 8 readings, the least 143.9 um"),
        ([*EIGHT[:-1], 144.0], [1, 1, 1, 1, 1], ""),
        ([*EIGHT[:3], 220.0, 143.9], [1, 0, 1, 1, 0], "1 of 5 readings"),  # is not low as well
        ([*EIGHT[:4], 179.0], [1, 1, 0, 1, 0], "1 of 5 readings"),
        ([*EIGHT[:5], 179.0], [1, 1, 1, 1, 1], ""),
        ([180.0] * 6, [1, 1, 1, 1, 1], ""),
        ([*EIGHT[:-1], 540.0], [1, 1, 1, 1, 1], ""),
        ([*EIGHT[:-1], 540.5], [1, 1, 1, 0, 0], "the largest 540.5 um"),
        ([150.0] * 5, [0, 1, 0, 1, 0], "mean 150 um"),
    ],
)
def test_each_rule_by_itself(readings: list[float], expected: list[float], said: str) -> None:
    """At its limit a rule is fulfilled, beyond it is not, and the flag says what was found."""
    table = evaluated(read(readings))
    assert verdicts(table) == expected
    for name, value in zip(VERDICTS, expected, strict=True):
        flags = one(table, f"iso_19840_{name}")["flags"]
        assert flags.startswith("not fulfilled: ") == (value == 0)
    assert said in " ".join(one(table, f"iso_19840_{name}")["flags"] for name in VERDICTS)


def test_a_mean_that_rounding_moved_is_at_the_nominal() -> None:
    """7.2 mil are 182.88 um, and three such readings have the mean 182.88 um."""
    nominal = 7.2 * 25.4
    assert all(rule.fulfilled for rule in acceptance_rules([nominal * (1 - 1e-12)] * 3, nominal))


def test_what_is_found_never_reads_as_the_limit_that_it_breaks() -> None:
    """A mean of 179.975 um is not told as 180 um, nor 540.04 um as 540 um."""
    found = {rule.name: rule.found for rule in acceptance_rules([179.95, 180.0], 180)}
    assert found["mean"] == "mean 179.97 um"
    found = {rule.name: rule.found for rule in acceptance_rules([143.99, 540.04], 180)}
    assert found["least_reading"].endswith("the least 143.99 um")
    assert found["maximum"] == "the largest 540.04 um"


def test_an_interval_of_a_thickness_does_not_reach_below_zero() -> None:
    """Readings of 140 and 165 um: by t from -6 um on; it is cut, and the method says so."""
    row = one(evaluated(read([140.0, 165.0])), "thickness_mean")
    assert row["low"] == 0.0
    assert row["high"] == pytest.approx(152.5 + 12.7062 * 12.5, rel=1e-5)
    assert row["method"] == "mean; interval by t, readings as unit, cut at 0"
    assert "cut" not in one(evaluated(read(EIGHT)), "thickness_mean")["method"]


def test_the_correction_for_the_profile_is_made_where_it_is_set() -> None:
    """25 um less for a medium profile: for the dry system only, and the method says so."""
    rows = (read(EIGHT), read([90.0, 95.0], coat="coat 1"), read([300.0], state="wet"))
    plain = evaluated(*rows)
    choices = FilmThicknessChoices(nominal_um={SYSTEM: 180.0}, surface_profile="medium")
    table = evaluated(*rows, choices=choices)
    row = one(table, "thickness_mean")
    assert row["value"] == pytest.approx(one(plain, "thickness_mean")["value"] - 25)
    assert row["method"].endswith("less 25 um for a medium profile (ISO 19840:2012, table 2)")
    assert verdicts(table)[0] == 0
    for condition in ("coat 1, dry", "system, wet"):
        left = one(table, "thickness_mean", condition=condition)
        assert left["value"] == one(plain, "thickness_mean", condition=condition)["value"]
        assert "profile" not in left["method"]


def test_a_profile_that_nobody_knows_takes_off_as_much_as_a_medium_one() -> None:
    """Set as unknown it is taken off every number; not set, of the rules alone, which flag it."""
    unknown = FilmThicknessChoices(nominal_um={SYSTEM: 180.0}, surface_profile="unknown")
    table = evaluated(read(EIGHT), choices=unknown)
    row = one(table, "thickness_mean")
    assert row["value"] == pytest.approx(np.mean(EIGHT) - 25)
    assert row["method"].endswith("less 25 um for an unknown profile (ISO 19840:2012, table 2)")
    assert one(table, "thickness_least")["value"] == 182 - 25
    assert "not set" not in " ".join(table["flags"])
    unset = evaluated(read(EIGHT), choices=FilmThicknessChoices(nominal_um={SYSTEM: 180.0}))
    assert verdicts(unset) == verdicts(table) == [0, 1, 0, 1, 0]
    for name in VERDICTS:
        row = one(unset, f"iso_19840_{name}")
        assert "surface profile not set: 25 um taken off each reading" in row["flags"]
        assert "less 25 um for an unknown profile" in row["method"]
    assert one(unset, "thickness_least")["value"] == 182


def test_readings_below_the_correction_are_told() -> None:
    """A film that the correction makes vanish is no film: no coefficient of variation."""
    table = evaluated(read([12.0, 15.0]), choices=FilmThicknessChoices(surface_profile="coarse"))
    assert "2 readings not above the correction" in one(table, "thickness_mean")["flags"]
    assert one(table, "thickness_cv")["reason"] == "the mean is -26.5, not above 0"
    assert one(table, "thickness_mean")["low"] < -26.5  # nothing is cut off a mean below zero


def test_without_a_nominal_the_reason_says_what_to_set() -> None:
    """No quiet verdict: section, coat system and an example."""
    table = evaluated(read(EIGHT), choices=FilmThicknessChoices())
    for quantity in ("thickness_below_nominal", *(f"iso_19840_{name}" for name in VERDICTS)):
        row = one(table, quantity)
        assert math.isnan(row["value"])
        assert "[evaluate.film_thickness.nominal_um]" in row["reason"]
        assert f'"{SYSTEM}" = 180' in row["reason"]
    assert one(table, "thickness_mean")["reason"] == ""


def test_a_panel_that_is_not_registered_has_no_coat_system() -> None:
    """It is named, and the others of the batch keep their verdicts."""
    table = evaluated(read(EIGHT), read(EIGHT, "RB-014-2"), systems={"RB-014-1": SYSTEM})
    assert verdicts(table) == [1, 1, 1, 1, 1]
    for panel in ("RB-014-2", ""):
        reason = one(table, "iso_19840_accepted", panel)["reason"]
        assert reason.startswith("not in the register of panels")
        assert reason.endswith("RB-014-2")


def test_systems_of_different_nominal_thickness_have_no_common_verdict() -> None:
    """Each panel has its own, the batch has none."""
    choices = FilmThicknessChoices(
        nominal_um={SYSTEM.upper(): 180.0, "3  coats": 240.0}, surface_profile="none"
    )
    systems = {"RB-014-1": SYSTEM, "RB-014-2": "3 coats"}
    table = evaluated(read(EIGHT), read(EIGHT, "RB-014-2"), choices=choices, systems=systems)
    assert one(table, "iso_19840_accepted")["value"] == 1
    assert one(table, "iso_19840_accepted", "RB-014-2")["value"] == 0
    assert "different nominal thickness" in one(table, "iso_19840_accepted", "")["reason"]


def test_below_its_scope_the_standard_gives_no_verdict() -> None:
    """A nominal thickness of 30 um is outside; the share below it is told all the same."""
    table = evaluated(read([25.0, 35.0]), choices=FilmThicknessChoices(nominal_um={SYSTEM: 30.0}))
    assert one(table, "thickness_below_nominal")["value"] == 50
    assert (
        "does not apply to a nominal thickness below 40 um; 30 um is set"
        in (one(table, "iso_19840_accepted")["reason"])
    )


def test_one_reading_has_no_interval() -> None:
    """It is a mean of itself, flagged; its spread is not determinable."""
    table = evaluated(read([182.0]))
    row = one(table, "thickness_mean")
    assert math.isnan(row["low"])
    assert row["flags"] == "no interval from one reading"
    assert one(table, "thickness_sd")["reason"] == "one reading has no spread"


def test_a_spot_that_was_read_again_is_told() -> None:
    """At another time it is another determination; the reader must know."""
    table = evaluated(read([182.0, 184.0, 186.0], spot=[1.0, 2.0, 1.0]))
    flags = one(table, "thickness_mean")["flags"]
    assert flags == "1 reading of spots that were read before: each counts"


def test_no_readings_give_an_empty_table() -> None:
    """An archive without readings is no error, and rules without readings are none."""
    table = evaluated(read([]), systems={})
    assert list(table.columns) == list(COLUMNS)
    assert len(table) == 0
    with pytest.raises(NotDeterminable, match="there is no reading"):
        acceptance_rules([], 180)
    with pytest.raises(NotDeterminable, match="no finite number"):
        acceptance_rules([180.0, math.nan], 180)


@pytest.mark.parametrize(
    ("choices", "match"),
    [
        ({"nominal_um": {SYSTEM: 0.0}}, "nominal_um.epoxy primer, 2 coats = 0: allowed is above 0"),
        ({"nominal_um": {SYSTEM: math.nan}}, "allowed is above 0"),
        (
            {"nominal_um": {"2 coats": 180.0, "2  Coats": 160.0}},
            "nominal_um.2  Coats = 160: it is there with 180 too",
        ),
        ({"most_times_nominal": 1.0}, "most_times_nominal = 1: allowed is above 1"),
    ],
)
def test_choices_that_make_no_sense_are_refused(choices: dict[str, Any], match: str) -> None:
    """By name and value."""
    with pytest.raises(ValueError, match=match):
        FilmThicknessChoices(**choices)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(1, 5000), min_size=1, max_size=40),
    st.floats(40, 1000),
    st.floats(1.5, 4),
)
def test_thicker_never_breaks_a_lower_rule(
    readings: list[float], nominal: float, times: float
) -> None:
    """More paint everywhere can only break the maximum; the order of readings does not matter."""
    before = {rule.name: rule.fulfilled for rule in acceptance_rules(readings, nominal, times)}
    thicker = [value + nominal for value in readings]
    after = {rule.name: rule.fulfilled for rule in acceptance_rules(thicker, nominal, times)}
    assert all(after[name] for name in ("mean", "least_reading", "low_share"))
    assert before["maximum"] or not after["maximum"]
    turned = acceptance_rules(readings[::-1], nominal, times)
    assert {rule.name: rule.fulfilled for rule in turned} == before
