"""A lab as a launchd job of macOS: an agent of a user, or a daemon of the computer.

Keys as launchd.plist(5) describes them, from memory; nothing of this has been run on macOS.
"""

from __future__ import annotations

import plistlib
from pathlib import Path
from typing import Any

from tiecoat.lab.settings import Lab
from tiecoat.service.plan import (
    AGAIN_S,
    STOP_S,
    SupervisorCommand,
    SupervisorPlan,
    command_of,
    name_of,
)

AGENTS = Path("Library", "LaunchAgents")  # in the home folder
DAEMONS = Path("/Library/LaunchDaemons")


def for_user(lab: Lab, home: Path, uid: int) -> SupervisorPlan:
    """Return how a lab becomes a job of a user, from logging in on; needs no administrator."""
    return _plan(lab, home / AGENTS, f"gui/{uid}", {})


def for_system(lab: Lab, account: str) -> SupervisorPlan:
    """Return how a lab becomes a job of the computer, with the rights of an account."""
    return _plan(lab, DAEMONS, "system", {"UserName": account})


def _plan(lab: Lab, folder: Path, domain: str, more: dict[str, Any]) -> SupervisorPlan:
    name = name_of(lab.root)
    file = folder / f"{name}.plist"
    job = {
        "Label": name,
        "ProgramArguments": list(command_of(lab)),
        "RunAtLoad": True,
        "KeepAlive": {"SuccessfulExit": False},  # started again when it fails, not when stopped
        "ThrottleInterval": AGAIN_S,
        "ExitTimeOut": STOP_S,
        **more,
    }
    stop = ("launchctl", "bootout", f"{domain}/{name}")
    return SupervisorPlan(
        name,
        file,
        plistlib.dumps(job),
        keep=True,
        before=(SupervisorCommand(stop, ""),),
        install=(SupervisorCommand(("launchctl", "bootstrap", domain, str(file))),),
        remove=(SupervisorCommand(stop, "it was not running"),),
    )
