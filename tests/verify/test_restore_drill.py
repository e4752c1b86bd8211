"""The restore drill: a part of a lab is lost or damaged, and what the program says is done.

Its own words are followed: the commands that it prints are run, copies are taken in where it asks
for them. Afterwards every row stands there as before, or what is lost is told by name.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from bad_exports import impedance
from labs import LabAtWork
from test_every_damage import DONE

from tiecoat.cli import main
from tiecoat.lab.shaping import shaping
from tiecoat.verify.report import Damage

ADVISED = re.compile(
    r'tiecoat (rebuild(?: --accept)?(?: --leave-out (?:"[^"]+"|\S+))*|reindex|take "[^"]+"|new \S+)'
)
PASSES = 4
COPY = "take in a copy of the export"


class Drill:
    """Somebody who does what the program says, and nothing else."""

    def __init__(self, lab: LabAtWork, capsys: pytest.CaptureFixture[str]) -> None:
        self._lab = lab
        self._capsys = capsys
        self.done: list[str] = []

    def run(self, *words: str) -> tuple[int, str]:
        """Run a command in the lab's folder; return its exit code and what it said."""
        self._capsys.readouterr()
        code = main(list(words))
        said = self._capsys.readouterr()
        return code, said.out + said.err

    def follow(self) -> tuple[int, str]:
        """Do what `tiecoat verify` says until it has nothing new to say; return its last words."""
        code, out = self.run("verify")
        for _ in range(PASSES):
            if code == 0 or not self._obey(out):
                break
            code, out = self.run("verify")
        return code, out

    def _obey(self, out: str) -> bool:
        before = len(self.done)
        if COPY in out and COPY not in self.done:
            self.done.append(COPY)
            self._take_copies()
            return True
        for block in re.findall(r"-foreign \([0-9]+\)\n((?:  [^W].+\n)+)", out):
            for line in block.splitlines():
                (self._lab.root / line.partition(":")[0].strip()).unlink()
                self.done.append(line)
        for command in ADVISED.findall(out):
            if command not in self.done:
                self.done.append(command)
                self._obey(
                    self.run(*[w.strip('"') for w in re.findall(r'"[^"]+"|\S+', command)])[1]
                )
        return len(self.done) > before

    def _take_copies(self) -> None:
        for path in sorted(self._lab.done.rglob("*")):
            if path.is_file():
                folder = path.parent.relative_to(self._lab.done)
                self._lab.drop(path.name, path.read_bytes(), str(folder))
        self._lab.take()


def remove(*patterns: str) -> Callable[[Path], None]:
    def damage(root: Path) -> None:
        for pattern in patterns:
            found = list(root.glob(pattern))
            assert found, pattern
            for path in found:
                shutil.rmtree(path) if path.is_dir() else path.unlink()

    return damage


def spoil(pattern: str) -> Callable[[Path], None]:
    def damage(root: Path) -> None:
        for path in list(root.glob(pattern)):
            path.write_bytes(b"PAR1 or SQLite, but not any more")

    return damage


def without_a_month(root: Path) -> None:
    """Take the earlier of two months out of the journal."""
    (path,) = (root / "journal").iterdir()
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join(lines[len(lines) // 2 :]))


HEALED: dict[str, Callable[[Path], None]] = {
    "settings": remove("tiecoat.toml"),
    "a table": remove("archive/density/RB-014/data.parquet"),
    "a damaged table": spoil("archive/impedance/RB-015/data.parquet"),
    "all tables of a kind": remove("archive/pull_off"),
    "the register": remove("archive/panels"),
    "all tables": remove("archive"),
    "an original": remove("originals/*/*/first.csv"),
    "a damaged original": spoil("originals/*/*/day 2.csv"),
    "a month of the journal": without_a_month,
    "the journal": remove("journal"),
    "the index": remove("index.sqlite*"),
    "a damaged index": spoil("index.sqlite"),
    "the held": remove("held/*"),
    "journal and index": remove("journal", "index.sqlite*"),
}


@pytest.mark.every(4)
@pytest.mark.parametrize("part", HEALED)
def test_what_the_program_says_heals(
    part: str,
    at_work: LabAtWork,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Every row is there again as before, and the lab is sound."""
    monkeypatch.chdir(at_work.root)
    before, held, shaped = rows(at_work), at_work.held().keys(), shaping(at_work.lab)
    HEALED[part](at_work.root)
    drill = Drill(at_work, capsys)
    code, out = drill.follow()
    assert code == 0, (drill.done, out)
    assert rows(at_work) == before
    # that a file was discarded stands in the journal alone: without it the file is held again
    again = {"spilled.csv"} if "journal" in part and "month" not in part else set()
    assert at_work.held().keys() == held | again
    assert {**shaping(at_work.lab), "read": {}} == shaped


CUT_SHORT = {
    Damage.REBUILD_CUT_SHORT,
    Damage.UPGRADE_CUT_SHORT,
}  # rooms of their own kill real ones


@pytest.mark.every(5)
@pytest.mark.parametrize(
    "damage",
    [one for one in DONE if one not in CUT_SHORT],
    ids=lambda damage: damage.code,
)
def test_every_advice_of_verify_heals(
    damage: Damage,
    at_work: LabAtWork,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Each sort of damage is mended by what stands beside it."""
    monkeypatch.chdir(at_work.root)
    before = rows(at_work)
    DONE[damage](at_work.root)
    drill = Drill(at_work, capsys)
    code, out = drill.follow()
    assert code == 0, (drill.done, out)
    assert rows(at_work) == before


def test_what_cannot_be_healed_is_told_by_name(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Original, its copy and its table are lost: verify and rebuild name the file that is gone."""
    monkeypatch.chdir(at_work.root)
    before = rows(at_work)
    remove("originals/*/*/day 2.csv", "inbox/done/*/day 2.csv", "archive/impedance/RB-015")(
        at_work.root
    )
    drill = Drill(at_work, capsys)
    code, out = drill.follow()
    assert code == 0, (drill.done, out)
    assert 'rebuild --accept --leave-out "day 2.csv"' in drill.done
    assert re.search(r"day 2\.csv \([0-9a-f]{64}\) is lost and was given up by a rebuild", out)
    assert rows(at_work) == [row for row in before if row["source_name"] != "day 2.csv"]


def test_originals_without_a_copy_are_told_by_name(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """All originals lost: copies in done/ put most right, each other is named, its rows stay."""
    monkeypatch.chdir(at_work.root)
    before = rows(at_work)
    remove("originals")(at_work.root)
    drill = Drill(at_work, capsys)
    code, out = drill.follow()
    assert code == 1
    named = set(
        re.findall(r"original-missing|([\w ]+\.csv) \(\w+, as the journal says\) is not", out)
    )
    assert {one.strip() for one in named} - {""} == {
        "second.csv",
        "typo.csv",
        "spilled.csv",
        "waits.csv",
    }
    assert drill.run("rebuild", "--accept")[0] == 0
    assert rows(at_work) == before


def test_the_folder_that_said_the_id_is_known_of_an_original(at_work: LabAtWork) -> None:
    """An original that is taken in by its path is read with the folder that it came in."""
    at_work.drop("second spectrum.csv", impedance(panel=None, at="2026-09-26 09:00"), "RB-014-4")
    at_work.take()
    before = rows(at_work)
    (at_work.root / "archive/impedance/RB-014/data.parquet").unlink()
    assert main(["reindex", "--lab", str(at_work.root)]) == 1
    (original,) = at_work.root.glob("originals/*/*/second spectrum.csv")
    told = at_work.take(original)
    assert told["second spectrum.csv"].status == "filed"
    own = [row for row in before if row["source_name"] == "second spectrum.csv"]
    assert [row for row in rows(at_work) if row["source_name"] == "second spectrum.csv"] == own


def rows(at_work: LabAtWork) -> list[dict[str, Any]]:
    return at_work.every_row()
