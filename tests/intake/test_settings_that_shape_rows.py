"""Settings that shape rows: each filing keeps them, and a changed one files nothing twice."""

from __future__ import annotations

from pathlib import Path

import pytest
from bad_exports import density
from labs import LabAtWork, make_lab

from tiecoat.cli import main
from tiecoat.lab import system_zone as system
from tiecoat.lab.settings import open_lab


def run(at_work: LabAtWork, *words: str) -> int:
    return main([*words, "--lab", str(at_work.root)])


def test_each_filing_names_the_settings_it_was_made_by(tmp_path: Path) -> None:
    """They stand in the journal once, before the first filing that refers to them."""
    lab = make_lab(tmp_path / "lab")
    for hour in (8, 9):
        lab.drop(f"density {hour}.csv", density(at=f"15.09.2026;{hour:02}:00"))
        lab.take()
    lab.settle(times={"zone": "Europe/Paris"}, numbers={"decimal": "comma"})
    lab.drop("density 10.csv", density(at="15.09.2026;10:00"))
    lab.take()
    first, one, two, second, three = lab.journal()
    assert [r["event"] for r in (first, second)] == ["settings", "settings"]
    assert one["settings"] == two["settings"] == first["digest"]
    assert three["settings"] == second["digest"] != first["digest"]
    assert (first["settings"]["times"]["zone"], second["settings"]["times"]["zone"]) == (
        "Europe/Berlin",
        "Europe/Paris",
    )
    assert second["settings"]["numbers"] == {"decimal": "comma"}
    assert first["settings"]["ids"]["batch"] == "RB-[0-9]{3}"


def test_the_same_determinations_in_another_zone_are_a_conflict(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A second export of them after the zone was changed is held, and told why; it may replace."""
    lab = make_lab(tmp_path / "lab", times={"zone": "UTC"})
    lab.drop("density.csv", density())
    lab.take()
    lab.settle(times={"zone": "Europe/Berlin"})
    lab.drop("density again.csv", density() + "\n")
    told = lab.take()["density again.csv"]
    assert told.status == "held"
    held = lab.held()["density again.csv"]
    assert held["reason"] == "conflict"
    said = " ".join(held["told"].split())
    assert "the same values for density of RB-014" in said
    assert "by the clock of Europe/Berlin; that time was read in the zone UTC then" in said
    assert run(lab, "supersede", "density again.csv", "--why", "the zone was wrong") == 0
    assert "supersedes 1 measurement and adds 0:" in capsys.readouterr().out
    (before,) = [row for row in lab.rows("density", withdrawn=True) if row["withdrawn"]]
    (now,) = lab.rows("density")
    assert (before["source_name"], now["source_name"]) == ("density.csv", "density again.csv")
    assert (before["measured_at"] - now["measured_at"]).total_seconds() == 7200
    lab.drop("other values.csv", density("1,44", at="14.09.2026;12:12"))
    assert lab.take()["other values.csv"].status == "filed"
    assert run(lab, "verify") == 0
    assert run(lab, "rebuild") == 0


def test_several_schemes_of_ids_side_by_side(tmp_path: Path) -> None:
    """A list of patterns lets old and new ids in, each with the batch that its panel names."""
    lab = make_lab(
        tmp_path / "lab",
        ids={
            "batch": ["RB-[0-9]{3}", "P[0-9]{4}"],
            "panel": ["(?P<batch>RB-[0-9]{3})-[0-9]", "(?P<batch>P[0-9]{4})\\.[0-9]"],
        },
    )
    lab.drop("old.csv", density())
    lab.drop("new.csv", density(batch="P2041"))
    lab.drop("neither.csv", density(batch="Q7"))
    told = {name: one.status for name, one in lab.take().items()}
    assert told == {"old.csv": "filed", "new.csv": "filed", "neither.csv": "held"}
    assert {row["batch"] for row in lab.rows("density")} == {"RB-014", "P2041"}
    from bad_exports import impedance

    lab.drop("old panel.csv", impedance(panel="RB-014-3"))
    lab.drop("new panel.csv", impedance(panel="P2041.3"))
    lab.take()
    assert {(r["batch"], r["panel"]) for r in lab.rows("impedance")} == {
        ("RB-014", "RB-014-3"),
        ("P2041", "P2041.3"),
    }


def test_a_new_lab_has_the_zone_of_the_computer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is told and asked about; another one can be named, and must be where it is not known."""
    monkeypatch.setenv("TZ", "Europe/Lisbon")
    assert main(["new", str(tmp_path / "a")]) == 0
    assert open_lab(tmp_path / "a").settings.times.zone == "Europe/Lisbon"
    assert "Times without an offset are read as those of Europe/Lisbon." in capsys.readouterr().out
    assert "is it that of" in (tmp_path / "a" / "tiecoat.toml").read_text(encoding="utf-8")
    assert main(["new", str(tmp_path / "b"), "--zone", "Europe/Berlin"]) == 0
    assert open_lab(tmp_path / "b").settings.times.zone == "Europe/Berlin"
    monkeypatch.setattr(system, "LOCALTIME", tmp_path / "none")
    monkeypatch.setattr(system, "NAMED", tmp_path / "none")
    monkeypatch.setenv("TZ", "CET-1CEST")
    capsys.readouterr()
    assert main(["new", str(tmp_path / "c")]) == 2
    assert "tiecoat new FOLDER --zone Europe/Berlin" in capsys.readouterr().err
    assert not (tmp_path / "c").exists()
