"""What questions to a whole archive cost beside DuckDB on the same rows in one file.

All in processor time of one run: an aggregate over one column by `sql`, `arrow` and `read`, with an
archive that is open; the first question, which makes the roll-up; the same after one table was
filed in; and one panel beside pyarrow from its file.
"""

from __future__ import annotations

import statistics
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


def cpu_ms(work: Callable[[], object], repeats: int = REPEATS) -> float:
    """Return the median processor milliseconds of a few runs."""
    found = []
    for _ in range(repeats):
        start = time.process_time()
        work()
        found.append((time.process_time() - start) * 1e3)
    return statistics.median(found)


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
    first = cpu_ms(lambda: archive.sql(query), 1)
    one = root / f"{kind}.parquet"
    pq.write_table(archive.arrow(kind).to_table(), one, compression="zstd")
    by_file = f"select avg({column}) as mean from read_parquet('{one}')"
    with duckdb.connect() as plainly:
        expected = plainly.execute(by_file).df()["mean"][0]
        duck = cpu_ms(lambda: plainly.execute(by_file).df())
        arrow = cpu_ms(lambda: pc.mean(pq.read_table(one, columns=[column])[column]))

        def by_sql() -> float:
            return float(archive.sql(query)["mean"][0])

        def by_arrow() -> float:
            return float(pc.mean(archive.arrow(kind).to_table(columns=[column])[column]).as_py())

        def by_read() -> float:
            return float(archive.read(kind, columns=[column])[column].mean())

        asked = (("sql", by_sql, duck), ("arrow", by_arrow, arrow), ("read", by_read, arrow))
        for name, ask, beside in asked:
            if abs(ask() - expected) > 1e-9 * abs(expected):
                raise SystemExit(f"{name} gives {ask()}, one file {expected}")
            ours = cpu_ms(ask)
            other = "DuckDB" if name == "sql" else "pyarrow"
            yield (
                f"  mean of {column} by {name}: {ours:.2f} ms, {other} on one file {beside:.2f}"
                f" ms, ratio {ours / beside:.2f}"
            )
    again = tiecoat.open(root)
    second = cpu_ms(lambda: again.sql(query), 1)
    yield f"  first question {first:,.0f} ms, with a roll-up {second:.1f} ms"
    batch = archive.batches()[len(archive.batches()) // 2]
    path = root / "archive" / kind / batch / "data.parquet"
    yield _of_one(archive, kind, batch, path)


def _of_one(archive: tiecoat.Archive, kind: str, batch: str, path: Path) -> str:
    """Return the ratio of one panel, or of one batch where there are no panels."""
    panel = pq.read_table(path)["panel"][0].as_py()
    wanted = [("panel", "=", panel)] if panel else [("batch", "=", batch)]
    ours = cpu_ms(lambda: archive.read(kind, batch=batch, panel=panel))
    direct = cpu_ms(lambda: pq.read_table(path, filters=wanted).to_pandas())
    ratio = ours / direct
    return f"  one panel: {ours:.2f} ms, pyarrow from its file {direct:.2f} ms, ratio {ratio:.2f}"
