"""A service without the right of an administrator to pass over who may do what."""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path

import pytest

WITHOUT = ["setpriv", "--bounding-set=-dac_override,-dac_read_search"]

needs_rights = pytest.mark.skipif(
    not hasattr(os, "geteuid") or (os.geteuid() == 0 and not shutil.which("setpriv")),
    reason="needs rights on folders, and for root setpriv (util-linux), to give up its own",
)


def serving(root: Path, changes: str = "") -> list[str]:
    """Return the command that serves a lab with the rights of an ordinary account.

    `changes` are Python statements that run before, such as shorter waits.
    """
    start = f"import sys; from tiecoat.cli import main\n{changes}\nsys.exit(main(sys.argv[1:]))"
    command = [sys.executable, "-c", start, "serve", "--lab", str(root)]
    return [*WITHOUT, *command] if os.geteuid() == 0 else command
