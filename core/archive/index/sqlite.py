"""The index in SQLite: one file beside the tables, safe to read while another process writes."""

from __future__ import annotations

import secrets
import sqlite3
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import fields
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Literal, Self

from tiecoat.archive.index.cache import IndexMoment, Original, OriginalRow, TableState
from tiecoat.archive.index.counting import COUNT_TABLES, Counting
from tiecoat.archive.index.inbox_memory import INBOX_TABLES, InboxMemory
from tiecoat.archive.index.journal_memory import JOURNAL_TABLES, NAMES, JournalMemory
from tiecoat.archive.index.kind_memory import KIND_TABLES, KindMemory
from tiecoat.archive.index.soundness import is_proved, note_closed, note_open
from tiecoat.archive.tables.describe import Described
from tiecoat.archive.tables.parquet import Place
from tiecoat.archive.words import Became, Withdrawn
from tiecoat.disk import fsio
from tiecoat.disk.file_print import FilePrint, print_of
from tiecoat.errors import ArchiveDamaged, LabReplaced, refuse_newer

if TYPE_CHECKING:
    from tiecoat.lab.settings import Lab

VERSION = 10  # an index of an older version is rebuilt, one of a newer version is left alone
PAGE = 2_000  # originals that are in memory together
BUSY_S = 30.0  # that a statement waits for another process
COARSEST_S = 2.0  # between two times that a disk tells apart, and then some

SCHEMA = """
CREATE TABLE originals (
    sha256 TEXT PRIMARY KEY, name TEXT NOT NULL, outcome TEXT NOT NULL, held_id TEXT, reader TEXT,
    at TEXT
) WITHOUT ROWID;
CREATE TABLE measurements (
    measurement TEXT PRIMARY KEY, kind TEXT NOT NULL, batch TEXT NOT NULL, panel TEXT,
    measured_at INTEGER, n_rows INTEGER NOT NULL, source_sha256 TEXT NOT NULL,
    source_name TEXT NOT NULL, source_row INTEGER, reader TEXT NOT NULL, instrument TEXT,
    determination TEXT NOT NULL, fingerprint TEXT NOT NULL, withdrawn TEXT,
    registers INTEGER NOT NULL, remark TEXT
) WITHOUT ROWID;
CREATE INDEX measurements_determination ON measurements (determination);
CREATE INDEX measurements_table ON measurements (kind, batch);
CREATE INDEX measurements_batch ON measurements (batch);
CREATE INDEX measurements_panel ON measurements (panel, kind, batch);
-- of the same columns as the one before, or SQLite would rather go through all of a panel
CREATE INDEX measurements_registers ON measurements (panel, kind, batch) WHERE registers = 1;
CREATE INDEX measurements_registers_of_batch ON measurements (batch) WHERE registers = 1;
CREATE INDEX measurements_time ON measurements (measured_at);
CREATE INDEX measurements_remark ON measurements (remark, panel, batch) WHERE remark IS NOT NULL;
CREATE TABLE tables (
    kind TEXT NOT NULL, batch TEXT NOT NULL, size INTEGER NOT NULL, mtime_ns INTEGER NOT NULL,
    n_rows INTEGER NOT NULL, rule TEXT NOT NULL, schema TEXT NOT NULL, PRIMARY KEY (kind, batch)
) WITHOUT ROWID;
CREATE TABLE moment (this TEXT NOT NULL, changes INTEGER NOT NULL);
CREATE TABLE changed (
    kind TEXT NOT NULL, batch TEXT NOT NULL, at INTEGER NOT NULL, PRIMARY KEY (kind, batch)
) WITHOUT ROWID;
CREATE INDEX changed_at ON changed (kind, at);
CREATE TABLE unfinished (
    kind TEXT NOT NULL, batch TEXT NOT NULL, PRIMARY KEY (kind, batch)
) WITHOUT ROWID;
CREATE TABLE lacking (
    kind TEXT NOT NULL, batch TEXT NOT NULL, measurement TEXT NOT NULL,
    PRIMARY KEY (kind, batch, measurement)
) WITHOUT ROWID;
CREATE INDEX lacking_measurement ON lacking (measurement);
"""

LAYOUT = SCHEMA + COUNT_TABLES + JOURNAL_TABLES + INBOX_TABLES + KIND_TABLES
MADE_ANEW = (
    *("measurements", "tables", "changed", "counts", "lacking", "unfinished", "originals"),
    *NAMES,
)

ONLY_A_CACHE = (
    "If it is damaged, delete it while nothing uses the lab: it is only an index and is rebuilt."
)
COLUMNS = tuple(field.name for field in fields(Described) if field.name != "start")
_LISTED = ", ".join(COLUMNS)
_HOLES = ", ".join("?" * len(COLUMNS))
# SQLite would go through every row to tell the distinct ones
_KINDS_OF = {
    table: f"WITH RECURSIVE of (kind) AS (SELECT min(kind) FROM {table} UNION ALL SELECT"
    f" (SELECT min(kind) FROM {table} WHERE kind > of.kind) FROM of WHERE kind IS NOT NULL)"
    " SELECT kind FROM of WHERE kind IS NOT NULL"
    for table in ("tables", "lacking")
}


class SqliteIndex(InboxMemory, JournalMemory, KindMemory, Counting):
    """See `Index` for what its methods promise.

    Parameters
    ----------
    connection
        An open database of this version, or an empty one: then `anew` comes first.
    path
        Where it lies, for messages.
    only_read
        How the file looked when it was opened as one that nobody changes.
    proved
        Whether this process has found it whole, or made it: noted for whoever opens it next.
    """

    def __init__(
        self,
        connection: sqlite3.Connection,
        path: str,
        only_read: FilePrint | None = None,
        *,
        proved: bool = False,
    ) -> None:
        self._connection = connection
        self._path = path
        self._only_read = only_read
        self._file = _file(Path(path))
        self._under_way = False  # whether a transaction is
        self._proved = proved
        if proved:
            note_open(Path(path))

    def is_of_one_moment(self) -> bool:
        """Say whether all that was read since it was opened for reading was of one moment."""
        return self._only_read is None or self._only_read == _unchanging(Path(self._path))

    def check_in_place(self) -> None:
        """Check that what is open here is what stands on the disk."""
        if _file(Path(self._path)) != self._file:
            raise LabReplaced(
                f"{self._path} was deleted or replaced while this process had the lab open.\n"
                "Nothing more is taken in by it, and nothing is lost: start it again."
            )

    def close(self) -> None:
        """Close the database."""
        self._connection.close()
        if self._proved:
            note_closed(Path(self._path))

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    # Originals

    def originals(self, sha256: str | None = None) -> list[Original]:
        """Return what became of every original, or of the one with this SHA-256."""
        terms, values = _where({"sha256 = ?": sha256})
        return self._as_originals(f"SELECT * FROM originals WHERE {terms} ORDER BY sha256", *values)

    def each_original(self) -> Iterator[Original]:
        """Yield what became of every original, by its SHA-256."""
        after = ""
        sql = f"SELECT * FROM originals WHERE sha256 > ? ORDER BY sha256 LIMIT {PAGE}"
        while page := self._as_originals(sql, after):
            yield from page
            after = page[-1].sha256

    def _as_originals(self, sql: str, *values: Any) -> list[Original]:
        rows = self._rows(sql, *values)
        try:
            return [Original(sha, name, Became(word), *more) for sha, name, word, *more in rows]
        except ValueError as error:
            raise ArchiveDamaged(f"{self._path}: {error}\n{ONLY_A_CACHE}") from error

    def record_originals(self, originals: Iterable[OriginalRow]) -> None:
        """Note for each original: SHA-256, name, outcome, id among the held, reader."""
        at = datetime.now(UTC).isoformat(timespec="seconds")
        rows = [(*original, at) for original in originals]
        with self._transaction():
            self._many("INSERT OR REPLACE INTO originals VALUES (?, ?, ?, ?, ?, ?)", rows)

    def forget_originals(self, sha256s: Iterable[str]) -> None:
        """Forget what became of originals: they may come again."""
        with self._transaction():
            rows = ((sha256,) for sha256 in sha256s)
            self._many("DELETE FROM originals WHERE sha256 = ?", rows)

    def count_originals(self) -> int:
        """Count the originals of which it is known what became."""
        return int(self._rows("SELECT count(*) FROM originals")[0][0])

    # Measurements

    def measurements(self, *, limit: int | None = None, **wanted: Any) -> list[Described]:
        """Return measurements in a fixed order; times count microseconds since 1970."""
        terms, values = _wanted(**wanted)
        order = "kind, batch, panel, measured_at, measurement"
        rows = self._rows(
            f"SELECT {_LISTED} FROM measurements WHERE {terms} ORDER BY {order} LIMIT ?",
            *(*values, -1 if limit is None else limit),
        )
        return [Described(*row) for row in rows]

    def count(self, **wanted: Any) -> int:
        """Count the measurements that `measurements` would return without a limit."""
        terms, values = _wanted(**wanted)
        return int(self._rows(f"SELECT count(*) FROM measurements WHERE {terms}", *values)[0][0])

    def distinct(self, column: Literal["batch", "panel"], **wanted: str) -> list[str]:
        """Return every batch or panel of the measurements that have such a kind or panel."""
        terms, values = _where({f"{name} = ?": wanted.get(name) for name in ("panel", "kind")})
        sql = f"SELECT DISTINCT {column} FROM measurements WHERE {terms}"
        rows = self._rows(f"{sql} AND {column} IS NOT NULL ORDER BY {column}", *values)
        return [found for (found,) in rows]

    # Tables

    def tables(self, kind: str | None = None, batch: str | None = None) -> dict[Place, TableState]:
        """Return every table, or those of a kind, or one, as it was when it was indexed."""
        terms, values = _where({"kind = ?": kind, "batch = ?": batch})
        sql = f"SELECT kind, batch, size, mtime_ns, n_rows, rule, schema FROM tables WHERE {terms}"
        rows = self._rows(sql, *values)
        return {(kind, batch): TableState(*state) for kind, batch, *state in rows}

    def kinds(self) -> list[str]:
        """Return the kinds of the tables that are indexed, or lacking, sorted."""
        found = (kind for table in ("tables", "lacking") for kind in self._rows(_KINDS_OF[table]))
        return sorted({kind for (kind,) in found})

    def moment(self) -> IndexMoment:
        """Return which index it is, and how many changes it knows of."""
        return IndexMoment(*self._rows("SELECT this, changes FROM moment")[0])

    def changed(self, kind: str, after: IndexMoment) -> set[str]:
        """Return the batches whose tables of a kind were replaced after a moment, or may be now."""
        sql = "SELECT batch FROM changed WHERE kind = ? AND at > ?"
        sql += " UNION SELECT batch FROM unfinished WHERE kind = ?"
        return {batch for (batch,) in self._rows(sql, kind, after.changes, kind)}

    def schemas(self, kind: str) -> list[str]:
        """Return the digests of the schemas that tables of a kind have: one, if they are alike."""
        rows = self._rows("SELECT DISTINCT schema FROM tables WHERE kind = ? ORDER BY 1", kind)
        return [digest for (digest,) in rows]

    def lacking(self, kind: str | None = None, batch: str | None = None) -> dict[Place, list[str]]:
        """Return by table the measurements that were filed in it, and are not there any more."""
        terms, values = _where({"kind = ?": kind, "batch = ?": batch})
        sql = f"SELECT kind, batch, measurement FROM lacking WHERE {terms} ORDER BY 1, 2, 3"
        found: dict[Place, list[str]] = {}
        for kind_, batch_, measurement in self._rows(sql, *values):
            found.setdefault((kind_, batch_), []).append(measurement)
        return found

    def lacks_of(self, sha256: str) -> bool:
        """Say whether something that was filed from an original is not in its table any more."""
        own = (f"{sha256[:16]}-", f"{sha256[:16]}.")
        sql = "SELECT 1 FROM lacking WHERE measurement >= ? AND measurement < ? LIMIT 1"
        return bool(self._rows(sql, *own))

    def note_lacking(self, measurements: Mapping[Place, Iterable[str]]) -> None:
        """Note of measurements that were filed which of them the indexed tables do not have."""
        rows = ((*place, one) for place, every in measurements.items() for one in every)
        with self._transaction():
            self._many("INSERT OR REPLACE INTO lacking VALUES (?, ?, ?)", rows)
            self._do(
                "DELETE FROM lacking WHERE EXISTS (SELECT 1 FROM measurements m WHERE"
                " m.measurement = lacking.measurement AND m.kind = lacking.kind"
                " AND m.batch = lacking.batch)"
            )

    def forget_lacking(self, measurements: Iterable[str]) -> None:
        """Forget that measurements are lacking, wherever they were filed."""
        with self._transaction():
            rows = ((name,) for name in measurements)
            self._many("DELETE FROM lacking WHERE measurement = ?", rows)

    def unfinished(self) -> list[Place]:
        """Return the tables that were about to be replaced when the process died."""
        return [(kind, batch) for kind, batch in self._rows("SELECT kind, batch FROM unfinished")]

    def begin(self, places: Iterable[Place]) -> None:
        """Note that tables are about to be replaced: until `filed`, the index may be behind."""
        with self._transaction():
            self._many("INSERT OR IGNORE INTO unfinished VALUES (?, ?)", places)

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
        with self._transaction():
            found = list(new)
            self._insert(found)
            back = [(one.kind, one.batch, one.measurement) for one in found]
            self._many("DELETE FROM lacking WHERE kind = ? AND batch = ? AND measurement = ?", back)
            marks = [(mark, measurement) for measurement, mark in withdrawn]
            self._many("UPDATE measurements SET withdrawn = ? WHERE measurement = ?", marks)
            for place, state in tables.items():
                self._finish(place, state)

    def replace_table(
        self,
        place: Place,
        state: TableState | None,
        measurements: Sequence[Described],
        lacking: Iterable[str] = (),
    ) -> None:
        """Index a table anew, and what it lacks; a state of None means that it is gone."""
        with self._transaction():
            self._do("DELETE FROM measurements WHERE kind = ? AND batch = ?", *place)
            self._do("DELETE FROM lacking WHERE kind = ? AND batch = ?", *place)
            self._insert(measurements)
            rows = [(*place, one) for one in lacking]
            self._many("INSERT OR REPLACE INTO lacking VALUES (?, ?, ?)", rows)
            self._finish(place, state)

    @contextmanager
    def anew(self) -> Iterator[None]:
        """Forget all that tables, held folders and journal say, to be noted anew, or nothing."""
        with self._transaction():
            if self._rows("PRAGMA user_version") == [(0,)]:
                for statement in LAYOUT.split(";"):
                    self._do(statement)
                self._do(f"PRAGMA user_version = {VERSION}")
            else:
                for table in MADE_ANEW:
                    self._do(f"DELETE FROM {table}")
            self._do("DELETE FROM moment")
            self._do("INSERT INTO moment VALUES (?, 0)", secrets.token_hex(8))
            yield

    def _finish(self, place: Place, state: TableState | None) -> None:
        self._do("DELETE FROM unfinished WHERE kind = ? AND batch = ?", *place)
        self._do("DELETE FROM tables WHERE kind = ? AND batch = ?", *place)
        self._recount(place)
        self._do("UPDATE moment SET changes = changes + 1")
        self._do("INSERT OR REPLACE INTO changed SELECT ?, ?, changes FROM moment", *place)
        if state is not None:
            row = (*place, state.size, state.mtime_ns, state.n_rows, state.rule, state.schema)
            self._many("INSERT INTO tables VALUES (?, ?, ?, ?, ?, ?, ?)", [row])

    def _insert(self, measurements: Iterable[Described]) -> None:
        rows = [tuple(getattr(one, name) for name in COLUMNS) for one in measurements]
        self._many(f"INSERT OR REPLACE INTO measurements ({_LISTED}) VALUES ({_HOLES})", rows)

    # SQLite

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        """Do all or nothing; inside another transaction it is part of that one."""
        if self._under_way:
            yield
            return
        if self._connection.in_transaction:  # the disk refused to take the last one back
            self._do("ROLLBACK")
        self._do("BEGIN IMMEDIATE")
        self._under_way = True
        try:
            yield
            self._do("COMMIT")
        except BaseException as error:
            with suppress(sqlite3.DatabaseError):  # then the next one begins by that
                self._connection.rollback()
            if _is_of_reading_only(error.__cause__):
                self._open_anew()
            raise
        finally:
            self._under_way = False

    def _open_anew(self) -> None:
        """Open the database anew for the next transaction, if it is still the same.

        SQLite opens it for reading only where the system grants no more at that moment, and leaves
        it at that.
        """
        self.check_in_place()
        self._connection.close()
        self._connection = _connect(Path(self._path))

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
            self._proved = False
            raise ArchiveDamaged(f"{self._path}: {error}\n{ONLY_A_CACHE}") from error


def _is_of_reading_only(error: BaseException | None) -> bool:
    return getattr(error, "sqlite_errorcode", 0) & 0xFF == sqlite3.SQLITE_READONLY


def _where(wanted: Mapping[str, str | int | None]) -> tuple[str, list[str | int]]:
    """Return the terms of which there is a value, as a condition, and the values."""
    given = {term: value for term, value in wanted.items() if value is not None}
    return " AND ".join(given) or "TRUE", list(given.values())


def _wanted(
    *,
    source: str | None = None,
    file: str | None = None,
    remark: str | None = None,
    since: int | None = None,
    until: int | None = None,
    registers: bool = False,
    withdrawn: bool | Withdrawn = False,
    **equal: str | None,
) -> tuple[str, list[str | int]]:
    """Return which measurements are wanted, as a condition and its values."""
    terms, values = _where(
        {
            # the id of a measurement begins with that of its original: found by the key
            "measurement >= ?": source and f"{source[:16]}-",
            "measurement < ?": source and f"{source[:16]}.",
            "source_sha256 = ?": source,
            **{f"{name} = ?": value for name, value in equal.items()},
            r"source_name LIKE ? ESCAPE '\'": file
            and _escaped(file).replace("*", "%").replace("?", "_"),
            r"remark LIKE ? ESCAPE '\'": remark and f"%{_escaped(remark)}%",
            "measured_at >= ?": since,
            "measured_at < ?": until,
            "withdrawn = ?": str(withdrawn) if isinstance(withdrawn, Withdrawn) else None,
        }
    )
    terms += " AND registers = 1" if registers else ""
    return terms + ("" if withdrawn else " AND withdrawn IS NULL"), values


def _like(pattern: str) -> str:
    """Return a pattern of * and ? as LIKE understands it."""
    return _escaped(pattern).replace("*", "%").replace("?", "_")


def _escaped(text: str) -> str:
    """Return a text in which LIKE takes no sign for others."""
    return "".join(f"\\{sign}" if sign in "%_\\" else sign for sign in text)


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


def read_index(lab: Lab) -> SqliteIndex | None:
    """Open the index for reading only; None if there is none that is whole and of this version.

    While nobody has it open for writing it is read as a file that does not change: else SQLite
    would make files beside it, for which a reader may lack the right.

    Raises
    ------
    WrittenByNewer
        If it is of a version that is not known here.
    """
    unchanging = _unchanging(lab.index)
    how = "mode=ro" if unchanging is None else "immutable=1"
    try:
        connection = sqlite3.connect(f"{lab.index.as_uri()}?{how}", uri=True, timeout=BUSY_S)
    except sqlite3.Error:
        return None
    try:
        version = connection.execute("PRAGMA user_version").fetchone()[0]
    except sqlite3.Error:
        version = None
    if version == VERSION:
        return SqliteIndex(connection, str(lab.index), unchanging)
    connection.close()
    _refuse_newer(lab, version)
    return None


def _unchanging(path: Path) -> FilePrint | None:
    """Return how the database looks while nobody writes to it; None while somebody may."""
    try:
        return None if fsio.is_there(path.with_name(path.name + "-wal")) else print_of(path.stat())
    except OSError:
        return None


def committed(lab: Lab) -> tuple[FilePrint, ...] | None:
    """Return what is another after each commit to the index; None where it cannot be told.

    A time on disk may be coarse: one that is too young may be that of several commits. Windows may
    be late with that of a file which is open.
    """
    found = []
    for path in (lab.index, lab.index.with_name(lab.index.name + "-wal")):
        if status := fsio.status_of(path):
            is_young = time.time() - status.st_mtime < COARSEST_S
            if is_young or (fsio.WINDOWS and path != lab.index):
                return None
            found.append(print_of(status))
    return tuple(found) or None


def whole_index(lab: Lab) -> SqliteIndex | None:
    """Open the index for writing; None if there is none that is whole and of this version.

    Raises
    ------
    ArchiveDamaged
        If the database cannot be opened for another reason than damage.
    WrittenByNewer
        If it is of a version that is not known here: a newer program may have it in use.
    """
    if not fsio.is_file(lab.index):
        return None
    proved = is_proved(lab.index)
    connection = _connect(lab.index)
    try:
        version = connection.execute("PRAGMA user_version").fetchone()[0]
        whole = proved or connection.execute("PRAGMA quick_check(1)").fetchone()[0] == "ok"
        whole = whole and _layout(connection) == _expected_layout()
    except sqlite3.DatabaseError as error:
        connection.close()
        if error.sqlite_errorcode & 0xFF in {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB}:
            return None
        raise ArchiveDamaged(f"{lab.index} cannot be opened: {error}") from error
    if version == VERSION and whole:
        return SqliteIndex(connection, str(lab.index), proved=True)
    connection.close()
    _refuse_newer(lab, version)
    return None


def _refuse_newer(lab: Lab, version: int | None) -> None:
    if version is not None:
        advice = "to go on with this one, delete it while nothing uses the lab: it is only a cache"
        refuse_newer(lab.index, version, VERSION, advice)


def empty_index(lab: Lab) -> SqliteIndex:
    """Set aside what is there and open an empty index, to be made `anew`."""
    lab.index.parent.mkdir(parents=True, exist_ok=True)
    aside = f"{lab.index.name}.aside-{datetime.now(UTC):%Y%m%dT%H%M%S%f}"
    for ending in ("-wal", "-shm", ""):
        old = lab.index.with_name(lab.index.name + ending)
        if fsio.is_there(old):
            fsio.move(old, old.with_name(aside + ending))
    return SqliteIndex(_connect(lab.index), str(lab.index), proved=True)


def memory_index() -> SqliteIndex:
    """Open an empty index in memory, to be made `anew`, for readers of a lab without one."""
    return SqliteIndex(sqlite3.connect(":memory:", isolation_level=None), "index in memory")


def _layout(connection: sqlite3.Connection) -> set[tuple[str, str]]:
    """Return the tables and their columns, and what they are indexed by."""
    rows = connection.execute("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL")
    return {(name, sql) for name, sql in rows}


@cache
def _expected_layout() -> set[tuple[str, str]]:
    connection = sqlite3.connect(":memory:", isolation_level=None)
    with SqliteIndex(connection, "index in memory") as index, index.anew():
        return _layout(connection)


def _connect(path: Path) -> sqlite3.Connection:
    try:
        connection = sqlite3.connect(path, timeout=BUSY_S, isolation_level=None)
    except sqlite3.DatabaseError as error:
        raise ArchiveDamaged(f"{path} cannot be opened: {error}") from error
    with suppress(sqlite3.DatabaseError):  # what is wrong shows at the first real statement
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
    return connection
