"""Trying a file: which readers claim it, what would be filed, what is wrong; nothing is filed."""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Sequence
from concurrent.futures import Future
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import pyarrow as pa

from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import write_lock
from tiecoat.archive.opening import open_index
from tiecoat.archive.plan import StoreAnswer
from tiecoat.archive.store import Store
from tiecoat.disk import fsio
from tiecoat.errors import FileHeld, UnknownName
from tiecoat.intake.checks.checker import checked_alone
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.filing.entry import Entry
from tiecoat.intake.filing.read import Read, read_of
from tiecoat.intake.filing.registered import keyer_of
from tiecoat.intake.filing.rounds import conflicts, held_from, ids_of, with_ids
from tiecoat.intake.held.assigned import Assigned
from tiecoat.intake.held.files import Held
from tiecoat.intake.inboxes.boxes import settler_of
from tiecoat.intake.inboxes.preserve import copy_together
from tiecoat.intake.inboxes.settle import Arrival, look, look_together
from tiecoat.intake.intake import by_file
from tiecoat.intake.workers.answers import Chunk, Reading
from tiecoat.intake.workers.pool import ReaderPool, failure_of
from tiecoat.intake.workers.reading import read_chunk
from tiecoat.lab.settings import Lab
from tiecoat.lab.shaping import zones_of

if TYPE_CHECKING:
    from tiecoat.extend.loading import Plugins


@dataclass(frozen=True)
class Trial:
    """What would become of a file.

    `claims` lists reader, how sure it is (0 to 1) and why; `rows` maps kind -> the rows that would
    be filed, with batch and panel; `held` says why the file would be held instead. `beside` are the
    files that it would be taken with, `awaits` says what more an inbox would wait for, and for how
    long (s).
    """

    name: str
    claims: tuple[tuple[str, float, str], ...]
    reader: str | None
    rows: dict[str, pa.Table]
    held: Held | None
    problems: tuple[str, ...]
    beside: tuple[str, ...] = ()
    awaits: tuple[tuple[str, ...], float] = ((), 0.0)


def try_file(lab: Lab, path: Path) -> Trial:
    """Recognise, read, validate and key a file as intake would.

    Raises
    ------
    UnknownName
        If there is no such file.
    """
    path = path.absolute()
    settlers = [settler_of(lab, inbox) for inbox in lab.settings.inbox]
    try:
        look(path, settlers)
    except OSError as error:
        raise UnknownName(f"{path}: {error.strerror}") from None
    with ReaderPool(lab) as pool, fsio.staging(lab.stage) as stage:
        problems = pool.inventory().problems
        try:
            arrival, export = look_together(path, settlers, pool.companions)
            file = _as_preserved(lab, arrival, stage)
        except OSError as error:
            raise UnknownName(f"{path}: {error.strerror}") from None
        (read,) = _read_by(pool, [Entry(file, [])])
        held, rows = _checked(lab, read)
        beside = tuple(one.name for one in file.companions)
    reading = read.reading
    awaits = (export.awaited, export.wait_s) if export else ((), 0.0)
    return Trial(file.name, reading.claims, reading.reader, rows, held, problems, beside, awaits)


def _as_preserved(lab: Lab, arrival: Arrival, stage: Path) -> ExportFile:
    """Return an export as it would lie among the originals; several files are copied together."""
    path, folder = arrival.path, arrival.folder
    if not arrival.companions:
        sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
        return ExportFile(path, path.name, folder, sha256, arrival.notes)
    copied = copy_together(lab, arrival, stage)
    if copied is None or isinstance(copied, str):
        raise UnknownName(f"{path} {copied or 'changed or could not be read'}: try again")
    return ExportFile(copied[0], arrival.name, folder, fsio.sha256_of_all(copied[1]), arrival.notes)


def held_with(
    lab: Lab,
    path: Path,
    name: str,
    folder: str,
    plugins: Plugins,
    *,
    assigned: Assigned | None = None,
) -> Held | None:
    """Return why intake would hold a file if it had some plugins; None if it would file it.

    Parameters
    ----------
    path, name, folder
        Where the bytes are, what the file is called, the folder it arrived in.
    plugins
        Trusted: they read here, and not in a process of their own.
    assigned
        Ids that a person would give it.

    Raises
    ------
    UnknownName
        If the file cannot be read at the moment.
    """
    sha256 = fsio.sha256_of(path)
    file = ExportFile(path, name, folder, sha256, look(fsio.main_of(path), []).notes)
    chunk = read_chunk([file], plugins, lab.habits)
    if sha256 in chunk.changed:
        raise UnknownName(f"{path} changed or could not be read: try again")
    entry = Entry(file, [], assigned or Assigned())
    read = read_of(entry, chunk.readings[0], by_file(chunk).get(sha256, {}))
    return _checked(lab, read)[0]


def _checked(lab: Lab, read: Read) -> tuple[Held | None, dict[str, pa.Table]]:
    """Key and check what was read of one file: why it would be held, or the rows."""
    with write_lock(lab), contextlib.closing(open_index(lab)) as index:
        try:
            ids = ids_of(read, keyer_of(lab, index))
            rows = checked_alone(lab, index, with_ids([(read, ids)])[0])
        except FileHeld as error:
            return held_from(read, error.reason, error.faults, error.total), {}
        zones = zones_of(lab, Journal(lab).settings().values())
        (would,) = Store(lab, index, zones).would_file([rows])
        if would.status is StoreAnswer.CONFLICT:
            return held_from(read, *conflicts(would, lab.zone)), {}
        return None, rows.tables


def read_now(lab: Lab, entries: Sequence[Entry]) -> tuple[list[Read], tuple[str, ...]]:
    """Read files in workers as intake would; return them and what was left out of the plugins."""
    with ReaderPool(lab) as pool:
        problems = pool.inventory().problems
        return _read_by(pool, entries), problems


def _read_by(pool: ReaderPool, entries: Sequence[Entry]) -> list[Read]:
    futures = [pool.submit([entry.file]) for entry in entries]
    return [_read(entry, future) for entry, future in zip(entries, futures, strict=True)]


def _read(entry: Entry, future: Future[Chunk]) -> Read:
    sha256 = entry.file.sha256
    if failure := failure_of(future):
        return Read(entry, Reading(sha256, None, (), (), failure, ()), {})
    chunk = future.result()
    if sha256 in chunk.changed:
        raise UnknownName(f"{entry.file.path} changed or could not be read: try again")
    return read_of(entry, chunk.readings[0], by_file(chunk).get(sha256, {}))
