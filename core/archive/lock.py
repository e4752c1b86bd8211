"""One writer at a time, one service at a time: locks that end with the process that holds them."""

from __future__ import annotations

import json
import os
import socket
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from tiecoat.disk import fsio
from tiecoat.errors import LabInUse
from tiecoat.lab.settings import Lab

WAIT_S = 60.0


class _Mine(threading.local):
    """The locks that this thread holds."""

    def __init__(self) -> None:
        self.paths: set[Path] = set()


_mine = _Mine()


@contextmanager
def write_lock(lab: Lab, wait_s: float = WAIT_S) -> Iterator[None]:
    """Hold the right to change this lab's archive; readers do not need it.

    A thread that holds it may take it again.

    Parameters
    ----------
    wait_s
        Seconds to wait for another writer.

    Raises
    ------
    LabInUse
        If another process (or another thread of this one) still writes; the message names it.
    """
    with _held(lab.root / ".write.lock", wait_s, f"another process is writing to {lab.root}"):
        yield


def is_written(lab: Lab) -> bool:
    """Say whether a process is writing to this lab just now; False if this one may not ask."""
    try:
        with write_lock(lab, wait_s=0.0):
            return False
    except LabInUse:
        return True
    except OSError:
        return False


@contextmanager
def service_lock(lab: Lab) -> Iterator[None]:
    """Hold the right to serve this lab, for as long as the service lives.

    Raises
    ------
    LabInUse
        If another process serves it already; the message names it.
    """
    with _held(lab.root / ".service.lock", 0.0, f"another process serves {lab.root} already"):
        yield


@contextmanager
def rollup_lock(lab: Lab) -> Iterator[None]:
    """Hold the right to change the roll-up; nobody waits for it.

    Raises
    ------
    LabInUse
        If another process is about it.
    """
    with _held(lab.root / ".rollup.lock", 0.0, f"another process rolls up {lab.root}"):
        yield


@contextmanager
def rebuild_lock(lab: Lab) -> Iterator[None]:
    """Hold the right to make this lab's archive again, beside whoever serves it.

    Raises
    ------
    LabInUse
        If another process does so already; the message names it.
    """
    with _held(lab.root / ".rebuild.lock", 0.0, f"the archive of {lab.root} is being made again"):
        yield


@contextmanager
def _held(path: Path, wait_s: float, complaint: str) -> Iterator[None]:
    if path in _mine.paths:  # taken again by the thread that holds it
        yield
        return
    from filelock import FileLock, Timeout

    # Locked by the kernel, so it ends with the process, however that ends.
    lock = FileLock(path)
    holder = path.with_suffix(".holder")
    try:
        lock.acquire(timeout=wait_s)
    except Timeout:
        raise LabInUse(
            f"{complaint}: {_who(holder)}.\nWait until it has finished, or end it."
        ) from None
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(path)) from error
    try:
        _mine.paths.add(path)
        fsio.leave_note(holder, json.dumps(_myself()).encode())
        yield
    finally:
        _mine.paths.discard(path)
        lock.release()


def _myself() -> dict[str, Any]:
    since = datetime.now(UTC).isoformat(sep=" ", timespec="seconds")
    command = " ".join([Path(sys.argv[0]).name, *sys.argv[1:]]) if sys.argv else ""
    return {"pid": os.getpid(), "host": socket.gethostname(), "since": since, "command": command}


def _who(holder: Path) -> str:
    """Say who left the note; if that process is gone, another one holds the lock by now."""
    import psutil

    unknown = "a process that has not left its name"
    try:
        note = json.loads(holder.read_bytes())
        pid, host = int(note["pid"]), str(note["host"])
        words = f"process {pid} on {host}, since {note['since']} ({note['command']})"
    except (OSError, ValueError, LookupError, TypeError, RecursionError):
        return unknown
    gone = host == socket.gethostname() and not psutil.pid_exists(pid)
    return unknown if gone else words
