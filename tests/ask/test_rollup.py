"""Questions to many tables are answered from a copy in few files, and as if there were none."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import subprocess
import time
from collections.abc import Callable
from contextlib import nullcontext
from pathlib import Path
from typing import Any

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from archive_rows import decided, export, file, make_lab, sha_of, sweep, wet
from ordinary_rights import needs_rights, ordinary

from tiecoat.archive import tables_now
from tiecoat.archive.lock import write_lock
from tiecoat.archive.opening import open_index, reindex
from tiecoat.archive.rollup import making
from tiecoat.archive.rollup.making import bring_up_to_date
from tiecoat.archive.rollup.parts import read_rollup
from tiecoat.archive.store import Store
from tiecoat.archive.tables.folder import FolderStorage
from tiecoat.archive.tables_now import OWN_AT_MOST
from tiecoat.ask.query import Archive
from tiecoat.lab.ids import table_path
from tiecoat.lab.settings import Lab

MANY = OWN_AT_MOST + 6  # tables: enough for a roll-up
BATCHES = [f"RB-{number:03d}" for number in range(MANY)]
SCHEMAS = 2  # of tables written by hand; those that were written again have another order
QUESTION = "select count(*) as n, sum(density_g_cm3) as total from density"


@pytest.fixture(scope="module")
def of_many(tmp_path_factory: pytest.TempPathFactory) -> Lab:
    """A lab of many batches, one density each; of two batches a second one was retracted."""
    lab = make_lab(tmp_path_factory.mktemp("many") / "lab")
    file(lab, export("wet.csv", {"density": [wet(1 + n / 1000, b) for n, b in enumerate(BATCHES)]}))
    late = [wet(2.0, batch, "deaerated") for batch in BATCHES[3:5]]
    file(lab, export("late.csv", {"density": late}))
    with open_index(lab) as index, write_lock(lab):
        own = [f"{sha_of('late.csv')[:16]}-{number:04d}" for number in (1, 2)]
        Store(lab, index).retract(own, "M. Keller", "cup was wet")
    return lab


@pytest.fixture
def lab(of_many: Lab, tmp_path: Path) -> Lab:
    """A copy of it, without a roll-up."""
    shutil.copytree(of_many.root, tmp_path / "lab", copy_function=shutil.copy2)
    lab = make_lab(tmp_path / "lab")
    reindex(lab)
    return lab


def from_tables(lab: Lab, kind: str = "density", *, withdrawn: bool = False) -> pd.DataFrame:
    """Every row as it stands in the tables, by pyarrow alone."""
    paths = sorted((lab.archive / kind).glob("*/data.parquet"))
    rows = pd.concat([pq.read_table(path).to_pandas() for path in paths], ignore_index=True)
    kept = rows if withdrawn else rows[rows["withdrawn"].isna()]
    return kept.reset_index(drop=True)


def is_right(archive: Archive, kind: str = "density") -> None:
    """Every question to a kind has the answer that its tables give, row by row."""
    for withdrawn in (False, True):
        told = from_tables(archive.lab, kind, withdrawn=withdrawn)
        read = archive.read(kind, withdrawn=withdrawn)
        pd.testing.assert_frame_equal(read[told.columns], told, check_dtype=False)
        by = ["batch", "measurement"] + (["frequency_hz"] if kind == "impedance" else [])
        whole = archive.arrow(kind, withdrawn=withdrawn).to_table().to_pandas().sort_values(by)
        view = f"{kind}_all" if withdrawn else kind
        asked = archive.sql(f"select * from {view}").sort_values(by)
        for found in (whole, asked):
            assert found["measurement"].tolist() == told.sort_values(by)["measurement"].tolist()
            for name in ("density_g_cm3", "z_real_ohm"):
                if name in told:
                    assert found[name].tolist() == told.sort_values(by)[name].tolist()


def files_of(lab: Lab, kind: str = "density") -> list[Path]:
    return sorted((lab.rollup / kind).glob("*.parquet"))


def test_the_first_question_to_many_tables_makes_it(lab: Lab) -> None:
    """Whoever asks of many tables has them rolled up into one file, and is answered the same."""
    archive = Archive(lab)
    assert archive.sql(QUESTION)["n"].tolist() == [MANY]
    assert len(files_of(lab)) == SCHEMAS
    is_right(archive)
    is_right(Archive(lab))
    assert sum(pq.read_metadata(path).num_rows for path in files_of(lab)) == MANY + 2


def test_few_tables_need_none(lab: Lab) -> None:
    """Questions to few tables write nothing."""
    file(lab, export("day.csv", {"impedance": [sweep("RB-014-1")]}))
    Archive(lab).sql("select count(*) from impedance")
    Archive(lab).read("density", batch=BATCHES[:8])
    assert not lab.rollup.exists()


def test_a_table_that_has_changed_counts_from_its_own_file(lab: Lab) -> None:
    """What was filed, superseded, retracted or put back since shows in the very next answer."""
    archive = Archive(lab)
    archive.sql(QUESTION)
    made = files_of(lab)
    for number in range(3):
        file(lab, export(f"{number}.csv", {"density": [wet(3 + number, f"RB-00{number}", "new")]}))
        assert archive.sql(QUESTION)["n"].tolist() == [MANY + 1 + number]
        is_right(archive)
    file(lab, decided(export("c.csv", {"density": [wet(1.5, "RB-009")]}), "M. Keller", "scale"))
    assert archive.read("density", where="batch = 'RB-009'")["density_g_cm3"].tolist() == [1.5]
    file(lab, export("n.csv", {"density": [wet(1.7, "RA-001"), wet(1.8, "ZB-001")]}))
    is_right(archive)
    with open_index(lab) as index, write_lock(lab):
        Store(lab, index).retract([f"{sha_of('n.csv')[:16]}-0001"], "M. Keller", "no")
        Store(lab, index).reinstate([f"{sha_of('late.csv')[:16]}-0001"])
    is_right(archive)
    assert sorted(archive.read("density", batch="RB-003")["density_g_cm3"]) == [1.003, 2.0]
    assert files_of(lab) == made  # few changes do not make it anew


@pytest.mark.parametrize("served", [False, True])
def test_an_index_that_rests_is_not_asked(
    lab: Lab, monkeypatch: pytest.MonkeyPatch, served: bool
) -> None:
    """What was filed shows in the very next answer, whether the index has long been at rest."""
    asked = []
    connect = sqlite3.connect

    def counted(*given: Any, **more: Any) -> sqlite3.Connection:
        asked.append(given)
        return connect(*given, **more)

    def rest() -> None:
        for path in lab.root.glob("index.sqlite*"):
            os.utime(path, (time.time() - 60, time.time() - 60))

    monkeypatch.setattr(tables_now, "_now", lambda: 0.0)  # no time to look at all of them again
    archive = Archive(lab)
    archive.sql(QUESTION)
    with open_index(lab) if served else nullcontext():  # which keeps a log beside it
        for filed in range(2):
            rest()
            archive.sql(QUESTION)
            with monkeypatch.context() as patch:
                patch.setattr(sqlite3, "connect", counted)
                asked.clear()
                assert archive.sql(QUESTION)["n"].tolist() == [MANY + filed]
                assert bool(asked) is (os.name == "nt" and served)
            file(lab, export(f"{filed}.csv", {"density": [wet(3.0, "RB-007", f"new {filed}")]}))
            assert archive.sql(QUESTION)["n"].tolist() == [MANY + filed + 1]
    is_right(archive)


def test_what_is_put_there_by_hand_shows_too(lab: Lab, monkeypatch: pytest.MonkeyPatch) -> None:
    """A table that somebody put back from elsewhere counts as it is, not as it was rolled up."""
    archive = Archive(lab)
    archive.sql(QUESTION)
    place = table_path(lab.archive, "density", "RB-007")
    rows = pq.read_table(place)
    density = rows.schema.get_field_index("density_g_cm3")
    other = rows.set_column(density, rows.schema.field(density), [[9.5]])
    pq.write_table(other, place.with_name("x"))
    place.with_name("x").replace(place)
    late = time.monotonic() + 3600  # more than twenty times as long as it takes to look at all
    monkeypatch.setattr(tables_now, "_now", lambda: late)
    assert 9.5 in archive.read("density")["density_g_cm3"].tolist()
    is_right(archive)


@pytest.mark.thorough
def test_bringing_it_up_to_date_makes_few_files(lab: Lab) -> None:
    """However often something is filed, there are few files, and all are of whole tables."""
    archive = Archive(lab)
    for number in range(9):
        file(lab, export(f"{number}.csv", {"density": [wet(3.0, f"RB-00{number}", "new")]}))
        assert bring_up_to_date(lab, "density")
        is_right(archive)
        assert len(files_of(lab)) <= 2 * SCHEMAS
    assert bring_up_to_date(lab, "density", tidy=True)
    rolled = read_rollup(lab.rollup / "density")
    assert len(rolled) == SCHEMAS
    assert sum(len(one.tables) for one in rolled) == MANY
    is_right(archive)


@pytest.mark.thorough
def test_large_groups_of_rows_are_told_apart(lab: Lab, monkeypatch: pytest.MonkeyPatch) -> None:
    """Tables that lie across the row groups of the copy come back whole, withdrawn rows as well."""
    monkeypatch.setattr(making, "ROWS_IN_GROUP", 16)
    sweeps = [sweep(f"{batch}-1", hours=h) for batch in BATCHES for h in (0.0, 24.0)]
    file(lab, export("s.csv", {"impedance": sweeps}))
    with open_index(lab) as index, write_lock(lab):
        bad = [f"{sha_of('s.csv')[:16]}-{number:04d}" for number in range(1, 60, 7)]
        Store(lab, index).retract(bad, "M. Keller", "leak")
    assert bring_up_to_date(lab, "impedance")
    archive = Archive(lab)
    is_right(archive, "impedance")
    file(lab, export("t.csv", {"impedance": [sweep("RB-010-1", hours=48), sweep("RB-060-1", 48)]}))
    is_right(archive, "impedance")
    wanted = archive.read("impedance", batch=BATCHES[20:40])
    whole = archive.read("impedance")
    expected = whole[whole["batch"].isin(BATCHES[20:40])].reset_index(drop=True)
    pd.testing.assert_frame_equal(wanted, expected)
    late = archive.read("impedance", since="2026-10-02 07:00", columns=["exposure_h", "panel"])
    assert list(late.columns) == ["exposure_h", "panel"]
    assert late["exposure_h"].tolist() == whole.loc[whole["exposure_h"] > 0, "exposure_h"].tolist()


def test_no_group_of_rows_is_a_remnant(lab: Lab, monkeypatch: pytest.MonkeyPatch) -> None:
    """Tables end where they end: what is over is shared out, for each group costs each question."""
    monkeypatch.setattr(making, "ROWS_IN_GROUP", 16)
    file(lab, export("s.csv", {"impedance": [sweep(f"{batch}-1") for batch in BATCHES]}))
    assert bring_up_to_date(lab, "impedance")
    (path,) = files_of(lab, "impedance")
    metadata = pq.read_metadata(path)
    groups = [metadata.row_group(number).num_rows for number in range(metadata.num_row_groups)]
    assert sum(groups) == len(from_tables(lab, "impedance"))
    assert min(groups[:-1]) >= 16
    is_right(Archive(lab), "impedance")


@pytest.mark.parametrize("columns", [["density_g_cm3"], ["panel", "density_g_cm3"], None])
def test_rows_of_many_tables_may_be_changed(lab: Lab, columns: list[str] | None) -> None:
    """A frame is its reader's own: what is written into it changes no later answer."""
    archive = Archive(lab)
    frame = archive.read("density", columns=columns)
    told = from_tables(lab)[frame.columns]
    pd.testing.assert_frame_equal(frame, told, check_dtype=False)
    frame.loc[0, "density_g_cm3"] = 0.0
    pd.testing.assert_frame_equal(archive.read("density", columns=columns), told, check_dtype=False)


def gone(lab: Lab) -> None:
    shutil.rmtree(lab.rollup)


def torn(lab: Lab) -> None:
    for path in files_of(lab):
        path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def torn_within(lab: Lab) -> None:
    """As long as it was, but with nothing in the middle, as a power cut may leave it."""
    for path in files_of(lab):
        content = bytearray(path.read_bytes())
        content[100 : len(content) // 3] = bytes(len(content) // 3 - 100)
        path.write_bytes(content)


def foreign(lab: Lab) -> None:
    """Another file under its name, of the same size as it happens."""
    path = files_of(lab)[0]
    rows = pq.read_table(path).slice(3)
    pq.write_table(rows, path)
    contents = lab.rollup / "density" / "contents.json"
    said = json.loads(contents.read_bytes())
    said["files"][0]["size"] = path.stat().st_size
    contents.write_text(json.dumps(said), encoding="utf-8")


def no_json(lab: Lab) -> None:
    (lab.rollup / "density" / "contents.json").write_text('{"format": 1, "files": [{', "utf-8")


def newer(lab: Lab) -> None:
    contents = lab.rollup / "density" / "contents.json"
    contents.write_text(json.dumps({**json.loads(contents.read_bytes()), "format": 2}), "utf-8")


def strange(lab: Lab) -> None:
    """A folder in place of the file."""
    for path in files_of(lab):
        path.unlink()
        path.mkdir()


@pytest.mark.parametrize(
    "damage", [gone, torn, torn_within, foreign, no_json, newer, strange], ids=lambda d: d.__name__
)
@pytest.mark.parametrize("learnt", [False, True], ids=["anew", "while open"])
@pytest.mark.every(8)
def test_without_it_nothing_is_lost(lab: Lab, damage: Callable[[Lab], None], learnt: bool) -> None:
    """A roll-up that is gone, torn, foreign or newer is passed over, also by who has used it."""
    assert bring_up_to_date(lab, "density")
    archive = Archive(lab)
    if learnt:
        archive.sql(QUESTION)
    damage(lab)
    is_right(archive)


@pytest.mark.thorough
@pytest.mark.skipif(os.name == "nt", reason="rights of folders")
def test_who_may_not_write_reads_on(lab: Lab, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the right to write, questions are answered from what there is."""
    assert bring_up_to_date(lab, "density")
    more = [wet(1.2, f"RC-{number:03d}") for number in range(MANY)]
    file(lab, export("more.csv", {"density": more}))
    before = files_of(lab)

    def refuse(*_: Any, **__: Any) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("filelock.FileLock.acquire", refuse)
    archive = Archive(lab)
    is_right(archive)
    assert archive.sql(QUESTION)["n"].tolist() == [2 * MANY]
    assert files_of(lab) == before


ASKS = """
import sys, tiecoat
archive = tiecoat.open(sys.argv[1])
print(archive.sql(sys.argv[2])["n"].tolist(), len(archive.read("density")))
print(archive.arrow("density").count_rows(), len(archive.measurements("density")))
print(len(archive.read("density", batch="RB-007")), archive.kinds())
"""


@needs_rights
def test_a_lab_of_another_account_may_be_asked(lab: Lab) -> None:
    """Where nothing may be written every question is answered, and nothing is left there."""
    with open_index(lab):  # as a service has it
        every = sorted(lab.root.rglob("*"))
        for path in (lab.root, *every):
            path.chmod(path.stat().st_mode & ~0o222)
        said = subprocess.run(
            ordinary(ASKS, str(lab.root), QUESTION), capture_output=True, text=True, check=False
        )
        for path in (lab.root, *every):
            path.chmod(path.stat().st_mode | 0o200)
        assert sorted(lab.root.rglob("*")) == every
    assert said.stderr == ""
    assert said.stdout == f"[{MANY}] {MANY}\n{MANY} {MANY}\n1 ['density']\n"


def test_a_table_replaced_while_it_is_copied_counts_from_its_own_file(
    lab: Lab, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is filed while the roll-up is made is in no copy, and in every answer."""
    read, filed = FolderStorage.read, list[str]()

    def read_while_filing(self: FolderStorage, place: Any, *args: Any, **more: Any) -> Any:
        rows = read(self, place, *args, **more)
        if place == ("density", "RB-020") and not filed:
            filed.append("x.csv")
            file(lab, export("x.csv", {"density": [wet(5.0, "RB-020", "new")]}))
        return rows

    monkeypatch.setattr(FolderStorage, "read", read_while_filing)
    bring_up_to_date(lab, "density")
    monkeypatch.undo()
    assert filed
    assert all("RB-020" not in one.tables for one in read_rollup(lab.rollup / "density"))
    is_right(Archive(lab))


def test_making_it_holds_few_tables_at_a_time(lab: Lab, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is written is let go: memory does not grow with the number of tables."""
    monkeypatch.setattr(making, "ROWS_IN_GROUP", 4)
    held: list[int] = []

    def looked_at() -> bool:
        held.append(pa.total_allocated_bytes())
        return False

    assert bring_up_to_date(lab, "density", looked_at)
    assert len(held) == MANY
    early, late = held[MANY // 4], held[-1]
    assert late - held[0] < 2 * (early - held[0])


def test_one_that_is_cut_short_leaves_what_there_was(lab: Lab) -> None:
    """A roll-up that is stopped half made is thrown away; the next one makes it."""
    turns = iter(range(10))
    assert not bring_up_to_date(lab, "density", lambda: next(turns) == 9)
    assert files_of(lab) == []
    assert list(lab.stage.iterdir()) == []
    is_right(Archive(lab))
    assert len(files_of(lab)) == SCHEMAS


@pytest.mark.thorough
def test_a_copy_of_the_lab_makes_its_own(lab: Lab, tmp_path: Path) -> None:
    """`cp -r` of a lab takes the roll-up along; there it is passed over and made anew."""
    assert bring_up_to_date(lab, "density")
    shutil.copytree(lab.root, tmp_path / "copy")
    copy = make_lab(tmp_path / "copy")
    file(copy, export("x.csv", {"density": [wet(5.0, "RB-020", "new")]}))
    is_right(Archive(copy))
    assert files_of(copy)
    assert files_of(copy)[0].name != files_of(lab)[0].name
