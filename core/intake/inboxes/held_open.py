"""Which files another process holds open for writing: a veto only, never a proof of the end.

A writer that opens, appends and closes looks free. Linux says in /proc what each process has open,
but of processes of other accounts only to root, and nothing of those on other computers. Windows is
asked by an exclusive open, for which a share asks its server. macOS is not asked.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path
from typing import NewType

AGAIN_S = 1.0  # until it is asked again of a file that is held open
REST = 10  # a look at all processes is followed by none for so many times what it cost
WRITES = os.O_WRONLY | os.O_RDWR

_Descriptor = NewType("_Descriptor", str)  # /proc/<pid>/fd/<number>


class HeldOpen:
    """Says of files whether a process holds them open for writing.

    Parameters
    ----------
    clock
        Monotonic time in seconds, the same in which `among` is told of changes.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._at = float("-inf")  # when the last look began
        self._next = float("-inf")
        self._open: dict[str, list[_Descriptor]] = {}  # by file name

    def among(self, changed: Mapping[Path, float]) -> dict[Path, float]:
        """Return those that are held open, or that no look has seen since they changed.

        With each comes when to ask again.

        Parameters
        ----------
        changed
            The files, and when each changed last.
        """
        now = self._clock()
        if sys.platform == "win32":
            return {path: now + AGAIN_S for path in changed if _refused(path)}
        if sys.platform != "linux" or not changed:
            return {}
        if max(changed.values()) >= self._at and now >= self._next:
            self._look()
        unseen = {path: self._next for path, last in changed.items() if last > self._at}
        held = {
            path: now + AGAIN_S
            for path in changed
            if any(_writes(one, path) for one in self._open.get(path.name, ()))
        }
        return unseen | held

    def _look(self) -> None:
        began = time.thread_time()
        self._at, self._open = self._clock(), {}
        for process in _names("/proc"):
            for number in _names(f"/proc/{process}/fd"):
                descriptor = _Descriptor(f"/proc/{process}/fd/{number}")
                with suppress(OSError):  # closed meanwhile
                    target = os.readlink(descriptor)  # noqa: PTH115 - thousands of them
                    if target.startswith("/"):
                        name = target.rpartition("/")[2]
                        self._open.setdefault(name, []).append(descriptor)
        self._next = self._at + REST * (time.thread_time() - began)


def _names(folder: str) -> list[str]:
    try:
        return [name for name in os.listdir(folder) if name.isdecimal()]  # noqa: PTH208
    except OSError:  # ended meanwhile, or none of ours
        return []


def _writes(descriptor: _Descriptor, path: Path) -> bool:
    """Say whether an open file is this one, and open for writing."""
    try:
        found, wanted = os.stat(descriptor), path.lstat()  # noqa: PTH116
        same = (found.st_dev, found.st_ino) == (wanted.st_dev, wanted.st_ino)
        said = Path(descriptor.replace("/fd/", "/fdinfo/")).read_text(encoding="ascii")
    except OSError:
        return False
    flags = next(line.split()[1] for line in said.splitlines() if line.startswith("flags:"))
    return same and bool(int(flags, 8) & WRITES)


if sys.platform == "win32":
    import _winapi

    def _refused(path: Path) -> bool:
        """Say whether it can be opened by nobody else at the same time."""
        try:
            handle = _winapi.CreateFile(
                str(path), _winapi.GENERIC_READ, 0, 0, _winapi.OPEN_EXISTING, 0, 0
            )
        except OSError:
            return True
        _winapi.CloseHandle(handle)
        return False
