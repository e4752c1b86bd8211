"""The tables of the archive: where they stand, how rows are read, united, sorted, written."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias
from urllib.parse import unquote

from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged
from tiecoat.lab.ids import canonical, table_path

if TYPE_CHECKING:
    import pyarrow as pa
    import pyarrow.dataset as ds

Place: TypeAlias = tuple[str, str]  # kind, batch

ROWS_IN_GROUP = 65_536  # few enough that one panel of a large batch is found without reading it all
KEYS = ("panel", "measured_at", "measurement")


@dataclass(frozen=True)
class Mark:
    """Why a measurement no longer counts; its rows stay where they are."""

    withdrawn: str
    at: datetime
    by: str
    why: str
    superseded_by: str | None = None


def places(archive: Path, kind: str | None = None) -> Iterator[Place]:
    """Yield kind and batch of every table there is, sorted."""
    kinds = [kind] if kind is not None else sorted(map(unquote, _folders(archive)))
    for name in kinds:
        for batch in sorted(map(unquote, _folders(archive / name))):
            ours = canonical(name) is not None and canonical(batch) == batch
            if ours and fsio.is_file(table_path(archive, name, batch)):
                yield name, batch


def _folders(folder: Path) -> list[str]:
    try:
        with os.scandir(folder) as entries:
            return [entry.name for entry in entries if entry.is_dir(follow_symlinks=False)]
    except (FileNotFoundError, NotADirectoryError):
        return []


def read_table(path: Path, only: Any = None, *, checksums: bool = False) -> pa.Table:
    """Read a table through one open file, so that a replacement meanwhile cannot mix old and new.

    Parameters
    ----------
    only
        An expression that the rows must fulfil.
    checksums
        Whether to check every page by its checksum.

    Raises
    ------
    FileNotFoundError
        If there is no such table.
    ArchiveDamaged
        If it does not open.
    """
    import pyarrow as pa
    import pyarrow.parquet as pq

    with _told(path), pa.OSFile(str(path)) as file:
        return pq.read_table(file, filters=only, page_checksum_verification=checksums)


def read_nothing(path: Path) -> pa.Table:
    """Return the columns of a table without any row; raises what `read_table` raises."""
    import pyarrow.parquet as pq

    with _told(path):
        return pq.read_schema(path).empty_table()


def snapshot(paths: Sequence[Path]) -> ds.Dataset:
    """Return the tables of one kind as they are now, as a dataset.

    It holds the compressed files in memory. A dataset that holds paths opens each file more than
    once, and breaks, or mixes old and new, where one of them has been replaced meanwhile.
    """
    import pyarrow as pa
    import pyarrow.dataset as ds
    import pyarrow.parquet as pq

    parquet = ds.ParquetFileFormat()
    fragments, empty = [], []
    for path in paths:
        with _told(path):
            file = pa.BufferReader(path.read_bytes())
            empty.append(pq.read_schema(file).empty_table())
            fragments.append(parquet.make_fragment(file))
    return ds.FileSystemDataset(fragments, unite(empty).schema, parquet)


@contextmanager
def _told(path: Path) -> Iterator[None]:
    import pyarrow as pa

    try:
        yield
    except FileNotFoundError:
        raise
    except (OSError, pa.ArrowException) as error:
        raise ArchiveDamaged(
            f"{path} cannot be read as Parquet: {error}\n"
            "Put it back from a backup, or move it out of the archive and file its originals again."
        ) from error


def to_parquet(rows: pa.Table) -> pa.Buffer:
    """Return the rows as the bytes of a Parquet file."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    sink = pa.BufferOutputStream()
    pq.write_table(
        rows, sink, compression="zstd", row_group_size=ROWS_IN_GROUP, write_page_checksum=True
    )
    return sink.getvalue()


def check_rows(staged: Path, count: int) -> None:
    """Check that a staged file opens as Parquet and has so many rows.

    Raises
    ------
    ArchiveDamaged
        If it has another number of rows.
    """
    import pyarrow.parquet as pq

    with pq.ParquetFile(staged) as opened:
        found = opened.metadata.num_rows
    if found != count:
        raise ArchiveDamaged(f"{staged}: {found} rows were written, {count} expected")


def unite(tables: Iterable[pa.Table]) -> pa.Table:
    """Put tables of one kind together by column name; the last says order, units and meanings.

    A column that a table does not have is empty there; no column is ever lost.

    Raises
    ------
    ArchiveDamaged
        If a column has values that do not fit the type it has now.
    """
    import pyarrow as pa

    parts = list(tables)
    schema = parts[-1].schema
    for part in parts[:-1]:
        for field in part.schema:
            if schema.get_field_index(field.name) < 0:
                schema = schema.append(field)
    return pa.concat_tables([_fit(part, schema) for part in parts])


def _fit(rows: pa.Table, schema: pa.Schema) -> pa.Table:
    import pyarrow as pa

    if rows.schema.equals(schema, check_metadata=True):
        return rows
    columns = []
    for field in schema:
        if rows.schema.get_field_index(field.name) < 0:
            columns.append(pa.nulls(len(rows), field.type))
            continue
        try:
            columns.append(rows[field.name].cast(field.type))
        except pa.ArrowException as error:
            raise ArchiveDamaged(
                f"column {field.name!r} was {rows[field.name].type}, is {field.type} now, and its"
                f" values do not fit: {error}\nGive the kind's changed column a new name."
            ) from error
    return pa.table(columns, schema=schema)


def in_order(rows: pa.Table, order: Iterable[str]) -> pa.Table:
    """Sort by panel, time, measurement, then the columns that the kind names; ties stay put."""
    import pyarrow.compute as pc

    keys = [(name, "ascending") for name in (*KEYS, *order)]
    return rows.take(pc.sort_indices(rows, sort_keys=keys))


def with_marks(rows: pa.Table, marks: Mapping[str, Mark]) -> pa.Table:
    """Return the rows with those of some measurements marked as withdrawn."""
    import pyarrow as pa
    import pyarrow.compute as pc

    if not marks:
        return rows
    which = pc.index_in(rows["measurement"], pa.array(list(marks), pa.string()))
    hit = pc.is_valid(which)
    attributes = {
        "withdrawn": "withdrawn",
        "withdrawn_at": "at",
        "withdrawn_by": "by",
        "withdrawn_why": "why",
        "superseded_by": "superseded_by",
    }
    for name, attribute in attributes.items():
        field = rows.schema.field(name)
        said = pa.array([getattr(mark, attribute) for mark in marks.values()], field.type)
        marked = pc.if_else(hit, said.take(which.combine_chunks()), rows[name])
        rows = rows.set_column(rows.schema.get_field_index(name), field, marked)
    return rows
