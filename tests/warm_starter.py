"""Services that start in a moment: forked from a process that has loaded all libraries.

Most of what a start costs is loading them, which is the same each time. What a service does to the
disk, its locks, its process group and its workers are as in life. Linux only.
"""

from __future__ import annotations

import contextlib
import gc
import json
import os
import runpy
import signal
import subprocess
import sys
import time
import traceback
from collections.abc import Callable, Mapping, Sequence
from multiprocessing import util
from pathlib import Path
from types import ModuleType
from typing import Any


class Forked:
    """A process that a starter has forked; as far as needed like `Popen`."""

    def __init__(self, pid: int, ask: Callable[..., Any]) -> None:
        self.pid = pid
        self.returncode: int | None = None
        self._ask = ask

    def poll(self) -> int | None:
        """Return how it has ended, or None."""
        if self.returncode is None:
            self.returncode = self._ask("poll", self.pid)
        return self.returncode

    def wait(self, timeout: float | None = None) -> int:
        """Wait until it has ended."""
        end = time.monotonic() + (timeout or float("inf"))
        while (code := self.poll()) is None:
            if time.monotonic() > end:
                raise subprocess.TimeoutExpired("tiecoat serve", timeout or 0.0)
            time.sleep(0.005)
        return code

    def send_signal(self, number: int) -> None:
        """Send it a signal."""
        if self.poll() is None:
            os.kill(self.pid, number)

    def kill(self) -> None:
        """Kill it."""
        self.send_signal(signal.SIGKILL)

    def terminate(self) -> None:
        """Ask it to end."""
        self.send_signal(signal.SIGTERM)


class WarmStarter:
    """Has loaded what a service needs, and starts as many as wanted."""

    def __init__(self) -> None:
        self._process = subprocess.Popen(
            [sys.executable, __file__], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )

    def start(self, command: Sequence[str], log: Path, environment: Mapping[str, str]) -> Forked:
        """Start a command of Python, with -m or -c, in a process group of its own.

        Parameters
        ----------
        log
            File to whose end it prints.
        environment
            What its environment has beside that of the tests.
        """
        pid = self._ask("start", list(command[1:]), str(log), dict(environment))
        return Forked(pid, self._ask)

    def close(self) -> None:
        """End it; the services go on."""
        self._process.communicate("")

    def _ask(self, *words: Any) -> Any:
        assert self._process.stdin
        assert self._process.stdout
        self._process.stdin.write(json.dumps(words) + "\n")
        self._process.stdin.flush()
        return json.loads(self._process.stdout.readline())


# What follows runs in the starter and in the services.


def _answer_all(main: ModuleType) -> None:
    for name in ("cli.commands", "service.running", "intake.workers.pool", "intake.workers.warm"):
        __import__(f"tiecoat.{name}")
    del main.__file__  # else workers would run this file, as that of their program
    for line in sys.stdin:
        word, *rest = json.loads(line)
        if word == "poll":
            pid, status = os.waitpid(rest[0], os.WNOHANG)
            answer = os.waitstatus_to_exitcode(status) if pid else None
        elif not (answer := os.fork()):
            _run(*rest)
        print(json.dumps(answer), flush=True)


def _run(arguments: list[str], log: str, environment: Mapping[str, str]) -> None:
    os.setsid()
    said = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o666)
    nothing = os.open(os.devnull, os.O_RDONLY)
    for descriptor, place in ((nothing, 0), (said, 1), (said, 2)):
        os.dup2(descriptor, place)
    os.environ.update(environment)
    if folder := environment.get("PYTHONPATH"):
        runpy.run_path(str(Path(folder) / "sitecustomize.py"))
    util.spawnv_passfds = _forking_the_fork_server(util.spawnv_passfds)
    how, what, *sys.argv[1:] = arguments
    if how == "-m":
        runpy.run_module(what, run_name="__main__")
    else:
        exec(what, {"__name__": "__main__"})
    sys.exit()


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
    _answer_all(sys.modules["__main__"])
