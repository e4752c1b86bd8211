"""What a question to the archive cannot do, however it is put: write, set, or see anything else."""

from __future__ import annotations

import hashlib
import os
import time
from collections.abc import Callable
from pathlib import Path

import duckdb
import pandas as pd
import pytest
from archive_rows import export, file, make_lab, sweep, wet

from tiecoat.ask import sql
from tiecoat.ask.query import Archive
from tiecoat.errors import QueryInvalid, TiecoatError
from tiecoat.lab.ids import table_path

# {table} is a table of the archive, {outside} a Parquet file elsewhere, {new} a file that is not
# there, {folder} the folder of these.
STATEMENTS = [
    "copy (select 1 as density_g_cm3) to '{table}' (format parquet)",
    "copy density to '{new}'",
    "copy (select * from density) to '{folder}' (format parquet, partition_by batch)",
    "export database '{folder}'",
    "attach '{new}' as other",
    "attach '{outside}' as other",
    "create table other as select 1",
    "create view other as select 1",
    "create or replace view density as select 1",
    "create temp table other as select 1",
    "create macro f(x) as x + 1",
    "create secret s (type s3, key_id 'k')",
    "drop view density",
    "insert into density select * from density",
    "delete from density",
    "update density set density_g_cm3 = 1",
    "truncate density",
    "alter view density rename to other",
    "with w as (insert into density select * from density returning *) select * from w",
    "with w as (delete from density returning *) select * from w",
    "set enable_external_access = true",
    "set allowed_paths = ['{outside}']",
    "set temp_directory = '{folder}'",
    "reset lock_configuration",
    "pragma enable_profiling",
    "pragma database_list",
    "call enable_logging(storage = 'file', storage_path = '{folder}')",
    "install httpfs",
    "load httpfs",
    "import database '{folder}'",
    "use other",
    "begin",
    "checkpoint",
    "vacuum",
    "prepare p as select 1",
    "execute p",
    "explain analyze select 1",
    "select 1; copy density to '{new}'",
    "select 1; select 2",
    "set variable x = 1; select getvariable('x')",
    "",
    "-- nothing",
]
LOOKS = [
    "select * from read_text('{outside}')",
    "select * from read_blob('/etc/passwd')",
    "select * from read_csv('{outside}')",
    "select * from read_parquet('{outside}')",
    "select * from read_parquet(['{table}', '{outside}'])",
    "select * from read_parquet('{folder}/*')",
    "select * from parquet_metadata('{outside}')",
    "select * from parquet_schema('{outside}')",
    "select * from sniff_csv('{outside}')",
    "select * from glob('{folder}/*')",
    "select * from '{outside}'",
    'select * from "{outside}"',
    "select * from read_parquet('http://localhost:9/x.parquet')",
    "select * from query('copy (select 1) to ''{new}''')",
    "select * from query_table('{outside}')",
    "select * from secret_frame",
    "select content from density, read_text('{outside}')",
    "from density where exists (from read_text('{outside}'))",
]
CONDITIONS = [
    "true) union all select 0 from range(9) --",
    "true); copy (select 1) to '{new}'; select (true",
    "true; copy (select 1) to '{new}'",
    "copy (select 1) to '{new}'",
    "true order by 1",
    "true limit 1",
    "true group by 1",
    "true, false",
    "select true",
    "exists (from read_text('{outside}'))",
    "batch in (select content from read_text('/etc/passwd'))",
    "exists (from '{outside}')",
    "exists (from secret_frame)",
    "",
    "*",
]

secret_frame = pd.DataFrame({"secret": [1]})  # a variable, as a script has some


@pytest.fixture
def archive(tmp_path: Path) -> Archive:
    lab = make_lab(tmp_path / "lab")
    file(
        lab,
        export("wet.csv", {"density": [wet(1.30), wet(1.36, "RB-015")]}),
        export("day.csv", {"impedance": [sweep("RB-014-1")]}),
    )
    return Archive(lab)


@pytest.fixture
def untouched(tmp_path: Path, archive: Archive) -> Callable[[str], str]:
    """Puts paths into an attempt; at the end not one byte of the disk has changed."""
    outside = tmp_path / "outside"
    outside.mkdir()
    secret_frame.to_parquet(outside / "secret.parquet")
    places = {
        "table": table_path(archive.lab.archive, "density", "RB-014"),
        "outside": outside / "secret.parquet",
        "new": outside / "new.csv",
        "folder": outside,
    }
    return lambda attempt: attempt.format(**places)


def on_disk(folder: Path) -> dict[str, str]:
    """Return the content of every file."""
    files = [path for path in folder.rglob("*") if path.is_file()]
    return {str(path): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


def test_statements_are_refused(
    archive: Archive, tmp_path: Path, untouched: Callable[[str], str]
) -> None:
    """Whatever is not one SELECT is refused in plain words, and changes nothing."""
    before, here = on_disk(tmp_path), set(os.listdir())  # noqa: PTH208
    for attempt in STATEMENTS:
        with pytest.raises(QueryInvalid):
            archive.sql(untouched(attempt))
    assert on_disk(tmp_path) == before
    assert set(os.listdir()) == here  # noqa: PTH208
    with pytest.raises(QueryInvalid, match="expected one SELECT, found COPY: an archive is only"):
        archive.sql(untouched("copy density to '{new}'"))
    with pytest.raises(QueryInvalid, match="expected one SELECT, found 2 statements"):
        archive.sql("select 1; select 2")


def test_nothing_else_is_seen(
    archive: Archive, tmp_path: Path, untouched: Callable[[str], str]
) -> None:
    """A SELECT reads the tables of the archive: no other file, and no variable of the program."""
    before = on_disk(tmp_path)
    for attempt in LOOKS:
        with pytest.raises(TiecoatError):
            archive.sql(untouched(attempt))
    assert on_disk(tmp_path) == before
    assert archive.sql("select count(*) as n from density;")["n"].tolist() == [2]


def test_conditions_are_one_expression(
    archive: Archive, tmp_path: Path, untouched: Callable[[str], str]
) -> None:
    """A condition cannot end the question and begin another one, nor look elsewhere."""
    before = on_disk(tmp_path)
    for attempt in CONDITIONS:
        with pytest.raises(QueryInvalid, match="where="):
            archive.read("density", where=untouched(attempt))
    assert on_disk(tmp_path) == before
    assert (
        len(archive.read("density", where="density_g_cm3 > 1.3 or batch = 'RB-014' -- both")) == 2
    )


def test_a_question_does_not_spill_to_the_disk(
    archive: Archive, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What does not fit into memory fails in plain words, and writes no file for a moment."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setitem(sql.SETTINGS, "memory_limit", "40MB")
    before = on_disk(tmp_path)
    with pytest.raises(QueryInvalid, match="Out of Memory"):
        archive.sql("select * from range(20000000) order by hash(range) desc")
    assert on_disk(tmp_path) == before
    assert archive.sql("select current_setting('temp_directory') as d")["d"].tolist() == [""]


def test_it_is_as_fast_as_duckdb_itself(archive: Archive) -> None:
    """Locking up costs a few milliseconds a question, next to a database without locks."""
    path = table_path(archive.lab.archive, "impedance", "RB-014")

    def plainly() -> None:
        with duckdb.connect() as connection:
            connection.execute("SET TimeZone = 'UTC'")
            connection.execute(f"create view impedance as from read_parquet('{path}')")
            connection.execute("select avg(z_real_ohm) from impedance").df()

    ours = _median_s(lambda: archive.sql("select avg(z_real_ohm) from impedance"))
    assert ours < 3 * _median_s(plainly) + 0.02


def _median_s(call: Callable[[], object]) -> float:
    times = []
    for _ in range(9):
        began = time.perf_counter()
        call()
        times.append(time.perf_counter() - began)
    return sorted(times)[4]
