"""The service as a whole: intake, and all that must hear of what it does."""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from multiprocessing.util import Finalize
from pathlib import Path

from rich.console import Console

from tiecoat import __version__
from tiecoat.disk import fsio
from tiecoat.errors import TiecoatError
from tiecoat.extend.blame import blame
from tiecoat.intake.outcome import Outcome, Pulse, Teller
from tiecoat.intake.taking_in import serve
from tiecoat.lab.access import keep_from_others
from tiecoat.lab.settings import SETTINGS, Lab, ReadableBy, open_lab
from tiecoat.service.announcing import Announcer
from tiecoat.service.guard import Guard
from tiecoat.service.health import HealthFile
from tiecoat.service.logfile import OWN_LOG, log_file
from tiecoat.service.notify import notify, watchdog_s
from tiecoat.service.publishing import Publishing
from tiecoat.service.rolling_up import RollingUp
from tiecoat.service.view import View
from tiecoat.wording import shortened

START_S = 120  # what systemd is asked to wait on, at each sign of life before the service is ready


def run(
    folder: str, console: Console, stop: threading.Event, wake: threading.Event, *, log: bool
) -> None:
    """Serve the lab in `folder` until `stop` and `wake` are set.

    Parameters
    ----------
    log
        Whether nobody looks at the console: then its lines go into the log of the lab too, and a
        service that hangs ends itself, to be started again.

    Raises
    ------
    TiecoatError
        If the folder is no lab, a setting is not allowed, or another service has the lab.
    """
    _be_silent_of_lost_locks()
    root = Path(folder).absolute()
    keep_from_others(_readable_by(root))
    if not log or not fsio.is_file(root / SETTINGS):
        _run(open_lab(root), console, stop, wake, Teller(_ignore, _ignore))
        return
    with log_file(root) as write, log_file(root, OWN_LOG) as write_own:

        def say(line: str) -> None:
            write(line)
            write_own(line)

        with _logged(say):
            lab = open_lab(root)
            say(f"started: tiecoat {__version__}, {lab.root}")
            guard = Guard(say)
            beat = _ignore if watchdog_s() else lambda pulse: guard.beat()
            try:
                _run(lab, console, stop, wake, Teller(say, lambda told: write(told.line), beat))
            finally:
                guard.close()
            say("stopped")


def _be_silent_of_lost_locks() -> None:
    """Have no traceback printed where the process that keeps count of locks is killed.

    Killed between the look whether it lives and the word that a lock was given up, it leaves a pipe
    that nobody reads. The lock is gone by then, and the next one has another keeper.
    """
    tell = sys.unraisablehook

    def hook(found: sys.UnraisableHookArgs) -> None:
        lock_given_up = isinstance(found.object, Finalize)
        if not (lock_given_up and isinstance(found.exc_value, BrokenPipeError)):
            tell(found)

    sys.unraisablehook = hook


def _readable_by(root: Path) -> ReadableBy:
    """Return who may read what is written; where no setting can be read, the owner may read why."""
    try:
        return open_lab(root).settings.access.readable_by
    except (TiecoatError, OSError):
        return "owner"


def _run(
    lab: Lab, console: Console, stop: threading.Event, wake: threading.Event, logged: Teller
) -> None:
    with ExitStack() as stack:
        view = stack.enter_context(View(console, lab))
        tellers = [view.teller, logged, Teller(_ignore, _ignore, HealthFile(lab).beat)]
        tellers.append(Teller(_ignore, _ignore, Supervised().beat))
        rolling_up = RollingUp(lab)
        stack.callback(rolling_up.close)
        tellers.append(Teller(_ignore, rolling_up.became, rolling_up.beat, rolling_up.follow))
        announcer = Announcer(lab, together(list(tellers)).say)
        stack.callback(announcer.close)
        tellers.append(Teller(announcer.said, announcer.became, announcer.beat, announcer.follow))
        publishing = Publishing(lab, together(list(tellers)).say)
        stack.callback(publishing.close)
        tellers.append(Teller(_ignore, _ignore, follow=publishing.follow))
        told = together(tellers)
        every = replace(told, beat=lambda pulse: told.beat(publishing.beat(pulse)))
        serve(lab, every, stop, wake)


class Supervised:
    """Tells systemd that the service starts, is ready, still moves, and ends."""

    def __init__(self) -> None:
        watchdog = watchdog_s()
        self._every_s = watchdog / 4 if watchdog else float("inf")
        self._last = float("-inf")
        self._state = ""

    def beat(self, pulse: Pulse) -> None:
        """Pass a sign of life on, where it says something new or the watchdog waits for it."""
        now = time.monotonic()
        if pulse.state == "starting" and now - self._last > START_S / 4:
            notify(f"EXTEND_TIMEOUT_USEC={START_S * 10**6}", "STATUS=completing what was begun")
            self._last = now
        elif pulse.state == "watching" and self._state != "watching":
            notify("READY=1", "STATUS=watching the inboxes", "WATCHDOG=1")
            self._last = now
        elif pulse.state == "watching" and now - self._last >= self._every_s:
            notify("WATCHDOG=1")
            self._last = now
        elif pulse.state == "stopping":
            notify("STOPPING=1", "STATUS=stopping")
        self._state = pulse.state


def together(tellers: list[Teller]) -> Teller:
    """Return a teller that tells all of these."""

    def say(line: str) -> None:
        for teller in tellers:
            teller.say(line)

    def tell(outcome: Outcome) -> None:
        for teller in tellers:
            teller.tell(outcome)

    def beat(pulse: Pulse) -> None:
        for teller in tellers:
            teller.beat(pulse)

    def follow(lab: Lab) -> None:
        for teller in tellers:
            teller.follow(lab)

    return Teller(say, tell, beat, follow)


def _ignore(told: object) -> None:
    """Tell nobody."""


@contextmanager
def _logged(write: Callable[[str], None]) -> Iterator[None]:
    """Log what ends the service: launchd and the Task Scheduler keep nothing of what it prints."""
    try:
        yield
    except (TiecoatError, OSError) as error:
        write(f"ended: {shortened(str(error))}")
        raise
    except Exception as error:
        write(f"ended by a fault of tiecoat itself: {blame(error)}")
        raise
