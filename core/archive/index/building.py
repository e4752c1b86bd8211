"""The index on disk: read, found whole or not, and built anew where it is not."""

from __future__ import annotations

import sqlite3
from contextlib import suppress
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from tiecoat.archive.index.cache import VERSION, Index
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged

if TYPE_CHECKING:
    from tiecoat.archive.index.catching_up import Reindexed
    from tiecoat.lab.settings import Lab

BUSY_S = 30.0  # that a statement waits for another process


def index_anew(lab: Lab) -> Reindexed:
    """Build the index anew from the Parquet files, the held folders and the journal.

    Takes the write lock. Readers see the old index or the new one.

    Raises
    ------
    LabInUse
        If another process is writing.
    """
    from tiecoat.archive.index.catching_up import fill
    from tiecoat.archive.lock import write_lock

    with write_lock(lab):
        index = whole_index(lab.index) or new_index(lab, filled=False)
        with index, index.transaction():
            index.clear_tables()
            return fill(lab, index)


def read_index(lab: Lab) -> Index | None:
    """Open the index for reading only; None if there is none that is whole and of this version."""
    try:
        connection = sqlite3.connect(f"{lab.index.as_uri()}?mode=ro", uri=True, timeout=BUSY_S)
    except sqlite3.Error:
        return None
    try:
        version = connection.execute("PRAGMA user_version").fetchone()[0]
    except sqlite3.Error:
        version = None
    if version == VERSION:
        return Index(connection, str(lab.index))
    connection.close()
    return None


def memory_index() -> Index:
    """Return an empty index in memory, for readers of a lab without one."""
    index = Index(sqlite3.connect(":memory:", isolation_level=None), "index in memory")
    with index.transaction():
        index.lay_out()
    return index


def whole_index(path: Path) -> Index | None:
    """Return the index if it is whole and of this version."""
    if not fsio.is_file(path):
        return None
    connection = _connect(path)
    try:
        version = connection.execute("PRAGMA user_version").fetchone()[0]
        whole = connection.execute("PRAGMA quick_check(1)").fetchone()[0] == "ok"
        whole = whole and _layout(connection) == _expected_layout()
    except sqlite3.DatabaseError as error:
        connection.close()
        if error.sqlite_errorcode & 0xFF in {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB}:
            return None
        raise ArchiveDamaged(f"{path} cannot be opened: {error}") from error
    if version == VERSION and whole:
        return Index(connection, str(path))
    connection.close()
    return None


def new_index(lab: Lab, *, filled: bool = True) -> Index:
    """Set aside what is there and make a new index, complete at once or not at all."""
    from tiecoat.archive.index.catching_up import fill

    aside = f"{lab.index.name}.aside-{datetime.now(UTC):%Y%m%dT%H%M%S%f}"
    for ending in ("-wal", "-shm", ""):
        old = lab.index.with_name(lab.index.name + ending)
        if fsio.is_there(old):
            fsio.move(old, old.with_name(aside + ending))
    index = Index(_connect(lab.index), str(lab.index))
    with index.transaction():
        index.lay_out()
        if filled:
            fill(lab, index)
    return index


def _layout(connection: sqlite3.Connection) -> set[tuple[str, str]]:
    """Return the tables and their columns, and what they are indexed by."""
    rows = connection.execute("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL")
    return {(name, sql) for name, sql in rows}


@cache
def _expected_layout() -> set[tuple[str, str]]:
    connection = sqlite3.connect(":memory:", isolation_level=None)
    with Index(connection, "index in memory") as index, index.transaction():
        index.lay_out()
        return _layout(connection)


def _connect(path: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(path, timeout=BUSY_S, isolation_level=None)
    with suppress(sqlite3.DatabaseError):  # what is wrong shows at the first real statement
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
    return connection
