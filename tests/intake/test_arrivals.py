"""What arrives twice, under odd names, by odd ways, or stays where it is."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from bad_exports import density, impedance, pull_off
from faulty_disk import Killed
from labs import LabAtWork

from tiecoat.cli import main
from tiecoat.disk import fsio

Make = Callable[..., LabAtWork]

ODD_NAMES: list[str | bytes] = [
    "with  two spaces .csv",
    "Küche Früh Größe ½.csv",
    "Ku\u0308che.csv",  # the same word in another normal form
    "🎨 👩‍🔬 Fließkurve.csv",
    "日本.csv",
    b"caf\xe9 \xff\xfe.csv",
    b"\xff" * 250 + b".csv",
    "ü" * 125 + ".csv",
    "line\nbreak.csv",
    "escape\x1b[31mred.csv",
    "[bold]markup[red].csv",
    "-rf --lab.csv",
    "'; drop table originals; --.csv",
    "%s {name} $HOME `id`.csv",
    "a" * 251 + ".csv",
    "no ending",
    "RB-014 and RB-015.csv",
    "CON.csv",
    "trailing dot.csv.",
]


def test_odd_file_names_are_filed(lab: Make, capsys: pytest.CaptureFixture[str]) -> None:
    """Whatever a file is called, it is filed, kept, told in one line, and moved into done/."""
    at_work = lab()
    for n, name in enumerate(ODD_NAMES):
        at_work.drop(name, density(at=f"14.09.2026;08:{n:02}"))
    at_work.drop("good.csv", density(at="14.09.2026;09:00"), folder=os.fsdecode(b"f\xfcnf \n"))
    assert main(["take", "--lab", str(at_work.root)]) == 0
    printed = capsys.readouterr().out
    lines = [line for line in printed.splitlines() if line.startswith("filed")]
    assert len(lines) == len(ODD_NAMES) + 1
    assert "\x1b" not in printed
    rows = at_work.rows("density")
    assert len(rows) == len(ODD_NAMES) + 1
    assert all(row["source_name"].isprintable() or "\u200d" in row["source_name"] for row in rows)
    for n, name in enumerate(ODD_NAMES):
        assert at_work.original(density(at=f"14.09.2026;08:{n:02}"))
        assert os.path.lexists(os.path.join(os.fsencode(at_work.done), os.fsencode(name)))  # noqa: PTH118
    assert [name for name in at_work.waiting() if "." in name] == []


def test_odd_file_names_are_held(lab: Make) -> None:
    """The same for files that are held: the reason stands beside a copy of the file."""
    at_work = lab()
    for n, name in enumerate(ODD_NAMES):
        at_work.drop(name, density(f"x{n}"), folder=os.fsdecode(b"f\xfcnf"))
    at_work.take()
    assert len(at_work.held()) == len(ODD_NAMES)
    for record in at_work.held().values():
        assert record["folder"] == "f_nf"
        assert sorted(path.name for path in record["place"].iterdir()) == sorted(
            [record["name"], "reason.json", "reason.txt"]
        )
    assert main(["held", "--lab", str(at_work.root)]) == 1


def test_same_names_other_contents(lab: Make) -> None:
    """Files of one name do not overwrite each other in done/, however long the name is."""
    at_work = lab()
    long = "b" * 251 + ".csv"
    for n in range(3):
        at_work.drop("today.csv", density(at=f"14.09.2026;08:0{n}"))
        at_work.drop(long, density(at=f"14.09.2026;09:0{n}"))
        at_work.drop("today.csv", density(at=f"14.09.2026;10:0{n}"), folder="bench 2")
        at_work.take()
    done = at_work.done
    assert sorted(path.name for path in done.glob("today*")) == [
        "today (2).csv",
        "today (3).csv",
        "today.csv",
    ]
    assert len(list(done.glob("bbb*"))) == 3
    assert len(list((done / "bench 2").iterdir())) == 3
    assert len(at_work.rows("density")) == 9


def test_only_the_inbox_has_a_done_folder(lab: Make) -> None:
    """A folder that happens to be named done below another holds exports like any other."""
    at_work = lab()
    at_work.drop("a.csv", density(at="14.09.2026;08:01"), folder="done")
    at_work.drop("b.csv", density(at="14.09.2026;08:02"), folder="bench 2/done")
    at_work.drop("c.csv", density(at="14.09.2026;08:03"), folder="bench 2/done/done")
    told = at_work.take()
    assert {name: outcome.status for name, outcome in told.items()} == {
        "b.csv": "filed",
        "c.csv": "filed",
    }
    done, month = at_work.inbox / "done", at_work.done.name
    assert {path.relative_to(done).as_posix() for path in done.rglob("*.csv")} == {
        "a.csv",
        f"{month}/bench 2/done/b.csv",
        f"{month}/bench 2/done/done/c.csv",
    }


def test_done_is_by_month(lab: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is filed goes into the folder of its month, once, also if the process dies just then.

    What lies in done/ from before stays where it is.
    """
    at_work = lab()
    (at_work.inbox / "done" / "bench 2").mkdir(parents=True)
    flat = at_work.inbox / "done" / "bench 2" / "old.csv"
    flat.write_text(density(at="14.09.2026;08:01"))
    at_work.drop("new.csv", density(at="14.09.2026;08:02"), folder="bench 2")

    def die(*_: object) -> None:
        raise Killed

    with monkeypatch.context() as patch:
        patch.setattr(fsio, "move", die)
        with pytest.raises(Killed):
            at_work.take()
    at_work.take()
    files = {path for path in at_work.inbox.rglob("*") if path.is_file()}
    assert files == {flat, at_work.done / "bench 2" / "new.csv"}
    assert re.fullmatch(r"20[0-9]{2}-[01][0-9]", at_work.done.name)
    assert [row["source_name"] for row in at_work.rows("density")] == ["new.csv"]


def test_a_copy_from_done_is_taken_by_the_folders_it_came_from(lab: Make) -> None:
    """Neither done/ nor the month is taken for a folder of the instrument."""
    at_work = lab(ids={"batch": "[0-9]{4}-[0-9]{2}", "panel": "P[0-9]+"})
    path = at_work.done / "bench 2" / "a.csv"
    path.parent.mkdir(parents=True)
    path.write_text(density(batch=""))
    assert at_work.take(path)["a.csv"].status == "held"  # no batch
    (held,) = at_work.held().values()
    assert (held["reason"], held["folder"]) == ("no-batch", "bench 2")


def test_same_content_is_filed_once(lab: Make) -> None:
    """The same bytes again, under another name, or twice in one scan, are told as known."""
    at_work = lab()
    at_work.drop("first.csv", density())
    at_work.drop("twin.csv", density())
    told = at_work.take()
    assert [outcome.status for outcome in told.values()] == ["filed"]
    assert len(at_work.rows("density")) == 1
    assert at_work.waiting() == []
    for name in ("first.csv", "renamed.csv"):
        at_work.drop(name, density())
        told = at_work.take()
        assert told[name].status == "known"
        assert "filed before, as first.csv" in told[name].line
    assert len(at_work.rows("density", withdrawn=True)) == 1
    assert len(list((at_work.root / "originals").glob("??/*/*"))) == 1
    assert at_work.waiting() == []


def test_twins_of_a_backlog_are_kept_once(lab: Make) -> None:
    """The same bytes under 300 names, preserved by several threads, have one original."""
    at_work = lab()
    for number in range(300):
        at_work.drop(f"twin {number:03d}.csv", density())
    at_work.take()
    assert len(list((at_work.root / "originals").glob("??/*/*"))) == 1
    assert len(at_work.rows("density", withdrawn=True)) == 1
    assert at_work.waiting() == []


def test_same_values_in_another_file(lab: Make) -> None:
    """Another file with the same determinations and values is kept and filed nowhere twice."""
    at_work = lab()
    at_work.drop("first.csv", density())
    at_work.take()
    again = density().replace("Density bench", "Density bench, printed again")
    at_work.drop("again.csv", again)
    told = at_work.take()
    assert told["again.csv"].status == "known"
    assert "in the archive already, with the same values" in told["again.csv"].line
    assert len(at_work.rows("density", withdrawn=True)) == 1
    assert at_work.original(again)


def test_same_content_is_held_once(lab: Make) -> None:
    """The same bad bytes again lead to the one held file that there is."""
    at_work = lab()
    at_work.drop("bad.csv", density("x"))
    at_work.drop("twin of bad.csv", density("x"))
    at_work.take()
    at_work.drop("renamed.csv", density("x"))
    told = at_work.take()
    assert told["renamed.csv"].status == "held"
    assert "the same content is held already" in told["renamed.csv"].line
    assert [record["name"] for record in at_work.held().values()] == ["bad.csv"]
    assert at_work.waiting() == []


def test_held_folder_taken_away_by_hand(lab: Make, capsys: pytest.CaptureFixture[str]) -> None:
    """A held folder that was deleted or damaged by hand is made anew when the file comes again."""
    at_work = lab()
    at_work.drop("bad.csv", density("x"))
    at_work.take()
    place = at_work.held()["bad.csv"]["place"]
    for path in place.iterdir():
        path.unlink()
    place.rmdir()
    at_work.drop("bad.csv", density("x"))
    assert at_work.take()["bad.csv"].status == "held"
    (place / "reason.json").write_text("{}")
    (at_work.root / "held" / "junk").mkdir()
    (at_work.root / "held" / "junk" / "reason.json").write_bytes(b"\xff\xfe")
    assert main(["held", "--lab", str(at_work.root)]) == 1
    assert capsys.readouterr().out.count("its record cannot be read; drop a copy of the file") == 2
    (at_work.root / "held" / "junk" / "reason.json").unlink()
    at_work.drop("bad.csv", density("x"))
    assert at_work.take()["bad.csv"].status == "held"
    assert at_work.held()["bad.csv"]["reason"] == "not-a-number"
    assert "Traceback" not in capsys.readouterr().err


def test_files_that_stay(lab: Make) -> None:
    """With after = "leave" a file stays and is taken once, whatever restarts or is lost."""
    at_work = lab(inbox=[{"path": "inbox", "after": "leave"}])
    good = at_work.drop("good.csv", density())
    bad = at_work.drop("bad.csv", density("x"))
    assert {n: o.status for n, o in at_work.take().items()} == {
        "good.csv": "filed",
        "bad.csv": "held",
    }
    assert good.exists()
    assert bad.exists()
    assert at_work.take() == {}  # a restart
    for path in at_work.root.glob("index.sqlite*"):
        path.unlink()
    told = at_work.take()
    assert {outcome.status for outcome in told.values()} <= {"known", "held"}
    assert at_work.take() == {}
    assert len(at_work.rows("density", withdrawn=True)) == 1
    assert len(at_work.held()) == 1
    # an instrument appends to its file: what is new is filed, the rest is not filed twice
    good.write_text(density() + "14.09.2026;09:30;RB-015;rested;22,9;1,4021;60;\n")
    assert at_work.take()["good.csv"].status == "filed"
    assert [row["batch"] for row in at_work.rows("density", withdrawn=True)] == ["RB-014", "RB-015"]
    assert at_work.take() == {}
    assert sorted(at_work.waiting()) == ["bad.csv", "good.csv"]


def test_unfinished_names_are_passed_over(lab: Make) -> None:
    """Names that programs give to files in the making are not looked at."""
    at_work = lab()
    names = ["~$book.xlsx", ".hidden.csv", "a.tmp", "b.part", "c.partial", "d.crdownload"]
    for name in names:
        at_work.drop(name, density())
    assert at_work.take() == {}
    assert at_work.waiting() == sorted(names)


def test_links_of_every_sort(lab: Make, tmp_path: Path) -> None:
    """Links to a folder, to nothing and in a circle are held; their targets stay untouched."""
    at_work = lab()
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "secret.csv").write_text(density(batch="RB-666"))
    (at_work.inbox / "folder").symlink_to(outside)
    (at_work.inbox / "nothing.csv").symlink_to(tmp_path / "nothing")
    (at_work.inbox / "circle.csv").symlink_to(at_work.inbox / "circle.csv")
    at_work.drop("good.csv", density())
    told = at_work.take()
    assert {name: record["reason"] for name, record in at_work.held().items()} == {
        "folder": "not-a-file",
        "nothing.csv": "not-a-file",
        "circle.csv": "not-a-file",
    }
    assert told["good.csv"].status == "filed"
    assert [path.name for path in outside.iterdir()] == ["secret.csv"]
    assert at_work.waiting() == []
    # trying again does not take the note about the link for an export
    assert main(["held", "retry", "--lab", str(at_work.root)]) == 1
    assert {record["reason"] for record in at_work.held().values()} == {"not-a-file"}


def test_named_files(lab: Make, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A file named on the command line is taken from anywhere and stays there."""
    at_work = lab()
    outside = tmp_path / "outside" / "RB-014-3"
    outside.mkdir(parents=True)
    (outside / "spectrum.csv").write_text(impedance())
    (outside / "bad.csv").write_text(pull_off("nonsense"))
    code = main(["take", "--lab", str(at_work.root), *map(str, sorted(outside.iterdir()))])
    assert code == 1
    assert sorted(path.name for path in outside.iterdir()) == ["bad.csv", "spectrum.csv"]
    assert len(at_work.rows("impedance")) == 3
    capsys.readouterr()
    assert main(["take", "--lab", str(at_work.root), str(outside)]) == 2
    assert "is a folder" in capsys.readouterr().err
    assert main(["take", "--lab", str(at_work.root), str(outside / "none.csv")]) == 2
    assert "none.csv: No such file" in capsys.readouterr().err


def test_named_file_beside_the_inbox(lab: Make) -> None:
    """A path that only looks as if it led into the inbox is not treated as a part of it."""
    at_work = lab()
    beside = at_work.root / "beside.csv"
    beside.write_text(density())
    told = at_work.take(at_work.inbox / ".." / "beside.csv")
    assert told["beside.csv"].status == "filed"
    assert beside.exists()


def test_names_give_the_ids(lab: Make) -> None:
    """Where a file does not say it, its name or the nearest folder says which panel it is of."""
    at_work = lab()
    at_work.drop("RB-014-3 day 1.csv", impedance(panel=None))
    at_work.drop("day 1.csv", impedance(panel=None, at="2026-09-23 09:00"), folder="x/RB-015-2")
    at_work.drop("rb-016-1.csv", impedance(panel=None, at="2026-09-24 09:00"))
    at_work.drop("RB-014-3 RB-014-4.csv", impedance(panel=None, at="2026-09-25 09:00"))
    at_work.take()
    panels = {row["panel"] for row in at_work.rows("impedance")}
    assert panels == {"RB-014-3", "RB-015-2", "RB-016-1"}
    assert at_work.held()["RB-014-3 RB-014-4.csv"]["reason"] == "no-panel"
