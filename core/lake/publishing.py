"""Publishing an archive into a lake: of each kind what has changed, in one commit.

Each row bears the SHA-256 of the table that it is from. So what a lake holds of a lab says for
itself which tables these are: whatever differs is replaced batch by batch, withdrawn rows with
their marks like all others, and what is gone here goes there. That, and not a note of our own, says
what is still to be done; so a publishing that is cut short, or done twice, ends right the next
time. Two at once for one lab bear the same transaction: the second one fails, and looks again.
"""

from __future__ import annotations

import hashlib
import warnings
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tiecoat.archive.tables.parquet import Place, Version, rows_in
from tiecoat.archive.tables.storage import storage_of
from tiecoat.ask.query import Archive
from tiecoat.errors import (
    ArchiveDamaged,
    KindUnfinished,
    LakeDisagrees,
    QueryInvalid,
    TiecoatError,
)
from tiecoat.lab.lake_address import folder_of
from tiecoat.lab.settings import Lab
from tiecoat.lake.columns import follow, lake_rows, lake_schema, properties, schema_in
from tiecoat.lake.labs import LABS, entered
from tiecoat.lake.tables import LakeTables, commit_properties, write, writer_properties
from tiecoat.lake.upkeep import compact
from tiecoat.wording import Told, untold

if TYPE_CHECKING:
    import pyarrow as pa
    from deltalake import DeltaTable

STEADY_TRIES = 3  # to have all tables of a kind of one moment; then as they come
MOST_TRIES = 20
FILES_AT_MOST = 16  # of a lab and a kind; with more they are put together
SAID = "rows of the kind {kind}; those whose column withdrawn is empty count"


@dataclass(frozen=True)
class KindPublished:
    """What was done for a kind: batches replaced or added, batches taken out; why nothing could."""

    kind: str
    changed: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()
    refused: str = ""


@dataclass(frozen=True)
class LabPublished:
    """What was published of a lab, which is called `lab` in the lake."""

    lab: str
    kinds: tuple[KindPublished, ...]

    @property
    def refused(self) -> bool:
        """Whether any kind could not be published."""
        return any(one.refused for one in self.kinds)


class _TablesMoved(Exception):
    """Tables were replaced while they were read."""


class Publisher:
    """Publishes the archive of a lab, and remembers which of its tables it has looked at.

    Parameters
    ----------
    name
        Of the lab in the lake; None: as it is called there, else as its folder is.
    instead
        Whether it takes the place of another copy of it that published last.

    Raises
    ------
    QueryInvalid, NotPossibleHere
        As `LakeTables` does.
    """

    def __init__(
        self, lab: Lab, url: str | Path, name: str | None = None, *, instead: bool = False
    ) -> None:
        self._tables = LakeTables(url)
        folder = folder_of(self._tables.url)
        if folder and folder.is_relative_to(lab.root.absolute()):
            raise QueryInvalid(
                f"the lake {url} lies within the lab {lab.root}, whose folders hold nothing but"
                " what tiecoat puts there; choose a folder beside it"
            )
        self._name, self._instead = name, instead
        self.lab = lab
        self._archive, self._kept = Archive(lab), storage_of(lab)
        self._digests: dict[Place, tuple[Version, str]] = {}

    def publish(self, told: Told = untold) -> LabPublished:
        """Publish what has changed.

        Raises
        ------
        LakeDisagrees
            If the lab cannot be entered: see `entered`.
        LakeOutOfReach
            If the storage refuses; what was published by then is complete, kind by kind.
        ArchiveDamaged
            If a table of the archive is gone or damaged: nothing of that kind is changed there.
        """
        with warnings.catch_warnings():  # of a kind on its way: it is refused, and says why
            warnings.simplefilter("ignore", UserWarning)
            there = self._archive.kinds()
        mine = [kind for kind in there if kind != LABS]
        entry = entered(self._tables, self.lab, mine, self._name, instead=self._instead)
        self._instead = False
        kinds = sorted({*there, *entry.kinds_named})
        done = []
        for number, kind in enumerate(kinds):
            told("publishing kinds", number, len(kinds))
            done.append(self._kind(kind, entry.lab, entry.journal))
        told("publishing kinds", len(kinds), len(kinds))
        return LabPublished(entry.lab, tuple(done))

    def _kind(self, kind: str, lab: str, who: str) -> KindPublished:
        tries = 0

        def attempt() -> KindPublished:
            nonlocal tries
            while True:
                tries += 1
                with suppress(_TablesMoved):
                    return self._try_kind(kind, lab, who, steadily=tries < STEADY_TRIES)
                if tries == MOST_TRIES:
                    raise ArchiveDamaged(f"tables of {kind} come and go; see tiecoat verify")

        try:
            return self._tables.committed(attempt)
        except (LakeDisagrees, KindUnfinished) as error:
            return KindPublished(kind, refused=str(error))

    def _try_kind(self, kind: str, lab: str, who: str, *, steadily: bool) -> KindPublished:
        if kind == LABS:
            raise LakeDisagrees("a lake has a table of this name already, that of the labs")
        versions = self._archive.versions(kind)
        table = self._tables.open(kind)
        if table is None and not versions:
            return KindPublished(kind)
        schema = self._rows((kind, next(iter(versions))))[0].schema if versions else None
        if table is None:
            table = self._made(kind, schema)
        anew = schema is not None and self._is_anew(kind, table, schema, lab)
        own = {batch: self._digest((kind, batch), seen) for batch, seen in versions.items()}
        there = {} if anew else digests_in(table, lab)
        changed = sorted(batch for batch, digest in own.items() if there.get(batch) != [digest])
        gone = sorted(there.keys() - own.keys())
        if not changed and not gone:
            return KindPublished(kind)
        schema = lake_schema(schema) if anew else schema_in(table)
        change = _Change(kind, versions, changed, gone, there, schema, anew, steadily)
        self._replace(table, lab, who, change)
        compact(table, lab, FILES_AT_MOST)
        return KindPublished(kind, tuple(changed), tuple(gone))

    def _made(self, kind: str, schema: pa.Schema) -> DeltaTable:
        said = SAID.format(kind=kind)
        return self._tables.made(kind, lake_schema(schema), said, properties(schema))

    def _is_anew(self, kind: str, table: DeltaTable, schema: pa.Schema, lab: str) -> bool:
        """Have a table of the lake follow its kind; say whether it is to be written anew for that.

        Raises
        ------
        LakeDisagrees
            If it cannot follow, and other labs have published in it.
        """
        why = follow(table, schema)
        if why and labs_in(table) - {lab}:
            raise LakeDisagrees(
                f"the lake has another {kind}: {why}.\nWhat labs have published there stays. Once"
                " they have the same version of the kind, publish all of them into a new lake."
            )
        return why is not None

    def _replace(self, table: DeltaTable, lab: str, who: str, change: _Change) -> None:
        """Replace what has changed in one commit."""
        import pyarrow as pa
        from deltalake.exceptions import DeltaError

        transaction = f"lab {who}"
        number = (table.transaction_version(transaction) or 0) + 1
        bears = commit_properties({transaction: number}, {"tiecoat.lab": lab})
        if not change.changed:
            table.delete(
                change.condition(lab),
                writer_properties=writer_properties(),
                commit_properties=bears,
            )
            return
        failed: list[Exception] = []
        rows = self._batches(change, lab, failed)
        try:
            write(
                table,
                pa.RecordBatchReader.from_batches(change.schema, rows),
                bears,
                instead_of=None if change.adds_only else change.condition(lab),
                anew=change.anew,
            )
        except DeltaError:
            if failed:  # what was raised while the library asked for rows
                raise failed[0] from None
            raise

    def _batches(
        self, change: _Change, lab: str, failed: list[Exception]
    ) -> Iterator[pa.RecordBatch]:
        """Yield the rows of the tables that have changed; raise where they are of two moments."""
        try:
            for batch in change.changed:
                rows, digest = self._rows((change.kind, batch))
                yield from lake_rows(rows, change.schema, lab, digest).combine_chunks().to_batches()
            if change.steadily and self._archive.versions(change.kind) != change.versions:
                raise _TablesMoved
        except (_TablesMoved, TiecoatError) as error:
            failed.append(error)
            raise
        except FileNotFoundError as error:
            failed.append(_TablesMoved())
            raise failed[0] from error

    def _digest(self, place: Place, version: Version) -> str:
        known, digest = self._digests.get(place, (None, ""))
        if known != version:
            digest = _digest(self._content(place))
            if self._kept.version(place) == version:  # else whichever it is, its rows bear its own
                self._digests[place] = version, digest
        return digest

    def _rows(self, place: Place) -> tuple[pa.Table, str]:
        import pyarrow as pa

        content = self._content(place)
        try:
            return rows_in(content), _digest(content)
        except (pa.ArrowException, OSError) as error:
            raise ArchiveDamaged(
                f"{self._kept.name(place)} is damaged, and is not published: {error}\n"
                "Make it again from the originals: tiecoat rebuild (or put it back from a backup)."
            ) from error

    def _content(self, place: Place) -> bytes:
        try:
            return self._kept.content(place)
        except FileNotFoundError:
            raise _TablesMoved from None


@dataclass(frozen=True)
class _Change:
    """What is to be replaced of a kind.

    Parameters
    ----------
    versions
        The tables in the archive when they were looked at.
    changed, gone
        Batches to be replaced or added, and to be taken out.
    there
        What the lake has by batch, as `digests_in` returns it.
    schema
        In which the rows are written.
    anew
        Whether the whole table is, as columns of its kind have become others.
    steadily
        Whether the tables have to be the same when they have been read.
    """

    kind: str
    versions: Mapping[str, Version]
    changed: Sequence[str]
    gone: Sequence[str]
    there: Mapping[str, Collection[str]]
    schema: pa.Schema
    anew: bool
    steadily: bool

    @property
    def adds_only(self) -> bool:
        """Whether the lake has nothing of these batches yet."""
        return not self.gone and not self.there.keys() & {*self.changed}

    def condition(self, lab: str) -> str:
        """Return in SQL what of the lake is replaced; ids and names hold no quotation mark."""
        batches = [*self.changed, *self.gone]
        if {*batches} >= self.there.keys():
            return f"lab = '{lab}'"
        named = ", ".join(f"'{one}'" for one in sorted(batches))
        return f"lab = '{lab}' and batch in ({named})"


def labs_in(table: DeltaTable) -> set[str]:
    """Return the labs that a table of a lake has rows of."""
    return {str(one["lab"]) for one in table.partitions()}


def digests_in(table: DeltaTable, lab: str) -> dict[str, list[str]]:
    """Return which tables a lake holds of a lab: by batch their digests, which should be one."""
    import pyarrow.dataset as ds

    mine = table.to_pyarrow_dataset(file_pruning_predicate=[("lab", "=", lab)])
    rows = mine.to_table(["batch", "table_sha256"], filter=ds.field("lab") == lab)
    found: dict[str, list[str]] = {}
    pairs = rows.group_by(["batch", "table_sha256"]).aggregate([]).to_pydict()
    for batch, digest in zip(pairs["batch"], pairs["table_sha256"], strict=True):
        found.setdefault(batch, []).append(digest)
    return found


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()
