"""The service is killed again and again in the middle of its work, and started again.

By default six kills; `TIECOAT_CAMPAIGN=200` in the environment makes it 200.
"""

from __future__ import annotations

import os
import random
import time
from pathlib import Path

from known_exports import Supply
from lab_account import Account
from real_service import Service, lay_out

from tiecoat.intake.held import list_held
from tiecoat.lab import open_lab
from tiecoat.reasons import Reason

KILLS = int(os.environ.get("TIECOAT_CAMPAIGN", "6"))
SEED = 20261125
START_UP_S = 2.5  # until the first file is read; kills come at any moment of it
STEPS = {  # and at any moment after the first trace of each step of the work
    "preserving": "stage",
    "filing": "archive/*/*",
    "holding": "held",
    "recording": "journal/*",
    "clearing": "inbox/done",
}
STEP_S = 0.15  # for so long
BACKLOG = 25  # files that wait in the inbox at most


def test_every_export_is_filed_exactly_once_or_held_however_often_the_service_is_killed(
    tmp_path: Path,
) -> None:
    """Nothing is lost, doubled or half filed by kill -9 at any moment, start-up included."""
    dice = random.Random(SEED)
    lab, log = tmp_path / "lab", tmp_path / "service.log"
    lay_out(lab)
    account, supply = Account(lab), Supply(dice)
    killed = []
    for number in range(KILLS):
        _refill(account, supply, 10)
        service = Service(lab, log)
        _live_a_while(service, account, supply, dice)
        service.kill()
        killed.append(service)
        account.check_now()
        account.check_index(tmp_path / f"copy {number}")
        if len(killed) > 1:
            killed.pop(0).check_orphans()
    _finish(account, supply, Service(lab, log))
    killed.pop().check_orphans()
    fates = account.check_end()
    account.check_index(tmp_path / "copy at the end")
    print(f"{KILLS} kills, {len(account.dropped)} files, {fates}")
    assert {"filed", "conflict"} < fates.keys()


def _refill(account: Account, supply: Supply, count: int) -> None:
    for _ in range(count):
        account.drop(supply.next())


def _live_a_while(service: Service, account: Account, supply: Supply, dice: random.Random) -> None:
    """Let the service live until a random moment of its start-up or of one of its steps."""
    step = dice.choice(["start-up", *STEPS])
    if step == "start-up":
        time.sleep(dice.uniform(0, START_UP_S))
        return
    inbox, before = account.root / "inbox", _traces(account.root, step)

    def begun() -> bool:
        if dice.random() < 0.1 and len(list(inbox.iterdir())) < BACKLOG:
            account.drop((dice.random() < 0.05 and supply.register()) or supply.next())
        return _traces(account.root, step) != before

    service.until(begun, f"no {step}")
    time.sleep(dice.uniform(0, STEP_S))


def _traces(lab: Path, step: str) -> list[int]:
    """Return what changes as soon as the service takes this step."""
    return [path.stat().st_mtime_ns for path in sorted(lab.glob(STEPS[step]))]


def _finish(account: Account, supply: Supply, service: Service) -> None:
    """Let the service work the backlog off, then end it in the ordinary way."""
    lab, inbox = open_lab(account.root), account.root / "inbox"
    service.until(lambda: not list(inbox.glob("*.csv")), "the backlog was not worked off")
    if register := supply.register():
        account.drop(register)
    service.until(
        lambda: (
            not list(inbox.glob("*.csv"))
            and not any(held.reason is Reason.NO_BATCH for held in list_held(lab))
        ),
        "files wait for a panel that is in the register",
    )
    assert service.stop() == 0
    service.check_orphans()
