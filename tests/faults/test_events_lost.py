"""A real service process whose events the system drops, or does not give at all."""

from __future__ import annotations

import ctypes
import os
import signal
import struct
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import psutil
import pytest
from bad_exports import density
from labs import LabAtWork, Service, wait_until

Make = Callable[..., LabAtWork]
Serve = Callable[..., Service]

LIMIT = Path("/proc/sys/fs/inotify/max_queued_events")
LARGEST = 200_000  # events that the test is willing to make
ALL_EVENTS = 0xFFF  # IN_ALL_EVENTS of inotify(7)
OVERFLOW = 0x4000  # IN_Q_OVERFLOW
EVENT = struct.Struct("iIII")  # watch, mask, cookie, length of the name that follows


class Queue:
    """An event queue of the test's own on the folder that the service watches; nobody reads it."""

    def __init__(self, descriptor: int) -> None:
        self._descriptor = descriptor

    def masks(self) -> list[int]:
        """Return what every event in the queue says."""
        found: list[int] = []
        while events := self._read():
            place = 0
            while place < len(events):
                _, mask, _, length = EVENT.unpack_from(events, place)
                found.append(mask)
                place += EVENT.size + length
        return found

    def _read(self) -> bytes:
        try:
            return os.read(self._descriptor, 1 << 20)
        except BlockingIOError:
            return b""


@contextmanager
def queue_on(folder: Path) -> Iterator[Queue]:
    """Open a queue on a folder."""
    libc = ctypes.CDLL(None, use_errno=True)
    descriptor = libc.inotify_init1(os.O_NONBLOCK)
    try:
        assert descriptor >= 0
        assert libc.inotify_add_watch(descriptor, os.fsencode(folder), ALL_EVENTS) >= 0
        yield Queue(descriptor)
    finally:
        os.close(descriptor)


def stopped(service: Service) -> bool:
    """Say whether the process stands still."""
    return psutil.Process(service.process.pid).status() == psutil.STATUS_STOPPED


def test_a_burst_that_overflows_the_event_queue(lab: Make, serve: Serve) -> None:
    """While the service stands still its queue overflows: each export is filed once, or held."""
    if not LIMIT.is_file() or int(LIMIT.read_text()) > LARGEST:
        pytest.skip("there is no event queue here, or it is too long to be filled")
    at_work = lab(readers={"processes": 2})
    at_work.drop("before.csv", density(at="14.09.2026;07:00"))
    service = serve(at_work)
    service.expect("filed   before.csv")
    passing = os.fsencode(at_work.inbox / "passing.tmp")  # a name that is passed over
    with queue_on(at_work.inbox) as queue:
        service.send(signal.SIGSTOP)
        wait_until(lambda: stopped(service), "the service to stand still")
        for _ in range(int(LIMIT.read_text()) // 2):  # neighbours that are alike are made one
            os.close(os.open(passing, os.O_CREAT | os.O_WRONLY))
            os.unlink(passing)  # noqa: PTH108 - bytes, and many
        for minute in range(20):
            folder = f"day {minute % 3}/of a new folder" if minute % 2 else ""
            at_work.drop(f"{minute}.csv", density(at=f"14.09.2026;08:{minute:02}"), folder)
        at_work.drop("bad.csv", density("x"))
        masks = queue.masks()
    assert masks[-1] == OVERFLOW  # of the exports nothing was heard any more
    assert len(masks) == int(LIMIT.read_text()) + 1
    assert at_work.held() == {}
    service.send(signal.SIGCONT)
    wait_until(lambda: len(at_work.rows("density")) == 21 and at_work.held(), "all exports")

    # and what comes later, in a folder that no event told of, is seen as before
    at_work.drop("later.csv", density(at="15.09.2026;08:00"), "day 1/of a new folder")
    service.expect("filed   later.csv")
    assert service.stop() == 0
    names = Counter(row["source_name"] for row in at_work.rows("density", withdrawn=True))
    assert set(names) == {"before.csv", "later.csv", *(f"{minute}.csv" for minute in range(20))}
    assert set(names.values()) == {1}
    assert list(at_work.held()) == ["bad.csv"]
    assert [name for name in at_work.waiting() if name.endswith(".csv")] == []
    assert "Traceback" not in service.output
    assert "Warning" not in service.output
    assert at_work.sound()


@pytest.mark.thorough
def test_the_limit_of_watches(lab: Make, serve: Serve) -> None:
    """With two watches for five folders one inbox is told, and what lies in any folder is filed."""
    two = 'echo 2 > /proc/sys/user/max_inotify_watches && exec "$@"'
    limited = ["unshare", "-Ur", "sh", "-c", two, "sh"]
    if sys.platform != "linux" or subprocess.run([*limited, "true"], check=False).returncode:
        pytest.skip("no limit of watches can be set for one process here")
    at_work = lab(inbox=[{"path": "inbox"}, {"path": "second"}])
    deep, second = at_work.inbox / "a" / "b" / "c", at_work.root / "second"
    deep.mkdir(parents=True)
    command = [sys.executable, "-m", "tiecoat.cli", "serve", "--lab", str(at_work.root)]
    service = serve(at_work, [*limited, *command])
    service.expect(f"{second} cannot be watched (inotify watch limit reached); scanning it instead")
    for number, folder in enumerate((at_work.inbox, deep, second)):
        (folder / f"{number}.csv").write_text(density(at=f"14.09.2026;0{number}:30"))
        service.expect(f"filed   {number}.csv")
    process = psutil.Process(service.process.pid)
    handles, threads = process.num_fds(), process.num_threads()
    time.sleep(2.0)  # at least five more attempts to watch it, of which none leaves anything behind
    assert process.num_fds() < handles + 4
    assert process.num_threads() < threads + 4
    assert service.output.count("cannot be watched") == 1
    assert service.stop() == 0
    assert "Traceback" not in service.output
    assert len(at_work.rows("density", withdrawn=True)) == 3
