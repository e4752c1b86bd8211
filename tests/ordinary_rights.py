"""A service without the right of an administrator to pass over who may do what."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

needs_rights = pytest.mark.skipif(
    not hasattr(os, "geteuid") or (os.geteuid() == 0 and sys.platform != "linux"),
    reason="needs rights on folders, and for root Linux, to give up its own",
)

# capabilities(7): DAC_OVERRIDE is 1, DAC_READ_SEARCH 2; prctl(2): 24 drops one for what is started
GIVE_UP = """
import ctypes
system = ctypes.CDLL(None, use_errno=True)
for one in (1, 2):
    assert system.prctl(24, one, 0, 0, 0) == 0
own = (ctypes.c_uint32 * 2)(0x20080522, 0), (ctypes.c_uint32 * 6)()
assert system.capget(*own) == 0
for place in range(3):
    own[1][place] &= ~0b110
assert system.capset(*own) == 0
"""


def ordinary(statements: str, *given: str) -> list[str]:
    """Return the command that runs statements of Python with the rights of an ordinary account."""
    give_up = GIVE_UP if os.geteuid() == 0 else ""
    return [sys.executable, "-c", f"{give_up}{statements}\n", *given]


def serving(root: Path, changes: str = "") -> list[str]:
    """Return the command that serves a lab with the rights of an ordinary account.

    `changes` are Python statements that run before, such as shorter waits.
    """
    start = f"import sys; from tiecoat.cli import main\n{changes}\nsys.exit(main(sys.argv[1:]))"
    return ordinary(start, "serve", "--lab", str(root))
