"""An archive of many batches: the tables of the example under further names."""

from __future__ import annotations

import shutil
from collections.abc import Collection
from pathlib import Path

import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

EXAMPLE = Path(__file__).resolve().parents[2] / "archive_example"


def write_batches(lab: Path, batches: int, kinds: Collection[str] | None = None) -> None:
    """Write so many batches of every kind, or of some; the example's few, over and over."""
    lab.mkdir()
    shutil.copy(EXAMPLE / "tiecoat.toml", lab)
    for kind in sorted((EXAMPLE / "archive").iterdir()):
        if kinds is not None and kind.name not in kinds:
            continue
        tables = [(one.parent.name, pq.read_table(one)) for one in sorted(kind.glob("*/*.parquet"))]
        for number in range(batches):
            old, table = tables[number % len(tables)]
            folder = lab / "archive" / kind.name / f"XB-{number:05d}"
            folder.mkdir(parents=True)
            pq.write_table(_renamed(table, old, folder.name), folder / "data.parquet")


def _renamed(table: pa.Table, old: str, new: str) -> pa.Table:
    for place, column in enumerate(table.schema):
        if column.name not in ("batch", "panel", "measurement"):
            continue
        texts = table.column(place).cast(pa.string())
        if column.name == "measurement":
            texts = pc.binary_join_element_wise(texts, new, "-")
        else:
            texts = pc.replace_substring(texts, old, new)
        table = table.set_column(place, column, texts.cast(column.type))
    return table
