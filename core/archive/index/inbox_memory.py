"""What the index in SQLite remembers of the inboxes: the part that nothing else says anew."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from pathlib import Path

from tiecoat.archive.index.cache import TakenOut
from tiecoat.archive.index.in_database import InDatabase
from tiecoat.disk.file_print import FilePrint

INBOX_TABLES = """
CREATE TABLE remembered (
    path BLOB PRIMARY KEY, size INTEGER NOT NULL, mtime_ns INTEGER NOT NULL,
    inode INTEGER NOT NULL, sha256 TEXT NOT NULL
) WITHOUT ROWID;
CREATE TABLE taken_out (
    path BLOB PRIMARY KEY, size INTEGER NOT NULL, mtime_ns INTEGER NOT NULL,
    inode INTEGER NOT NULL, sha256 TEXT NOT NULL, inbox BLOB NOT NULL, folder TEXT NOT NULL,
    due REAL NOT NULL, looks INTEGER NOT NULL
) WITHOUT ROWID;
CREATE INDEX taken_out_due ON taken_out (due);
CREATE TABLE paces (inbox BLOB PRIMARY KEY, pace TEXT NOT NULL) WITHOUT ROWID;
"""


class InboxMemory(InDatabase):
    """See `Index` for what its methods promise."""

    def remembered(self) -> dict[Path, FilePrint]:
        """Return the files that stay in their inboxes, as they were when they were taken in."""
        rows = self._rows("SELECT path, size, mtime_ns, inode FROM remembered")
        return {_path(path): (size, mtime, inode) for path, size, mtime, inode in rows}

    def remember(self, files: Iterable[tuple[Path, FilePrint, str]]) -> None:
        """Note that files stay in their inboxes and have been taken in; the text is the SHA-256."""
        rows = [(os.fsencode(path), *seen, sha256) for path, seen, sha256 in files]
        with self._transaction():
            self._many("INSERT OR REPLACE INTO remembered VALUES (?, ?, ?, ?, ?)", rows)

    def taken_out(self, until: float, limit: int) -> list[TakenOut]:
        """Return the files that are to be looked at again by then, those due first."""
        rows = self._rows(
            "SELECT * FROM taken_out WHERE due <= ? ORDER BY due LIMIT ?", until, limit
        )
        return [
            TakenOut(_path(path), (size, mtime, inode), sha256, _path(inbox), *rest)
            for path, size, mtime, inode, sha256, inbox, *rest in rows
        ]

    def note_taken_out(self, files: Iterable[TakenOut]) -> None:
        """Note files that are to be looked at again, or when next."""
        rows = [
            (os.fsencode(one.path), *one.seen, one.sha256, os.fsencode(one.inbox), *rest)
            for one in files
            for rest in [(one.folder, one.due, one.looks)]
        ]
        with self._transaction():
            self._many(f"INSERT OR REPLACE INTO taken_out VALUES ({', '.join('?' * 9)})", rows)

    def was_taken_out(self, sha256: str) -> bool:
        """Say whether such a file was taken out of an inbox and is to be looked at again."""
        return bool(self._rows("SELECT 1 FROM taken_out WHERE sha256 = ? LIMIT 1", sha256))

    def forget_taken_out(self, paths: Iterable[Path]) -> None:
        """Forget files that need no further look."""
        with self._transaction():
            rows = [(os.fsencode(path),) for path in paths]
            self._many("DELETE FROM taken_out WHERE path = ?", rows)

    def paces(self) -> dict[Path, str]:
        """Return what was learnt of each inbox."""
        return {_path(inbox): pace for inbox, pace in self._rows("SELECT * FROM paces")}

    def keep_paces(self, paces: Mapping[Path, str]) -> None:
        """Keep what was learnt of inboxes."""
        with self._transaction():
            rows = [(os.fsencode(inbox), pace) for inbox, pace in paces.items()]
            self._many("INSERT OR REPLACE INTO paces VALUES (?, ?)", rows)


def _path(raw: bytes) -> Path:
    return Path(os.fsdecode(raw))
