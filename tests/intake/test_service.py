"""A real service process: what it survives, how it ends, and how it starts again."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable

import psutil
from bad_exports import density, impedance, pull_off
from labs import LabAtWork, Service, wait_until

Make = Callable[..., LabAtWork]
Serve = Callable[..., Service]
BACKLOG = 120


def listening(service: Service) -> list[object]:
    """Return the network ports on which the service or one of its workers listens."""
    main = psutil.Process(service.process.pid)
    every = [one.net_connections("inet") for one in (main, *main.children(recursive=True))]
    return [port for ports in every for port in ports if port.status != psutil.CONN_ESTABLISHED]


def test_service_through_a_bad_day(lab: Make, serve: Serve) -> None:
    """One thing after the other: the service says what it meets, files what is good, and lives."""
    at_work = lab(intake={"settle_s": 0.3, "scan_s": 0.3})
    at_work.drop("before.csv", density(at="14.09.2026;08:00"))
    service = serve(at_work, PYTHONIOENCODING="cp1252", PYTHONUTF8="0")  # an old screen
    service.expect("filed   before.csv: density RB-014 (1 measurement), 1 row")
    assert listening(service) == []

    # a file that is written slowly is taken once, and whole; another one does not wait for it
    slow = at_work.inbox / "slow.csv"
    head, *points = impedance(*(f"{f},{900 // f},{9000 // f}" for f in range(1, 16))).splitlines(
        True
    )
    with slow.open("w") as writing:
        writing.write(head)
        for n, line in enumerate(points):
            writing.write(line)
            writing.flush()
            if n == 4:
                at_work.drop("quick.csv", density(at="14.09.2026;09:00"))
            time.sleep(0.1)
    service.expect("filed   slow.csv: impedance RB-014 (1 measurement), 15 rows")
    assert service.output.index("quick.csv") < service.output.index("slow.csv")
    assert [line["event"] for line in at_work.journal() if line.get("name") == "slow.csv"] == [
        "filed"
    ]

    # what is no file
    os.mkfifo(at_work.inbox / "pipe.csv")
    (at_work.inbox / "empty folder").mkdir()

    # bad files, and a name that the screen cannot show
    at_work.drop("bad.csv", b"\x00\x01\x02")
    at_work.drop("🎨.csv", density(at="14.09.2026;10:00"))
    at_work.drop(b"\xff\xfe.csv", density("x"))
    service.expect("filed   ?.csv")
    service.expect("held    __.csv")
    service.expect("held    bad.csv: the file is neither text nor a workbook")

    # the inbox goes away and comes back, as a share does
    away = at_work.root / "away"
    at_work.inbox.rename(away)
    service.expect("is out of reach")
    at_work.inbox.mkdir()
    service.expect("is in reach")
    at_work.drop("on the new one.csv", density(at="14.09.2026;11:00"))
    service.expect("filed   on the new one.csv")
    at_work.drop("quickly on the new one.csv", pull_off())
    service.expect("filed   quickly on the new one.csv")

    # a second service is refused, and says who has the lab
    second = subprocess.run(
        [sys.executable, "-m", "tiecoat.cli", "serve", "--lab", str(at_work.root)],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert second.returncode == 2
    assert f"process {service.process.pid} on" in second.stderr
    assert "serves" in second.stderr
    assert "Traceback" not in second.stderr

    # but a command may file beside it
    (at_work.root / "beside.csv").write_text(density(at="14.09.2026;12:00"))
    assert at_work.take(at_work.root / "beside.csv")["beside.csv"].status == "filed"

    assert service.lives
    started = time.monotonic()
    assert service.stop(signal.SIGTERM) == 0
    assert time.monotonic() - started < 5
    assert "stopped: " in service.output
    assert "Traceback" not in service.output
    names = Counter(row["source_name"] for row in at_work.rows("density"))
    assert set(names.values()) == {1}
    assert len(names) == 5
    assert at_work.sound()


def test_stop_in_the_middle_of_a_backlog(lab: Make, serve: Serve) -> None:
    """A stop during a backlog ends it in seconds; the next start files the rest, once."""
    at_work = lab(readers={"processes": 2})
    for n in range(BACKLOG):
        minute = f"{n // 60 + 8:02}:{n % 60:02}"
        at_work.drop(f"{n}.csv", density(batch=f"RB-{n % 7:03}", at=f"14.09.2026;{minute}"))
    originals = at_work.root / "originals"
    for number, group in ((signal.SIGINT, True), (signal.SIGTERM, False)):
        if number == signal.SIGTERM:  # more of the backlog, for the second start
            for n in range(BACKLOG, BACKLOG + 60):
                at_work.drop(f"{n}.csv", density(at=f"15.09.2026;09:{n - BACKLOG:02}"))
        service = serve(at_work)
        before = len(list(originals.glob("??/*")))
        wait_until(lambda: len(list(originals.glob("??/*"))) > before, "new originals")  # noqa: B023
        started = time.monotonic()
        assert service.stop(number, group=group) == 0
        assert time.monotonic() - started < 10
        assert "Traceback" not in service.output
        assert "stopped: " in service.output
        wait_until(lambda: not _children(service), "the end of the workers", 5)  # noqa: B023
        assert at_work.sound()
    at_work.take()
    rows = at_work.rows("density", withdrawn=True)
    assert len(rows) == BACKLOG + 60
    assert len({row["source_name"] for row in rows}) == BACKLOG + 60
    assert at_work.held() == {}
    assert at_work.waiting() == []


def _children(service: Service) -> list[psutil.Process]:
    found = []
    for process in psutil.process_iter(["status"]):
        with contextlib.suppress(OSError):
            if os.getpgid(process.pid) == service.process.pid:
                found.append(process)
    return [process for process in found if process.info["status"] != psutil.STATUS_ZOMBIE]
