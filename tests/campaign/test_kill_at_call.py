"""The parent process of `tiecoat take` is killed at one chosen system call after the other.

By default a few calls; `TIECOAT_CAMPAIGN=200` in the environment makes it 200.
"""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import TypeAlias

import pytest
from known_exports import Made, Supply
from lab_account import Account
from real_service import PATIENCE_S, lay_out

from tiecoat.cli import main

POINTS = int(os.environ.get("TIECOAT_CAMPAIGN", "4"))
SEED = 20261125
CALLS = ("openat", "write", "pwrite64", "fsync", "fdatasync", "rename", "mkdir", "unlink")

Call: TypeAlias = tuple[str, int, str]  # its name, which one of that name it is, as traced


def _can_trace() -> bool:
    if shutil.which("strace") is None:
        return False
    return subprocess.run(["strace", "-qq", "-o", os.devnull, "true"], check=False).returncode == 0


pytestmark = pytest.mark.skipif(
    not _can_trace(), reason="needs strace, and the right to trace processes"
)


@pytest.fixture(scope="module")
def waiting(tmp_path_factory: pytest.TempPathFactory) -> Account:
    """A lab whose inbox holds one export of each sort, the register for a held one among them."""
    account = Account(tmp_path_factory.mktemp("template") / "lab")
    lay_out(account.root)
    supply = Supply(random.Random(SEED))
    account.drop(supply.of_unregistered_panel())
    main(["take", "--lab", str(account.root)])
    sorts = (supply.spectrum, supply.densities, supply.twin, supply.retold, supply.rival)
    for way in (*sorts, supply.broken):
        account.drop(way())
    register = supply.register()
    assert register
    account.drop(register)
    return account


@pytest.fixture(scope="module")
def half_filed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Account, Made]:
    """A lab whose run was killed with one of three tables in its place, and a rival export."""
    folder = tmp_path_factory.mktemp("half filed")
    supply = Supply(random.Random(SEED))
    account = Account(folder / "lab")
    lay_out(account.root)
    account.drop(replace(supply.densities(), name="later in the alphabet.csv"))
    calls = _calls(_copy(account, folder / "untouched"), folder)
    tables = [call for call in calls if call[0] == "rename" and "/archive/" in call[2]]
    assert len(tables) == 3
    _take_until(account, tables[1])
    return account, replace(supply.rival(), name="earlier in the alphabet.csv")


def test_a_kill_at_any_system_call_costs_nothing(waiting: Account, tmp_path: Path) -> None:
    """Whichever call is the last one, the next run completes the work: filed once, or held."""
    calls = _calls(_copy(waiting, tmp_path / "untouched"), tmp_path)
    for call in random.Random(SEED).sample(calls, min(POINTS, len(calls))):
        account = _copy(waiting, tmp_path / "lab")
        _take_until(account, call)
        account.check_now()
        account.check_index(tmp_path / "copy")
        main(["take", "--lab", str(account.root)])
        account.check_end()
        shutil.rmtree(account.root)


@pytest.mark.parametrize("loss", ["nothing", "index"])
def test_an_export_for_several_batches_is_filed_whole(
    half_filed: tuple[Account, Made], tmp_path: Path, loss: str
) -> None:
    """Killed between two of its tables, it is filed whole in the end, though the index is lost."""
    account = _copy(half_filed[0], tmp_path / "lab")
    if loss == "index":
        for path in account.root.glob("index.sqlite*"):
            path.unlink()
    main(["take", "--lab", str(account.root)])
    assert account.check_end() == {"filed": 1}


def test_a_half_filed_export_is_completed_before_another_can_contradict_it(
    half_filed: tuple[Account, Made], tmp_path: Path
) -> None:
    """A rival that comes after the kill is held: what was begun first is filed first."""
    account = _copy(half_filed[0], tmp_path / "lab")
    account.drop(half_filed[1])
    main(["take", "--lab", str(account.root)])
    assert account.check_end() == {"filed": 1, "conflict": 1}


def _copy(account: Account, root: Path) -> Account:
    """Return the account of a copy of the lab."""
    shutil.copytree(account.root, root)
    made = {sha256: list(names) for sha256, names in account.made.items()}
    return replace(account, root=root, dropped=dict(account.dropped), made=made)


def _calls(account: Account, scratch: Path) -> list[Call]:
    """Run to the end and return the calls that touched the lab."""
    log = scratch / "calls"
    _trace(account, "-y", "-s", "300", "-o", str(log))
    account.check_end()
    seen: Counter[str] = Counter()
    calls = []
    for line in log.read_text(encoding="utf-8", errors="replace").splitlines():
        name = line.partition("(")[0]
        seen[name] += 1
        if str(account.root) in line:
            calls.append((name, seen[name], line))
    return calls


def _take_until(account: Account, call: Call) -> None:
    """Run until a call, and no further."""
    name, number, _ = call
    killed = _trace(account, "-o", os.devnull, "-e", f"inject={name}:signal=SIGKILL:when={number}")
    assert killed, f"the run ended before {name} number {number}"


def _trace(account: Account, *options: str) -> bool:
    """Run `tiecoat take` under strace and say whether it was killed."""
    command = [sys.executable, "-m", "tiecoat.cli", "take", "--lab", str(account.root)]
    done = subprocess.run(
        ["strace", "-qq", "-e", f"trace={','.join(CALLS)}", *options, *command],
        check=False,
        capture_output=True,
        timeout=PATIENCE_S,
        text=True,
    )
    assert "Traceback" not in done.stderr, done.stderr
    return done.returncode < 0 or done.returncode > 128
