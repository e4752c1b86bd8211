"""What superseding would do, shown to whoever decides before anything is changed."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass

from tiecoat.archive.index import Index
from tiecoat.archive.lock import write_lock
from tiecoat.archive.open_index import open_index
from tiecoat.archive.plan import Filed
from tiecoat.archive.store import Store
from tiecoat.errors import FileHeld, UnknownName
from tiecoat.intake.checking import checked_alone
from tiecoat.intake.entry import Decision, Entry
from tiecoat.intake.filing import decided, ids_of, with_ids
from tiecoat.intake.held import Held
from tiecoat.intake.keying import Keyer
from tiecoat.intake.notes import latest_notes
from tiecoat.intake.preserve import original_of
from tiecoat.intake.trying import read_now
from tiecoat.lab import Lab
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
    decision = Decision(who, why)
    notes = latest_notes(lab, held.sha256)
    entry = Entry(
        held.sha256,
        held.name,
        held.folder,
        original,
        [],
        held.assigned,
        held,
        decision,
        notes=notes,
    )
    read, _ = read_now(lab, entry)
    with write_lock(lab), contextlib.closing(open_index(lab)) as index:
        try:
            ids = ids_of(read, Keyer(lab.settings.ids, index.batch_of_panel))
            rows = checked_alone(lab, index, with_ids([(read, ids)])[0])
        except FileHeld:
            return Superseding((), ())
        would = Store(lab, index).would_file(decided(entry, rows))
        return Superseding(tuple(_lines(index, held, would)), _existing(would))


def _existing(would: Filed) -> tuple[str, ...]:
    return tuple(one.measurement for one in would.withdrawn)


def _lines(index: Index, held: Held, would: Filed) -> list[str]:
    if would.status != "filed":
        return []
    replaced = len(would.withdrawn)
    added = len(would.measurements) - replaced
    lines = [f"{held.name} supersedes {counted(replaced, 'measurement')} and adds {added:,}:"]
    for one in would.withdrawn[:SHOWN]:
        if old := index.measurement(one.measurement):
            new = would.contents[one.mark.superseded_by or ""]
            lines.append(
                f"  {old.words}: {counted(old.n_rows, 'row')} from {old.source_name}"
                f" ({old.measurement}), now {counted(new.n_rows, 'row')}"
            )
    more = replaced - SHOWN
    return [*lines, *([f"  and {more:,} more"] if more > 0 else [])]
