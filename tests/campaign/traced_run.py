"""`tiecoat take` under strace: what it does to the disk, call by call, and where to kill it."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import pytest
from lab_account import Account
from real_service import PATIENCE_S

CALLS = ("openat", "write", "pwrite64", "fsync", "fdatasync", "rename", "mkdir", "unlink")


def _can_trace() -> bool:
    if shutil.which("strace") is None:
        return False
    return subprocess.run(["strace", "-qq", "-o", os.devnull, "true"], check=False).returncode == 0


needs_strace = pytest.mark.skipif(
    not _can_trace(), reason="needs strace, and the right to trace processes"
)


@dataclass(frozen=True)
class Call:
    """A system call that touched the lab; `number` counts those of the same name, from 1."""

    name: str
    number: int
    line: str


def calls_of(account: Account, scratch: Path) -> list[Call]:
    """Take in what waits, to the end, and return the calls that touched the lab."""
    log = scratch / "calls"
    assert not _trace(account, "-y", "-s", "300", "-o", str(log))
    account.check_end()
    seen: Counter[str] = Counter()
    calls = []
    for line in log.read_text(encoding="utf-8", errors="replace").splitlines():
        name = line.partition("(")[0]
        seen[name] += 1
        if str(account.root) in line:
            calls.append(Call(name, seen[name], line))
    return calls


def take_until(account: Account, call: Call) -> None:
    """Take in what waits until this call, and no further."""
    inject = f"inject={call.name}:signal=SIGKILL:when={call.number}"
    killed = _trace(account, "-o", os.devnull, "-e", inject)
    assert killed, f"the run ended before {call.name} number {call.number}"


def _trace(account: Account, *options: str) -> bool:
    """Run the parent process under strace, its workers untraced; say whether it was killed."""
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
