"""Bringing the index in step with what is on disk: one table, some tables, or everything."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tiecoat.archive.index.cache import Index, OriginalRow, TableState, known_in
from tiecoat.archive.index.following import follow
from tiecoat.archive.index.lacking import note_journal
from tiecoat.archive.journal.chain import in_force
from tiecoat.archive.journal.records import Journal, JournalLine
from tiecoat.archive.tables.contents import from_tables
from tiecoat.archive.tables.describe import Rule, describe
from tiecoat.archive.tables.parquet import Place
from tiecoat.archive.tables.storage import storage_of
from tiecoat.archive.words import Became, RecordSort
from tiecoat.contract.changes import digest_of_schema
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged
from tiecoat.lab.settings import Lab
from tiecoat.wording import Told, untold

TOGETHER = 10_000  # lines of the journal whose account is in memory at the same time


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
    schema = digest_of_schema(tables.schema(place))
    state = TableState(before.size, before.mtime_ns, len(rows), told_by.text, schema)
    lacking = known - {one.measurement for one in measurements}
    index.replace_table(place, state, measurements, lacking)
    return len(measurements)


def stale(lab: Lab, index: Index) -> list[Place]:
    """Return the tables that are not as the index knows them."""
    there = storage_of(lab).versions()
    known = index.tables()
    changed = [
        place
        for place, found in there.items()
        if (state := known.get(place)) is None
        or (state.size, state.mtime_ns) != (found.size, found.mtime_ns)
    ]
    gone = known.keys() - there.keys()
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
    follow(lab, index)
    told_by_journal = _ToldByJournal(index)
    for line in in_force(Journal(lab)):
        told_by_journal.add(line)
    told_by_journal.note()
    _note_held(lab, index)
    note_journal(lab, index, settled=settled)
    lacking = tuple(lab.root / tables.name(place) for place in index.lacking())
    originals = index.count_originals()
    return Reindexed(count, measurements, originals, tuple(dict.fromkeys([*damaged, *lacking])))


class _ToldByJournal:
    """Notes what the journal says became of originals, and of what was filed what is lacking.

    Some lines at a time, so that a journal of any length needs no more memory than a short one.
    """

    def __init__(self, index: Index) -> None:
        self._index = index
        self._lines = 0
        self._begin()

    def _begin(self) -> None:
        self._filed: dict[Place, list[str]] = {}
        self._originals: dict[str, OriginalRow | None] = {}

    def add(self, line: JournalLine) -> None:
        """Take in the next line."""
        record = line.record
        if record is None:
            return
        rebuilt = RecordSort.of(record.get("event")) is RecordSort.REBUILT
        if rebuilt:  # which may take back what was noted before
            self.note()
            self._forget(record)
        with suppress(LookupError, TypeError, ValueError, AttributeError):  # `verify` tells it
            for name, one in from_tables(record.get("tables", [])).items():
                self._filed.setdefault(one.place, []).append(name)
        _note_original(self._originals, record)
        self._lines += 1
        if rebuilt or self._lines % TOGETHER == 0:
            self.note()

    def note(self) -> None:
        """Note what the lines until now say."""
        self._index.note_lacking(self._filed)
        said = self._originals
        self._index.forget_originals(sha256 for sha256, row in said.items() if row is None)
        self._index.record_originals(row for row in said.values() if row is not None)
        self._begin()

    def _forget(self, record: Mapping[str, Any]) -> None:
        """Forget as lacking what a rebuild has not made again, or may have made elsewhere."""
        with suppress(LookupError, TypeError, ValueError, AttributeError):
            self._index.forget_lacking(record["no_longer_filed"])
            self._index.forget_lacking(from_tables(record.get("tables", [])))


def _note_original(found: dict[str, OriginalRow | None], record: Mapping[str, Any]) -> None:
    """Note what a record says became of an original; None where it is to come again.

    Rows in the tables do not say that an original is filed: a crash may have come between two of
    its tables. Filing it again completes it, and repeats nothing. A hold that only the journal
    knows is over, and its file may come again.
    """
    sort = RecordSort.of(record.get("event"))
    for one in record.get("held", []) if sort is RecordSort.REBUILT else []:
        found[str(one["sha256"])] = None
    for one in record.get("recovered", []) if sort is RecordSort.REBUILT else []:
        own = str(one["sha256"])
        found[own] = (own, str(one["name"]), Became.FILED, None, None)
    sha256, became = record.get("sha256"), sort.became if sort else None
    if isinstance(sha256, str) and became:
        row = (sha256, str(record.get("name", "")), became, None, _reader(record))
        found[sha256] = None if became is Became.HELD else row


def _note_held(lab: Lab, index: Index) -> None:
    """Note what is held, but what the journal knows as filed or discarded: a crash left it."""
    for held_id, record in _held(lab):
        sha256 = str(record.get("sha256"))
        if not index.originals(sha256):
            name, reader = str(record.get("name", "")), _reader(record)
            index.record_originals([(sha256, name, Became.HELD, held_id, reader)])


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
