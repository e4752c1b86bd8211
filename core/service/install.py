"""Handing a lab to the supervisor of this system, and taking it back."""

from __future__ import annotations

import getpass
import os
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from tiecoat.disk import fsio
from tiecoat.errors import NotPossibleHere, UnknownName
from tiecoat.lab.settings import Lab
from tiecoat.service import launchd, scheduler, systemd
from tiecoat.service.plan import SupervisorCommand, SupervisorPlan, command_of

RunCommand = Callable[[Sequence[str]], "subprocess.CompletedProcess[str]"]
PATIENCE_S = 300.0  # systemd waits until the service is ready


def plan_for(
    lab: Lab, *, system: bool, account: str | None, platform: str = sys.platform
) -> SupervisorPlan:
    """Return how this lab is handed to the supervisor of this system.

    Parameters
    ----------
    system
        For the whole computer, from its start on; otherwise for the user who asks.
    account
        Whose rights it has, where `system`; without, the owner of the lab folder.
    platform
        As in `sys.platform`.

    Raises
    ------
    NotPossibleHere
        If the system has no supervisor that is known here, or the account is missing.
    """
    if account and not system:
        raise NotPossibleHere("--account goes with --system; without, the service is yours")
    if platform == "win32":
        whose = account or _windows_account()
        return scheduler.for_system(lab, whose) if system else scheduler.for_user(lab, whose)
    if platform == "darwin":
        if system:
            return launchd.for_system(lab, account or _owner(lab))
        return launchd.for_user(lab, Path.home(), os.getuid())
    if platform == "linux":
        if system:
            return systemd.for_system(lab, account or _owner(lab))
        return systemd.for_user(lab, getpass.getuser(), Path.home())
    raise NotPossibleHere(
        f"no supervisor of {platform} is known here; have yours keep this running:\n"
        f"{subprocess.list2cmdline(command_of(lab))}"
    )


def install(plan: SupervisorPlan, run: RunCommand | None = None) -> list[str]:
    """Install and start the service, and return what there is to tell.

    Raises
    ------
    NotPossibleHere
        If a command fails; a service that was not there before is taken away again.
    """
    run = run or run_command
    fresh = not installed(plan, run)
    told = [*_all(plan.before, run)]
    fsio.make_dirs(plan.file.parent)
    fsio.publish(plan.file, plan.content, plan.file.parent)
    try:
        told += _all(plan.install, run)
    except NotPossibleHere:
        if fresh:
            _undo(plan, run)
        raise
    finally:
        if not plan.keep:
            _delete(plan.file)
    where = f" by {plan.file}" if plan.keep else ""
    return [f"installed and started as {plan.name}{where}", *told, *plan.notes]


def remove(plan: SupervisorPlan, run: RunCommand | None = None) -> list[str]:
    """Stop and remove the service, and return what there is to tell. The lab stays as it is.

    Raises
    ------
    UnknownName
        If it is not installed.
    NotPossibleHere
        If a command fails.
    """
    run = run or run_command
    if not installed(plan, run):
        raise UnknownName(f"{plan.name} is not installed, so there is nothing to remove")
    told = [*_all(plan.remove, run)]
    _delete(plan.file)
    told += _all(plan.after, run)
    return [f"stopped and removed {plan.name}", *told]


def installed(plan: SupervisorPlan, run: RunCommand | None = None) -> bool:
    """Say whether the supervisor has this service."""
    if plan.known is None:
        return fsio.is_there(plan.file)
    try:
        return (run or run_command)(plan.known).returncode == 0
    except OSError:
        return False


def shown(plan: SupervisorPlan) -> str:
    """Return what `install` would write and run."""
    encoding = "utf-16" if plan.content.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8"
    steps = (*plan.before, *plan.install)
    commands = "\n".join(subprocess.list2cmdline(step.command) for step in steps)
    parts = [f"# {plan.file}", plan.content.decode(encoding), "# then", commands, *plan.notes]
    return "\n".join(parts)


def run_command(command: Sequence[str]) -> subprocess.CompletedProcess[str]:
    """Run a command of the system and return what it said."""
    return subprocess.run(
        command,
        capture_output=True,
        text=True,
        errors="replace",
        stdin=subprocess.DEVNULL,
        timeout=PATIENCE_S,
        check=False,
    )


def _all(steps: Sequence[SupervisorCommand], run: RunCommand) -> Iterator[str]:
    for step in steps:
        if complaint := _failure(step, run):
            if step.or_else is None:
                raise NotPossibleHere(
                    f"the system refuses: {complaint}\n"
                    "If the service itself had begun, log/tiecoat.log in the lab says more."
                )
            if step.or_else:
                yield step.or_else


def _failure(step: SupervisorCommand, run: RunCommand) -> str:
    """Run a command and say why it failed; "" if it did not."""
    command = subprocess.list2cmdline(step.command)
    try:
        done = run(step.command)
    except FileNotFoundError:
        return f"{command}\nThere is no {step.command[0]} on this system."
    except subprocess.TimeoutExpired:
        return f"{command}\nIt did not come to an end within {PATIENCE_S:g} s."
    if done.returncode == 0:
        return ""
    said = (done.stderr or done.stdout or "").strip() or f"it ended with code {done.returncode}"
    return f"{command}\n{said}"


def _undo(plan: SupervisorPlan, run: RunCommand) -> None:
    """Take back what was begun, as far as it goes."""
    for step in plan.remove:
        _failure(step, run)
    _delete(plan.file)
    for step in plan.after:
        _failure(step, run)


def _delete(file: Path) -> None:
    if fsio.is_there(file):
        fsio.remove(file)


def _owner(lab: Lab) -> str:
    """Return whose lab it is: a service of the computer need not have more rights than that."""
    owner = lab.root.owner()
    if owner == "root":
        raise NotPossibleHere(
            f"{lab.root} belongs to root, whose rights a service that reads files from anywhere"
            " should not have; give the folder to another account, or name one with --account"
        )
    return owner


def _windows_account() -> str:
    domain = os.environ.get("USERDOMAIN")
    return f"{domain}\\{getpass.getuser()}" if domain else getpass.getuser()
