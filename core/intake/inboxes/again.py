"""Files whose trouble is their own: each is tried again with back-off while all others go on."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Generic, TypeVar

from tiecoat.wording import counted

T = TypeVar("T")

FIRST_S = 2.0  # until the next try
LONGEST_S = 30.0
TOLD = 10  # files of one folder with one trouble that are told one by one
SHOWN = 3  # paths in a trouble


@dataclass
class _Again(Generic[T]):
    what: T
    why: str
    wait_s: float
    due: float


class TriedAgain(Generic[T]):
    """What could not be done for single files.

    Parameters
    ----------
    cannot
        What it is, such as "cannot be read".
    say
        Called with a line for each file whose trouble is new.
    clock
        Monotonic time in seconds.
    """

    def __init__(
        self,
        cannot: str,
        say: Callable[[str], None],
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._cannot = cannot
        self._say = say
        self._clock = clock
        self._waiting: dict[Path, _Again[T]] = {}
        self._told: Counter[tuple[Path, str]] = Counter()

    def failed(self, path: Path, what: T, why: str) -> None:
        """Keep it for another try, later than the last one."""
        before = self._waiting.get(path)
        wait_s = min(2 * before.wait_s, LONGEST_S) if before else FIRST_S
        self._waiting[path] = _Again(what, why, wait_s, self._clock() + wait_s)
        if before is None or before.why != why:
            self._told[path.parent, why] += 1
            if self._told[path.parent, why] <= TOLD:
                self._say(f"{path} {self._cannot}, trying again: {why}")

    def done(self, path: Path) -> None:
        """Forget a file: it is done, or there is nothing to do any more."""
        if self._waiting.pop(path, None) and not self._waiting:
            self._told.clear()

    def due(self) -> list[T]:
        """Return, once, what is to be tried now; it stays listed until it is `done`."""
        now = self._clock()
        due = [waiting for waiting in self._waiting.values() if waiting.due <= now]
        for waiting in due:
            waiting.due = float("inf")  # until it has `failed` again
        return [waiting.what for waiting in due]

    @property
    def every(self) -> list[T]:
        """Return all that waits for another try."""
        return [waiting.what for waiting in self._waiting.values()]

    @property
    def reasons(self) -> list[tuple[Path, str]]:
        """Return each file and what stands in its way."""
        return [(path, waiting.why) for path, waiting in self._waiting.items()]

    @property
    def troubles(self) -> tuple[str, ...]:
        """Return one sentence for all of them, with their number and the first of them."""
        if not self._waiting:
            return ()
        shown = [f"{path} ({why})" for path, why in self.reasons[:SHOWN]]
        more = ["..."] if len(self._waiting) > SHOWN else []
        files = counted(len(self._waiting), "file")
        return (f"{files} {self._cannot}, trying again: {', '.join(shown + more)}",)
