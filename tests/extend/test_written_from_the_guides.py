"""A kind in pairs of files, written by somebody who had README, guides and reference alone.

It stands as it was written, but for the order of some lines; its author had not seen the source.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from labs import LabAtWork

import tiecoat
from tiecoat.ask.study_data import read_study, study_data
from tiecoat.cli import main
from tiecoat.intake.outcome import FileStatus
from tiecoat.report.write import ReportScope, write_report

PLUGIN = Path(__file__).with_name("abrasion")
REGISTER = "batch;recipe;candidate;dose [%];role\nRB-001;A;;0;control\nRB-002;B;talc;5;candidate\n"
WEAR = {  # mg in 1000 revolutions, of a run on the left and one on the right
    "RB-001-1": (60.0, 62.0),
    "RB-001-2": (61.0, 59.0),
    "RB-001-3": (58.0, 60.0),
    "RB-002-1": (90.0, 92.0),
    "RB-002-2": (91.0, 89.0),
    "RB-002-3": (88.0, 90.0),
}


def test_it_goes_from_drop_to_report(
    lab: Callable[..., LabAtWork], capsys: pytest.CaptureFixture[str]
) -> None:
    """Pairs are filed, and results, verdict, figure, page and command come of them."""
    modules = sorted(PLUGIN.glob("*.py"))
    assert sum(len(one.read_text(encoding="utf-8").splitlines()) for one in modules) < 150
    at_work = lab(readers={"folder": True, "processes": 1})
    for one in modules:
        (at_work.root / "readers" / one.name).write_bytes(one.read_bytes())
    at_work.take(at_work.drop("register.csv", REGISTER))
    for panel, runs in WEAR.items():
        for position, wear in zip(("left", "right"), runs, strict=True):
            head = {"abrader": "A2", "panel": panel, "position": position}
            head |= {"wheel load": "9.81 N", "tested": "2026-11-03 10:00"}
            lost = "".join(f"{turns};{wear * turns / 1000:g}\n" for turns in (0, 500, 1000))
            at_work.drop(f"{panel} {position}.abh", json.dumps(head))
            at_work.drop(f"{panel} {position}.abd", f"Revolutions;Mass loss (mg)\n{lost}")
    outcomes = at_work.take(*at_work.inbox.glob("*.abh"), *at_work.inbox.glob("*.abd"))
    assert {one.status for one in outcomes.values()} == {FileStatus.FILED}, outcomes

    archive = tiecoat.open(at_work.root)
    found = archive.evaluate("abrasion", quantity="wear_index").set_index("panel")["value"]
    assert found.round(9).to_dict() == {panel: sum(runs) / 2 for panel, runs in WEAR.items()}
    data = study_data(archive, read_study(None, lab=archive.lab))
    (verdict,) = data.comparison.verdicts
    assert (verdict.property, verdict.batch) == ("wear", "RB-002")
    # geometric means by hand: (91 90 89)^(1/3) and (61 60 59)^(1/3)
    assert abs(verdict.effect - (91 * 90 * 89 / (61 * 60 * 59)) ** (1 / 3)) < 1e-9
    assert verdict.outcome.value == "worse"

    page = write_report(data, at_work.root / "out", date(2026, 11, 26), ReportScope())
    told = page.read_text(encoding="utf-8")
    assert '<a href="#abrasion">Abrasion by loaded wheels</a>' in told
    assert "12 runs on 6 panels; the control is " in told
    assert (page.parent / "figures" / "figure_abrasion.svg").is_file()

    capsys.readouterr()
    assert main(["wear", "--lab", str(at_work.root), "--batch", "RB-001"]) == 0
    told = capsys.readouterr().out.splitlines()
    assert told[0] == "RB-001-1: 61.0 mg at 9.81 N"
    assert len(told) == 3
