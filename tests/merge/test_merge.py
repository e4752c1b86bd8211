"""Two labs become one: whatever happened in the other stands here as it stood there."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import eventful_lab
import pytest
from bad_exports import density, impedance, panel_row, panels, pull_off
from changing_kind import install, plugin, weighed
from labs import LabAtWork, Service, wait_until
from merged_labs import files, proved, rows
from typed_commands import TypedCommands

from tiecoat.cli import main

Make = Callable[..., LabAtWork]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> TypedCommands:
    """Runs a command on a lab; gives code, output, errors."""
    return TypedCommands(capsys, monkeypatch)


@pytest.fixture
def like_it(lab: Make, eventful: LabAtWork) -> LabAtWork:
    """An empty lab with the settings and the readers of the eventful one."""
    made = lab(readers={"folder": True})
    shutil.copytree(eventful.root / "readers", made.root / "readers", dirs_exist_ok=True)
    return made


def originals(at_work: LabAtWork) -> dict[str, bytes]:
    return {name: text for name, text in files(at_work).items() if name.startswith("originals/")}


def test_all_of_another_lab_comes(
    like_it: LabAtWork, eventful: LabAtWork, run: TypedCommands
) -> None:
    """Rows, ids, marks with who, when and why, originals, notes, what is held or was discarded.

    The other lab is not changed; a second merge changes nothing here.
    """
    before = files(eventful)
    code, out, err = run(like_it, "merge", str(eventful.root))
    assert (code, err) == (0, ""), out
    assert rows(like_it) == rows(eventful)
    assert originals(like_it) == originals(eventful)
    assert files(eventful) == before
    assert like_it.held().keys() == eventful.held().keys()
    assert out.splitlines()[-2] == (
        "14 files of that lab: 11 came with 13 measurements, 1 with values that this lab has,"
        " 1 that wait as there, 1 that were discarded there"
    )
    assert proved(like_it, run)
    kept = {"name", "sha256", "folder", "assigned", "who", "why", "notes", "reason", "settings"}
    for event in ("filed", "known", "held", "discarded", "retracted"):
        there = [one for one in eventful.journal() if one["event"] == event]
        here = [one for one in like_it.journal() if one["event"] == event]
        if event == "held":  # what was tried again since is told by what became of it
            there = [one for one in there if one["name"] in like_it.held()]
        assert [{k: one[k] for k in kept & one.keys()} for one in here] == [
            {k: one[k] for k in kept & one.keys()} for one in there
        ]
    (merged,) = [one for one in like_it.journal() if one["event"] == "merged"]
    first, *_, last = eventful.journal()
    assert (merged["lab"], merged["last"]) == (first["hash"], last["hash"])
    before = files(like_it)
    code, out, _ = run(like_it, "merge", str(eventful.root))
    assert (code, out.splitlines()[-1]) == (0, "nothing was changed: there is nothing new")
    assert files(like_it) == before


def test_a_copy_of_the_lab_brings_nothing(
    at_work: LabAtWork, eventful: LabAtWork, run: TypedCommands
) -> None:
    """Nothing of the lab changes; itself it cannot be merged with."""
    before = files(at_work)
    code, out, _ = run(at_work, "merge", str(eventful.root))
    assert (code, out.splitlines()[-1]) == (0, "nothing was changed: there is nothing new")
    assert files(at_work) == before
    code, _, err = run(at_work, "merge", str(at_work.root))
    assert (code, "is this lab itself" in err) == (2, True)


def test_only_what_is_new_of_a_copy_comes(
    at_work: LabAtWork, eventful: LabAtWork, run: TypedCommands, tmp_path: Path
) -> None:
    """Two copies that went on apart: what was filed and decided in one comes into the other.

    Of two decisions on one measurement the later one counts, however often they are merged.
    """
    copy = eventful.copy(tmp_path / "copy")
    leaked = eventful_lab.measurement(copy, "leaked.csv")
    spectrum = eventful_lab.measurement(copy, "spectrum.csv")
    copy.drop("later.csv", density(at="21.09.2026;08:00"))
    copy.take()
    at_work.drop("here.csv", density(at="22.09.2026;08:00"))
    at_work.take()
    assert run(copy, "reinstate", leaked, "--why", "it was another cell")[0] == 0
    assert run(copy, "retract", spectrum, "--why", "wrong panel")[0] == 0
    assert run(copy, "held", "discard", "waits.csv", "--why", "in vain")[0] == 0
    code, out, err = run(at_work, "merge", str(copy.root))
    assert (code, err) == (0, ""), out
    counted, decided = out.splitlines()[-2:]
    assert counted == (
        "15 files of that lab: 1 came with 1 measurement, 1 that were discarded there,"
        " 13 this lab had already"
    )
    assert decided == "2 measurements retracted or counting again; 0 that a person must settle"
    there = {row["measurement"]: row["withdrawn_why"] for row in rows(copy)}
    here = {row["measurement"]: row["withdrawn_why"] for row in rows(at_work)}
    assert {name: why for name, why in here.items() if name in there} == there
    assert (here[leaked], here[spectrum]) == (None, "wrong panel")
    assert at_work.held() == {}
    assert proved(at_work, run)
    assert run(at_work, "retract", leaked, "--why", "it did leak")[0] == 0
    assert run(at_work, "reinstate", spectrum, "--why", "right panel")[0] == 0
    before = files(at_work)
    assert run(at_work, "merge", str(copy.root))[0] == 0
    assert files(at_work) == before
    assert run(copy, "merge", str(at_work.root))[0] == 0
    assert rows(copy) == rows(at_work)
    assert proved(copy, run)


@pytest.fixture
def pair(lab: Make) -> tuple[LabAtWork, LabAtWork]:
    """Two labs of which each has a strength of one panel, and a spectrum of its own."""
    here, there = lab(), lab()
    here.drop("here.csv", pull_off(strength="4.72"))
    here.drop("spectrum.csv", impedance(panel="RB-014-1"))
    there.drop("there.csv", pull_off(strength="5.11"))
    there.drop("other spectrum.csv", impedance(panel="RB-015-1"))
    here.take()
    there.take()
    return here, there


def test_other_values_for_the_same_are_held(
    pair: tuple[LabAtWork, LabAtWork], run: TypedCommands
) -> None:
    """The rest comes; what is held can be filed by a person's decision, and is not held twice.

    A script that merges every night is told of it once: then it waits among the held.
    """
    here, there = pair
    code, out, _ = run(here, "merge", str(there.root))
    assert code == 1
    assert "contradicts this lab, and is held here (1)\n  there.csv: " in out
    assert {row["source_name"] for row in rows(here)} == {
        "here.csv",
        "spectrum.csv",
        "other spectrum.csv",
    }
    assert here.held()["there.csv"]["reason"] == "conflict"
    assert proved(here, run)
    before = files(here)
    code, out, _ = run(here, "merge", str(there.root))
    assert (code, "there.csv is held here already: tiecoat held show " in out) == (0, True)
    assert "2 files of that lab: 0 came with 0 measurements, 2 this lab had already\n" in out
    assert files(here) == before
    assert run(here, "supersede", "there.csv", "--why", "measured again")[0] == 0
    assert run(here, "merge", str(there.root))[0] == 0
    assert proved(here, run)


def test_a_retraction_of_values_that_another_file_has_here_is_told(
    lab: Make, run: TypedCommands
) -> None:
    """The same determination came here from other bytes: whether it counts, a person decides."""
    here, there = lab(), lab()
    here.drop("mine.csv", density())
    here.take()
    there.drop("theirs.csv", density() + "\n")
    there.take()
    there.drop("again.csv", density() + "\n\n")
    there.take()
    name = eventful_lab.measurement(there, "theirs.csv")
    assert run(there, "retract", name, "--why", "spilled")[0] == 0
    mine = eventful_lab.measurement(here, "mine.csv")
    for _ in range(2):
        code, out, _ = run(here, "merge", str(there.root))
        assert code == 1
        told = "(spilled), and the same values count here from mine.csv: tiecoat retract"
        assert f"{told} {mine}" in out
    assert [one["name"] for one in here.journal() if one["event"] == "known"] == [
        "theirs.csv",
        "again.csv",
    ]
    assert run(here, "retract", mine, "--why", "spilled")[0] == 0
    assert run(here, "merge", str(there.root))[0] == 0
    assert proved(here, run)


def test_registers_that_contradict_each_other_are_held(lab: Make, run: TypedCommands) -> None:
    """No row of the register of this lab is replaced by one of the other, nor a panel moved."""
    here, there = lab(), lab()
    row = panel_row("RB-014-3", "RB-014")
    here.drop("register.csv", panels(row))
    there.drop("their register.csv", panels(row.replace("180", "195")))
    there.drop("more.csv", panels(panel_row("RB-015-1", "RB-015")))
    here.take()
    there.take()
    there.drop("spectrum.csv", impedance(panel="RB-015-1"))
    there.take()
    code, out, _ = run(here, "merge", str(there.root))
    assert (code, list(here.held())) == (1, ["their register.csv"])
    assert {row["source_name"] for row in rows(here)} == {
        "register.csv",
        "more.csv",
        "spectrum.csv",
    }
    assert {row["withdrawn"] for row in rows(here)} == {None}
    assert "unregistered" not in str(rows(here))
    assert proved(here, run), out


def test_times_of_another_zone_stay_what_they_were(lab: Make, run: TypedCommands) -> None:
    """Rows keep their moments and are made again so; the same by the clock is told, not filed."""
    here, there = lab(), lab(times={"zone": "America/New_York"})
    same = density(batch="RB-016")
    here.drop("same.csv", same)
    there.drop("same again.csv", same + "\n")
    there.drop("new york.csv", density(at="21.09.2026;08:00"))
    here.take()
    there.take()
    code, out, _ = run(here, "merge", str(there.root))
    assert (code, here.held()) == (1, {})
    assert 'times.zone: "America/New_York" then, "Europe/Berlin" now' in out
    assert "and is read otherwise by the settings of this lab: settle it there" in out
    mine = {row["source_name"]: row["measured_at"] for row in rows(here)}
    theirs = {row["source_name"]: row["measured_at"] for row in rows(there)}
    assert mine["new york.csv"] == theirs["new york.csv"]
    assert mine.keys() == {"same.csv", "new york.csv"}
    assert proved(here, run)


def test_zones_of_the_labs_do_not_matter_to_times_with_an_offset(
    lab: Make, run: TypedCommands
) -> None:
    """What contradicts this lab is held here, and what waits there comes, as with equal zones."""
    here, there = lab(), lab(times={"zone": "America/New_York"})
    offset = {"at": "2026-09-14T08:12:00+02:00"}
    here.drop("mine.csv", density("1,42", **offset).replace("Date;Time", "Time"))
    there.drop("theirs.csv", density("1,43", **offset).replace("Date;Time", "Time"))
    there.drop("waits.csv", density(batch="X1", **offset).replace("Date;Time", "Time"))
    there.drop("by the clock.csv", density(batch="X2"))
    here.take()
    there.take()
    code, out, _ = run(here, "merge", str(there.root))
    assert (code, here.held().keys()) == (1, {"theirs.csv", "waits.csv"}), out
    told = "is held there, and is read otherwise by the settings of this lab: settle it there"
    assert f"does not come: {told} (1)\n  by the clock.csv\n" in out
    assert "3 files of that lab: 0 came with 0 measurements, 1 that wait as there," in out
    assert proved(here, run)


def test_ids_of_another_look_wait_for_their_pattern(lab: Make, run: TypedCommands) -> None:
    """They are named with what to do; done, the next merge brings them under their ids."""
    here, there = lab(), lab(ids={"batch": "P[0-9]{4}", "panel": "(?P<batch>P[0-9]{4})/[0-9]"})
    there.drop("p.csv", density(batch="P2041"))
    there.take()
    code, out, _ = run(here, "merge", str(there.root))
    assert (code, rows(here), originals(here)) == (1, [], {})
    assert "batch P2041 does not fit" in out
    assert "add its pattern to ids.batch in tiecoat.toml, then merge again" in out
    here.settle(
        ids={"batch": ["RB-[0-9]{3}", "P[0-9]{4}"], "panel": "(?P<batch>RB-[0-9]{3})-[0-9]"}
    )
    assert run(here, "merge", str(there.root))[0] == 0
    assert rows(here) == rows(there)
    assert proved(here, run)


def test_readers_of_the_other_lab_are_asked_for(
    lab: Make, eventful: LabAtWork, run: TypedCommands
) -> None:
    """What this lab could not make again does not come before its reader; all else does."""
    here = lab(readers={"folder": True})
    code, out, _ = run(here, "merge", str(eventful.root))
    assert code == 1
    assert "it was read by slip, which this lab does not have: copy it from" in out
    assert [name for name in ("slip 1.txt", "slip 2.txt") if f"  {name}\n" in out] == [
        "slip 1.txt",
        "slip 2.txt",
    ]
    assert run(here, "verify")[0] == 0
    shutil.copytree(eventful.root / "readers", here.root / "readers", dirs_exist_ok=True)
    assert run(here, "merge", str(eventful.root))[0] == 0
    assert rows(here) == rows(eventful)
    assert proved(here, run)


def test_what_is_damaged_there_does_not_come(
    like_it: LabAtWork, at_work: LabAtWork, run: TypedCommands
) -> None:
    """Each file is named with what is wrong; once it is mended, it comes."""
    (original,) = at_work.root.glob("originals/*/*/density.csv")
    table = at_work.root / "archive/impedance/RB-015/data.parquet"
    before = rows(at_work), original.read_bytes(), table.read_bytes()
    original.write_bytes(b"something else")
    table.write_bytes(b"PAR1")
    (one,) = at_work.root.glob("originals/*/*/first.csv")
    shutil.move(one, at_work.root / "first.csv")
    code, out, _ = run(like_it, "merge", str(at_work.root))
    assert code == 1
    for name, why in (
        ("density.csv", "density.csv was changed after it was stored"),
        ("day 2.csv", "cannot be read as Parquet"),
        ("first.csv", "its original is not there"),
        ("second.csv", "what it superseded does not come"),
    ):
        (title,) = [t for t in out.split("does not come: ") if f"  {name}\n" in t]
        assert why in title
    assert proved(like_it, run)
    original.write_bytes(before[1])
    table.write_bytes(before[2])
    shutil.move(at_work.root / "first.csv", one)
    assert run(like_it, "merge", str(at_work.root))[0] == 0
    assert rows(like_it) == before[0]
    assert proved(like_it, run)


def test_a_damaged_journal_is_not_relied_on(
    like_it: LabAtWork, at_work: LabAtWork, run: TypedCommands
) -> None:
    """Nothing comes; the message names the line, and what to do there."""
    (journal,) = (at_work.root / "journal").iterdir()
    lines = journal.read_bytes().splitlines(keepends=True)
    forged = lines[3].replace(b"RB", b"RC")
    for change in ([*lines[:4], *lines[5:]], [*lines[:3], forged, *lines[4:]]):
        journal.write_bytes(b"".join(change))
        code, _, err = run(like_it, "merge", str(at_work.root))
        assert code == 2
        assert f"journal/{journal.name}, line " in err
        assert f"Mend it there first: tiecoat verify --lab {at_work.root}" in err
    shutil.rmtree(at_work.root / "journal")
    assert run(like_it, "merge", str(at_work.root))[0] == 2
    assert (rows(like_it), originals(like_it)) == ([], {})


def test_what_would_come_is_shown(
    like_it: LabAtWork, eventful: LabAtWork, run: TypedCommands
) -> None:
    """The same is told as when it is done, and nothing is changed."""
    before = files(like_it)
    code, shown, _ = run(like_it, "merge", str(eventful.root), "--show")
    assert (code, files(like_it)) == (0, before)
    code, done, _ = run(like_it, "merge", str(eventful.root))
    assert shown.replace("would come", "came") == done


def test_a_service_is_stopped_first(
    like_it: LabAtWork,
    eventful: LabAtWork,
    serve: Callable[..., Service],
    run: TypedCommands,
) -> None:
    """While one runs here the merge says so and does nothing; one of the other lab may run."""
    service = serve(like_it)
    wait_until((like_it.root / ".service.holder").is_file, "the service has the lab")
    code, _, err = run(like_it, "merge", str(eventful.root))
    assert (code, "serves" in err, rows(like_it)) == (2, True, [])
    assert service.stop() == 0
    assert main(["merge", str(eventful.root), "--lab", str(like_it.root)]) == 0


@pytest.mark.parametrize(
    ("plugin_here", "said"),
    [
        (plugin(3), "its table of coat_weight is of another version of the kind than here"),
        (
            plugin(1).replace("ge=0", "ge=0, le=5"),
            (
                "heavy.csv, row 5, column 'weight': found 12.5 g; expected between 0 and 5 g."
                " So the plugin of coat_weight here has it: give both labs one"
            ),
        ),
    ],
    ids=["version", "bounds"],
)
def test_rows_of_a_kind_that_is_another_here_do_not_come(
    lab: Make, run: TypedCommands, plugin_here: str, said: str
) -> None:
    """Of another version, or beyond what its columns may hold here; what keeps to it comes."""
    here, there = lab(readers={"folder": True}), lab(readers={"folder": True})
    install(there, plugin(1))
    there.drop("heavy.csv", weighed("RB-014-1", grams="12,5"))
    there.drop("light.csv", weighed("RB-014-2", grams="0,25"))
    there.drop("wrong.csv", weighed("RB-014-3", grams="99"))
    there.take()
    (wrong,) = [row["measurement"] for row in rows(there) if row["source_name"] == "wrong.csv"]
    run(there, "retract", wrong, "--why", "the balance was not level", "--yes")
    install(here, plugin_here)
    here.take()
    code, out, _ = run(here, "merge", str(there.root))
    assert code == 1
    assert said in " ".join(out.split())
    came = {row["source_name"] for row in rows(here)}
    assert came == (set() if "version" in said else {"light.csv", "wrong.csv"})
    assert run(here, "verify")[0] == 0
