"""A copy of this tree, and runs of its tests, each a fork of this process.

This process has loaded the heavy libraries once, and nothing of ours. In a run `tiecoat` comes from
the copy, and so it does in every Python that a test starts.
"""

from __future__ import annotations

import contextlib
import importlib
import os
import resource
import shutil
import signal
import sys
import tomllib
import traceback
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import ModuleType

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
    "fluids": ["fluids"],
    "hypothesis": ["hypothesis.strategies", "hypothesis.stateful"],
    "iapws": ["iapws"],
    "jinja2": ["jinja2"],
    "matplotlib": ["matplotlib.figure"],
    "pandas": ["pandas"],
    "pandera": ["pandera.pandas"],
    "pint": ["pint"],
    "pyarrow": ["pyarrow.parquet", "pyarrow.compute", "pyarrow.dataset"],
    "pydantic": ["pydantic"],
    "scikit-image": ["skimage.measure"],
    "scipy": ["scipy.stats", "scipy.optimize"],
    "statsmodels": ["statsmodels.api"],
}


class Copy:
    """A copy of the tree in which one run takes place at a time."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.tree = folder / "tree"
        self.site = folder / "site"
        self.tmp = folder / "tmp"
        self.log = folder / "printed.txt"
        self.calls = folder / "calls.txt"
        self._changes = 0
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

    @contextlib.contextmanager
    def changed(self, path: str, text: str) -> Iterator[None]:
        """Put another text in the place of a file for a while."""
        before, status = self.read(path), (self.tree / path).stat()
        self.write(path, text)
        try:
            yield
        finally:
            self.write(path, before)
            os.utime(self.tree / path, ns=(status.st_atime_ns, status.st_mtime_ns))

    def run(self, files: Sequence[str], plugin: object) -> int:
        """Run pytest in a fork, with the files of tests and a plugin; return how that ended."""
        sys.stdout.flush()
        sys.stderr.flush()
        pid = os.fork()
        if not pid:
            code = 3
            try:
                self._enter()
                code = int(pytest.main(self._arguments(files), plugins=[plugin]))
            except BaseException:  # noqa: BLE001 - nothing may get from here into the parent's code
                traceback.print_exc()
            finally:
                sys.stdout.flush()
                sys.stderr.flush()
                os._exit(code)
        try:
            return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
        finally:
            self.end(pid)

    def clear(self) -> None:
        """Empty the folder for what tests leave."""
        shutil.rmtree(self.tmp, ignore_errors=True)
        (self.tmp / "home").mkdir(parents=True)

    def end(self, pid: int) -> None:
        """End what a process has left: its group, and whatever it started elsewhere."""
        with contextlib.suppress(ProcessLookupError):
            os.killpg(pid, signal.SIGKILL)
        for process in psutil.process_iter():
            with contextlib.suppress(psutil.Error):
                if process.environ().get(MARK) == str(self.folder):
                    process.kill()

    def _lay_out(self) -> None:
        """Make the package of the folders that the project's settings name, and what listens."""
        settings = tomllib.loads((self.tree / "pyproject.toml").read_text(encoding="utf-8"))
        folders = settings["tool"]["setuptools"]["package-dir"]
        package = self.site / "tiecoat"
        package.mkdir(parents=True)
        (self.site / "calls_heard.py").symlink_to(self.tree / "tests/campaign/calls_heard.py")
        for path in (self.tree / folders["tiecoat"]).iterdir():
            (package / path.name).symlink_to(path)
        for name, folder in folders.items():
            if name != "tiecoat":
                (package / name.removeprefix("tiecoat.")).symlink_to(self.tree / folder)

    def _arguments(self, files: Sequence[str]) -> list[str]:
        # plugins may have been loaded with the libraries
        loaded = "ignore:Module already imported so cannot be rewritten"
        how = ["-s", "-q", "-n", "0", "-p", "no:cacheprovider", "--tb=short", "-W", loaded]
        return [*how, f"--basetemp={self.tmp / 'pytest'}", f"--rootdir={self.tree}", *files]

    def _enter(self) -> None:
        """Turn this process into one in which the copy is all there is."""
        os.setsid()
        self.clear()
        log = os.open(self.log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | os.O_APPEND, 0o600)
        nothing = os.open(os.devnull, os.O_RDONLY)
        for source, target in ((nothing, 0), (log, 1), (log, 2)):
            os.dup2(source, target)
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        os.chdir(self.tree)
        os.environ.pop("TIECOAT_CAMPAIGN", None)
        os.environ |= {
            MARK: str(self.folder),
            "PYTHONPATH": str(self.site),
            "HOME": str(self.tmp / "home"),
            "TMPDIR": str(self.tmp),
            "HYPOTHESIS_STORAGE_DIRECTORY": str(self.tmp / "hypothesis"),
            "CALLS_TO": str(self.calls),
        }
        sys.path[:] = [str(self.site), *(p for p in sys.path if not _is_ours(p))]
        for name, module in list(sys.modules.items()):
            if _is_ours(getattr(module, "__file__", None)):
                del sys.modules[name]
        sys.modules["__main__"] = ModuleType("__main__")  # that workers do not start from ours


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
