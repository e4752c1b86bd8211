"""Counts made under other conditions are other determinations: never one count on one area."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from study_tables import CONTROL, compared, of

from tiecoat.ask.offered import conditions_of_kinds
from tiecoat.compare.comparison import Comparison
from tiecoat.compare.study import load_study
from tiecoat.compare.verdict import VerdictWord
from tiecoat.contract.columns import conditions_of
from tiecoat.extend.loading import built_in_kinds, load_plugins

STUDY = """
[[property]]
name = "chips"
kind = "ballast"
quantity = "chips"
method = "counts"
area = "field_mm2"
direction = "lower"
margin_percent = 30
"""
CONDITIONS = {"pressure_kpa": "kPa"}
KIND = """
import pandera.pandas as pa

from tiecoat.plugin import Kind, column, hookimpl


class Ballast(pa.DataFrameModel):
    \"""Chips of a panel at which ballast was flung.\"""

    pressure_kpa: float = column("kPa", "pressure behind the ballast", ge=10, le=1000)
    photograph: str = column("", "which photograph of the panel")
    shot: float = column("", "number of the shot", ge=1, le=9)
    chips: int = column("", "chips on the photograph", ge=0, le=1000)
    field_mm2: float = column("mm**2", "area on the photograph", ge=1, le=10000)


TOLD = ("pressure_kpa", "photograph", "shot")


@hookimpl
def tiecoat_kinds():
    return [
        Kind("ballast", Ballast, "panel", TOLD, repeats=("photograph",), counted="shot"),
    ]
"""


def chips(rates: dict[str, dict[float, float]]) -> pd.DataFrame:
    """Return rows of three panels a batch, two photographs of each at each pressure."""
    random = np.random.default_rng(19)
    return pd.DataFrame(
        [
            {
                "batch": batch,
                "panel": f"{batch}-{panel}",
                "pressure_kpa": pressure,
                "photograph": photograph,
                "chips": random.poisson(rate),
                "field_mm2": 100.0,
            }
            for batch, of_batch in rates.items()
            for pressure, rate in of_batch.items()
            for panel in (1, 2, 3)
            for photograph in ("a", "b")
        ]
    ).astype({"batch": "str", "panel": "str", "photograph": "str"})


# better at low pressure, worse at high pressure, where the control was looked at more often
RATES = {CONTROL: {200.0: 60.0, 300.0: 60.0}, "RB-011": {200.0: 20.0, 300.0: 120.0}}


def of_chips(rows: pd.DataFrame, more: str = "") -> Comparison:
    """Return the comparison of chips where the pressure is a condition."""
    return compared(
        rows, STUDY + more, raw={"ballast": rows}, kind="none", conditions={"ballast": CONDITIONS}
    )


def test_each_condition_is_a_line_of_its_own() -> None:
    """As it is of means: the sum of both pressures would say that nothing changed much."""
    found = of_chips(chips(RATES))
    assert [one.label for one in found.properties] == ["chips, 200 kPa", "chips, 300 kPa"]
    assert of(found, "RB-011", "chips, 200").outcome is VerdictWord.BETTER
    assert of(found, "RB-011", "chips, 300").outcome is VerdictWord.WORSE
    low = chips(RATES).query("pressure_kpa == 200 and batch == 'RB-011'")
    assert of(found, "RB-011", "chips, 200").value == low["chips"].sum() / low["field_mm2"].sum()


def test_a_study_may_pick_one() -> None:
    """By the words that a result would have; what is left out is told."""
    found = of_chips(chips(RATES), 'condition = "300 kPa"\n')
    (one,) = found.verdicts
    assert (one.property, one.outcome) == ("chips", VerdictWord.WORSE)
    (wrong,) = of_chips(chips(RATES), 'condition = "30 kPa"\n').problems
    assert wrong == (
        "chips: there is no chips with the condition '30 kPa'; near it: '300 kPa', '200 kPa'"
    )


def test_a_candidate_under_another_condition_is_not_compared() -> None:
    """Nothing is said of it on the line of the control, and what it has is told."""
    found = of_chips(chips({CONTROL: {200.0: 60.0}, "RB-011": {300.0: 20.0}}))
    (one,) = found.verdicts
    assert (one.property, one.outcome) == ("chips, 200 kPa", VerdictWord.NOT_TESTED)
    assert "chips, 300 kPa (RB-011): the control RB-010 has none of it" in {
        other.words for other in found.not_compared
    }


def test_one_condition_and_repeats_are_added_up() -> None:
    """Then it is what it was where nothing sets determinations apart."""
    rows = chips({batch: {200.0: of_batch[200.0]} for batch, of_batch in RATES.items()})
    plain = compared(rows, STUDY, raw={"ballast": rows}, kind="none")
    pd.testing.assert_frame_equal(of_chips(rows).table(), plain.table())


def test_what_is_not_told_is_no_condition_of_another() -> None:
    """A row without its pressure is not added to those of 200 kPa."""
    rows = chips(RATES)
    rows.loc[rows["pressure_kpa"] == 300, "pressure_kpa"] = np.nan
    labels = [one.label for one in of_chips(rows).properties]
    assert labels == ["chips, 200 kPa", "chips, pressure kpa not told"]


def test_a_kind_that_is_not_known_is_not_added_up() -> None:
    """Nobody says which of its rows are repeats."""
    rows = chips(RATES)
    found = compared(rows, STUDY, raw={"ballast": rows}, kind="none", conditions={"other": {}})
    (told,) = found.problems
    assert told == (
        "chips: no plugin brings the kind ballast: which of its counts may be added up is not known"
    )


def test_the_kind_says_what_sets_determinations_apart(tmp_path: Path) -> None:
    """All of its identity but the repeats, and the number that it counts."""
    (tmp_path / "ballast.py").write_text(KIND)
    counted = load_study(STUDY).counted_kinds()
    assert conditions_of_kinds(counted, tmp_path) == {"ballast": CONDITIONS}
    assert conditions_of_kinds(counted, None) == {}


def test_repeats_are_of_the_identity(tmp_path: Path) -> None:
    """Else they would tell nothing apart."""
    wrong = KIND.replace('repeats=("photograph",)', 'repeats=("chips",)')
    (tmp_path / "ballast.py").write_text(wrong)
    told = load_plugins(tmp_path).problems
    assert any("repeats names ['chips']: not in its identity" in one for one in told)


@pytest.mark.parametrize("name", ["defects", "defect_regions", "cross_section", "pores"])
def test_photographs_and_fields_of_view_are_repeats(name: str) -> None:
    """Of the kinds that are counted on an area, as they always were."""
    (kind,) = (one for one in built_in_kinds() if one.name == name)
    assert conditions_of(kind) == {}
