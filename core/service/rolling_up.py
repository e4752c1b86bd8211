"""Bringing the roll-up up to date while the service has nothing else to do."""

from __future__ import annotations

import time
from contextlib import suppress
from threading import Event, Thread
from typing import TYPE_CHECKING

from tiecoat.archive.rollup.making import bring_up_to_date
from tiecoat.archive.tables.storage import storage_of
from tiecoat.archive.tables_now import OWN_AT_MOST
from tiecoat.errors import TiecoatError

if TYPE_CHECKING:
    from tiecoat.intake.outcome import Outcome, Pulse
    from tiecoat.lab.settings import Lab

QUIET_S = 60.0  # without anything to take in, before it begins
SELDOM = 20  # times as long as it took it waits before it may begin again


class RollingUp:
    """Does it in a thread of its own, which gives way to the next file that arrives.

    Kinds of few tables need no roll-up: a question opens each of their files.
    """

    def __init__(self, lab: Lab, quiet_s: float = QUIET_S) -> None:
        self._lab = lab
        self._quiet_s = quiet_s
        self._filed = True  # since the last time; at the start nobody knows
        self._due = time.monotonic() + quiet_s
        self._stop = Event()
        self._thread: Thread | None = None

    def became(self, outcome: Outcome) -> None:
        """Note that something was taken in."""
        self._filed = True
        self._stop.set()

    def beat(self, pulse: Pulse) -> None:
        """Begin when it is due, or give way."""
        now = time.monotonic()
        if pulse.queue or pulse.state != "watching":
            self._stop.set()
            self._due = max(self._due, now + self._quiet_s)
        elif self._filed and now >= self._due and not (self._thread and self._thread.is_alive()):
            self._filed = False
            self._stop.clear()
            self._thread = Thread(target=self._run, name="rolling up", daemon=True)
            self._thread.start()

    def follow(self, lab: Lab) -> None:
        """Go on with other settings."""
        self._lab = lab

    def close(self) -> None:
        """End it."""
        self._stop.set()
        if self._thread:
            self._thread.join()

    def _run(self) -> None:
        began = time.monotonic()
        storage = storage_of(self._lab)
        with suppress(OSError, TiecoatError):  # what is wrong is told by who needs it
            for kind in storage.kinds():
                if len(storage.versions(kind)) > OWN_AT_MOST:
                    bring_up_to_date(self._lab, kind, self._stop.is_set, tidy=True)
        ended = time.monotonic()
        self._filed |= self._stop.is_set()
        self._due = ended + max(self._quiet_s, SELDOM * (ended - began))
