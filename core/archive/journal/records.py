"""What happened in a lab: append-only JSON lines, one file a month, each bound to the one before.

Every record carries `before`, the hash of the record that it follows, and `hash`, the SHA-256 of
its own line without that last entry. So a record that was changed, removed, inserted or moved is
found (chain.py). What a chain cannot show is that its end was cut off: the index, the held folders
and the tables know of records that are not there then, and `tiecoat verify` compares them. Nor is
it a seal against somebody who writes every later record anew; a copy kept elsewhere is.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
from collections.abc import Generator, Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import Any, NamedTuple

from tiecoat.archive.lock import write_lock
from tiecoat.disk import fsio
from tiecoat.errors import refuse_newer
from tiecoat.lab.settings import Lab

MONTH = re.compile(r"[0-9]{4}-[0-9]{2}\.jsonl")
SEAL = re.compile(rb', "hash": "([0-9a-f]{64})"\}')
FORMAT = 1  # of each record; one that does not say it is of format 1
OF_SEVERAL = 3  # of an export that is several files: older programs would call its original damaged
KNOWN = 3  # the newest that is understood; 2: a kind was upgraded
TAIL = 1 << 12  # bytes of the end that are looked at first for the last record


class JournalMark(NamedTuple):
    """How far the journal was read: the bytes of a month's file, up to the record of this hash."""

    month: str
    size: int
    hash: str


@dataclass(frozen=True)
class JournalLine:
    """A line of the journal: its file, its number counted from 1, its bytes."""

    path: Path
    number: int
    text: bytes

    @cached_property
    def record(self) -> dict[str, Any] | None:
        """The record, or None where the line is none: a power cut may leave half of one.

        Raises
        ------
        WrittenByNewer
            If it is of a format that is not known here.
        """
        try:
            record = json.loads(self.text)
        except (ValueError, RecursionError):  # brackets within brackets, a thousand deep
            return None
        if not isinstance(record, dict):
            return None
        refuse_newer(self.place, record.get("format", FORMAT), KNOWN)
        return record

    @property
    def place(self) -> str:
        """The line as a person finds it."""
        return f"journal/{self.path.name}, line {self.number}"

    @property
    def unchanged(self) -> bool:
        """Whether the line is as it was written."""
        seal = self.seal
        return seal is not None and _hash(self.text[: seal.start()] + b"}") == seal[1].decode()

    @property
    def seal(self) -> re.Match[bytes] | None:
        """The hash at its end, as a match; None of a line that is torn or was put in by hand."""
        seal = SEAL.search(self.text, max(0, len(self.text) - 77))
        return seal if seal and seal.end() == len(self.text) else None


class Journal:
    """The journal of a lab.

    A power cut may leave half a line, which is closed off, and passed over by whoever reads.
    """

    def __init__(self, lab: Lab) -> None:
        self._lab = lab
        self._folder = lab.journal

    def append(self, records: Sequence[Mapping[str, Any]]) -> None:
        """Append records, each with the time `at` (UTC) added; on return they are on the disk.

        Takes the write lock, as each record names the last one. A clock that was set back opens no
        earlier month: records stand in the order in which they were written.
        """
        if not records:
            return
        with write_lock(self._lab):
            now = datetime.now(UTC)
            at = now.isoformat(timespec="milliseconds")
            months = self._months()
            before = _last_hash(months)
            lines = []
            for record in records:
                line, before = _sealed({"format": FORMAT, "at": at, **record, "before": before})
                lines.append(line)
            fsio.append_lines(max([self._folder / f"{now:%Y-%m}.jsonl", *months[-1:]]), lines)

    def read(self) -> Iterator[dict[str, Any]]:
        """Yield all records, the oldest first."""
        return self._read(self._months())

    def read_last(self) -> Iterator[dict[str, Any]]:
        """Yield the records of the last two months that have any, the oldest first."""
        return self._read(self._months()[-2:])

    def settings(self) -> dict[str, dict[str, Any]]:
        """Return the settings that filings refer to, by their digest.

        Only the lines that say so are looked at more closely: there are few of them.
        """
        found: dict[str, dict[str, Any]] = {}
        for line in self.lines():
            found |= settings_in(line)
        return found

    def first(self) -> str | None:
        """Return the hash of the first record, which tells this lab from every other."""
        return next((seal[1].decode() for line in self.lines() if (seal := line.seal)), None)

    def last(self) -> dict[str, Any] | None:
        """Return the last record: its hash stands for all that happened until then."""
        return _last_sealed(self._months())

    def has(self, sealed: str) -> bool:
        """Say whether a record has this hash; looked for from the end."""
        end = f'"hash": "{sealed}"}}'.encode()
        for path in reversed(self._months()):
            with closing(_backwards(path)) as lines:
                if any(text.endswith(end) for text in lines):
                    return True
        return False

    def lines(self) -> Iterator[JournalLine]:
        """Yield all lines, the oldest first, those that are no record too; one at a time."""
        return _lines(self._months())

    def __iter__(self) -> Iterator[JournalLine]:
        """Yield all lines, as often as it is asked for."""
        return self.lines()

    def since(self, mark: JournalMark | None) -> Iterator[tuple[JournalLine, JournalMark]]:
        """Yield the sealed lines that follow a mark, each with the mark after it.

        Their numbers are not counted. A line that is torn, or was written by hand, is passed over.
        """
        for path in self._months():
            if mark and path.name < mark.month:
                continue
            with path.open("rb") as file:
                size = file.seek(mark.size) if mark and path.name == mark.month else 0
                for text in file:
                    size += len(text)
                    if text.endswith(b"\n") and (seal := SEAL.search(text, max(0, len(text) - 78))):
                        at = JournalMark(path.name, size, seal[1].decode())
                        yield JournalLine(path, 0, text[:-1]), at

    def stands(self, mark: JournalMark) -> bool:
        """Say whether the record at a mark is still the one that was read."""
        end = f', "hash": "{mark.hash}"}}\n'.encode()
        try:
            with (self._folder / mark.month).open("rb") as file:
                file.seek(max(0, mark.size - len(end)))
                return file.read(len(end)) == end
        except FileNotFoundError:
            return False

    def _months(self) -> list[Path]:
        return [path for path in fsio.paths_in(self._folder) if MONTH.fullmatch(path.name)]

    def _read(self, paths: Iterable[Path]) -> Iterator[dict[str, Any]]:
        for line in _lines(paths):
            if line.record is not None:
                yield line.record


def settings_in(line: JournalLine) -> dict[str, dict[str, Any]]:
    """Return the settings that a line tells, by their digest: mostly none."""
    if b'"settings": {' not in line.text:
        return {}
    record = line.record or {}
    digest, said = record.get("digest"), record.get("settings")
    return {digest: said} if isinstance(digest, str) and isinstance(said, dict) else {}


def _lines(paths: Iterable[Path]) -> Iterator[JournalLine]:
    for path in paths:
        with path.open("rb") as file:
            for number, text in enumerate(file, 1):
                if text.strip():
                    yield JournalLine(path, number, text.rstrip(b"\n"))


def _sealed(record: Mapping[str, Any]) -> tuple[bytes, str]:
    """Return the line of a record, and its hash."""
    line = _line(record)
    digest = _hash(line)
    return line[:-1] + f', "hash": "{digest}"}}'.encode(), digest


def _hash(line: bytes) -> str:
    return hashlib.sha256(line).hexdigest()


def _line(record: Mapping[str, Any]) -> bytes:
    try:
        return json.dumps(record, ensure_ascii=False).encode()
    except UnicodeEncodeError:  # a file name that is not Unicode
        return json.dumps(record).encode()


def _last_hash(months: Sequence[Path]) -> str | None:
    record = _last_sealed(months)
    return str(record["hash"]) if record else None


def _last_sealed(months: Sequence[Path]) -> dict[str, Any] | None:
    """Return the last record that has a hash; torn lines after it are passed over."""
    for path in reversed(months):
        with closing(_backwards(path)) as lines:  # here, where an error of it is told
            for text in lines:
                record = JournalLine(path, 0, text).record
                if record and isinstance(record.get("hash"), str):
                    return record
    return None


def _backwards(path: Path) -> Generator[bytes, None, None]:
    """Yield the lines of a file, the last first, reading no more of it than is asked for."""
    with path.open("rb") as file:
        start = file.seek(0, os.SEEK_END)
        rest, step = b"", TAIL
        while start:
            step = min(start, step)
            start -= step
            file.seek(start)
            first, *whole = (file.read(step) + rest).split(b"\n")
            yield from reversed(whole)
            rest, step = first, 2 * step
        yield rest
