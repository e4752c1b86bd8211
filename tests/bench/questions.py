"""What questions to a whole archive cost beside DuckDB on the same rows in one file.

All in processor time of one run: an aggregate over one column by `sql`, `arrow` and `read`, with an
archive that is open; the first question, which makes the roll-up; the same after one table was
filed in; and one panel beside pyarrow from its file.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path

import duckdb
import pyarrow.compute as pc
import pyarrow.parquet as pq
from many_batches import write_batches

import tiecoat
from tiecoat.archive.opening import reindex
from tiecoat.lab.settings import open_lab

SIZES = (200, 2_000, 20_000)
COLUMNS = {"pull_off": "strength_mpa", "density": "density_g_cm3"}
REPEATS = 15


def cpu_ms(work: Callable[[], object]) -> float:
    """Return the processor milliseconds of a run."""
    start = time.process_time()
    work()
    return (time.process_time() - start) * 1e3


def least_ms(*works: Callable[[], object]) -> list[float]:
    """Return the least processor milliseconds of runs in turn, which others stretch least."""
    runs = [[cpu_ms(work) for work in works] for _ in range(REPEATS)]
    return [min(one) for one in zip(*runs, strict=True)]


def run(folder: Path) -> str:
    """Return the ratios in words."""
    return "\n".join(line for size in SIZES for line in of_size(folder, size))


def of_size(folder: Path, size: int) -> Iterator[str]:
    """Yield the ratios at a number of batches."""
    root = folder / f"lab {size}"
    write_batches(root, size, COLUMNS)
    reindex(open_lab(root))
    for kind, column in COLUMNS.items():
        yield f"{size:,} batches, {kind}:"
        yield from of_kind(root, kind, column)


def of_kind(root: Path, kind: str, column: str) -> Iterator[str]:
    """Yield the ratios of a kind."""
    archive = tiecoat.open(root)
    query = f"select avg({column}) as mean from {kind}"
    first = cpu_ms(lambda: archive.sql(query))
    one = root / f"{kind}.parquet"
    pq.write_table(archive.arrow(kind).to_table(), one, compression="zstd")
    by_file = f"select avg({column}) as mean from read_parquet('{one}')"
    with duckdb.connect() as plainly:
        expected = plainly.execute(by_file).df()["mean"][0]

        def by_sql() -> float:
            return float(archive.sql(query)["mean"][0])

        def by_arrow() -> float:
            return float(pc.mean(archive.arrow(kind).to_table(columns=[column])[column]).as_py())

        def by_read() -> float:
            return float(archive.read(kind, columns=[column])[column].mean())

        def by_duckdb() -> float:
            return float(plainly.execute(by_file).df()["mean"][0])

        for name, ask in (("sql", by_sql), ("arrow", by_arrow), ("read", by_read)):
            if abs(ask() - expected) > 1e-9 * abs(expected):
                raise SystemExit(f"{name} gives {ask()}, one file {expected}")
            ours, beside = least_ms(ask, by_duckdb)
            yield (
                f"  mean of {column} by {name}: {ours:.2f} ms, DuckDB on one file {beside:.2f} ms,"
                f" ratio {ours / beside:.2f}"
            )
    again = tiecoat.open(root)
    second = cpu_ms(lambda: again.sql(query))
    yield f"  first question {first:,.0f} ms, with a roll-up {second:.1f} ms"
    batch = archive.batches()[len(archive.batches()) // 2]
    path = root / "archive" / kind / batch / "data.parquet"
    yield _of_one(archive, kind, batch, path)


def _of_one(archive: tiecoat.Archive, kind: str, batch: str, path: Path) -> str:
    """Return the ratio of one panel, or of one batch where there are no panels."""
    panel = pq.read_table(path)["panel"][0].as_py()
    wanted = [("panel", "=", panel)] if panel else [("batch", "=", batch)]
    ours, direct = least_ms(
        lambda: archive.read(kind, batch=batch, panel=panel),
        lambda: pq.read_table(path, filters=wanted).to_pandas(),
    )
    ratio = ours / direct
    return f"  one panel: {ours:.2f} ms, pyarrow from its file {direct:.2f} ms, ratio {ratio:.2f}"
