"""Whether what was filed in another lab can stand in this one, and be made again in it."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from contextlib import ExitStack
from functools import cached_property
from typing import TYPE_CHECKING, Any

from tiecoat.archive.index.building import read_index
from tiecoat.archive.tables.describe import Described
from tiecoat.archive.tables.storage import storage_of
from tiecoat.contract.changes import Following, change_of, digest_of_schema
from tiecoat.disk import fsio
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.workers.pool import ReaderPool, failure_of, words_of
from tiecoat.intake.workers.sending import to_stream
from tiecoat.lab.settings import Lab
from tiecoat.lab.shaping import as_of, digest_of, shaping
from tiecoat.merge.other import reader_named

if TYPE_CHECKING:
    import pyarrow as pa

    from tiecoat.intake.workers.pool import Inventory


class Fitting:
    """Says what does not fit this lab.

    Parameters
    ----------
    opened
        Closes in the end what is opened here.
    """

    def __init__(self, here: Lab, there: Lab, opened: ExitStack) -> None:
        self._here = here
        self._there = there
        self._opened = opened
        self._schemas: dict[str, str] = {}
        self._readers: dict[str, str] = {}
        self._pools: dict[str, ReaderPool] = {}

    def refusal(
        self, every: Iterable[Described], rows: Mapping[str, pa.Table], withdrawn: Collection[str]
    ) -> str:
        """Say why an export cannot come, and what to do; "" if it can.

        Parameters
        ----------
        withdrawn
            Measurements that do not count: they may be what they are.
        """
        for kind, of_kind in rows.items():
            if kind not in self._inventory.kinds:
                return f"this lab has no kind {kind}: install the plugin that brings it"
            if said := self.of_kind(kind, of_kind.schema):
                return said
            if said := self._of_rules(kind, of_kind, withdrawn):
                return said
        for one in every:
            if said := self.of_reader(one.reader) or self._of_ids(one):
                return said
        return ""

    def of_kind(self, kind: str, schema: pa.Schema) -> str:
        """Say that rows are of another version of their kind than the tables here.

        Where there are none, they may be of an earlier one to which columns are only added.
        """
        here = self._of_tables(kind)
        if here and here == digest_of_schema(schema):
            return ""
        follows = change_of(schema, self._inventory.loaded[kind]).following
        if not here and follows in {Following.NOT_NEEDED, Following.CARRIED}:
            return ""
        return (
            f"its table of {kind} is of another version of the kind than here: have both labs"
            " follow it (tiecoat upgrade), then merge again"
        )

    def of_reader(self, said: str | None) -> str:
        """Say why what a reader, by name and version, has read could not be made again here."""
        name = reader_named(said)
        if name and name not in self._readers:
            self._readers[name] = self._of_reader(name)
        return self._readers.get(name, "")

    def _of_rules(self, kind: str, rows: pa.Table, withdrawn: Collection[str]) -> str:
        """Say which rows the kind does not allow here, where it has allowed other values there."""
        import pyarrow as pa
        import pyarrow.compute as pc

        loaded = self._inventory.loaded[kind]
        if self._rules_there.get(kind) == loaded.rules:
            return ""
        if digest_of_schema(rows.schema) != digest_of_schema(loaded.schema):
            return ""  # they are looked at when they follow the kind of today
        apart = pc.is_in(rows["measurement"], pa.array([*withdrawn], pa.string()))
        counting = to_stream(rows.filter(pc.invert(apart)))
        broken = words_of(self._pool(shaping(self._here)).against_kind(kind, counting))
        return broken and f"{broken}. So the plugin of {kind} here has it: give both labs one"

    @cached_property
    def _rules_there(self) -> Mapping[str, Mapping[str, str]]:
        """By kind and column what it could hold in the other lab, as far as that is known."""
        index = read_index(self._there)
        if index is None:
            return {}
        with index:
            return index.rules()

    def reads_alike(self, file: ExportFile, there: Mapping[str, Any]) -> bool:
        """Say whether the readers of this lab make the same of a file by other settings, too.

        Parameters
        ----------
        there
            Settings that shape rows.
        """
        answers = [self._pool(one).submit([file]) for one in (shaping(self._here), there)]
        if any(map(failure_of, answers)):
            return False
        here, other = (future.result() for future in answers)
        return not here.changed and here == other

    def _pool(self, settings: Mapping[str, Any]) -> ReaderPool:
        digest = digest_of(settings)
        if digest not in self._pools:
            pool = ReaderPool(as_of(self._here, settings))
            self._pools[digest] = self._opened.enter_context(pool)
        return self._pools[digest]

    @cached_property
    def _inventory(self) -> Inventory:
        return self._pool(shaping(self._here)).inventory()

    def _of_tables(self, kind: str) -> str:
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
