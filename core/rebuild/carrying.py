"""What stands whole in the old tables and cannot be made again: carried over as it is.

An original may be lost, or the record of a filing, and the rows be sound all the same. Then they go
into the new archive as they stand, with their marks, and the journal says of which and why. Rows
count as sound where the pages of their table pass their checksums and their digest is the one in
the journal, if it has one of them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any

from tiecoat.archive.account import Account
from tiecoat.archive.index.cache import Index
from tiecoat.archive.index.catching_up import refresh
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import write_lock
from tiecoat.archive.plan import REPLACED
from tiecoat.archive.tables.contents import Content, Withdrawal, as_tables
from tiecoat.archive.tables.describe import EPOCH, Described, Rule
from tiecoat.archive.tables.parquet import Place, in_order, of_measurements, unite, with_marks
from tiecoat.archive.tables.storage import storage_of
from tiecoat.archive.words import RecordSort
from tiecoat.disk import fsio
from tiecoat.intake.held.assigned import Assigned
from tiecoat.intake.inboxes.notes import latest_notes
from tiecoat.intake.inboxes.preserve import original_of
from tiecoat.lab.settings import Lab
from tiecoat.rebuild.history import FiledExport
from tiecoat.verify.report import DamageFound
from tiecoat.verify.tables import CheckedTables

if TYPE_CHECKING:
    import pyarrow as pa

NO_ORIGINAL = "its original is lost or changed"
NO_RECORD = "its record in the journal is lost, and its original too"
NOT_AGAIN = "it is not made again, as the journal or other originals are not whole"


@dataclass(frozen=True)
class OldArchive:
    """A lab whose archive is made again: what its journal says, and what stands in its tables."""

    lab: Lab
    said: Account
    tables: CheckedTables

    def sound(self) -> set[str]:
        """Return the measurements that are as the journal says, if it says anything of them."""
        said, tables = self.said.contents, self.tables
        return {
            n for n, one in tables.contents.items() if said.get(n) in (None, one)
        } - tables.apart


@dataclass
class Carried:
    """What is carried over, by measurement: why. `recovered` are filings without a record.

    `whole` says whether journal and originals are: then nothing else may be carried over.
    """

    why: dict[str, str] = field(default_factory=dict)
    recovered: list[dict[str, Any]] = field(default_factory=list)
    whole: bool = True

    @property
    def names(self) -> set[str]:
        """All measurements that are carried over before anything is made again."""
        return {*self.why, *(name for one in self.recovered for name in one["measurements"])}


def to_carry(
    old: OldArchive, lost: Iterable[FiledExport], doubts: Collection[DamageFound]
) -> Carried:
    """Say what must be carried over, before anything is made again.

    Parameters
    ----------
    lost
        Filings whose original, or the notes beside it, are not what they were.
    doubts
        What is wrong with the journal.
    """
    gone = {one.sha256 for one in lost}
    found = Carried(whole=not (gone or doubts))
    unknown: list[Described] = []
    for name in sorted(old.sound()):
        one = old.tables.described[name]
        if name in old.said.contents:
            if one.source_sha256 in gone:
                found.why[name] = NO_ORIGINAL
        elif not name.startswith(f"{one.source_sha256[:16]}-"):
            continue  # the program did not name it
        elif original_of(old.lab, one.source_sha256) is not None:
            unknown.append(one)
        elif doubts:
            found.why[name] = NO_RECORD
    found.recovered = _recovered(old, unknown)
    found.whole = found.whole and not unknown
    return found


def _recovered(old: OldArchive, unknown: Iterable[Described]) -> list[dict[str, Any]]:
    """Return as records what is known of filings from the rows that came of them, in their order.

    What they replaced says when they were filed, and who decided it, if somebody did.
    """
    by_filing: dict[tuple[str, int], list[Described]] = {}
    for one in unknown:
        later = one.measurement.split("-")[2:]
        filing = one.source_sha256, int(later[0]) - 1 if later else 0
        by_filing.setdefault(filing, []).append(one)
    replaced: dict[str | None, list[Withdrawal]] = {}
    for withdrawal in old.tables.withdrawn.values():
        replaced.setdefault(withdrawal.mark.superseded_by, []).append(withdrawal)
    records = []
    for (sha256, again), every in by_filing.items():
        names = sorted(one.measurement for one in every)
        marks = [one for name in names for one in replaced.get(name, [])]
        at = [one.mark.at for one in marks if one.mark.at]
        record = {"again": again, "measurements": names, **_told_by(old.lab, sha256, every, marks)}
        records.append((not any(one.registers for one in every), max(at, default=EPOCH), record))
    return [record for *_, record in sorted(records, key=lambda one: one[:2])]


def _told_by(
    lab: Lab, sha256: str, rows: Sequence[Described], replaced: Sequence[Withdrawal]
) -> dict[str, Any]:
    ids = {(one.batch, one.panel) for one in rows}
    record: dict[str, Any] = {
        "sha256": sha256,
        "name": rows[0].source_name,
        "assigned": asdict(Assigned(*ids.pop()) if len(ids) == 1 else Assigned()),
        "withdrawn": [one.as_record() for one in replaced],
    }
    if decided := [one.mark for one in replaced if one.mark.why != REPLACED]:
        record |= {"who": decided[0].by, "why": decided[0].why}
    if notes := latest_notes(lab, sha256):
        record["notes"] = {"name": notes.name, "sha256": fsio.sha256_of(notes)}
    return record


def carry(
    old: OldArchive,
    new: Lab,
    index: Index,
    names: Collection[str],
    marks: Mapping[str, Withdrawal] | None = None,
) -> None:
    """Put rows of the old tables into the new archive, and marks of theirs on rows made again."""
    wanted: dict[Place, set[str]] = {}
    for name in names:
        wanted.setdefault(old.tables.contents[name].place, set()).add(name)
    for one in (marks or {}).values():
        wanted.setdefault(one.place, set())
    if not wanted:
        return
    with write_lock(new):
        kept = storage_of(new)
        for place, own in wanted.items():
            marked = {n: one.mark for n, one in (marks or {}).items() if one.place == place}
            rows = _united(old.lab, new, place, own)
            if rows is not None:
                kept.replace([(place, with_marks(rows, marked))])
                refresh(new, index, place)
        _record(new, old.tables, {name: old.tables.contents[name] for name in names}, marks or {})


def _united(lab: Lab, new: Lab, place: Place, names: Collection[str]) -> pa.Table | None:
    parts = []
    if names:
        parts.append(of_measurements(storage_of(lab).read(place, checksums=True), names))
    if storage_of(new).version(place) is not None:
        parts.append(storage_of(new).read(place))
    if not parts:
        return None
    united = unite(parts)
    return in_order(united, Rule.of(united.schema).order)


def _record(
    new: Lab,
    old: CheckedTables,
    contents: Mapping[str, Content],
    marks: Mapping[str, Withdrawal],
) -> None:
    withdrawn = {name: old.withdrawn[name] for name in contents if name in old.withdrawn}
    Journal(new).append(
        [
            {
                "event": RecordSort.REBUILT,
                "no_longer_filed": [],
                "no_longer_withdrawn": [],
                "held": [],
                "tables": as_tables(contents),
                "withdrawn": [one.as_record() for one in {**withdrawn, **marks}.values()],
            }
        ]
    )
