"""What only a person decides about measurements that are filed: that they are not valid."""

from __future__ import annotations

import contextlib
from collections.abc import Sequence

from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import write_lock
from tiecoat.archive.opening import open_index
from tiecoat.archive.store import Store
from tiecoat.archive.words import RecordSort
from tiecoat.lab.settings import Lab


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
