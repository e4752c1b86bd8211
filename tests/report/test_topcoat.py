"""A candidate that harms adhesion under a topcoat only: the first page of its report says so."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest
from labs import LabAtWork, make_lab
from report_reading import Element, read_page, verdict_rows
from test_small_reports import pulled

import tiecoat
from tiecoat.ask.study_data import study_data
from tiecoat.cli import main
from tiecoat.compare.study import load_study
from tiecoat.report.evidence import single_tests

ALONE, TOPPED = "epoxy primer", "epoxy primer, polyurethane topcoat"
STRENGTHS = {  # three panels of the primer alone, then three with the topcoat
    "RB-010": [7.0, 7.4, 7.2, 9.0, 9.3, 9.1],
    "RB-011": [8.4, 8.6, 8.5, 5.8, 6.0, 6.1],
}
STUDY = '[[property]]\nname = "pull-off strength"\nmargin = 1\n'


def panels() -> dict[str, tuple[str, float]]:
    """Return coat system and strength of each panel."""
    return {
        f"{batch}-{place}": (ALONE if place <= 3 else TOPPED, value)
        for batch, values in STRENGTHS.items()
        for place, value in enumerate(values, 1)
    }


def register() -> str:
    """Return the register of two batches and their panels."""
    lines = [
        "Batch,Recipe,Candidate,Dose (%),Role,Mixed on,Note",
        "RB-010,base,none,,control,2026-09-10,",
        "RB-011,base + defoamer,defoamer,0.5,candidate,2026-09-11,",
        "",
        "Panel,Batch,Substrate,Coat system,Dry film (µm),Coated on,Immersed at,Note",
    ]
    for panel, (coats, _) in panels().items():
        lines.append(f'{panel},{panel[:6]},steel Sa 2½,"{coats}",180,2026-09-14,,')
    return "\n".join(lines) + "\n"


@pytest.fixture(scope="module")
def lab(tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """A lab that pulled off primers with and without a topcoat."""
    made = make_lab(tmp_path_factory.mktemp("topcoat") / "lab")
    made.drop("register.csv", register())
    made.take()
    made.drop("pull.csv", pulled({name: (value, value) for name, (_, value) in panels().items()}))
    made.take()
    assert made.held() == {}
    (made.root / "study.toml").write_text(STUDY, encoding="utf-8")
    return made


@pytest.fixture(scope="module")
def folder(lab: LabAtWork) -> Path:
    """Its report."""
    out = lab.root.parent / "out"
    arguments = ["report", str(lab.root / "study.toml"), "--lab", str(lab.root), "--to", str(out)]
    assert main(arguments) == 0
    return out


@pytest.fixture(scope="module")
def page(folder: Path) -> Element:
    """Its page."""
    return read_page(folder / "report.html")


def test_the_harm_under_the_topcoat_is_on_the_first_page(page: Element) -> None:
    """Better on the primer alone, 3.2 MPa worse under the topcoat: both with their coat system."""
    (answer,) = (one for one in page.all("section") if one.attributes["id"] == "answer")
    blocks = {
        one.all("h3")[0].text: [item.text for item in one.all("li")]
        for one in answer.all("div")
        if one.attributes["class"].startswith("block ")
    }
    assert blocks["Which candidate"][0] == (
        f"No candidate is shown to do no harm on pull-off strength, {ALONE} and pull-off strength,"
        f" {TOPPED}."
    )
    (told,) = blocks["What harm"]
    start = f"RB-011 (0.5 % defoamer) is worse on pull-off strength, {TOPPED} (−3.17 MPa; "
    assert told.startswith(start)
    assert told.endswith(f"though better on pull-off strength, {ALONE}.")


def test_a_figure_draws_the_tests_of_its_own_coat_system(lab: LabAtWork) -> None:
    """No single test of a panel with the topcoat stands in the picture of the primer alone."""
    data = study_data(tiecoat.open(lab.root), load_study(STUDY))
    for wanted, coats in zip(data.comparison.properties, (ALONE, TOPPED), strict=True):
        drawn = single_tests(data, wanted)
        assert drawn is not None
        mine = sorted(value for system, value in panels().values() if system == coats)
        assert sorted(drawn["strength_mpa"].tolist()) == sorted([*mine, *mine])  # two a panel


def test_each_coat_system_is_a_row_of_verdicts_with_its_own_panels(
    page: Element, folder: Path
) -> None:
    """Three panels a batch on each line, and what leads back names these panels alone."""
    rows = verdict_rows(page)
    lines = [f"pull-off strength, {coats}" for coats in (ALONE, TOPPED)]
    assert set(rows) == {(line, "RB-011") for line in lines}
    assert [rows[line, "RB-011"][2] for line in lines] == ["3", "3"]
    values = pd.read_csv(folder / "tables" / "values.csv", encoding="utf-8-sig")
    evidence = pd.read_csv(folder / "tables" / "evidence.csv", encoding="utf-8-sig")
    for line, coats in zip(lines, (ALONE, TOPPED), strict=True):
        mine = {name for name, (system, _) in panels().items() if system == coats}
        assert set(values.loc[values["property"] == line, "name"]) == mine
        assert set(evidence.loc[evidence["property"] == line, "name"]) == mine
        assert (evidence[evidence["property"] == line].groupby("name").size() == 2).all()
