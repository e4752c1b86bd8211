"""Discarding held files, which only a person decides."""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from typing import Any

from tiecoat.archive.index.lacking import note_journal
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import write_lock
from tiecoat.archive.opening import open_index
from tiecoat.archive.words import Became, RecordSort
from tiecoat.intake.held.files import Held, drop_held
from tiecoat.lab.settings import Lab


def discard(lab: Lab, files: Sequence[Held], who: str, why: str) -> None:
    """Take files out of the held; their originals stay, and who discarded them and why on record.

    What a crash leaves among the held after that is taken out at the next start.
    """
    with write_lock(lab), contextlib.closing(open_index(lab)) as index:
        Journal(lab).append([{**_record(held), "who": who, "why": why} for held in files])
        index.record_originals(
            [(held.sha256, held.name, Became.DISCARDED, None, held.reader) for held in files]
        )
        note_journal(lab, index)
        for held in files:
            drop_held(lab, held.id)


def _record(held: Held) -> dict[str, Any]:
    record = {"event": RecordSort.DISCARDED, "name": held.name, "sha256": held.sha256}
    again = {"again": held.again} if held.again else {}
    return {**record, **again, "held": held.id}
