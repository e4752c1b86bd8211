"""Bringing the index in step with what is on disk: one table, some tables, or everything."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tiecoat.archive.account import Account, by_table
from tiecoat.archive.index.cache import Index, OriginalRow, TableState, known_in
from tiecoat.archive.index.lacking import note_journal
from tiecoat.archive.journal.chain import in_force
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.tables.describe import Rule, describe
from tiecoat.archive.tables.parquet import Place
from tiecoat.archive.tables.storage import storage_of
from tiecoat.archive.words import Became, RecordSort
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged
from tiecoat.lab.settings import Lab
from tiecoat.wording import Told, untold


@dataclass(frozen=True)
class Reindexed:
    """What a rebuilt index holds; `damaged` lists tables that do not open or lack something."""

    tables: int
    measurements: int
    originals: int
    damaged: tuple[Path, ...]


def differs(lab: Lab, index: Index, place: Place, rule: Rule | None = None) -> bool:
    """Say whether a table is not as the index knows it, or was told apart by another rule."""
    known = index.tables(*place).get(place)
    found = storage_of(lab).version(place)
    if known is None or found is None:
        return known is not None or found is not None
    if (known.size, known.mtime_ns) != (found.size, found.mtime_ns):
        return True
    return rule is not None and known.rule != rule.text


def refresh(lab: Lab, index: Index, place: Place, rule: Rule | None = None) -> int:
    """Index one table anew and return its number of measurements.

    Nothing is ever taken out of a table, nor a table away, but when the whole archive is made
    again: what the index knew to be in it and is not there any more stays known as lacking.

    Parameters
    ----------
    rule
        How to tell determinations apart, if not as the table itself says.

    Raises
    ------
    ArchiveDamaged
        If the table does not open or is none of ours; the index keeps what it knew of it.
    """
    tables = storage_of(lab)
    before = tables.version(place)
    try:
        rows = tables.read(place) if before else None
    except FileNotFoundError:
        rows = None
    known = known_in(index, place)
    if before is None or rows is None:
        index.replace_table(place, None, [], known)
        return 0
    try:
        told_by = rule or Rule.of(rows.schema)
        measurements = describe(rows, told_by)
    except LookupError as error:
        raise ArchiveDamaged(
            f"{lab.root / tables.name(place)} is no table of this program ({error} is missing);"
            " move it out of the archive"
        ) from error
    state = TableState(before.size, before.mtime_ns, len(rows), told_by.text)
    lacking = known - {one.measurement for one in measurements}
    index.replace_table(place, state, measurements, lacking)
    return len(measurements)


def stale(lab: Lab, index: Index) -> list[Place]:
    """Return the tables that are not as the index knows them."""
    there = list(storage_of(lab).places())
    gone = set(index.tables()) - set(there)
    changed = [place for place in there if differs(lab, index, place)]
    return list(dict.fromkeys([*changed, *sorted(gone), *index.unfinished()]))


def catch_up(lab: Lab, index: Index) -> None:
    """Index anew what is not as the index knows it; a table that cannot be read stays so."""
    for place in stale(lab, index):
        with suppress(ArchiveDamaged):
            refresh(lab, index, place)


def fill(lab: Lab, index: Index, told: Told = untold, *, settled: bool = False) -> Reindexed:
    """Fill an empty index from the tables, the held folders and the journal.

    Parameters
    ----------
    settled
        See `note_journal`.
    """
    damaged, measurements, count = [], 0, 0
    tables = storage_of(lab)
    places = list(tables.places())
    for number, place in enumerate(places):
        told("tables", number, len(places))
        try:
            measurements += refresh(lab, index, place)
            count += 1
        except ArchiveDamaged:
            damaged.append(lab.root / tables.name(place))
    told("tables", len(places), len(places))
    account, found = Account(), dict[str, OriginalRow]()
    for line in in_force([*Journal(lab).lines()]):
        account.add(line)
        if line.record is not None:
            _note_original(found, line.record)
    originals = _with_held(lab, found)
    index.record_originals(originals)
    index.note_lacking(by_table(account))
    note_journal(lab, index, settled=settled)
    lacking = tuple(lab.root / tables.name(place) for place in index.lacking())
    return Reindexed(
        count, measurements, len(originals), tuple(dict.fromkeys([*damaged, *lacking]))
    )


def _note_original(found: dict[str, OriginalRow], record: Mapping[str, Any]) -> None:
    """Note what a record says became of an original.

    Rows in the tables do not say that an original is filed: a crash may have come between two of
    its tables. Filing it again completes it, and repeats nothing.
    """
    sort = RecordSort.of(record.get("event"))
    for one in record.get("held", []) if sort is RecordSort.REBUILT else []:
        found.pop(str(one["sha256"]), None)
    for one in record.get("recovered", []) if sort is RecordSort.REBUILT else []:
        own = str(one["sha256"])
        found[own] = (own, str(one["name"]), Became.FILED, None, None)
    sha256, became = record.get("sha256"), sort.became if sort else None
    if isinstance(sha256, str) and became:
        found[sha256] = (sha256, str(record.get("name", "")), became, None, _reader(record))


def _with_held(lab: Lab, said: Mapping[str, OriginalRow]) -> list[OriginalRow]:
    """Add what is held to what the journal says.

    A hold that only the journal knows is over, and its file may come again; so is one of a file
    that the journal knows as filed or discarded, as a crash may have left it.
    """
    found = {sha256: row for sha256, row in said.items() if row[2] is not Became.HELD}
    for held_id, record in _held(lab):
        sha256 = str(record.get("sha256"))
        if sha256 in found:
            continue
        found[sha256] = (sha256, str(record.get("name", "")), Became.HELD, held_id, _reader(record))
    return list(found.values())


def _held(lab: Lab) -> Iterator[tuple[str, dict[str, Any]]]:
    for path in (folder / "reason.json" for folder in fsio.paths_in(lab.held)):
        try:
            record = json.loads(path.read_bytes())
        except (FileNotFoundError, NotADirectoryError, ValueError, RecursionError):
            continue
        if isinstance(record, dict) and "sha256" in record:
            yield path.parent.name, record


def _reader(record: Mapping[str, Any]) -> str | None:
    reader = record.get("reader")
    return None if reader is None else str(reader)
