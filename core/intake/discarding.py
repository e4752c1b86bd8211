"""Discarding held files, which only a person decides."""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from typing import Any

from tiecoat.archive.index.cache import Index
from tiecoat.archive.index.lacking import note_journal
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import write_lock
from tiecoat.archive.opening import open_index
from tiecoat.archive.words import Became, RecordSort
from tiecoat.disk import fsio
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.held.files import Held, drop_held, list_held
from tiecoat.intake.inboxes.preserve import original_of
from tiecoat.lab.settings import Lab
from tiecoat.reasons import Reason


def discard(lab: Lab, files: Sequence[Held], who: str, why: str) -> None:
    """Take files out of the held; their originals stay, and who discarded them and why on record.

    What a crash leaves among the held after that is taken out at the next start.
    """
    with contextlib.closing(open_index(lab)) as index:
        _discard_by(lab, index, files, who, why)


def discard_parts(lab: Lab, index: Index, exports: Sequence[ExportFile]) -> None:
    """Take out of the held what waited for the other files of these exports, which have come.

    They are filed now, or held themselves. Of however many exports, the held are listed once.
    """
    for held in list_held(lab, (Reason.COMPANION_MISSING,)) if exports else ():
        original = original_of(lab, held.sha256)
        files = fsio.paths_in(original) if original and fsio.is_folder(original) else []
        own = {fsio.sha256_of(path) for path in files} or {held.sha256}
        others = (one for one in exports if one.sha256 != held.sha256)  # it may be held itself
        if whole := next((one for one in others if own.issubset(one.hashes)), None):
            why = f"came together with others as {whole.name}"
            _discard_by(lab, index, [held], "tiecoat", why)


def _discard_by(lab: Lab, index: Index, files: Sequence[Held], who: str, why: str) -> None:
    with write_lock(lab):
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
