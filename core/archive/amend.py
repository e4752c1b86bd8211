"""What only a person decides about measurements that are filed: that they are not valid, or are.

It is put on record, as one decision, before the first table is replaced; so what a crash leaves
undone of it is completed as soon as anybody opens the lab for writing (`Store.complete`).
"""

from __future__ import annotations

import contextlib
from collections.abc import Mapping, Sequence
from typing import Any

from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import write_lock
from tiecoat.archive.opening import open_index
from tiecoat.archive.store import Store
from tiecoat.archive.tables.contents import Withdrawal
from tiecoat.archive.words import RecordSort
from tiecoat.lab.settings import Lab


def retract(
    lab: Lab,
    measurements: Sequence[str],
    who: str,
    why: str,
    to_file: Sequence[Mapping[str, Any]] = (),
) -> list[str]:
    """Mark measurements as not valid; their rows stay, with who, when and why.

    Parameters
    ----------
    to_file
        The exports that are filed anew in their place, as the journal has them: part of the same
        record, so that either both is decided or nothing.

    Returns
    -------
    list
        Those that counted until now.

    Raises
    ------
    UnknownName
        If there is no such measurement; then nothing is marked.
    """

    def put_on_record(marks: Sequence[Withdrawal]) -> None:
        said = {"measurements": list(measurements), "who": who, "why": why}
        withdrawn = [one.as_record() for one in marks]
        anew = {"to_file": list(to_file)} if to_file else {}
        record = {"event": RecordSort.RETRACTED, **said, "withdrawn": withdrawn, **anew}
        Journal(lab).append([record])

    with write_lock(lab), contextlib.closing(open_index(lab)) as index:
        return Store(lab, index).retract(measurements, who, why, decided=put_on_record)


def reinstate(lab: Lab, measurements: Sequence[str], who: str, why: str) -> list[str]:
    """Have measurements that were retracted count again.

    Returns
    -------
    list
        Those that did not until now.

    Raises
    ------
    UnknownName
        If there is no such measurement; then nothing is changed.
    QueryInvalid
        If one was not retracted, or something else counts in its place.
    """

    def record() -> None:
        said = {"measurements": list(measurements), "who": who, "why": why}
        Journal(lab).append([{"event": RecordSort.REINSTATED, **said}])

    with write_lock(lab), contextlib.closing(open_index(lab)) as index:
        return Store(lab, index).reinstate(measurements, record)
