"""Publishing into the lab's lake while the service has nothing else to do.

It goes on in a process of its own: whatever its storage does, or the library, intake never waits
for it. Ended at any moment it leaves each kind there as it was or as it is now.
"""

from __future__ import annotations

import os
import time
from concurrent.futures import Future
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from pebble import ProcessPool

from tiecoat.archive.journal.records import Journal
from tiecoat.errors import TiecoatError
from tiecoat.extend.blame import blame
from tiecoat.intake.workers.pool import words_of, worker_context
from tiecoat.lab.settings import Lab, open_lab
from tiecoat.service.rolling_up import SELDOM

if TYPE_CHECKING:
    from collections.abc import Callable

    from tiecoat.intake.outcome import Pulse

LOOK_S = 5.0  # between two looks at the journal
QUIET_S = 60.0  # between two publishings
LONGEST_PAUSE_S = 600.0  # between two, where the last one failed or took long
LONG_S = 3600.0  # from which on it is told that one has not come to an end
LAST_WAIT_S = 5.0  # for its process to be gone when the service stops
POLITE = 10  # how far intake goes before it, where both want the processor


class Publishing:
    """Publishes when the journal has gone on, or the settings are others, and nothing is queued.

    Parameters
    ----------
    lab
        Names the lake, if there is one.
    say
        Called when something is in its way, and when it is not any more.
    """

    def __init__(self, lab: Lab, say: Callable[[str], None], quiet_s: float = QUIET_S) -> None:
        self._lab, self._say, self._quiet_s = lab, say, quiet_s
        self._pool: ProcessPool | None = None
        self._under_way: Future[str] | None = None
        self._forget()

    def _forget(self) -> None:
        self._began = self._due = time.monotonic()
        self._failed = 0  # times, one after the other
        self._trouble = self._told = ""
        self._last = self._published = ""  # the journal when it began, and when all was published

    def follow(self, lab: Lab) -> None:
        """Go on with other settings: into another lake, or with other choices for evaluations."""
        if lab.lake != self._lab.lake:
            self.close()
        self._lab = lab
        if self._under_way is None:
            self._forget()
        self._last = ""  # what is under way may have seen the settings of before

    def beat(self, pulse: Pulse) -> Pulse:
        """Go on with it where it is time to; return the pulse with what is in its way."""
        if self._lab.lake is None or pulse.state != "watching":
            return pulse
        if self._under_way and self._under_way.done():
            self._end(words_of(self._under_way))
        elif self._under_way is None and not pulse.queue and time.monotonic() >= self._due:
            self._begin()
        return replace(pulse, troubles=(*pulse.troubles, *filter(None, (self._in_the_way(),))))

    def close(self) -> None:
        """End it, wherever it is."""
        if self._pool:
            self._pool.stop()
            with suppress(TimeoutError):  # a share that hangs lets nobody go
                self._pool.join(LAST_WAIT_S)
        self._pool = self._under_way = None

    def _begin(self) -> None:
        self._began = time.monotonic()
        self._due = self._began + LOOK_S
        try:
            last = Journal(self._lab).last()
        except OSError:  # whoever files tells of it
            return
        if last is None or last["hash"] == self._published:
            return
        self._last = str(last["hash"])
        try:
            self._pool = ProcessPool(max_workers=1, context=worker_context())
            self._under_way = self._pool.schedule(_publish, args=(self._lab.root,))
        except RuntimeError as error:  # pebble's: the system ended what starts the process
            self._end(blame(error))

    def _end(self, trouble: str) -> None:
        """Note what has come of it, "" for all that was wanted, and when it is due again."""
        self.close()
        took_s = time.monotonic() - self._began
        self._failed = self._failed + 1 if trouble else 0
        self._published = "" if trouble else self._last
        pause_s = pause_after(self._failed, self._quiet_s) if trouble else SELDOM * took_s
        pause_s = min(max(pause_s, self._quiet_s), LONGEST_PAUSE_S)
        self._due = time.monotonic() + pause_s
        why = " ".join(trouble.split())
        self._trouble = why and f"not published, trying again until it works: {why}"
        said = self._trouble or f"published in {self._lab.lake}"
        if said != self._told:
            self._told = said
            self._say(said)

    def _in_the_way(self) -> str:
        if self._under_way and time.monotonic() - self._began > LONG_S:
            hours = (time.monotonic() - self._began) / 3600
            return f"publishing in {self._lab.lake} has not come to an end for {hours:.0f} h"
        return self._trouble


def pause_after(failed: int, quiet_s: float) -> float:
    """Return the seconds until the next try when so many have failed, one after the other.

    Examples
    --------
    >>> [pause_after(number, 60.0) for number in (1, 2, 3, 4, 5, 500)]
    [60.0, 120.0, 240.0, 480.0, 600.0, 600.0]
    """
    return min(quiet_s * 2.0 ** min(failed - 1, 16), LONGEST_PAUSE_S)


# What follows runs in its process.


def _publish(root: Path) -> str:
    """Publish a lab, and return in words what is in the way, "" for nothing."""
    if hasattr(os, "nice"):
        os.nice(POLITE)
    from tiecoat.lake.publishing import Publisher
    from tiecoat.lake.tables import without_secrets

    try:
        lab = open_lab(root)
        done = Publisher(lab, lab.lake or "").publish()
    except TiecoatError as error:
        return str(error)
    except Exception as error:  # noqa: BLE001 - the library's, which may name a secret
        return without_secrets(blame(error))
    return "; ".join(f"{one.kind}: {one.refused}" for one in done.kinds if one.refused)
