"""Formats: a lab of older ones goes on as it is, one of newer ones is left alone, and says so.

`older_labs/format_1` was kept when no part of a lab had a marker of its format yet.
"""

from __future__ import annotations

import json
import shutil
import socket
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pyarrow.parquet as pq
import pytest
from bad_exports import density, pull_off
from labs import LabAtWork, Service, wait_until

import tiecoat
from tiecoat.archive.index import sqlite
from tiecoat.cli import main
from tiecoat.lab.new_lab import new_lab
from tiecoat.rebuild.rebuild import rebuild
from tiecoat.verify.verify import verify

OLDER = Path(__file__).parent / "older_labs"
NEWER = "was written by a newer tiecoat: it is of format 99, and this one knows formats up to "
Rows = dict[str, list[dict[str, Any]]]


@pytest.fixture
def older(tmp_path: Path) -> LabAtWork:
    """A copy of a lab that an older program has left."""
    shutil.copytree(OLDER / "format_1", tmp_path / "lab")
    (tmp_path / "lab" / "readers").chmod(0o755)
    for name in ("stage", "inbox"):  # Git keeps no empty folder
        (tmp_path / "lab" / name).mkdir(exist_ok=True)
    return LabAtWork(tmp_path / "lab")


def rows_of(at_work: LabAtWork) -> Rows:
    """Every value of every row of every kind, but what says by whom it was read."""
    kinds = sorted(path.name for path in (at_work.root / "archive").iterdir())
    return {
        kind: [
            {
                name: value
                for name, value in row.items()
                if name not in {"reader", "remark"} and value is not None  # of a newer column
            }
            for row in at_work.rows(kind, withdrawn=True)
        ]
        for kind in kinds
    }


def run(*arguments: object) -> int:
    """Run a command."""
    return main([str(argument) for argument in arguments])


def test_an_older_lab_is_used_without_any_step(
    older: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is read, is sound, takes in, refiles, supersedes, compares: as if it were of today."""
    assert not (older.root / "format.json").exists()
    archive = tiecoat.open(older.root)
    assert len(archive.measurements()) == 13
    assert len(archive.measurements(withdrawn=True)) == 15
    assert archive.read("pull_off", panel="RB-014-3")["strength_mpa"].tolist() == [4.27]
    assert archive.read("film_thickness")["thickness_um"].tolist() == [191, 182, 176]
    assert [one["name"] for one in older.held().values()] == ["bad.csv"]
    assert run("held", "show", "bad.csv", "--lab", older.root) == 0
    assert "found 'x'; expected a number" in capsys.readouterr().out

    older.drop("new.csv", density("1,3902", at="16.09.2026;08:12"))
    older.drop("pull.csv", pull_off())
    assert run("take", "--lab", older.root) == 0
    said = capsys.readouterr().out
    assert "filed   new.csv: density RB-014 (1 measurement), 1 row" in said
    assert "known   pull.csv" in said
    impedance = pq.read_schema(older.root / "archive" / "impedance" / "RB-014" / "data.parquet")
    assert impedance.metadata[b"tiecoat.kind_version"] == b"2"  # it has a column more since
    assert impedance.field("temperature_c").metadata[b"unit"] == b"degC"
    retracted = archive.measurements(kind="density", withdrawn=True)
    (again,) = retracted[retracted["withdrawn"] == "retracted"]["measurement"]
    assert run("refile", again, "--lab", older.root) == 0
    assert archive.read("density")["density_g_cm3"].tolist() == [1.3912, 1.4012, 1.3902]
    assert run("compare", older.root / "study.toml", "--lab", older.root) in {0, 1}
    assert verify(older.lab).findings == ()
    assert "format" not in older.journal()[0]
    assert {one["format"] for one in older.journal() if one["event"] == "upgraded"} == {2}
    assert older.journal()[-1]["format"] == 1


def test_an_older_lab_is_made_again_from_its_originals(older: LabAtWork) -> None:
    """Its journal, profile and settings say all that a rebuild needs: every value comes again."""
    before = rows_of(older)
    rebuild(older.lab, "M. Keller", accept=True)
    assert rows_of(older) == before
    assert verify(older.lab).findings == ()


def test_an_older_lab_is_merged_into_one_of_today(older: LabAtWork, tmp_path: Path) -> None:
    """Its rows come as they stand there, with all that was decided on them."""
    here = LabAtWork(new_lab(tmp_path / "here").root)
    shutil.copy(older.root / "tiecoat.toml", here.root)
    shutil.copytree(older.root / "readers", here.root / "readers", dirs_exist_ok=True)
    assert run("merge", older.root, "--lab", here.root) == 0
    assert rows_of(here) == rows_of(older)
    assert here.held().keys() == older.held().keys()
    assert verify(here.lab).findings == ()


def test_every_part_of_a_new_lab_says_its_format(tmp_path: Path) -> None:
    """The lab, its settings, records, tables, index and health each carry a whole number."""
    root = new_lab(tmp_path / "lab").root
    at_work = LabAtWork(root)
    settings = (root / "tiecoat.toml").read_text(encoding="utf-8")
    (root / "tiecoat.toml").write_text(settings.replace("settle_s = 5.0", "settle_s = 0.1"))
    at_work.drop("RB-014.csv", density())
    at_work.take()
    assert json.loads((root / "format.json").read_text())["format"] == 1
    assert "\nformat = 1 " in settings
    assert {record["format"] for record in at_work.journal()} == {1}
    (table,) = root.glob("archive/*/*/data.parquet")
    assert pq.read_schema(table).metadata[b"tiecoat.format"] == b"2"
    assert version_of(root) == sqlite.VERSION


def version_of(root: Path) -> int:
    """The version of the index of a lab."""
    with closing(sqlite3.connect(root / "index.sqlite")) as connection:
        return int(connection.execute("PRAGMA user_version").fetchone()[0])


def newer_lab(at_work: LabAtWork) -> None:
    """The lab as a whole is newer."""
    (at_work.root / "format.json").write_text('{"format": 99}')


def newer_settings(at_work: LabAtWork) -> None:
    """Its settings are, with a key that nobody knows here."""
    settings = (at_work.root / "tiecoat.toml").read_text()
    (at_work.root / "tiecoat.toml").write_text(f"format = 99\ntomorrow = 1\n{settings}")


def newer_journal(at_work: LabAtWork) -> None:
    """Its journal is, from one record on."""
    (month,) = (at_work.root / "journal").iterdir()
    with month.open("a") as file:
        file.write('{"format": 99, "at": "2031-01-01T00:00:00+00:00", "event": "merged"}\n')


def newer_index(at_work: LabAtWork) -> None:
    """Its index is."""
    with closing(sqlite3.connect(at_work.root / "index.sqlite")) as connection:
        connection.execute("PRAGMA user_version = 99")
        connection.execute("CREATE TABLE tomorrow (day TEXT)")


def newer_table(at_work: LabAtWork) -> None:
    """One of its tables is."""
    path = at_work.root / "archive" / "density" / "RB-014" / "data.parquet"
    rows = pq.ParquetFile(path).read()
    said = {**rows.schema.metadata, b"tiecoat.format": b"99"}
    pq.write_table(rows.replace_schema_metadata(said), path)


@pytest.mark.parametrize(
    ("put", "what"),
    [
        (newer_lab, ""),
        (newer_settings, "tiecoat.toml"),
        (newer_journal, "journal/"),
        (newer_index, "index.sqlite"),
        (newer_table, "a table of density"),
    ],
    ids=lambda value: getattr(value, "__name__", ""),
)
def test_what_a_newer_program_wrote_is_left_alone(
    older: LabAtWork,
    put: Callable[[LabAtWork], None],
    what: str,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Whatever would write ends with code 2 and says so; no byte of it is changed or moved."""
    put(older)
    older.drop("next.csv", density(at="15.09.2026;08:12"))
    before = contents_of(older.root, put is newer_index)
    commands = [("take",), ("verify",), ("reindex",), ("rebuild", "--accept")]
    if put is newer_table:  # found where it is read
        commands = [("verify",), ("rebuild",), ("evaluate", "density")]
    for command in commands:
        assert run(*command, "--lab", older.root) == 2, command
        said = capsys.readouterr().err
        assert NEWER in said, command
        assert what in said.partition(" was written by")[0]
        assert "Nothing was changed. Use the newer one, here too" in said
    assert contents_of(older.root, put is newer_index) == before


def contents_of(root: Path, with_index: bool) -> dict[str, bytes]:
    """Every file of a lab but locks and who holds them, and the index unless it is asked for."""
    return {
        str(path.relative_to(root)): path.read_bytes()
        for path in sorted(root.rglob("*"))
        if path.is_file()
        and not path.name.startswith(".")
        and not path.name.endswith(("-wal", "-shm"))
        and (with_index or not path.name.startswith("index.sqlite"))
    }


def test_a_newer_index_does_not_keep_an_older_program_from_reading(older: LabAtWork) -> None:
    """The tables are what is read; the index is a cache."""
    newer_index(older)
    assert tiecoat.open(older.root).read("density")["density_g_cm3"].tolist() == [1.3912]


def test_a_newer_index_may_be_deleted(older: LabAtWork, capsys: pytest.CaptureFixture[str]) -> None:
    """What is told heals: once it is deleted, the older program makes its own, and goes on."""
    newer_index(older)
    assert run("take", "--lab", older.root) == 2
    assert "delete it while nothing uses the lab" in capsys.readouterr().err
    (older.root / "index.sqlite").unlink()
    assert run("take", "--lab", older.root) == 0
    assert version_of(older.root) == sqlite.VERSION


def test_an_older_index_is_made_anew(older: LabAtWork) -> None:
    """A newer program replaces it without a word, and loses nothing."""
    with closing(sqlite3.connect(older.root / "index.sqlite")) as connection:
        connection.execute("PRAGMA user_version = 1")
    older.take()
    assert version_of(older.root) == sqlite.VERSION
    assert verify(older.lab).findings == ()


def test_a_marker_that_says_nothing_is_told(
    older: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """And what is advised heals it."""
    (older.root / "format.json").write_bytes(b"")
    assert run("contents", "--lab", older.root) == 2
    assert "Where no newer tiecoat has used the lab, delete it." in capsys.readouterr().err
    (older.root / "format.json").unlink()
    assert run("contents", "--lab", older.root) == 0


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"tomorrow": 1}, "not running: it was stopped, last beat"),
        ({"format": 99}, "not known: "),
        (None, "not known: health.json does not say how it is"),
    ],
    ids=["a field more", "newer", "torn"],
)
def test_the_health_of_a_newer_service_is_no_health_that_never_was(
    older: LabAtWork, changes: dict[str, object] | None, said: str
) -> None:
    """Status reads what it knows of it, or says that a newer tiecoat wrote it, or that it is torn.

    It never says that no service was ever started there.
    """
    from tiecoat.service.status import status

    path = older.root / "health.json"
    record = {**json.loads(path.read_text()), "host": socket.gethostname()}
    path.write_text("{" if changes is None else json.dumps({**record, **changes}))
    found = status(older.lab)
    assert found.code == 2
    (line,) = (line for line in found.lines if line.startswith("service"))
    assert line.startswith(f"service  {said}")
    assert (NEWER in line) == (changes == {"format": 99})


def test_a_service_of_an_older_program_ends(
    older: LabAtWork, serve: Callable[..., Service]
) -> None:
    """It does not try again and again: it says who must serve here, and exits with code 2."""
    newer_index(older)
    before = (older.root / "index.sqlite").read_bytes()
    service = serve(older)
    wait_until(lambda: not service.lives, "its end")
    assert service.stop() == 2
    assert NEWER in service.output
    assert (older.root / "index.sqlite").read_bytes() == before
    assert list(older.root.glob("index.sqlite.aside*")) == []
