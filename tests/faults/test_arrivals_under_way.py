"""Files that change, clocks and zones that change, locks that somebody left."""

from __future__ import annotations

import json
import os
import shutil
import socket
import threading
import time
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Self

import pytest
from bad_exports import density
from labs import LabAtWork

from tiecoat.archive import lock, plan
from tiecoat.archive.index import sqlite as index
from tiecoat.archive.journal import records as journal
from tiecoat.disk import fsio
from tiecoat.errors import InboxOutOfReach
from tiecoat.intake import intake
from tiecoat.intake.held import files as held
from tiecoat.intake.inboxes.settle import Arrival
from tiecoat.lab.settings import Lab

Make = Callable[..., LabAtWork]
OLD, NEW = density(at="14.09.2026;08:00"), density("1,4012", at="14.09.2026;09:00")


def test_a_file_replaced_while_it_is_copied(
    lab: Make, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Whatever is kept is one of the two files, whole; never the head of one with another's end."""
    at_work = lab()
    path = at_work.drop("a.csv", OLD)
    replaced: list[bool] = []

    class Replacing:
        def __getattr__(self, name: str) -> Any:
            return getattr(os, name)

        def read(self, descriptor: int, size: int) -> bytes:
            if not replaced and size > 1:
                replaced.append(True)
                (tmp_path / "other").write_text(NEW)
                os.replace(tmp_path / "other", path)  # noqa: PTH105
            return os.read(descriptor, size)

    with monkeypatch.context() as patch:
        patch.setattr(fsio, "os", Replacing())
        at_work.take()
    at_work.take()
    assert replaced
    assert at_work.original(NEW) is not None
    kept = [path.read_text() for path in (at_work.root / "originals").glob("??/*/*")]
    assert set(kept) <= {OLD, NEW}
    assert 1.4012 in {row["density_g_cm3"] for row in at_work.rows("density")}
    assert at_work.waiting() == []


def test_a_file_replaced_while_it_is_read(lab: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was dropped over a file that is being taken in is taken in as well."""
    at_work = lab()
    path = at_work.drop("a.csv", OLD)
    preserve, once = intake.preserve, []

    def and_replaced(lab: Lab, arrivals: Sequence[Arrival]) -> list[Any]:
        kept = preserve(lab, arrivals)
        if not once:
            once.append(at_work.drop(path.name, NEW))
        return kept

    monkeypatch.setattr(intake, "preserve", and_replaced)
    at_work.take()
    at_work.take()
    assert sorted(row["density_g_cm3"] for row in at_work.rows("density")) == [1.3912, 1.4012]
    assert at_work.original(OLD) is not None
    assert at_work.original(NEW) is not None
    assert at_work.waiting() == []


def test_a_file_that_grows_for_ever(lab: Make) -> None:
    """It is left for later, told as such, and keeps no other file waiting."""
    at_work = lab()
    at_work.drop("quick.csv", OLD)
    growing, over = at_work.inbox / "growing.csv", threading.Event()

    def grow() -> None:
        with growing.open("w") as sink:
            while not over.is_set():
                sink.write("1;2;3\n")
                sink.flush()
                time.sleep(0.02)

    writer = threading.Thread(target=grow)
    writer.start()
    try:
        told = at_work.take()
    finally:
        over.set()
        writer.join()
    assert told["quick.csv"].status == "filed"
    assert told["growing.csv"].status == "waiting"
    assert at_work.waiting() == ["growing.csv"]


def at_clock(monkeypatch: pytest.MonkeyPatch, when: datetime) -> None:
    """Set the clock by which records are dated."""

    class Clock(datetime):
        @classmethod
        def now(cls, tz: Any = None) -> Self:
            return cls.fromtimestamp(when.timestamp(), tz)

    for module in (journal, index, plan, held):
        monkeypatch.setattr(module, "datetime", Clock)


def test_a_clock_set_back_between_runs(lab: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    """Filed on what was 2 January, the next on 30 December before: nothing is lost or doubled."""
    at_work = lab()
    runs = [datetime(2027, 1, 2, tzinfo=UTC), datetime(2026, 12, 30, tzinfo=UTC)]
    for n, when in enumerate(runs):
        with monkeypatch.context() as patch:
            at_clock(patch, when)
            at_work.drop(f"{n}.csv", density(at=f"14.09.2026;0{n}:30"))
            at_work.drop(f"bad {n}.csv", density("x", at=f"14.09.2026;0{n}:30"))
            told = at_work.take()
        assert told[f"{n}.csv"].status == "filed"
    at_work.drop("again.csv", density(at="14.09.2026;00:30"))
    assert at_work.take()["again.csv"].status == "known"
    assert len(at_work.rows("density", withdrawn=True)) == 2
    assert len(at_work.held()) == 2
    assert [line["event"] for line in at_work.journal()].count("filed") == 2


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the zone of a process is fixed on Windows")
def test_the_time_zone_of_the_machine_does_not_matter(
    lab: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Times are those of the lab's zone, whatever zone the machine is set to between runs."""
    at_work = lab()
    try:
        for n, zone in enumerate(["America/New_York", "Asia/Tokyo"]):
            monkeypatch.setenv("TZ", zone)
            time.tzset()
            at_work.drop(f"{n}.csv", density(at=f"14.09.2026;0{n + 3}:00"))
            at_work.take()
    finally:
        monkeypatch.undo()
        time.tzset()
    found = sorted(row["measured_at"].isoformat() for row in at_work.rows("density"))
    assert found == ["2026-09-14T01:00:00+00:00", "2026-09-14T02:00:00+00:00"]


def test_another_zone_in_the_settings(lab: Make) -> None:
    """What was filed stays as it is, and its bytes are known; what comes is in the new zone."""
    at_work = lab()
    at_work.drop("0.csv", OLD)
    at_work.take()
    at_work.settle(times={"zone": "Asia/Tokyo"})
    at_work.drop("again.csv", OLD)
    at_work.drop("1.csv", NEW)
    assert at_work.take()["again.csv"].status == "known"
    found = sorted(row["measured_at"].isoformat() for row in at_work.rows("density"))
    assert found == ["2026-09-14T00:00:00+00:00", "2026-09-14T06:00:00+00:00"]


def test_an_inbox_that_comes_and_goes_between_runs(lab: Make) -> None:
    """Without its inbox a run says so and deletes nothing; when it is back, files are taken."""
    at_work = lab()
    at_work.drop("0.csv", OLD)
    at_work.inbox.rename(at_work.root / "away")
    with pytest.raises(InboxOutOfReach, match="is out of reach"):
        at_work.take()
    assert any("out of reach" in line for line in at_work.said)
    shutil.move(at_work.root / "away", at_work.inbox)
    assert at_work.take()["0.csv"].status == "filed"


def test_a_lock_left_under_a_number_that_lives(lab: Make) -> None:
    """A note of who held a lock counts for nothing where another process has that number now."""
    at_work = lab().lab
    note = {"pid": os.getppid(), "host": socket.gethostname(), "since": "2026-01-01", "command": ""}
    for name in (".service.lock", ".write.lock"):
        (at_work.root / name).touch()
        (at_work.root / name).with_suffix(".holder").write_text(json.dumps(note))
    with lock.service_lock(at_work), lock.write_lock(at_work, wait_s=0.1):
        pass
