"""The index: a cache that answers quickly what the tables, the held folders and the journal say.

Whether an original has been seen, which measurements there are of a panel, and whether a
determination is filed already. Deleting it loses nothing: it is rebuilt. Only what is remembered of
inboxes is new then: files left in place are recognised by their content, how slowly files are
written is learnt anew, and what was filed before is not looked at again.

All that asks an index or tells it something does so by the protocol; sqlite.py is the one there is.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Any, Literal, NamedTuple, Protocol, Self, TypeAlias

from tiecoat.archive.journal.records import JournalMark
from tiecoat.archive.tables.describe import Described
from tiecoat.archive.tables.parquet import Place
from tiecoat.archive.words import Became, Withdrawn
from tiecoat.disk.file_print import FilePrint

OriginalRow: TypeAlias = tuple[str, str, Became, str | None, str | None]


@dataclass(frozen=True)
class Original:
    """What became of an original."""

    sha256: str
    name: str
    outcome: Became
    held_id: str | None
    reader: str | None
    at: str | None


@dataclass(frozen=True)
class TableState:
    """A table as it was when it was indexed: its version, its rows, how they are told apart.

    `schema` is the digest of its schema.
    """

    size: int
    mtime_ns: int
    n_rows: int
    rule: str
    schema: str


class CountedOf(NamedTuple):
    """How many valid measurements there are of a kind, a batch, a panel and a remark.

    `first` and `last` are when they were measured, in microseconds since 1970.
    """

    kind: str
    batch: str
    panel: str | None
    remark: str | None
    measurements: int
    n_rows: int
    first: int | None
    last: int | None


@dataclass(frozen=True)
class IndexMoment:
    """Which index it is, and how many changes of tables it knows of: two that differ tell of one.

    One that is made anew is another.
    """

    index: str
    changes: int


@dataclass(frozen=True)
class TakenOut:
    """A file that was filed and is looked at again, as writers go on where a file has gone.

    Parameters
    ----------
    path, seen
        Where it stands, and how it was when its export was preserved.
    sha256
        Of that export.
    inbox, folder
        The inbox that it came from, and the folders between, with "/" between them.
    due
        When it is looked at next (seconds since 1970).
    looks
        How often it was looked at.
    """

    path: Path
    seen: FilePrint
    sha256: str
    inbox: Path
    folder: str
    due: float
    looks: int = 0


class Index(Protocol):
    """The index of a lab. Readers of the archive can do without it."""

    def originals(self, sha256: str | None = None) -> list[Original]:
        """Return what became of every original, or of the one with this SHA-256."""

    def each_original(self) -> Iterator[Original]:
        """Yield what became of every original, by its SHA-256."""

    def record_originals(self, originals: Iterable[OriginalRow]) -> None:
        """Note for each original: SHA-256, name, outcome, id among the held, reader."""

    def forget_originals(self, sha256s: Iterable[str]) -> None:
        """Forget what became of originals: they may come again."""

    def count_originals(self) -> int:
        """Count the originals of which it is known what became."""

    def remembered(self) -> dict[Path, FilePrint]:
        """Return the files that stay in their inboxes, as they were when they were taken in."""

    def remember(self, files: Iterable[tuple[Path, FilePrint, str]]) -> None:
        """Note that files stay in their inboxes and have been taken in; the text is the SHA-256."""

    def taken_out(self, until: float, limit: int) -> list[TakenOut]:
        """Return the files that are to be looked at again by then, those due first."""

    def note_taken_out(self, files: Iterable[TakenOut]) -> None:
        """Note files that are to be looked at again, or when next."""

    def was_taken_out(self, sha256: str) -> bool:
        """Say whether such a file was taken out of an inbox and is to be looked at again."""

    def forget_taken_out(self, paths: Iterable[Path]) -> None:
        """Forget files that need no further look."""

    def paces(self) -> Mapping[Path, str]:
        """Return what was learnt of how the files of each inbox are written."""

    def keep_paces(self, paces: Mapping[Path, str]) -> None:
        """Keep what was learnt of inboxes."""

    def rules(self) -> Mapping[str, Mapping[str, str]]:
        """Return by kind and column what it could hold when the kind was last seen."""

    def note_rules(self, rules: Mapping[str, Mapping[str, str]]) -> None:
        """Note what columns of kinds may hold."""

    def measurements(
        self,
        *,
        measurement: str | None = None,
        source: str | None = None,
        determination: str | None = None,
        kind: str | None = None,
        batch: str | None = None,
        panel: str | None = None,
        file: str | None = None,
        remark: str | None = None,
        since: int | None = None,
        until: int | None = None,
        registers: bool = False,
        withdrawn: bool | Withdrawn = False,
        limit: int | None = None,
    ) -> list[Described]:
        """Return measurements in a fixed order.

        Parameters
        ----------
        source
            The SHA-256 of their original.
        file
            What its name is like: * is any text, ? one character.
        remark
            What their remark has in it.
        since, until
            Count microseconds since 1970.
        registers
            Only those of registers: of a panel they say which batch it belongs to.
        withdrawn
            Those that no longer count too; or only those that do not for this reason.
        limit
            The first so many.
        """

    def count(self, **wanted: Any) -> int:
        """Count the measurements that `measurements` would return without a limit."""

    def distinct(self, column: Literal["batch", "panel"], **wanted: str) -> list[str]:
        """Return every batch or panel of the measurements that have such a `kind` or `panel`."""

    def counts(self) -> list[CountedOf]:
        """Return how many valid measurements there are of each kind, batch, panel and remark."""

    def registered(self, column: Literal["batch", "panel"]) -> set[str]:
        """Return the panels that a register has, or the batches that it has themselves."""

    def unregistered(self, kind: str) -> list[tuple[str, str | None]]:
        """Return batch and panel of what of a kind was filed as "not in the register"."""

    def remarked(self) -> int:
        """Count the valid measurements with a remark, but those that a register knows by now."""

    def tables(self, kind: str | None = None, batch: str | None = None) -> dict[Place, TableState]:
        """Return every table, or those of a kind, or one, as it was when it was indexed."""

    def kinds(self) -> list[str]:
        """Return the kinds of the tables that are indexed, or lacking, sorted."""

    def moment(self) -> IndexMoment:
        """Return which index it is, and how many changes it knows of."""

    def changed(self, kind: str, after: IndexMoment) -> set[str]:
        """Return the batches whose tables of a kind were replaced after a moment, or may be now."""

    def schemas(self, kind: str) -> list[str]:
        """Return the digests of the schemas that tables of a kind have: one, if they are alike."""

    def lacking(self, kind: str | None = None, batch: str | None = None) -> dict[Place, list[str]]:
        """Return by table the measurements that were filed in it, and are not there any more."""

    def lacks_of(self, sha256: str) -> bool:
        """Say whether something that was filed from an original is not in its table any more."""

    def journal_end(self) -> str | None:
        """Return the hash of the last record of the journal that was noted, if one was."""

    def note_journal_end(self, sealed: str) -> None:
        """Note the hash of the last record of the journal; only the next one takes its place."""

    def note_lacking(self, measurements: Mapping[Place, Iterable[str]]) -> None:
        """Note of measurements that were filed which of them the indexed tables do not have."""

    def forget_lacking(self, measurements: Iterable[str]) -> None:
        """Forget that measurements are lacking, wherever they were filed."""

    def unfinished(self) -> list[Place]:
        """Return the tables that were about to be replaced when the process died."""

    def begin(self, places: Iterable[Place]) -> None:
        """Note that tables are about to be replaced: until `filed`, the index may be behind."""

    def filed(
        self,
        tables: Mapping[Place, TableState],
        new: Iterable[Described],
        withdrawn: Iterable[tuple[str, str | None]],
    ) -> None:
        """Note that tables have been replaced: their new measurements, and the withdrawn ones.

        Parameters
        ----------
        withdrawn
            Pairs of measurement and why it no longer counts; None if it counts again.
        """

    def replace_table(
        self,
        place: Place,
        state: TableState | None,
        measurements: Sequence[Described],
        lacking: Iterable[str] = (),
    ) -> None:
        """Index a table anew, and what it lacks; a state of None means that it is gone."""

    def journal_read(self) -> JournalMark | None:
        """Return how far the journal was read; None if not at all."""

    def note_journal(
        self,
        mark: JournalMark | None,
        settings: Mapping[str, Mapping[str, Any]],
        begun: Mapping[str, Mapping[str, Any] | None],
    ) -> None:
        """Note how far the journal was read, and what stands there; without a mark forget all.

        Parameters
        ----------
        settings
            That filings refer to, by their digest.
        begun
            By SHA-256 the records of exports that were begun; None where they are ended.
        """

    def settings(self) -> dict[str, dict[str, Any]]:
        """Return the settings that filings refer to, by their digest."""

    def begun(self) -> dict[str, dict[str, Any]]:
        """Return by SHA-256 the records of exports that were begun and not ended."""

    def anew(self) -> AbstractContextManager[None]:
        """Forget all that tables, held folders and journal say, to be noted anew, or nothing."""

    def is_of_one_moment(self) -> bool:
        """Say whether all that was read since it was opened for reading was of one moment."""

    def check_in_place(self) -> None:
        """Check that what is open here is what stands on the disk.

        Who puts a lab back from a copy while a service has it open, or deletes its index, leaves
        the service with one that nobody else sees: it would take for filed what is no longer there.

        Raises
        ------
        LabReplaced
            If it was deleted, moved or replaced.
        OSError
            If the whole lab is out of reach: it may come back.
        """

    def close(self) -> None:
        """Let go of it."""

    def __enter__(self) -> Self:
        """Be closed at the end."""

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Close it."""


def original_in(index: Index, sha256: str) -> Original | None:
    """Return what became of the original with this SHA-256, or None if it is new."""
    return next(iter(index.originals(sha256)), None)


def measurement_in(index: Index, name: str) -> Described | None:
    """Return a measurement, valid or not."""
    return _first(index.measurements(measurement=name, withdrawn=True))


def filed_from(index: Index, sha256: str) -> list[Described]:
    """Return all measurements of an original, those that no longer count too."""
    return index.measurements(source=sha256, withdrawn=True)


def is_retracted(index: Index, sha256: str) -> bool:
    """Say whether something was filed from an original, and all of it has been retracted."""
    found = filed_from(index, sha256)
    return bool(found) and all(one.withdrawn == Withdrawn.RETRACTED for one in found)


def known_in(index: Index, place: Place) -> set[str]:
    """Return the measurements that the index knows to be in a table, or to have been."""
    kind, batch = place
    there = index.measurements(kind=kind, batch=batch, withdrawn=True)
    return {*(one.measurement for one in there), *index.lacking(kind, batch).get(place, ())}


def valid_in(index: Index, determination: str) -> Described | None:
    """Return the valid measurement of a determination."""
    return _first(index.measurements(determination=determination))


def batch_of_panel(index: Index, panel: str) -> str | None:
    """Return the batch that a register names for a panel."""
    found = registered_panel(index, panel)
    return found.batch if found else None


def registered_panel(index: Index, panel: str) -> Described | None:
    """Return the valid row of a register that has this panel."""
    return _first(index.measurements(panel=panel, registers=True))


def registered_batch(index: Index, batch: str) -> Described | None:
    """Return the valid row of a register that has this batch itself, not its panels."""
    rows = index.measurements(batch=batch, registers=True)
    return _first([row for row in rows if row.panel is None])


def is_registered(index: Index, one: Described) -> bool:
    """Say whether a register knows the panel of a measurement, or of wet paint the batch."""
    if one.panel is not None:
        return registered_panel(index, one.panel) is not None
    return registered_batch(index, one.batch) is not None


def registered_elsewhere(index: Index, one: Described) -> Described | None:
    """Return the valid row of the same register that has the panel in another batch."""
    if not one.registers or one.panel is None:
        return None
    rows = index.measurements(kind=one.kind, panel=one.panel, registers=True)
    return _first([row for row in rows if row.batch != one.batch])


def _first(found: Sequence[Described]) -> Described | None:
    return min(found, key=lambda one: one.measurement, default=None)
