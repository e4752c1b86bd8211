"""The service under a supervisor: it is started again, goes on by itself, and says how it is."""

from __future__ import annotations

import json
import os
import shutil
import signal
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from bad_exports import density
from labs import LabAtWork, wait_until
from tiny_supervisor import TinySupervisor

from tiecoat.cli import main
from tiecoat.service.health import HEALTH
from tiecoat.service.logfile import LOG
from tiecoat.service.systemd import for_user

Make = Callable[..., LabAtWork]
BACKLOG = 60
STARTED_S = 90.0  # patience with a start on a machine that does a lot besides

pytestmark = pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="signals of POSIX")


@pytest.fixture
def supervise(tmp_path: Path) -> Iterator[Callable[[LabAtWork], TinySupervisor]]:
    """Starts the service of a lab by the unit that `service install` would write."""
    started: list[TinySupervisor] = []

    def start(at_work: LabAtWork) -> TinySupervisor:
        unit = for_user(at_work.lab, "somebody", tmp_path).content.decode()
        started.append(TinySupervisor(unit, tmp_path))
        return started[-1]

    yield start
    for supervisor in started:
        supervisor.close()


def health(at_work: LabAtWork) -> dict[str, Any]:
    """The health file as any monitor reads it."""
    found: dict[str, Any] = json.loads((at_work.root / HEALTH).read_text(encoding="utf-8"))
    return found


def status_of(at_work: LabAtWork, capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    """Exit code and words of `tiecoat service status`."""
    capsys.readouterr()
    return main(["service", "status", "--lab", str(at_work.root)]), capsys.readouterr().out


@pytest.mark.thorough
def test_a_killed_service_is_started_again_and_takes_up_the_backlog(
    lab: Make,
    supervise: Callable[[LabAtWork], TinySupervisor],
    capsys: pytest.CaptureFixture[str],
) -> None:
    """kill -9 amid a backlog: started again, everything filed once; then stopped in good order."""
    at_work = lab(intake={"settle_s": 0.2, "scan_s": 0.3})
    assert status_of(at_work, capsys)[0] == 2
    for n in range(BACKLOG):
        minute = f"{n // 60 + 8:02}:{n % 60:02}"
        at_work.drop(f"{n}.csv", density(batch=f"RB-{n % 7:03}", at=f"14.09.2026;{minute}"))
    supervisor = supervise(at_work)
    originals = at_work.root / "originals"
    wait_until(lambda: any(originals.glob("??/*")), "the first originals", STARTED_S)
    first = supervisor.pid
    os.kill(first, signal.SIGKILL)
    wait_until(lambda: len(at_work.rows("density")) == BACKLOG, "the backlog", STARTED_S)
    wait_until(lambda: at_work.waiting() == [], "an empty inbox")
    assert supervisor.starts == 2
    names = [row["source_name"] for row in at_work.rows("density", withdrawn=True)]
    assert len(set(names)) == len(names) == BACKLOG

    # it says that it is ready, and how it is
    wait_until(lambda: supervisor.ready >= 1, "READY=1")
    wait_until(lambda: health(at_work)["queue"] == 0, "a health file of a service at rest")
    code, said = status_of(at_work, capsys)
    assert code == 0
    assert f"watching: process {supervisor.pid} on " in said
    assert f"process {first} ended without having been stopped" in said

    # a held file is counted
    at_work.drop("bad.csv", b"\x00\x01")
    wait_until(lambda: health(at_work)["held"] == 1, "the held file in the health file")
    code, said = status_of(at_work, capsys)
    assert code == 1
    assert "held     1 file; see: tiecoat held" in said

    supervisor.close()
    assert supervisor.exit_code == 0
    assert supervisor.said[-1].startswith("STOPPING=1")
    code, said = status_of(at_work, capsys)
    assert code == 2
    assert "not running: it was stopped, last beat " in said
    log = (at_work.root / LOG).read_text(encoding="utf-8")
    assert log.count("started: tiecoat ") == 2
    assert log.count("  stopped\n") == 1
    assert "held    bad.csv: the file is neither text nor a workbook" in log
    assert at_work.sound()


def test_a_share_that_is_not_there_is_waited_for(
    lab: Make,
    supervise: Callable[[LabAtWork], TinySupervisor],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A service that starts before its share is ready, says what it misses, and takes it up."""
    share = tmp_path / "share"
    at_work = lab(inbox=[{"path": str(share), "watch": "native"}, {"path": "inbox"}])
    shutil.rmtree(share)
    supervisor = supervise(at_work)
    wait_until(lambda: supervisor.ready == 1, "READY=1 without the share", STARTED_S)
    missing = f"the inbox {share} is out of reach"
    wait_until(
        lambda: missing in str(health(at_work)["troubles"]), "the trouble in the health file"
    )
    code, said = status_of(at_work, capsys)
    assert code == 1
    assert f"trouble  {missing}" in said

    share.mkdir()
    (share / "late.csv").write_text(density())
    wait_until(lambda: len(at_work.rows("density")) == 1, "the export on the share")
    wait_until(lambda: health(at_work)["troubles"] == [], "a health file without the trouble")
    code, said = status_of(at_work, capsys)
    assert code == 0
    assert f"earlier  {health(at_work)['last_error_at']}: {missing}" in said
