"""Services that start in a moment: forked from a process that has loaded all libraries.

Most of what a start costs is loading them, to which a kill can do nothing. What a service does to
the disk, its locks, its process group and its workers are as in life. Linux only.
"""

from __future__ import annotations

import contextlib
import ctypes
import gc
import json
import os
import runpy
import signal
import subprocess
import sys
import time
import traceback
from collections.abc import Sequence
from multiprocessing import util
from pathlib import Path

KILLER = Path(__file__).parent / "killer" / "sitecustomize.py"
PR_SET_CHILD_SUBREAPER = 36  # prctl(2)


class Forked:
    """A process whose parent has gone, so that it is ours; as far as needed like `Popen`."""

    def __init__(self, pid: int) -> None:
        self.pid = pid
        self.returncode: int | None = None

    def poll(self) -> int | None:
        """Return how it has ended, or None."""
        if self.returncode is None:
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            self.returncode = os.waitstatus_to_exitcode(status) if pid else None
        return self.returncode

    def wait(self, timeout: float | None = None) -> int:
        """Wait until it has ended."""
        end = time.monotonic() + (timeout or float("inf"))
        while (code := self.poll()) is None:
            if time.monotonic() > end:
                raise subprocess.TimeoutExpired("tiecoat serve", timeout or 0.0)
            time.sleep(0.005)
        return code

    def kill(self) -> None:
        """Kill it."""
        os.kill(self.pid, signal.SIGKILL)

    def terminate(self) -> None:
        """Ask it to end."""
        os.kill(self.pid, signal.SIGTERM)


class WarmStarter:
    """Has loaded what a service needs, and starts as many as wanted."""

    def __init__(self) -> None:
        if ctypes.CDLL(None).prctl(PR_SET_CHILD_SUBREAPER, 1, 0, 0, 0):
            raise OSError("this process cannot adopt others")
        self._process = subprocess.Popen(
            [sys.executable, __file__], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )

    def start(self, root: Path, log: Path, kill_at: str) -> Forked:
        """Start a service of a lab; `kill_at` is for the killer, "" for none."""
        assert self._process.stdin
        assert self._process.stdout
        self._process.stdin.write(json.dumps([str(root), str(log), kill_at]) + "\n")
        self._process.stdin.flush()
        return Forked(int(self._process.stdout.readline()))

    def close(self) -> None:
        """End it; the services go on."""
        self._process.communicate("")


# What follows runs in the starter and in the services.


def _start_all() -> None:
    for name in ("cli.commands", "service.running", "intake.workers.pool", "intake.workers.warm"):
        __import__(f"tiecoat.{name}")
    for line in sys.stdin:
        root, log, kill_at = json.loads(line)
        told, tell = os.pipe()
        between = os.fork()
        if not between:  # it ends at once: the service becomes a child of the test
            if service := os.fork():
                os.write(tell, f"{service}\n".encode())
                os._exit(0)
            os.close(told)
            os.close(tell)
            _serve(root, log, kill_at)
        os.waitpid(between, 0)
        os.write(1, os.read(told, 100))
        os.close(told)
        os.close(tell)


def _serve(root: str, log: str, kill_at: str) -> None:
    os.setsid()
    said = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o666)
    nothing = os.open(os.devnull, os.O_RDONLY)
    for descriptor, place in ((nothing, 0), (said, 1), (said, 2)):
        os.dup2(descriptor, place)
    if kill_at:
        os.environ["KILL_AT"] = kill_at
        runpy.run_path(str(KILLER))
    util.spawnv_passfds = _forking_the_fork_server(util.spawnv_passfds)

    from tiecoat.cli import main

    sys.exit(main(["serve", "--lab", root]))


def _forking_the_fork_server(spawn):  # type: ignore[no-untyped-def]
    """Return what starts the server of the workers by a fork, and everything else as before."""

    def forked(path: bytes, arguments: Sequence[str], kept: Sequence[int]) -> int:
        if "multiprocessing.forkserver" not in arguments[-1]:
            return int(spawn(path, arguments, kept))
        if server := os.fork():
            return server
        try:
            gc.freeze()  # nothing of the service's is to be closed a second time
            for descriptor in map(int, os.listdir("/proc/self/fd")):  # noqa: PTH208
                if descriptor > 2 and descriptor not in kept:
                    with contextlib.suppress(OSError):
                        os.close(descriptor)
            for number in (signal.SIGINT, signal.SIGTERM):
                signal.signal(number, signal.SIG_DFL)
            exec(arguments[-1], {})
        except Exception:  # noqa: BLE001 - as a process of its own would tell it
            traceback.print_exc()
        finally:
            os._exit(1)

    return forked


if __name__ == "__main__":
    _start_all()
