"""What has changed of a kind since its tables were written, and whether they can follow.

A kind is what the schema of its tables says: the names, order, types, units and meanings of its
columns, its version, and what tells two determinations apart. All tables of a kind in an archive
have the same schema. So a change of a kind is carried through all of them, or they stay as they
are, and nothing of the changed kind is filed.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import lru_cache
from typing import TYPE_CHECKING

from tiecoat.contract.columns import columns_of, per_of, schema_of, told_of
from tiecoat.wording import shortened

if TYPE_CHECKING:
    import pyarrow as pa

    from tiecoat.contract.kind import Kind

VERSION = b"tiecoat.kind_version"
TYPES = {
    "double": "numbers",
    "string": "texts",
    "timestamp[us, tz=UTC]": "times",
    "int64": "whole numbers",
    "bool": "truths",
}
NO_MIGRATE = (
    "Rows that are filed must change for that: give the kind a function migrate(frame,"
    " from_version), or take the kind of before"
)
SAME_VERSION = (
    "Whatever changes names, types, units or meanings raises the version of the kind, and needs a"
    " function migrate(frame, from_version)"
)
OLDER = "Use the newer plugin, or take it out"


class Following(StrEnum):
    """How tables follow a change of their kind."""

    NOT_NEEDED = "not needed"
    CARRIED = "carried"  # rows stay as they are; columns are added that are empty in them
    MIGRATED = "migrated"  # the kind's own function changes the rows
    REFUSED = "refused"


@dataclass(frozen=True)
class KindLoaded:
    """A kind as a plugin brings it today: what is needed of it where no plugin is loaded.

    `required` are the columns without which no row can be, `migrates` says whether it has a
    function that changes rows of earlier versions. `rules` says in words what each column may hold;
    what is not known there of a kind is not compared.
    """

    schema: pa.Schema
    required: frozenset[str]
    migrates: bool
    rules: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, kind: Kind) -> KindLoaded:
        """Return what is needed of a kind."""
        required = frozenset(info.name for info in columns_of(kind) if not info.nullable)
        return cls(schema_of(kind), required, kind.migrate is not None)

    @property
    def per(self) -> str:
        """What its measurements belong to: batch or panel."""
        return per_of(self.schema)


@dataclass(frozen=True)
class ColumnChange:
    """What differs in a column, or (with no name) in the kind: in the tables, and today.

    What a column may hold does not stand in the tables: then `where` says "before".
    """

    column: str
    then: str
    now: str
    where: str = "in the tables"

    def __str__(self) -> str:
        place = f"column {self.column!r}: " if self.column else ""
        return f"{place}{self.then} {self.where}, {self.now} now"


OTHER_ORDER = ColumnChange("", "the same columns", "in another order, or in other words")


@dataclass(frozen=True)
class KindChange:
    """What has changed of a kind: versions then and now, each difference, how tables follow.

    `why` says what a refused change lacks.
    """

    versions: tuple[int, int]
    differences: tuple[ColumnChange, ...]
    following: Following
    why: str = ""

    def __str__(self) -> str:
        return "; ".join(map(str, self.differences))


def digest_of_schema(schema: pa.Schema) -> str:
    """Return what is equal for equal schemas only: names, order, types, units, meanings, version.

    Examples
    --------
    >>> import pyarrow as pa
    >>> def table(unit):
    ...     return pa.schema([pa.field("time", pa.float64(), metadata={"unit": unit})])
    >>> digest_of_schema(table("s")) == digest_of_schema(table("s"))
    True
    >>> digest_of_schema(table("s")) == digest_of_schema(table("ms"))
    False
    """
    return _digest(schema.serialize().to_pybytes())


@lru_cache(maxsize=256)  # every table that is replaced asks for that of its kind
def _digest(serialized: bytes) -> str:
    import pyarrow as pa

    schema = pa.ipc.read_schema(pa.py_buffer(serialized))
    fields = [[field.name, str(field.type), told_of(field)] for field in schema]
    said = {key.decode(): value.decode() for key, value in _own(schema).items()}
    return hashlib.sha256(json.dumps([fields, said], sort_keys=True).encode()).hexdigest()


def _own(schema: pa.Schema) -> Mapping[bytes, bytes]:
    metadata = schema.metadata or {}
    return {key: metadata[key] for key in metadata if key.startswith(b"tiecoat.")}


def version_of(schema: pa.Schema) -> int:
    """Return the version of the kind in the schema of a table; 0 where it says none."""
    said = (schema.metadata or {}).get(VERSION, b"")
    return int(said) if said.isdigit() else 0


def change_of(then: pa.Schema, today: KindLoaded) -> KindChange:
    """Say what has changed since tables of a schema were written, and how they follow.

    What only adds columns that may be empty, or tells determinations apart otherwise, is carried
    through. What is a meaning put in other words is told by the version: it has not risen.
    """
    now = today.schema
    versions = version_of(then), version_of(now)
    if digest_of_schema(then) == digest_of_schema(now):
        return KindChange(versions, (), Following.NOT_NEEDED)
    rows_change, others = _of_columns(then, today, raised=versions[1] > versions[0])
    told = (*rows_change, *others, *_of_the_rest(then, now)) or (OTHER_ORDER,)
    if versions[1] < versions[0]:
        return KindChange(versions, told, Following.REFUSED, OLDER)
    if not rows_change:
        return KindChange(versions, told, Following.CARRIED)
    if versions[1] == versions[0]:
        return KindChange(versions, told, Following.REFUSED, SAME_VERSION)
    if not today.migrates:
        return KindChange(versions, told, Following.REFUSED, NO_MIGRATE)
    return KindChange(versions, told, Following.MIGRATED)


def changes_of_rules(then: Mapping[str, str], today: KindLoaded) -> tuple[ColumnChange, ...]:
    """Say of which columns the values that they may hold have changed since."""
    both = ((name, then[name], today.rules[name]) for name in then if name in today.rules)
    return tuple(
        ColumnChange(name, repr(before or "anything"), repr(now or "anything"), "before")
        for name, before, now in both
        if before != now
    )


def _of_columns(
    then: pa.Schema, today: KindLoaded, *, raised: bool
) -> tuple[list[ColumnChange], list[ColumnChange]]:
    """Return the differences in columns for which rows must change, and the others."""
    before, now = _values(then), _values(today.schema)
    needed: list[ColumnChange] = []
    others: list[ColumnChange] = []
    for name, (kept, unit, meaning) in now.items():
        if name not in before:
            new = ColumnChange(
                name, "not there", "new" + (", never empty" * (name in today.required))
            )
            (needed if name in today.required else others).append(new)
            continue
        kept_then, unit_then, meaning_then = before[name]
        if kept != kept_then:
            said = (TYPES.get(one, one) for one in (kept_then, kept))
            needed.append(ColumnChange(name, *said))
        if unit != unit_then:
            needed.append(
                ColumnChange(name, *(one or "a plain number" for one in (unit_then, unit)))
            )
        if meaning != meaning_then:
            said = (f"{shortened(one)!r}" for one in (meaning_then, meaning))
            (needed if raised else others).append(ColumnChange(name, *said))
    needed += [ColumnChange(name, "there", "gone") for name in before.keys() - now.keys()]
    return sorted(needed, key=lambda one: one.column), others


def _of_the_rest(then: pa.Schema, now: pa.Schema) -> Iterator[ColumnChange]:
    """Yield what else differs: of the kind as a whole, and of the columns that every table has."""
    before, after = _own(then), _own(now)
    for key in sorted(before.keys() | after.keys()):
        if before.get(key) != after.get(key):
            said = [(one.get(key) or b"nothing").decode() for one in (before, after)]
            name = key.decode().removeprefix("tiecoat.").replace("_", " ")
            yield ColumnChange("", *(f"{name} {one}" for one in said))


def _values(schema: pa.Schema) -> dict[str, tuple[str, str, str]]:
    """Return the columns of the kind's own: type, unit, meaning."""
    every = ((field, told_of(field)) for field in schema)
    return {
        field.name: (str(field.type), said.unit, said.meaning)
        for field, said in every
        if said.role == "value"
    }
