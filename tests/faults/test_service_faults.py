"""The service in a day of faults: it says what is in the way, loses nothing, and goes on."""

from __future__ import annotations

import errno
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from bad_exports import density
from labs import LabAtWork, make_lab, wait_until
from serving_here import serving_here

from tiecoat.disk import fsio
from tiecoat.intake import taking_in as service
from tiecoat.intake.inboxes import boxes, watch

Make = Callable[..., LabAtWork]
MANY = 50_000 if "TIECOAT_CAMPAIGN" in os.environ else 200
PATIENCE_S = 60.0 if MANY == 200 else 3600.0


class Refusing:
    """Stands for `os` in fsio and refuses some calls, for as long as `refuse` says."""

    def __init__(self) -> None:
        self.refuse: Callable[[str, tuple[Any, ...]], OSError | None] = lambda call, args: None

    def __getattr__(self, name: str) -> Any:
        real = getattr(os, name)
        if name not in {"open", "write", "replace", "mkdir", "fsync"}:
            return real

        def call(*args: Any, **kwargs: Any) -> Any:
            if error := self.refuse(name, args):
                raise error
            return real(*args, **kwargs)

        return call


@pytest.fixture
def refusing(monkeypatch: pytest.MonkeyPatch) -> Refusing:
    """The disk as fsio sees it; waits are short."""
    double = Refusing()
    monkeypatch.setattr(fsio, "os", double)
    monkeypatch.setattr(fsio, "WAITS_S", (0.01, 0.01))
    monkeypatch.setattr(service, "AGAIN_S", 0.1)
    return double


def in_use() -> OSError:
    """As Windows refuses to replace what another program has open."""
    error = PermissionError(errno.EACCES, "being used by another process")
    error.winerror = 32  # type: ignore[attr-defined,unused-ignore]
    return error


def test_what_the_disk_refuses_is_said_once_and_done_later(
    lab: Make, refusing: Refusing, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Full, read-only, permission lost, table locked by a reader: said once, then filed."""
    at_work = lab(inbox=[{"path": "inbox"}, {"path": "share", "watch": "polling"}])
    monkeypatch.setattr(boxes, "POLL_S", 0.2)
    stage, archive = str(at_work.root / "stage"), str(at_work.root / "archive")

    def below(args: tuple[Any, ...], folder: str) -> bool:
        return any(isinstance(arg, str | Path) and str(arg).startswith(folder) for arg in args)

    faults: dict[str, Callable[[str, tuple[Any, ...]], OSError | None]] = {
        "No space left": lambda call, args: (
            OSError(errno.ENOSPC, "No space left on device") if call == "write" else None
        ),
        "Read-only": lambda call, args: (
            OSError(errno.EROFS, "Read-only file system", str(args[0]))
            if call in {"mkdir", "replace"} or (call == "open" and args[1] & os.O_CREAT)
            else None
        ),
        "Permission denied": lambda call, args: (
            PermissionError(errno.EACCES, "Permission denied", str(args[0]))
            if call == "open" and below(args, stage)
            else None
        ),
        "another process": lambda call, args: (
            in_use() if call == "replace" and below(args, archive) else None
        ),
    }
    with serving_here(at_work) as running:
        at_work.drop("before.csv", density(at="14.09.2026;07:00"))
        running.wait_for("before.csv")
        for hour, (words, refuse) in enumerate(faults.items(), 8):
            before, name = len(running.said), f"{words}.csv"
            refusing.refuse = refuse
            at_work.inbox.joinpath(name).write_text(density(at=f"14.09.2026;{hour:02}:00"))
            running.wait_said(words, before)
            time.sleep(0.3)  # some more tries
            assert not running.filed(name)
            assert sum(words in line for line in running.said[before:]) == 1
            refusing.refuse = lambda call, args: None
            running.wait_for(name)
            running.wait_said("going on", before)
        # a folder without events is looked at all the same
        (at_work.root / "share" / "polled.csv").write_text(density(at="14.09.2026;20:00"))
        running.wait_for("polled.csv")
    assert len(at_work.rows("density")) == len(faults) + 2
    assert at_work.held() == {}
    assert at_work.sound()


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root may mount a small disk"
)
def test_a_disk_that_is_really_full(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a disk of 4 MB that is full a service waits, and files when there is room again."""
    monkeypatch.setattr(service, "AGAIN_S", 0.1)
    disk = tmp_path / "disk"
    disk.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=4m", "tmpfs", str(disk)]
    if subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("no disk can be mounted here")
    try:
        (tmp_path / "inbox").mkdir()
        at_work = make_lab(disk / "lab", inbox=[{"path": str(tmp_path / "inbox")}])
        with serving_here(at_work) as running:
            first = tmp_path / "inbox" / "first.csv"
            first.write_text(density(at="14.09.2026;08:00"))
            running.wait_for("first.csv")
            filler = disk / "filler"
            filler.write_bytes(bytes(shutil.disk_usage(disk).free))
            (tmp_path / "inbox" / "second.csv").write_text(density(at="14.09.2026;09:00"))
            running.wait_said("No space left")
            assert len(at_work.rows("density")) == 1
            filler.unlink()
            running.wait_for("second.csv")
        assert len(at_work.rows("density")) == 2
        assert at_work.sound()
    finally:
        subprocess.run(["umount", "-l", str(disk)], check=True)


def test_a_burst_of_which_no_event_is_heard(lab: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    """Many files dropped at once are each filed once, though every event of them is lost."""
    monkeypatch.setattr(watch._Doorbell, "dispatch", lambda self, event: None)
    at_work = lab(readers={"processes": 2})
    with serving_here(at_work) as running:
        for n in range(MANY):
            at = f"{n // 1440 % 28 + 1:02}.09.20{n // 40320 + 20:02};{n // 60 % 24:02}:{n % 60:02}"
            (at_work.inbox / f"{n}.csv").write_text(density(batch=f"RB-{n % 9:03}", at=at))
        wait_until(lambda: len(running.told) >= MANY, f"{MANY} files", PATIENCE_S)
    assert {outcome.status for outcome in running.told} == {"filed"}
    rows = at_work.rows("density", withdrawn=True)
    assert len(rows) == len({row["source_name"] for row in rows}) == MANY
    assert at_work.waiting() == []
    assert at_work.sound()


@pytest.mark.thorough
def test_two_services_started_together(lab: Make) -> None:
    """Of two services that start at the same moment one serves; the other says who does."""
    at_work = lab()
    command = [sys.executable, "-m", "tiecoat.cli", "serve", "--lab", str(at_work.root)]
    both = [
        subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
        for _ in range(2)
    ]
    try:
        wait_until(lambda: any(one.poll() is not None for one in both), "the end of one")
        time.sleep(0.5)
        ended = [one for one in both if one.poll() is not None]
        assert len(ended) == 1
        said = ended[0].communicate()[1]
        (other,) = (one for one in both if one is not ended[0])
        assert ended[0].returncode == 2
        assert "serves" in said
        assert f"process {other.pid} on" in said or "has not left its name" in said
        assert "Traceback" not in said
    finally:
        for one in both:
            if one.poll() is None:
                one.terminate()
            one.communicate(timeout=30)
