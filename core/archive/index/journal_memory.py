"""How far the index in SQLite has read the journal, and what of it whoever starts must know."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from tiecoat.archive.index.in_database import InDatabase
from tiecoat.archive.journal.records import JournalMark

JOURNAL_TABLES = """
CREATE TABLE journal_read (month TEXT NOT NULL, size INTEGER NOT NULL, hash TEXT NOT NULL);
CREATE TABLE journal_end (one INTEGER PRIMARY KEY CHECK (one = 1), hash TEXT NOT NULL);
CREATE TABLE settings (digest TEXT PRIMARY KEY, said TEXT NOT NULL);
CREATE TABLE begun (sha256 TEXT PRIMARY KEY, record TEXT NOT NULL);
"""
NAMES = ("journal_read", "settings", "begun")


class JournalMemory(InDatabase):
    """See `Index` for what its methods promise."""

    def journal_end(self) -> str | None:
        """Return the hash of the last record of the journal that was noted, if one was."""
        rows = self._rows("SELECT hash FROM journal_end")
        return str(rows[0][0]) if rows else None

    def note_journal_end(self, sealed: str) -> None:
        """Note the hash of the last record of the journal; only the next one takes its place."""
        with self._transaction():
            self._do("INSERT OR REPLACE INTO journal_end VALUES (1, ?)", sealed)

    def journal_read(self) -> JournalMark | None:
        """Return how far the journal was read; None if not at all."""
        found = self._rows("SELECT month, size, hash FROM journal_read")
        return JournalMark(*found[0]) if found else None

    def note_journal(
        self,
        mark: JournalMark | None,
        settings: Mapping[str, Mapping[str, Any]],
        begun: Mapping[str, Mapping[str, Any] | None],
    ) -> None:
        """Note how far the journal was read, and what stands there; without a mark forget all."""
        with self._transaction():
            for table in NAMES if mark is None else NAMES[:1]:
                self._do(f"DELETE FROM {table}")
            if mark is None:
                return
            self._do("INSERT INTO journal_read VALUES (?, ?, ?)", *mark)
            said = [(digest, json.dumps(one)) for digest, one in settings.items()]
            self._many("INSERT OR IGNORE INTO settings VALUES (?, ?)", said)
            ended = [(sha256,) for sha256 in begun]
            self._many("DELETE FROM begun WHERE sha256 = ?", ended)
            open_ones = [(sha256, json.dumps(one)) for sha256, one in begun.items() if one]
            self._many("INSERT INTO begun VALUES (?, ?)", open_ones)

    def settings(self) -> dict[str, dict[str, Any]]:
        """Return the settings that filings refer to, by their digest."""
        rows = self._rows("SELECT digest, said FROM settings ORDER BY rowid")
        return {digest: json.loads(said) for digest, said in rows}

    def begun(self) -> dict[str, dict[str, Any]]:
        """Return by SHA-256 the records of exports that were begun and not ended."""
        rows = self._rows("SELECT sha256, record FROM begun ORDER BY rowid")
        return {sha256: json.loads(record) for sha256, record in rows}
