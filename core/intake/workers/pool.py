"""Readers at arm's length: worker processes with a time and a memory limit.

A reader that hangs, dies or eats memory takes its worker with it and nothing else: files that went
to the worker together are then read again one by one, so that only the culprit is held.
"""

from __future__ import annotations

import contextlib
import errno
import multiprocessing
import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import BrokenExecutor, Future
from concurrent.futures import TimeoutError as OutOfTime
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, NoReturn, Self, TypeAlias, TypeVar

from pebble import CONSTS, ProcessExpired, ProcessPool

from tiecoat.contract.changes import KindLoaded
from tiecoat.contract.companions import Companions, rules_of
from tiecoat.dialect.habits import Habits
from tiecoat.disk import fsio
from tiecoat.errors import OriginalChanged, PluginNotLoaded
from tiecoat.extend.blame import blame
from tiecoat.extend.loading import Plugins
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.inboxes.preserve import checked
from tiecoat.intake.workers.answers import Chunk, Hold
from tiecoat.intake.workers.own_time import BY_SIGNAL, TOO_SLOW_EXIT, own_time
from tiecoat.lab.plugin_choices import NO_READER_SET, PluginChoices
from tiecoat.lab.settings import SETTINGS, Lab
from tiecoat.reasons import Reason

if TYPE_CHECKING:
    from tiecoat.intake.workers.drawing import Drawn, Shown

T = TypeVar("T")

STARTS_S = 1.0  # in which workers hardly start
STUCK_S = 60.0  # in which workers that have something to do begin or end something
TRIES = 3  # to start a worker, before it is told that the system does not let it live
LOOKS_S = 0.1  # between two looks of pebble whether a reader is too slow, or its worker gone
IDLE_LOOKS_S = 0.5  # the same while nothing is read: its looks were most of what an idle lab costs
LOADING_S = 60.0  # that plugins may need to be loaded
SLOWER = 4  # times as long as a reader may take for itself it may take by a clock
MEMORY_REACHED = "the memory limit was reached"
USED_UP = "it was stopped when it had used up its time; that of a busy machine does not count"
ENDED_ITSELF_EXIT = 79  # how one leaves that a reader has ended as if all was well
OUT_OF_MEMORY_EXIT = 77  # how a worker that watches its own memory leaves


@dataclass(frozen=True)
class Inventory:
    """What the workers have loaded: readers, kinds, and what was left out and why.

    `readers` and `kinds` map a name to where it came from, `loaded` that of a kind to what it is,
    and `told` that of a reader to what is told of it. `companions` is what readers say of files
    that are one export together.
    """

    readers: dict[str, str]
    kinds: dict[str, str]
    problems: tuple[str, ...]
    loaded: dict[str, KindLoaded] = field(default_factory=dict)
    companions: tuple[Companions, ...] = ()
    told: dict[str, ReaderTold] = field(default_factory=dict)


@dataclass(frozen=True)
class ReaderTold:
    """What is told of a reader: its version and kind ("any" of the one of all tables), who wrote
    it, and the readers that it goes before.
    """

    version: str
    kind: str
    author: str
    goes_before: tuple[str, ...]


class ReaderPool:
    """Worker processes that recognise, read and validate.

    Parameters
    ----------
    lab
        Gives the readers folder, the habits and the limits.
    wake
        Called from another thread whenever an answer is there.
    """

    def __init__(self, lab: Lab, wake: Callable[[], None] = lambda: None) -> None:
        self._lab = lab
        self._wake = wake
        self._stamp = _stamp(lab)
        self._pool = self._start()
        self._started = time.monotonic()
        self._loaded = False
        self._problems: tuple[str, ...] = ()  # of the first loading, still to be told
        self.kinds: Mapping[str, KindLoaded] = {}  # as they were loaded last; none before `load`
        self.companions: tuple[Companions, ...] = ()  # of readers, likewise
        self._reloading: Future[Inventory] | None = None
        self._under_way: set[Future[Any]] = set()
        self._moves: frozenset[tuple[int, bool]] = frozenset()
        self._moved = 0.0
        self._restarts = 0

    def _start(self) -> ProcessPool:
        settings = self._lab.settings.readers
        context = worker_context()
        if sys.platform != "win32":
            from multiprocessing import forkserver

            forkserver.ensure_running()  # it imports while nobody waits for it
        return ProcessPool(
            max_workers=settings.processes,
            initializer=_set_up,
            initargs=(
                str(self._lab.readers),
                settings.folder,
                self._lab.habits,
                self._lab.reading,
                settings.memory_limit_mb,
            ),
            context=context,
        )

    @property
    def is_starting(self) -> bool:
        """Whether whoever had something read now would wait for the workers to load libraries."""
        return not self._loaded and time.monotonic() - self._started < STARTS_S

    def begin(self) -> None:
        """Have plugins loaded in a worker while something else is done; `load` waits for it."""
        self._load()

    def load(self) -> None:
        """Wait until plugins are loaded, for `left_out` to tell; raises what `inventory` does."""
        if not self._loaded:
            self._problems = self.inventory().problems

    def inventory(self) -> Inventory:
        """Load the plugins in a worker and return what there is.

        Raises
        ------
        PluginNotLoaded
            If loading does not come to an end; what merely fails is among the problems.
        OSError
            If the system lets no worker live.
        """
        tries = TRIES
        while failure := failure_of(future := self._load()):
            tries -= 1
            if failure.reason != Reason.READER_DIED.code or not tries:
                raise PluginNotLoaded(self._not_loaded(failure))
            # the system may have ended the process; a plugin that did it does it again
        self._loaded = True
        return self._taken_up(future.result())

    def _taken_up(self, inventory: Inventory) -> Inventory:
        self.kinds, self.companions = inventory.loaded, inventory.companions
        return inventory

    def _load(self) -> Future[Inventory]:
        future: Future[Inventory] = self._ask(_inventory, (), self._loading_s)
        self._watch(future)
        return future

    def _not_loaded(self, failure: Hold) -> str:
        return (
            f"the plugins could not be loaded: {failure.detail}\n"
            f"Take the last reader that was added out of {self._lab.readers}, or uninstall it."
        )

    def left_out(self) -> tuple[str, ...]:
        """Return what was left out when readers were loaded, or loaded anew; it is told once."""
        future = self._reloading
        if future is None or not future.done():
            problems, self._problems = self._problems, ()
            return problems
        self._reloading = None
        if failure := failure_of(future):
            return (self._not_loaded(failure),)
        return self._taken_up(future.result()).problems

    def submit(self, files: Sequence[ExportFile]) -> Future[Chunk]:
        """Have files read together; new or changed readers are loaded first.

        Raises
        ------
        PluginNotLoaded
            As `inventory` does, before anything is read.
        OSError
            If the system lets no worker live.
        """
        self.load()
        self._follow_readers()
        future = self._schedule(files)
        self._watch(future)
        future.add_done_callback(lambda _: self._wake())
        return future

    def follow_readers(self) -> None:
        """Load readers that are new or changed, though nothing is to be read; `left_out` tells."""
        if self._loaded and not self._under_way:
            self._follow_readers()

    def _follow_readers(self) -> None:
        stamp = _stamp(self._lab)
        if stamp != self._stamp:
            self._pool.close()
            self._pool.join()
            self._stamp, self._pool = stamp, self._start()
            self._reloading = self._load()

    def _watch(self, future: Future[Any]) -> None:
        self._under_way.add(future)
        self._moves = frozenset()
        CONSTS.sleep_unit = LOOKS_S
        future.add_done_callback(self._under_way.discard)

    def rest(self) -> None:
        """Look after the workers less often, until something is read again."""
        if not self._under_way:
            CONSTS.sleep_unit = IDLE_LOOKS_S

    def stuck(self) -> bool:
        """Say whether nothing has begun or ended for longer than a reader may take.

        Workers share a lock, and one that the system kills at a bad moment takes it along, or a
        task that it had not yet acknowledged: then the others wait in vain.
        """
        moves = frozenset((id(future), future.running()) for future in tuple(self._under_way))
        now = time.monotonic()
        if not moves or moves != self._moves:
            self._moves, self._moved = moves, now
        reading = any(running for _, running in moves)
        limit_s = STUCK_S + reading * self._on_the_wall(self._limit_s)
        return now - self._moved > limit_s * float(2**self._restarts)

    def restart(self) -> None:
        """Stop all workers and start others; what had been sent to them must be sent again."""
        self._restarts += 1  # a machine that is merely slow gets more time
        self.close()
        self._under_way.clear()
        self._stamp, self._pool, self._reloading = _stamp(self._lab), self._start(), None

    @property
    def _limit_s(self) -> float:
        return self._lab.settings.readers.time_limit_s

    @property
    def _loading_s(self) -> float:
        return max(LOADING_S, self._limit_s)

    def _on_the_wall(self, limit_s: float) -> float:
        """Return how long something may take by a clock, however slow the machine is."""
        return SLOWER * limit_s + self._loading_s

    def _schedule(self, files: Sequence[ExportFile]) -> Future[Chunk]:
        return self._ask(_read, (tuple(files),), self._limit_s)

    def migrate(self, kind: str, rows: bytes, version: int) -> Future[bytes | str]:
        """Have a kind take rows of an earlier version along; a text says why it does not."""
        return self._ask(_migrate, (kind, rows, version), self._limit_s)

    def against_kind(self, kind: str, rows: bytes) -> Future[str]:
        """Have a kind say which rows that count it does not allow; "" for none."""
        return self._ask(_against_kind, (kind, rows), self._limit_s)

    def draw(self, file: ExportFile, reader: str) -> Future[Drawn]:
        """Have what a reader found drawn on its picture; see `drawing.draw`."""
        return self._ask(_draw, (file, reader), self._limit_s)

    def show(self, file: ExportFile, reader: str, most_px: int) -> Future[Shown]:
        """Have a picture given plain and drawn on; see `drawing.show`."""
        return self._ask(_show, (file, reader, most_px), self._limit_s)

    def _ask(self, call: Callable[..., T], args: tuple[Any, ...], limit_s: float) -> Future[T]:
        """Have a worker do it, where need be a new one: the system may have ended what starts them.

        It may take `limit_s` for itself, once plugins are loaded: see `own_time`.

        Raises
        ------
        OSError
            If it does so again and again.
        """
        told = (call, args, limit_s, self._loading_s)
        wall_s = self._on_the_wall(limit_s)
        for _ in range(TRIES):
            try:
                future: Future[T] = self._pool.schedule(_within, args=told, timeout=wall_s)
            except RuntimeError:  # pebble's
                self.close()
                self._pool = self._start()
            else:
                return future
        raise OSError(errno.EAGAIN, "the system ends the processes that read as soon as they start")

    def close(self) -> None:
        """Stop the workers at once."""
        self._pool.stop()
        self._pool.join(10)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def failure_of(future: Future[Any]) -> Hold | None:
    """Wait for an answer and return why there is none, or None if there is one."""
    error = future.exception()
    if error is None:
        return None
    if isinstance(error, OutOfTime):
        return _failure(Reason.READER_TOO_SLOW, f"it was stopped after {error.args[1]:g} s")
    if isinstance(error, ProcessExpired):
        return _by_exit(error.exitcode)
    if isinstance(error, MemoryError):
        return _failure(Reason.READER_OUT_OF_MEMORY, MEMORY_REACHED)
    if isinstance(error, BrokenExecutor):
        return _failure(Reason.READER_DIED, "all reader processes were ended")
    return _failure(Reason.READER_FAILED, blame(error))


def words_of(future: Future[str]) -> str:
    """Wait for an answer in words and return it, or the words for why there is none."""
    failure = failure_of(future)
    return failure.detail or failure.reason if failure else future.result()


def _by_exit(code: int | None) -> Hold:
    if code in {TOO_SLOW_EXIT, BY_SIGNAL}:
        return _failure(Reason.READER_TOO_SLOW, USED_UP)
    if code == OUT_OF_MEMORY_EXIT:
        return _failure(Reason.READER_OUT_OF_MEMORY, MEMORY_REACHED)
    return _failure(Reason.READER_DIED, f"its process ended with code {code}")


def _failure(reason: Reason, detail: str) -> Hold:
    return Hold(reason.code, detail=detail)


def all_ended(future: Future[Any]) -> bool:
    """Say whether there is no answer because not one worker but every one was ended."""
    return isinstance(future.exception(), BrokenExecutor)


def worker_context() -> multiprocessing.context.BaseContext:
    """Return how workers start: from a warm server where forking is safe, else afresh."""
    if sys.platform == "win32":
        return multiprocessing.get_context("spawn")
    context = multiprocessing.get_context("forkserver")
    first = ("quiet_end", "pool", "warm")
    context.set_forkserver_preload([f"tiecoat.intake.workers.{name}" for name in first])
    return context


_ReadersStamp: TypeAlias = tuple[tuple[str | int, ...], ...]


def _stamp(lab: Lab) -> _ReadersStamp:
    """Return what changes when a reader in the lab's folder is added, changed or taken out.

    Also when it comes into other hands: then it may be trusted, or no longer.
    """
    stamp: list[tuple[str | int, ...]] = []
    try:
        paths = fsio.paths_in(lab.readers) if fsio.is_folder(lab.readers) else []
    except OSError as error:  # loading tells
        return ((str(error),),)
    for path in (lab.root, lab.root / SETTINGS, lab.readers):
        with contextlib.suppress(OSError):
            stamp.append((str(path), *_hands(path.stat())))
    for path in paths:
        if path.suffix in (".py", ".toml"):
            with contextlib.suppress(OSError):  # taken out meanwhile, or a link to nowhere
                status = path.stat()
                stamp.append((path.name, status.st_size, status.st_mtime_ns, *_hands(status)))
    return tuple(stamp)


def _hands(status: os.stat_result) -> tuple[int, ...]:
    return status.st_mode, status.st_uid, status.st_gid


# What follows runs in the worker.


def _within(call: Callable[..., T], args: tuple[Any, ...], limit_s: float, loading_s: float) -> T:
    """Do something once plugins are loaded, each in its own time."""
    end, os._exit = os._exit, _end_with_a_word
    try:
        with own_time(loading_s):
            _worker.loaded()
        with own_time(limit_s):
            return call(*args)
    finally:
        os._exit = end


_end = os._exit


def _end_with_a_word(status: int) -> NoReturn:
    """End the process: what leaves with 0 looks like success, and would be waited for."""
    _end(status or ENDED_ITSELF_EXIT)


@dataclass
class _ReaderWorker:
    folder: Path | None = None
    code: bool = False
    habits: Habits = field(default_factory=Habits)
    choices: PluginChoices = NO_READER_SET
    plugins: Plugins | None = None

    def loaded(self) -> Plugins:
        if self.plugins is None:
            from tiecoat.extend.loading import load_plugins

            self.plugins = load_plugins(
                self.folder,
                self.choices,
                code=self.code,
                words=self.habits.words,
            )
        return self.plugins


_worker = _ReaderWorker()


def _set_up(
    folder: str, code: bool, habits: Habits, choices: PluginChoices, memory_limit_mb: int
) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the service to answer
    _limit_memory(memory_limit_mb)
    _worker.folder = Path(folder)
    _worker.code = code
    _worker.habits = habits
    _worker.choices = choices


def _inventory() -> Inventory:
    from tiecoat.intake.workers.validating import allowed_by

    plugins = _worker.loaded()
    return Inventory(
        {name: plugins.sources["reader", name] for name in plugins.readers},
        {name: plugins.sources["kind", name] for name in plugins.kinds},
        plugins.problems,
        {
            name: replace(KindLoaded.of(kind), rules=allowed_by(kind))
            for name, kind in plugins.kinds.items()
        },
        rules_of(plugins.readers.values()),
        {name: _told_of(name, plugins) for name in plugins.readers},
    )


def _told_of(name: str, plugins: Plugins) -> ReaderTold:
    from tiecoat.extend.loading import author_of

    reader = plugins.readers[name]
    kind = "any" if getattr(reader, "last_resort", False) else reader.kind
    author = author_of(plugins.sources["reader", name])
    return ReaderTold(reader.version, kind, author, plugins.goes_before(name))


def _migrate(kind: str, rows: bytes, version: int) -> bytes | str:
    from tiecoat.intake.workers.migrating import WronglyMigrated, migrated

    try:
        return migrated(_worker.loaded().kinds[kind], rows, version)
    except WronglyMigrated as error:
        return str(error)


def _against_kind(kind: str, rows: bytes) -> str:
    from tiecoat.intake.workers.migrating import against_kind
    from tiecoat.intake.workers.sending import from_stream

    return against_kind(_worker.loaded().kinds[kind], from_stream(rows))


def _read(files: tuple[ExportFile, ...]) -> Chunk:
    from tiecoat.intake.workers.reading import read_chunk

    changed: dict[str, str] = {}
    for file in files:
        try:
            checked(file.path, file.sha256)
        except OriginalChanged as error:
            changed[file.sha256] = str(error)
    sound = [file for file in files if file.sha256 not in changed]
    chunk = read_chunk(sound, _worker.loaded(), _worker.habits)
    return replace(chunk, changed=changed | chunk.changed)


def _draw(file: ExportFile, reader: str) -> Drawn:
    from tiecoat.intake.workers.drawing import Drawn, draw

    try:
        checked(file.path, file.sha256)
    except OriginalChanged as error:
        return Drawn(None, str(error))
    return draw(file, reader, _worker.loaded(), _worker.habits)


def _show(file: ExportFile, reader: str, most_px: int) -> Shown:
    from tiecoat.intake.workers.drawing import Shown, show

    try:
        checked(file.path, file.sha256)
    except OriginalChanged as error:
        return Shown(None, remark=str(error))
    return show(file, reader, _worker.loaded(), _worker.habits, most_px)


def _limit_memory(limit_mb: int) -> None:
    """Limit the address space where the system can, else leave when the process grows too large."""
    if sys.platform != "win32":
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (limit_mb << 20, limit_mb << 20))
    else:
        threading.Thread(target=_watch_memory, args=(limit_mb,), daemon=True).start()


def _watch_memory(limit_mb: int, beat_s: float = 0.05) -> None:
    import psutil

    me = psutil.Process()
    while me.memory_info().rss < limit_mb << 20:
        time.sleep(beat_s)
    os._exit(OUT_OF_MEMORY_EXIT)
