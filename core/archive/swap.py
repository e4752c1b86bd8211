"""Putting an archive that was made again in the place of the old one: as a whole, or not at all.

The new one is made in `rebuilt/`. Once it is complete, `ready.json` says so, with the record for
the journal; from then on every step can be done again, and whatever opens the lab for writing
completes them first. Between the two renames there is no archive for a moment: a process that is
killed just there leaves both whole ones side by side, and readers are told.

A merge with another lab brings originals, held files and many records beside; it is swapped in by
the same steps. Its records stand in `records.jsonl`, and each says which merge it is of.

The archive that a rebuild has replaced is kept in `replaced/<rebuild>/` until a person drops it. It
is put back by the same steps: then it is the one that is swapped in, and the record says which.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from tiecoat.archive.index.building import index_anew
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import write_lock
from tiecoat.archive.tables.storage import storage_of
from tiecoat.archive.words import BEFORE, KEPT, READY, REBUILT, RecordSort
from tiecoat.disk import fsio
from tiecoat.lab.settings import Lab
from tiecoat.wording import counted

RECORDS = "records.jsonl"  # of a merge, beside its `ready.json`
AT_ONCE = 1000  # records that are appended together


def workplace(lab: Lab) -> Lab:
    """Return the lab within the lab in which its archive is made again."""
    return replace(lab, root=lab.root / REBUILT)


def kept(lab: Lab, rebuild: str) -> Lab:
    """Return the lab within the lab that holds the archive which a rebuild has replaced."""
    return replace(lab, root=lab.root / KEPT / rebuild)


def is_ready(lab: Lab) -> bool:
    """Say whether an archive is complete and not yet wholly in its place."""
    return fsio.is_file(lab.root / REBUILT / READY)


def left_to_complete(lab: Lab) -> str:
    """Say what was cut short when it was complete and not yet wholly in its place; "" for nothing.

    Whoever opens the lab for writing completes it.
    """
    try:
        said = json.loads((lab.root / REBUILT / READY).read_bytes())
    except FileNotFoundError:
        return ""
    match RecordSort.of(said.get("event")):
        case RecordSort.MERGED:
            came = f"{counted(said['files'], 'file')} with"
            held = f", {said['held']:,} of them held" if said.get("held") else ""
            folder = said["folder"]
            return (
                f"a merge with {folder} by {said['who']}: {came}"
                f" {counted(said['measurements'], 'measurement')}{held}, and"
                f" {counted(said['decided'], 'measurement')} retracted or counting again. What of"
                f" that lab does not come, and why: tiecoat merge {folder} --show"
            )
        case RecordSort.TAKEN_BACK:
            return "putting the archive of before a rebuild back"
        case _:
            return "a rebuild of the archive"


def swap_in(lab: Lab, record: Mapping[str, Any]) -> None:
    """Put an archive in its place, and the record in the journal, under the write lock.

    Parameters
    ----------
    record
        Of the new archive in the workplace, whose `rebuild` tells it from every other; or that a
        rebuild is taken back. What `keeps` says decides whether the old archive is kept.

    Raises
    ------
    OSError
        If the old one cannot be moved, as where a program on Windows has a table open: it stays.
    """
    ready = lab.root / REBUILT / READY
    fsio.publish(ready, json.dumps(dict(record)).encode(), lab.stage)
    source = _source(lab, record)
    try:
        storage_of(lab).take_over(storage_of(source))
    except OSError:
        if storage_of(lab).is_there and storage_of(source).is_there:
            fsio.remove(ready)
        raise
    finish_swap(lab)


def drop_workplace(lab: Lab) -> None:
    """Let go of what was made, unless it is complete: then it may be the only whole archive."""
    if fsio.is_there(workplace(lab).root) and not is_ready(lab):
        fsio.remove_folder(workplace(lab).root, lab.stage)


def finish_swap(lab: Lab) -> None:
    """Complete what a process has begun that was killed meanwhile; mostly there is nothing."""
    if not is_ready(lab):
        return
    with write_lock(lab):
        if not is_ready(lab):
            return
        new = workplace(lab)
        record = json.loads((new.root / READY).read_bytes())
        source = _source(lab, record)
        storage_of(lab).take_over(storage_of(source))
        _bring_files(lab, new, record)
        if not _is_back(record):
            _keep(lab, record)
        _put_on_record(lab, record)
        index_anew(lab, settled="merge" not in record)
        if _is_back(record) and fsio.is_there(source.root):
            fsio.remove_folder(source.root, lab.stage)
        fsio.remove_folder(new.root, lab.stage)


def _bring_files(lab: Lab, new: Lab, record: Mapping[str, Any]) -> None:
    """Put originals and held files in their places, and take out what is held no longer."""
    for part in fsio.paths_in(new.originals):
        for folder in fsio.paths_in(part):
            if not fsio.is_there(target := lab.originals / part.name / folder.name):
                fsio.move_folder(folder, target)
    for name in record.get("no_longer_held", ()):
        if fsio.is_there(lab.held / name):
            fsio.remove_folder(lab.held / name, lab.stage)
    for folder in [] if _is_back(record) else fsio.paths_in(new.held):
        if not fsio.is_there(lab.held / folder.name):
            fsio.publish_folder(folder, lab.held / folder.name)


def _put_on_record(lab: Lab, record: Mapping[str, Any]) -> None:
    """Append what is not in the journal yet; of a merge all that came of it, and then itself."""
    journal = Journal(lab)
    if "merge" not in record:
        told = [(one.get("event"), one.get("rebuild")) for one in journal.read_last()]
        if (record["event"], record["rebuild"]) not in told:
            journal.append([record])
        return
    done = sum(one.get("merge") == record["merge"] for one in journal.read_last())
    lines = (workplace(lab).root / RECORDS).read_bytes().split(b"\n")
    every = [*map(json.loads, lines), record][done:]
    for start in range(0, len(every), AT_ONCE):
        journal.append(every[start : start + AT_ONCE])


def _source(lab: Lab, record: Mapping[str, Any]) -> Lab:
    return kept(lab, record["rebuild"]) if _is_back(record) else workplace(lab)


def _is_back(record: Mapping[str, Any]) -> bool:
    return RecordSort.of(record["event"]) is RecordSort.TAKEN_BACK


def _keep(lab: Lab, record: Mapping[str, Any]) -> None:
    """Keep the archive that was replaced."""
    if not record.get("keeps"):
        return
    before = workplace(lab).root / BEFORE
    place: Path = kept(lab, record["rebuild"]).archive
    if fsio.is_folder(before) and not fsio.is_there(place):
        fsio.move_folder(before, place)
