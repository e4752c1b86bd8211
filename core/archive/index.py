"""The index: a cache in SQLite that answers quickly what the tables on disk say.

Whether an original has been seen, which measurements there are of a panel, and whether a
determination is filed already. Deleting it loses nothing: it is rebuilt from the Parquet files, the
held folders and the journal. Only what inboxes remember of files left in place is new then, and
those files are recognised by their content.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, fields
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Literal, Self, TypeAlias

from tiecoat.archive.describe import Described
from tiecoat.archive.tables import Place
from tiecoat.errors import ArchiveDamaged, LabReplaced
from tiecoat.remarks import UNREGISTERED

VERSION = 2  # an index of another version is rebuilt

SCHEMA = """
CREATE TABLE originals (
    sha256 TEXT PRIMARY KEY, name TEXT NOT NULL, outcome TEXT NOT NULL, held_id TEXT, reader TEXT,
    at TEXT
) WITHOUT ROWID;
CREATE TABLE measurements (
    measurement TEXT PRIMARY KEY, kind TEXT NOT NULL, batch TEXT NOT NULL, panel TEXT,
    measured_at INTEGER, n_rows INTEGER NOT NULL, source_sha256 TEXT NOT NULL,
    source_name TEXT NOT NULL, source_row INTEGER, reader TEXT NOT NULL, instrument TEXT,
    determination TEXT NOT NULL, fingerprint TEXT NOT NULL, withdrawn TEXT, remark TEXT
) WITHOUT ROWID;
CREATE INDEX measurements_determination ON measurements (determination);
CREATE INDEX measurements_table ON measurements (kind, batch);
CREATE INDEX measurements_batch ON measurements (batch);
CREATE INDEX measurements_panel ON measurements (panel, kind, batch);
CREATE INDEX measurements_time ON measurements (measured_at);
CREATE INDEX measurements_remark ON measurements (remark, panel, batch) WHERE remark IS NOT NULL;
CREATE TABLE tables (
    kind TEXT NOT NULL, batch TEXT NOT NULL, size INTEGER NOT NULL, mtime_ns INTEGER NOT NULL,
    n_rows INTEGER NOT NULL, rule TEXT NOT NULL, PRIMARY KEY (kind, batch)
) WITHOUT ROWID;
CREATE TABLE unfinished (
    kind TEXT NOT NULL, batch TEXT NOT NULL, PRIMARY KEY (kind, batch)
) WITHOUT ROWID;
CREATE TABLE remembered (
    path BLOB PRIMARY KEY, size INTEGER NOT NULL, mtime_ns INTEGER NOT NULL,
    inode INTEGER NOT NULL, sha256 TEXT NOT NULL
) WITHOUT ROWID;
"""

COLUMNS = tuple(field.name for field in fields(Described) if field.name != "start")
_LISTED = ", ".join(COLUMNS)
_HOLES = ", ".join("?" * len(COLUMNS))

Outcome: TypeAlias = Literal["filed", "held", "discarded"]
Seen: TypeAlias = tuple[int, int, int]  # size in bytes, mtime in ns, inode
OriginalRow: TypeAlias = tuple[str, str, Outcome, str | None, str | None]


@dataclass(frozen=True)
class Original:
    """What became of an original."""

    sha256: str
    name: str
    outcome: Outcome
    held_id: str | None
    reader: str | None
    at: str | None


@dataclass(frozen=True)
class TableState:
    """A table file as it was when it was indexed."""

    size: int
    mtime_ns: int
    n_rows: int
    rule: str


class Index:
    """The index of a lab. Made by `open_index`; readers of the archive never need it.

    Parameters
    ----------
    connection
        An open database of this version.
    path
        Where it lies, for messages.
    """

    def __init__(self, connection: sqlite3.Connection, path: str) -> None:
        self._connection = connection
        self._path = path
        self._file = _file(Path(path))

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
        if _file(Path(self._path)) != self._file:
            raise LabReplaced(
                f"{self._path} was deleted or replaced while this process had the lab open.\n"
                "Nothing more is taken in by it, and nothing is lost: start it again."
            )

    def close(self) -> None:
        """Close the database."""
        self._connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    # Originals and inboxes

    def original(self, sha256: str) -> Original | None:
        """Return what became of the original with this SHA-256, or None if it is new."""
        rows = self._rows("SELECT * FROM originals WHERE sha256 = ?", sha256)
        return Original(*rows[0]) if rows else None

    def originals(self) -> list[Original]:
        """Return what became of every original."""
        return [Original(*row) for row in self._rows("SELECT * FROM originals ORDER BY sha256")]

    def record_originals(self, originals: Iterable[OriginalRow]) -> None:
        """Note for each original: SHA-256, name, outcome, id among the held, reader."""
        at = datetime.now(UTC).isoformat(timespec="seconds")
        rows = [(*original, at) for original in originals]
        with self.transaction():
            self._many("INSERT OR REPLACE INTO originals VALUES (?, ?, ?, ?, ?, ?)", rows)

    def remembered(self) -> dict[Path, Seen]:
        """Return the files that stay in their inboxes, as they were when they were taken in."""
        rows = self._rows("SELECT path, size, mtime_ns, inode FROM remembered")
        return {Path(os.fsdecode(path)): (size, mtime, inode) for path, size, mtime, inode in rows}

    def remember(self, path: Path, seen: Seen, sha256: str) -> None:
        """Note that a file stays in its inbox and has been taken in."""
        with self.transaction():
            row = (os.fsencode(path), *seen, sha256)
            self._many("INSERT OR REPLACE INTO remembered VALUES (?, ?, ?, ?, ?)", [row])

    # Measurements

    def batch_of_panel(self, panel: str) -> str | None:
        """Return the batch that the register names for a panel."""
        found = self.registered(panel)
        return found.batch if found else None

    def registered(self, panel: str, not_in: str = "") -> Described | None:
        """Return the register's valid row for a panel, in any batch but one."""
        where = "panel = ? AND kind = 'panels' AND batch != ? AND withdrawn IS NULL"
        return self._first(where, panel, not_in)

    def measurement(self, measurement: str) -> Described | None:
        """Return a measurement, valid or not."""
        return self._first("measurement = ?", measurement)

    def valid(self, determination: str) -> Described | None:
        """Return the valid measurement of a determination."""
        return self._first("determination = ? AND withdrawn IS NULL", determination)

    def measurements(
        self,
        *,
        kind: str | None = None,
        batch: str | None = None,
        panel: str | None = None,
        since: int | None = None,
        until: int | None = None,
        withdrawn: bool = False,
    ) -> list[Described]:
        """Return measurements in a fixed order; times count microseconds since 1970."""
        wanted = {
            "kind = ?": kind,
            "batch = ?": batch,
            "panel = ?": panel,
            "measured_at >= ?": since,
            "measured_at < ?": until,
        }
        terms = {term: value for term, value in wanted.items() if value is not None}
        where = [*terms] if withdrawn else [*terms, "withdrawn IS NULL"]
        order = "kind, batch, panel, measured_at, measurement"
        return self._described(f"{' AND '.join(where) or 'TRUE'} ORDER BY {order}", *terms.values())

    def batches_of(self, kind: str, panel: str) -> list[str]:
        """Return the batches whose table of this kind holds the panel."""
        sql = "SELECT DISTINCT batch FROM measurements WHERE panel = ? AND kind = ? ORDER BY batch"
        return [batch for (batch,) in self._rows(sql, panel, kind)]

    def panels(self) -> list[str]:
        """Return every panel that has a measurement."""
        sql = "SELECT DISTINCT panel FROM measurements WHERE panel IS NOT NULL ORDER BY panel"
        return [panel for (panel,) in self._rows(sql)]

    def is_registered(self, one: Described) -> bool:
        """Say whether the register knows the panel of a measurement, or of wet paint the batch."""
        if one.panel is not None:
            return self.registered(one.panel) is not None
        where = "batch = ? AND kind = 'batches' AND withdrawn IS NULL"
        return self._first(where, one.batch) is not None

    def remarked(self) -> int:
        """Count the valid measurements with a remark, but those that the register knows by now."""
        known = " AND ".join(
            f"NOT (m.remark = '{remark.said()}' AND EXISTS (SELECT 1 FROM measurements r WHERE"
            f" r.{key} = m.{key} AND r.kind = '{kind}' AND r.withdrawn IS NULL))"
            for remark, key, kind in zip(
                UNREGISTERED, ("panel", "batch"), ("panels", "batches"), strict=True
            )
        )
        sql = (
            "SELECT count(*) FROM measurements m WHERE m.remark IS NOT NULL AND m.withdrawn IS NULL"
        )
        return int(self._rows(f"{sql} AND {known}")[0][0])

    # Tables

    def table(self, place: Place) -> TableState | None:
        """Return a table as it was when it was indexed."""
        sql = "SELECT size, mtime_ns, n_rows, rule FROM tables WHERE kind = ? AND batch = ?"
        rows = self._rows(sql, *place)
        return TableState(*rows[0]) if rows else None

    def tables(self) -> list[Place]:
        """Return the tables that are indexed."""
        return [(kind, batch) for kind, batch in self._rows("SELECT kind, batch FROM tables")]

    def unfinished(self) -> list[Place]:
        """Return the tables that were about to be replaced when the process died."""
        return [(kind, batch) for kind, batch in self._rows("SELECT kind, batch FROM unfinished")]

    def begin(self, places: Iterable[Place]) -> None:
        """Note that tables are about to be replaced: until `filed`, the index may be behind."""
        with self.transaction():
            self._many("INSERT OR IGNORE INTO unfinished VALUES (?, ?)", places)

    def filed(
        self,
        tables: Mapping[Place, TableState],
        new: Iterable[Described],
        withdrawn: Iterable[tuple[str, str]],
    ) -> None:
        """Note that tables have been replaced: their new measurements, and the withdrawn ones.

        Parameters
        ----------
        withdrawn
            Pairs of measurement and "superseded" or "retracted".
        """
        with self.transaction():
            self._insert(new)
            marks = [(mark, measurement) for measurement, mark in withdrawn]
            self._many("UPDATE measurements SET withdrawn = ? WHERE measurement = ?", marks)
            for place, state in tables.items():
                self._finish(place, state)

    def replace_table(
        self, place: Place, state: TableState | None, measurements: Sequence[Described]
    ) -> None:
        """Index a table anew; a state of None means that it is gone."""
        with self.transaction():
            self._do("DELETE FROM measurements WHERE kind = ? AND batch = ?", *place)
            self._insert(measurements)
            self._finish(place, state)

    def lay_out(self) -> None:
        """Make the tables in an empty database, inside a transaction."""
        for statement in SCHEMA.split(";"):
            self._do(statement)
        self._do(f"PRAGMA user_version = {VERSION}")

    def clear_tables(self) -> None:
        """Forget all tables, measurements and originals, inside a transaction."""
        for table in ("measurements", "tables", "unfinished", "originals"):
            self._do(f"DELETE FROM {table}")

    def _finish(self, place: Place, state: TableState | None) -> None:
        self._do("DELETE FROM unfinished WHERE kind = ? AND batch = ?", *place)
        self._do("DELETE FROM tables WHERE kind = ? AND batch = ?", *place)
        if state is not None:
            row = (*place, state.size, state.mtime_ns, state.n_rows, state.rule)
            self._many("INSERT INTO tables VALUES (?, ?, ?, ?, ?, ?)", [row])

    def _insert(self, measurements: Iterable[Described]) -> None:
        rows = [tuple(getattr(one, name) for name in COLUMNS) for one in measurements]
        self._many(f"INSERT OR REPLACE INTO measurements ({_LISTED}) VALUES ({_HOLES})", rows)

    # SQLite

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """Do all or nothing; inside another transaction it is part of that one."""
        if self._connection.in_transaction:
            yield
            return
        self._do("BEGIN IMMEDIATE")
        try:
            yield
        except BaseException:
            self._connection.rollback()
            raise
        self._do("COMMIT")

    def _first(self, where: str, *values: Any) -> Described | None:
        found = self._described(f"{where} ORDER BY measurement LIMIT 1", *values)
        return found[0] if found else None

    def _described(self, where: str, *values: Any) -> list[Described]:
        rows = self._rows(f"SELECT {_LISTED} FROM measurements WHERE {where}", *values)
        return [Described(*row) for row in rows]

    def _rows(self, sql: str, *values: Any) -> list[tuple[Any, ...]]:
        with self._told():
            return self._connection.execute(sql, values).fetchall()

    def _do(self, sql: str, *values: Any) -> None:
        with self._told():
            self._connection.execute(sql, values)

    def _many(self, sql: str, rows: Iterable[tuple[Any, ...]]) -> None:
        readable = [tuple(map(_readable, row)) for row in rows]
        with self._told():
            self._connection.executemany(sql, readable)

    @contextmanager
    def _told(self) -> Iterator[None]:
        try:
            yield
        except sqlite3.DatabaseError as error:
            raise ArchiveDamaged(
                f"{self._path}: {error}\nIf it is damaged, delete it while nothing uses the lab:"
                " it is only an index and is rebuilt."
            ) from error


def _file(path: Path) -> tuple[int, int] | None:
    """Return which file stands at a path; None if there is none in a folder that is there."""
    try:
        status = path.stat()
    except FileNotFoundError:
        path.parent.stat()
        return None
    return status.st_dev, status.st_ino


def _readable(value: Any) -> Any:
    """Replace what is not Unicode (in a file name) by question marks: SQLite keeps none of it."""
    if isinstance(value, str) and not value.isascii():
        return value.encode("utf-8", "replace").decode("utf-8")
    return value
