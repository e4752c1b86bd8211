"""Single system calls of a real service fail, and it recovers by itself from every one.

By default a few faults; `TIECOAT_CAMPAIGN=2000` in the environment makes it 2000. The service is
not started again between them, unless one has ended it, which is counted.
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

import pytest
from call_faults import FOR_EVER, CallFault, Faults, Sort, compiled, drawn, needs_compiler
from known_exports import Made, Supply
from lab_account import Account
from real_service import Service, lay_out
from truth import Truth

from tiecoat.lab.settings import open_lab
from tiecoat.service.status import status

COUNT = int(os.environ.get("TIECOAT_CAMPAIGN", "16"))
IN_ONE_LAB = 50 if "TIECOAT_CAMPAIGN" in os.environ else 8
SEED = int(os.environ.get("TIECOAT_SEED", "20261129"))
GRACE_S = 8.0  # of the truth of status, for a service that waits as briefly as this one
STUCK_S = 2.5  # how long a fault that stays is left
MET_S = 2.0  # in which a fault is met, or is not
PATIENCE_S = 90.0  # until the service has recovered by itself
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
sys.exit(main(["serve", "--lab", sys.argv[1]]))
"""

pytestmark = needs_compiler


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The library that lets calls fail."""
    return compiled(tmp_path_factory.mktemp("library"))


class Attended:
    """A lab, its service with faulty calls, and the account of what was dropped."""

    def __init__(self, folder: Path, library: Path, dice: random.Random) -> None:
        self.account, self._supply, self._dice = Account(folder / "lab"), Supply(dice), dice
        self.root = self.account.root
        lay_out(self.root)
        self.faults = Faults(library, self.root)
        self._truth = Truth(self.root, GRACE_S)
        self._log = folder / "service.log"
        self.ended: Counter[str] = Counter()
        self.service = self._start()
        self.usual = self._usual()

    def _start(self) -> Service:
        command = [sys.executable, "-c", START, str(self.root)]
        return Service(self.root, self._log, command=command, environment=self.faults.environment)

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
        """Let a fault happen to a few exports; say whether it was met."""
        self.faults.arm(fault)
        self.drop()
        end = time.monotonic() + MET_S
        while not self.faults.hit and time.monotonic() < end and not self.service.is_over:
            time.sleep(0.02)
        met = self.faults.hit > 0
        if met and fault.hits == FOR_EVER:
            end = time.monotonic() + STUCK_S
            while time.monotonic() < end and not self.service.is_over:
                self._truth.check()
        self.faults.release()
        return met

    def recover(self, fault: object) -> None:
        """Wait until all is filed, held or known again, without a start if the process lives."""
        end = time.monotonic() + PATIENCE_S
        while not self._well():
            if self.service.is_over:
                self.ended[f"{fault}: exit {self.service.exit_code}"] += 1
                assert self.service.exit_code == 2, self.service.last_lines()
                self.service = self._start()
            assert time.monotonic() < end, (
                f"no recovery from {fault}: {self._said()}\n{self.service.last_lines()}"
            )
            time.sleep(0.05)

    def _well(self) -> bool:
        if any((self.root / "inbox").glob("*.csv")) or not self._said().startswith("watching"):
            return False
        record = json.loads((self.root / "health.json").read_text(encoding="utf-8"))
        return not (record["queue"] or record["waiting"] or record["troubles"])

    def _said(self) -> str:
        try:
            record = json.loads((self.root / "health.json").read_text(encoding="utf-8"))
        except (OSError, ValueError) as error:
            return str(error)
        return f"{record['state']} {record}"

    def check(self, fault: object) -> None:
        """Check that nothing was lost, doubled or made wrong, and that status says so."""
        try:
            self.account.check_end()
            found = status(open_lab(self.root))
            held = any((self.root / "held").iterdir())
            assert found.code == int(held), found
        except AssertionError as error:
            raise AssertionError(f"after {fault}: {error}") from error

    def _usual(self) -> dict[Sort, int]:
        """Count the calls that a few exports take, sort by sort."""
        counts = {}
        for sort in Sort:
            self.faults.count(sort)
            self.drop()
            self.recover("counting")
            counts[sort] = self.faults.met
            self.faults.release()
        return counts


@contextmanager
def attended(folder: Path, library: Path, dice: random.Random) -> Iterator[Attended]:
    """Serve a lab with faulty calls."""
    at_work = Attended(folder, library, dice)
    try:
        yield at_work
        assert at_work.service.stop() == 0
        at_work.account.check_index(folder / "copy")
    finally:
        at_work.service.close()


LABS = [range(start, min(start + IN_ONE_LAB, COUNT)) for start in range(0, COUNT, IN_ONE_LAB)]


@pytest.mark.parametrize("numbers", LABS, ids=lambda numbers: f"{numbers[0] + 1}-{numbers[-1] + 1}")
def test_a_call_that_fails_costs_nothing(numbers: range, library: Path, tmp_path: Path) -> None:
    """Every export is filed once or held for its own fault, and the service is well by itself."""
    dice = random.Random(SEED + numbers[0])
    met = 0
    with attended(tmp_path, library, dice) as at_work:
        for _ in numbers:
            fault = drawn(dice, at_work.usual)
            met += at_work.suffer(fault)
            at_work.recover(fault)
            at_work.check(fault)
    shutil.rmtree(tmp_path / "lab")
    ends = sum(at_work.ended.values())
    print(f"{len(numbers)} faults, {met} met, {ends} ended the service: {dict(at_work.ended)}")
    assert met >= len(numbers) // 2
