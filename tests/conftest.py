"""Labs and services for tests of the whole way of a file."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator, Sequence
from itertools import count
from pathlib import Path

import bad_exports
import eventful_lab
import pytest
from hypothesis import settings
from labs import LabAtWork, Service, make_lab

# The same examples every time, so that what fails is due to a change; a campaign tries others.
settings.register_profile("repeatable", derandomize=True, deadline=None)
if "TIECOAT_CAMPAIGN" not in os.environ:
    settings.load_profile("repeatable")

# Test processes share the cores already: threads of linear algebra would only wait for each other.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


def pytest_xdist_auto_num_workers() -> int:
    """Run one test more at once than there are cores: for some of their time they wait."""
    return (os.cpu_count() or 1) + 1


@pytest.fixture
def lab(tmp_path: Path) -> Callable[..., LabAtWork]:
    """Makes a new lab; keyword arguments change sections of its settings."""
    number = count(1)
    return lambda **changes: make_lab(tmp_path / f"lab {next(number)}", **changes)


@pytest.fixture
def serve() -> Iterator[Callable[..., Service]]:
    """Starts a service for a lab; it is stopped at the end of the test."""
    started: list[Service] = []

    def start(lab: LabAtWork, command: Sequence[str] = (), **environment: str) -> Service:
        started.append(Service(lab.root, command, **environment))
        return started[-1]

    yield start
    for service in started:
        service.close()


@pytest.fixture(scope="session")
def bad_lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LabAtWork]:
    """A lab into which everything bad was dropped at once, and taken in."""
    lab = bad_exports.taken_in(tmp_path_factory.mktemp("bad") / "lab")
    yield lab
    for path in lab.root.rglob(bad_exports.HUGE):  # pytest keeps its folders for a while
        path.unlink()


@pytest.fixture(scope="session")
def eventful(tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """A lab in which everything has happened; not to be changed."""
    return eventful_lab.build(tmp_path_factory.mktemp("eventful") / "lab")


@pytest.fixture
def at_work(eventful: LabAtWork, tmp_path: Path) -> LabAtWork:
    """A copy of the eventful lab, to be damaged."""
    shutil.copytree(eventful.root, tmp_path / "eventful")
    return LabAtWork(tmp_path / "eventful")
