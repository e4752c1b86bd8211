"""Being woken when something happens in a watched folder.

Events get lost, and an observer can die without a word, so nothing here is relied on: the service
scans at a slow beat as well, asks `sound()` each time, and builds a new watch when it is not.
"""

from __future__ import annotations

import contextlib
import importlib
import logging
import os
import queue
import sys
import threading
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

from watchdog.events import FileSystemEvent, FileSystemEventHandler
from watchdog.observers import Observer

# Its notes about emitters that have ended say nothing that `sound()` does not find.
logging.getLogger("watchdog").addHandler(logging.NullHandler())

# A folder that appears together with one in it is watched twice over; that does no harm.
warnings.filterwarnings("ignore", "Callback with id .* already exists", RuntimeWarning)


def _forgive_stale_paths() -> None:
    """Let watchdog 7 forget a watch of which it does not know the path any more.

    It keeps the paths of the watched folders in two tables. A folder that is moved out of the inbox
    keeps its watch and its path; a folder of the same name that is made after it takes over the
    path in one of the tables, and takes it along when it is deleted. When the watch of the first
    one ends then, `_remove_watch_internally` has done its work but for the path that is not there,
    and raises KeyError: in the thread that reads the events, which dies of it without a word, or
    out of `stop`, which then leaves threads behind.
    """
    inotify = importlib.import_module("watchdog.observers.inotify")
    group: Any = getattr(inotify, "InotifyWatchGroup", None)
    remove = getattr(group, "_remove_watch_internally", None)
    if remove is None:
        return

    def forgiving(self: object, watch: int) -> None:
        with contextlib.suppress(KeyError):
            remove(self, watch)

    group._remove_watch_internally = forgiving


if sys.platform == "linux":
    _forgive_stale_paths()


class _Doorbell(FileSystemEventHandler):
    """Queues the path and rings; anything more could kill the observer's thread."""

    def __init__(self, touched: queue.SimpleQueue[Path], ring: Callable[[], None]) -> None:
        self._touched = touched
        self._ring = ring

    def dispatch(self, event: FileSystemEvent) -> None:
        if event.event_type in {"opened", "closed_no_write"}:
            return  # our own look at the file
        for raw in (event.src_path, event.dest_path):
            if raw:
                self._touched.put(Path(os.fsdecode(raw)))
        self._ring()


class Watch:
    """Watches one folder, until it is closed or found unsound.

    Parameters
    ----------
    folder
        The watched folder.
    ring
        Called from another thread whenever something happened.
    """

    def __init__(self, folder: Path, ring: Callable[[], None]) -> None:
        self._touched: queue.SimpleQueue[Path] = queue.SimpleQueue()
        self._folder = folder
        self._identity = _identity(folder)
        self._observer = Observer()
        try:
            self._observer.schedule(_Doorbell(self._touched, ring), str(folder), recursive=True)
            self._observer.start()
        except (OSError, RecursionError):
            self.close()  # it has begun to listen already
            raise

    def touched(self) -> list[Path]:
        """Return the paths of which events were heard since the last call."""
        heard: list[Path] = []
        with contextlib.suppress(queue.Empty):
            while True:
                heard.append(self._touched.get_nowait())
        return heard

    def sound(self) -> bool:
        """Say whether the observer lives, with every thread of it, and looks at the same folder."""
        emitters = self._observer.emitters
        others = [one for one in vars(self._observer).values() if isinstance(one, threading.Thread)]
        alive = all(thread.is_alive() for thread in (self._observer, *emitters, *others))
        try:
            return alive and bool(emitters) and _identity(self._folder) == self._identity
        except OSError:
            return False

    def close(self) -> None:
        """Stop watching."""
        with contextlib.suppress(RuntimeError, OSError):
            self._observer.stop()
            self._observer.join(5)


def _identity(folder: Path) -> tuple[int, int]:
    status = folder.stat()
    return status.st_dev, status.st_ino
