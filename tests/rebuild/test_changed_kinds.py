"""`tiecoat rebuild` after a kind has changed, or its plugin is gone."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from changing_kind import KIND, install, plugin, weighed
from labs import LabAtWork, make_lab

from tiecoat.archive.amend import retract
from tiecoat.ask.query import Archive
from tiecoat.cli import main
from tiecoat.verify.verify import verify


@pytest.fixture
def at_work(tmp_path: Path) -> LabAtWork:
    """A lab with two tables of the kind in its first version; one measurement is retracted."""
    at_work = make_lab(tmp_path / "lab", readers={"processes": 1, "folder": True})
    install(at_work, plugin(1))
    at_work.drop("a.csv", weighed())
    at_work.drop("b.csv", weighed("RB-014-2", grams="0,25"))
    at_work.drop("c.csv", weighed("RB-015-1", grams="3"))
    at_work.take()
    (one,) = Archive(at_work.lab).measurements(panel="RB-014-2")["measurement"]
    retract(at_work.lab, [one], "M. Keller", "the balance was not level")
    return at_work


def run(at_work: LabAtWork, *arguments: str) -> int:
    """Run a command on the lab."""
    return main([*arguments, "--lab", str(at_work.root)])


def test_rows_that_were_taken_along_are_made_again_as_they_stand(at_work: LabAtWork) -> None:
    """Today's reader gives what the kind has made of them: ids, values, marks; nothing differs."""
    install(at_work, plugin(3))
    assert run(at_work, "upgrade") == 0
    before = at_work.rows(KIND, withdrawn=True)
    assert [row["weight"] for row in before] == [12500, 250, 3000]
    assert run(at_work, "rebuild") == 0
    assert at_work.rows(KIND, withdrawn=True) == before
    assert [row["withdrawn_why"] for row in before if row["withdrawn"]] == [
        "the balance was not level"
    ]
    assert verify(at_work.lab).findings == ()
    assert not (at_work.root / "rebuild_differences.csv").exists()


def test_without_a_function_a_rebuild_reads_all_anew_and_tells_every_value(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """Old and new values stand by column on the screen, and all of them in a file."""
    install(at_work, plugin(3, migrate=""))
    assert run(at_work, "rebuild") == 1
    said = capsys.readouterr().out
    assert "weight: 12.5 g -> 12500 mg" in said
    assert f"All old and new values stand in {at_work.root}/rebuild_differences.csv" in said
    with (at_work.root / "rebuild_differences.csv").open(newline="") as file:
        listed = list(csv.DictReader(file))
    changed = [
        (one["file"], one["column"], one["then"], one["unit"], one["now"], one["unit now"])
        for one in listed
    ]
    assert sorted(changed) == [
        ("a.csv", "weight", "12.5", "g", "12500.0", "mg"),
        ("b.csv", "weight", "0.25", "g", "250.0", "mg"),
        ("c.csv", "weight", "3.0", "g", "3000.0", "mg"),
    ]
    assert run(at_work, "rebuild", "--accept") == 0
    assert Archive(at_work.lab).read(KIND)["weight"].tolist() == [12500, 3000]
    assert verify(at_work.lab).findings == ()
    at_work.drop("d.csv", weighed("RB-015-2"))
    assert at_work.take()["d.csv"].status == "filed"


def test_a_plugin_that_is_gone_is_named_and_loses_nothing(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its tables stay through upgrades; a rebuild refuses to lose them until the kind is named."""
    (at_work.root / "readers" / "coat.py").unlink()
    before = at_work.rows(KIND, withdrawn=True)
    assert run(at_work, "upgrade") == 0
    said = capsys.readouterr().out
    assert f"{KIND}: no plugin brings it any more; its 2 tables stay as they are" in said
    assert run(at_work, "rebuild", "--accept") == 1
    said = capsys.readouterr().out
    assert f"kind {KIND!r} of 3 measurements is brought by no plugin any more" in said
    assert "reader 'coat_table', which read 3 measurements, is brought by no plugin" in said
    assert f"Take the new one with: tiecoat rebuild --accept --leave-out {KIND}\n" in said
    assert at_work.rows(KIND, withdrawn=True) == before
    assert run(at_work, "rebuild", "--accept", "--leave-out", KIND) == 0
    assert not (at_work.root / "archive" / KIND).exists()
    assert verify(at_work.lab).findings == ()
