"""Looking again at what was filed: some writers go on where their file has gone.

Each file that was taken out of its inbox, or stays there, is looked at once more soon after and
once a day later, then by its content. One that has changed is followed anew like an arrival.
"""

from __future__ import annotations

import stat
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from enum import Enum, auto
from pathlib import Path

from tiecoat.archive.index.cache import Index, TakenOut
from tiecoat.disk import fsio
from tiecoat.disk.file_print import print_of

SOONEST_S = 10.0  # so that what has just been filed keeps nothing else waiting
DAY_S = 86_400.0
TOGETHER = 256  # files that are looked at together


class Fate(Enum):
    """What a look has found."""

    SAME = auto()
    CHANGED = auto()
    GONE = auto()
    UNKNOWN = auto()  # it cannot be looked at now


def fate_of(one: TakenOut) -> Fate:
    """Look at a file again, from the second time on at all of its content."""
    try:
        status = one.path.lstat()
        if not stat.S_ISREG(status.st_mode):
            return Fate.GONE
        if print_of(status) != one.seen:
            return Fate.CHANGED
        same = not one.looks or fsio.sha256_of(one.path) == one.sha256
    except FileNotFoundError:
        return Fate.GONE
    except OSError:
        return Fate.UNKNOWN
    return Fate.SAME if same else Fate.CHANGED


class LaterLooks:
    """Which files are due to be looked at again.

    Parameters
    ----------
    index
        Keeps them, over an end of the process too.
    clock
        Seconds since 1970.
    """

    def __init__(self, index: Index, clock: Callable[[], float] = time.time) -> None:
        self._index = index
        self._clock = clock
        self._next = self._soonest()

    def note(self, files: Iterable[tuple[TakenOut, float]]) -> None:
        """Note files that have been filed, and in how many seconds each is looked at, or later."""
        now = self._clock()
        self._keep([replace(one, due=now + max(after_s, SOONEST_S)) for one, after_s in files])

    def due(self) -> dict[Path, list[TakenOut]]:
        """Return by inbox what is to be looked at now, each once; `looked` says what was found."""
        now = self._clock()
        if now < self._next:
            return {}
        found = self._index.taken_out(now, TOGETHER)
        self._keep([replace(one, due=now + DAY_S) for one in found])  # unless `looked` comes before
        self._next = self._soonest()
        by_inbox: dict[Path, list[TakenOut]] = {}
        for one in found:
            by_inbox.setdefault(one.inbox, []).append(one)
        return by_inbox

    def looked(self, fates: Mapping[TakenOut, Fate]) -> None:
        """Note what a look has found: what is the same twice, or gone, needs no other."""
        over = [
            one.path
            for one, fate in fates.items()
            if fate is Fate.GONE or (fate is Fate.SAME and one.looks)
        ]
        if over:
            self._index.forget_taken_out(over)
        self._keep(
            [
                replace(one, due=self._clock() + DAY_S, looks=1)
                for one, fate in fates.items()
                if fate is Fate.SAME and not one.looks
            ]
        )

    def _soonest(self) -> float:
        """Return when the next file is due."""
        first = self._index.taken_out(float("inf"), 1)
        return first[0].due if first else float("inf")

    def _keep(self, files: Sequence[TakenOut]) -> None:
        if files:
            self._index.note_taken_out(files)
            self._next = min(self._next, *(one.due for one in files))
