"""What both labs have is compared and, where it contradicts itself, told; decisions travel."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import eventful_lab
import pytest
from bad_exports import density, pull_off
from labs import LabAtWork
from merged_labs import files, proved, rows
from typed_commands import TypedCommands

from tiecoat.archive import swap
from tiecoat.merge import merge as merging

Make = Callable[..., LabAtWork]
CLEAN = "nothing was changed: there is nothing new"


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> TypedCommands:
    """Runs a command on a lab; gives code, output, errors."""
    return TypedCommands(capsys, monkeypatch)


def filed(at_work: LabAtWork, name: str, content: str) -> str:
    """File an export, and return its one measurement."""
    at_work.drop(name, content)
    at_work.take()
    return eventful_lab.measurement(at_work, name)


def withdrawn(at_work: LabAtWork) -> dict[str, tuple[str | None, ...]]:
    """Return by file name why it does not count, who said so, and what takes its place."""
    names = ("withdrawn", "withdrawn_by", "withdrawn_why", "superseded_by")
    return {row["source_name"]: tuple(row[name] for name in names) for row in rows(at_work)}


def test_the_same_bytes_read_in_another_zone_are_told(lab: Make, run: TypedCommands) -> None:
    """With both times and what mends it; done in either lab, nothing is left to tell."""
    here, there = lab(), lab(times={"zone": "America/New_York"})
    mine = filed(here, "bench.csv", density())
    assert filed(there, "bench.csv", density()) == mine
    before = files(here)
    for _ in range(2):
        code, out, _ = run(here, "merge", str(there.root))
        assert code == 1
        assert (
            "both labs have it, read otherwise: measured_at: 2026-09-14 12:12:00+00:00 there,"
            " 2026-09-14 06:12:00+00:00 here." in out.replace("row 5, ", "")
        )
        assert 'times.zone: "America/New_York" then, "Europe/Berlin" now' in out
        assert f'tiecoat retract {mine} --why "..." and tiecoat refile {mine}' in out
        assert files(here) == before
    there.settle(times={"zone": "Europe/Berlin"})
    assert run(there, "retract", mine, "--why", "read in the wrong zone")[0] == 0
    assert run(there, "refile", mine)[0] == 0
    code, out, _ = run(here, "merge", str(there.root))
    assert code == 0
    assert "retracted there by" in out
    assert "where it has other values than here: here nothing is changed by that" in out
    assert {row["withdrawn"] for row in rows(here)} == {None}
    assert proved(here, run)


def test_the_same_bytes_read_by_another_reader_are_told(
    eventful: LabAtWork, at_work: LabAtWork, run: TypedCommands
) -> None:
    """Value for value; what is the same in both is not told of."""
    eventful_lab.mended(at_work)
    name = eventful_lab.measurement(at_work, "slip 2.txt")
    assert run(at_work, "retract", name, "--why", "read at 20 C")[0] == 0
    again = next(row for row in rows(at_work) if row["source_name"] == "slip 1.txt")["measurement"]
    assert run(at_work, "retract", again, "--why", "read at 20 C")[0] == 0
    assert run(at_work, "refile", again)[0] == 0
    there = eventful
    code, out, _ = run(at_work, "merge", str(there.root))
    told = re.findall(r"stands open: (both labs have it[^\n]*)\n  (\S+ \S+)", out)
    assert [name for _, name in told] == ["slip 1.txt"], out
    assert code == 1
    assert "1 measurement there, 2 others here" in told[0][0]


def test_a_decision_to_supersede_comes_where_the_winner_is_here(
    lab: Make, run: TypedCommands
) -> None:
    """The loser comes as it stands there: superseded, by whom and why; nothing is held."""
    here, there = lab(), lab()
    filed(there, "first.csv", pull_off(strength="4.72"))
    there.drop("second.csv", pull_off(strength="5.11"))
    there.take()
    assert run(there, "supersede", "second.csv", "--why", "dolly was measured again")[0] == 0
    filed(here, "second.csv", pull_off(strength="5.11"))
    code, out, _ = run(here, "merge", str(there.root))
    assert (code, here.held()) == (0, {}), out
    assert withdrawn(here) == withdrawn(there)
    assert withdrawn(here)["first.csv"][2] == "dolly was measured again"
    assert proved(here, run)
    third = lab()
    code, out, _ = run(third, "merge", str(here.root))
    assert code == 0, out
    assert withdrawn(third) == withdrawn(there)
    assert run(here, "merge", str(there.root))[1].splitlines()[-1] == CLEAN


def test_opposite_decisions_are_told(lab: Make, run: TypedCommands) -> None:
    """Each lab has the other value count: no row changes, both are named, and what mends it."""
    here, there = lab(), lab()
    low, high = pull_off(strength="4.72"), pull_off(strength="5.11")
    for one, every in (
        (here, (("high.csv", high), ("low.csv", low))),
        (there, (("low.csv", low), ("high.csv", high))),
    ):
        for name, content in every:
            one.drop(name, content)
            one.take()
        assert run(one, "supersede", every[1][0], "--why", "measured again")[0] == 0
    before = withdrawn(here)
    code, out, _ = run(here, "merge", str(there.root))
    assert (code, withdrawn(here)) == (1, before)
    mine = eventful_lab.measurement(here, "low.csv")
    theirs = eventful_lab.measurement(here, "high.csv")
    assert f"was superseded there by {theirs} (" in out
    assert f": measured again), and counts here; if that holds: tiecoat retract {mine} --why" in out
    assert run(here, "retract", mine, "--why", "as there")[0] == 0
    assert run(here, "refile", theirs)[0] == 0
    assert run(here, "merge", str(there.root))[0] == 0
    assert [row["strength_mpa"] for row in rows(here) if row["withdrawn"] is None] == [5.11]
    assert proved(here, run)


def test_a_decision_on_what_is_held_here_comes(lab: Make, run: TypedCommands) -> None:
    """What was brought as a conflict and has been retracted there since is held no longer."""
    here, there = lab(), lab()
    filed(here, "here.csv", pull_off(strength="4.72"))
    name = filed(there, "there.csv", pull_off(strength="5.11"))
    assert run(here, "merge", str(there.root))[0] == 1
    assert list(here.held()) == ["there.csv"]
    assert run(there, "retract", name, "--why", "dolly slipped")[0] == 0
    code, out, _ = run(here, "merge", str(there.root))
    assert (code, here.held()) == (0, {}), out
    assert withdrawn(here)["there.csv"][0::2] == ("retracted", "dolly slipped")
    assert withdrawn(here)["here.csv"][0] is None
    assert proved(here, run)
    assert run(here, "merge", str(there.root))[1].splitlines()[-1] == CLEAN


def test_of_two_retractions_the_later_one_stands_in_both(
    eventful: LabAtWork, at_work: LabAtWork, run: TypedCommands, tmp_path: Path
) -> None:
    """It is told, whichever lab is merged into which first; then both labs say the same."""
    copy = eventful.copy(tmp_path / "copy")
    name = eventful_lab.measurement(copy, "density.csv")
    assert run(at_work, "retract", name, "--why", "cup was wet")[0] == 0
    assert run(copy, "retract", name, "--why", "wrong cup")[0] == 0
    code, out, _ = run(copy, "merge", str(at_work.root))
    told = r"\(wrong cup\), and there by .* \(cup was wet\): the later decision stands, that of "
    assert (code, bool(re.search(told + "here", out))) == (0, True), out
    code, out, _ = run(at_work, "merge", str(copy.root))
    assert (code, "stands, that of there" in out) == (0, True), out
    assert rows(at_work) == rows(copy)
    assert withdrawn(at_work)["density.csv"][2] == "wrong cup"
    assert proved(at_work, run)
    assert "the later decision" not in run(copy, "merge", str(at_work.root))[1]


def test_settings_of_readers_that_read_nothing_are_not_told(lab: Make, run: TypedCommands) -> None:
    """Nor do they keep from being held what this lab would read alike."""
    here, there = lab(), lab(**{"read.transmitted_light": {"um_per_pixel": 3.0}})
    filed(here, "here.csv", pull_off(strength="4.72"))
    filed(there, "there.csv", pull_off(strength="5.11"))
    code, out, _ = run(here, "merge", str(there.root))
    assert (code, list(here.held())) == (1, ["there.csv"])
    assert "read." not in out


@pytest.mark.parametrize("name", ["misspelt", "around", "within", "file", "other"])
def test_a_mistyped_lab_is_told_with_what_there_is(
    lab: Make, run: TypedCommands, name: str, tmp_path: Path
) -> None:
    """Nothing is brought; no new lab is advised at that place."""
    here, there = lab(), lab()
    (tmp_path / "notes.txt").write_text("mine")
    (tmp_path / "sheets").mkdir()
    (tmp_path / "sheets" / "one.csv").write_text("1")
    place, said = {
        "misspelt": (tmp_path / "lab2", f"there is no lab2 in {tmp_path}; there is lab 2"),
        "around": (tmp_path, "it is the folder with the labs lab 1, lab 2"),
        "within": (there.root / "inbox", f"it is a folder within the lab {there.root}"),
        "file": (tmp_path / "notes.txt", "it is a file"),
        "other": (tmp_path / "sheets", "it is a folder with one.csv"),
    }[name]
    code, _, err = run(here, "merge", str(place))
    assert code == 2
    assert f"{place} is no lab that could be merged: {said}" in err
    assert "tiecoat new" not in err


def test_a_merge_that_was_cut_short_is_accounted_for(
    lab: Make, run: TypedCommands, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever completes it says what came, and what tells the rest; once."""
    here, there = lab(), lab()
    filed(here, "here.csv", pull_off(strength="4.72"))
    filed(there, "there.csv", pull_off(strength="5.11"))
    filed(there, "bench.csv", density())
    with monkeypatch.context() as patch:
        patch.setattr(swap, "finish_swap", lambda lab: None)
        merging.merge(here.lab, there.root, "M. Keller")
    assert (here.root / "rebuilt" / "ready.json").is_file()
    code, out, err = run(here, "take")
    told = (
        f"completed what was cut short: a merge with {there.root} by M. Keller: 2 files with"
        " 1 measurement, 1 of them held, and 0 measurements retracted or counting again. What of"
        f" that lab does not come, and why: tiecoat merge {there.root} --show\n"
    )
    assert told in err, (code, out, err)
    assert "cut short" not in run(here, "verify")[2]


@pytest.mark.parametrize("command", [["take"], ["held"], [], ["service", "status"]])
def test_a_lost_journal_is_told_by_what_needs_no_rows(
    at_work: LabAtWork, run: TypedCommands, command: list[str]
) -> None:
    """And the exit code says that something was found."""
    shutil.rmtree(at_work.root / "journal")
    code, out, err = run(at_work, *command)
    assert (code, "is not whole: it lacks the record " in out + err) == (
        2 if command[:1] == ["service"] else 1,
        True,
    )
    if command != ["take"]:
        code, out, _ = run(at_work, *command, "--json")
        said = json.loads(out)
        found = said.get("damage") or said["troubles"][0]
        assert "tiecoat rebuild --accept" in found
