"""Many held files: listed in part, chosen by filters, tried again, given ids, discarded."""

from __future__ import annotations

import time
from collections.abc import Callable, Collection
from pathlib import Path

import pytest
from bad_exports import density, impedance
from labs import LabAtWork
from many_held import hold_many
from typed_commands import TypedCommands

from tiecoat.intake.held import files
from tiecoat.reasons import Reason

Make = Callable[..., LabAtWork]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> TypedCommands:
    """Runs a command on a lab, with an answer typed if one is given; gives code, output, errors."""
    return TypedCommands(capsys, monkeypatch)


@pytest.fixture
def mixed(lab: Make) -> LabAtWork:
    """Five held files: two spectra without an id in a folder, one elsewhere, two bad densities."""
    at_work = lab()
    for day in (22, 23):
        spectrum = impedance(panel=None, at=f"2026-09-{day} 09:00")
        at_work.drop(f"day {day}.csv", spectrum, "week 39")
    at_work.drop("day 29.csv", impedance(panel=None, at="2026-09-29 09:00"), "week 40")
    at_work.drop("bad one.csv", density("x"))
    at_work.drop("bad two.csv", density("y"))
    at_work.take()
    assert len(at_work.held()) == 5
    return at_work


def names(out: str) -> set[str]:
    """Return the files that a text names."""
    return {word for word in ("day 22", "day 23", "day 29", "bad one", "bad two") if word in out}


def test_thousands_of_held_files_are_listed_in_part(
    lab: Make, run: TypedCommands, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Fifty by default, those held longest first, with how many more; no other record is read."""
    at_work = lab()
    at_work.drop("bad.csv", density("x"))
    at_work.take()
    ids = hold_many(at_work, "bad.csv", 2_000)
    read: list[str] = []

    def counting(folder: Path, reasons: Collection[Reason]) -> files.Held | None:
        read.append(folder.name)
        return files.read_held(folder, reasons)

    monkeypatch.setattr("tiecoat.intake.held.choosing.read_held", counting)
    began = time.process_time()
    code, out, _ = run(at_work, "held")
    assert time.process_time() - began < 1.0
    assert code == 1
    assert [line[:12] for line in out.splitlines() if "since" in line and ".csv" in line] == ids[
        :50
    ]
    assert "and 1,950 more; --limit 2000 lists all, --reason, --file, --since, --until" in out
    assert read == ids[:50]
    assert run(at_work, "held", "--limit", "2")[1].count(" bad.csv") == 2
    assert run(at_work, "held", "--file", "0019?*")[1].count(" bad.csv") == 10


def test_held_files_are_chosen(mixed: LabAtWork, run: TypedCommands) -> None:
    """By reason, name, folder and time; a word that is none of these is told."""
    for arguments, expected in (
        (["--reason", "no-panel"], {"day 22", "day 23", "day 29"}),
        (["--file", "BAD*"], {"bad one", "bad two"}),
        (["--file", "week 39/*"], {"day 22", "day 23"}),
        (["--file", "day 2?.csv", "--reason", "not-a-number"], set()),
        (["--since", "2026-01-01"], {"day 22", "day 23", "day 29", "bad one", "bad two"}),
        (["--until", "2026-01-01"], set()),
    ):
        code, out, _ = run(mixed, "held", *arguments)
        assert (code, names(out)) == (int(bool(expected)), expected), arguments
    code, _, err = run(mixed, "held", "--reason", "no-such")
    assert code == 2
    assert err.startswith(
        "tiecoat: no reason 'no-such'; there are: against-register, ambiguous-number, "
    )
    assert run(mixed, "held", "--since", "soon")[0] == 2


def test_many_get_their_id_at_once(mixed: LabAtWork, run: TypedCommands) -> None:
    """All of a folder get a panel in one step, after what it would do was shown and agreed to."""
    command = ["held", "assign", "--file", "week 39/*", "--panel", "RB-014-3"]
    code, out, err = run(mixed, *command)
    assert (code, names(out)) == (2, {"day 22", "day 23"})
    assert "say --yes" in err
    code, out, _ = run(mixed, *command, typed="")
    assert code == 1
    assert out.endswith("Give 2 files the id RB-014-3? [y/N] nothing was changed\n")
    assert len(mixed.held()) == 5
    code, out, _ = run(mixed, *command, typed="y")
    assert code == 0
    assert out.startswith("2 held files:\n")
    assert {(row["panel"], row["source_name"]) for row in mixed.rows("impedance")} == {
        ("RB-014-3", "day 22.csv"),
        ("RB-014-3", "day 23.csv"),
    }
    assert mixed.held().keys() == {"day 29.csv", "bad one.csv", "bad two.csv"}


def test_many_are_tried_again(mixed: LabAtWork, run: TypedCommands) -> None:
    """Those of one reason, and no other."""
    code, out, _ = run(mixed, "held", "retry", "--reason", "not-a-number", "--yes")
    assert code == 1
    assert sorted(line.split(":")[0] for line in out.splitlines() if line.startswith("held ")) == [
        "held    bad one.csv",
        "held    bad two.csv",
    ]
    code, out, err = run(mixed, "held", "--file", "none*", "retry", "--yes")
    assert (code, out) == (2, "")
    assert err == "tiecoat: no held file fits; list them with: tiecoat held\n"


def test_many_are_discarded(mixed: LabAtWork, run: TypedCommands) -> None:
    """Those chosen, each on record with who and why; their originals stay."""
    for wrong in ([], ["day 22.csv", "--file", "*"]):
        code, _, err = run(mixed, "held", "discard", *wrong, "--why", "w", "--yes")
        assert code == 2
        assert "say which: either ids or file names, or --reason" in err
    command = ["held", "discard", "--reason", "no-panel", "--why", "a test of the cell"]
    assert run(mixed, *command, typed="no")[0] == 1
    assert len(mixed.held()) == 5
    code, out, _ = run(mixed, *command, typed="yes")
    assert code == 0
    assert out.endswith("discarded 3 files; their originals stay\n")
    assert mixed.held().keys() == {"bad one.csv", "bad two.csv"}
    told = [line for line in mixed.journal() if line["event"] == "discarded"]
    assert {(line["name"], line["why"]) for line in told} == {
        (f"day {day}.csv", "a test of the cell") for day in (22, 23, 29)
    }
    for day in (22, 23, 29):
        assert mixed.original(impedance(panel=None, at=f"2026-09-{day} 09:00"))
    code, out, _ = run(mixed, "held", "discard", "bad one.csv", "bad two.csv", "--why", "spilled")
    assert code == 0
    assert "discarded bad one.csv; its original stays under" in out
    assert run(mixed, "verify")[0] == 0
