"""How many files are held, and since when, without reading any of them."""

from __future__ import annotations

import time
from pathlib import Path

from tiecoat.disk import fsio
from tiecoat.intake.held.files import RECORD
from tiecoat.lab.settings import Lab

COARSE_NS = 2_000_000_000  # the coarsest time that a file system keeps
ANEW_S = 600.0  # after which each is looked at again: a record may be taken out of its folder


def held_folders(lab: Lab) -> list[Path]:
    """Return the folders of the held files, those first that were held or tried longest ago."""
    changed_ns = fsio.changed_below(lab.held, RECORD)
    return [lab.held / name for name in sorted(changed_ns, key=changed_ns.__getitem__)]


class HeldCount:
    """Counts the held files of a lab, and looks at new ones only: a service asks at every beat."""

    def __init__(self, lab: Lab) -> None:
        self._folder = lab.held
        self._there: set[str] = set()
        self._changed_ns: int | None = None  # of the folder, when it was listed; None: list it
        self._anew_s = float("-inf")  # when to look at each again

    def now(self) -> int:
        """Return how many there are now; OSError if that cannot be told."""
        changed_ns = fsio.changed_ns(self._folder)
        if time.monotonic() > self._anew_s:
            self._there, self._changed_ns = set(), None
            self._anew_s = time.monotonic() + ANEW_S
        if changed_ns is None or changed_ns != self._changed_ns:
            names = fsio.names_in(self._folder)
            fresh = {name for name in names if name not in self._there and self._is_held(name)}
            self._there = fresh | self._there.intersection(names)
            # what comes within the same tick of the clock of the disk changes no time
            is_past = changed_ns is not None and time.time_ns() - changed_ns > COARSE_NS
            self._changed_ns = changed_ns if is_past else None
        return len(self._there)

    def _is_held(self, name: str) -> bool:
        return fsio.is_file(self._folder / name / RECORD)
