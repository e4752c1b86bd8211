"""What the archive holds, other programs read without this one, equal to the last bit."""

from __future__ import annotations

import struct
from pathlib import Path

import duckdb
import pandas as pd
import polars as pl
import pyarrow.dataset as ds
import pyarrow.parquet as pq
import pytest
from archive_rows import export, file, make_lab, sweep
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tiecoat.ask.query import Archive
from tiecoat.lab.ids import table_path

NUMBERS = st.lists(st.floats(allow_nan=False), min_size=1, max_size=50, unique=True)


def bits(values: list[float]) -> list[bytes]:
    return [struct.pack("<d", value) for value in values]


@settings(deadline=None, max_examples=30, suppress_health_check=[HealthCheck.too_slow])
@given(NUMBERS)
def test_every_reader_gives_the_same_bits(
    tmp_path_factory: pytest.TempPathFactory, numbers: list[float]
) -> None:
    """pyarrow, pandas, polars and DuckDB read every number to the last bit, with no options."""
    lab = make_lab(tmp_path_factory.mktemp("labs") / "lab")
    rows = [
        {**sweep()[0], "frequency_hz": float(place), "z_real_ohm": number}
        for place, number in enumerate(numbers)
    ]
    file(lab, export("a.csv", {"impedance": [rows]}))
    path = str(table_path(lab.archive, "impedance", "RB-014"))
    sql = f"SELECT z_real_ohm FROM '{path}'"

    read = {
        "pyarrow": pq.read_table(path)["z_real_ohm"].to_pylist(),
        "pyarrow dataset": ds.dataset(path).to_table()["z_real_ohm"].to_pylist(),
        "pandas": pd.read_parquet(path)["z_real_ohm"].to_list(),
        "polars": pl.read_parquet(path)["z_real_ohm"].to_list(),
        "DuckDB": [row[0] for row in duckdb.connect().execute(sql).fetchall()],
        "read": Archive(lab).read("impedance", panel="RB-014-1")["z_real_ohm"].to_list(),
        "sql": Archive(lab).sql("select z_real_ohm from impedance")["z_real_ohm"].to_list(),
    }

    assert {name: bits(values) for name, values in read.items()} == dict.fromkeys(
        read, bits(numbers)
    )


def test_a_whole_kind_is_read_by_its_folder(tmp_path: Path) -> None:
    """Each program reads a whole kind from its folder in one line, ids and times as they are."""
    lab = make_lab(tmp_path / "lab")
    sweeps = [sweep("0012-1", batch="0012"), sweep("1E5-1", batch="1E5"), sweep("NA-1", batch="NA")]
    file(lab, export("a.csv", {"impedance": sweeps}))
    folder = str(lab.archive / "impedance")

    frames = {
        "pandas": pd.read_parquet(folder),
        "pyarrow": ds.dataset(folder).to_table().to_pandas(),
        "polars": pl.read_parquet(f"{folder}/**/*.parquet").to_pandas(),
        "DuckDB": duckdb.connect()
        .execute(f"SET TimeZone = 'UTC'; FROM '{folder}/**/*.parquet'")
        .df(),
    }

    for name, frame in frames.items():
        rows = frame.sort_values(["batch", "frequency_hz"])
        assert rows["batch"].tolist() == ["0012"] * 3 + ["1E5"] * 3 + ["NA"] * 3, name
        assert rows["measured_at"].iloc[0] == pd.Timestamp("2026-10-02 08:00", tz="UTC"), name
        assert rows["withdrawn"].isna().all(), name
