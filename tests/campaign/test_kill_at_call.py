"""The parent process of `tiecoat take` is killed at one chosen system call after the other.

By default a few calls; `TIECOAT_CAMPAIGN=200` in the environment makes it 200.
"""

from __future__ import annotations

import os
import random
import shutil
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from known_exports import Made, Supply
from lab_account import Account
from real_service import lay_out
from traced_run import Call, calls_of, needs_strace, take_until

from tiecoat.cli import main

POINTS = int(os.environ.get("TIECOAT_CAMPAIGN", "2"))
SEED = 20261125

pytestmark = needs_strace


@dataclass(frozen=True)
class CutShort:
    """A run over one export for three batches: the lab before it, its calls, and a rival export."""

    account: Account
    calls: list[Call]
    rival: Made

    def killed(self, root: Path, table: int, call: str) -> Account:
        """Return a copy of the lab, killed when a table was flushed or renamed to its place."""
        renamed = [one for one in self.calls if one.name == "rename" and "/archive/" in one.line]
        assert len(renamed) == 3
        staged = renamed[table].line.split('"')[1]
        account = self.account.copy(root)
        (at,) = (one for one in self.calls if one.name == call and staged in one.line)
        take_until(account, at)
        return account


@pytest.fixture(scope="module")
def cut_short(tmp_path_factory: pytest.TempPathFactory) -> CutShort:
    """An export for three batches, which waits in the inbox."""
    folder = tmp_path_factory.mktemp("cut short")
    supply = Supply(random.Random(SEED))
    account = Account(folder / "lab")
    lay_out(account.root)
    account.drop(replace(supply.densities(), name="later in the alphabet.csv"))
    rival = replace(supply.rival(), name="earlier in the alphabet.csv")
    return CutShort(account, calls_of(account.copy(folder / "undisturbed"), folder), rival)


@pytest.mark.thorough
def test_a_kill_at_any_system_call_costs_nothing(
    waiting: Account, calls: list[Call], tmp_path: Path
) -> None:
    """Whichever call is the last one, the next run completes the work: filed once, or held."""
    for call in random.Random(SEED).sample(calls, min(POINTS, len(calls))):
        account = waiting.copy(tmp_path / "lab")
        take_until(account, call)
        account.check_now()
        account.check_index(tmp_path / "copy")
        main(["take", "--lab", str(account.root)])
        account.check_end()
        shutil.rmtree(account.root)


@pytest.mark.thorough
def test_nothing_is_known_before_it_is_filed(cut_short: CutShort, tmp_path: Path) -> None:
    """Killed before the first of its tables is in place, an export is not taken for filed."""
    account = cut_short.killed(tmp_path / "lab", 0, "fsync")
    main(["take", "--lab", str(account.root)])
    assert account.check_end() == {"filed": 1}


@pytest.mark.thorough
def test_a_half_filed_export_is_filed_whole(cut_short: CutShort, tmp_path: Path) -> None:
    """Killed with one of its three tables in place, it is filed whole, though the index is lost."""
    account = cut_short.killed(tmp_path / "lab", 1, "rename")
    for path in account.root.glob("index.sqlite*"):
        path.unlink()
    main(["take", "--lab", str(account.root)])
    assert account.check_end() == {"filed": 1}


@pytest.mark.thorough
def test_a_half_filed_export_is_completed_before_another_can_contradict_it(
    cut_short: CutShort, tmp_path: Path
) -> None:
    """A rival that comes after the kill is held: what was begun first is filed first."""
    account = cut_short.killed(tmp_path / "lab", 1, "rename")
    account.drop(cut_short.rival)
    main(["take", "--lab", str(account.root)])
    assert account.check_end() == {"filed": 1, "conflict": 1}
