"""What superseding would do, shown to whoever decides before anything is changed."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from datetime import tzinfo

from tiecoat.archive.index.cache import Index, measurement_in
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import write_lock
from tiecoat.archive.opening import open_index
from tiecoat.archive.plan import Filed, StoreAnswer
from tiecoat.archive.store import Store
from tiecoat.archive.tables.describe import in_words
from tiecoat.errors import FileHeld, UnknownName
from tiecoat.intake.checks.checker import checked_alone
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.filing.entry import Decision, Entry
from tiecoat.intake.filing.registered import keyer_of
from tiecoat.intake.filing.rounds import decided, ids_of, with_ids
from tiecoat.intake.held.files import Held
from tiecoat.intake.inboxes.notes import latest_notes
from tiecoat.intake.inboxes.preserve import original_of
from tiecoat.intake.trying import read_now
from tiecoat.lab.settings import Lab
from tiecoat.lab.shaping import zones_of
from tiecoat.wording import counted

SHOWN = 20  # replacements that are listed


@dataclass(frozen=True)
class Superseding:
    """What would be superseded, each by one measurement of the file.

    `lines` say it in words; `existing` are the measurements that would no longer count.
    """

    lines: tuple[str, ...]
    existing: tuple[str, ...]


def superseding(lab: Lab, held: Held, who: str, why: str) -> Superseding:
    """Return what superseding by a held file would do. Nothing is superseded now.

    A file that would be held for another reason supersedes nothing; trying it again says why.

    Raises
    ------
    UnknownName
        If its original is not there.
    """
    original = original_of(lab, held.sha256)
    if original is None:
        raise UnknownName(f"the original of {held.name} ({held.sha256}) is not there")
    notes = latest_notes(lab, held.sha256)
    file = ExportFile(original, held.name, held.folder, held.sha256, notes)
    entry = Entry(file, [], held.assigned, held, Decision(who, why))
    (read,), _ = read_now(lab, [entry])
    with write_lock(lab), contextlib.closing(open_index(lab)) as index:
        try:
            ids = ids_of(read, keyer_of(lab, index))
            rows = checked_alone(lab, index, with_ids([(read, ids)])[0])
        except FileHeld:
            return Superseding((), ())
        zones = zones_of(lab, Journal(lab).settings().values())
        (would,) = Store(lab, index, zones).would_file([decided(entry, rows)])
        return Superseding(tuple(_lines(index, held, would, lab.zone)), _existing(would))


def _existing(would: Filed) -> tuple[str, ...]:
    return tuple(one.measurement for one in would.withdrawn)


def _lines(index: Index, held: Held, would: Filed, zone: tzinfo) -> list[str]:
    if would.status is not StoreAnswer.FILED:
        return []
    replaced = len(would.withdrawn)
    added = len(would.measurements) - len({one.mark.superseded_by for one in would.withdrawn})
    lines = [f"{held.name} supersedes {counted(replaced, 'measurement')} and adds {added:,}:"]
    for one in would.withdrawn[:SHOWN]:
        if old := measurement_in(index, one.measurement):
            new = would.contents[one.mark.superseded_by or ""]
            called = in_words(old.determination, zone)
            lines.append(
                f"  {called}: {counted(old.n_rows, 'row')} from {old.source_name}"
                f" ({old.measurement}), now {counted(new.n_rows, 'row')}"
            )
    more = replaced - SHOWN
    return [*lines, *([f"  and {more:,} more"] if more > 0 else [])]
