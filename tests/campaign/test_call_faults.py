"""Single system calls of a real service fail, and it recovers by itself from every one.

By default four faults, eight with `TIECOAT_TESTS=all`; `TIECOAT_CAMPAIGN=2000` in the environment
makes it 2000. Of eight faults one meets the service while it starts, the first. After the others it
is not started again, unless one has ended it, which is counted. With `-rP` each lab prints its
figures, a line of JSON.
"""

from __future__ import annotations

import json
import os
import random
import shutil
import sys
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest
from call_faults import (
    FOR_EVER,
    CallFault,
    Faults,
    Sort,
    When,
    compiled,
    drawn,
    needs_compiler,
)
from known_exports import Made, Supply
from lab_account import Account
from real_service import Service, lay_out
from truth import Truth

from tiecoat.lab.settings import open_lab
from tiecoat.service import status as service_status
from tiecoat.service.status import status

ALL = "8" if os.environ.get("TIECOAT_TESTS") == "all" else "4"
COUNT = int(os.environ.get("TIECOAT_CAMPAIGN", ALL))
AT_THE_START = 8  # every so manieth fault
IN_ONE_LAB = 50 if "TIECOAT_CAMPAIGN" in os.environ else 8
SEED = int(os.environ.get("TIECOAT_SEED", "20261129"))
GRACE_S = 6.0  # of the truth of status, for a service that waits as briefly as this one
STILL_S = 3.0  # so long ago, a beat of this service does not say what is true now
STUCK_S = 9.0  # how long a fault that stays is left: the truth of status must show meanwhile
MET_S = {When.SERVING: 2.0, When.STARTING: 60.0}  # in which a fault is met, or is not
PATIENCE_S = 90.0  # until the service has recovered by itself; these by a fair clock
START = """
import sys
from tiecoat.archive.index import sqlite
from tiecoat.cli import main
from tiecoat.intake import intake, taking_in
from tiecoat.intake.inboxes import again, settle
from tiecoat.service import health
sqlite.BUSY_S = 1.0
again.FIRST_S, again.LONGEST_S = 0.3, 1.0
taking_in.AGAIN_S = 0.3
intake.OVERDUE_S = settle.LATE_S = 3.0
health.BEAT_S, health.SOON_S = 1.0, 0.2
sys.exit(main(["serve", "--log", "--lab", sys.argv[1]]))
"""

pytestmark = needs_compiler


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The library that lets calls fail."""
    return compiled(tmp_path_factory.mktemp("library"))


def asked(root: Path) -> tuple[int, str]:
    """Return what `tiecoat service status` says of such a service, without a process for it."""
    with patch.object(service_status, "STILL_S", STILL_S):
        found = status(open_lab(root))
    return found.code, "\n".join(found.lines)


class Attended:
    """A lab, its service with faulty calls, and the account of what was dropped."""

    def __init__(self, folder: Path, library: Path, dice: random.Random) -> None:
        self.account, self._supply, self._dice = Account(folder / "lab"), Supply(dice), dice
        self.root = self.account.root
        lay_out(self.root)
        self.faults = Faults(library, self.root)
        self._folder, self._starts, self._clocked_s = folder, 0, 0.0
        self._truth = Truth(self.root, GRACE_S, self._clock, asked)
        self.ended: Counter[str] = Counter()
        self.start()

    def start(self) -> None:
        """Start the service."""
        command = [sys.executable, "-c", START, str(self.root)]
        self._starts += 1
        log = self._folder / f"service {self._starts}.log"
        environment = self.faults.environment
        self.service = Service(self.root, log, command=command, environment=environment)

    def end(self) -> None:
        """End the service as a person does."""
        assert self.service.stop() == 0, self.service.last_lines()
        self._is_over()

    def _is_over(self) -> None:
        self._clocked_s += self.service.clock()
        assert "Traceback" not in self.service.said, self.service.said

    def _clock(self) -> float:
        return self._clocked_s + self.service.clock()

    def drop(self) -> None:
        """Drop a few exports of every sort that needs no register."""
        sorts = (
            self._supply.spectrum,
            self._supply.densities,
            self._supply.twin,
            self._supply.retold,
            self._supply.rival,
            self._supply.broken,
        )
        for way in self._dice.choices(sorts, [6, 3, 1, 1, 1, 2], k=self._dice.randint(1, 3)):
            self._put(self._supply.next(way))

    def _put(self, made: Made) -> None:
        # renamed into the inbox from outside of it by the test, which loads no library
        self.account.drop(made)

    def suffer(self, fault: CallFault) -> bool:
        """Let a fault happen to a few exports, or to a start; say whether it was met."""
        if fault.when is When.STARTING:
            self.end()
        self.faults.arm(fault)
        self.drop()
        if fault.when is When.STARTING:
            self.start()
        end = self._clock() + MET_S[fault.when]
        while not self.faults.hit and self._clock() < end and not self.service.is_over:
            if fault.when is When.STARTING and self._is_well():
                break
            time.sleep(0.02)
        met = self.faults.hit > 0
        if met and fault.hits == FOR_EVER:
            stuck = self._clock() + STUCK_S
            while self._clock() < stuck and not self.service.is_over:
                self._truth.check()
                time.sleep(0.2)
        self.faults.release()
        return met

    def recover(self, fault: object) -> None:
        """Wait until all is filed, held or known again, without a start if the process lives."""
        end = self._clock() + PATIENCE_S
        while not self._is_well():
            if self.service.is_over:
                self._said_why(fault)
                self.start()
            assert self._clock() < end, (
                f"no recovery from {fault}: {self._health()}\n{self.service.last_lines()}"
            )
            time.sleep(0.05)

    def _said_why(self, fault: object) -> None:
        """Check that a service that has ended has said why, as one that cannot go on."""
        self.ended[f"{fault}: exit {self.service.exit_code}"] += 1
        assert self.service.exit_code == 2, f"{fault}: {self.service.last_lines()}"
        assert self.service.last_lines().splitlines()[-1].startswith("tiecoat: "), fault
        self._is_over()

    def _is_well(self) -> bool:
        if any((self.root / "inbox").glob("*.csv")):
            return False
        record = self._health()
        if record.get("pid") != self.service.pid or record["state"] != "watching":
            return False
        return not (record["queue"] or record["waiting"] or record["troubles"])

    def _health(self) -> dict[str, Any]:
        try:
            return json.loads((self.root / "health.json").read_bytes())
        except (OSError, ValueError):
            return {}

    def check(self, fault: object) -> None:
        """Check that nothing was lost, doubled or made wrong, and that status says so."""
        try:
            self.account.check_end()
            code, said = asked(self.root)
            held = any((self.root / "held").iterdir())
            assert code == int(held), said
        except AssertionError as error:
            raise AssertionError(f"after {fault}: {error}") from error


@contextmanager
def attended(folder: Path, library: Path, dice: random.Random) -> Iterator[Attended]:
    """Serve a lab with faulty calls."""
    at_work = Attended(folder, library, dice)
    try:
        at_work.recover("nothing")
        yield at_work
        at_work.end()
        at_work.account.check_index(folder / "copy")
        shutil.rmtree(at_work.root)
    finally:
        at_work.service.close()


@pytest.fixture(scope="module")
def usual(library: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[When, dict[Sort, int]]:
    """How many calls of each sort a start takes, with a few exports, and a few exports alone."""
    counts = {}
    folder = tmp_path_factory.mktemp("usual")
    with attended(folder, library, random.Random(SEED)) as at_work:
        at_work.end()
        at_work.faults.count()
        at_work.drop()
        at_work.start()
        at_work.recover("counting")
        counts[When.STARTING] = at_work.faults.counted()
        at_work.faults.count()
        for _ in range(3):
            at_work.drop()
            at_work.recover("counting")
        counts[When.SERVING] = {sort: n // 3 for sort, n in at_work.faults.counted().items()}
    return counts


LABS = [range(start, min(start + IN_ONE_LAB, COUNT)) for start in range(0, COUNT, IN_ONE_LAB)]


@pytest.mark.parametrize("numbers", LABS, ids=lambda numbers: f"{numbers[0] + 1}-{numbers[-1] + 1}")
def test_a_call_that_fails_costs_nothing(
    numbers: range, library: Path, usual: dict[When, dict[Sort, int]], tmp_path: Path
) -> None:
    """Every export is filed once or held for its own fault, and the service is well by itself."""
    dice = random.Random(SEED + numbers[0])
    met: Counter[str] = Counter()
    with attended(tmp_path, library, dice) as at_work:
        for number in numbers:
            when = When.SERVING if number % AT_THE_START else When.STARTING
            fault = drawn(dice, when, usual[when])
            met[fault.kind] += at_work.suffer(fault)
            at_work.recover(fault)
            at_work.check(fault)
        exports = len(at_work.account.dropped)
    figures = {"faults": len(numbers), "met": met, "ended": at_work.ended, "exports": exports}
    print(json.dumps(figures))
    assert met.total() >= len(numbers) // 2
