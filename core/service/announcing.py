"""Telling people of events by what plugins bring, in a worker process that intake never waits for.

What a plugin does (a mail server that does not answer, a crash) costs its own event only.
"""

from __future__ import annotations

import signal
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from pebble import ProcessPool

from tiecoat.extend.blame import blame
from tiecoat.extend.loading import announcers_named, load_announcers
from tiecoat.intake.outcome import Outcome, Pulse
from tiecoat.intake.workers.pool import failure_of, worker_context
from tiecoat.lab.settings import Lab
from tiecoat.plugin import Event
from tiecoat.wording import counted

LIMIT_S = 30.0  # for one event and all plugins
MOST_WAITING = 100
LAST_WAIT_S = 5.0  # for what is still being told when the service stops


class Announcer:
    """Announces events through the plugins of a lab; does nothing where there are none.

    Parameters
    ----------
    lab
        The lab.
    say
        Called with what went wrong, once for each thing that did.
    """

    def __init__(self, lab: Lab, say: Callable[[str], None]) -> None:
        self._say = say
        self._pool: ProcessPool | None = None
        self._take_over(lab)
        self._under_way: list[Future[tuple[str, ...]]] = []
        self._more = 0
        self._told: set[str] = set()

    def follow(self, lab: Lab) -> None:
        """Announce by the plugins that the settings allow now."""
        self.close()
        self._take_over(lab)

    def _take_over(self, lab: Lab) -> None:
        self._lab = lab
        self._folder = lab.own_readers
        self._wanted = announcers_named(self._folder)

    def said(self, line: str) -> None:
        """Announce something about the service itself."""
        self._announce(Event("said", line, self._lab.root, datetime.now(UTC)))

    def became(self, outcome: Outcome) -> None:
        """Announce a file that is held."""
        if held := outcome.held:
            folder = self._lab.held / held.id
            event = Event("held", outcome.line, self._lab.root, datetime.now(UTC), folder)
            self._announce(event)

    def beat(self, pulse: Pulse) -> None:
        """Look what has become of the announcements; the worker ends with the service."""
        for future in [future for future in self._under_way if future.done()]:
            self._under_way.remove(future)
            if future.cancelled():
                self._tell_once("the service was stopped before it was done")
                continue
            failure = failure_of(future)
            for problem in (failure.detail or "",) if failure else future.result():
                self._tell_once(problem)
        if self._more and not self._under_way:
            number, self._more = self._more, 0
            self.said(f"{counted(number, 'more event')} at the same time; see: tiecoat held")

    def close(self) -> None:
        """Let what is being told come to its end, but not for long."""
        if self._pool:
            self._pool.close()
            try:
                self._pool.join(LAST_WAIT_S)
            except TimeoutError:
                self._pool.stop()
                self._pool.join(LAST_WAIT_S)
            self._pool, self._wanted = None, False
            self.beat(Pulse("stopping"))

    def _announce(self, event: Event) -> None:
        if not self._wanted:
            return
        if len(self._under_way) >= MOST_WAITING:
            self._more += 1
            return
        try:
            self._under_way.append(self._schedule(event))
        except RuntimeError as error:  # pebble's: the system ended what starts the worker
            self._pool = None
            self._tell_once(blame(error))

    def _schedule(self, event: Event) -> Future[tuple[str, ...]]:
        if self._pool is None:
            self._pool = ProcessPool(
                max_workers=1,
                initializer=_set_up,
                initargs=(self._folder,),
                context=worker_context(),
            )
        future: Future[tuple[str, ...]] = self._pool.schedule(
            _announce, args=(event,), timeout=LIMIT_S
        )
        return future

    def _tell_once(self, problem: str) -> None:
        if problem not in self._told:
            self._told.add(problem)
            self._say(f"an event was not announced: {problem}")


# What follows runs in the worker.


@dataclass
class _AnnouncingWorker:
    folder: Path | None = None


_worker = _AnnouncingWorker()


def _set_up(folder: Path | None) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the service to answer
    _worker.folder = folder


def _announce(event: Event) -> tuple[str, ...]:
    """Announce an event by every plugin and return what went wrong."""
    loaded = load_announcers(_worker.folder)
    problems = list(loaded.problems)
    for where, announce in loaded.announce.items():
        try:
            announce(event)
        except (Exception, SystemExit) as error:  # noqa: BLE001 - a stranger's code
            problems.append(f"{where}: {blame(error)}")
    return tuple(problems)
