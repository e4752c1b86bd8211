"""How often programs that read a table by its path meet an error while it is replaced.

A writer replaces one table as fast as it can, each time by one more row; readers open it by its
path meanwhile. Counted are readings, errors, and answers that no table ever gave.
"""

from __future__ import annotations

import multiprocessing
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import duckdb
import pandas as pd
import polars as pl
import pyarrow as pa
import pyarrow.parquet as pq
from many_batches import write_batches

from tiecoat.archive.tables.storage import storage_of
from tiecoat.lab.settings import open_lab

PLACE = ("pull_off", "XB-00000")
SECONDS = 20.0


def write(root: Path, stop: multiprocessing.synchronize.Event, written: object) -> None:
    """Replace the table until told to stop."""
    storage = storage_of(open_lab(root))
    rows = storage.read(PLACE)
    first = rows.slice(0, 1)
    while not stop.is_set():
        rows = pa.concat_tables([rows.slice(0, 2000), first])
        storage.replace([(PLACE, rows)])
        written.value += 1  # type: ignore[attr-defined]


def readers(path: Path) -> dict[str, Callable[[], int]]:
    """Return ways of reading a table by its path; each gives its number of rows."""
    return {
        "pyarrow": lambda: pq.read_table(path).num_rows,
        "pandas": lambda: len(pd.read_parquet(path)),
        "polars": lambda: pl.read_parquet(path).height,
        "polars, lazily": lambda: pl.scan_parquet(path).collect().height,
        "DuckDB": lambda: duckdb.sql(f"select strength_mpa from '{path}'").df().shape[0],
        "the bytes once": lambda: pq.read_table(pa.BufferReader(path.read_bytes())).num_rows,
    }


def run(folder: Path, seconds: float = SECONDS) -> str:
    """Return the counts in words."""
    root = folder / "lab"
    write_batches(root, 1, ["pull_off"])
    path = root / "archive" / PLACE[0] / PLACE[1] / "data.parquet"
    least = pq.read_metadata(path).num_rows
    context = multiprocessing.get_context("spawn")
    stop, written = context.Event(), context.Value("l", 0)
    writer = context.Process(target=write, args=(root, stop, written))
    writer.start()
    read, failed, wrong = Counter[str](), Counter[str](), Counter[str]()
    said = {}
    while not written.value:
        time.sleep(0.05)
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        for name, rows in readers(path).items():
            read[name] += 1
            try:
                wrong[name] += not least <= rows() <= 2001
            except Exception as error:  # noqa: BLE001 - whatever a library raises is counted
                failed[name] += 1
                said[name] = f"{type(error).__name__}: {str(error).splitlines()[0][:60]}"
    stop.set()
    writer.join()
    lines = [f"{written.value:,} replacements of a table of {path.stat().st_size:,} bytes"]
    for name, count in read.items():
        told = f" ({said[name]})" if name in said else ""
        lines.append(
            f"{name}: {count:,} readings, {failed[name]} errors, {wrong[name]} wrong{told}"
        )
    return "\n".join(lines)
