"""Do the readers keep nothing from one file to the next, touch nothing, and take little?"""

from __future__ import annotations

import decimal
import locale
import os
import sys
import time
import tracemalloc
import warnings
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING
from unittest import mock

from tiecoat.disk import fsio
from tiecoat.disk.file_print import FilePrint, print_of
from tiecoat.intake.workers.pool import ReaderPool
from tiecoat.intake.workers.reading import read_chunk
from tiecoat.testing.damage import May
from tiecoat.testing.examples import ExampleExport
from tiecoat.testing.following import ToFollow, without_clock
from tiecoat.testing.rows_told import difference
from tiecoat.testing.workbench import WasRead, Workbench, copied

if TYPE_CHECKING:
    from tiecoat.intake.export_file import ExportFile

SHARE_OF_TIME = 6  # of what a worker may take: then a slower computer and a longer file have room
SHARE_OF_MEMORY = 8


def nothing_is_kept(bench: Workbench) -> Iterator[str]:
    """A file gives the same whatever was read before it, or together with it."""
    if not bench.sound:
        return
    for example in reversed(bench.sound):
        cut = bench.variant(example, example.content[: len(example.content) // 2])
        bench.read(cut)
        yield from _otherwise(bench, example, bench.read(example.file), "when it is read again")
    yield from _of_its_name(bench)
    yield from _otherwise_alone(bench)
    together = bench.read_together([example.file for example in bench.sound])
    for example, was in zip(bench.sound, together, strict=True):
        yield from _otherwise(bench, example, was, "when the others are read together with it")


def _of_its_name(bench: Workbench) -> Iterator[str]:
    """Tell where a file is taken for one that was read before and has the same name."""
    example = bench.sound[0]
    plain = bench.read(bench.variant(example, example.content, f"1 {example.name}"))
    if plain.hold or difference(bench.rows(example), plain.rows):
        return  # its name tells something
    for n, (of_example, variant, was) in enumerate(bench.damaged, 2):
        if of_example is not example or variant.may is not May.FOLLOW or was.hold:
            continue
        elsewhere = bench.read(bench.damaged_file(example, variant, f"{n} {example.name}"))
        if elsewhere.hold is None:
            if told := difference(without_clock(elsewhere.rows), without_clock(was.rows)):
                yield (
                    f"{example.name} {variant.what} gives what was read before of a file of its"
                    f" name: {told}"
                )
            return


def _otherwise_alone(bench: Workbench) -> Iterator[str]:
    """Tell where what is read of a file hangs on the one that was read before it.

    Workers that have read nothing yet say what a file gives by itself: one of another panel, and
    ones that lack a line or an entry, in whose place a reader may put what it kept.
    """
    with ReaderPool(bench.lab) as pool:
        alone = replace(bench, pool=pool)
        for example in bench.sound:
            told = ToFollow.of(bench, example)
            for what, content in told.otherwise() if told else ():
                file = bench.variant(example, content)
                first = alone.read(file)
                bench.read(example.file)
                if kept := _kept(first, bench.read(file)):
                    yield (
                        f"{example.name} {what} hangs on the file that was read before it, of which"
                        f" the reader keeps something: {kept}"
                    )
                    break


def _kept(alone: WasRead, after: WasRead) -> str:
    """Say how a file is otherwise if it is read after another; "" where it is not."""
    if alone.hold is None and after.hold is None:
        return difference(without_clock(alone.rows), without_clock(after.rows))
    if alone.hold is not None and after.hold is not None:
        return ""
    by_itself = "is filed" if alone.hold is None else f"is held ({alone.told})"
    return f"alone it {by_itself}, and after another it is {'held' if after.hold else 'filed'}"


def _otherwise(bench: Workbench, example: ExampleExport, was: WasRead, when: str) -> Iterator[str]:
    if was.hold is not None:
        yield f"{example.name} is held {when}: {was.told}"
    elif told := difference(without_clock(bench.rows(example)), without_clock(was.rows)):
        yield f"{example.name} gives other rows {when}: {told}"


def nothing_is_touched(bench: Workbench) -> Iterator[str]:
    """Reading changes neither the export nor anything beside it, nor what all code shares."""
    for number, example in enumerate(bench.sound):
        folder = bench.place / "touched" / str(number)
        folder.mkdir(parents=True)
        copy = copied(example, folder, example.name)
        folder = copy.main.parent
        working = Path.cwd()
        before = _shared(), _files_in(folder), _files_in(working)
        with _as_before(), _written_variables() as written:
            _read_here(bench, copy)
            after = _shared(), _files_in(folder), _files_in(working)
        if written and before[0] == after[0]:  # what it writes stood there already
            yield (
                f"reading {example.name} writes {min(written)} into the environment (os.environ),"
                " which all code shares"
            )
        for name, value in before[0].items():
            if after[0][name] != value:
                yield f"reading {example.name} changes {name}, which all code shares"
        for then, now, where in zip(before[1:], after[1:], (folder, working), strict=True):
            changed = sorted({name for name, _ in then ^ now})
            if changed:
                place = "beside the export" if where == folder else "in the working folder"
                yield f"reading {example.name} writes or changes {changed[0]} {place}"


def _shared() -> Mapping[str, object]:
    import numpy as np

    return {
        "the environment (os.environ)": dict(os.environ),
        "the working folder": Path.cwd(),
        "the locale": locale.setlocale(locale.LC_ALL, None),
        "the context of decimal": repr(decimal.getcontext()),
        "how numpy treats errors": np.geterr(),
        "sys.path": list(sys.path),
        "the limit of recursion": sys.getrecursionlimit(),
    }


@contextmanager
def _written_variables() -> Iterator[set[str]]:
    """Note which variables of the environment are written or taken out, also to what they are."""
    of = type(os.environ)
    written: set[str] = set()

    def noted(method: Callable[..., None]) -> Callable[..., None]:
        def call(self: object, name: str, *value: str) -> None:
            written.add(name)
            method(self, name, *value)

        return call

    with (
        mock.patch.object(of, "__setitem__", noted(of.__setitem__)),
        mock.patch.object(of, "__delitem__", noted(of.__delitem__)),
    ):
        yield written


def _files_in(folder: Path) -> set[tuple[str, FilePrint]]:
    visible = [path for path in fsio.paths_in(folder) if not path.name.startswith(".")]
    return {(path.name, print_of(path.stat())) for path in visible if fsio.is_file(path)}


@contextmanager
def _as_before() -> Iterator[None]:
    """Put right afterwards what reading may have changed of what the tests themselves need."""
    folder, environment, path = Path.cwd(), dict(os.environ), list(sys.path)
    try:
        yield
    finally:
        os.chdir(folder)
        os.environ.clear()
        os.environ.update(environment)
        sys.path[:] = path


def _read_here(bench: Workbench, file: ExportFile) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # as in a worker
        read_chunk([file], bench.plugins, bench.lab.habits)


def little_is_taken(bench: Workbench) -> Iterator[str]:
    """An example costs a small part of the time and memory that a worker has."""
    limits = bench.lab.settings.readers
    most_s = limits.time_limit_s / SHARE_OF_TIME
    most_mb = limits.memory_limit_mb / SHARE_OF_MEMORY
    for example in bench.good:
        was = bench.was[example.sha256]
        if was.blames_plugin:
            yield f"{example.name}: {was.told}"
    for example in sorted(bench.sound, key=lambda one: -len(one.content))[:1]:
        start_s = time.thread_time()
        _read_here(bench, example.file)
        took_s = time.thread_time() - start_s
        if took_s > most_s:
            yield (
                f"{example.name} takes {took_s:.1f} s of the processor, of {limits.time_limit_s:g}"
                f" s that a reader has; expected at most {most_s:.1f} s"
            )
            return  # memory is looked at more slowly still
        peak_mb = _peak_mb(bench, example)
        if peak_mb > most_mb:
            yield (
                f"{example.name} takes {peak_mb:,.0f} MB of memory, of {limits.memory_limit_mb:,}"
                f" MB that a reader has; expected at most {most_mb:,.0f} MB"
            )


def _peak_mb(bench: Workbench, example: ExampleExport) -> float:
    tracemalloc.start()
    try:
        _read_here(bench, example.file)
        return tracemalloc.get_traced_memory()[1] / 2**20
    finally:
        tracemalloc.stop()
