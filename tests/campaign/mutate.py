"""Changes the code on purpose and counts the changes that no test notices.

python tests/campaign/mutate.py [--modules GLOB ...] [--per-module N] [--minutes M] [--workers N]

Each change (mutators.py) is made in a copy of the tree and shown to the tests that call the changed
function (covering.py), until one fails. What was found is kept in the work folder, so that the
command, called again, goes on where it ended: a change that was noticed is not tried again until
its module changes, one that survived not until its module or the files of its tests change.
"""

from __future__ import annotations

import argparse
import hashlib
import sys
import tempfile
import time
from argparse import RawDescriptionHelpFormatter
from collections.abc import Callable, Generator, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fnmatch import fnmatch
from functools import cache, partial
from itertools import groupby, zip_longest
from pathlib import Path

import pytest
from covering import (
    Chosen,
    Heard,
    Test,
    choose,
    digest,
    digest_of_code,
    files_of_tests,
    heard,
    listen,
)
from mutators import Change, changes, drawn, plain
from tree_copies import ROOT, Copy, Ended, Run, load_libraries, work_through
from tried import Outcome, Results, Tried, table

ROOMS = ("compare", "evaluate", "dialect", "intake", "archive", "report")
SEED = "2026-11-29"
PASSED = (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED)
SLOWER = 3.0  # than when it was listened to may a test be
START_S = 30.0  # to load and collect


class Look:
    """In the process of a run: leaves tests out, and writes down the first that fails."""

    def __init__(self, avoid: frozenset[str], to: Path) -> None:
        self.avoid = avoid
        self.to = to

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Leave out what is not chosen; a test that was unknown before is run."""
        items[:] = [item for item in items if item.nodeid not in self.avoid]

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Write down who noticed."""
        if report.failed:
            self.to.write_text(report.nodeid, encoding="utf-8")


def modules(globs: Sequence[str]) -> list[str]:
    """Return the modules of the rooms that fit, as paths below core/."""
    paths = [path for room in ROOMS for path in sorted((ROOT / "core" / room).rglob("*.py"))]
    names = [path.relative_to(ROOT / "core").as_posix() for path in paths]
    return [name for name in names if any(fnmatch(name, glob) for glob in globs)]


@dataclass(frozen=True)
class Trial:
    """A change, the tests that it is shown to, and where it is written down what became of it."""

    module: str
    change: Change
    source: str  # digest of the module
    tests: Chosen
    every: Mapping[str, Heard]
    results: Results

    def __call__(self, copy: Copy) -> Generator[Run, Ended, None]:
        """Make the change in a copy and run its tests, until one notices."""
        outcome: Outcome = "survived"
        ran, by = 0, ""
        with copy.changed(f"core/{self.module}", self.change.source()):
            for stage in stages(self.tests.tests):
                ran += len(stage)
                outcome, by = yield from self._show(stage, copy.folder / "who.txt")
                if outcome != "survived":
                    break
        tried = Tried(
            module=self.module,
            source=self.source,
            tests=self.tests.digest,
            number=self.change.number,
            line=self.change.line,
            function=self.change.function,
            sort=self.change.sort,
            before=self.change.before,
            after=self.change.after,
            outcome=outcome,
            ran=ran,
            left_out=self.tests.left_out,
            by=by,
        )
        self.results.add(tried)
        print(f"{outcome}: {tried.words}", flush=True)

    def known(self) -> Tried | None:
        """Return what became of the change; None if it was not tried, or may end otherwise now."""
        number = self.change.number
        return self.results.known(self.module, self.source, self.tests.digest, number)

    def _show(self, stage: Sequence[Test], who: Path) -> Generator[Run, Ended, tuple[Outcome, str]]:
        """Run tests, and say what became of the change and which test noticed it.

        A test that takes long may fail because the machine is busy: it must fail twice.
        """
        slow = {test.name: test for test in stage if test.seconds > 1}
        left = list(stage)
        while left:
            who.unlink(missing_ok=True)
            ended = yield self._run(left, who)
            if ended.code is None:
                return "timed out", ""
            if ended.code in PASSED:
                break
            by = who.read_text(encoding="utf-8") if who.exists() else ""
            if by not in slow or (yield self._run([slow[by]], who)).code not in PASSED:
                return "noticed", by or f"pytest ended with {ended.code}"
            left.remove(slow[by])
        return "survived", ""

    def _run(self, stage: Sequence[Test], who: Path) -> Run:
        files = tuple(dict.fromkeys(test.file for test in stage))
        known = {name for file in files for name in self.every[file].names}
        avoid = frozenset(known - {test.name for test in stage})
        limit_s = START_S + SLOWER * sum(test.seconds for test in stage)
        return Run(files, Look(avoid, who), limit_s)


def stages(tests: Sequence[Test]) -> Iterator[list[Test]]:
    """Part tests into runs: those of one file, of four more, of sixteen more, and so on."""
    files = [list(own) for _, own in groupby(tests, key=lambda test: test.file)]
    size = 1
    while files:
        yield [test for own in files[:size] for test in own]
        files, size = files[size:], 4 * size


def listened(copies: list[Copy], work: Path, over: Callable[[], bool]) -> dict[str, Heard]:
    """Return what was heard of each test file, listening to those that are new or changed.

    The modules stand there as they are written out again, so that a test which minds that, and not
    the change, is known.
    """
    code = digest_of_code()
    places = {
        file: work / "heard" / f"{hashlib.sha256(f'{code} {file}'.encode()).hexdigest()[:16]}-"
        f"{digest([ROOT / file])[:16]}.json"
        for file in files_of_tests()
    }
    new = [file for file, place in places.items() if not place.exists()]
    if new:
        print(f"listening to {len(new)} test files", flush=True)
        for copy in copies:
            for module in modules(["*"]):
                copy.write(f"core/{module}", plain(copy.read(f"core/{module}")))
        work_through((listen(file, places[file]) for file in new), copies, over)
        for copy in copies:
            copy.make()
    every = {file: heard(place) for file, place in places.items() if place.exists()}
    for of_file in every.values():
        for name in of_file.failed:
            print(f"left out, for it fails on the code as it is: {name}")
    return every


def trials(
    globs: Sequence[str], count: int, every: Mapping[str, Heard], results: Results
) -> tuple[list[Trial], list[Tried]]:
    """Return the trials to make, one of each module first, and what is known of the others."""
    chosen = cache(partial(choose, list(every.values())))
    known: list[Tried] = []
    by_module: list[list[Trial]] = []
    for module in modules(globs):
        text = (ROOT / "core" / module).read_text(encoding="utf-8")
        source = hashlib.sha256(text.encode()).hexdigest()
        new = []
        for change in drawn(changes(text), count, f"{SEED} {module}"):
            tests = chosen(module, change.function)
            trial = Trial(module, change, source, tests, every, results)
            if before := trial.known():
                known.append(before)
            else:
                new.append(trial)
        by_module.append(new)
    in_turn = (trial for turn in zip_longest(*by_module) for trial in turn if trial is not None)
    return list(in_turn), known


def main() -> int:
    """Try changes, print the table and write it down; 1 if any survived."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=RawDescriptionHelpFormatter
    )
    parser.add_argument(
        "--modules",
        nargs="+",
        default=["*"],
        metavar="GLOB",
        help="paths below core/, such as 'compare/*'; all rooms by default",
    )
    parser.add_argument("--per-module", type=int, default=30, metavar="N")
    parser.add_argument("--minutes", type=float, default=float("inf"), metavar="M")
    parser.add_argument("--workers", type=int, default=2, metavar="N")
    parser.add_argument(
        "--work",
        type=Path,
        default=None,
        metavar="FOLDER",
        help="for copies and results; one of this tree in the system's by default",
    )
    asked = parser.parse_args()
    end: float = time.monotonic() + 60 * asked.minutes
    mark = hashlib.sha256(str(ROOT).encode()).hexdigest()[:8]
    work = asked.work or Path(tempfile.gettempdir()) / f"tiecoat-mutation-{mark}"
    work.mkdir(parents=True, exist_ok=True)
    load_libraries()

    def over() -> bool:
        return time.monotonic() > end

    copies = [Copy(work / f"copy-{number}") for number in range(asked.workers)]
    every = listened(copies, work, over)
    results = Results(work / "results.jsonl")
    todo, known = trials(asked.modules, asked.per_module, every, results)
    print(f"{len(todo)} changes to try, {len(known)} tried before; in {work}", flush=True)
    if not over() or not todo:
        work_through(iter(todo), copies, over)
    found = known + [tried for trial in todo if (tried := trial.known())]
    text = table(found, len(todo) + len(known))
    (work / "table.txt").write_text(text, encoding="utf-8")
    print(f"\n{text}\nwritten to {work / 'table.txt'}")
    return int(any(tried.outcome != "noticed" for tried in found))


if __name__ == "__main__":
    sys.exit(main())
