"""Taking a file out of its inbox, once everything else is safely on the disk."""

from __future__ import annotations

import contextlib
import itertools
import os
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from tiecoat.archive.index.cache import Index, TakenOut
from tiecoat.disk import fsio
from tiecoat.disk.file_print import FilePrint, print_of
from tiecoat.disk.steps import reached
from tiecoat.errors import ArchiveFault
from tiecoat.intake.inboxes.again import TriedAgain
from tiecoat.intake.inboxes.later_looks import Fate, LaterLooks
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
    What was filed is looked at again later, wherever it is then.

    Parameters
    ----------
    index
        Remembers what stays, and what is looked at again.
    say
        Called with a line for each file that cannot be taken out.
    """

    def __init__(self, index: Index, say: Callable[[str], None]) -> None:
        self._index = index
        self._left: TriedAgain[Over] = TriedAgain("cannot be taken out of the inbox", say)
        self._later = LaterLooks(index)
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
        """Move filed exports to done/<month>/, delete held ones, remember those that stay in place.

        A file that has changed since it was preserved is left: it is a new arrival.
        """
        mine = [over for over in every if over.arrival.inbox is not None]
        stay = [over for over in mine if over.arrival.leave]
        self._try(stay, lambda: self._remember(stay))
        places = self._places([over for over in mine if not over.arrival.leave])
        if not self._try([*places], lambda: self._look_later(places)):
            return
        for over, place in places.items():
            try:
                _take_out(over.arrival, place)
            except OSError as error:
                self._left.failed(over.arrival.path, over, error.strerror or str(error))
                continue
            self._left.done(over.arrival.path)
            reached("cleared")

    def _places(self, every: Sequence[Over]) -> dict[Over, Path | None]:
        """Return where in done/ each is to stand, under a name that is free; held ones nowhere.

        By month, like the journal, so that no folder grows for years.
        """
        month = f"{datetime.now(UTC):%Y-%m}"
        places: dict[Over, Path | None] = {}
        claimed: set[Path] = set()
        for over in every:
            arrival = over.arrival
            assert arrival.inbox is not None
            try:
                folder = arrival.inbox / DONE / month / arrival.folder
                place = None if over.held else _free(folder, arrival.path.name, claimed)
            except OSError as error:
                self._left.failed(arrival.path, over, error.strerror or str(error))
                continue
            places[over] = place
            claimed |= {place} if place else set()
        return places

    def due(self) -> dict[Path, list[TakenOut]]:
        """Return by inbox what was filed and is to be looked at again now."""
        return self._later.due()

    def looked(self, fates: Mapping[TakenOut, Fate]) -> None:
        """Note what such a look has found; what has changed is an arrival for the next scan."""
        for one, fate in fates.items():
            if fate is Fate.CHANGED:
                self.remembered.pop(one.path, None)
        self._later.looked(fates)

    def _try(self, every: Sequence[Over], note: Callable[[], None]) -> bool:
        """Have something noted of files; they are tried again where the index refuses."""
        try:
            note()
        except ArchiveFault as error:
            for over in every:
                self._left.failed(over.arrival.path, over, str(error).partition("\n")[0])
            return False
        return True

    def _remember(self, stay: Sequence[Over]) -> None:
        if not stay:
            return
        self._index.remember((one.arrival.path, one.arrival.seen, one.sha256) for one in stay)
        self._look_later({over: over.arrival.path for over in stay})
        for over in stay:
            self.remembered[over.arrival.path] = over.arrival.seen
            self._left.done(over.arrival.path)
            reached("cleared")

    def _look_later(self, places: Mapping[Over, Path | None]) -> None:
        """Note, before anything is moved, where it is looked at later."""
        self._later.note(
            (TakenOut(path, one.seen, over.sha256, one.inbox, one.folder, 0.0), one.longer_s)
            for over, path in places.items()
            for one in [over.arrival]
            if path and one.inbox
        )


def _take_out(arrival: Arrival, place: Path | None) -> None:
    """Move a file and its notes to its place in done/, or delete it where it has none."""
    assert arrival.inbox is not None
    try:
        if not _unchanged(arrival):
            return
    except FileNotFoundError:
        return  # somebody took it out by hand
    if place:
        fsio.make_dirs(place.parent, like=arrival.inbox)  # whoever looks there looks here
    for one in (arrival.notes, arrival.path):  # without its file, notes would be an arrival
        with contextlib.suppress(FileNotFoundError):  # gone at an earlier try, or by hand
            if one and not place:
                fsio.remove(one)
            elif one and place:
                fsio.move(one, place if one == arrival.path else _free(place.parent, one.name, ()))


def _unchanged(arrival: Arrival) -> bool:
    return print_of(arrival.path.lstat()) == arrival.seen


def _numbered(path: Path, number: int) -> str:
    """Return "name (2).csv", cut where it would be longer than a name may be."""
    end = os.fsencode(f" ({number}){path.suffix}")
    return os.fsdecode(os.fsencode(path.stem)[: LONGEST - len(end)] + end)


def _free(folder: Path, name: str, claimed: Collection[Path]) -> Path:
    short = Path(fsio.fitting(folder, name))
    for number in itertools.count(1):
        path = folder / (short.name if number == 1 else _numbered(short, number))
        if path not in claimed and not fsio.is_there(path):
            return path
    raise AssertionError
