"""Whether what was filed in another lab can stand in this one, and be made again in it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING

from tiecoat.archive.tables.describe import Described
from tiecoat.archive.tables.storage import storage_of
from tiecoat.disk import fsio
from tiecoat.intake.workers.pool import ReaderPool
from tiecoat.lab.settings import Lab

if TYPE_CHECKING:
    import pyarrow as pa

    from tiecoat.intake.workers.pool import Inventory

VERSION = b"tiecoat.kind_version"


class Fitting:
    """Says what does not fit this lab."""

    def __init__(self, here: Lab, there: Lab) -> None:
        self._here = here
        self._there = there
        self._versions: dict[str, bytes | None] = {}
        self._readers: dict[str, str] = {}

    def refusal(self, every: Iterable[Described], rows: Mapping[str, pa.Table]) -> str:
        """Say why an export cannot come, and what to do; "" if it can."""
        for kind, of_kind in rows.items():
            if kind not in self._inventory.kinds:
                return f"this lab has no kind {kind}: install the plugin that brings it"
            ours, theirs = self._version(kind), (of_kind.schema.metadata or {}).get(VERSION)
            if ours is not None and ours != theirs:
                return (
                    f"its table of {kind} is of another version of the kind than those here: make"
                    " the older of the two archives again, by tiecoat rebuild --accept"
                )
        for one in every:
            if said := self.of_reader(one.reader) or self._of_ids(one):
                return said
        return ""

    def of_reader(self, said: str | None) -> str:
        """Say why what a reader, by name and version, has read could not be made again here."""
        name = (said or "").rpartition(" ")[0]
        if name and name not in self._readers:
            self._readers[name] = self._of_reader(name)
        return self._readers.get(name, "")

    @cached_property
    def _inventory(self) -> Inventory:
        with ReaderPool(self._here) as pool:
            return pool.inventory()

    def _version(self, kind: str) -> bytes | None:
        """Return the version of a kind as the tables of this lab have it; None without tables."""
        if kind not in self._versions:
            kept = storage_of(self._here)
            place = next(kept.places(kind), None)
            schema = kept.read(place).schema if place else None
            self._versions[kind] = (schema.metadata or {}).get(VERSION) if schema else None
        return self._versions[kind]

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
