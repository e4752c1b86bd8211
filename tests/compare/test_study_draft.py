"""A first study file: it runs as it stands, and what it says of scatter and panels is true."""

from __future__ import annotations

import math
import re
import tomllib
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from scipy.stats import nct
from study_tables import panel_rows

import tiecoat
from tiecoat.ask.study_draft import draft_study
from tiecoat.cli import main
from tiecoat.compare.comparison import compare
from tiecoat.compare.many_to_one import critical_value
from tiecoat.compare.properties import CATALOGUE
from tiecoat.compare.study import Study, load_study
from tiecoat.compare.study_draft import draft, least_margin
from tiecoat.errors import UnknownName
from tiecoat.evaluate.result import together

EXAMPLE = Path(__file__).parents[2] / "archive_example"
NAMED = "RB-010", "RB-011", "RB-016"


@pytest.fixture(scope="module")
def text() -> str:
    """The first study of two candidates of the example; the control is not named."""
    return draft_study(tiecoat.open(EXAMPLE), ["rb-011", "RB-016"], "first.toml")


def comments(text: str, name: str) -> str:
    """Return what stands in comments below a property, as one line."""
    (table,) = (one for one in text.split("\n[[property]]\n") if f'name = "{name}"\n' in one)
    lines = table.split("\n\n")[0].splitlines()
    return " ".join(one.removeprefix("# ") for one in lines if one.startswith("# "))


def test_it_is_a_study_of_the_batches_and_of_every_property_with_data(text: str) -> None:
    """Control first though not named, the candidates, and the catalogue; no margin is stated."""
    study = load_study(text)
    assert (study.control, study.batches) == (NAMED[0], NAMED)
    assert [one.name for one in study.property] == list(CATALOGUE)
    assert {(one.margin, one.margin_percent) for one in study.property} == {(None, None)}
    assert study.property[0].exposure_h == (240,)
    assert "there are results after 1, 24, 72, 168, 240 h" in text
    assert '    "RB-016",  # 10 % glass flake\n' in text


def test_each_margin_is_left_to_fill_in(text: str) -> None:
    """The commented line below each property takes a number, and then it is the margin."""
    filled, count = re.subn(r"(?m)^# (margin(?:_percent)?) =   # fill in.*$", r"\1 = 7", text)
    assert count == len(CATALOGUE)
    wanted = load_study(filled).property
    assert {one.margin or one.margin_percent for one in wanted} == {7.0}


def test_what_tiecoat_knows_no_property_of_needs_only_its_marks_taken_away(text: str) -> None:
    """The tables that are commented out are properties that the same archive can compare."""
    after = text[text.index("# Also filed of these batches.") :]
    lines = [one.removeprefix("# ") for one in after.splitlines() if " = " in one or "[[" in one]
    tables = tomllib.loads("\n".join(lines).replace("margin =", "margin = 1"))["property"]
    gloss = next(one for one in tables if one["kind"] == "gloss")
    assert (gloss["quantity"], gloss["condition"]) == ("gloss_mean", "60 deg")
    archive = tiecoat.open(EXAMPLE)
    for one in tables:
        found = archive.evaluate(one["kind"], quantity=one["quantity"])
        assert (found["condition"] == one.get("condition", "")).any()


def test_the_scatter_is_that_of_the_panels(text: str) -> None:
    """The pooled standard deviation of the panels' water uptakes, reckoned here by numpy."""
    found = tiecoat.open(EXAMPLE).evaluate("impedance", quantity="water_uptake")
    found = found[found["batch"].isin(NAMED) & found["exposure_h"].sub(240).abs().lt(1)]
    assert len(found) == 9
    pooled = math.sqrt(found.groupby("batch")["value"].var(ddof=1).mean())  # three panels each
    told = comments(text, "water uptake")
    assert f"of one batch scatter by {pooled:.2g} points (standard deviation, 3 batches)" in told
    least = float(re.findall(r"margins from about ([0-9.]+) points on", told)[0])
    assert least == pytest.approx(least_by_scipy(3, pooled, 2), rel=0.05)  # two digits
    assert "(preset 0.5)" in told


def least_by_scipy(n: int, deviation: float, candidates: int) -> float:
    """Return the least of many margins that n panels show in 80 % of studies, by scipy's nct."""
    freedom = (candidates + 1) * (n - 1)
    critical = critical_value((n,) * candidates, n, float(freedom))
    margins = np.linspace(0.5, 8, 1501) * deviation
    power = nct.sf(critical, freedom, margins / (deviation * math.sqrt(2 / n)))
    return float(margins[np.argmax(power >= 0.8)])


@pytest.mark.parametrize(("n", "candidates"), [(2, 1), (3, 8), (6, 4), (20, 1)])
def test_the_least_margin_is_the_least_with_enough_power(n: int, candidates: int) -> None:
    """On a fine grid of margins no smaller one reaches 80 %."""
    found = least_margin(n, 1.7, candidates, CATALOGUE["pull-off strength"])
    assert found == pytest.approx(least_by_scipy(n, 1.7, candidates), abs=0.02)


def test_names_cannot_break_the_file() -> None:
    """A name with quotes and line ends stays a comment or a text."""
    table = together(
        [
            panel_rows("modulus", {"RB-010": [1e8, 2e8], "RB-011": [1e8, 1e8]}, condition="0.1 Hz"),
            panel_rows("odd", {"RB-010": [1.0, 2.0]}, condition='so "said"\n[[property]]'),
        ]
    )
    register = pd.DataFrame(
        {
            "batch": ["RB-010", "RB-011"],
            "recipe": "base",
            "candidate": [None, 'talc"\ncontrol = "RB-011"\n# '],
            "dose_percent": [math.nan, 5.0],
            "role": ["control", "candidate"],
        }
    )
    results = {"impedance": table, "odd": table[table["quantity"] == "odd"]}
    comparison = compare(Study(batches=("RB-010", "RB-011")), results=results, batches=register)
    study = load_study(draft(comparison, {}, results, "a.toml"))
    assert study.control == "RB-010"
    assert [one.name for one in study.property] == ["modulus"]  # of the others there is nothing


def test_panels_that_are_equal_say_nothing_of_scatter() -> None:
    """No margin is named where the spread is not resolved."""
    table = panel_rows("modulus", {"RB-010": [1e8] * 3, "RB-011": [2e8] * 3}, condition="0.1 Hz")
    register = pd.DataFrame(
        {
            "batch": ["RB-010", "RB-011"],
            "recipe": "base",
            "candidate": ["none", "talc"],
            "dose_percent": [0.0, 5.0],
            "role": ["control", "candidate"],
        }
    )
    comparison = compare(Study(), results={"impedance": table}, batches=register)
    told = comments(draft(comparison, {}, {}, "a.toml"), "modulus")
    assert told.startswith("the panels of each of 2 batches are equal: the spread is not resolved")
    assert "power" not in told


def test_from_a_filed_lab_to_a_report_in_three_commands(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A study file is written, compared and reported as it is; a second one replaces nothing."""
    study, lab = tmp_path / "first.toml", str(EXAMPLE)
    assert main(["study", "RB-011", "--lab", lab, "-o", str(study)]) == 0
    assert f"tiecoat report {study} --lab {lab}" in capsys.readouterr().out
    assert main(["compare", str(study), "--lab", lab]) in {0, 1}
    assert "pull-off strength" in capsys.readouterr().out
    assert main(["report", str(study), "--lab", lab, "--to", str(tmp_path / "out")]) in {0, 1}
    assert (tmp_path / "out" / "report.html").is_file()
    before = study.read_bytes()
    assert main(["study", "RB-011", "--lab", lab, "-o", str(study)]) == 2
    assert "is there already, and may be filled in: name another" in capsys.readouterr().err
    assert study.read_bytes() == before


def test_a_batch_that_is_not_registered_is_told_with_those_that_are() -> None:
    """Near names first, then all that there are."""
    with pytest.raises(UnknownName) as told:
        draft_study(tiecoat.open(EXAMPLE), ["RB-0110"], "a.toml")
    there = ", ".join(f"RB-0{place}" for place in range(10, 19))
    assert str(told.value) == (
        "the register holds no batch RB-0110; near it: RB-011, RB-010, RB-018; there are " + there
    )
