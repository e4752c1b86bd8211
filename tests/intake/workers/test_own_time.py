"""A reader is ended for the time that it takes itself, and not for that of a busy machine."""

from __future__ import annotations

import multiprocessing
import os
import re
import time
from collections.abc import Callable

import pytest

from tiecoat.intake.workers.own_time import BY_SIGNAL, TOO_SLOW_EXIT, own_time

CONTEXT = multiprocessing.get_context("spawn")
LINUX = pytest.mark.skipif(not os.path.exists("/proc/self/schedstat"), reason="Linux tells it")  # noqa: PTH110


def computes() -> None:
    """Compute for ever."""
    while True:
        sum(range(1000))


def sleeps() -> None:
    """Sleep for ever."""
    time.sleep(3600)


def searches() -> None:
    """Search for ever without letting go of the interpreter."""
    re.match(r"(a|aa)+$", "a" * 200 + "b")


def ends() -> None:
    """Do little."""


def _within(limit_s: float, work: Callable[[], None], priority: int = 0) -> None:
    if priority:
        os.nice(priority)
    with own_time(limit_s):
        work()


def ended(limit_s: float, work: Callable[[], None]) -> int | None:
    """How a process ends that does something within a time of its own."""
    process = CONTEXT.Process(target=_within, args=(limit_s, work))
    process.start()
    process.join(60)
    return process.exitcode


@pytest.mark.parametrize("work", [computes, sleeps, searches])
def test_what_never_ends_is_ended(work: Callable[[], None]) -> None:
    """Whether it computes, sleeps, or lets nothing else run."""
    assert ended(0.3, work) in {TOO_SLOW_EXIT, BY_SIGNAL}


def test_what_ends_in_time_is_left_alone() -> None:
    """And the process lives on after that."""
    assert ended(5.0, ends) == 0


@LINUX
def test_a_busy_machine_takes_no_time(tmp_path_factory: pytest.TempPathFactory) -> None:
    """What computes for 0.3 s among others for a processor may do so, however long that takes."""
    others = [CONTEXT.Process(target=computes) for _ in range(8)]
    one_processor = {min(os.sched_getaffinity(0))}
    for other in others:
        other.start()
        assert other.pid is not None
        os.sched_setaffinity(other.pid, one_processor)
    process = CONTEXT.Process(target=_counted, args=(one_processor, 0.3, 1.2))
    try:
        process.start()
        process.join(60)
    finally:
        for other in others:
            other.kill()
    assert process.exitcode == 0


def _counted(processors: set[int], computed_s: float, limit_s: float) -> None:
    os.sched_setaffinity(0, processors)
    began = time.monotonic()
    with own_time(limit_s):
        until = time.process_time() + computed_s
        while time.process_time() < until:
            pass
    if time.monotonic() - began < limit_s:
        raise SystemExit("the machine was not busy: the test shows nothing")
