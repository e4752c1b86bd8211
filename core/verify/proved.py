"""What was proved, and how it looked then: so that `verify --changed` need not read it again.

It only ever spares reading. A whole proof does not ask it, and whoever deletes it has everything
read once more. What changed without another size or time, as where a disk forgets, only a whole
proof finds.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tiecoat.archive.tables.contents import Content, Withdrawal
from tiecoat.archive.tables.parquet import Place
from tiecoat.disk import fsio
from tiecoat.disk.file_print import FilePrint
from tiecoat.lab.settings import Lab

if TYPE_CHECKING:
    from tiecoat.archive.tables.parquet import Version

VERSION = 1
NAME = "proved.sqlite"
TOGETHER = 5_000  # noted in one go
WAIT_S = 1.0  # for another proof that is under way
SCHEMA = """
CREATE TABLE originals (
    sha256 TEXT PRIMARY KEY, size INTEGER NOT NULL, mtime_ns INTEGER NOT NULL,
    inode INTEGER NOT NULL
) WITHOUT ROWID;
CREATE TABLE tables (
    kind TEXT NOT NULL, batch TEXT NOT NULL, size INTEGER NOT NULL, mtime_ns INTEGER NOT NULL,
    number INTEGER NOT NULL, filed TEXT NOT NULL, PRIMARY KEY (kind, batch)
) WITHOUT ROWID;
"""


class Proved:
    """What was proved in a lab, for as long as one proof takes.

    Parameters
    ----------
    database
        With what was proved before, open to be written.
    asked
        Whether that is to be passed over; else all is forgotten, to be noted anew.
    """

    def __init__(self, database: sqlite3.Connection, *, asked: bool) -> None:
        self._database, self._asked = database, asked
        self._noted: list[tuple[str, tuple[Any, ...]]] = []
        if not asked:
            database.execute("DELETE FROM originals")
            database.execute("DELETE FROM tables")

    def has_original(self, sha256: str, seen: FilePrint) -> bool:
        """Say whether an original was proved, and looks as it did then."""
        sql = "SELECT size, mtime_ns, inode FROM originals WHERE sha256 = ?"
        return self._asked and self._database.execute(sql, (sha256,)).fetchone() == seen

    def note_original(self, sha256: str, seen: FilePrint) -> None:
        """Note that an original is as it was, and how it looked before it was read."""
        self._note("INSERT OR REPLACE INTO originals VALUES (?, ?, ?, ?)", (sha256, *seen))

    def has_table(self, place: Place, version: Version, filed: str) -> bool:
        """Say whether a table was proved to hold what was `filed`, and looks as it did then."""
        sql = "SELECT size, mtime_ns, number, filed FROM tables WHERE kind = ? AND batch = ?"
        known = self._database.execute(sql, place).fetchone() if self._asked else None
        return bool(known == (*version, filed))

    def note_table(self, place: Place, version: Version, filed: str) -> None:
        """Note that a table holds what was filed in it."""
        row = (*place, *version, filed)
        self._note("INSERT OR REPLACE INTO tables VALUES (?, ?, ?, ?, ?, ?)", row)

    def keep(self) -> None:
        """Keep what was noted."""
        self._write()
        self._database.execute("COMMIT")

    def _note(self, sql: str, row: tuple[Any, ...]) -> None:
        self._noted.append((sql, row))
        if len(self._noted) >= TOGETHER:
            self._write()

    def _write(self) -> None:
        for sql, row in self._noted:
            self._database.execute(sql, row)
        self._noted.clear()


def as_filed(filed: Mapping[str, Content], withdrawn: Mapping[str, Withdrawal]) -> str:
    """Return a digest of what the journal says a table must hold, with its marks."""
    said = [
        [name, one.n_rows, one.digest, withdrawn[name].as_record() if name in withdrawn else None]
        for name, one in sorted(filed.items())
    ]
    return hashlib.sha256(json.dumps(said).encode()).hexdigest()


@contextmanager
def proved_in(lab: Lab, *, asked: bool) -> Iterator[Proved]:
    """Open what was proved in a lab, and keep what is noted; see `Proved`.

    Where it cannot be kept, as in a copy that nobody may write to, it is forgotten.
    """
    path = lab.root / NAME
    is_new = not fsio.is_there(path)
    database = _opened(path)
    try:
        proved = Proved(database, asked=asked)
        yield proved
        with suppress(sqlite3.DatabaseError):
            proved.keep()
            is_new = False
    finally:
        database.close()
        if is_new:  # nothing is kept of a proof that was not finished
            with suppress(OSError):
                path.unlink(missing_ok=True)


def _opened(path: Path) -> sqlite3.Connection:
    """Return the database, to be written by nobody else; one in memory where that cannot be."""
    for place in (str(path), str(path), ":memory:"):
        database = sqlite3.connect(place, timeout=WAIT_S, isolation_level=None)
        try:
            _begin(database)
            return database
        except sqlite3.DatabaseError as error:
            database.close()
            if error.sqlite_errorcode & 0xFF in {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB}:
                with suppress(OSError):
                    path.unlink()
    raise AssertionError("a database in memory opens")


def _begin(database: sqlite3.Connection) -> None:
    database.execute("PRAGMA synchronous = OFF")  # what is lost is only proved again
    database.execute("BEGIN IMMEDIATE")
    if database.execute("PRAGMA user_version").fetchone()[0] == VERSION:
        return
    for table in ("originals", "tables"):
        database.execute(f"DROP TABLE IF EXISTS {table}")
    for statement in SCHEMA.split(";"):
        database.execute(statement)
    database.execute(f"PRAGMA user_version = {VERSION}")
