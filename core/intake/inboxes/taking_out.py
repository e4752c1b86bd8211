"""Taking a file out of its inbox, once everything else is safely on the disk."""

from __future__ import annotations

import contextlib
import itertools
import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from tiecoat.archive.index.cache import Index
from tiecoat.disk import fsio
from tiecoat.disk.file_print import FilePrint, print_of
from tiecoat.disk.steps import reached
from tiecoat.errors import ArchiveFault
from tiecoat.intake.inboxes.again import TriedAgain
from tiecoat.intake.inboxes.settle import DONE, Arrival

LONGEST = 255  # bytes in a file name


@dataclass(frozen=True)
class Over:
    """An arrival whose export is filed, held or known: it is to leave its inbox."""

    arrival: Arrival
    sha256: str
    held: bool


class TakingOut:
    """Takes arrivals out of their inboxes; one that cannot be moved keeps no other waiting.

    `remembered` holds the files that stay in their inboxes, as they were when they were taken in.

    Parameters
    ----------
    index
        Remembers what stays.
    say
        Called with a line for each file that cannot be taken out.
    """

    def __init__(self, index: Index, say: Callable[[str], None]) -> None:
        self._index = index
        self._left: TriedAgain[Over] = TriedAgain("cannot be taken out of the inbox", say)
        self.remembered: dict[Path, FilePrint] = index.remembered()

    @property
    def left(self) -> list[Arrival]:
        """What could not be taken out so far."""
        return [over.arrival for over in self._left.every]

    @property
    def troubles(self) -> tuple[str, ...]:
        """What stands in the way, with the number of files."""
        return self._left.troubles

    def again(self) -> None:
        """Try again what could not be taken out and is due."""
        if due := self._left.due():
            self.take_out(due)

    def take_out(self, every: Sequence[Over]) -> None:
        """Move filed exports to done/, delete held ones, remember those that stay in place.

        A file that has changed since it was preserved is left: it is a new arrival.
        """
        mine = [over for over in every if over.arrival.inbox is not None]
        self._remember([over for over in mine if over.arrival.leave])
        for over in mine:
            if not over.arrival.leave:
                try:
                    _take_out(over.arrival, held=over.held)
                except OSError as error:
                    self._left.failed(over.arrival.path, over, error.strerror or str(error))
                    continue
                self._left.done(over.arrival.path)
            reached("cleared")

    def _remember(self, stay: Sequence[Over]) -> None:
        if not stay:
            return
        try:
            self._index.remember((one.arrival.path, one.arrival.seen, one.sha256) for one in stay)
        except ArchiveFault as error:
            for over in stay:
                self._left.failed(over.arrival.path, over, str(error).partition("\n")[0])
            return
        for over in stay:
            self.remembered[over.arrival.path] = over.arrival.seen
            self._left.done(over.arrival.path)


def _take_out(arrival: Arrival, *, held: bool) -> None:
    assert arrival.inbox is not None
    try:
        if not _unchanged(arrival):
            return
    except FileNotFoundError:
        return  # somebody took it out by hand
    for one in (arrival.notes, arrival.path):  # without its file, notes would be an arrival
        with contextlib.suppress(FileNotFoundError):  # gone at an earlier try, or by hand
            if one and held:
                fsio.remove(one)
            elif one:
                folder = arrival.inbox / DONE / arrival.folder
                fsio.make_dirs(folder, like=arrival.inbox)  # whoever looks there looks here
                _move(one, folder)


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
        if not fsio.is_there(folder / name):
            fsio.move(path, folder / name)
            return
