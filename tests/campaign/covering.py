"""Which tests call a function, found by running each test file once and listening.

A change is first shown to the tests that called its function, then to the others of their files,
which may have had it from what the first ones left behind (a fixture, a cache).
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
from collections.abc import Callable, Collection, Generator, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest
from tree_copies import ROOT, Copy, Ended, Run

# For one change, by the time that tests took when listened to: those that call the function, and
# the others of their files.
BUDGETS_S = (45.0, 15.0)
PATIENCE_S = 900.0  # for a whole test file
LEFT_OUT = (
    "campaign",
    "bench",
    "extend/strangers",
)  # at random, no tests, and with packages of their own
UNDISTURBED = (pytest.ExitCode.OK, pytest.ExitCode.TESTS_FAILED)  # what failed is left out
CODE = ("core", "plugins", "schemas")


@dataclass(frozen=True)
class Test:
    """A test that passes on the code as it is, and how long that takes."""

    file: str
    name: str
    seconds: float


@dataclass(frozen=True)
class Heard:
    """What was heard of a test file: its tests, those that fail or are skipped, who calls what.

    `calls` goes by source and function; it holds places in `tests`, and -1 for what was called
    outside of any of them.
    """

    tests: tuple[Test, ...]
    failed: tuple[str, ...]
    skipped: tuple[str, ...]
    calls: dict[str, frozenset[int]]

    @property
    def names(self) -> set[str]:
        """The names of all tests of the file."""
        return {*self.failed, *self.skipped, *(test.name for test in self.tests)}


def files_of_tests() -> list[str]:
    """Return the files of tests, as paths below the tree."""
    paths = sorted((ROOT / "tests").rglob("test_*.py"))
    names = [path.relative_to(ROOT).as_posix() for path in paths]
    return [name for name in names if not name.startswith(tuple(f"tests/{n}/" for n in LEFT_OUT))]


def digest(paths: Iterable[Path]) -> str:
    """Return a digest of files and of where they are."""
    found = hashlib.sha256()
    for path in sorted(paths):
        content = hashlib.sha256(path.read_bytes()).hexdigest()
        found.update(f"{path.relative_to(ROOT).as_posix()} {content}\n".encode())
    return found.hexdigest()


def digest_of_code() -> str:
    """Return a digest of all that the tests are about."""
    every = (path for part in CODE for path in (ROOT / part).rglob("*") if path.is_file())
    return digest(path for path in every if path.suffix != ".pyc")


class Listener:
    """In the process of a test file: tells the listening which test runs, and how tests end."""

    def __init__(self) -> None:
        self.ends: dict[str, list[object]] = {}

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        """What is called from here on is called for this test."""
        os.environ["CALLS_OF"] = nodeid
        sys.modules["sitecustomize"].forget()

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Add up the time of a test; the worst that happened to it counts."""
        outcome, seconds = self.ends.get(report.nodeid, ["passed", 0.0])
        if report.outcome != "passed":
            outcome = report.outcome
        self.ends[report.nodeid] = [outcome, float(str(seconds)) + report.duration]

    def pytest_sessionfinish(self) -> None:
        """Write down how the tests ended."""
        Path(os.environ["ENDS_TO"]).write_text(json.dumps(self.ends), encoding="utf-8")


def listen(file: str, place: Path) -> Callable[[Copy], Generator[Run, Ended, None]]:
    """Return the task of running a test file and writing to `place` what was heard."""

    def task(copy: Copy) -> Generator[Run, Ended, None]:
        calls, ends = copy.folder / "calls.txt", copy.folder / "ends.json"
        for path in (calls, ends):
            path.unlink(missing_ok=True)
        where = {"CALLS_TO": str(calls), "ENDS_TO": str(ends)}
        ended = yield Run((file,), Listener(), PATIENCE_S, where, listen=True)
        if ended.code not in UNDISTURBED or not ends.exists():
            raise RuntimeError(f"{file} did not run: {ended.printed.read_text(errors='replace')}")
        said = json.loads(ends.read_text(encoding="utf-8"))
        lines = calls.read_text(encoding="utf-8").splitlines() if calls.exists() else []
        heard = {"file": file, "ends": said, "calls": sorted(set(lines))}
        place.parent.mkdir(parents=True, exist_ok=True)
        half_made = place.with_suffix(".part")
        half_made.write_text(json.dumps(heard), encoding="utf-8")
        half_made.replace(place)
        print(f"  {file}: {len(said)} tests", flush=True)

    return task


def heard(place: Path) -> Heard:
    """Return what `listen` has written."""
    said = json.loads(place.read_text(encoding="utf-8"))
    passed = [name for name, (outcome, _) in said["ends"].items() if outcome == "passed"]
    failed = [name for name, (outcome, _) in said["ends"].items() if outcome == "failed"]
    skipped = [name for name, (outcome, _) in said["ends"].items() if outcome == "skipped"]
    tests = [Test(said["file"], name, said["ends"][name][1]) for name in passed]
    places = {name: number for number, name in enumerate(passed)}
    calls: dict[str, set[int]] = {}
    for line in said["calls"]:
        test, source, function = line.split("\t")
        calls.setdefault(f"{source} {function}", set()).add(places.get(test, -1))
    found = {key: frozenset(of) for key, of in calls.items()}
    return Heard(tuple(tests), tuple(failed), tuple(skipped), found)


@dataclass(frozen=True)
class Chosen:
    """The tests for a change, how many more would take too long, and a digest of their files."""

    tests: tuple[Test, ...]
    left_out: int
    digest: str


def choose(every: Sequence[Heard], module: str, function: str) -> Chosen:
    """Return the tests for a change, those that are likeliest to notice first.

    Parameters
    ----------
    module
        As it was listened to: the path below the package.
    function
        "" for what stands outside of functions: then each test that calls any of the module.
    """
    room = f"/{module.partition('/')[0]}/"

    def nearest(tests: Sequence[Test]) -> tuple[bool, float]:
        return room not in tests[0].file, sum(test.seconds for test in tests)

    first: list[list[Test]] = []
    others: list[list[Test]] = []
    for of_file in every:
        if own := _callers(of_file, module, function):
            numbered = list(enumerate(of_file.tests))
            first.append([test for place, test in numbered if place in own])
            others.append([test for place, test in numbered if place not in own])
    chosen: list[Test] = []
    left = 0
    for group, budget_s in zip((first, others), BUDGETS_S, strict=True):
        for tests in sorted(filter(None, group), key=nearest):
            for test in tests:
                if chosen and test.seconds > budget_s:
                    left += 1
                else:
                    chosen.append(test)
                    budget_s -= test.seconds  # noqa: PLW2901 - what is left of it
    files = {ROOT / test.file for test in chosen}
    return Chosen(tuple(chosen), left, digest(files))


def _callers(of_file: Heard, module: str, function: str) -> Collection[int]:
    if function:
        return of_file.calls.get(f"{module} {function}", frozenset())
    own = {key: of for key, of in of_file.calls.items() if key.startswith(f"{module} ")}
    called = [of for key, of in own.items() if not key.endswith("<module>")]
    return frozenset().union(*(called or own.values()))
