"""Which tests call a function, found by running each test file once and listening.

What tests share (a fixture of a module, or of all) counts for each test that has it, its calls as
well as its time.
"""

from __future__ import annotations

import ast
import hashlib
import importlib
import json
import os
import signal
import time
from bisect import bisect
from collections import defaultdict
from collections.abc import Collection, Generator, Iterable, Iterator, Sequence
from dataclasses import dataclass
from fnmatch import fnmatch
from functools import _lru_cache_wrapper
from gc import get_objects
from pathlib import Path
from typing import Any

import pytest
from tree_copies import ROOT, Copy

FILE_S = 0.3  # to load a test file, where a run is made for one change alone
PATIENCE_S = 120  # for a whole test file; one that takes longer is left out
LEFT_OUT = ("campaign/", "bench/", "extend/strangers/")  # random, no tests, packages of their own


@dataclass(frozen=True)
class Test:
    """A test that passes on the code as it is, how long that takes, and what it shares."""

    file: str
    name: str
    seconds: float
    shares: tuple[str, ...]


@dataclass(frozen=True)
class Heard:
    """What was heard of a test file: its tests, those that fail, what they share, who calls what.

    `shared` has the seconds of what is shared. `calls` goes by source and function; it holds names
    of tests, and "" for what was called when the file was loaded. `names` has the modules that the
    file itself imports, as paths below the package.
    """

    file: str
    tests: tuple[Test, ...]
    failed: tuple[str, ...]
    shared: dict[str, float]
    calls: dict[str, frozenset[str]]
    names: frozenset[str]

    def cost_s(self, test: Test) -> float:
        """Return what it takes to run a test alone."""
        return test.seconds + sum(self.shared[one] for one in test.shares)


def files_of_tests(globs: Sequence[str]) -> list[str]:
    """Return the files of tests that fit, as paths below tests/."""
    every = ROOT / "tests"
    names = [path.relative_to(every).as_posix() for path in sorted(every.rglob("test_*.py"))]
    named = [name for name in names if any(fnmatch(name, glob) for glob in globs)]
    return [name for name in named if not name.startswith(LEFT_OUT)]


def digest(paths: Iterable[Path], said: str = "") -> str:
    """Return a digest of files and of where they are, and of what else is said."""
    found = hashlib.sha256(said.encode())
    for path in sorted(paths):
        content = hashlib.sha256(path.read_bytes()).hexdigest() if path.exists() else "gone"
        found.update(f"{path.relative_to(ROOT).as_posix()} {content}\n".encode())
    return found.hexdigest()


class Listening:
    """A plugin that runs each test file in a fork, and writes to its place what was heard."""

    def __init__(self, places: dict[str, Path], copy: Copy) -> None:
        self.places = places
        self.copy = copy
        copy.calls.unlink(missing_ok=True)

    @pytest.hookimpl(wrapper=True)
    def pytest_make_collect_report(self, collector: pytest.Collector) -> Generator[None, Any, Any]:
        """Note what is called when a test file is loaded."""
        if isinstance(collector, pytest.File):
            _listen_for(collector.nodeid)
        report = yield
        _listen_for("")
        return report

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Listen to one file after the other."""
        if session.testsfailed:
            raise pytest.UsageError("not all test files can be loaded")
        loading, caches = _lines(self.copy.calls), _caches()
        for file, place in self.places.items():
            self.copy.calls.unlink(missing_ok=True)
            self.copy.clear()
            pid = os.fork()
            if not pid:
                os.setsid()
                signal.alarm(PATIENCE_S)
                hearing = _Hearing(caches)
                session.config.pluginmanager.register(hearing)
                run_tests([item for item in session.items if _file(item.nodeid) == file])
                own = [line for line in loading if line.partition("\t")[0] in ("", file)]
                hearing.write(file, place, own, _lines(self.copy.calls))
                os._exit(0)
            os.waitpid(pid, 0)
            self.copy.end(pid)
            if not place.exists():
                _Hearing(()).write(file, place, (), ())
        return True


def run_tests(items: Sequence[pytest.Item]) -> None:
    """Run tests in this order."""
    for item, after in zip(items, [*items[1:], None], strict=True):
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)


class _Hearing:
    """In the fork of a test file: notes which test runs, for how long, and how it ends."""

    def __init__(self, caches: Sequence[Any]) -> None:
        self.caches = caches
        self.ends: dict[str, str] = {}
        self.seconds: dict[str, float] = defaultdict(float)
        self.shares: dict[str, set[str]] = defaultdict(set)
        self.within: list[str] = []  # a test, and the shared fixtures that it waits for
        self.since = 0.0

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        """What is called from here on is called for this test, whatever an earlier one has left."""
        for cached in self.caches:
            cached.cache_clear()
        self._begin(nodeid)

    def pytest_runtest_logfinish(self) -> None:
        """The test is over."""
        self._end()

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: pytest.FixtureDef[Any]) -> Generator[None, Any, Any]:
        """What a shared fixture calls counts for all that have it."""
        if fixturedef.scope == "function":
            return (yield)
        self._begin(_name(fixturedef))
        try:
            return (yield)
        finally:
            self._end()

    def pytest_runtest_setup(self, item: pytest.Item) -> None:
        """Note what the test shares."""
        info = getattr(item, "_fixtureinfo", None)
        defined = [one for of in info.name2fixturedefs.values() for one in of] if info else []
        self.shares[item.nodeid] = {_name(one) for one in defined if one.scope != "function"}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Whatever is not as it should be counts."""
        if report.outcome != "passed" or report.nodeid not in self.ends:
            self.ends[report.nodeid] = report.outcome

    def write(self, file: str, place: Path, loading: Sequence[str], calls: Sequence[str]) -> None:
        """Write down what was heard, and of which sources."""
        sources = {line.split("\t")[1] for line in calls}
        heard = {
            "file": file,
            "digest": digest([ROOT / file]),
            "sources": {source: digest([ROOT / "core" / source]) for source in sorted(sources)},
            "ends": self.ends,
            "seconds": self.seconds,
            "shares": {name: sorted(of) for name, of in self.shares.items()},
            "loading": sorted(loading),
            "calls": sorted(calls),
        }
        place.parent.mkdir(parents=True, exist_ok=True)
        half_made = place.with_suffix(".part")
        half_made.write_text(json.dumps(heard), encoding="utf-8")
        half_made.replace(place)

    def _begin(self, name: str) -> None:
        self._count()
        self.within.append(name)
        _listen_for(name)

    def _end(self) -> None:
        self._count()
        self.within.pop()
        _listen_for(self.within[-1] if self.within else "")

    def _count(self) -> None:
        now = time.perf_counter()
        if self.within:
            self.seconds[self.within[-1]] += now - self.since
        self.since = now


def _listen_for(what: str) -> None:
    importlib.import_module("calls_heard").listen_for(what)


def _lines(path: Path) -> set[str]:
    return set(path.read_text(encoding="utf-8").splitlines()) if path.exists() else set()


def _file(name: str) -> str:
    return name.partition("::")[0]


def _name(fixture: pytest.FixtureDef[Any]) -> str:
    return f"{fixture.func.__module__}.{fixture.argname}"


def _caches() -> list[Any]:
    """Return what our functions remember; that the kinds are loaded may stay so."""
    every = [one for one in get_objects() if isinstance(one, _lru_cache_wrapper)]
    ours = [one for one in every if one.__module__.startswith("tiecoat.")]
    return [one for one in ours if not one.__module__.startswith("tiecoat.extend.")]


def heard(place: Path) -> Heard | None:
    """Return what was written; None if there is nothing, or the file or the code have changed."""
    if not place.exists():
        return None
    said = json.loads(place.read_text(encoding="utf-8"))
    sources = said["sources"].items()
    if said["digest"] != digest([ROOT / said["file"]]):
        return None
    if any(digest([ROOT / "core" / source]) != before for source, before in sources):
        return None
    seconds, shares = said["seconds"], said["shares"]
    users = defaultdict(list)
    for test, of in shares.items():
        for name in of:
            users[name].append(test)
    calls = defaultdict(set)
    for line in said["calls"]:
        what, source, function = line.split("\t")
        calls[f"{source} {function}"].update(users.get(what, [what]))
    for line in said["loading"]:
        _, source, function = line.split("\t")
        calls[f"{source} {function}"].add("")
    ends = said["ends"]
    passed = [name for name, outcome in ends.items() if outcome == "passed"]
    return Heard(
        file=said["file"],
        tests=tuple(
            Test(said["file"], name, seconds[name], tuple(shares[name])) for name in passed
        ),
        failed=tuple(name for name, outcome in ends.items() if outcome == "failed"),
        shared={name: seconds.get(name, 0.0) for of in shares.values() for name in of},
        calls={key: frozenset(of) for key, of in calls.items()},
        names=frozenset(_imports((ROOT / said["file"]).read_text(encoding="utf-8"))),
    )


def _imports(source: str) -> Iterator[str]:
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("tiecoat."):
            path = str(node.module).removeprefix("tiecoat.").replace(".", "/")
            yield from (f"{path}.py", *(f"{path}/{one.name}.py" for one in node.names))


@dataclass(frozen=True)
class Chosen:
    """The tests for a change, how many more would take too long, and a digest of the chosen ones.

    `seconds` says what it takes to run each of the tests alone.
    """

    tests: tuple[Test, ...]
    seconds: dict[str, float]
    left_out: int
    digest: str


def choose(
    every: Sequence[Heard], budget_s: float, module: str, function: str, *, alone: bool
) -> Chosen:
    """Return the tests for a change: those of files that import its module, then the quickest.

    Parameters
    ----------
    budget_s
        For all of them, by the time that they took when listened to.
    module
        As it was listened to: the path below the package.
    function
        "" for what stands outside of functions.
    alone
        Whether this runs when modules are loaded, which a run must do for this change alone.
    """
    room = f"tests/{module.partition('/')[0]}/"
    callers = [
        (of_file, test)
        for of_file in every
        if (own := _callers(of_file, module, function, alone))
        for test in of_file.tests
        if test.name in own
    ]

    def nearest(caller: tuple[Heard, Test]) -> tuple[bool, int, bool, str]:
        of_file, test = caller
        quick = bisect((0.1, 1.0), of_file.cost_s(test))
        return module not in of_file.names, quick, room not in test.file, test.file

    chosen: list[Test] = []
    left, paid = 0, set[str]()
    for of_file, test in sorted(callers, key=nearest):
        unpaid = {test.file, *test.shares} - paid
        cost_s = test.seconds + sum(of_file.shared.get(one, FILE_S * alone) for one in unpaid)
        if chosen and cost_s > budget_s:
            left += 1
        else:
            chosen.append(test)
            budget_s -= cost_s
            paid |= unpaid
    names = "\n".join(test.name for test in chosen)
    costs_s = {test.name: of_file.cost_s(test) for of_file, test in callers}
    return Chosen(
        tests=tuple(chosen),
        seconds={test.name: costs_s[test.name] for test in chosen},
        left_out=left,
        digest=digest({ROOT / test.file for test in chosen}, names),
    )


def runs_when_loaded(every: Sequence[Heard], module: str, function: str) -> bool:
    """Say whether a function is called, or has been called, before any test."""
    return any("" in of_file.calls.get(f"{module} {function}", ()) for of_file in every)


def _callers(of_file: Heard, module: str, function: str, alone: bool) -> Collection[str]:
    """Return the tests that call a function.

    What runs when a module is loaded may be asked for by each that calls any of it or names it.
    """
    if not alone:
        return of_file.calls.get(f"{module} {function}", frozenset())
    if module in of_file.names:
        return {test.name for test in of_file.tests}
    of_module = [of for key, of in of_file.calls.items() if key.startswith(f"{module} ")]
    return frozenset().union(*of_module)
