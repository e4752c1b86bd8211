"""A service that is hindered while it starts: it tells, tries again, and never ends by a crash."""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import psutil
import pytest
from bad_exports import density
from labs import LabAtWork, Service, make_lab, wait_until
from ordinary_rights import needs_rights, serving
from truth import status

from tiecoat.cli import commands, main

Make = Callable[..., LabAtWork]
Serve = Callable[..., Service]
KILLING_S = 4.0
LOCKS = """
import multiprocessing, os, signal, warnings
from multiprocessing.resource_tracker import _resource_tracker as keeper
from tiecoat.service import running

warnings.simplefilter("ignore")  # the library's own word of the keeper that is gone
running._be_silent_of_lost_locks()
lock = multiprocessing.get_context("forkserver").Lock()
lives = keeper._check_alive

def killed_after_the_look():
    assert lives()
    os.kill(keeper._pid, signal.SIGKILL)
    os.waitpid(keeper._pid, 0)
    print("killed", flush=True)
    return True

keeper._check_alive = killed_after_the_look
del lock
keeper._check_alive = lives
with multiprocessing.get_context("forkserver").Lock():
    pass
"""


def kill_children(process: subprocess.Popen[bytes], for_s: float) -> int:
    """Kill every process that a service starts, as soon as it is there; return how many."""
    killed, end = 0, time.monotonic() + for_s
    parent = psutil.Process(process.pid)
    while time.monotonic() < end and process.poll() is None:
        for child in parent.children(recursive=True):
            with contextlib.suppress(psutil.Error):
                child.kill()
                killed += 1
        time.sleep(0.01)
    return killed


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no keeper of locks")
def test_a_keeper_of_locks_that_is_killed_at_the_worst_moment() -> None:
    """Nothing is printed of the lock that it kept, and the next lock has another keeper."""
    ran = subprocess.run([sys.executable, "-c", LOCKS], capture_output=True, text=True, check=True)
    assert ran.stdout == "killed\n"
    assert "Traceback" not in ran.stderr
    assert "Exception ignored" not in ran.stderr


@pytest.mark.thorough
def test_children_killed_while_it_starts(lab: Make, serve: Serve) -> None:
    """Whatever it starts is killed for a while: it lives, and files when that is over."""
    at_work = lab()
    at_work.drop("a.csv", density())
    service = serve(at_work, cold=True)
    assert kill_children(service.process, KILLING_S) > 0
    assert service.lives, service.output
    wait_until(lambda: len(at_work.rows("density")) == 1, f"a.csv filed\n{service.output}", 90)
    assert "Traceback" not in service.output
    assert service.stop() == 0
    assert at_work.sound()


@pytest.mark.thorough
def test_children_killed_while_it_works(lab: Make, serve: Serve) -> None:
    """Neither does it end when they are killed between two files, the one that starts them too."""
    at_work = lab()
    service = serve(at_work, cold=True)
    at_work.drop("a.csv", density(at="14.09.2026;08:00"))
    wait_until(lambda: len(at_work.rows("density")) == 1, "a.csv")
    assert kill_children(service.process, 1.0) > 0
    at_work.drop("b.csv", density(at="14.09.2026;09:00"))
    kill_children(service.process, KILLING_S)
    wait_until(lambda: len(at_work.rows("density")) == 2, f"b.csv filed\n{service.output}", 90)
    assert "Traceback" not in service.output
    assert service.stop() == 0
    assert at_work.held() == {}


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root may mount a disk"
)
def test_a_disk_that_is_read_only_at_the_start(tmp_path: Path, serve: Serve) -> None:
    """It tells and tries again, and watches the inboxes once the disk takes writes."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mount = ["mount", "-t", "tmpfs", "tmpfs", str(disk)]
    if subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("no disk can be mounted here")
    try:
        (tmp_path / "inbox").mkdir()
        at_work = make_lab(disk / "lab", inbox=[{"path": str(tmp_path / "inbox")}])
        (tmp_path / "inbox" / "a.csv").write_text(density())
        log = tmp_path / "out.txt"
        subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
        with log.open("wb") as out:
            command = [sys.executable, "-m", "tiecoat.cli", "serve", "--log", "--lab"]
            process = subprocess.Popen([*command, str(at_work.root)], stdout=out, stderr=out)
        try:
            told = "cannot start, trying again until it works: Read-only file system"
            wait_until(lambda: told in log.read_text(), "the trouble told")
            time.sleep(3)
            assert process.poll() is None
            assert log.read_text().count(told) == 1
            subprocess.run(["mount", "-o", "remount,rw", str(disk)], check=True)
            wait_until(lambda: len(at_work.rows("density")) == 1, "a.csv filed")
            wait_until(lambda: status(at_work.root)[0] == 0, "a status that is well")
            own = at_work.root / "log" / "tiecoat.log"  # written once the rows stand there
            wait_until(lambda: own.exists() and "a.csv" in own.read_text(), "its line in the log")
        finally:
            process.terminate()
            assert process.wait(30) == 0
    finally:
        subprocess.run(["umount", "-l", str(disk)], check=True)


@needs_rights
@pytest.mark.every(2)
@pytest.mark.parametrize("name", ["held", "journal", "stage", "originals"])
def test_a_folder_that_may_not_be_entered_at_the_start(lab: Make, serve: Serve, name: str) -> None:
    """It tells which one, in the status too, and goes on when it may be entered."""
    at_work = lab()
    at_work.drop("a.csv", density())
    folder = at_work.root / name
    folder.chmod(0)
    try:
        service = serve(at_work, serving(at_work.root))
        service.expect("Permission denied")
        wait_until(lambda: status(at_work.root)[0] != 0, "a status in trouble")
        assert service.lives
    finally:
        folder.chmod(0o755)
    wait_until(lambda: status(at_work.root)[0] == 0, f"well\n{service.output}", 60)
    wait_until(lambda: len(at_work.rows("density")) == 1, "a.csv filed", 60)
    assert service.stop() == 0


def test_a_health_file_that_cannot_be_written(lab: Make, serve: Serve) -> None:
    """A folder in the place of the health file, and of its draft, ends nothing."""
    at_work = lab()
    (at_work.root / "health.json").mkdir()
    (at_work.root / ".health.json.new").mkdir()
    service = serve(at_work)
    at_work.drop("a.csv", density())
    wait_until(lambda: len(at_work.rows("density")) == 1, "a.csv filed")
    code, said = status(at_work.root)
    assert code == 2
    assert "Traceback" not in said
    assert service.stop() == 0


def test_a_closed_screen(lab: Make) -> None:
    """Where nobody reads what it prints any more, the service goes on."""
    at_work = lab()
    command = [sys.executable, "-m", "tiecoat.cli", "serve", "--lab", str(at_work.root)]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
    try:
        assert process.stdout is not None
        process.stdout.readline()
        process.stdout.close()
        for n in range(3):
            at_work.drop(f"{n}.csv", density(at=f"14.09.2026;08:0{n}"))
            wait_until(lambda n=n: len(at_work.rows("density")) == n + 1, f"{n}.csv filed")
        assert process.poll() is None
    finally:
        process.terminate()
        code = process.wait(30)
    assert code == 0


def test_a_crash_has_an_exit_code_of_its_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """1 means that something is held or found; a fault of the program is told and exits 70."""

    def broken(*arguments: object) -> int:
        raise ZeroDivisionError("as a programmer's mistake")

    monkeypatch.setattr(commands, "lab_of", broken)
    assert main(["verify", "--lab", str(tmp_path)]) == 70
    said = capsys.readouterr().err
    assert "tiecoat: a fault of tiecoat itself: ZeroDivisionError: as a programmer's" in said
    assert "Traceback" not in said
