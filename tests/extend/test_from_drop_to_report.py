"""A stranger's kind in pairs of files, with all that a plugin may bring: drop to report."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path

import openpyxl
import pytest
from labs import LabAtWork
from pptx import Presentation

import tiecoat
from tiecoat.ask.study_data import read_study, study_data
from tiecoat.cli import main
from tiecoat.intake.outcome import FileStatus
from tiecoat.report.write import ReportScope, write_report

PLUGIN = Path(__file__).with_name("hiding")
FILES = ("hiding.py", "evaluate_hiding.py", "command_hiding.py")
REGISTER = "batch;recipe;candidate;dose [%];role\nRB-001;A;;0;control\nRB-002;B;talc;5;candidate\n"
SPOTS = {  # reflectance over black, of 90 % over white
    "RB-001-1": (85.0, 85.2),
    "RB-001-2": (85.4, 85.6),
    "RB-001-3": (85.1, 84.9),
    "RB-002-1": (76.4, 76.6),
    "RB-002-2": (76.9, 77.1),
    "RB-002-3": (76.6, 76.2),
}


def with_hiding(at_work: LabAtWork, broken: Mapping[str, str] | None = None) -> LabAtWork:
    """Put the plugin into the readers folder of a lab, and six pairs into its inbox.

    `broken` is code by that in the place of which it comes.
    """
    for name in FILES:
        text = (PLUGIN / name).read_text(encoding="utf-8")
        for right, wrong in (broken or {}).items():
            text = text.replace(right, wrong)
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
    """Its property is compared without a study file; figure and page are in all of the report."""
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
    scope = ReportScope(slides=at_work.root / "out.pptx", workbook=at_work.root / "out.xlsx")
    page = write_report(data, at_work.root / "out", date(2026, 11, 26), scope)
    page = page.read_text(encoding="utf-8")
    assert re.search(r'id="further-figures".*<h3>Hiding power</h3>.*contrast ratio', page, re.S)
    assert (at_work.root / "out" / "figures" / "figure_hiding.svg").is_file()
    assert '<a href="#spots">Spots over black and white</a>' in page
    told = page.partition('<section id="spots"')[2].partition("</section>")[0]
    assert "<p>12 spots were read on 6 panels.</p>" in told
    cells = re.findall(r"<td[^>]*>(.*?)</td>", told)
    assert [re.sub(r"</?span[^>]*>", "", one) for one in cells] == [
        "RB-001",
        "84.9",
        "RB-002",
        "76.2",
    ]
    table = (at_work.root / "out" / "tables" / "page_spots_1.csv").read_text("utf-8-sig")
    assert table == "batch,over_black_percent\nRB-001,84.9\nRB-002,76.2\n"
    assert "page_spots_1" in openpyxl.load_workbook(at_work.root / "out.xlsx").sheetnames
    slides = [
        {shape.text_frame.text for shape in slide.shapes if shape.has_text_frame}
        for slide in Presentation(at_work.root / "out.pptx").slides
    ]
    spots = {"Spots over black and white", "12 spots were read on 6 panels."}
    assert any(spots <= one for one in slides)
    assert any("The darkest spot of each batch over black" in one for one in slides)


def test_its_command_is_one_of_tiecoat(
    lab: Callable[..., LabAtWork], capsys: pytest.CaptureFixture[str]
) -> None:
    """It is listed, asked for, answers scripts and exits as ours do."""
    at_work = with_hiding(lab(readers={"folder": True, "processes": 1}))
    capsys.readouterr()
    assert main(["hiding", "--lab", str(at_work.root), "--least", "90"]) == 1
    # means by hand: 76.5 / 90, 77.0 / 90, 76.4 / 90
    assert capsys.readouterr().out == "RB-002-1: 85.0 %\nRB-002-2: 85.6 %\nRB-002-3: 84.9 %\n"
    assert main(["hiding", "--lab", str(at_work.root), "--least", "50"]) == 0
    assert main(["--lab", str(at_work.root), "hiding", "--json"]) == 1
    answer = json.loads(capsys.readouterr().out)
    assert (answer["command"], answer["exit_code"]) == ("hiding", 1)
    assert len(answer["panels"]) == 6
    with pytest.raises(SystemExit, match="0"):
        main(["--lab", str(at_work.root), "--help"])
    assert "list panels that hide too little" in capsys.readouterr().out


def test_all_that_it_brings_is_listed(
    lab: Callable[..., LabAtWork], capsys: pytest.CaptureFixture[str]
) -> None:
    """By `tiecoat readers`: where each comes from, its author, its property, figure and page."""
    at_work = with_hiding(lab(readers={"folder": True, "processes": 1}))
    capsys.readouterr()
    assert main(["readers", "--json", "--lab", str(at_work.root)]) == 0
    told = json.loads(capsys.readouterr().out)
    sources = [str(at_work.root / "readers" / one) for one in FILES]
    (reader,) = (one for one in told["readers"] if one["name"] == "hiding_pair")
    assert (reader["source"], reader["author"]) == (sources[0], "the paint shop")
    per = {one["name"]: one["per"] for one in told["kinds"]}
    assert (per["hiding"], per["density"]) == ("panel", "batch")
    brought = {"name": "hiding power", "quantity": "contrast_ratio", "evaluation": "hiding"}
    assert brought in told["properties"]
    figure = {"name": "hiding", "kind": "hiding", "title": "Hiding power", "source": sources[1]}
    assert figure in told["figures"]
    ours = {one["name"]: one["source"] for one in told["figures"] if one != figure}
    assert {"air", "foam", "modulus", "rust", "gloss"} <= ours.keys()
    assert {one.partition(" of ")[0] for one in ours.values()} == {"report_courses"}
    assert {**figure, "name": "spots", "title": "Spots over black and white"} in told["pages"]
    does = "list panels that hide too little"
    assert {"name": "hiding", "does": does, "source": sources[2]} in told["commands"]


def test_figures_and_pages_that_break_down_say_so_in_their_place(
    lab: Callable[..., LabAtWork],
) -> None:
    """The report is written all the same, and names the faults."""
    broken = {"figure.subplots()": "figure.nothing()", "spots.groupby": "spots.nothing"}
    at_work = with_hiding(lab(readers={"folder": True, "processes": 1}), broken)
    archive = tiecoat.open(at_work.root)
    data = study_data(archive, read_study(None, lab=archive.lab))
    page = write_report(data, at_work.root / "out", date(2026, 11, 26)).read_text(encoding="utf-8")
    assert "The figure could not be drawn: AttributeError" in page
    assert "(evaluate_hiding.py, line 27)" in page
    told = page.partition('<section id="spots"')[2].partition("</section>")[0]
    assert "<p>12 spots were read on 6 panels.</p>" in told
    assert "The page could not be made: AttributeError: " in told
