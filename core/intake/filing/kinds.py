"""Whether rows are of the same kind as the tables they would go to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from tiecoat.archive.index.cache import Index
from tiecoat.archive.tables.storage import storage_of
from tiecoat.contract.changes import ColumnChange, KindLoaded, change_of, digest_of_schema
from tiecoat.lab.settings import Lab
from tiecoat.reasons import Fault, Reason

if TYPE_CHECKING:
    import pyarrow as pa


class KindsAsFiled:
    """Compares arriving rows with the tables there are, so that no table is of two schemas.

    What reads may have another version of a kind than the tables: its plugin was changed under a
    running service, or the tables cannot follow.
    """

    def __init__(self, lab: Lab, index: Index) -> None:
        self._tables = storage_of(lab)
        self._index = index
        self._filed: dict[str, str] = {}  # the digest of the schema of the tables of a kind

    def forget(self) -> None:
        """Look at the tables anew: they may have followed a change."""
        self._filed.clear()

    def faults(self, rows: Mapping[str, pa.Table]) -> Iterator[Fault]:
        """Yield what keeps the rows of an export from going into their tables."""
        for kind, own in rows.items():
            digest = digest_of_schema(own.schema)
            if self._filed.setdefault(kind, self._digest(kind) or digest) != digest:
                for one in self._differences(kind, own.schema):
                    expected = f"{one.then}, as in the tables of kind {kind!r}"
                    column = one.column or None
                    yield Fault(Reason.KIND_CHANGED, None, column, one.now, expected)

    def _digest(self, kind: str) -> str:
        if kind in self._filed:
            return self._filed[kind]
        states = self._index.tables(kind)
        digests = sorted({state.schema for state in states.values()})
        return digests[0] if len(digests) == 1 else "several" * bool(digests)

    def _differences(self, kind: str, schema: pa.Schema) -> tuple[ColumnChange, ...]:
        digest = digest_of_schema(schema)
        for place, state in self._index.tables(kind).items():
            if state.schema != digest:
                change = change_of(
                    self._tables.schema(place), KindLoaded(schema, frozenset(), False)
                )
                return change.differences
        return (ColumnChange("", f"kind {kind!r} of another version", "read by this one"),)
