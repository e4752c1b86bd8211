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
    """An arrival whose export is filed, held or known: it is to leave its inbox.

    `hashes` are the SHA-256 of its files by name, where there are several and that is known.
    """

    arrival: Arrival
    sha256: str
    held: bool
    hashes: tuple[str, ...] = ()

    @property
    def sha256_of_files(self) -> dict[Path, str]:
        """The SHA-256 of each of its files as far as it is known."""
        each = self.hashes if self.arrival.companions else (self.sha256,)
        return dict(zip(self.arrival.files, each, strict=False))


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
        for over, targets in places.items():
            try:
                _take_out(over.arrival, targets)
            except OSError as error:
                self._left.failed(over.arrival.path, over, error.strerror or str(error))
                continue
            self._left.done(over.arrival.path)
            reached("cleared")

    def _places(self, every: Sequence[Over]) -> dict[Over, dict[Path, Path]]:
        """Return where in done/ each file is to stand, under a free name; held ones nowhere.

        By month, like the journal, so that no folder grows for years.
        """
        month = f"{datetime.now(UTC):%Y-%m}"
        places: dict[Over, dict[Path, Path]] = {}
        claimed: set[Path] = set()
        for over in every:
            arrival = over.arrival
            assert arrival.inbox is not None
            try:
                folder = arrival.inbox / DONE / month / arrival.folder
                targets = {} if over.held else _free(folder, [*arrival.files], claimed)
            except OSError as error:
                self._left.failed(arrival.path, over, error.strerror or str(error))
                continue
            places[over] = targets
            claimed |= {*targets.values()}
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
        self._index.remember(
            (path, seen, one.sha256) for one in stay for path, seen in one.arrival.files.items()
        )
        self._look_later({over: {path: path for path in over.arrival.files} for over in stay})
        for over in stay:
            self.remembered |= over.arrival.files
            self._left.done(over.arrival.path)
            reached("cleared")

    def _look_later(self, places: Mapping[Over, Mapping[Path, Path]]) -> None:
        """Note, before anything is moved, where it is looked at later."""
        self._later.note(
            (TakenOut(targets[path], one.files[path], sha256, inbox, one.folder, 0.0), one.longer_s)
            for over, targets in places.items()
            for one, inbox in [(over.arrival, over.arrival.inbox)]
            for path, sha256 in over.sha256_of_files.items()
            if path in targets and inbox
        )


def _take_out(arrival: Arrival, targets: Mapping[Path, Path]) -> None:
    """Move the files of an export and its notes to done/, or delete them where they have no place.

    Its main file goes last: without it, the others would be an arrival.
    """
    assert arrival.inbox is not None
    others = [path for path in arrival.files if path != arrival.path]
    if arrival.notes and _unchanged(arrival.path, arrival.seen):
        _take_out_one(arrival.notes, arrival, targets, free=True)
    for path in (*others, arrival.path):
        if _unchanged(path, arrival.files[path]):
            _take_out_one(path, arrival, targets)


def _take_out_one(
    path: Path, arrival: Arrival, targets: Mapping[Path, Path], *, free: bool = False
) -> None:
    with contextlib.suppress(FileNotFoundError):  # gone at an earlier try, or by hand
        if not targets:
            fsio.remove(path)
            return
        folder = targets[arrival.path].parent
        fsio.make_dirs(folder, like=arrival.inbox)  # whoever looks there looks here
        fsio.move(path, _free(folder, [path], ())[path] if free else targets[path])


def _unchanged(path: Path, seen: FilePrint) -> bool:
    """Say whether a file is as it was; not where somebody took it out by hand."""
    try:
        return print_of(path.lstat()) == seen
    except FileNotFoundError:
        return False


def _numbered(path: Path, number: int) -> str:
    """Return "name (2).csv", cut where it would be longer than a name may be."""
    end = os.fsencode(f" ({number}){path.suffix}")
    return os.fsdecode(os.fsencode(path.stem)[: LONGEST - len(end)] + end)


def _free(folder: Path, files: Sequence[Path], claimed: Collection[Path]) -> dict[Path, Path]:
    """Return where in a folder files are to stand: with one number if names are not free."""
    short = {path: Path(fsio.fitting(folder, path.name)) for path in files}
    for number in itertools.count(1):
        found = {
            path: folder / (name.name if number == 1 else _numbered(name, number))
            for path, name in short.items()
        }
        if not any(path in claimed or fsio.is_there(path) for path in found.values()):
            return found
    raise AssertionError
