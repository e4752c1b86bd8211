"""Exports of several files: settled, kept, filed or held as one, and known again."""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from labs import LabAtWork, Service, look_at_all_again, make_lab, wait_until
from paired_exports import DATA, HEAD, with_pairs

from tiecoat.cli import main
from tiecoat.contract.companions import Companions
from tiecoat.disk import fsio, steps
from tiecoat.intake.inboxes.together import together
from tiecoat.verify.verify import verify

PAIRS = Companions("*.hdr", needed=("{stem}.dat",), optional=("{stem}.rem",), wait_s=9)
FRAMES = Companions("*.png", ("*.png",), wait_s=5)


@pytest.fixture
def at_work(lab: Callable[..., LabAtWork]) -> LabAtWork:
    """A lab with readers of such exports."""
    return with_pairs(lab(readers={"folder": True}))


def drop_pair(at_work: LabAtWork, stem: str = "a", data: str = DATA, folder: str = "") -> None:
    """Put a head and its data into the inbox."""
    at_work.drop(f"{stem}.hdr", HEAD, folder)
    at_work.drop(f"{stem}.dat", data, folder)


def originals(at_work: LabAtWork) -> list[str]:
    """What lies among the originals, below the folder of each SHA-256."""
    places = sorted(at_work.root.glob("originals/*/*/**/*"))
    return ["/".join(path.parts[path.parts.index("originals") + 3 :]) for path in places]


def test_two_files_are_filed_as_one(at_work: LabAtWork) -> None:
    """Rows come from both; each keeps its bytes and its name; both leave the inbox together."""
    drop_pair(at_work)
    outcomes = at_work.take()
    assert {name: one.status for name, one in outcomes.items()} == {"a.hdr": "filed"}
    rows = at_work.rows("density")
    assert [(row["batch"], row["density_g_cm3"], row["source_row"]) for row in rows] == [
        ("RB-007", 1.41, 1),
        ("RB-007", 1.40, 2),
        ("RB-007", 1.39, 3),
    ]
    assert {row["source_sheet"] for row in rows} == {"a.dat"}
    assert originals(at_work) == ["a.hdr", "a.hdr/a.dat", "a.hdr/a.hdr"]
    (folder,) = at_work.root.glob("originals/*/*/a.hdr")
    assert [path.read_text() for path in sorted(folder.iterdir())] == [DATA, HEAD]
    hashes = [hashlib.sha256(text.encode()).hexdigest() for text in (DATA, HEAD)]
    lines = "".join(f"{one}\n" for one in hashes)  # as sha256sum tells them, by name
    assert rows[0]["source_sha256"] == hashlib.sha256(lines.encode()).hexdigest()
    assert at_work.waiting() == []
    assert sorted(path.name for path in at_work.done.iterdir()) == ["a.dat", "a.hdr"]
    assert at_work.journal()[-1]["together_with"] == ["a.dat"]
    assert at_work.sound()


def test_the_same_files_are_known_again(at_work: LabAtWork) -> None:
    """They are filed once, whatever they are called then; the same head with other data is new."""
    drop_pair(at_work)
    at_work.take()
    drop_pair(at_work, "copy of a")
    assert at_work.take()["copy of a.hdr"].status == "known"
    drop_pair(at_work, "b", "1.30\n")
    assert at_work.take()["b.hdr"].held is not None  # the same determination, other values
    assert len(at_work.rows("density")) == 3


def test_what_may_come_with_it_is_read_with_it(at_work: LabAtWork) -> None:
    """An optional file is taken where it is there."""
    at_work.drop("a.rem", "stirred by hand")
    drop_pair(at_work)
    at_work.take()
    assert all(row["remark"].startswith("stirred by hand;") for row in at_work.rows("density"))
    assert at_work.waiting() == []


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("a.hdr", HEAD, "found no file with it; expected a file a.dat in the same folder"),
        ("a.dat", DATA, "expected a file *.hdr that it belongs to, for the reader head_and_data"),
    ],
)
def test_what_lacks_a_file_is_held_after_its_time(
    name: str, content: str, told: str, at_work: LabAtWork
) -> None:
    """It waits, and is held with the name of what is missing; the advice heals it."""
    at_work.drop(name, content)
    assert at_work.take()[name].status == "held"
    held = at_work.held()[name]
    assert held["reason"] == "companion-missing"
    assert told in " ".join(held["told"].split())
    shutil.copy(held["place"] / name, at_work.inbox)
    at_work.drop("a.dat" if name == "a.hdr" else "a.hdr", DATA if name == "a.hdr" else HEAD)
    assert at_work.take()["a.hdr"].status == "filed"
    assert at_work.held() == {}
    assert at_work.waiting() == []
    assert main(["verify", "--lab", str(at_work.root)]) == 0


def test_a_part_waits_no_longer_once_the_whole_has_come(at_work: LabAtWork) -> None:
    """Whether the whole is filed or held for another reason, then it alone is decided on."""
    at_work.drop("frame1.txt", "frame 1.41", "RB-008")
    at_work.take()
    assert at_work.held()["frame1.txt"]["reason"] == "companion-missing"
    at_work.drop("frame1.txt", "frame 1.41", "other")
    at_work.drop("frame2.txt", "frame 1.42", "other")
    assert at_work.take()["frame1.txt"].status == "held"
    (held,) = at_work.held().values()
    assert held["reason"] == "no-batch"
    assert (
        main(["held", "assign", held["id"], "--batch", "RB-008", "--lab", str(at_work.root)]) == 0
    )
    assert at_work.held() == {}
    assert at_work.sound()


def test_a_late_file_is_waited_for(
    lab: Callable[..., LabAtWork], serve: Callable[..., Service]
) -> None:
    """A service keeps a head waiting until its data come, and files nothing before."""
    at_work = with_pairs(lab(readers={"folder": True}), wait_s=60)
    serve(at_work)
    at_work.drop("a.hdr", HEAD)
    at_work.drop("other.csv", "Batch;Density (g/cm3);Temperature (°C)\nRB-001;1,42;23,0\n")
    wait_until(lambda: not (at_work.inbox / "other.csv").exists(), "what needs nobody is taken in")
    assert at_work.waiting() == ["a.hdr"]
    at_work.drop("a.dat", DATA)
    wait_until(lambda: at_work.waiting() == [], "both are taken in")
    assert len(at_work.rows("density")) >= 3
    assert at_work.held().keys() <= {"other.csv"}


def test_a_folder_of_frames_is_one_export(at_work: LabAtWork) -> None:
    """The first by name is the main file; in the inbox itself such files have nothing in common."""
    for n in (2, 1, 3):
        at_work.drop(f"frame{n}.txt", f"frame 1.4{n}", "RB-008")
    assert at_work.take()["frame1.txt"].status == "filed"
    assert [row["density_g_cm3"] for row in at_work.rows("density")] == [1.41, 1.42, 1.43]
    assert originals(at_work)[1:] == [f"frame1.txt/frame{n}.txt" for n in (1, 2, 3)]
    at_work.drop("frame1 RB-009.txt", "frame 1.50")
    at_work.drop("frame2 RB-009.txt", "frame 1.51")
    outcomes = at_work.take()
    assert {one.held.reason.code for one in outcomes.values() if one.held} == {"companion-missing"}
    assert len(outcomes) == 2


def test_files_that_no_reader_takes_together_go_their_own_way(at_work: LabAtWork) -> None:
    """Names alone make no export: where the head is none, each file is taken in by itself."""
    at_work.drop("a.hdr", "Batch;Density (g/cm3);Temperature (°C)\nRB-001;1,42;23,0\n")
    at_work.drop("a.dat", "Batch;Density (g/cm3);Temperature (°C)\nRB-002;1,43;23,0\n")
    outcomes = at_work.take()
    assert sorted(outcomes) == ["a.dat", "a.hdr"]
    assert at_work.waiting() == []
    assert main(["verify", "--lab", str(at_work.root)]) == 0


def test_a_fault_in_a_companion_says_so(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """The held folder has both files; reason, `try` and `take` name the file and its row."""
    drop_pair(at_work, data="1.41\nred\n")
    told = "a.dat, row 2: found 'red'; expected a number"
    assert main(["try", str(at_work.inbox / "a.dat"), "--lab", str(at_work.root)]) != 0
    tried = capsys.readouterr().out
    assert told in tried
    assert "a.hdr with a.dat" in tried
    assert at_work.take()["a.hdr"].status == "held"
    held = at_work.held()["a.hdr"]
    assert told in held["told"]
    assert sorted(path.name for path in (held["place"] / "a.hdr").iterdir()) == ["a.dat", "a.hdr"]
    assert main(["held", "retry", held["id"], "--lab", str(at_work.root)]) != 0
    assert at_work.held().keys() == {"a.hdr"}


def test_trying_says_what_taking_does(
    at_work: LabAtWork, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is missing is named with how long an inbox waits for it; complete, rows are shown."""
    path = tmp_path / "a.hdr"
    path.write_text(HEAD)
    command = ["try", str(path), "--lab", str(at_work.root), "--json"]
    assert main(command) == 1
    said = json.loads(capsys.readouterr().out)
    assert said["held"]["reason"] == "companion-missing"
    assert said["awaits"] == {"files": ["a.dat"], "for_s": 0.4}
    assert at_work.take(path)["a.hdr"].status == "held"
    path.with_suffix(".dat").write_text(DATA)
    assert main(command) == 0
    said = json.loads(capsys.readouterr().out)
    assert (said["beside"], said["kinds"]) == (["a.dat"], [{"kind": "density", "rows": 3}])
    assert at_work.take(path, path.with_suffix(".dat"))["a.hdr"].status == "filed"
    assert sorted(one.name for one in tmp_path.iterdir() if one.is_file()) == ["a.dat", "a.hdr"]
    assert at_work.held() == {}


def test_files_that_stay_are_remembered(lab: Callable[..., LabAtWork]) -> None:
    """Where filed exports stay in their inbox, none of their files comes again by itself."""
    inbox = [{"path": "inbox", "after": "leave"}]
    at_work = with_pairs(lab(readers={"folder": True}, inbox=inbox))
    drop_pair(at_work)
    assert at_work.take()["a.hdr"].status == "filed"
    assert at_work.take() == {}
    with (at_work.inbox / "a.dat").open("a") as file:
        file.write("1.38\n")
    assert at_work.take()["a.hdr"].status == "filed"
    assert len(at_work.rows("density")) == 4


def test_what_goes_on_in_done_is_continued(at_work: LabAtWork) -> None:
    """Data that grow where they have gone are read again with their head."""
    drop_pair(at_work)
    at_work.take()
    with (at_work.done / "a.dat").open("a") as file:
        file.write("1.38\n")
    look_at_all_again(at_work)
    assert at_work.take()["a.hdr"].status == "filed"
    assert len(at_work.rows("density")) == 4


def test_what_a_crash_left_of_them_is_known(at_work: LabAtWork) -> None:
    """If a run ends between taking out the one and the other, that one is no export of its own."""
    drop_pair(at_work)
    at_work.take()
    (at_work.done / "a.hdr").rename(at_work.inbox / "a.hdr")
    assert at_work.take()["a.hdr"].status == "known"
    assert at_work.held() == {}
    assert verify(at_work.lab).remarks == ()  # none that taking it in again would not mend


class _Ended(BaseException):
    """The process is gone."""


@pytest.mark.parametrize("step", ["copied", "preserved", "published", "recorded", "cleared"])
def test_a_run_that_ends_on_the_way_is_gone_on_with(
    step: str, at_work: LabAtWork, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Wherever a run ends, the next one has both files filed once, and nothing is left."""
    drop_pair(at_work)

    def end(reached: str) -> None:
        if reached == step:
            raise _Ended

    monkeypatch.setattr(steps, "listener", end)
    with pytest.raises(_Ended):
        at_work.take()
    monkeypatch.setattr(steps, "listener", None)
    at_work.take()
    assert [row["density_g_cm3"] for row in at_work.rows("density")] == [1.41, 1.40, 1.39]
    assert (at_work.waiting(), at_work.held()) == ([], {})
    assert originals(at_work) == ["a.hdr", "a.hdr/a.dat", "a.hdr/a.hdr"]
    assert at_work.sound()


def test_a_rebuild_and_a_merge_keep_them(at_work: LabAtWork, tmp_path: Path) -> None:
    """The archive made again is equal, another lab gets all files, and each is proved."""
    drop_pair(at_work)
    at_work.take()
    rows = at_work.every_row()
    assert main(["rebuild", "--lab", str(at_work.root)]) == 0
    assert at_work.every_row() == rows
    other = with_pairs(make_lab(tmp_path / "other", readers={"folder": True}))
    assert main(["merge", str(at_work.root), "--lab", str(other.root)]) == 0
    assert originals(other) == originals(at_work)
    assert [row["density_g_cm3"] for row in other.rows("density")] == [1.41, 1.40, 1.39]
    assert main(["verify", "--lab", str(other.root)]) == 0
    next(other.root.glob("originals/*/*/a.hdr/a.dat")).write_text("1.99\n")
    assert main(["verify", "--lab", str(other.root)]) == 1
    drop_pair(other)
    other.take()
    assert main(["verify", "--lab", str(other.root)]) == 0


def test_a_lost_file_of_several_is_damage(at_work: LabAtWork) -> None:
    """A companion that is gone from the originals is found, and no rebuild goes without it."""
    drop_pair(at_work)
    at_work.take()
    next(at_work.root.glob("originals/*/*/a.hdr/a.dat")).unlink()
    assert main(["verify", "--lab", str(at_work.root)]) == 1
    rows = at_work.every_row()
    main(["rebuild", "--lab", str(at_work.root)])
    assert len(at_work.every_row()) == len(rows)


@pytest.mark.parametrize(
    ("names", "found"),
    [
        ({"a.hdr", "a.dat"}, ("a.hdr", ("a.dat",), (), 0)),
        ({"a.HDR", "A.Dat", "a.rem"}, ("a.HDR", ("A.Dat", "a.rem"), (), 0)),
        ({"a.hdr", "b.dat"}, ("a.hdr", (), ("a.dat",), 9)),
        ({"[1].hdr", "[1].dat", "1.dat"}, ("[1].hdr", ("[1].dat",), (), 0)),
        ({"2.png", "1.png"}, ("1.png", ("2.png",), ("*.png",), 5)),
    ],
)
def test_names_say_what_belongs_together(
    names: set[str], found: tuple[str, tuple[str, ...], tuple[str, ...], float]
) -> None:
    """Stems are compared without regard to case; what any number may fit stays open for a while."""
    one = together(names, [PAIRS, FRAMES], in_folder=True)[found[0]]
    assert (one.main, one.companions, one.awaited, one.wait_s) == found


def test_patterns_of_folders_say_nothing_of_an_inbox() -> None:
    """Frames that lie in the inbox itself are not taken for one export."""
    assert together({"1.png", "2.png"}, [FRAMES], in_folder=False) == {}


@pytest.mark.parametrize(
    ("say", "why"),
    [
        (lambda: Companions("*.hdr"), "neither needed nor optional"),
        (lambda: Companions("*.hdr", "{stem}.dat"), "are tuples"),  # type: ignore[arg-type]
        (lambda: Companions("{stem}.hdr", ("*.dat",)), "is for the others"),
        (lambda: Companions("*.hdr", ("sub/*.dat",)), "no pattern of a file name"),
        (lambda: Companions("*.hdr", ("*.dat",), wait_s=-1), "expected seconds"),
    ],
)
def test_patterns_that_cannot_be_are_refused(say: Callable[[], object], why: str) -> None:
    """An author is told at once."""
    with pytest.raises(ValueError, match=why):
        say()


def test_several_files_have_one_digest(tmp_path: Path) -> None:
    """It is that of their own, one a line, by name."""
    (tmp_path / "b").write_text("2")
    (tmp_path / "a").write_text("1")
    own = [hashlib.sha256(text).hexdigest() for text in (b"1", b"2")]
    assert fsio.sha256_of(tmp_path) == fsio.sha256_of_all(own)
