"""Labs and services for tests of the whole way of a file."""

from __future__ import annotations

import gc
import os
import sys
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from itertools import count
from pathlib import Path

import bad_exports
import eventful_lab
import pytest
from hypothesis import settings
from labs import PATIENCE_S, LabAtWork, Service, make_lab, started
from read_here import read_here, read_in_workers
from shared_work import SharedWork
from warm_starter import WarmStarter

TESTS = Path(__file__).parent

ALL = os.environ.get("TIECOAT_TESTS") == "all"

# The same examples every time, so that what fails is due to a change; a campaign tries more others.
EXAMPLES = 25 if ALL else 12
settings.register_profile("repeatable", derandomize=True, deadline=None, max_examples=EXAMPLES)
if "TIECOAT_CAMPAIGN" not in os.environ:
    settings.load_profile("repeatable")

# Else each of some hundred processes would compile the package anew.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

# Test processes share the cores already: threads of libraries would only wait for each other.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
os.environ.setdefault("OMP_NUM_THREADS", "1")  # Arrow asks for this one


LONG = (  # rooms of long tests: first what waits most, then what reckons most
    *("campaign", "exports", "faults", "service", "report", "intake"),
    *("compare", "tabular", "rebuild", "verify", "layouts", "archive"),
    *("test_example_archive.py", "test_example_read.py", "test_generate_example.py", "evaluate"),
)


def pytest_xdist_auto_num_workers() -> int:
    """Run two tests at once for each core: for much of their time they wait."""
    return 2 * (os.cpu_count() or 1)


gc.disable()  # while all is collected, which stays


def pytest_collection_finish() -> None:
    """Have the collector of garbage pass over what was collected."""
    gc.freeze()
    gc.enable()


def by_default(items: Sequence[pytest.Item]) -> Iterator[tuple[pytest.Item, bool]]:
    """Say of each test whether it runs without TIECOAT_TESTS=all in the environment."""
    seen = Counter[str]()
    for item in items:
        share = item.get_closest_marker("every")
        test = item.nodeid.partition("[")[0]
        wanted = share is None or seen[test] % share.args[0] == 0
        yield item, wanted and item.get_closest_marker("thorough") is None
        seen[test] += 1


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what only runs where all is asked for; begin with what takes long.

    So nobody waits for that alone in the end. What is asked for by name or mark always runs.
    """
    asked = any("::" in one for one in config.args) or config.getoption("markexpr")
    if not ALL and not asked:
        left_out = [item for item, runs in by_default(items) if not runs]
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item, runs in by_default(items) if runs]
    room = {path: path.relative_to(TESTS).parts[0] for path in {item.path for item in items}}
    rooms = [*LONG, *sorted({*room.values()} - {*LONG})]
    items.sort(key=lambda item: rooms.index(room[item.path]))


# Tests that take files in, and ask nothing of the workers that read them.
READ_HERE = ("ask", "cli", "compare", "evaluate", "rebuild", "report", "verify")
READ_HERE += ("intake/checks", "intake/filing", "intake/held", "lab", "testing")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Iterator[None]:
    """Have some rooms read in the process of the tests, fixtures included."""
    if ALL or not item.path.relative_to(TESTS).as_posix().startswith(READ_HERE):
        return (yield)
    with read_here():
        return (yield)


@pytest.fixture(scope="session")
def shared_work(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> SharedWork:
    """Gives what is made once for all test processes of this run."""
    place = tmp_path_factory.getbasetemp()
    return SharedWork(place if worker_id == "master" else place.parent)


@pytest.fixture
def lab(tmp_path: Path) -> Callable[..., LabAtWork]:
    """Makes a new lab; keyword arguments change sections of its settings."""
    number = count(1)
    return lambda **changes: make_lab(tmp_path / f"lab {next(number)}", **changes)


@pytest.fixture(scope="session")
def warm_starter() -> Iterator[WarmStarter | None]:
    """What starts a service in a moment, on Linux."""
    if sys.platform != "linux":
        yield None
        return
    starter = WarmStarter()
    yield starter
    starter.close()


@pytest.fixture
def serve(warm_starter: WarmStarter | None) -> Iterator[Callable[..., Service]]:
    """Starts a service for a lab; it is stopped at the end of the test.

    As a new process where `cold` asks for it, for another environment, or by another program.
    """
    running: list[Service] = []

    def start(
        lab: LabAtWork, command: Sequence[str] = (), *, cold: bool = False, **environment: str
    ) -> Service:
        cold = cold or bool(environment) or (bool(command) and command[0] != sys.executable)
        starter = None if cold else warm_starter
        running.append(Service(lab.root, command, starter, **environment))
        return running[-1]

    yield start
    for service in running:
        service.close()


@pytest.fixture
def run_alone(
    warm_starter: WarmStarter | None, tmp_path: Path
) -> Callable[[Sequence[str]], tuple[int, str]]:
    """Runs a command of Python as a process of its own; returns its exit code and what it said."""
    number = count(1)

    def run(command: Sequence[str]) -> tuple[int, str]:
        log = tmp_path / f"said {next(number)}"
        code = started(command, log, {}, warm_starter).wait(4 * PATIENCE_S)
        return code, log.read_text(encoding="utf-8", errors="replace")

    return run


@pytest.fixture(scope="session")
def bad_lab(shared_work: SharedWork) -> LabAtWork:
    """A lab into which everything bad was dropped at once, and taken in; not to be changed."""
    with read_in_workers():  # some of it ends the process that reads it
        return shared_work.once("bad lab", lambda folder: bad_exports.taken_in(folder / "lab"))


@pytest.fixture(scope="session")
def eventful(shared_work: SharedWork) -> LabAtWork:
    """A lab in which everything has happened; not to be changed."""
    return shared_work.once("eventful lab", lambda folder: eventful_lab.build(folder / "lab"))


@pytest.fixture
def at_work(eventful: LabAtWork, tmp_path: Path) -> LabAtWork:
    """A copy of the eventful lab, to be damaged."""
    return eventful.copy(tmp_path / "eventful")
