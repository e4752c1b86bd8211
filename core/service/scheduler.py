"""A lab as a task of the Windows Task Scheduler: at logon, or for the computer at its start.

Elements, their order and bounds as in the published Task Scheduler schema (Windows application
documentation, "Task Scheduler Schema"). Nothing of this has been run on Windows.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path, PureWindowsPath
from xml.etree import ElementTree as Xml

from tiecoat.disk import fsio
from tiecoat.lab.settings import Lab
from tiecoat.service.plan import SupervisorCommand, SupervisorPlan, command_of, name_of

NAMESPACE = "http://schemas.microsoft.com/windows/2004/02/mit/task"
NETWORK_DRIVE = 4  # DRIVE_REMOTE of GetDriveTypeW
DRIVE = (
    "{} lies on a network drive. Tasks that run without anybody logged on know no drive letters:"
    " write its \\\\server\\share path into tiecoat.toml."
)
SHARE = (
    "{} lies on a share, to which this task may have no access: it runs without the password of"
    " {}. If the inbox stays out of reach, give it in the Task Scheduler."
)


def for_user(lab: Lab, account: str) -> SupervisorPlan:
    """Return how a lab becomes a task that runs while a user is logged on."""
    trigger = {"Enabled": "true", "Repetition": {"Interval": "PT5M"}, "UserId": account}
    return _plan(lab, {"LogonTrigger": trigger}, account, "InteractiveToken", ())


def for_system(lab: Lab, account: str) -> SupervisorPlan:
    """Return how a lab becomes a task that runs whether anybody is logged on or not."""
    trigger = {"Enabled": "true", "Repetition": {"Interval": "PT5M"}}
    inboxes = [PureWindowsPath(box.path) for box in lab.settings.inbox]
    drives = [DRIVE.format(path) for path in inboxes if is_network_drive(path)]
    shares = [SHARE.format(path, account) for path in inboxes if path.drive.startswith("\\\\")]
    return _plan(lab, {"BootTrigger": trigger}, account, "S4U", (*drives, *shares))


def is_network_drive(path: PureWindowsPath) -> bool:
    """Say whether a path begins with a drive letter that stands for a share."""
    if sys.platform != "win32" or path.drive.startswith("\\\\"):
        return False
    import ctypes

    return bool(ctypes.windll.kernel32.GetDriveTypeW(f"{path.drive}\\") == NETWORK_DRIVE)


def task_xml(command: tuple[str, ...], words: str, trigger: object, principal: object) -> bytes:
    """Return the description of a task, in UTF-16 with a byte order mark as schtasks reads it."""
    # Started again each minute after a failure, for hours, and by the repetition of the trigger
    # ever after; IgnoreNew lets that do nothing while it runs. PT0S: no limit, instead of 72 h.
    task = {
        "RegistrationInfo": {"Description": words},
        "Triggers": trigger,
        "Principals": {"Principal": principal},
        "Settings": {
            "MultipleInstancesPolicy": "IgnoreNew",
            "DisallowStartIfOnBatteries": "false",
            "StopIfGoingOnBatteries": "false",
            "AllowHardTerminate": "true",
            "StartWhenAvailable": "true",
            "RunOnlyIfNetworkAvailable": "false",
            "AllowStartOnDemand": "true",
            "Enabled": "true",
            "RunOnlyIfIdle": "false",
            "ExecutionTimeLimit": "PT0S",
            "Priority": "6",
            "RestartOnFailure": {"Interval": "PT1M", "Count": "255"},
        },
        "Actions": {
            "Exec": {"Command": command[0], "Arguments": subprocess.list2cmdline(command[1:])}
        },
    }
    root = Xml.Element("Task", {"version": "1.3", "xmlns": NAMESPACE})
    _add(root, task)
    Xml.indent(root)
    declaration = '<?xml version="1.0" encoding="UTF-16"?>\n'
    return (declaration + Xml.tostring(root, encoding="unicode") + "\n").encode("utf-16")


def _add(parent: Xml.Element, content: object) -> None:
    if isinstance(content, dict):
        for name, inside in content.items():
            _add(Xml.SubElement(parent, name), inside)
    else:
        parent.text = str(content)


def _plan(
    lab: Lab, trigger: object, account: str, logon: str, notes: tuple[str, ...]
) -> SupervisorPlan:
    name = name_of(lab.root)
    file = lab.stage / f"{name}.xml"
    principal = {"UserId": account, "LogonType": logon, "RunLevel": "LeastPrivilege"}
    words = f"tiecoat: takes in the exports of {lab.root}"
    end = ("schtasks", "/End", "/TN", name)
    return SupervisorPlan(
        name,
        file,
        task_xml(command_of(lab, _without_window(sys.executable)), words, trigger, principal),
        keep=False,
        known=("schtasks", "/Query", "/TN", name),
        before=(SupervisorCommand(end, ""),),
        install=(
            SupervisorCommand(("schtasks", "/Create", "/TN", name, "/XML", str(file), "/F")),
            SupervisorCommand(("schtasks", "/Run", "/TN", name)),
        ),
        remove=(
            SupervisorCommand(end, ""),
            SupervisorCommand(("schtasks", "/Delete", "/TN", name, "/F")),
        ),
        notes=notes,
    )


def _without_window(python: str) -> str:
    """Return the Python that opens no console window, where there is one."""
    silent = Path(python).with_name("pythonw.exe")
    return str(silent) if fsio.is_file(silent) else python
