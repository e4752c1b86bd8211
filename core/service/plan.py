"""How a lab is handed to a supervisor of the system: a file to write and commands to run."""

from __future__ import annotations

import hashlib
import os
import re
import sys
from dataclasses import dataclass
from pathlib import Path

from tiecoat.errors import NotPossibleHere
from tiecoat.lab.lake_address import folder_of
from tiecoat.lab.settings import Lab

AGAIN_S = 10  # between the end of a service and its next start
STOP_S = 30  # for an orderly end


@dataclass(frozen=True)
class SupervisorCommand:
    """One command; `or_else` is told if it fails, and without it nothing goes on."""

    command: tuple[str, ...]
    or_else: str | None = None


@dataclass(frozen=True)
class SupervisorPlan:
    """How a lab is handed to a supervisor.

    Parameters
    ----------
    name
        What the supervisor calls it.
    file, content
        The file that describes the service.
    keep
        Whether the supervisor needs the file from then on, or has a copy of its own.
    known
        Command that ends with 0 if the service is installed; None where the file says so.
    before, install
        Commands before and after the file is written.
    remove, after
        Commands before and after the file is deleted.
    notes
        What the user should know.
    """

    name: str
    file: Path
    content: bytes
    keep: bool
    install: tuple[SupervisorCommand, ...]
    remove: tuple[SupervisorCommand, ...]
    before: tuple[SupervisorCommand, ...] = ()
    after: tuple[SupervisorCommand, ...] = ()
    known: tuple[str, ...] | None = None
    notes: tuple[str, ...] = ()


def name_of(root: Path) -> str:
    """Return a name for the service of a lab that no other lab on this computer has.

    Examples
    --------
    >>> name_of(Path("/srv/My lab"))
    'tiecoat-my-lab-59ff7d'
    """
    place = place_of(root)
    words = re.sub(r"[^a-z0-9]+", "-", place.name.lower()).strip("-")[:40] or "lab"
    told_apart = hashlib.sha256(os.path.normcase(place).encode("utf-8", "replace")).hexdigest()[:6]
    return f"tiecoat-{words}-{told_apart}"


def place_of(root: Path) -> Path:
    """Return the folder of a lab without detours, so that each lab has one name."""
    return Path(os.path.abspath(root))  # noqa: PTH100 - `resolve` would follow links


def command_of(lab: Lab, python: str = sys.executable) -> tuple[str, ...]:
    """Return the command that serves a lab, the same for every supervisor.

    -P: what lies in the folder where it starts is never taken for a module.

    Raises
    ------
    NotPossibleHere
        If a path holds characters that no supervisor takes.
    """
    command = (
        python,
        "-P",
        "-m",
        "tiecoat.cli",
        "serve",
        "--log",
        "--lab",
        str(place_of(lab.root)),
    )
    for word in command:
        if not word.isprintable():
            raise NotPossibleHere(f"{word!r} holds characters that cannot be shown; rename it")
    return command


def written_outside(lab: Lab) -> list[Path]:
    """Return inboxes outside of the lab folder out of which exports are moved, and its lake."""
    written = [lab.inbox_path(box) for box in lab.settings.inbox if box.after == "move"]
    if lab.lake and (lake := folder_of(lab.lake)):
        written.append(lake)
    return [path for path in written if not path.is_relative_to(lab.root)]
