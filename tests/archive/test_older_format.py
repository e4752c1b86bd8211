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
from tiecoat.intake.outcome import Teller
from tiecoat.intake.taking_in import take
from tiecoat.lab.new_lab import new_lab
from tiecoat.lab.settings import SETTINGS, Lab, open_lab
from tiecoat.verify.verify import verify

KIND, BATCH = "pull_off", "RB-014"


@pytest.fixture
def old(tmp_path: Path) -> Lab:
    """Of the example's exports a part, every table as it was before there were remarks."""
    root = tmp_path / "lab"
    settings = (EXAMPLE / SETTINGS).read_text(encoding="utf-8")
    lab = new_lab(root, f'{settings}\n[checks]\ncorrected = "off"\n')
    for folder in ("register", "pull-off"):
        source = EXAMPLE / "exports" / folder
        shutil.copytree(source, lab.inbox_path(lab.settings.inbox[0]) / folder)
        take(lab, [], Teller(print, print))
    for path in (root / "archive").rglob("*.parquet"):
        rows = pq.ParquetFile(path).read()
        if "remark" in rows.column_names:
            assert rows["remark"].null_count == len(rows)
            rows = rows.drop_columns("remark")
        said = {**rows.schema.metadata, b"tiecoat.format": b"1"}
        pq.write_table(rows.replace_schema_metadata(said), path)
    for index in root.glob("index.sqlite*"):  # which knows the tables as they were before
        index.unlink()
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
