"""Workers that stand still, because one that the system killed took what they share with it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from bad_exports import density
from labs import LabAtWork

from tiecoat.intake.workers import pool

Make = Callable[..., LabAtWork]


def lose_lock(manager: Any) -> None:
    """Hold the lock of all workers, as a process that is gone would hold it."""
    assert manager.workers_channel.mutex.acquire(timeout=10)


def lose_task(manager: Any) -> None:
    """Have the next task received by nobody who lives to acknowledge it."""
    manager.dispatch = lambda task: delattr(manager, "dispatch")


@pytest.mark.parametrize("lose", [lose_lock, lose_task])
def test_workers_that_stand_still_are_replaced(
    lose: Callable[[Any], None], lab: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A worker that was killed takes a lock or a task along; the files are read all the same."""
    monkeypatch.setattr(pool, "STUCK_S", 1.0)
    schedule = pool.ReaderPool._schedule
    lost = []

    def lose_and_schedule(self: pool.ReaderPool, tasks: Any) -> Any:
        if not lost:
            lose(self._pool._pool_manager.worker_manager)
            lost.append(True)
        return schedule(self, tasks)

    monkeypatch.setattr(pool.ReaderPool, "_schedule", lose_and_schedule)
    at_work = lab(readers={"processes": 2})
    at_work.drop("a.csv", density(at="14.09.2026;08:00"))
    at_work.drop("b.csv", density(at="14.09.2026;09:00"))
    told = at_work.take()
    assert {name: outcome.status for name, outcome in told.items()} == {
        "a.csv": "filed",
        "b.csv": "filed",
    }
    assert lost
    assert at_work.sound()


def test_a_slow_reader_is_not_taken_for_stuck(lab: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    """While a reader reads, within its time limit, others wait without being sent again."""
    monkeypatch.setattr(pool, "STUCK_S", 0.5)
    restarts = []
    monkeypatch.setattr(pool.ReaderPool, "restart", restarts.append)
    at_work = lab(readers={"processes": 1, "folder": True, "time_limit_s": 20})
    (at_work.root / "readers" / "slow.py").write_text(
        """\
import time

from tiecoat.plugin import Claim, hookimpl


class Slow:
    name, kind, version = "slow", "density", "1"

    def recognise(self, export):
        time.sleep(2)
        return None

    def read(self, export):
        return []


@hookimpl
def tiecoat_readers():
    return [Slow()]
"""
    )
    at_work.drop("a.csv", density(at="14.09.2026;08:00"))
    assert at_work.take()["a.csv"].status == "filed"
    assert restarts == []
