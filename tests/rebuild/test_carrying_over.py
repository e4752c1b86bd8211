"""A rebuild loses nothing that stands whole, and nothing that nobody has named."""

from __future__ import annotations

import itertools
import shutil
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

import eventful_lab
import pytest
from bad_exports import density
from faulty_disk import Faulty, Killed
from labs import LabAtWork

from tiecoat.archive.opening import open_index
from tiecoat.cli import main
from tiecoat.disk import fsio
from tiecoat.rebuild.earlier import take_back
from tiecoat.verify.verify import verify


def run(at_work: LabAtWork, *words: str) -> int:
    return main([*words, "--lab", str(at_work.root)])


def rows(at_work: LabAtWork) -> list[dict[str, Any]]:
    return at_work.every_row()


def original(at_work: LabAtWork, name: str) -> Path:
    (path,) = at_work.root.glob(f"originals/*/*/{name}")
    return path


def found(at_work: LabAtWork) -> set[str]:
    return {one.damage.code for one in verify(at_work.lab).findings}


def kept_archives(at_work: LabAtWork) -> list[Path]:
    return sorted((at_work.root / "replaced").glob("*/archive"))


def test_the_journal_is_lost_and_the_tables_are_whole(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """All rows stay, with ids, marks and decisions; afterwards the lab is sound and works on."""
    before, held = rows(at_work), at_work.held().keys()
    shutil.rmtree(at_work.root / "journal")
    assert run(at_work, "rebuild") == 1
    assert rows(at_work) == before
    capsys.readouterr()
    assert run(at_work, "rebuild", "--accept") == 0
    out = capsys.readouterr().out
    assert "journal is lost: it does not say of 13 measurements in the tables who filed what" in out
    assert "of which a record was lost and is written anew (11)\n" in out
    assert rows(at_work) == before
    assert (found(at_work), at_work.held().keys()) == (set(), held)
    at_work.drop("same density.csv", density())
    at_work.drop("later.csv", density(at="21.09.2026;08:00"))
    told = at_work.take()
    assert told["same density.csv"].status == "known"
    assert told["later.csv"].status == "filed"
    # the records that were written anew are enough to make it all again from the originals
    before = rows(at_work)
    shutil.rmtree(at_work.root / "archive" / "impedance")
    assert run(at_work, "rebuild") == 0
    assert rows(at_work) == before
    assert found(at_work) == set()


def test_half_of_the_originals_and_other_tables_are_lost(at_work: LabAtWork) -> None:
    """What either an original or a whole table still gives is in the new archive."""
    before = rows(at_work)
    for row in before:  # what a register corrects is told where what it said before is read again
        if (row["remark"] or "").startswith("corrected: "):
            row["remark"] = None
    for name in ("spectrum.csv", "register.csv", "first.csv", "second.csv"):
        shutil.rmtree(original(at_work, name).parent)
    for place in ("density/RB-014", "density/RB-015"):
        (at_work.root / "archive" / place / "data.parquet").write_bytes(b"PAR1")
    assert run(at_work, "rebuild") == 1
    assert run(at_work, "rebuild", "--accept") == 0
    assert rows(at_work) == before
    assert found(at_work) == {"original-missing"}
    remarks = " ".join(verify(at_work.lab).remarks)
    assert "carried over by a rebuild, as its original is lost or changed: " in remarks
    assert run(at_work, "rebuild") == 0  # nothing new to consent to
    assert rows(at_work) == before


def test_an_original_that_comes_back_is_read_again(at_work: LabAtWork) -> None:
    """A copy of the export puts it right; then the archive is made from originals alone."""
    before = rows(at_work)
    content = original(at_work, "spectrum.csv").read_bytes()
    shutil.rmtree(original(at_work, "spectrum.csv").parent)
    assert run(at_work, "rebuild", "--accept") == 0
    at_work.drop("spectrum.csv", content)
    at_work.take()
    assert found(at_work) == set()
    assert run(at_work, "rebuild") == 0
    assert rows(at_work) == before
    assert not any("carried over" in remark for remark in verify(at_work.lab).remarks)


def test_what_is_lost_must_be_named(at_work: LabAtWork, capsys: pytest.CaptureFixture[str]) -> None:
    """Original and table lost: the file is named, and given up only when a person names it."""
    before = rows(at_work)
    lost = {eventful_lab.measurement(at_work, "day 2.csv")}
    shutil.rmtree(original(at_work, "day 2.csv").parent)
    (at_work.root / "archive/impedance/RB-015/data.parquet").unlink()
    assert run(at_work, "rebuild", "--accept") == 1
    out = capsys.readouterr().out
    assert "1 measurement would be lost." in out
    assert 'tiecoat rebuild --accept --leave-out "day 2.csv"\n' in out
    assert run(at_work, "rebuild", "--accept", "--leave-out", "day 2.csv") == 0
    assert rows(at_work) == [row for row in before if row["measurement"] not in lost]
    verified = verify(at_work.lab)
    assert verified.findings == ()
    assert any(one.startswith("day 2.csv (") and "given up" in one for one in verified.remarks)
    assert run(at_work, "contents") == 0
    assert run(at_work, "rebuild") == 0


def test_the_archive_of_before_is_kept_until_it_is_dropped(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """It can be put back while nothing is filed; dropping it is a command of its own."""
    eventful_lab.mended(at_work)
    before, held = rows(at_work), at_work.held().keys()
    accepting = ("rebuild", "--accept", "--leave-out", "slip 2.txt")
    assert run(at_work, *accepting) == 0
    assert "Back to it, as long as nothing is filed: tiecoat rebuild --back;" in (
        capsys.readouterr().out
    )
    assert rows(at_work) != before
    assert len(kept_archives(at_work)) == 1
    assert run(at_work, "rebuild", "--back") == 0
    assert (rows(at_work), at_work.held().keys()) == (before, held)
    assert kept_archives(at_work) == []
    assert found(at_work) == set()
    assert run(at_work, "rebuild", "--back") == 2
    assert "no archive of before the last rebuild is kept" in capsys.readouterr().err

    assert run(at_work, *accepting) == 0
    at_work.drop("later.csv", density(at="21.09.2026;08:00"))
    at_work.take()
    after = rows(at_work)
    assert run(at_work, "rebuild", "--back") == 2
    assert "does not have what was done since: filed later.csv" in capsys.readouterr().err
    assert (rows(at_work), len(kept_archives(at_work))) == (after, 1)
    assert run(at_work, "rebuild", "--drop") == 0
    assert kept_archives(at_work) == []
    assert rows(at_work) == after


def test_a_rebuild_of_a_sound_archive_keeps_no_second_copy(at_work: LabAtWork) -> None:
    """Where old and new hold the same, the old one is not kept."""
    assert run(at_work, "rebuild") == 0
    assert kept_archives(at_work) == []


@pytest.mark.thorough
def test_killed_at_any_effect_of_going_back(
    at_work: LabAtWork, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whenever it dies, the next that opens the lab finds the one archive or the other, whole."""
    eventful_lab.mended(at_work)
    old = rows(at_work)
    assert run(at_work, "rebuild", "--accept", "--leave-out", "slip 2.txt") == 0
    new = rows(at_work)
    seen = set()
    for number in itertools.count(1, 4):
        lab = at_work.copy(tmp_path / f"lab {number}")
        faulty = Faulty(number, Killed(), sticky=True)
        with monkeypatch.context() as patch:
            patch.setattr(fsio, "os", faulty)
            with suppress(Killed):
                take_back(lab.lab, "M. Keller")
        with closing(open_index(lab.lab)):
            pass
        now = rows(lab)
        assert now in (old, new)
        seen.add(now == old)
        assert len(kept_archives(lab)) == (now == new)
        if number % 8 == 1:
            assert found(lab) == set()
        shutil.rmtree(lab.root)
        if faulty.count < number:
            break
    assert seen == {True, False}
