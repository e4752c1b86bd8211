"""A mapping of any size in little memory: what does not fit goes into a file that nobody sees."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterator, MutableMapping
from typing import Any, Generic, TypeVar

V = TypeVar("V")

PENDING = 2_000  # that are written together
PAGE = 2_000  # read together
CACHE_KB = 16_000  # of a mapping that stay in memory


class Spilled(MutableMapping[str, V], Generic[V]):
    """Like a dictionary, in the order of its keys.

    SQLite keeps it in a temporary database, in memory as far as it is small.

    Parameters
    ----------
    encode, decode
        From a value to what JSON can say, and back.
    part
        Says of a value in which part of the mapping it is: `part` and `parts` find it by that.
    """

    def __init__(
        self,
        encode: Callable[[V], Any],
        decode: Callable[[Any], V],
        part: Callable[[V], str] = lambda value: "",
    ) -> None:
        self._encode, self._decode, self._part = encode, decode, part
        self._pending: dict[str, V] = {}
        self._database = sqlite3.connect("", isolation_level=None)
        self._database.execute(f"PRAGMA cache_size = -{CACHE_KB}")
        self._database.execute("PRAGMA journal_mode = OFF")
        self._database.execute(
            "CREATE TABLE kept (key BLOB PRIMARY KEY, value TEXT NOT NULL, part BLOB NOT NULL)"
            " WITHOUT ROWID"
        )
        self._database.execute("CREATE INDEX parts ON kept (part)")
        self._database.execute("BEGIN")

    def __setitem__(self, key: str, value: V) -> None:
        _bytes(key)  # else it would be told too late
        self._pending[key] = value
        if len(self._pending) >= PENDING:
            self._write()

    def __getitem__(self, key: str) -> V:
        if key in self._pending:
            return self._pending[key]
        found = self._database.execute("SELECT value FROM kept WHERE key = ?", (_bytes(key),))
        for (value,) in found:
            return self._decode(json.loads(value))
        raise KeyError(key)

    def __contains__(self, key: object) -> bool:
        if key in self._pending:
            return True
        found = self._database.execute("SELECT 1 FROM kept WHERE key = ?", (_bytes(key),))
        return found.fetchone() is not None

    def __delitem__(self, key: str) -> None:
        self._write()
        gone = self._database.execute("DELETE FROM kept WHERE key = ?", (_bytes(key),))
        if not gone.rowcount:
            raise KeyError(key)

    def __len__(self) -> int:
        self._write()
        return int(self._database.execute("SELECT count(*) FROM kept").fetchone()[0])

    def __iter__(self) -> Iterator[str]:
        return (key for key, _ in self.each())

    def each(self) -> Iterator[tuple[str, V]]:
        """Yield key and value of all; what is changed meanwhile may come or not."""
        after = b""
        while True:
            self._write()
            page = self._database.execute(
                "SELECT key, value FROM kept WHERE key > ? ORDER BY key LIMIT ?", (after, PAGE)
            ).fetchall()
            for key, value in page:
                yield _text(key), self._decode(json.loads(value))
            if len(page) < PAGE:
                return
            after = page[-1][0]

    def of(self, part: str) -> dict[str, V]:
        """Return one part."""
        self._write()
        sql = "SELECT key, value FROM kept WHERE part = ? ORDER BY key"
        rows = self._database.execute(sql, (_bytes(part),))
        return {_text(key): self._decode(json.loads(value)) for key, value in rows}

    def parts(self) -> list[str]:
        """Return which parts there are."""
        self._write()
        rows = self._database.execute("SELECT DISTINCT part FROM kept ORDER BY part")
        return [_text(part) for (part,) in rows]

    def _write(self) -> None:
        if not self._pending:
            return
        rows = [
            (_bytes(key), json.dumps(self._encode(value)), _bytes(self._part(value)))
            for key, value in self._pending.items()
        ]
        self._database.executemany("INSERT OR REPLACE INTO kept VALUES (?, ?, ?)", rows)
        self._pending.clear()


def _bytes(text: object) -> bytes:
    """Return a text as it is kept: names of files need not be Unicode."""
    if not isinstance(text, str):
        raise TypeError(f"{text!r} is no text")
    return text.encode("utf-8", "surrogatepass")


def _text(kept: bytes) -> str:
    return kept.decode("utf-8", "surrogatepass")
