"""Whether what was filed in another lab can stand in this one, and be made again in it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING

from tiecoat.archive.tables.describe import Described
from tiecoat.archive.tables.storage import storage_of
from tiecoat.contract.changes import digest_of_schema
from tiecoat.disk import fsio
from tiecoat.intake.workers.pool import ReaderPool
from tiecoat.lab.settings import Lab
from tiecoat.merge.other import reader_named

if TYPE_CHECKING:
    import pyarrow as pa

    from tiecoat.intake.workers.pool import Inventory


class Fitting:
    """Says what does not fit this lab."""

    def __init__(self, here: Lab, there: Lab) -> None:
        self._here = here
        self._there = there
        self._schemas: dict[str, str] = {}
        self._readers: dict[str, str] = {}

    def refusal(self, every: Iterable[Described], rows: Mapping[str, pa.Table]) -> str:
        """Say why an export cannot come, and what to do; "" if it can."""
        for kind, of_kind in rows.items():
            if kind not in self._inventory.kinds:
                return f"this lab has no kind {kind}: install the plugin that brings it"
            if said := self.of_kind(kind, of_kind.schema):
                return said
        for one in every:
            if said := self.of_reader(one.reader) or self._of_ids(one):
                return said
        return ""

    def of_kind(self, kind: str, schema: pa.Schema) -> str:
        """Say that rows are of another version of their kind than the tables here."""
        if self._schema(kind) in {"", digest_of_schema(schema)}:
            return ""
        return (
            f"its table of {kind} is of another version of the kind than those here: have both"
            " labs follow it (tiecoat upgrade), then merge again"
        )

    def of_reader(self, said: str | None) -> str:
        """Say why what a reader, by name and version, has read could not be made again here."""
        name = reader_named(said)
        if name and name not in self._readers:
            self._readers[name] = self._of_reader(name)
        return self._readers.get(name, "")

    @cached_property
    def _inventory(self) -> Inventory:
        with ReaderPool(self._here) as pool:
            return pool.inventory()

    def _schema(self, kind: str) -> str:
        """Return of which schema the tables of a kind are here; "" without any."""
        if kind not in self._schemas:
            kept = storage_of(self._here)
            place = next(kept.places(kind), None)
            self._schemas[kind] = digest_of_schema(kept.schema(place)) if place else ""
        return self._schemas[kind]

    def _of_reader(self, reader: str) -> str:
        if reader not in self._inventory.readers:
            return (
                f"it was read by {reader}, which this lab does not have: copy it from"
                f" {self._there.readers} into readers/ here, or install its plugin"
            )
        for name in (f"{reader}.toml", f"{reader}.py"):
            ours, theirs = self._here.readers / name, self._there.readers / name
            there = fsio.is_file(ours) and fsio.is_file(theirs)
            if there and ours.read_bytes() != theirs.read_bytes():
                return f"it was read by readers/{name}, which is another here: give one a new name"
        return ""

    def _of_ids(self, one: Described) -> str:
        ids = self._here.settings.ids
        for what, said, pattern in (
            ("batch", one.batch, ids.batch),
            ("panel", one.panel, ids.panel),
        ):
            if said is not None and not re.fullmatch(pattern, said, re.IGNORECASE):
                return (
                    f"{what} {said} does not fit {pattern}: add its pattern to ids.{what} in"
                    " tiecoat.toml, then merge again"
                )
        return ""
