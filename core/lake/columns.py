"""The columns of a lake's tables: those of the archive, which lab, and which table they are from.

Units and meanings stand in the metadata of the fields, and as comments, which other engines show;
what else the schema of an archive tells stands among the properties of the Delta table.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tiecoat.contract.changes import Following, KindLoaded, change_of, version_of
from tiecoat.contract.columns import told_of
from tiecoat.errors import LakeDisagrees
from tiecoat.lake.tables import commit_properties
from tiecoat.wording import unit_told

if TYPE_CHECKING:
    import pyarrow as pa
    from deltalake import DeltaTable

OURS = "tiecoat."  # how our properties of a table begin
COMMENT = b"comment"
LAB, ROW, TABLE = "lab", "table_row", "table_sha256"
MEANINGS = {
    LAB: "the lab that published it",
    ROW: "place in the table of its batch, counted from 0",
    TABLE: "SHA-256 of the table of its batch in the archive of the lab",
}


def lake_schema(schema: pa.Schema) -> pa.Schema:
    """Return the schema in a lake of what has this one in an archive.

    Raises
    ------
    LakeDisagrees
        If the kind has a column of a name that a lake gives.
    """
    import pyarrow as pa

    if taken := set(MEANINGS) & set(schema.names):
        raise LakeDisagrees(
            f"its column {sorted(taken)[0]!r} has a name that each table of a lake has already"
        )
    first, *last = (
        pa.field(name, pa.int32() if name == ROW else pa.string(), metadata=_told(meaning))
        for name, meaning in MEANINGS.items()
    )
    return pa.schema([first, *map(_commented, schema), *last])


def _told(meaning: str) -> dict[str, str]:
    return {"unit": "", "meaning": meaning, "comment": meaning}


def _commented(field: pa.Field) -> pa.Field:
    unit, meaning, _ = told_of(field)
    comment = f"{meaning} [{unit_told(unit)}]" if unit else meaning
    return field.with_metadata({**(field.metadata or {}), COMMENT: comment.encode()})


def properties(schema: pa.Schema) -> dict[str, str]:
    """Return what the schema of an archive tells of its kind, as properties of a Delta table."""
    said = schema.metadata or {}
    return {k.decode(): v.decode() for k, v in said.items() if k.startswith(OURS.encode())}


def schema_in(table: DeltaTable) -> pa.Schema:
    """Return the schema of a table of a lake in Arrow."""
    import pyarrow as pa

    return pa.schema(table.schema().to_arrow())


def archive_schema(table: DeltaTable) -> pa.Schema:
    """Return the schema that the rows of a table of a lake have in an archive."""
    import pyarrow as pa

    fields = [
        field.with_metadata({k: v for k, v in (field.metadata or {}).items() if k != COMMENT})
        for field in schema_in(table)
        if field.name not in MEANINGS
    ]
    said = {k: v for k, v in table.metadata().configuration.items() if k.startswith(OURS)}
    return pa.schema(fields, metadata=said)


def follow(table: DeltaTable, schema: pa.Schema) -> str | None:
    """Have a table of a lake follow what its kind has become in a lab; say why it cannot.

    Columns are added that are empty in all rows that are there; a lab whose kind is of an earlier
    version is published with empty cells in what it does not have. Units, types and names stay:
    other labs have published in them.

    Parameters
    ----------
    schema
        Of the kind's tables in the archive of the lab.
    """
    then = archive_schema(table)
    if version_of(schema) < version_of(then):
        change = change_of(schema, KindLoaded(then, frozenset(), migrates=False))
        return str(change) if change.following is Following.REFUSED else None
    change = change_of(then, KindLoaded(schema, frozenset(), migrates=False))
    if change.following is Following.REFUSED:
        return str(change)
    added = [field for field in schema if field.name not in then.names]
    if added or version_of(schema) > version_of(then):
        _carry(table, schema, [field.name for field in added])
    return None


def _carry(table: DeltaTable, schema: pa.Schema, added: list[str]) -> None:
    """Add columns, then say what they and the kind are now; cut short, the next one goes on."""
    import pyarrow as pa
    from deltalake import Schema

    wanted = lake_schema(schema)
    bears = commit_properties({}, {})
    if added:
        new = Schema.from_arrow(pa.schema([wanted.field(name) for name in added]))
        table.alter.add_columns(list(new.fields), commit_properties=bears)
    there = schema_in(table)
    for field in wanted:
        if field.metadata != there.field(field.name).metadata:
            said = {k.decode(): v.decode() for k, v in (field.metadata or {}).items()}
            table.alter.set_column_metadata(field.name, said, commit_properties=bears)
    table.alter.set_table_properties(
        properties(schema), raise_if_not_exists=False, commit_properties=bears
    )


def lake_rows(rows: pa.Table, schema: pa.Schema, lab: str, digest: str) -> pa.Table:
    """Return the rows of a table of an archive as a table of a lake of this schema has them."""
    import numpy as np
    import pyarrow as pa

    count = len(rows)
    own = {
        LAB: pa.repeat(lab, count),
        ROW: pa.array(np.arange(count, dtype=np.int32)),
        TABLE: pa.repeat(digest, count),
    }
    columns = []
    for field in schema:
        if field.name in own:
            columns.append(own[field.name])
        elif field.name in rows.column_names:
            columns.append(rows[field.name].cast(field.type))
        else:
            columns.append(pa.nulls(count, field.type))
    return pa.table(columns, schema=schema)
