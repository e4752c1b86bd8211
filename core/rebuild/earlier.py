"""The archives that rebuilds have replaced: put back, or dropped."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tiecoat.archive.journal.chain import in_force
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import service_lock, write_lock
from tiecoat.archive.swap import finish_swap, kept, swap_in
from tiecoat.archive.words import KEPT, RecordSort
from tiecoat.disk import fsio
from tiecoat.errors import QueryInvalid
from tiecoat.intake.held.files import ID_LENGTH
from tiecoat.lab.settings import Lab

SHOWN = 8  # files in a message
CHANGES = frozenset(
    {
        RecordSort.FILED,
        RecordSort.KNOWN,
        RecordSort.RETRACTED,
        RecordSort.DISCARDED,
        RecordSort.UPGRADED,
    }
)


def take_back(lab: Lab, who: str) -> Path:
    """Put the archive in its place again that the last rebuild has replaced; return its folder.

    What that rebuild made is dropped: it can be made again.

    Raises
    ------
    LabInUse
        If a service runs, or another process is writing.
    QueryInvalid
        If that archive is not there, or something was filed, retracted, discarded or upgraded
        since.
    OSError
        If the disk refuses; the archive stays as it is, or the old one is in its place.
    """
    with service_lock(lab), write_lock(lab):
        finish_swap(lab)
        records = [line.record or {} for line in in_force(Journal(lab))]
        at = [place for place, one in enumerate(records) if _sort(one) is RecordSort.REBUILT]
        if not at or not fsio.is_there(kept(lab, records[at[-1]]["rebuild"]).archive):
            raise QueryInvalid("no archive of before the last rebuild is kept")
        last = records[at[-1]]
        if later := [one for one in records[at[-1] + 1 :] if _sort(one) in CHANGES]:
            raise QueryInvalid(
                f"the archive of before does not have what was done since: {_listed(later)}\n"
                "It stays where it is, and can be read there: "
                + str(kept(lab, last["rebuild"]).archive)
            )
        place = kept(lab, last["rebuild"]).root
        swap_in(
            lab,
            {
                "event": RecordSort.TAKEN_BACK,
                "rebuild": last["rebuild"],
                "who": who,
                "no_longer_held": [one["sha256"][:ID_LENGTH] for one in last["held"]],
            },
        )
        return place


def drop_kept(lab: Lab) -> int:
    """Delete all archives that rebuilds have replaced, and return how many there were.

    Raises
    ------
    LabInUse
        If another process is writing.
    """
    with write_lock(lab):
        finish_swap(lab)
        every = fsio.paths_in(lab.root / KEPT)
        for folder in every:
            fsio.remove_folder(folder, lab.stage)
        return len(every)


def _sort(record: dict[str, Any]) -> RecordSort | None:
    return RecordSort.of(record.get("event"))


def _listed(records: Sequence[dict[str, Any]]) -> str:
    said = [f"{one['event']} {one.get('name', one.get('kind', ''))}".strip() for one in records]
    return ", ".join(said[:SHOWN]) + (", ..." if len(said) > SHOWN else "")
