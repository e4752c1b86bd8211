"""Copies of this tree, and tests run in them, each run in a process of its own.

A run is a fork of this process, which has loaded the heavy libraries, and nothing of ours, once.
In it `tiecoat` comes from the copy, and so it does in every Python that a test starts.
"""

from __future__ import annotations

import contextlib
import importlib
import importlib.util
import os
import resource
import shutil
import signal
import sys
import time
import tomllib
import traceback
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from types import ModuleType
from typing import Any

import psutil
import pytest

ROOT = Path(__file__).resolve().parents[2]
MARK = "TIECOAT_MUTATION_RUN"  # in the environment of all that a run starts
MEMORY = 8 << 30  # bytes that a process of a run may ask for
_NOT_COPIED = shutil.ignore_patterns(
    ".git", ".venv", "venv", ".hypothesis", ".*_cache", "__pycache__", "build", "*.egg-info"
)
_HEAVY = {
    "duckdb": ["duckdb"],
    "jinja2": ["jinja2"],
    "matplotlib": ["matplotlib.figure"],
    "pandas": ["pandas"],
    "pandera": ["pandera.pandas"],
    "pint": ["pint"],
    "pyarrow": ["pyarrow.parquet", "pyarrow.compute", "pyarrow.dataset"],
    "pydantic": ["pydantic"],
    "scikit-image": ["skimage.measure"],
    "scipy": ["scipy.stats", "scipy.optimize"],
}


@dataclass(frozen=True)
class Run:
    """Tests to be run: their files, in order, and what looks on as a pytest plugin."""

    files: tuple[str, ...]
    plugin: object
    limit_s: float
    environment: dict[str, str] = field(default_factory=dict)
    listen: bool = False


@dataclass(frozen=True)
class Ended:
    """How a run ended: the exit code of pytest, or None where its time was over."""

    code: int | None
    printed: Path


class Copy:
    """A copy of the tree in which one run takes place at a time."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.tree = folder / "tree"
        self.site = folder / "site"
        self.tmp = folder / "tmp"
        self.log = folder / "printed.txt"
        self._changes = 0
        self.make()

    def make(self) -> None:
        """Make the copy, anew if there is one."""
        shutil.rmtree(self.folder, ignore_errors=True)
        shutil.copytree(ROOT, self.tree, symlinks=True, ignore=_NOT_COPIED)
        self._lay_out()

    def read(self, path: str) -> str:
        """Return the text of a file of the copy."""
        return (self.tree / path).read_text(encoding="utf-8")

    def write(self, path: str, text: str) -> None:
        """Put another text into a file of the copy.

        Each has a time of its own, so that nothing compiled from one is taken for another.
        """
        place = self.tree / path
        status = place.stat()
        self._changes += 1
        place.write_text(text, encoding="utf-8")
        os.utime(place, (status.st_atime, status.st_mtime + 10 * self._changes))

    def _lay_out(self) -> None:
        """Make the package of the folders that the project's settings name."""
        settings = tomllib.loads((self.tree / "pyproject.toml").read_text(encoding="utf-8"))
        folders = settings["tool"]["setuptools"]["package-dir"]
        package = self.site / "tiecoat"
        package.mkdir(parents=True)
        for path in (self.tree / folders["tiecoat"]).iterdir():
            (package / path.name).symlink_to(path)
        for name, folder in folders.items():
            if name != "tiecoat":
                (package / name.removeprefix("tiecoat.")).symlink_to(self.tree / folder)

    @contextlib.contextmanager
    def changed(self, module: str, source: str) -> Iterator[None]:
        """Put another source in the place of a module for a while."""
        before, status = self.read(module), (self.tree / module).stat()
        self.write(module, source)
        try:
            yield
        finally:
            self.write(module, before)
            os.utime(self.tree / module, ns=(status.st_atime_ns, status.st_mtime_ns))

    def start(self, run: Run) -> int:
        """Fork a process that runs the tests, and return its id."""
        shutil.rmtree(self.tmp, ignore_errors=True)
        for folder in (self.tmp, self.tmp / "home"):
            folder.mkdir(parents=True)
        sys.stdout.flush()
        sys.stderr.flush()
        if pid := os.fork():
            return pid
        code = 3
        try:
            self._enter(run)
            code = int(pytest.main(self._arguments(run), plugins=[run.plugin]))
        except BaseException:  # noqa: BLE001 - nothing may get from here into the code of the parent
            traceback.print_exc()
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(code)

    def end(self, pid: int) -> None:
        """End what a run has left: its group, and whatever it started elsewhere."""
        with contextlib.suppress(ProcessLookupError):
            os.killpg(pid, signal.SIGKILL)
        for process in psutil.process_iter():
            with contextlib.suppress(psutil.Error):
                if process.environ().get(MARK) == str(self.folder):
                    process.kill()

    def _arguments(self, run: Run) -> list[str]:
        # plugins may have been loaded with the libraries
        loaded = "ignore:Module already imported so cannot be rewritten"
        how = ["-x", "-q", "-n", "0", "-p", "no:cacheprovider", "--tb=short", "-W", loaded]
        if run.listen:
            how.remove("-x")
        return [*how, f"--basetemp={self.tmp / 'pytest'}", f"--rootdir={self.tree}", *run.files]

    def _enter(self, run: Run) -> None:
        """Turn this process into one in which the copy is all there is."""
        os.setsid()
        log = os.open(self.log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        nothing = os.open(os.devnull, os.O_RDONLY)
        for source, target in ((nothing, 0), (log, 1), (log, 2)):
            os.dup2(source, target)
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        os.chdir(self.tree)
        listener = self.tree / "tests/campaign/calls"
        places = [*([str(listener)] if run.listen else []), str(self.site)]
        os.environ.pop("TIECOAT_CAMPAIGN", None)
        os.environ |= {
            MARK: str(self.folder),
            "PYTHONPATH": os.pathsep.join(places),
            "HOME": str(self.tmp / "home"),
            "TMPDIR": str(self.tmp),
            "HYPOTHESIS_STORAGE_DIRECTORY": str(self.tmp / "hypothesis"),
            "CALLS_IN": f"{self.site / 'tiecoat'}{os.sep}",
            **run.environment,
        }
        sys.path[:] = [str(self.site), *(p for p in sys.path if not _is_ours(p))]
        for name, module in list(sys.modules.items()):
            if _is_ours(getattr(module, "__file__", None)):
                del sys.modules[name]
        sys.modules["__main__"] = ModuleType("__main__")  # that workers do not start from ours
        if run.listen:
            _begin_to_listen(listener / "sitecustomize.py")


def _begin_to_listen(path: Path) -> None:
    """Do what Python does of itself when a test starts another one."""
    spec = importlib.util.spec_from_file_location("sitecustomize", path)
    assert spec is not None
    assert spec.loader is not None
    sys.modules["sitecustomize"] = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(sys.modules["sitecustomize"])


def _is_ours(path: str | None) -> bool:
    return path is not None and Path(path).resolve().is_relative_to(ROOT)


def load_libraries() -> None:
    """Load the heavy libraries of the project once, for all runs to come."""
    os.environ["OPENBLAS_NUM_THREADS"] = "1"  # before numpy: no threads that a fork would lose
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    required = project["dependencies"] + project["optional-dependencies"]["test"]
    for name, modules in _HEAVY.items():
        if any(text.startswith(name) for text in required):
            for module in modules:
                importlib.import_module(module)


def work_through(
    tasks: Iterator[Callable[[Copy], Any]], copies: list[Copy], over: Callable[[], bool]
) -> None:
    """Work through tasks, as many at once as there are copies, until none is left or it is over.

    A task is a generator: it is given a copy, yields a run, and is sent how that ended.
    """
    free = list(copies)
    busy: dict[int, tuple[Copy, Any, float]] = {}

    def go_on(copy: Copy, task: Any, ended: Ended | None) -> None:
        try:
            run = task.send(ended)
        except StopIteration:
            free.append(copy)
            return
        pid = copy.start(run)
        busy[pid] = copy, task, time.monotonic() + run.limit_s

    left = True
    try:
        while busy or left:
            while free and left:
                task = None if over() else next(tasks, None)
                left = task is not None
                if task is not None:
                    copy = free.pop()
                    go_on(copy, task(copy), None)
            for pid, (copy, task, until) in list(busy.items()):
                gone, status = os.waitpid(pid, os.WNOHANG)
                if gone or time.monotonic() > until:
                    copy.end(pid)
                    if not gone:
                        os.waitpid(pid, 0)
                    del busy[pid]
                    code = os.waitstatus_to_exitcode(status) if gone else None
                    go_on(copy, task, Ended(code, copy.log))
            time.sleep(0.02)
    finally:
        for pid, (copy, _, _) in busy.items():
            copy.end(pid)
