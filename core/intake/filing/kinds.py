"""Whether rows are of the same kind as the tables they would go to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from tiecoat.archive.index.cache import Index
from tiecoat.archive.tables.storage import storage_of
from tiecoat.contract.changes import ColumnChange, KindLoaded, change_of, digest_of_schema
from tiecoat.lab.settings import Lab
from tiecoat.reasons import Fault, Reason

if TYPE_CHECKING:
    import pyarrow as pa


@dataclass(frozen=True)
class NotFiled:
    """Kinds of which nothing is filed, though their tables are as they are.

    `why` says it of those whose rows would break what their columns may hold now; `gone` are those
    that no plugin brings any more.
    """

    why: Mapping[str, str] = field(default_factory=dict)
    gone: tuple[str, ...] = ()


class KindsAsFiled:
    """Compares arriving rows with the tables there are, so that no table is of two schemas.

    What reads may have another version of a kind than the tables: its plugin was changed under a
    running service, or the tables cannot follow. For one round, under the write lock.

    Parameters
    ----------
    refused
        The kinds of which nothing is filed, though their tables are as they are today, and why.
    """

    def __init__(self, lab: Lab, index: Index, refused: Mapping[str, str]) -> None:
        self._refused = refused
        self._tables = storage_of(lab)
        self._index = index
        self._filed: dict[str, str] = {}  # kind -> the digest of the schema that its rows must have

    def faults(self, rows: Mapping[str, pa.Table]) -> Iterator[Fault]:
        """Yield what keeps the rows of an export from going into their tables.

        Of a kind without tables the first decides.
        """
        for kind, own in rows.items():
            if why := self._refused.get(kind):
                yield Fault(Reason.KIND_CHANGED, found=f"kind {kind!r}: {why}")
            digest = digest_of_schema(own.schema)
            if kind not in self._filed:
                there = self._index.schemas(kind) or [digest]
                self._filed[kind] = there[0] if len(there) == 1 else "of several"
            if self._filed[kind] != digest:
                for one in self._differences(kind, own.schema):
                    expected = f"{one.then}, as in the tables of kind {kind!r}"
                    yield Fault(Reason.KIND_CHANGED, None, one.column or None, one.now, expected)

    def _differences(self, kind: str, schema: pa.Schema) -> tuple[ColumnChange, ...]:
        digest = digest_of_schema(schema)
        for place, state in self._index.tables(kind).items():
            if state.schema != digest:
                change = change_of(
                    self._tables.schema(place), KindLoaded(schema, frozenset(), False)
                )
                return change.differences
        return (ColumnChange("", f"kind {kind!r} of another version", "read by this one"),)
