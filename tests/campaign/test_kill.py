"""The service is killed again and again in the middle of its work, and started again.

By default 4 kills, 8 with `TIECOAT_TESTS=all`; `TIECOAT_CAMPAIGN=2000` in the environment makes it
2000. A quarter comes at random moments, of its start too, the others at the named steps of a file's
way, each in turn (by default at some); all but those at the start are forked from a process that
has loaded the libraries, where that can be.
"""

from __future__ import annotations

import itertools
import os
import random
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from known_exports import Made, Supply
from lab_account import Account
from real_service import PATIENCE_S, KillAt, Service, Whom, lay_out
from warm_starter import WarmStarter

from tiecoat.cli import main
from tiecoat.disk.steps import STEPS, Step
from tiecoat.intake.held.files import list_held
from tiecoat.lab.settings import open_lab
from tiecoat.reasons import Reason

ALL = "8" if os.environ.get("TIECOAT_TESTS") == "all" else "4"
KILLS = int(os.environ.get("TIECOAT_CAMPAIGN", ALL))
AT_RANDOM = KILLS // 4
IN_ONE_LAB = 25 if "TIECOAT_CAMPAIGN" in os.environ else 6
SEED = 20261126
START_UP_S = 2.5  # until the first file is read; kills come at any moment of it
TRACES = {  # and at any moment after the first trace of each of these
    "preserving": "stage",
    "filing": "archive/*/*",
    "holding": "held",
    "recording": "journal/*",
    "clearing": "inbox/done",
}
TRACE_S = 0.15  # for so long
BACKLOG = 25  # files that wait in the inbox at most
WHOM: tuple[Whom, ...] = ("group", "service", "workers")


@dataclass(frozen=True)
class Plan:
    """A kill at a step, and whether a backlog waits or files come one by one."""

    step: Step
    whom: Whom
    backlog: bool


def _plans() -> list[Plan]:
    """Return the kills at steps: each step in turn, all victims and arrivals in the long run."""
    ways = list(itertools.product(WHOM, (True, False)))
    mixed = random.Random(SEED).sample(STEPS, len(STEPS))
    turns = itertools.count()
    each = (
        Plan(step, *ways[(turn + place) % len(ways)])
        for turn in turns
        for place, step in enumerate(mixed)
    )
    return list(itertools.islice(each, KILLS - AT_RANDOM))


def _labs(count: int) -> list[slice]:
    return [slice(start, min(start + IN_ONE_LAB, count)) for start in range(0, count, IN_ONE_LAB)]


def _named(kills: slice) -> str:
    return f"{kills.start + 1}-{kills.stop}"


@pytest.mark.parametrize("kills", _labs(AT_RANDOM), ids=_named)
def test_every_export_is_filed_exactly_once_or_held_whenever_the_service_is_killed(
    kills: slice, tmp_path: Path, warm_starter: WarmStarter | None
) -> None:
    """Nothing is lost, doubled or half filed by kill -9 at any moment, start-up included."""
    dice = random.Random(SEED + kills.start)
    with _campaign(tmp_path, dice, warm_starter) as campaign:
        for _ in range(kills.start, kills.stop):
            campaign.refill(10)
            trace = dice.choice(["start-up", *TRACES])
            service = campaign.start(cold=trace == "start-up")
            _live_a_while(service, campaign, trace, dice)
            service.kill(dice.choice(WHOM[:2]))
            campaign.check()


@pytest.mark.parametrize("kills", _labs(KILLS - AT_RANDOM), ids=_named)
def test_every_export_is_filed_exactly_once_or_held_at_whatever_step_the_service_is_killed(
    kills: slice, tmp_path: Path, warm_starter: WarmStarter | None
) -> None:
    """Nor is it by a kill right after any named step, of the service, its workers, or both."""
    dice = random.Random(SEED + kills.start)
    with _campaign(tmp_path, dice, warm_starter) as campaign:
        for number, plan in enumerate(_plans()[kills]):
            campaign.refill(10 if plan.backlog else 0)
            times = dice.randint(1, 3)
            mark = tmp_path / f"struck {number}"  # a worker of the last life may still make its own
            service = campaign.start(KillAt(plan.step, times, plan.whom, mark))
            _feed_until_struck(service, campaign, plan, mark, dice)
            if plan.whom == "workers":  # the service goes on by itself, for a while
                service.until(lambda: not campaign.waiting(), "it did not go on without workers")
                service.kill("group")
            else:
                service.wait_for_its_end()
            campaign.check()


class _Campaign:
    """A lab, what was dropped into it, and the service that is killed."""

    def __init__(self, folder: Path, dice: random.Random, starter: WarmStarter | None) -> None:
        self.account, self.supply = Account(folder / "lab"), Supply(dice)
        self._starter = starter
        self._folder = folder
        self._checks = itertools.count()
        self._killed: list[Service] = []
        lay_out(self.account.root)

    def start(self, kill_at: KillAt | None = None, *, cold: bool = False) -> Service:
        log = self._folder / "service.log"
        starter = None if cold else self._starter
        service = Service(self.account.root, log, kill_at, starter=starter)
        self._killed.append(service)
        return service

    def waiting(self) -> list[Path]:
        return list((self.account.root / "inbox").glob("*.csv"))

    def refill(self, count: int) -> None:
        for _ in range(count):
            self.account.drop(self.supply.next())

    def check(self) -> None:
        """Check what must be true right after a kill."""
        self.account.check_now()
        self.account.check_index(self._folder / f"copy {next(self._checks)}")
        while len(self._killed) > 1:
            self._killed.pop(0).check_orphans()

    def finish(self) -> None:
        """Let the service work the backlog off, end it in the ordinary way, settle accounts."""
        service = self.start()
        lab = open_lab(self.account.root)
        service.until(lambda: not self.waiting(), "the backlog was not worked off")
        if register := self.supply.register():
            self.account.drop(register)
        service.until(
            lambda: (
                not self.waiting()
                and not any(held.reason is Reason.NO_BATCH for held in list_held(lab))
            ),
            "files wait for a panel that is in the register",
        )
        assert service.stop() == 0
        for killed in self._killed:
            killed.check_orphans()
        died = [held.sha256 for held in list_held(lab) if held.reason is Reason.READER_DIED]
        main(["held", "retry", "--lab", str(self.account.root)])  # it is well again
        fates = self.account.check_end(died)
        self.account.check_index(self._folder / "copy at the end")
        print(f"{len(self.account.dropped)} files, {fates}")
        assert "filed" in fates


@contextmanager
def _campaign(
    folder: Path, dice: random.Random, starter: WarmStarter | None
) -> Iterator[_Campaign]:
    campaign = _Campaign(folder, dice, starter)
    yield campaign
    campaign.finish()


def _live_a_while(service: Service, campaign: _Campaign, trace: str, dice: random.Random) -> None:
    """Let the service live until a random moment of its start-up, or after a trace of a step."""
    if trace == "start-up":
        moment = dice.uniform(0, START_UP_S)
        while service.clock() < moment:
            time.sleep(0.01)
        return
    root = campaign.account.root
    before = _traces(root, trace)

    def begun() -> bool:
        if dice.random() < 0.1 and len(campaign.waiting()) < BACKLOG:
            some = dice.random() < 0.05 and campaign.supply.register()
            campaign.account.drop(some or campaign.supply.next())
        return _traces(root, trace) != before

    service.until(begun, f"no {trace}")
    time.sleep(dice.uniform(0, TRACE_S))


def _traces(lab: Path, trace: str) -> list[int]:
    """Return what changes as soon as the service does this."""
    return [path.stat().st_mtime_ns for path in sorted(lab.glob(TRACES[trace]))]


def _feed_until_struck(
    service: Service, campaign: _Campaign, plan: Plan, mark: Path, dice: random.Random
) -> None:
    """Drop files, with a backlog all at once, else one by one, until the step was reached."""
    end = service.clock() + PATIENCE_S
    while not mark.exists():
        assert service.clock() < end, f"no file ever was {plan.step}"
        if len(campaign.waiting()) < (BACKLOG if plan.backlog else 1):
            for made in _what_leads_to(plan.step, campaign.supply, dice):
                campaign.account.drop(made)
        else:
            time.sleep(0.01)


def _what_leads_to(step: Step, supply: Supply, dice: random.Random) -> Sequence[Made]:
    """Return what brings about a step that not every file takes, else anything."""
    if step == "held":
        return [supply.next(supply.broken)]
    if step == "released":
        register = supply.register() if dice.random() < 0.5 else None
        return [register or supply.next(supply.of_unregistered_panel)]
    return [supply.next()]
