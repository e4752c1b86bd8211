"""What happened in a lab: append-only JSON lines, one file a month."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from tiecoat import fsio
from tiecoat.lab import Lab


class Journal:
    """The journal of a lab.

    `torn` counts the lines that the last `read` could not understand: a power cut may leave half
    a line, which is closed off and passed over.
    """

    def __init__(self, lab: Lab) -> None:
        self._folder = lab.journal
        self.torn = 0

    def append(self, records: Sequence[Mapping[str, Any]]) -> None:
        """Append records, each with the time `at` (UTC) added; on return they are on the disk."""
        if not records:
            return
        now = datetime.now(UTC)
        at = now.isoformat(timespec="milliseconds")
        lines = [_line({"at": at, **record}) for record in records]
        fsio.append_lines(self._folder / f"{now:%Y-%m}.jsonl", lines)

    def read(self) -> Iterator[dict[str, Any]]:
        """Yield all records, the oldest first."""
        return self._read(sorted(self._folder.glob("*.jsonl")))

    def read_last(self) -> Iterator[dict[str, Any]]:
        """Yield the records of the last two months that have any, the oldest first."""
        return self._read(sorted(self._folder.glob("*.jsonl"))[-2:])

    def _read(self, paths: Iterable[Path]) -> Iterator[dict[str, Any]]:
        self.torn = 0
        for path in paths:
            for line in path.read_bytes().split(b"\n"):
                if not line.strip():
                    continue
                try:
                    record = json.loads(line)
                except ValueError:
                    record = None
                if isinstance(record, dict):
                    yield record
                else:
                    self.torn += 1


def _line(record: Mapping[str, Any]) -> bytes:
    try:
        return json.dumps(record, ensure_ascii=False).encode()
    except UnicodeEncodeError:  # a file name that is not Unicode
        return json.dumps(record).encode()
