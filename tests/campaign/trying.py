"""Changes made one after the other, each in a fork of a process that has loaded the tests."""

from __future__ import annotations

import gc
import os
import signal
import traceback
from collections.abc import Callable, Sequence
from contextlib import nullcontext
from dataclasses import dataclass
from types import FunctionType

import pytest
from covering import Chosen, Test, run_tests
from mutators import Change
from swapping import functions_below, swap
from tree_copies import Copy
from tried import Outcome, Results, Tried

SLOWER = 3.0  # than when it was listened to may a test be
START_S = 10.0  # of the processor that a test may take besides
BUSY = 5.0  # times as long may it wait, for a busy machine
ENDED_BY_TIME = (-signal.SIGPROF, -signal.SIGALRM)
LOADING_S = 300  # for the tests to be loaded
TWICE_S = 1.0  # a test that takes longer may fail because the machine is busy
NOT_SWAPPED = 70


@dataclass(frozen=True)
class Trial:
    """A change, the tests that it is shown to, and how it is made.

    `loaded` is the text of its module as it is loaded before; None where the module must be loaded
    with the change, because that runs before any test.
    """

    module: str
    change: Change
    source: str  # digest of the module
    tests: Chosen
    loaded: str | None

    @property
    def path(self) -> str:
        """The module in the tree."""
        return f"core/{self.module}"

    @property
    def files(self) -> set[str]:
        """The files of the tests."""
        return {test.file for test in self.tests.tests}

    def ended(self, outcome: Outcome, by: str = "") -> Tried:
        """Return what became of the change."""
        return Tried(
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
            ran=len(self.tests.tests),
            left_out=self.tests.left_out,
            by=by,
        )

    def known(self, results: Results) -> Tried | None:
        """Return what became of the change; None if it was not tried, or may end otherwise now."""
        return results.known(self.module, self.source, self.tests.digest, self.change.number)


class Trying:
    """A plugin that makes each change in a fork and runs its tests, until one notices."""

    def __init__(
        self, trials: Sequence[Trial], copy: Copy, results: Results, over: Callable[[], bool]
    ) -> None:
        self.trials = trials
        self.copy = copy
        self.results = results
        self.over = over
        self.limits_s = {
            name: START_S + SLOWER * seconds
            for trial in trials
            for name, seconds in trial.tests.seconds.items()
        }
        self.who = copy.folder / "who.txt"
        self.items: dict[str, pytest.Item] = {}
        self.functions: dict[str, list[FunctionType]] = {}

    def pytest_sessionstart(self) -> None:
        """Do not wait for ever for the tests to be loaded."""
        signal.alarm(LOADING_S)

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Try one change after the other."""
        signal.alarm(0)
        if session.testsfailed:
            raise pytest.UsageError("not all test files can be loaded")
        self.items = {item.nodeid: item for item in session.items}
        self.functions = functions_below(str(self.copy.site))
        gc.collect()
        gc.freeze()  # what is loaded stays in the memory that all forks share
        for trial in self.trials:
            if self.over():
                break
            text = trial.change.source()
            with self.copy.changed(trial.path, text) if trial.loaded else nullcontext():
                self.results.add(trial.ended(*self._try(trial)))
        return True

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        """In a fork: no test goes on for ever, nor waits for ever."""
        signal.setitimer(signal.ITIMER_PROF, self.limits_s[nodeid])
        signal.setitimer(signal.ITIMER_REAL, BUSY * self.limits_s[nodeid])

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """In a fork: the first test that fails ends it."""
        if report.failed:
            self.who.write_text(report.nodeid, encoding="utf-8")
            os._exit(pytest.ExitCode.TESTS_FAILED)

    def _try(self, trial: Trial) -> tuple[Outcome, str]:
        """Say what became of a change and which test noticed it."""
        left = list(trial.tests.tests)
        while left:
            code, by = self._show(trial, left)
            if code in ENDED_BY_TIME:
                return "timed out", ""
            if code == pytest.ExitCode.OK:
                break
            again = [test for test in left if test.name == by and trial.tests.seconds[by] > TWICE_S]
            if not again or self._show(trial, again)[0] != pytest.ExitCode.OK:
                return "noticed", by or f"the process ended with {code}"
            left.remove(*again)
        return "survived", ""

    def _show(self, trial: Trial, tests: Sequence[Test]) -> tuple[int, str]:
        """Run tests in a fork, and return how it ended, and which test failed."""
        self.who.unlink(missing_ok=True)
        self.copy.clear()
        pid = os.fork()
        if not pid:
            code = NOT_SWAPPED
            try:
                os.setsid()
                self._swap(trial)
                code = int(pytest.ExitCode.INTERNAL_ERROR)
                run_tests([self.items[test.name] for test in tests])
                code = int(pytest.ExitCode.OK)
            except BaseException:  # noqa: BLE001 - nothing may get from here into the parent's code
                traceback.print_exc()
            finally:
                os._exit(code)
        code = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
        self.copy.end(pid)
        if code == NOT_SWAPPED:
            raise pytest.UsageError(f"not put into what is loaded: {trial.change}")
        return code, self.who.read_text(encoding="utf-8") if self.who.exists() else ""

    def _swap(self, trial: Trial) -> None:
        path = str(self.copy.site / "tiecoat" / trial.module)
        if trial.loaded:
            swap(self.functions.get(path, []), trial.loaded, path, trial.change)
