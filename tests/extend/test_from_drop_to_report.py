"""A stranger's kind in pairs of files, with evaluation, property and figure: drop to report."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from pathlib import Path

from labs import LabAtWork

import tiecoat
from tiecoat.ask.study_data import read_study, study_data
from tiecoat.intake.outcome import FileStatus
from tiecoat.report.write import ReportScope, write_report

PLUGIN = Path(__file__).with_name("hiding")
FILES = ("hiding.py", "evaluate_hiding.py")
REGISTER = "batch;recipe;candidate;dose [%];role\nRB-001;A;;0;control\nRB-002;B;talc;5;candidate\n"
SPOTS = {  # reflectance over black, of 90 % over white
    "RB-001-1": (85.0, 85.2),
    "RB-001-2": (85.4, 85.6),
    "RB-001-3": (85.1, 84.9),
    "RB-002-1": (76.4, 76.6),
    "RB-002-2": (76.9, 77.1),
    "RB-002-3": (76.6, 76.2),
}


def with_hiding(at_work: LabAtWork, broken: str = "") -> LabAtWork:
    """Put the plugin into the readers folder of a lab, and six pairs into its inbox."""
    for name in FILES:
        text = (PLUGIN / name).read_text(encoding="utf-8")
        text = text.replace("axes = figure.subplots()", broken) if broken else text
        (at_work.root / "readers" / name).write_text(text, encoding="utf-8")
    registered = at_work.take(at_work.drop("register.csv", REGISTER))
    assert registered["register.csv"].status is FileStatus.FILED, registered
    for panel, spots in SPOTS.items():
        head = f"contrast chart\npanel: {panel}\nread: 2026-11-03 10:00\n"
        at_work.drop(f"{panel}.chart", head)
        at_work.drop(f"{panel}.spots", "".join(f"{one} 90.0\n" for one in spots))
    outcomes = at_work.take(*at_work.inbox.glob("*.chart"), *at_work.inbox.glob("*.spots"))
    assert {one.status for one in outcomes.values()} == {FileStatus.FILED}, outcomes
    return at_work


def test_a_strangers_kind_goes_from_drop_to_report(lab: Callable[..., LabAtWork]) -> None:
    """Its property is compared without a study file; its figure is on page, in files, in slides."""
    at_work = with_hiding(lab(readers={"folder": True, "processes": 1}))
    assert sum(len((PLUGIN / one).read_text().splitlines()) for one in FILES) < 150
    archive = tiecoat.open(at_work.root)
    data = study_data(archive, read_study(None, lab=archive.lab))
    assert data.left_out == ()
    (verdict,) = data.comparison.verdicts
    assert (verdict.property, verdict.batch) == ("hiding power", "RB-002")
    # means by hand: 85.2 / 90 and 76.6333 / 90
    assert abs(verdict.effect - 100 * (76.6333 - 85.2) / 90) < 0.001
    assert verdict.outcome.value == "worse"
    scope = ReportScope(slides=at_work.root / "out.pptx")
    page = write_report(data, at_work.root / "out", date(2026, 11, 26), scope)
    page = page.read_text(encoding="utf-8")
    assert re.search(r'id="further-figures".*<h3>Hiding power</h3>.*contrast ratio', page, re.S)
    assert (at_work.root / "out" / "figures" / "figure_hiding.svg").is_file()


def test_a_figure_that_breaks_down_says_so_in_its_place(lab: Callable[..., LabAtWork]) -> None:
    """The report is written all the same, and names the fault."""
    at_work = with_hiding(lab(readers={"folder": True, "processes": 1}), "axes = figure.nothing()")
    archive = tiecoat.open(at_work.root)
    data = study_data(archive, read_study(None, lab=archive.lab))
    page = write_report(data, at_work.root / "out", date(2026, 11, 26)).read_text(encoding="utf-8")
    assert "The figure could not be drawn: AttributeError" in page
    assert "(evaluate_hiding.py, line 20)" in page
