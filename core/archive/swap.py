"""Putting an archive that was made again in the place of the old one: as a whole, or not at all.

The new one is made in `rebuilt/`. Once it is complete, `ready.json` says so, with the records for
the journal; from then on every step can be done again, and whatever opens the lab for writing
completes them first. Between the two renames there is no archive for a moment: a process that is
killed just there leaves both whole ones side by side, and readers are told.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from tiecoat.archive.index.building import index_anew
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import write_lock
from tiecoat.archive.tables.storage import storage_of
from tiecoat.disk import fsio
from tiecoat.lab.settings import Lab

FOLDER, READY = "rebuilt", "ready.json"


def workplace(lab: Lab) -> Lab:
    """Return the lab within the lab in which its archive is made again."""
    return replace(lab, root=lab.root / FOLDER)


def is_ready(lab: Lab) -> bool:
    """Say whether a new archive is complete and not yet wholly in its place."""
    return fsio.is_file(lab.root / FOLDER / READY)


def swap_in(lab: Lab, record: Mapping[str, Any]) -> None:
    """Put the new archive in its place, and the record in the journal, under the write lock.

    Parameters
    ----------
    record
        Its `rebuild` tells this one from every other.

    Raises
    ------
    OSError
        If the old one cannot be moved, as where a program on Windows has a table open: it stays.
    """
    ready = lab.root / FOLDER / READY
    fsio.publish(ready, json.dumps(dict(record)).encode(), lab.stage)
    try:
        storage_of(lab).take_over(storage_of(workplace(lab)))
    except OSError:
        if storage_of(lab).is_there and storage_of(workplace(lab)).is_there:
            fsio.remove(ready)
        raise
    finish_swap(lab)


def finish_swap(lab: Lab) -> None:
    """Complete what a process has begun that was killed meanwhile; mostly there is nothing."""
    if not is_ready(lab):
        return
    with write_lock(lab):
        if not is_ready(lab):
            return
        new = workplace(lab)
        storage_of(lab).take_over(storage_of(new))
        for folder in fsio.paths_in(new.held):
            if not fsio.is_there(lab.held / folder.name):
                fsio.publish_folder(folder, lab.held / folder.name)
        record = json.loads((new.root / READY).read_bytes())
        journal = Journal(lab)
        if all(one.get("rebuild") != record["rebuild"] for one in journal.read_last()):
            journal.append([record])
        index_anew(lab)
        fsio.remove_folder(new.root, lab.stage)
