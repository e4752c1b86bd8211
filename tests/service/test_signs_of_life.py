"""What systemd hears, what the guard does where there is no systemd, and the log."""

from __future__ import annotations

import os
import socket
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from labs import wait_until

from tiecoat.intake.outcome import Pulse
from tiecoat.service import logfile
from tiecoat.service.guard import EXIT_STUCK, Guard
from tiecoat.service.logfile import LOG, log_file
from tiecoat.service.notify import notify, watchdog_s
from tiecoat.service.running import Supervised

needs_unix_sockets = pytest.mark.skipif(
    not hasattr(socket, "AF_UNIX"), reason="the sockets that systemd listens on"
)


@pytest.fixture(params=["path", "abstract"])
def listening(
    request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[socket.socket]:
    """A supervisor's socket, as a path or of the abstract sort of Linux."""
    here = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
    name = str(tmp_path / "s") if request.param == "path" else f"@tiecoat-test-{os.getpid()}"
    here.bind(name.replace("@", "\0", 1) if name.startswith("@") else name)
    here.settimeout(1)
    monkeypatch.setenv("NOTIFY_SOCKET", name)
    monkeypatch.setenv("WATCHDOG_USEC", "0")
    yield here
    here.close()


def heard(here: socket.socket) -> list[str]:
    """The lines of everything that has arrived."""
    here.setblocking(False)
    lines: list[str] = []
    try:
        while True:
            lines += here.recv(4096).decode().split("\n")
    except BlockingIOError:
        return lines


@needs_unix_sockets
def test_systemd_hears_that_it_starts_is_ready_moves_and_stops(
    listening: socket.socket, monkeypatch: pytest.MonkeyPatch
) -> None:
    """READY=1 comes once, when the inboxes are watched; WATCHDOG=1 as often as is asked."""
    monkeypatch.setenv("WATCHDOG_USEC", "1")
    monkeypatch.setenv("WATCHDOG_PID", str(os.getpid()))
    supervised = Supervised()
    supervised.beat(Pulse("starting", queue=7))
    assert any(line.startswith("EXTEND_TIMEOUT_USEC=") for line in heard(listening))
    supervised.beat(Pulse("watching"))
    assert {"READY=1", "WATCHDOG=1"} <= set(heard(listening))
    supervised.beat(Pulse("watching"))
    assert heard(listening) == ["WATCHDOG=1"]
    supervised.beat(Pulse("stopping"))
    assert heard(listening)[0] == "STOPPING=1"


@needs_unix_sockets
def test_without_a_watchdog_nothing_is_sent_at_rest(listening: socket.socket) -> None:
    """A service that nobody watches sends nothing after READY=1."""
    supervised = Supervised()
    supervised.beat(Pulse("watching"))
    heard(listening)
    for _ in range(50):
        supervised.beat(Pulse("watching"))
    assert heard(listening) == []


@pytest.mark.parametrize("place", ["", "/no/such/socket", "@nobody-listens-here", "relative"])
def test_a_supervisor_that_does_not_listen_is_no_error(
    place: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever the variable holds, telling nobody is no fault."""
    monkeypatch.setenv("NOTIFY_SOCKET", place)
    notify("READY=1")


@pytest.mark.parametrize(
    ("micros", "pid", "seconds"),
    [
        ("300000000", None, 300.0),
        pytest.param("300000000", str(os.getpid()), 300.0, id="this process"),
        ("300000000", "1", None),
        ("0", None, None),
        ("soon", None, None),
        (None, None, None),
    ],
)
def test_the_watchdog_counts_for_its_process_only(
    micros: str | None, pid: str | None, seconds: float | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """WATCHDOG_USEC and WATCHDOG_PID as sd_watchdog_enabled(3) says."""
    for name, value in (("WATCHDOG_USEC", micros), ("WATCHDOG_PID", pid)):
        if value is None:
            monkeypatch.delenv(name, raising=False)
        else:
            monkeypatch.setenv(name, value)
    assert watchdog_s() == seconds


def test_the_guard_ends_what_no_longer_moves() -> None:
    """It waits for the first beat, leaves a service alone that moves, and ends one that hangs."""
    said: list[str] = []
    ended: list[int] = []
    guard = Guard(said.append, ended.append, look_s=0.02, looks=5)
    moving = threading.Event()
    assert not moving.wait(0.3)
    assert ended == []  # nothing has begun
    for _ in range(30):
        guard.beat()
        moving.wait(0.01)
    assert ended == []
    wait_until(lambda: ended, "the end of a service that hangs", 5)
    assert ended == [EXIT_STUCK]
    assert said == ["nothing has moved for 0.1 s: ending, to be started again"]


def test_a_closed_guard_ends_nothing() -> None:
    """A service that stops in good order is not ended."""
    ended: list[int] = []
    guard = Guard(print, ended.append, look_s=0.01, looks=3)
    guard.beat()
    guard.close()
    assert not threading.Event().wait(0.2)
    assert ended == []


def test_the_log_rotates(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A log never grows beyond its files, and its newest lines are in the first of them."""
    monkeypatch.setattr(logfile, "LARGEST", 2000)
    with log_file(tmp_path) as write:
        for n in range(1000):
            write(f"line {n} of a file with a bad name: \udcff.csv")
    files = sorted((tmp_path / LOG).parent.iterdir())
    assert len(files) == logfile.KEPT + 1
    assert all(path.stat().st_size <= 2000 for path in files)
    assert "line 999 of a file with a bad name: \\udcff.csv" in (tmp_path / LOG).read_text("utf-8")


def test_a_log_that_cannot_rotate_goes_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Windows: while somebody reads the log in another program, its lines go on in that file."""
    monkeypatch.setattr(logfile, "LARGEST", 2000)

    def refuse(source: str, target: str) -> None:
        raise PermissionError(13, "used by another process", source)

    with log_file(tmp_path) as write:
        monkeypatch.setattr(os, "rename", refuse)
        for n in range(200):
            write(f"line {n}")
    assert (tmp_path / LOG).read_text("utf-8").count("line ") == 200


def test_a_full_disk_stops_no_log(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A line that cannot be written is let go, without an error and without a traceback."""
    with log_file(tmp_path) as write:
        write("first")
        (tmp_path / LOG).unlink()
        (tmp_path / LOG).parent.rmdir()
        (tmp_path / LOG).parent.touch()
        write("second")
    with log_file(tmp_path / "other") as write:
        (tmp_path / "other" / LOG).mkdir()
        write("third")
    assert capsys.readouterr().err == ""
