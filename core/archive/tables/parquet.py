"""Rows of tables: united, sorted, marked as withdrawn, and as the bytes of a Parquet file."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

from tiecoat.contract.columns import of_today, told_of
from tiecoat.errors import ArchiveDamaged

if TYPE_CHECKING:
    import pyarrow as pa

Place: TypeAlias = tuple[str, str]  # kind, batch

ROWS_IN_GROUP = 65_536  # few enough that one panel of a large batch is found without reading it all
KEYS = ("panel", "measured_at", "measurement")


class Version(NamedTuple):
    """What changes whenever a table is replaced; the number where a time may be too coarse."""

    size: int
    mtime_ns: int
    number: int


@dataclass(frozen=True)
class Mark:
    """Why a measurement no longer counts; its rows stay where they are.

    `withdrawn` is a word of `Withdrawn`, and there is a time, unless somebody edited the table.
    """

    withdrawn: str
    at: datetime | None
    by: str
    why: str
    superseded_by: str | None = None


def are_valid() -> Any:
    """Return the condition that rows count: they are not withdrawn."""
    import pyarrow.compute as pc

    return pc.field("withdrawn").is_null()


def of_measurements(rows: pa.Table, names: Collection[str]) -> pa.Table:
    """Return the rows of some measurements."""
    import pyarrow as pa
    import pyarrow.compute as pc

    return rows.filter(pc.is_in(rows["measurement"], pa.array(sorted(names), pa.string())))


def to_parquet(rows: pa.Table) -> pa.Buffer:
    """Return the rows as the bytes of a Parquet file."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    sink = pa.BufferOutputStream()
    pq.write_table(
        rows, sink, compression="zstd", row_group_size=ROWS_IN_GROUP, write_page_checksum=True
    )
    return sink.getvalue()


def rows_in(content: bytes) -> pa.Table:
    """Return the rows of a Parquet file's bytes, each page checked by its checksum.

    Raises
    ------
    pyarrow.ArrowException, OSError
        If they are damaged.
    """
    import pyarrow as pa
    import pyarrow.parquet as pq

    opened = pq.ParquetFile(pa.BufferReader(content), page_checksum_verification=True)
    return of_today(opened.read())


def unite(tables: Iterable[pa.Table]) -> pa.Table:
    """Put tables of one kind together by column name; the last says order, units and meanings.

    A column that a table does not have is empty there; no column is ever lost.

    Raises
    ------
    ArchiveDamaged
        If a column has values that do not fit the type it has now, or are in another unit.
    """
    import pyarrow as pa

    parts = list(tables)
    schema = parts[-1].schema
    for part in parts[:-1]:
        if part.schema.equals(schema, check_metadata=True):
            continue
        for field in part.schema:
            if (place := schema.get_field_index(field.name)) < 0:
                schema = schema.append(field)
            else:
                _refuse_other_unit(field, schema.field(place))
    return pa.concat_tables([_fit(part, schema) for part in parts])


def _refuse_other_unit(one: pa.Field, other: pa.Field) -> None:
    units = [told_of(field).unit for field in (one, other)]
    if units[0] != units[1]:
        raise ArchiveDamaged(
            f"column {one.name!r} is in {units[0] or 'a plain number'} in one table and in"
            f" {units[1] or 'a plain number'} in another: see tiecoat upgrade --show"
        )


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


def with_marks(rows: pa.Table, marks: Mapping[str, Mark | None]) -> pa.Table:
    """Return the rows with those of some measurements marked as withdrawn, or no more."""
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
        values = [mark and getattr(mark, attribute) for mark in marks.values()]
        said = pa.array(values, field.type)
        marked = pc.if_else(hit, said.take(which.combine_chunks()), rows[name])
        rows = rows.set_column(rows.schema.get_field_index(name), field, marked)
    return rows
