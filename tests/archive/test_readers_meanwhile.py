"""Readers while the tables are replaced under them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from archive_rows import export, file, sweep

from tiecoat.ids import table_path
from tiecoat.lab import Lab

READER = """
import sys, pathlib
import polars as pl, pyarrow.parquet as pq
import tiecoat
root = sys.argv[1]
archive = tiecoat.open(root)
path = root + "/archive/impedance/RB-014/data.parquet"
query = "select measurement, count(*) as n from impedance group by all"
readers = {
    "pyarrow": lambda: pq.read_table(path).to_pandas().groupby("measurement").size(),
    "polars": lambda: pl.read_parquet(path).to_pandas().groupby("measurement").size(),
    "read": lambda: archive.read("impedance", panel="RB-014-1").groupby("measurement").size(),
    "sql": lambda: archive.sql(query).set_index("measurement")["n"],
    "dataset": lambda: archive.arrow("impedance").to_table().to_pandas().groupby("measurement").size(),
    "index": lambda: archive.measurements("impedance").set_index("measurement")["n_rows"],
}
seen = dict.fromkeys(readers, 0)
rounds = 0
print("ready", flush=True)
while not pathlib.Path(root, "stop").exists() or rounds < 3:
    for name, read in readers.items():
        sizes = read()
        assert set(sizes) == {3}, (name, sizes)
        assert len(sizes) >= seen[name], (name, "went back")
        seen[name] = len(sizes)
    rounds += 1
print(rounds, *seen.values())
"""


def test_no_reader_sees_an_error_or_a_half(lab: Lab) -> None:
    """While tables are replaced, every reader sees all of the old or all of the new."""
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
    assert rounds >= 3
    assert seen == [40] * 6


def test_a_table_that_is_away_for_a_moment_is_looked_for_again(
    lab: Lab, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A table that cannot be opened at the moment of its replacement is tried once more."""
    from tiecoat.archive import query

    file(lab, export("0.csv", {"impedance": [sweep()]}))
    path = table_path(lab.archive, "impedance", "RB-014")
    whole = path.read_bytes()
    path.write_bytes(whole[:100])
    monkeypatch.setattr(query.time, "sleep", lambda _: path.write_bytes(whole))

    assert len(query.Archive(lab).read("impedance")) == 3
