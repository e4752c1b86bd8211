"""What only a person decides: to discard a held file, to retract measurements."""

from __future__ import annotations

import contextlib
from collections.abc import Sequence

from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import write_lock
from tiecoat.archive.opening import open_index
from tiecoat.archive.store import Store
from tiecoat.archive.words import Became, RecordSort
from tiecoat.intake.held.files import Held, drop_held
from tiecoat.lab.settings import Lab


def discard(lab: Lab, held: Held, who: str, why: str) -> None:
    """Take a file out of the held; its original stays, and who discarded it and why on record."""
    with write_lock(lab), contextlib.closing(open_index(lab)) as index:
        record = {"event": RecordSort.DISCARDED, "name": held.name, "sha256": held.sha256}
        again = {"again": held.again} if held.again else {}
        Journal(lab).append([{**record, **again, "held": held.id, "who": who, "why": why}])
        index.record_originals([(held.sha256, held.name, Became.DISCARDED, None, held.reader)])
        drop_held(lab, held.id)


def retract(lab: Lab, measurements: Sequence[str], who: str, why: str) -> None:
    """Mark measurements as not valid; their rows stay, with who, when and why.

    Raises
    ------
    UnknownName
        If there is no such measurement; then nothing is marked.
    """
    with write_lock(lab), contextlib.closing(open_index(lab)) as index:
        store = Store(lab, index)
        store.retract(measurements, who, why)
        withdrawn = [one.as_record() for one in store.withdrawals(measurements)]
        record = {"event": RecordSort.RETRACTED, "measurements": list(measurements)}
        Journal(lab).append([{**record, "who": who, "why": why, "withdrawn": withdrawn}])
