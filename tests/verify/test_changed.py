"""`tiecoat verify --changed`: what was proved and looks as it did is not read again."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from bad_exports import density
from labs import LabAtWork

from tiecoat.cli import main
from tiecoat.verify.report import Damage, Extent
from tiecoat.verify.verify import verify


def of_changed(at_work: LabAtWork) -> tuple[Extent, set[Damage]]:
    """Return how much was read, and what was found."""
    found = verify(at_work.lab, changed=True)
    return found.counts, {one.damage for one in found.findings}


def original(at_work: LabAtWork, name: str) -> Path:
    (path,) = at_work.root.glob(f"originals/*/*/{name}")
    return path


@pytest.mark.thorough
def test_only_what_is_new_is_read(at_work: LabAtWork) -> None:
    """After a proof of all an export more costs itself and its table; the journal is read whole."""
    whole = verify(at_work.lab).counts
    again, found = of_changed(at_work)
    assert (again.originals, again.tables, found) == (0, 0, set())
    assert again.passed_over == whole.originals + whole.tables
    at_work.drop("later.csv", density(at="20.09.2026;08:00"))
    at_work.take()
    later, found = of_changed(at_work)
    assert (later.originals, later.tables, found) == (1, 1, set())
    assert later.records == whole.records + 1
    assert of_changed(at_work)[0].originals == 0


@pytest.mark.parametrize("lost", [True, False])
def test_without_what_was_proved_all_is_read(at_work: LabAtWork, lost: bool) -> None:
    """What was proved is a note that may be deleted or damaged at any time."""
    whole = verify(at_work.lab).counts
    note = at_work.root / "proved.sqlite"
    note.unlink() if lost else note.write_bytes(b"no database" * 100)
    assert of_changed(at_work) == (whole, set())


def test_what_looks_otherwise_is_read(at_work: LabAtWork) -> None:
    """A changed original, a changed table and a journal that says otherwise are found by it."""
    verify(at_work.lab)
    original(at_work, "day 2.csv").write_bytes(b"something else")
    table = at_work.root / "archive" / "pull_off" / "RB-014" / "data.parquet"
    table.write_bytes(table.read_bytes()[:-100])
    counts, found = of_changed(at_work)
    assert (counts.originals, counts.tables) == (1, 1)
    assert found >= {Damage.ORIGINAL_CHANGED, Damage.TABLE_UNREADABLE}
    assert of_changed(at_work)[1] == found  # what is damaged is not noted as proved

    (month,) = (at_work.root / "journal").iterdir()
    lines = month.read_bytes().splitlines(keepends=True)
    kept = [line for line in lines if b"spectrum.csv" not in line]
    month.write_bytes(b"".join(kept))
    assert {Damage.JOURNAL_BROKEN, Damage.ROWS_UNFILED} <= of_changed(at_work)[1]


def test_a_proof_of_all_believes_nothing(at_work: LabAtWork) -> None:
    """What a disk has changed without another time is passed over, and found by a whole proof."""
    verify(at_work.lab)
    path = original(at_work, "day 2.csv")
    before = path.stat()
    content = path.read_bytes()
    path.write_bytes(content[:-1] + b"X")
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert of_changed(at_work)[1] == set()
    assert {one.damage for one in verify(at_work.lab).findings} == {Damage.ORIGINAL_CHANGED}
    assert of_changed(at_work)[1] == {Damage.ORIGINAL_CHANGED}


def test_the_command_says_what_it_passed_over(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """`verify --changed` ends as `verify` does, and tells how much it did not read."""
    assert main(["verify", "--lab", str(at_work.root)]) == 0
    assert "passed over" not in capsys.readouterr().out
    assert main(["verify", "--changed", "--lab", str(at_work.root)]) == 0
    said = capsys.readouterr().out
    assert "looked at 0 originals" in said
    assert "that were proved before and look as they did then" in said
    assert "the lab is sound" in said
