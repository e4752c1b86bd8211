"""Bringing the index in step with what is on disk: one table, some tables, or everything."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tiecoat.archive.index.cache import Index, OriginalRow, Outcome, TableState
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.tables.describe import Rule, describe
from tiecoat.archive.tables.parquet import Place, places, read_table
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged
from tiecoat.lab.ids import table_path
from tiecoat.lab.settings import Lab

OUTCOMES: dict[str, Outcome] = {
    "filed": "filed",
    "known": "filed",
    "superseded": "filed",
    "held": "held",
    "discarded": "discarded",
}


@dataclass(frozen=True)
class Reindexed:
    """What a rebuilt index holds; `damaged` lists the tables that could not be read."""

    tables: int
    measurements: int
    originals: int
    damaged: tuple[Path, ...]


def state_of(path: Path, n_rows: int, rule: Rule) -> TableState:
    """Return the state of a table file as it is now."""
    found = path.stat()
    return TableState(found.st_size, found.st_mtime_ns, n_rows, rule.text)


def differs(lab: Lab, index: Index, place: Place, rule: Rule | None = None) -> bool:
    """Say whether a table is not as the index knows it, or was told apart by another rule."""
    known = index.table(place)
    try:
        found = table_path(lab.archive, *place).stat()
    except FileNotFoundError:
        return known is not None
    if known is None or (known.size, known.mtime_ns) != (found.st_size, found.st_mtime_ns):
        return True
    return rule is not None and known.rule != rule.text


def refresh(lab: Lab, index: Index, place: Place, rule: Rule | None = None) -> int:
    """Index one table anew and return its number of measurements.

    Parameters
    ----------
    rule
        How to tell determinations apart, if not as the table itself says.

    Raises
    ------
    ArchiveDamaged
        If the table does not open or is none of ours; the index keeps what it knew of it.
    """
    path = table_path(lab.archive, *place)
    try:
        before = path.stat()
        rows = read_table(path)
    except FileNotFoundError:
        index.replace_table(place, None, [])
        return 0
    try:
        told_by = rule or Rule.of(rows.schema)
        measurements = describe(rows, told_by)
    except LookupError as error:
        raise ArchiveDamaged(
            f"{path} is no table of this program ({error} is missing); move it out of the archive"
        ) from error
    state = TableState(before.st_size, before.st_mtime_ns, len(rows), told_by.text)
    index.replace_table(place, state, measurements)
    return len(measurements)


def stale(lab: Lab, index: Index) -> list[Place]:
    """Return the tables that are not as the index knows them."""
    there = list(places(lab.archive))
    gone = set(index.tables()) - set(there)
    changed = [place for place in there if differs(lab, index, place)]
    return list(dict.fromkeys([*changed, *sorted(gone), *index.unfinished()]))


def catch_up(lab: Lab, index: Index) -> list[Path]:
    """Index anew what is not as the index knows it; return the tables that cannot be read."""
    damaged = []
    for place in stale(lab, index):
        try:
            refresh(lab, index, place)
        except ArchiveDamaged:
            damaged.append(table_path(lab.archive, *place))
    return damaged


def fill(lab: Lab, index: Index) -> Reindexed:
    """Fill an empty index from the tables, the held folders and the journal."""
    damaged, measurements, tables = [], 0, 0
    for place in places(lab.archive):
        try:
            measurements += refresh(lab, index, place)
            tables += 1
        except ArchiveDamaged:
            damaged.append(table_path(lab.archive, *place))
    originals = _originals(lab)
    index.record_originals(originals)
    return Reindexed(tables, measurements, len(originals), tuple(damaged))


def _originals(lab: Lab) -> list[OriginalRow]:
    """Work out what became of each original: the journal says most, then the held folders.

    A hold that only the journal knows is over, and its file may come again; so is one of a file
    that the journal knows as filed or discarded, as a crash may have left it. Rows in the tables do
    not say that an original is filed: a crash may have come between two of its tables. Filing it
    again completes it, and repeats nothing.
    """
    found: dict[str, OriginalRow] = {}
    for record in Journal(lab).read():
        for one in record.get("held", []) if record.get("event") == "rebuilt" else []:
            found.pop(str(one["sha256"]), None)
        sha256, outcome = record.get("sha256"), OUTCOMES.get(str(record.get("event")))
        if isinstance(sha256, str) and outcome:
            found[sha256] = (sha256, str(record.get("name", "")), outcome, None, _reader(record))
    found = {sha256: row for sha256, row in found.items() if row[2] != "held"}
    for held_id, record in _held(lab):
        sha256 = str(record.get("sha256"))
        if sha256 in found:
            continue
        found[sha256] = (sha256, str(record.get("name", "")), "held", held_id, _reader(record))
    return list(found.values())


def _held(lab: Lab) -> Iterator[tuple[str, dict[str, Any]]]:
    for path in (folder / "reason.json" for folder in fsio.paths_in(lab.held)):
        try:
            record = json.loads(path.read_bytes())
        except (FileNotFoundError, NotADirectoryError, ValueError, RecursionError):
            continue
        if isinstance(record, dict) and "sha256" in record:
            yield path.parent.name, record


def _reader(record: dict[str, Any]) -> str | None:
    reader = record.get("reader")
    return None if reader is None else str(reader)
