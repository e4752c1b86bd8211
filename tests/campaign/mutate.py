"""Changes the code on purpose and counts the changes that no test notices.

python tests/campaign/mutate.py [--modules GLOB ...] [--tests GLOB ...] [--per-module N]
                                [--seconds S] [--minutes M] [--work FOLDER]

Each change (mutators.py) is shown to the tests that call the changed function (covering.py), until
one fails. One process has loaded the tests of a copy of the tree and forks for each change
(trying.py), which is put into the functions that are loaded (swapping.py); only what runs while
modules are loaded has them loaded for itself. What was found is kept in the work folder, so that
the command, called again, goes on where it ended: a change that was noticed is not tried again
until its module changes, one that survived not until its module or the files of its tests change.
"""

from __future__ import annotations

import argparse
import hashlib
import sys
import tempfile
import time
from argparse import RawDescriptionHelpFormatter
from collections.abc import Callable, Sequence
from fnmatch import fnmatch
from functools import cache, partial
from pathlib import Path

import pytest
from covering import Heard, Listening, choose, files_of_tests, heard, runs_when_loaded
from mutators import audible, changes, drawn, plain
from swapping import only_functions_differ
from tree_copies import ROOT, Copy, load_libraries
from tried import Results, table
from trying import ENDED_BY_TIME, Trial, Trying

ROOMS = ("compare", "evaluate", "dialect", "intake", "archive", "report")
SEED = "2026-11-29"


def modules(globs: Sequence[str]) -> list[str]:
    """Return the modules of the rooms that fit, as paths below core/."""
    paths = [path for room in ROOMS for path in sorted((ROOT / "core" / room).rglob("*.py"))]
    names = [path.relative_to(ROOT / "core").as_posix() for path in paths]
    return [name for name in names if any(fnmatch(name, glob) for glob in globs)]


def listened(copy: Copy, work: Path, globs: Sequence[str]) -> list[Heard]:
    """Return what was heard of each test file, listening to those that are new or changed."""
    places = {
        f"tests/{file}": work / "heard" / file.replace("/", " ").replace(".py", ".json")
        for file in files_of_tests(globs)
    }
    new = {file: place for file, place in places.items() if heard(place) is None}
    if new:
        print(f"listening to {len(new)} test files", flush=True)
        for place in new.values():
            place.unlink(missing_ok=True)
        for module in modules(["*"]):
            copy.write(f"core/{module}", audible(copy.read(f"core/{module}"), module))
        if copy.run(list(new), Listening(new, copy)) != pytest.ExitCode.OK:
            raise SystemExit(copy.log.read_text(errors="replace"))
    every = [of_file for place in places.values() if (of_file := heard(place))]
    for of_file in every:
        if not of_file.tests:
            print(f"left out, for it takes too long, or all of it is skipped: {of_file.file}")
        for name in of_file.failed:
            print(f"left out, for it fails on the code as it is: {name}")
    return every


def trials(
    globs: Sequence[str], count: int, every: Sequence[Heard], budget_s: float
) -> list[Trial]:
    """Return the changes to try of each module."""
    chosen = cache(partial(choose, every, budget_s))
    found = []
    for module in modules(globs):
        text = (ROOT / "core" / module).read_text(encoding="utf-8")
        source = hashlib.sha256(text.encode()).hexdigest()
        for change in drawn(changes(text), count, f"{SEED} {module}"):
            early = runs_when_loaded(every, module, change.function)
            alone = early or not only_functions_differ(text, change)
            tests = chosen(module, change.function, alone=alone)
            loaded = None if alone else plain(text)
            found.append(Trial(module, change, source, tests, loaded))
    return found


def work_through(
    todo: Sequence[Trial], copy: Copy, results: Results, over: Callable[[], bool]
) -> None:
    """Try changes: together those that are put into what is loaded, and then each of the others."""
    together = [trial for trial in todo if trial.loaded and trial.files]
    if together and not over():
        files = set[str]().union(*(trial.files for trial in together))
        trying = Trying(together, copy, results, over)
        if copy.run(sorted(files), trying) != pytest.ExitCode.OK:
            raise SystemExit(copy.log.read_text(errors="replace"))
    for trial in todo:
        if not trial.files:
            results.add(trial.ended("survived"))
        elif trial.loaded is None and not over():
            with copy.changed(trial.path, trial.change.source()):
                code = copy.run(sorted(trial.files), Trying([trial], copy, results, over))
            if code in ENDED_BY_TIME:
                results.add(trial.ended("timed out"))
            elif code != pytest.ExitCode.OK:
                results.add(trial.ended("noticed", "the tests cannot be loaded"))


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
    parser.add_argument(
        "--tests",
        nargs="+",
        default=["*"],
        metavar="GLOB",
        help="test files below tests/ to be listened to; by default all",
    )
    parser.add_argument("--per-module", type=int, default=30, metavar="N")
    parser.add_argument(
        "--seconds",
        type=float,
        default=10.0,
        metavar="S",
        help="of tests that a change is shown to; what survived is shown to more once this is more",
    )
    parser.add_argument("--minutes", type=float, default=float("inf"), metavar="M")
    parser.add_argument(
        "--work",
        type=Path,
        default=None,
        metavar="FOLDER",
        help="for the copy and the results; one of this tree in the system's by default",
    )
    asked = parser.parse_args()
    end: float = time.monotonic() + 60 * asked.minutes
    mark = hashlib.sha256(str(ROOT).encode()).hexdigest()[:8]
    work = asked.work or Path(tempfile.gettempdir()) / f"tiecoat-mutation-{mark}"
    work.mkdir(parents=True, exist_ok=True)
    load_libraries()
    copy = Copy(work / "copy")
    listened_to = listened(copy, work, asked.tests)
    for module in modules(["*"]):
        copy.write(f"core/{module}", plain((ROOT / "core" / module).read_text(encoding="utf-8")))
    every = trials(asked.modules, asked.per_module, listened_to, asked.seconds)
    results = Results(work / "results.jsonl")
    todo = [trial for trial in every if not trial.known(results)]
    print(
        f"{len(todo)} changes to try, {len(every) - len(todo)} tried before; in {work}", flush=True
    )
    work_through(todo, copy, results, lambda: time.monotonic() > end)
    results = Results(work / "results.jsonl")  # some were added by other processes
    for trial in todo:
        if tried := trial.known(results):
            print(f"{tried.outcome}: {tried.words}")
    found = [tried for trial in every if (tried := trial.known(results))]
    text = table(found, len(every))
    (work / "table.txt").write_text(text, encoding="utf-8")
    print(f"\n{text}\nwritten to {work / 'table.txt'}")
    return int(any(tried.outcome != "noticed" for tried in found))


if __name__ == "__main__":
    sys.exit(main())
