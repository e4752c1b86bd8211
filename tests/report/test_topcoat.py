"""A candidate that harms adhesion under a topcoat only: the first page of its report says so."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from labs import LabAtWork, make_lab
from matplotlib.figure import Figure
from report_reading import Element, read_page, verdict_rows
from test_small_reports import pulled
from undrawn import undrawn

import tiecoat
from tiecoat.ask.study_data import study_data
from tiecoat.cli import main
from tiecoat.compare.study import load_study
from tiecoat.report.brought_pages import made_pages
from tiecoat.report.evidence import single_tests
from tiecoat.report.figures import figures_of
from tiecoat.report.looks import looks, new_figure

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
    with undrawn():
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
    (gained,) = blocks["What benefit"]
    start = f"RB-011 (0.5 % defoamer) is better on pull-off strength, {ALONE} (+"
    assert gained.startswith(start)


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


def spectra(hours: float, panel: str, ohm_cm2: float) -> str:
    """Return an export of one spectrum of a film that is a resistor beside a capacitor."""
    rows = ["Film impedance", f"Panel\t{panel}", "Cell area\t15 cm2", ""]
    rows.append("t / h\tf / Hz\tRe / Ohm cm2\tIm / Ohm cm2")
    for power in range(10, -5, -1):
        frequency_hz = 10 ** (power / 2)
        z = 1 / complex(1 / ohm_cm2, 2 * math.pi * frequency_hz * 1e-11)
        rows.append(f"{hours:g}\t{frequency_hz:.5g}\t{z.real:.5E}\t{z.imag:.5E}")
    return "\n".join(rows) + "\n"


@pytest.fixture(scope="module")
def drawn(lab: LabAtWork, tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[Figure]]:
    """The figures of a lab that measured the impedance of these panels too."""
    mine = lab.copy(tmp_path_factory.mktemp("spectra") / "lab")
    for place, panel in enumerate(panels()):
        for hours in (24, 72):
            mine.drop(f"{panel} {hours}.txt", spectra(hours, panel, 1e8 * (place + 1)))
    mine.take()
    assert mine.held() == {}
    study = STUDY + '[[property]]\nname = "modulus"\n'
    data = study_data(tiecoat.open(mine.root), load_study(study))
    with looks():
        return figures_of(data, made_pages(data))


@pytest.mark.parametrize("name", ["modulus", "bode", "failure"])
def test_impedance_and_failures_have_a_figure_for_each_coat_system(
    drawn: dict[str, list[Figure]], name: str
) -> None:
    """Each is titled by its coats, as the tables are."""
    assert [one.get_suptitle() for one in drawn[name]] == [ALONE, TOPPED]


def test_a_figure_of_the_modulus_draws_the_panels_of_its_own_coats(
    drawn: dict[str, list[Figure]],
) -> None:
    """At 0.1 Hz the modulus is the resistance that the export was made with."""
    for coats, figure in zip((ALONE, TOPPED), drawn["modulus"], strict=True):
        lines = [np.asarray(line.get_ydata(), dtype=float) for line in figure.axes[0].lines]
        found = sorted({float(f"{value:.2g}") for line in lines for value in line if value > 1e7})
        places = enumerate(panels().values(), 1)
        assert found == [1e8 * place for place, (system, _) in places if system == coats]


def test_a_figure_of_the_failures_has_a_bar_a_panel_of_its_own_coats(
    drawn: dict[str, list[Figure]],
) -> None:
    """Three panels of each of two batches, all broken within the second coat."""
    for figure in drawn["failure"]:
        assert sum(len(bars) for bars in figure.axes[0].containers) == 6


def test_panels_that_are_alike_have_no_title() -> None:
    """Where nothing is told apart a figure needs no words for it."""
    assert new_figure(2.0).get_suptitle() == ""
