"""A service that has nothing to do costs next to nothing."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import psutil
import pytest
from bad_exports import density
from labs import LabAtWork, Service, wait_until
from many_held import hold_many

Make = Callable[..., LabAtWork]
Serve = Callable[..., Service]
WATCHED_S = 15.0
REST_S = 12.0  # until all that follows a filed export is over
MOST = 0.003  # of a core


def used_s(service: Service) -> float:
    """Return the processor time of the service and its workers, in seconds."""
    main = psutil.Process(service.process.pid)
    tasks = [
        task
        for one in (main, *main.children(recursive=True))
        for task in Path(f"/proc/{one.pid}/task").iterdir()
    ]
    # proc(5), schedstat: time spent on the processor in ns, waited, time slices
    return sum(int((task / "schedstat").read_text().split()[0]) for task in tasks) / 1e9


@pytest.mark.thorough
@pytest.mark.skipif(sys.platform != "linux", reason="reads the processor time from /proc")
def test_an_idle_service_uses_three_thousandths_of_a_core_at_most(lab: Make, serve: Serve) -> None:
    """With its workers, at the times that a new lab has, after it has filed something.

    Six thousand held files cost it no more.
    """
    at_work = lab(intake={"settle_s": 0.1, "scan_s": 30.0})
    at_work.drop("bad.csv", density("x"))
    at_work.take()
    hold_many(at_work, "bad.csv", 6_000)
    at_work.settle(intake={"settle_s": 5.0, "scan_s": 30.0})
    service = serve(at_work, cold=True)
    at_work.drop("a.csv", density())
    wait_until(lambda: len(at_work.rows("density")) == 1, "the export filed")
    time.sleep(REST_S)
    before, began = used_s(service), time.monotonic()
    time.sleep(WATCHED_S)
    share = (used_s(service) - before) / (time.monotonic() - began)
    assert share < MOST, f"{share:.2%} of a core"
