"""The real service as a process of its own, to be killed."""

from __future__ import annotations

import contextlib
import os
import signal
import sys
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Literal, TypeAlias

import psutil
from labs import started
from warm_starter import WarmStarter

from tiecoat.lab.new_lab import new_lab

SETTINGS = """\
[intake]
settle_s = 0.1
scan_s = 0.2

[ids]
batch = 'RB-[0-9]{3}'
panel = '(?P<batch>RB-[0-9]{3})-[0-9]|T[0-9]{5}'

[numbers]
decimal = "point"
"""

PATIENCE_S = 150.0  # of a test: workers that stand still are replaced after a minute
LOOK_S = 0.1  # between two looks at how long it was kept waiting
ORPHANS_S = 15.0  # how long workers may outlive the service


def lay_out(root: Path) -> None:
    """Lay out a lab with short waits, whose register says the batch of panels like T00001."""
    new_lab(root, SETTINGS)


Whom: TypeAlias = Literal["group", "service", "workers"]


@dataclass(frozen=True)
class KillAt:
    """A kill when a step is reached for the nth time; `mark` is a file that is made just before."""

    step: str
    times: int
    whom: Whom
    mark: Path

    def __str__(self) -> str:
        return f"{self.step} {self.times} {self.whom} {self.mark}"


class FairClock:
    """Seconds that have passed for a process and its children, on a machine that others use too.

    What those were kept waiting for a processor, of which one at least was ready to run, does not
    count: so a limit by this clock says what the service did, and not how busy the machine was.

    Parameters
    ----------
    process
        Id of the process, which leads its children. On systems without /proc all time counts.
    """

    def __init__(self, process: int) -> None:
        self._process = process
        self._waited: dict[str, float] = {}
        self._last = time.monotonic()
        self._passed_s = 0.0

    def __call__(self) -> float:
        now = time.monotonic()
        if now - self._last < LOOK_S:
            return self._passed_s
        waited = dict(_waited_s(self._process))
        kept_s = max((s - self._waited.get(task, 0.0) for task, s in waited.items()), default=0.0)
        self._passed_s += max(0.0, now - self._last - kept_s)
        self._last, self._waited = now, waited
        return self._passed_s


def _waited_s(process: int) -> Iterator[tuple[str, float]]:
    """Return each thread of a process and its children, and how long it waited for a processor."""
    with contextlib.suppress(OSError):  # it has ended, or this system is none that tells
        for task in Path(f"/proc/{process}/task").iterdir():
            # proc(5), schedstat: ns on a processor, ns ready and kept from one, time slices
            yield task.name, int((task / "schedstat").read_text().split()[1]) / 1e9
            for child in (task / "children").read_text().split():
                yield from _waited_s(int(child))


def _killed(kill_at: KillAt | None) -> dict[str, str]:
    if kill_at is None:
        return {}
    return {"PYTHONPATH": str(Path(__file__).with_name("killer")), "KILL_AT": str(kill_at)}


class Service:
    """`tiecoat serve` of a lab, started at once.

    Parameters
    ----------
    root
        The lab folder.
    log
        File that gets everything it says.
    kill_at
        Where it ends itself, or its workers.
    command, environment
        Another way to start it, and what is around it beside the environment of the tests.
    starter
        Starts it in a moment.
    """

    def __init__(
        self,
        root: Path,
        log: Path,
        kill_at: KillAt | None = None,
        *,
        command: Sequence[str] = (),
        environment: Mapping[str, str] = MappingProxyType({}),
        starter: WarmStarter | None = None,
    ) -> None:
        self._log = log
        command = command or [sys.executable, "-m", "tiecoat.cli", "serve", "--lab", str(root)]
        environment = {**environment, **_killed(kill_at)}
        self._process = started(command, log, environment, starter)
        self._workers: list[psutil.Process] = []
        self.clock = FairClock(self._process.pid)

    def until(self, done: Callable[[], bool], what: str) -> None:
        """Wait until something is so; the service may not end meanwhile."""
        end = self.clock() + PATIENCE_S
        while not done():
            alive = self._process.poll() is None
            assert alive, f"the service ended by itself:\n{self.last_lines()}"
            assert self.clock() < end, f"waited in vain: {what}\n{self.last_lines()}"
            time.sleep(0.005)

    @property
    def pid(self) -> int:
        """Its process."""
        return self._process.pid

    @property
    def said(self) -> str:
        """Everything that it and its workers have said, and those before it in the same log."""
        return self._log.read_text(encoding="utf-8", errors="replace")

    @property
    def is_over(self) -> bool:
        """Whether it has ended."""
        return self._process.poll() is not None

    @property
    def exit_code(self) -> int | None:
        """How it has ended."""
        return self._process.poll()

    def close(self) -> None:
        """See to it that it is gone, with its workers."""
        if not self.is_over:
            self.kill("group")

    def last_lines(self) -> str:
        """Return the last of what it has said."""
        return "\n".join(self.said.splitlines()[-20:])

    def kill(self, whom: Whom) -> None:
        """Kill the parent process and nothing else, or its workers with it."""
        self._note_workers()
        if whom == "group":
            os.killpg(self._process.pid, signal.SIGKILL)
        else:
            self._process.kill()
        self._process.wait()

    def wait_for_its_end(self) -> None:
        """Wait until it was killed; what is left of its group are workers that must end."""
        assert self._process.wait(PATIENCE_S) == -signal.SIGKILL, self.last_lines()
        for process in psutil.process_iter():
            with contextlib.suppress(psutil.Error, ProcessLookupError):
                if os.getpgid(process.pid) == self._process.pid:
                    self._workers.append(process)

    def _note_workers(self) -> None:
        self._workers = psutil.Process(self._process.pid).children(recursive=True)

    def stop(self) -> int:
        """Ask it to end, as systemd or Ctrl-C does, and return its exit code."""
        self._note_workers()
        self._process.terminate()
        return self._process.wait(PATIENCE_S)

    def check_orphans(self) -> None:
        """Check that no worker has outlived the service for long."""
        for process in self._workers:
            clock = FairClock(process.pid)
            while not _is_gone(process):
                alive = clock() > ORPHANS_S
                if alive:
                    process.kill()
                assert not alive, f"{process} has outlived the service"
                time.sleep(0.02)


def _is_gone(process: psutil.Process) -> bool:
    with contextlib.suppress(ChildProcessError):  # it is no child of ours, or none any more
        os.waitpid(process.pid, os.WNOHANG)
    try:
        return not process.is_running() or process.status() == psutil.STATUS_ZOMBIE
    except psutil.NoSuchProcess:
        return True
