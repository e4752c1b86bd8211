"""What is pooled over panels of several coat systems says so, wherever it is asked for."""

from __future__ import annotations

from pathlib import Path

import pytest
from labs import LabAtWork, make_lab

import tiecoat

REGISTER = """Batch,Recipe,Candidate,Dose (%),Role,Mixed on,Note
RB-010,base,none,,control,2026-09-10,
RB-011,base + x,x,5,candidate,2026-09-11,

Panel,Batch,Substrate,Coat system,Dry film (µm),Coated on,Immersed at,Note
RB-010-1,RB-010,steel Sa 2½,primer,180,2026-09-14,,
RB-010-2,RB-010,steel Sa 2½,"primer, topcoat",240,2026-09-14,,
RB-011-1,RB-011,steel Sa 2½,primer,180,2026-09-14,,
RB-011-2,RB-011,steel Sa 2½,primer,180,2026-09-14,,
"""
TOLD = "panels of several coat systems together: primer and primer, topcoat"


@pytest.fixture(scope="module")
def lab(tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """A control with and without a topcoat, a candidate without."""
    made = make_lab(tmp_path_factory.mktemp("coats") / "lab")
    made.drop("register.csv", REGISTER)
    made.take()
    rows = ["Panel,Determination,Dolly (mm),Strength (MPa),Failure,Measured"]
    for place, panel in enumerate(["RB-010-1", "RB-010-2", "RB-011-1", "RB-011-2"]):
        for number in (1, 2):
            value = 5 + place / 2 + number / 10
            rows.append(f'{panel},{number},20,{value},"100% B",2026-09-28 14:{place}{number}')
    made.drop("pulled.csv", "\n".join(rows) + "\n")
    made.take()
    assert made.held() == {}
    return made


def test_a_mean_over_two_coat_systems_carries_a_flag(lab: LabAtWork) -> None:
    """Every result of the whole control has it; its panels, and the candidate, have not."""
    table = tiecoat.open(lab.root).evaluate("pull_off")
    mixed = table["flags"].str.contains(TOLD, regex=False)
    by_batch = ~table["condition"].str.contains("coat system") & (table["panel"] == "")
    assert set(table.loc[mixed, "batch"]) == {"RB-010"}
    assert (mixed == (by_batch & (table["batch"] == "RB-010"))).all()


def test_a_study_of_that_lab_keeps_them_apart(lab: LabAtWork, tmp_path: Path) -> None:
    """One panel each of the control is not enough, and the candidate has no topcoat."""
    from tiecoat.ask.study_data import read_study, study_data

    path = tmp_path / "study.toml"
    path.write_text('[[property]]\nname = "pull-off strength"\n', encoding="utf-8")
    comparison = study_data(tiecoat.open(lab.root), read_study(path)).comparison
    assert comparison.problems == (
        (
            "pull-off strength, primer: the control RB-010 has one panel only: nothing tells its"
            " spread"
        ),
        (
            "pull-off strength, primer, topcoat: the control RB-010 has one panel only: nothing"
            " tells its spread"
        ),
    )


def test_results_of_a_batch_stand_for_each_coat_system_too(tmp_path: Path) -> None:
    """Gloss with and without topcoat: each by itself, beside the mean that is flagged."""
    made = make_lab(tmp_path / "lab")
    made.drop("register.csv", REGISTER)
    made.take()
    rows = ["Panel,Spot,Gloss 60° (GU)"]
    for panel, values in (("RB-010-1", (30, 32)), ("RB-010-2", (80, 84)), ("RB-011-1", (28, 30))):
        rows += [f"{panel},{spot},{value}" for spot, value in enumerate(values, 1)]
    made.drop("gloss.csv", "\n".join(rows) + "\n")
    made.take()
    assert made.held() == {}
    table = tiecoat.open(made.root).evaluate("gloss", quantity="gloss_mean")
    of_batches = table[table["panel"] == ""].set_index(["batch", "condition"])
    assert of_batches["value"].to_dict() == {
        ("RB-010", "60 deg"): 56.5,
        ("RB-010", "60 deg; coat system: primer"): 31,
        ("RB-010", "60 deg; coat system: primer, topcoat"): 82,
        ("RB-011", "60 deg"): 29,
    }
    assert [TOLD in flags for flags in of_batches["flags"]] == [True, False, False, False]
