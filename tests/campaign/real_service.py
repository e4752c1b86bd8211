"""The real service as a process of its own, to be killed."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import psutil

from tiecoat.new_lab import new_lab

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

PATIENCE_S = 60.0  # of a test, on a machine that does a lot besides
ORPHANS_S = 15.0  # how long workers may outlive the service


def lay_out(root: Path) -> None:
    """Lay out a lab with short waits, whose register says the batch of panels like T00001."""
    new_lab(root, SETTINGS)


class Service:
    """`tiecoat serve` of a lab, started at once.

    Parameters
    ----------
    root
        The lab folder.
    log
        File that gets everything it says.
    """

    def __init__(self, root: Path, log: Path) -> None:
        self._log = log
        with log.open("ab") as said:
            self._process = subprocess.Popen(
                [sys.executable, "-m", "tiecoat.cli", "serve", "--lab", str(root)],
                stdout=said,
                stderr=said,
                start_new_session=True,
            )
        self._workers: list[psutil.Process] = []

    def until(self, done: Callable[[], bool], what: str) -> None:
        """Wait until something is so; the service may not end meanwhile."""
        end = time.monotonic() + PATIENCE_S
        while not done():
            alive = self._process.poll() is None
            assert alive, f"the service ended by itself:\n{self._last_lines()}"
            assert time.monotonic() < end, f"waited in vain: {what}\n{self._last_lines()}"
            time.sleep(0.005)

    def _last_lines(self) -> str:
        return "\n".join(self._log.read_text(encoding="utf-8").splitlines()[-20:])

    def kill(self) -> None:
        """Kill the parent process, and nothing but the parent."""
        self._workers = psutil.Process(self._process.pid).children(recursive=True)
        self._process.kill()
        self._process.wait()

    def stop(self) -> int:
        """Ask it to end, as systemd or Ctrl-C does, and return its exit code."""
        self._workers = psutil.Process(self._process.pid).children(recursive=True)
        self._process.terminate()
        return self._process.wait(PATIENCE_S)

    def check_orphans(self) -> None:
        """Check that no worker has outlived the service for long."""
        _, alive = psutil.wait_procs(self._workers, ORPHANS_S)
        for process in alive:
            process.kill()
        assert not alive, "workers outlived the service"
