"""The health file: <lab>/health.json, from which a person or a monitor sees how the service is.

It is replaced whole, so that nobody reads half of it, and not flushed to the disk: after a power
cut there is no service of which it could tell. While nothing changes it is written every BEAT_S
seconds, so that a disk at rest gets a few hundred bytes a beat and nothing accumulates.
"""

from __future__ import annotations

import json
import os
import socket
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass, fields, replace
from datetime import UTC, datetime
from pathlib import Path

from tiecoat import __version__
from tiecoat.disk import fsio
from tiecoat.errors import WrittenByNewer, refuse_newer
from tiecoat.intake.held.counting import HeldCount
from tiecoat.intake.outcome import Pulse
from tiecoat.lab.settings import Lab

HEALTH = "health.json"
BEAT_S = 10.0  # between two writings while nothing changes
SOON_S = 1.0  # and while something does
FORMAT = 1  # of the health file; one that does not say it is of format 1
TOO_OLD_S = 300.0  # a service whose last beat is older does not move any more


@dataclass(frozen=True)
class Health:
    """How a service was at its last beat.

    Parameters
    ----------
    state
        starting, watching or stopping.
    beat, since
        When it last moved on, and when it started: ISO 8601, UTC.
    pid, host, version
        Of its process.
    waiting
        Files in the inboxes that have not settled.
    queue
        Files that have settled and are neither filed nor held yet.
    held
        Held files.
    remarked
        Measurements that are filed with a remark.
    troubles
        What is in its way now, such as an inbox out of reach.
    last_error, last_error_at
        The latest trouble, also when it is over; of the run before, that it ended unasked.
    format
        Of the file. Fields may be added to one; what it has keeps its meaning.
    """

    state: str
    beat: str
    since: str
    pid: int
    host: str
    version: str
    waiting: int = 0
    queue: int = 0
    held: int = 0
    remarked: int = 0
    troubles: tuple[str, ...] = ()
    last_error: str | None = None
    last_error_at: str | None = None
    format: int = FORMAT


def read_health(root: Path) -> Health | None:
    """Return the health of the service of the lab at `root`, or None if it has left none.

    Raises
    ------
    OSError
        If it has left one that cannot be read.
    WrittenByNewer
        If it has left one of a format that is not known here.
    """
    try:
        record = json.loads((root / HEALTH).read_text(encoding="utf-8"))
        said = {one.name: record[one.name] for one in fields(Health) if one.name in record}
        health = Health(**{**said, "troubles": tuple(record["troubles"])})
    except FileNotFoundError:
        return None
    except (ValueError, LookupError, TypeError, RecursionError):
        return None
    refuse_newer(root / HEALTH, health.format, FORMAT)
    return health


class HealthFile:
    """Keeps the health file of a lab; only the process that has the service lock may.

    Parameters
    ----------
    lab
        The lab.
    clock
        Monotonic time in seconds.
    """

    def __init__(self, lab: Lab, clock: Callable[[], float] = time.monotonic) -> None:
        self._lab = lab
        self._clock = clock
        self._written = float("-inf")
        self._pulse: Pulse | None = None
        self._held = HeldCount(lab)
        now = _now()
        self._health = Health("starting", now, now, os.getpid(), socket.gethostname(), __version__)

    def beat(self, pulse: Pulse) -> None:
        """Write how the service is, where it is time to. A disk that refuses stops nothing."""
        if self._pulse is None:
            self._look_back()
        quiet_s = BEAT_S if pulse == self._pulse else SOON_S
        turned = self._pulse is None or pulse.state != self._pulse.state
        if not turned and self._clock() - self._written < quiet_s:
            return
        if new := [one for one in pulse.troubles if one not in self._health.troubles]:
            self._health = replace(self._health, last_error=new[-1], last_error_at=_now())
        self._pulse, self._written = pulse, self._clock()
        self._health = replace(
            self._health,
            state=pulse.state,
            beat=_now(),
            waiting=pulse.waiting,
            queue=pulse.queue,
            remarked=pulse.remarked,
            troubles=pulse.troubles,
        )
        try:
            self._health = replace(self._health, held=self._held.now())
            content = json.dumps(asdict(self._health), ensure_ascii=False, indent=2)
            fsio.swap_note(self._lab.root / HEALTH, content.encode("utf-8", "replace"))
        except OSError:
            return  # the next beat tries again; without one the file itself tells

    def _look_back(self) -> None:
        """Take over what the run before has left to tell."""
        try:
            before = read_health(self._lab.root)
        except (OSError, WrittenByNewer):  # what it says is only told
            return
        if before is None:
            return
        last, at = before.last_error, before.last_error_at
        if before.state != "stopping":
            last = f"process {before.pid} ended without having been stopped"
            at = before.beat
        self._health = replace(self._health, last_error=last, last_error_at=at)


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="seconds")
