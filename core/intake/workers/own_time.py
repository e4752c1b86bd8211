"""The time that a reader takes for itself: what its process waits for the machine does not count.

A clock on the wall blames a reader for other programs. What counts is the time that it computes or
sleeps; that in which it could go on and gets no processor does not.
"""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

TOO_SLOW_EXIT = 78  # how a worker leaves that has used its time
BY_SIGNAL = -int(getattr(signal, "SIGPROF", 27))  # or is ended, where it does not answer itself
BEAT_S = 0.05
IDLE = 0.02  # of the time on the wall that what sleeps may compute, where nothing tells more


@contextmanager
def own_time(limit_s: float) -> Iterator[None]:
    """End this process if what is done within takes longer for itself.

    A thread looks after it. Where it gets no turn, as in a search that never lets go of the
    interpreter, the system counts what is computed, and ends the process itself.
    """
    over = threading.Event()
    watch = threading.Thread(target=_watch, args=(_own_clock(), limit_s, over), daemon=True)
    _alarm(limit_s)
    watch.start()
    try:
        yield
    finally:
        over.set()
        _alarm(0.0)


def _watch(own_s: Callable[[], float], limit_s: float, over: threading.Event) -> None:
    while not over.wait(BEAT_S):
        if own_s() >= limit_s and not over.is_set():
            os._exit(TOO_SLOW_EXIT)


def _alarm(limit_s: float) -> None:
    if hasattr(signal, "setitimer"):
        signal.setitimer(signal.ITIMER_PROF, limit_s)


def _own_clock() -> Callable[[], float]:
    """Return what tells the seconds since now that this thread has taken for itself."""
    began, computed = time.monotonic(), time.process_time()
    path = Path(f"/proc/self/task/{threading.get_native_id()}/schedstat")
    waited = _waited_s(path)

    def own_s() -> float:
        wall_s = time.monotonic() - began
        now = _waited_s(path)
        if waited is not None and now is not None:
            return wall_s - (now - waited)
        computed_s = time.process_time() - computed
        return wall_s if computed_s < IDLE * wall_s else computed_s

    return own_s


def _waited_s(path: Path) -> float | None:
    """Return how long a thread could have gone on and got no processor; None where none tells."""
    try:
        return int(path.read_text().split()[1]) / 1e9
    except (OSError, ValueError, IndexError):
        return None
