"""Being woken when something happens in a watched folder.

Events get lost, and an observer can die without a word, so nothing here is relied on: the service
scans at a slow beat as well, asks `sound()` each time, and builds a new watch when it is not.
"""

from __future__ import annotations

import contextlib
import logging
import os
import queue
from collections.abc import Callable
from pathlib import Path

from watchdog.events import FileSystemEvent, FileSystemEventHandler
from watchdog.observers import Observer

# Its notes about emitters that have ended say nothing that `sound()` does not find.
logging.getLogger("watchdog").addHandler(logging.NullHandler())


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
        self._observer.schedule(_Doorbell(self._touched, ring), str(folder), recursive=True)
        self._observer.start()

    def touched(self) -> list[Path]:
        """Return the paths of which events were heard since the last call."""
        heard: list[Path] = []
        with contextlib.suppress(queue.Empty):
            while True:
                heard.append(self._touched.get_nowait())
        return heard

    def sound(self) -> bool:
        """Say whether the observer lives and still looks at the same folder."""
        emitters = self._observer.emitters
        alive = self._observer.is_alive() and bool(emitters) and all(e.is_alive() for e in emitters)
        try:
            return alive and _identity(self._folder) == self._identity
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
