"""Tables of format 1, which knew no remarks: read, extended and proved as they are."""

from __future__ import annotations

import shutil
from pathlib import Path

import pyarrow.parquet as pq
import pytest
from archive_rows import export, file, make_lab, sweep
from build_example import EXAMPLE

import tiecoat
from tiecoat.archive.amend import retract
from tiecoat.contract.columns import of_today
from tiecoat.lab.settings import Lab, open_lab
from tiecoat.verify.verify import verify

KIND, BATCH = "pull_off", "RB-014"


@pytest.fixture
def old(tmp_path: Path) -> Lab:
    """The example, with every table and record as they were before there were remarks."""
    root = tmp_path / "lab"
    shutil.copytree(EXAMPLE, root, ignore=shutil.ignore_patterns("index.sqlite*"))
    (root / "stage").mkdir(exist_ok=True)
    for path in (root / "archive").rglob("*.parquet"):
        rows = pq.ParquetFile(path).read()
        if "remark" in rows.column_names:
            rows = rows.drop_columns("remark")
        said = {**rows.schema.metadata, b"tiecoat.format": b"1"}
        pq.write_table(rows.replace_schema_metadata(said), path)
    return open_lab(root)


def test_an_older_archive_reads_with_empty_remarks(old: Lab) -> None:
    """However it is asked, the column is there and empty."""
    archive = tiecoat.open(old.root)
    rows = len(archive.read(KIND, batch=BATCH))
    assert archive.read(KIND, batch=BATCH)["remark"].isna().sum() == rows
    assert archive.measurements(kind=KIND)["remark"].isna().all()
    counted = archive.sql(f"select count(*) as n, count(remark) as odd from {KIND}").iloc[0]
    assert counted.to_dict() == {"n": len(archive.read(KIND)), "odd": 0}
    assert archive.arrow(KIND).to_table()["remark"].null_count == len(archive.read(KIND))
    assert list(archive.read(KIND, batch="RB-014", where="1 = 0")) == list(archive.read(KIND))


def test_an_older_archive_is_sound_and_stays_so(old: Lab) -> None:
    """Its journal verifies; so it does once a table of it was written anew, in today's format."""
    assert verify(old).findings == ()
    archive = tiecoat.open(old.root)
    first = archive.measurements(kind=KIND, batch=BATCH)["measurement"][0]
    retract(old, [first], "M. Keller", "dolly not round")
    path = old.archive / KIND / BATCH / "data.parquet"
    assert pq.read_schema(path).metadata[b"tiecoat.format"] == b"2"
    assert verify(old).findings == ()
    odd = archive.sql(f"select count(*) as n from {KIND} where remark is null")["n"][0]
    assert odd == len(archive.read(KIND))  # tables of both formats side by side


def test_a_table_of_rows_without_the_column_takes_new_ones(tmp_path: Path) -> None:
    """Rows of today go into a table of format 1, and its own keep their digest."""
    lab = make_lab(tmp_path / "lab")
    file(lab, export("a.csv", {"impedance": [sweep()]}))
    path = lab.archive / "impedance" / "RB-014" / "data.parquet"
    assert "remark" not in pq.read_schema(path).names  # these hands still write format 1
    assert of_today(pq.ParquetFile(path).read())["remark"].null_count == 3
    file(lab, export("b.csv", {"impedance": [sweep(hours=48.0)]}))
    assert of_today(pq.ParquetFile(path).read())["remark"].null_count == 6
