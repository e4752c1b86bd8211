"""Filing exports anew that were filed: which they are, what it would do, and the decision.

What still counts of them is retracted for it. Both are one record of the journal, so that a crash
leaves neither undone: the marks are completed by whoever opens the lab for writing next, the
exports are taken up by the next run of intake.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import tzinfo

from tiecoat.archive.amend import retract
from tiecoat.archive.index.cache import Index, filed_from, original_in
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import write_lock
from tiecoat.archive.opening import open_index
from tiecoat.archive.plan import Incoming, StoreAnswer
from tiecoat.archive.store import Store
from tiecoat.archive.tables.describe import Described, in_words
from tiecoat.archive.words import RecordSort
from tiecoat.errors import FileHeld, QueryInvalid, UnknownName
from tiecoat.intake.checks.checker import checked_alone
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.filing.entry import Entry
from tiecoat.intake.filing.intents import intent_of
from tiecoat.intake.filing.read import Read
from tiecoat.intake.filing.registered import keyer_of
from tiecoat.intake.filing.rounds import Ids, conflicts, ids_of, with_ids
from tiecoat.intake.held.assigned import Assigned
from tiecoat.intake.inboxes.notes import latest_notes
from tiecoat.intake.inboxes.preserve import find_original
from tiecoat.intake.trying import read_now
from tiecoat.lab.settings import Lab
from tiecoat.lab.shaping import zones_of

SHOWN = 20  # measurements that a message names


@dataclass(frozen=True)
class Refiling:
    """What is to be filed anew.

    `entries` are the exports, `counting` the measurements of them that count until then; `lines`
    say of each of these what it becomes.
    """

    entries: tuple[Entry, ...]
    counting: tuple[str, ...]
    lines: tuple[str, ...] = ()


def refiling_of(lab: Lab, originals: Sequence[str], assigned: Assigned) -> Refiling:
    """Return what filing exports anew would do. Nothing is done now.

    Parameters
    ----------
    originals
        Each by its SHA-256, or by a measurement from it.
    assigned
        Ids that a person gives them now; they take the place of those that they were filed under.

    Raises
    ------
    UnknownName
        If there is no such original, or nothing was filed from it.
    QueryInvalid
        If one is held, something of it counts and no id is given, or it could not be filed so.
    """
    with contextlib.closing(open_index(lab)) as index:
        named = _filings(lab)
        paths = {path.parent.name: path for path in (find_original(lab, one) for one in originals)}
        filed = {sha256: _filed(index, sha256, sha256 in named) for sha256 in paths}
    entries = tuple(
        Entry(
            ExportFile(
                path,
                named[sha256].name,
                named[sha256].folder,
                sha256,
                latest_notes(lab, sha256),
                named[sha256].again,
            ),
            [],
            assigned,
        )
        for sha256, path in paths.items()
    )
    every = [one for of_export in filed.values() for one in of_export if one.withdrawn is None]
    counting = {one.measurement: one for one in every}
    if not counting:
        return Refiling(entries, ())
    if assigned == Assigned():
        first = f'tiecoat retract {" ".join(list(counting)[:SHOWN])} --why "..."'
        raise QueryInvalid(f"some of it still counts; first: {first}")
    return Refiling(entries, tuple(counting), tuple(_become(lab, entries, counting)))


def decide(lab: Lab, refiling: Refiling, who: str, why: str) -> None:
    """Retract what counts, and put on record that it is filed anew: the next run does it."""
    to_file = [intent_of(entry) for entry in refiling.entries]
    retract(lab, refiling.counting, who, why, to_file)


@dataclass(frozen=True)
class _NextFiling:
    """As what an export was filed last, and how often it was by now."""

    name: str
    folder: str
    again: int


def _filings(lab: Lab) -> dict[str, _NextFiling]:
    """Return of each original that was filed how it is filed anew."""
    found: dict[str, tuple[str, str]] = {}
    times: dict[str, int] = {}
    for record in Journal(lab).read():
        sha256 = str(record.get("sha256"))
        times[sha256] = max(times.get(sha256, 0), record.get("again", 0))
        if RecordSort.of(record.get("event")) is RecordSort.FILED:
            found[sha256] = record["name"], record.get("folder", "")
    return {sha256: _NextFiling(*last, 1 + times[sha256]) for sha256, last in found.items()}


def _filed(index: Index, sha256: str, on_record: bool) -> list[Described]:
    """Return what was filed from an original, if it can be filed anew."""
    before = original_in(index, sha256)
    if before and before.held_id:
        raise QueryInvalid(f"it is held already; see: tiecoat held show {before.held_id}")
    filed = filed_from(index, sha256)
    if not (filed and on_record):
        raise UnknownName(f"nothing was filed from {sha256}; put a copy into an inbox")
    return filed


def _become(lab: Lab, entries: Sequence[Entry], counting: Mapping[str, Described]) -> list[str]:
    """Say what each measurement that counts becomes.

    Raises
    ------
    QueryInvalid
        If an export would be held, or would keep the ids that it has.
    """
    reads, _ = read_now(lab, entries)
    keyed: list[Ids] = []
    rows: list[Incoming] = []
    with write_lock(lab), contextlib.closing(open_index(lab)) as index:
        keyer = keyer_of(lab, index)
        for read in reads:
            try:
                keyed.append(ids_of(read, keyer))
                rows.append(checked_alone(lab, index, with_ids([(read, keyed[-1])])[0]))
            except FileHeld as error:
                raise _refused(read, error) from None
        zones = zones_of(lab, Journal(lab).settings().values())
        would = Store(lab, index, zones).would_file(rows, leaving=counting)
    lines: list[str] = []
    for read, ids, filed in zip(reads, keyed, would, strict=True):
        if filed.status is StoreAnswer.CONFLICT:
            raise _refused(read, FileHeld(*conflicts(filed, lab.zone)))
        lines += _lines(read, ids, counting, lab.zone)
    return lines


def _lines(read: Read, ids: Ids, counting: Mapping[str, Described], zone: tzinfo) -> Iterator[str]:
    before = {_place(one.measurement): one for one in counting.values()}
    moves = [(before[_place(new)], now) for new, now in ids.items() if _place(new) in before]
    if moves and all((old.batch, old.panel) == now for old, now in moves):
        raise QueryInvalid(
            f"{read.entry.file.name} would keep the ids that it has. Nothing was changed"
        )
    for old, (batch, panel) in moves:
        called = in_words(old.determination, zone)
        yield f"{called} from {old.source_name}: now of {panel or batch}"


def _place(measurement: str) -> str:
    """Return the part of an id that stands for the original, and for the place in it."""
    return "-".join(measurement.split("-")[:2])


def _refused(read: Read, error: FileHeld) -> QueryInvalid:
    why = error.faults[0].sentence if error.faults else error.reason.text
    return QueryInvalid(f"{read.entry.file.name} would be held: {why}. Nothing was changed")
