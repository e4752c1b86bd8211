"""One writer, one service, and who holds what."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading

import pytest
from archive_rows import export, wet
from archive_rows import file as file_exports

from tiecoat.archive.lock import service_lock, write_lock
from tiecoat.errors import LabInUse
from tiecoat.lab.settings import Lab

HOLDER = """
import sys, time
from tiecoat.archive.lock import service_lock, write_lock
from tiecoat.lab.settings import open_lab
lock = {"write": write_lock, "service": service_lock}[sys.argv[2]]
with lock(open_lab(sys.argv[1])):
    print("held", flush=True)
    time.sleep(60)
"""


def hold(lab: Lab, which: str) -> subprocess.Popen[str]:
    holder = subprocess.Popen(
        [sys.executable, "-c", HOLDER, str(lab.root), which], stdout=subprocess.PIPE, text=True
    )
    assert holder.stdout is not None
    assert holder.stdout.readline() == "held\n"
    return holder


@pytest.mark.parametrize("which", ["write", "service"])
def test_the_holder_is_named_and_a_killed_one_holds_nothing(lab: Lab, which: str) -> None:
    """A lock that another process holds is refused by its name; when it is killed it is free."""
    holder = hold(lab, which)

    def take() -> None:
        with write_lock(lab, wait_s=0.2) if which == "write" else service_lock(lab):
            pass

    try:
        with pytest.raises(LabInUse, match=rf"process {holder.pid} on .*, since 20.*\(-c "):
            take()
    finally:
        os.kill(holder.pid, signal.SIGKILL)
        holder.communicate()
    take()


def test_the_locks_are_apart(lab: Lab) -> None:
    """A service does not keep others from writing between its own writes."""
    with service_lock(lab), write_lock(lab, wait_s=0.1):
        pass
    with write_lock(lab, wait_s=0.1):
        pass


def test_a_thread_may_take_its_lock_again(lab: Lab) -> None:
    """The thread that holds a lock may take it again; another thread waits until both are over."""
    refused: list[str] = []

    def other() -> None:
        try:
            with write_lock(lab, wait_s=0.2):
                pass
        except LabInUse as error:
            refused.append(str(error))

    def run_other() -> None:
        thread = threading.Thread(target=other)
        thread.start()
        thread.join()

    with write_lock(lab):
        with write_lock(lab, wait_s=0.1):
            pass
        run_other()
    run_other()

    assert len(refused) == 1
    assert f"process {os.getpid()}" in refused[0]


def test_a_dead_process_is_not_named(lab: Lab) -> None:
    """A note of a process that is gone does not name it as the holder."""
    dead = hold(lab, "write")
    os.kill(dead.pid, signal.SIGKILL)
    dead.communicate()
    note = (lab.root / ".write.holder").read_bytes()
    holder = hold(lab, "write")
    (lab.root / ".write.holder").write_bytes(note)

    try:
        with pytest.raises(LabInUse, match="has not left its name"), write_lock(lab, wait_s=0.1):
            pass
    finally:
        os.kill(holder.pid, signal.SIGKILL)
        holder.communicate()


def test_readers_need_no_lock(lab: Lab) -> None:
    """Reading goes on while another process holds both locks."""
    import tiecoat

    file_exports(lab, export("a.csv", {"density": [wet(1.3)]}))
    holders = [hold(lab, "write"), hold(lab, "service")]
    try:
        assert len(tiecoat.open(lab.root).read("density")) == 1
        assert len(tiecoat.open(lab.root).measurements()) == 1
    finally:
        for holder in holders:
            os.kill(holder.pid, signal.SIGKILL)
            holder.communicate()
