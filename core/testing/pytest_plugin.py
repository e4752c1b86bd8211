"""Each check of each `Conformance` in a test file as a test of its own, for pytest.

What a check finds is told in sentences, and not as a traceback into the kit. On a terminal it says
what it is at, and how long that took; `pytest -q` has it silent.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, nullcontext
from typing import TYPE_CHECKING, Any

import pytest

from tiecoat.testing import Conformance
from tiecoat.wording import counted

if TYPE_CHECKING:
    from tiecoat.testing.workbench import Workbench

WRITE = "--tiecoat-write"
SHOWN = 12  # findings of one check
SECONDS = "tiecoat_s"  # how long a check took, among what a report is told of it


class Unfit(Exception):
    """A check has found something; each argument is a sentence."""


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add what writes expected rows and fingerprints."""
    group = parser.getgroup("tiecoat", "plugins of tiecoat")
    group.addoption(
        WRITE,
        action="store_true",
        help="write expected rows of exports that have none, and fingerprints of new versions, of"
        " each tiecoat.testing.Conformance",
    )


def pytest_pycollect_makeitem(
    collector: pytest.Module | pytest.Class, name: str, obj: object
) -> pytest.Collector | None:
    """Collect the checks of what is handed over."""
    if isinstance(obj, Conformance):
        collected: pytest.Collector = ConformanceChecks.from_parent(collector, name=name, asked=obj)
        return collected
    return None


def pytest_report_teststatus(
    report: pytest.TestReport | pytest.CollectReport, config: pytest.Config
) -> tuple[str, str, str] | None:
    """Say how long a check took, in the place of a dot; several processes keep to their dots."""
    told = dict(getattr(report, "user_properties", ()))
    is_told = report.when == "call" and SECONDS in told and not hasattr(report, "node")
    if not is_told or config.get_verbosity() < 0:
        return None
    if report.skipped:
        why = report.longrepr[2] if isinstance(report.longrepr, tuple) else "Skipped"
        return "skipped", why.lower(), "SKIPPED"
    took = f"{told[SECONDS]:.1f} s"
    return report.outcome, f"{took}{' F' * report.failed}", f"{report.outcome.upper()} ({took})"


def _say(config: pytest.Config, text: str, *, line: bool = False) -> None:
    """Tell at once what is done, where one waits for it; on a line of its own if asked."""
    reporter = config.pluginmanager.get_plugin("terminalreporter")  # several processes have none
    if reporter is None or config.get_verbosity() < 0:
        return
    capture = config.pluginmanager.get_plugin("capturemanager")
    with capture.global_and_fixture_disabled() if capture else nullcontext():
        if line:
            place = reporter.currentfspath
            reporter.ensure_newline()
            reporter.currentfspath = place  # else it is told again on each line
        reporter.write(text, flush=True)


@contextmanager
def _stage(config: pytest.Config, what: str) -> Iterator[None]:
    """Tell what is done, and then how long it took."""
    start_s = time.monotonic()
    _say(config, f"{what} ")
    yield
    _say(config, f"{time.monotonic() - start_s:.1f} s; ")


class ConformanceChecks(pytest.Collector):
    """The checks of one `Conformance`; its lab is there while they run."""

    def __init__(self, *, asked: Conformance, **more: Any) -> None:
        super().__init__(**more)
        self._asked = asked
        self._until_done = ExitStack()
        self._bench: Workbench | None = None

    def collect(self) -> Iterator[pytest.Item]:
        """Return a test for each check."""
        from tiecoat.testing.checks import CHECKS

        for name in CHECKS:
            item: pytest.Item = ConformanceTest.from_parent(self, name=name)
            yield item

    @property
    def bench(self) -> Workbench:
        """Where the plugins are tried, laid out when the first check asks for it."""
        if self._bench is None:
            with _stage(self.config, "loading tiecoat"):
                from tiecoat.testing.workbench import workbench
            bench = self._until_done.enter_context(workbench(self._asked))
            with _stage(self.config, "loading plugins"):
                bench.load()
            with _stage(self.config, f"reading {counted(len(bench.examples), 'example')}"):
                bench.was  # noqa: B018 - it is kept
            if self.config.getoption(WRITE):
                from tiecoat.testing.writing import write

                write(bench)
            self._bench = bench
        return self._bench

    def teardown(self) -> None:
        """Take the lab away."""
        self._bench = None
        self._until_done.close()


class ConformanceTest(pytest.Item):
    """One check."""

    def runtest(self) -> None:
        """Find what is wrong, and fail by it."""
        from tiecoat.errors import TiecoatError
        from tiecoat.testing.checks import CHECKS, lacking

        assert isinstance(self.parent, ConformanceChecks)
        if self.config.get_verbosity() == 0:
            _say(self.config, f"{self.parent.name}: {self.name} ", line=True)
        start_s = time.monotonic()
        try:
            if needed := lacking(self.parent.bench, self.name):
                pytest.skip(f"there is not {needed}")
            found = [*CHECKS[self.name](self.parent.bench)]
        except (TiecoatError, ValueError) as error:
            raise Unfit(str(error)) from error
        finally:
            self.user_properties.append((SECONDS, time.monotonic() - start_s))
        if self.name == "messages_are_plain":
            from tiecoat.testing.damaged import told_to_technicians

            told = "\n".join(told_to_technicians(self.parent.bench))
            self.add_report_section("call", "what technicians are told", told)
        if found:
            raise Unfit(*found)

    def repr_failure(self, excinfo: pytest.ExceptionInfo[BaseException], style: Any = None) -> Any:
        """Tell the findings, one to a line; a fault of the kit itself with its traceback."""
        if not isinstance(excinfo.value, Unfit):
            return super().repr_failure(excinfo, style)
        found = [str(one) for one in excinfo.value.args]
        more = [f"and {len(found) - SHOWN} more"] if len(found) > SHOWN else []
        return "\n".join(f"- {one}" for one in [*found[:SHOWN], *more])

    def reportinfo(self) -> tuple[Any, int | None, str]:
        """Say where it stands, and what it is called."""
        return self.path, None, f"{self.parent.name if self.parent else ''}: {self.name}"
