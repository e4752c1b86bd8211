"""Ending a service that no longer moves, where no supervisor watches over that.

systemd does it by its watchdog. launchd and the Task Scheduler only start again what has ended, so
the process must end itself. Looks are counted, not seconds: a computer that has slept has not hung.
"""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable

from tiecoat.service.health import TOO_OLD_S

LOOK_S = 10.0
EXIT_STUCK = 70  # EX_SOFTWARE of sysexits.h


class Guard:
    """Ends the process when `beat` has not been called for long; asleep until the first beat.

    Parameters
    ----------
    say
        Called with the reason before the end.
    end
        Ends the process with an exit code, whatever it is doing.
    look_s, looks
        Seconds between two looks, and how many of them may find no new beat.
    """

    def __init__(
        self,
        say: Callable[[str], None],
        end: Callable[[int], object] = os._exit,
        look_s: float = LOOK_S,
        looks: int = round(TOO_OLD_S / LOOK_S),
    ) -> None:
        self._say, self._end = say, end
        self._look_s, self._looks = look_s, looks
        self._beats = 0
        self._over = False

    def beat(self) -> None:
        """Say that the service moves."""
        self._beats += 1
        if self._beats == 1:
            threading.Thread(target=self._watch, name="guard", daemon=True).start()

    def close(self) -> None:
        """Stop watching: the service ends by itself."""
        self._over = True

    def _watch(self) -> None:
        seen, idle = 0, 0
        while not self._over:
            if self._beats != seen:
                seen, idle = self._beats, 0
            elif (idle := idle + 1) >= self._looks:
                stuck_s = idle * self._look_s
                self._say(f"nothing has moved for {stuck_s:g} s: ending, to be started again")
                self._end(EXIT_STUCK)
                return
            time.sleep(self._look_s)
