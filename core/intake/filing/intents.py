"""What was begun and not ended: exports whose rows go to more than one table, or anew.

One table is replaced in one step, several are not. So the journal says beforehand that such an
export is being filed; after a crash it is completed before anything else can contradict it. The
same goes for one that a person has filed anew: it lies in no inbox that would bring it again. If
what was filed of it before is retracted for that, both are one record.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from tiecoat.archive.index.cache import Index
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.store import Incoming
from tiecoat.archive.words import RecordSort
from tiecoat.errors import UnknownName
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.filing.entry import Decision, Entry
from tiecoat.intake.held.assigned import Assigned
from tiecoat.intake.held.files import Held, find_held
from tiecoat.intake.inboxes.preserve import original_of
from tiecoat.lab.settings import Lab


def begin(journal: Journal, incoming: Iterable[tuple[Entry, Incoming]]) -> None:
    """Write down which exports are about to go to more than one table, or anew."""
    several = (entry for entry, one in incoming if _tables(one) > 1 or entry.file.again)
    journal.append([intent_of(entry) for entry in several])


def unfinished(lab: Lab, index: Index) -> list[Entry]:
    """Return the exports that a crash cut short, as they were taken up then."""
    every = (_entry(lab, record) for record in index.begun().values())
    return [entry for entry in every if entry]


def _tables(incoming: Incoming) -> int:
    return sum(len(rows["batch"].unique()) for rows in incoming.tables.values())


def intent_of(entry: Entry) -> dict[str, Any]:
    """Return what the journal says of an export that is to be filed."""
    return {
        "event": RecordSort.FILING,
        "name": entry.file.name,
        "sha256": entry.file.sha256,
        "folder": entry.file.folder,
        "assigned": entry.assigned.as_record(),
        "held": entry.held.id if entry.held else None,
        "decision": asdict(entry.decision) if entry.decision else None,
        "again": entry.file.again,
    }


def _entry(lab: Lab, record: dict[str, Any]) -> Entry | None:
    original = original_of(lab, record["sha256"])
    if original is None:
        return None
    return Entry(
        ExportFile(
            original,
            record["name"],
            record["folder"],
            record["sha256"],
            again=record.get("again", 0),
        ),
        [],
        Assigned(**record["assigned"]),
        _held(lab, record["held"]) if record["held"] else None,
        Decision(**record["decision"]) if record["decision"] else None,
    )


def _held(lab: Lab, held_id: str) -> Held | None:
    """Return the hold that was tried again, or None if somebody took its folder away by hand."""
    try:
        return find_held(lab, held_id)
    except UnknownName:
        return None
