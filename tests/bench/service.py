"""The running service: how soon rows can be queried, and what it takes while nothing happens."""

from __future__ import annotations

import signal
import statistics
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psutil
from exports import SETTINGS, spectrum

import tiecoat
from tiecoat.errors import UnknownName
from tiecoat.lab.new_lab import new_lab
from tiecoat.lab.settings import Lab

SETTLE_S = 0.5
ARRIVALS = 12
IDLE_S = 30.0


@contextmanager
def serving(lab: Lab) -> Iterator[psutil.Process]:
    """Run the service and wait until it has filed a first file."""
    command = [sys.executable, "-m", "tiecoat.cli", "serve", "--lab", str(lab.root)]
    service = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    try:
        drop(lab, "RB-001-1", 1)
        wait_for(lab, "RB-001-1")
        yield psutil.Process(service.pid)
    finally:
        service.send_signal(signal.SIGTERM)
        service.wait(30)


def drop(lab: Lab, panel: str, seed: int) -> None:
    """Write one export into the inbox."""
    (lab.root / "inbox" / f"{panel}.csv").write_text(spectrum(panel, 0.0, seed), encoding="utf-8")


def wait_for(lab: Lab, panel: str) -> float:
    """Wait until the rows of a panel can be queried; return the seconds it took."""
    archive = tiecoat.open(lab.root)
    start = time.perf_counter()
    while time.perf_counter() - start < 60:
        try:
            if len(archive.read("impedance", batch=panel[:6], panel=panel)):
                return time.perf_counter() - start
        except UnknownName:
            time.sleep(0.002)
    raise SystemExit(f"{panel} was not filed within a minute")


def footprint(service: psutil.Process) -> tuple[float, float]:
    """Return MiB of the service and its workers together, and of the service alone."""
    family = [service, *service.children(recursive=True)]
    shares = [getattr(one.memory_full_info(), "pss", one.memory_info().rss) for one in family]
    return sum(shares) / 2**20, shares[0] / 2**20


def idle_share(service: psutil.Process, seconds: float) -> float:
    """Return the share of one core that the service and its workers use while nothing happens."""

    def used() -> float:
        family = [service, *service.children(recursive=True)]
        return sum(sum(one.cpu_times()[:2]) for one in family)

    before = used()
    time.sleep(seconds)
    return (used() - before) / seconds


def run(folder: Path) -> str:
    """Return the figures in words."""
    lab = new_lab(folder / "lab", SETTINGS.replace("settle_s = 0.0", f"settle_s = {SETTLE_S}"))
    with serving(lab) as service:
        delays = []
        for number in range(ARRIVALS):
            panel = f"RB-{number + 2:03d}-1"
            drop(lab, panel, number)
            delays.append(wait_for(lab, panel) - SETTLE_S)
        idle = idle_share(service, IDLE_S)
        family, alone = footprint(service)
    return (
        f"from closing a file to its rows being queryable, beyond the settle time of {SETTLE_S} s: "
        f"median {statistics.median(delays) * 1e3:.0f} ms, longest {max(delays) * 1e3:.0f} ms\n"
        f"memory (shared pages counted once): {family:.0f} MiB with its workers, {alone:.0f} MiB "
        f"alone; idle: {idle * 100:.2f} % of a core over {IDLE_S:.0f} s"
    )
