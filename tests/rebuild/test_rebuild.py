"""`tiecoat rebuild`: the archive made again from originals and journal is the one that was."""

from __future__ import annotations

import errno
import itertools
import os
import shutil
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from typing import Any

import duckdb
import eventful_lab
import pandas as pd
import pyarrow.parquet as pq
import pytest
from bad_exports import density, panel_row, panels
from faulty_disk import Faulty, Killed
from labs import LabAtWork

import tiecoat
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import rebuild_lock, write_lock
from tiecoat.archive.opening import open_index
from tiecoat.archive.swap import swap_in
from tiecoat.archive.words import REBUILT
from tiecoat.cli import main
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged, LabInUse
from tiecoat.rebuild.rebuild import Rebuilt, rebuild
from tiecoat.verify.report import Damage
from tiecoat.verify.verify import verify

POINTS = int(os.environ.get("TIECOAT_CAMPAIGN", "2"))


def frames(at_work: LabAtWork) -> dict[str, pd.DataFrame]:
    """Every kind as pandas reads it, withdrawn rows too."""
    archive = tiecoat.open(at_work.root)
    return {kind: archive.read(kind, withdrawn=True) for kind in archive.kinds()}


def same(one: dict[str, pd.DataFrame], other: dict[str, pd.DataFrame]) -> bool:
    return one.keys() == other.keys() and all(one[kind].equals(other[kind]) for kind in one)


def again(at_work: LabAtWork, *, accept: bool = False, leave_out: Sequence[str] = ()) -> Rebuilt:
    return rebuild(at_work.lab, "M. Keller", accept=accept, leave_out=leave_out)


def state(root: Path) -> dict[str, Any]:
    """What stands under archive/, read without the program."""
    paths = sorted((root / "archive").rglob("*.parquet"))
    return {
        path.relative_to(root).as_posix(): pq.ParquetFile(path).read().to_pylist() for path in paths
    }


def sound(at_work: LabAtWork) -> bool:
    return verify(at_work.lab).findings == () and not (at_work.root / REBUILT).exists()


def test_the_rebuilt_archive_is_the_same(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """Registers, assignments, notes, decisions, retractions: all comes out as it was, marks too."""
    before, records = frames(at_work), at_work.journal()
    inodes = {path.stat().st_ino for path in at_work.root.rglob("data.parquet")}
    assert main(["rebuild", "--lab", str(at_work.root)]) == 0
    out = capsys.readouterr().out
    assert "made again from 12 exports" in out
    assert "the new archive is in place" in out
    assert same(frames(at_work), before)
    assert inodes.isdisjoint(path.stat().st_ino for path in at_work.root.rglob("data.parquet"))
    assert sum(frame["withdrawn"].notna().sum() for frame in before.values()) >= 5
    assert at_work.journal()[:-1] == records
    assert at_work.journal()[-1]["event"] == "rebuilt"
    assert at_work.sound()
    assert sound(at_work)
    assert at_work.held().keys() == {"waits.csv"}
    with duckdb.connect() as connection:
        path = at_work.root / "archive" / "density" / "*" / "data.parquet"
        (count,) = connection.execute(f"select count(*) from read_parquet('{path}')").fetchall()[0]
    assert count == len(before["density"])


def test_work_goes_on_after_a_rebuild(at_work: LabAtWork) -> None:
    """After a rebuild exports are filed, known or held as before, and it can be done again."""
    again(at_work)
    at_work.drop("same density.csv", density())
    at_work.drop("rival.csv", density("1,4"))
    at_work.drop("new.csv", density(at="20.09.2026;08:00"))
    told = at_work.take()
    assert {name: one.status for name, one in told.items()} == {
        "same density.csv": "known",
        "rival.csv": "held",
        "new.csv": "filed",
    }
    before = frames(at_work)
    assert again(at_work).swapped
    assert same(frames(at_work), before)
    assert sound(at_work)


def test_a_damaged_archive_is_mended(at_work: LabAtWork) -> None:
    """Missing, torn, swapped and foreign tables are put right, without anybody's consent."""
    before = frames(at_work)
    archive = at_work.root / "archive"
    shutil.rmtree(archive / "impedance" / "RB-015")
    (archive / "pull_off" / "RB-014" / "data.parquet").write_bytes(b"PAR1")
    one, other = (archive / "density" / batch / "data.parquet" for batch in ("RB-014", "RB-015"))
    content = one.read_bytes()
    one.write_bytes(other.read_bytes())
    other.write_bytes(content)
    (archive / "sheet.xlsx").write_bytes(b"x")
    rebuilt = again(at_work)
    assert rebuilt.swapped
    assert not rebuilt.differences
    assert sorted(one.damage.code for one in rebuilt.mended) == [
        "file-foreign",
        "table-misplaced",
        "table-misplaced",
        "table-missing",
        "table-unreadable",
    ]
    assert same(frames(at_work), before)
    assert sound(at_work)
    assert len(at_work.journal()[-1]["mended"]) == 5


def test_a_lost_archive_is_made_again(at_work: LabAtWork) -> None:
    """With archive and index wholly lost, originals and journal give all of it again."""
    before = frames(at_work)
    shutil.rmtree(at_work.root / "archive")
    for path in at_work.root.glob("index.sqlite*"):
        path.unlink()
    assert again(at_work).swapped
    assert same(frames(at_work), before)
    assert sound(at_work)


def test_a_mended_reader(at_work: LabAtWork, capsys: pytest.CaptureFixture[str]) -> None:
    """What a mended reader reads otherwise, adds or refuses is told, and waits for consent."""
    eventful_lab.mended(at_work)
    before, count = state(at_work.root), len(at_work.journal())
    capsys.readouterr()
    assert main(["rebuild", "--lab", str(at_work.root)]) == 1
    out = capsys.readouterr().out
    slip = eventful_lab.measurement(at_work, "slip 1.txt")
    refused = eventful_lab.measurement(at_work, "slip 2.txt")
    assert f"read otherwise now (1)\n  {slip} of slip 1.txt: 1 row then, 1 now (slip 2)\n" in out
    assert f"new, not filed before (1)\n  {slip[:-1]}2: density of RB-014, 1 row\n" in out
    assert f"not made again (1)\n  {refused}: density of RB-017, 1 row, of slip 2.txt\n" in out
    assert "would be held now (1)\n  slip 2.txt: " in out
    assert "1 measurement would be lost. Only what is named may be:" in out
    assert 'Take the new one with: tiecoat rebuild --accept --leave-out "slip 2.txt"\n' in out
    assert state(at_work.root) == before
    assert len(at_work.journal()) == count
    assert not (at_work.root / REBUILT).exists()
    assert sound(at_work)

    assert main(["rebuild", "--accept", "--lab", str(at_work.root)]) == 1
    assert state(at_work.root) == before
    accepting = ["rebuild", "--accept", "--leave-out", "slip 2.txt", "--lab", str(at_work.root)]
    assert main(accepting) == 0
    slips = [r for r in at_work.rows("density") if r["reader"] == "slip 2"]
    assert [(r["density_g_cm3"], r["temperature_c"]) for r in slips] == [(1.5, 23.0), (1.52, 23.0)]
    assert not (at_work.root / "archive" / "density" / "RB-017").exists()
    assert at_work.held()["slip 2.txt"]["reason"] == "reader-failed"
    assert sound(at_work)
    others = {name: rows for name, rows in before.items() if "density/RB-01" not in name}
    assert others.items() <= state(at_work.root).items()

    # a second one finds nothing otherwise, and the held file can be filed again by its reader
    rebuilt = again(at_work)
    assert (rebuilt.swapped, bool(rebuilt.differences)) == (True, False)
    text = (at_work.root / "readers" / "slip.py").read_text()
    (at_work.root / "readers" / "slip.py").write_text(text.replace('"1.41"', "None"))
    assert eventful_lab.run(at_work, "held", "retry", "slip 2.txt") == 0
    assert again(at_work).swapped
    assert sound(at_work)


def test_a_new_version_that_reads_the_same(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where only the reader's version is another, that is what is told."""
    path = at_work.root / "readers" / "slip.py"
    path.write_text(path.read_text().replace('"density", "1"', '"density", "2"'))
    capsys.readouterr()
    assert eventful_lab.run(at_work, "rebuild") == 1
    out = capsys.readouterr().out
    assert "read otherwise now" not in out
    assert "the same values, with another reader or origin beside them (2)" in out


def test_what_cannot_be_made_again_is_told(at_work: LabAtWork) -> None:
    """Lost originals and notes, rows and marks without a record, a broken journal: all are told.

    The rows stand whole in the old tables, so they are carried over, with their marks.
    """
    (lost,) = at_work.root.glob("originals/*/*/day 2.csv")
    lost.write_bytes(b"something else")
    (notes,) = at_work.root.glob("originals/*/*.notes/*")
    notes.unlink()
    name = eventful_lab.measurement(at_work, "density.csv")
    (journal,) = (at_work.root / "journal").iterdir()
    cut = journal.read_bytes()
    assert eventful_lab.run(at_work, "retract", name, "--why", "no record of it") == 0
    at_work.drop("late.csv", density(at="20.09.2026;08:00"))
    at_work.take()
    late = eventful_lab.measurement(at_work, "late.csv")
    journal.write_bytes(cut + cut.splitlines(keepends=True)[0])
    before = state(at_work.root)
    rebuilt = again(at_work)
    assert not rebuilt.swapped
    found = rebuilt.differences
    assert [one.name for one in found.lost] == ["day 2.csv", "slip 1.txt"]
    left = [eventful_lab.measurement(at_work, name) for name in ("day 2.csv", "slip 1.txt")]
    assert sorted(found.carried) == sorted(left)
    assert found.recovered == ("late.csv",)
    assert list(found.added) == [late]
    assert found.remarked == (name,)
    assert (found.gone, found.unmarked, found.unfiled) == ({}, (), ())
    assert {one.damage for one in found.doubts} == {Damage.JOURNAL_BROKEN, Damage.NOT_IN_JOURNAL}
    assert state(at_work.root) == before
    assert again(at_work, accept=True).swapped
    assert state(at_work.root) == before
    left_over = {(one.damage, one.where) for one in verify(at_work.lab).findings}
    assert {damage for damage, _ in left_over} == {Damage.ORIGINAL_MISSING, Damage.ORIGINAL_CHANGED}
    rebuilt = again(at_work)
    assert (rebuilt.swapped, bool(rebuilt.differences)) == (True, False)
    assert state(at_work.root) == before


def test_only_one_makes_it_again(at_work: LabAtWork) -> None:
    """A rebuild is refused while another one is under way."""
    with rebuild_lock(at_work.lab), pytest.raises(LabInUse, match="is being made again"):
        rebuild_elsewhere(at_work)


def rebuild_elsewhere(at_work: LabAtWork) -> None:
    """Ask for a rebuild in another thread, which does not hold this one's lock."""
    with ThreadPoolExecutor(1) as pool:
        pool.submit(again, at_work).result()


def test_every_withdrawal_keeps_its_time(at_work: LabAtWork) -> None:
    """One register after the other replaces a row: each mark keeps the time it was made at."""
    at_work.drop("register 3.csv", panels(panel_row("RB-014-3", "RB-014").replace("180", "222")))
    at_work.take()
    at_work.drop("register 4.csv", panels(panel_row("RB-014-3", "RB-014")))
    at_work.take()
    before = frames(at_work)
    marks = before["panels"]["withdrawn_at"].dropna()
    assert len(marks) == len(set(marks)) > 2
    assert again(at_work).swapped
    assert same(frames(at_work), before)


# Killed


@pytest.fixture(scope="module")
def about_to_swap(
    eventful: LabAtWork, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Path, dict[str, Any]]:
    """A lab whose new archive, another one, is made and about to be put in place; the record."""
    root = tmp_path_factory.mktemp("swap") / "lab"
    shutil.copytree(eventful.root, root)
    eventful_lab.mended(LabAtWork(root))
    kept = root.with_name("kept")
    records: list[Any] = []

    def stop(lab: Any, record: Any) -> None:
        records.append(record)
        shutil.copytree(lab.root, kept)
        raise Killed

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("tiecoat.rebuild.rebuild.swap_in", stop)
        with pytest.raises(Killed):
            again(LabAtWork(root), accept=True, leave_out=["slip 2.txt"])
    return kept, records[0]


@pytest.mark.thorough
@pytest.mark.parametrize("refused", [False, True])
def test_killed_at_any_effect_of_the_swap(
    about_to_swap: tuple[Path, dict[str, Any]],
    refused: bool,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Whenever it dies or the disk refuses, the old archive stands there or the new one."""
    ready, record = about_to_swap
    old = state(ready)
    new = state(ready / REBUILT)
    assert old != new
    seen = set()
    for number in itertools.count(1, 1 if not refused or POINTS > 2 else 3):
        root = tmp_path / f"lab {number}"
        shutil.copytree(ready, root)
        at_work = LabAtWork(root)
        lab = at_work.lab
        error = OSError(errno.ENOSPC, "no space left") if refused else Killed()
        faulty = Faulty(number, error, sticky=not refused)
        with monkeypatch.context() as patch:
            patch.setattr(fsio, "os", faulty)
            try:
                with write_lock(lab):
                    swap_in(lab, record)
            except (Killed, OSError):
                pass
        if not (root / "archive").exists():
            seen.add("between")
            with pytest.raises(ArchiveDamaged, match="tiecoat reindex"):
                tiecoat.open(root)
        else:
            assert state(root) in (old, new)
            seen.add("new" if state(root) == new else "old")
        with closing(open_index(lab)):
            pass
        now = state(root)
        assert now in (old, new)
        rebuilt = [line for line in Journal(lab).read() if line["event"] == "rebuilt"]
        assert len(rebuilt) == (now == new)
        assert now == old or not (root / REBUILT).exists()
        if number % 5 == 1 or POINTS > 2:
            assert verify(lab).findings == ()
        shutil.rmtree(root)
        if faulty.count < number:
            break
    assert seen == {"old", "between", "new"}


@pytest.mark.thorough
def test_killed_while_the_new_archive_is_made(
    at_work: LabAtWork, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Killed before it is complete, the old archive is untouched, and a second run does it all."""
    before = state(at_work.root)
    shutil.copytree(at_work.root, tmp_path / "count")
    counting = Faulty(-1, Killed(), sticky=False)
    with monkeypatch.context() as patch:
        patch.setattr(fsio, "os", counting)
        again(LabAtWork(tmp_path / "count"))
    total = counting.count - 60  # the last belong to the swap
    for number in range(1, total, max(1, total // POINTS)):
        root = tmp_path / f"lab {number}"
        shutil.copytree(at_work.root, root)
        with monkeypatch.context() as patch:
            patch.setattr(fsio, "os", Faulty(number, Killed(), sticky=True))
            with pytest.raises(Killed):
                again(LabAtWork(root))
        assert state(root) == before
        assert again(LabAtWork(root)).swapped
        assert state(root) == before
        assert sound(LabAtWork(root))
        shutil.rmtree(root)
