"""Taking a file out of its inbox, once everything else is safely on the disk."""

from __future__ import annotations

import itertools
import os
from pathlib import Path

from tiecoat.archive.index.cache import Index
from tiecoat.disk import fsio
from tiecoat.disk.file_print import print_of
from tiecoat.intake.inboxes.settle import DONE, Arrival

LONGEST = 255  # bytes in a file name


def clear(arrival: Arrival, sha256: str, index: Index, *, held: bool) -> None:
    """Move a filed export to done/, delete a held one, or remember one that stays in place.

    A file that has changed since it was preserved is left: it is a new arrival.
    """
    inbox, path = arrival.inbox, arrival.path
    if inbox is None:
        return
    if arrival.leave:
        index.remember(path, arrival.seen, sha256)
        return
    try:
        if not _unchanged(arrival):
            return
        for one in (arrival.notes, path):  # without its file, notes would be an arrival
            if one and held:
                fsio.remove(one)
            elif one:
                _move(one, inbox / DONE / arrival.folder)
    except FileNotFoundError:
        return  # somebody took it out by hand


def _unchanged(arrival: Arrival) -> bool:
    return print_of(arrival.path.lstat()) == arrival.seen


def _numbered(path: Path, number: int) -> str:
    """Return "name (2).csv", cut where it would be longer than a name may be."""
    end = os.fsencode(f" ({number}){path.suffix}")
    return os.fsdecode(os.fsencode(path.stem)[: LONGEST - len(end)] + end)


def _move(path: Path, folder: Path) -> None:
    short = Path(fsio.fitting(folder, path.name))
    for number in itertools.count(1):
        name = short.name if number == 1 else _numbered(short, number)
        if not (folder / name).exists():
            fsio.move(path, folder / name)
            return
