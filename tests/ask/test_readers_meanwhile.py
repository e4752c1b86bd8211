"""Readers while the tables are replaced under them."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from archive_rows import export, file, make_lab, sweep

from tiecoat.ask.query import Archive
from tiecoat.ask.sql import SqlSession
from tiecoat.lab.ids import table_path
from tiecoat.lab.settings import Lab

READER = """
import io, pathlib, sys
import polars as pl, pyarrow.parquet as pq
import tiecoat

root = sys.argv[1]
archive = tiecoat.open(root)
path = pathlib.Path(root, "archive/impedance/RB-014/data.parquet")
query = "select a.* from impedance a join impedance b using (measurement, frequency_hz)"

def again(read):  # a reader that opens the file more than once may find it replaced meanwhile
    def twice():
        try:
            return read()
        except Exception:
            return read()
    return twice

readers = {
    "read": lambda: archive.read("impedance", panel="RB-014-1"),
    "sql": lambda: archive.sql(query),
    "dataset": lambda: archive.arrow("impedance").to_table().to_pandas(),
    "index": lambda: archive.measurements("impedance"),
    "pyarrow": lambda: pq.ParquetFile(path).read().to_pandas(),
    "polars": lambda: pl.read_parquet(io.BytesIO(path.read_bytes())).to_pandas(),
    "pyarrow by path": again(lambda: pq.read_table(path).to_pandas()),
    "polars by path": again(lambda: pl.read_parquet(path).to_pandas()),
}
seen = dict.fromkeys(readers, 0)
rounds, over = 0, False
print("ready", flush=True)
while not over:
    over = pathlib.Path(root, "stop").exists()
    for name, read in readers.items():
        sizes = read().groupby("measurement").size()
        assert set(sizes) == {1 if name == "index" else 3}, (name, sizes)
        assert len(sizes) >= seen[name], (name, "went back")
        seen[name] = len(sizes)
    rounds += 1
print(rounds, *seen.values())
"""


@pytest.fixture
def lab(tmp_path: Path) -> Lab:
    return make_lab(tmp_path / "lab")


def test_no_reader_sees_an_error_or_a_half(lab: Lab) -> None:
    """While tables are replaced, every reader sees all of the old or all of the new.

    Programs that open a file by its path twice in one read may meet an error, never wrong rows.
    """
    file(lab, export("0.csv", {"impedance": [sweep(hours=0)]}))
    reader = subprocess.Popen(
        [sys.executable, "-c", READER, str(lab.root)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert reader.stdout is not None
    assert reader.stdout.readline() == "ready\n", reader.communicate()[1]
    for number in range(1, 40):
        file(lab, export(f"{number}.csv", {"impedance": [sweep(hours=number)]}))
    Path(lab.root, "stop").touch()

    output, errors = reader.communicate(timeout=120)

    assert errors == ""
    rounds, *seen = map(int, output.split())
    assert rounds >= 2
    assert seen == [40] * 8


def test_a_dataset_stays_as_it_was(lab: Lab) -> None:
    """A dataset that somebody keeps goes on giving what was there when it was asked for."""
    file(lab, export("0.csv", {"impedance": [sweep(hours=0)]}))
    rows = Archive(lab).arrow("impedance")
    before = rows.to_table()

    file(lab, export("1.csv", {"impedance": [sweep(hours=1)]}))

    assert rows.to_table().equals(before)
    assert Archive(lab).arrow("impedance").count_rows() == 6


def test_a_query_is_answered_of_one_moment(lab: Lab, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a table is replaced while those of a query are gathered, they are gathered again."""
    file(lab, export("0.csv", {"impedance": [sweep(hours=0)]}))
    gathered: list[str] = []
    make_views = SqlSession._make_views

    def gather_while_filing(self: SqlSession, connection: Any, kind: str, *given: Any) -> None:
        make_views(self, connection, kind, *given)
        gathered.append(kind)
        if len(gathered) == 1:
            file(lab, export("1.csv", {"impedance": [sweep(hours=1)]}))

    monkeypatch.setattr(SqlSession, "_make_views", gather_while_filing)

    assert Archive(lab).sql("select count(*) as n from impedance")["n"].tolist() == [6]
    assert gathered == ["impedance"] * 2


def test_a_table_that_is_away_for_a_moment_is_looked_for_again(
    lab: Lab, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A table that cannot be opened at the moment of its replacement is tried once more."""
    file(lab, export("0.csv", {"impedance": [sweep()]}))
    path = table_path(lab.archive, "impedance", "RB-014")
    whole = path.read_bytes()
    path.write_bytes(whole[:100])
    monkeypatch.setattr(time, "sleep", lambda _: path.write_bytes(whole))

    assert len(Archive(lab).read("impedance")) == 3
