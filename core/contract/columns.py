"""The columns of a kind, and the Arrow schema of its rows as they are sent and kept.

The schema tells all that the archive needs: units and meanings stand in the metadata of the
fields, identity, order and uniqueness in the metadata of the schema. So the parent process, and
whoever opens a table years later, needs neither pandera nor the plugin that made it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from tiecoat.errors import PluginNotLoaded, refuse_newer
from tiecoat.wording import unit_told

if TYPE_CHECKING:
    import pyarrow as pa

    from tiecoat.contract.kind import Kind

FORMAT = "2"  # rises when columns that every table has are added or change their meaning

# int: only for the row of the original
ColumnType = Literal["float", "str", "time", "whole", "bool", "int"]
ColumnRole = Literal["key", "value", "origin", "remark", "mark"]
# as what pandas keeps types of which a value may be missing, where its usual one cannot
MAY_BE_EMPTY: Mapping[ColumnType, str] = {"whole": "Int64", "bool": "boolean"}


@dataclass(frozen=True)
class ColumnInfo:
    """One column: what it holds, in which unit (as pint writes it, "" for none), and what it means.

    `nullable` says whether a single value may be missing.
    """

    name: str
    type: ColumnType
    unit: str
    meaning: str
    nullable: bool


KEYS = (
    ColumnInfo("measurement", "str", "", "id of the determination or sweep", False),
    ColumnInfo("batch", "str", "", "id of the batch of paint", False),
    ColumnInfo("panel", "str", "", "id of the panel; empty for wet paint", True),
    ColumnInfo("measured_at", "time", "", "when it was measured (UTC)", True),
)
ORIGIN = (
    ColumnInfo("instrument", "str", "", "the instrument, as the export names it", True),
    ColumnInfo("source_sha256", "str", "", "SHA-256 of the original export", False),
    ColumnInfo("source_name", "str", "", "file name of the original export", False),
    ColumnInfo("source_row", "int", "", "row of the original, counted from 1", True),
    ColumnInfo("source_sheet", "str", "", "sheet of the original workbook", True),
    ColumnInfo("reader", "str", "", "name and version of the reader", False),
)
REMARKS = (  # since format 2: an older table has none, and is read as if they were empty
    ColumnInfo("remark", "str", "", "what is odd about it; '; ' between several", True),
)
MARKS = (
    ColumnInfo("withdrawn", "str", "", "empty = valid, else superseded or retracted", True),
    ColumnInfo("withdrawn_at", "time", "", "when it was withdrawn (UTC)", True),
    ColumnInfo("withdrawn_by", "str", "", "who withdrew it", True),
    ColumnInfo("withdrawn_why", "str", "", "why it was withdrawn", True),
    ColumnInfo("superseded_by", "str", "", "id of the measurement that replaces it", True),
)
RESERVED = frozenset(info.name for info in (*KEYS, *ORIGIN, *REMARKS, *MARKS))


@cache
def columns_of(kind: Kind) -> tuple[ColumnInfo, ...]:
    """Return the columns of a kind's own, in the order of its model.

    Raises
    ------
    PluginNotLoaded
        If the model breaks a rule: a type that is not allowed, a column without `column(...)`, a
        name that every table has already, or a key that is no column.
    """
    columns = kind.model.to_schema().columns
    infos = tuple(_info(kind, str(name), declared) for name, declared in columns.items())
    if not infos:
        raise PluginNotLoaded(f"kind {kind.name!r}: its model has no column")
    for role in ("identity", "unique", "order"):
        if unknown := set(getattr(kind, role)) - {info.name for info in infos}:
            raise PluginNotLoaded(f"kind {kind.name!r}: {role} names {sorted(unknown)}: no column")
    if unknown := {*kind.repeats} - {*kind.identity}:
        raise PluginNotLoaded(
            f"kind {kind.name!r}: repeats names {sorted(unknown)}: not in its identity"
        )
    return infos


def conditions_of(kind: Kind) -> dict[str, str]:
    """Return the columns that say how a determination was made, each with its unit.

    They are those of the identity that do not only tell repeats apart.
    """
    only_repeats = {*kind.repeats, kind.counted}
    units = {info.name: unit_told(info.unit) for info in columns_of(kind)}
    return {name: units[name] for name in kind.identity if name not in only_repeats}


def _info(kind: Kind, name: str, declared: Any) -> ColumnInfo:
    place = f"kind {kind.name!r}, column {name!r}"
    said = declared.metadata or {}
    if not {"unit", "meaning"} <= said.keys():
        raise PluginNotLoaded(f"{place}: declare it by tiecoat.plugin.column(unit, meaning, ...)")
    if name in RESERVED:
        raise PluginNotLoaded(f"{place}: every table has a column of this name; choose another")
    return ColumnInfo(
        name, _type(place, declared.dtype), said["unit"], said["meaning"], declared.nullable
    )


def _type(place: str, dtype: Any) -> ColumnType:
    kept: dict[str, ColumnType] = {
        "float64": "float",
        "str": "str",
        "datetime64[us, UTC]": "time",
        **dict.fromkeys(("int64", "Int64"), "whole"),
        **dict.fromkeys(("bool", "boolean"), "bool"),
    }
    found = str(getattr(dtype, "type", dtype))
    if found not in kept:
        raise PluginNotLoaded(
            f"{place}: type {found}; allowed are float, int, bool, str and"
            ' Annotated[pd.DatetimeTZDtype, "us", "UTC"]'
        )
    return kept[found]


@cache
def validator_of(kind: Kind) -> Any:
    """Return the schema of pandera that rows are validated by.

    Whole numbers and truths are of the types of pandas that may be empty, so that what must not be
    is told like every other missing value.
    """
    own = [one for one in columns_of(kind) if one.type in MAY_BE_EMPTY]
    types = {one.name: {"dtype": MAY_BE_EMPTY[one.type]} for one in own}
    schema = kind.model.to_schema()
    return schema.update_columns(types) if types else schema


@cache
def schema_of(kind: Kind) -> pa.Schema:
    """Return the Arrow schema of the kind's rows.

    Every field may be null for Arrow: a register has no panel, and a worker leaves batch and panel
    to the keying that follows.
    """
    import pyarrow as pa

    groups: list[tuple[ColumnRole, tuple[ColumnInfo, ...]]] = [
        ("key", KEYS),
        ("value", columns_of(kind)),
        ("origin", ORIGIN),
        ("remark", REMARKS),
        ("mark", MARKS),
    ]
    fields = [_field(info, role) for role, infos in groups for info in infos]
    return pa.schema(fields, metadata=_kind_metadata(kind))


def _field(info: ColumnInfo, role: ColumnRole) -> pa.Field:
    import pyarrow as pa

    said = {"unit": info.unit, "meaning": info.meaning, "role": role}
    return pa.field(info.name, arrow_type(info.type), metadata=said)


class FieldTold(NamedTuple):
    """What the schema of a table tells of a column; "" for what it does not."""

    unit: str
    meaning: str
    role: str


def told_of(field: pa.Field) -> FieldTold:
    """Return what a field of a schema tells of its column."""
    said = field.metadata or {}
    return FieldTold(*(said.get(name.encode(), b"").decode() for name in FieldTold._fields))


def of_today(rows: pa.Table) -> pa.Table:
    """Return the rows of a table that may be of an older format, with all columns of this one.

    Raises
    ------
    WrittenByNewer
        If it is of a format that is not known here.
    """
    import pyarrow as pa

    said = rows.schema.metadata or {}
    if b"tiecoat.format" not in said or said[b"tiecoat.format"] == FORMAT.encode():
        return rows
    if (found := said[b"tiecoat.format"]).isdigit():
        refuse_newer(f"a table of {_kind_told(said)}", int(found), int(FORMAT))
    place = rows.schema.get_field_index(MARKS[0].name)
    for info in reversed(REMARKS):
        if rows.schema.get_field_index(info.name) < 0:
            nothing = pa.nulls(len(rows), arrow_type(info.type))
            rows = rows.add_column(place, _field(info, "remark"), nothing)
    return rows.replace_schema_metadata({**said, b"tiecoat.format": FORMAT.encode()})


def _kind_told(said: Mapping[bytes, bytes]) -> str:
    return said.get(b"tiecoat.kind", b"a kind").decode("utf-8", "replace")


def arrow_type(name: ColumnType) -> pa.DataType:
    """Return the Arrow type in which values of a type are kept."""
    import pyarrow as pa

    types: dict[ColumnType, pa.DataType] = {
        "float": pa.float64(),
        "str": pa.string(),
        "time": pa.timestamp("us", tz="UTC"),
        "whole": pa.int64(),
        "bool": pa.bool_(),
        "int": pa.int32(),
    }
    return types[name]


def per_of(schema: pa.Schema) -> str:
    """Return what the measurements of a table belong to: batch or panel."""
    kept: bytes = (schema.metadata or {}).get(b"tiecoat.per", b"")
    return kept.decode()


def _kind_metadata(kind: Kind) -> dict[str, str]:
    return {
        "tiecoat.format": FORMAT,
        "tiecoat.kind": kind.name,
        "tiecoat.kind_version": str(kind.version),
        "tiecoat.per": kind.per,
        "tiecoat.identity": json.dumps(kind.identity),
        "tiecoat.order": json.dumps(kind.order),
        "tiecoat.unique": json.dumps(kind.unique),
        "tiecoat.replaces": "true" if kind.replaces else "false",
    }
