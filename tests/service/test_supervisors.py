"""What is handed to each system's supervisor, and what is done where it refuses."""

from __future__ import annotations

import plistlib
import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path, PureWindowsPath
from xml.etree import ElementTree as Xml

import pytest
from hypothesis import given
from hypothesis import strategies as st
from labs import LabAtWork
from tiny_supervisor import options_of, words_of

from tiecoat.cli import main
from tiecoat.errors import NotPossibleHere, UnknownName
from tiecoat.service import launchd, scheduler, systemd
from tiecoat.service.health import TOO_OLD_S
from tiecoat.service.install import install, installed, plan_for, remove, shown
from tiecoat.service.plan import SupervisorCommand, SupervisorPlan, command_of, name_of
from tiecoat.service.systemd import exec_line

Make = Callable[..., LabAtWork]
SERVE = ["-P", "-m", "tiecoat.cli", "serve", "--log", "--lab"]


class System:
    """A system that notes what it is told to run, and refuses some of it."""

    def __init__(self, *refused: str) -> None:
        self.ran: list[str] = []
        self._refused = refused

    def __call__(self, command: Sequence[str]) -> subprocess.CompletedProcess[str]:
        """Run a command."""
        line = " ".join(command)
        self.ran.append(line)
        code = int(any(word in line for word in self._refused))
        return subprocess.CompletedProcess(command, code, "", "Access is denied." * code)


@given(st.lists(st.text(st.characters(exclude_categories=["C", "Z"]) | st.just(" "), min_size=1)))
def test_a_command_survives_the_quoting_of_a_unit(words: list[str]) -> None:
    """Whatever a path holds, systemd reads the same words out of ExecStart."""
    assert words_of(exec_line(tuple(words))) == words


def test_the_unit_of_a_user(lab: Make, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It says when it is ready, is watched over, is started again, and without a limit of tries."""
    monkeypatch.delenv("XDG_CONFIG_HOME", raising=False)
    at_work = lab()
    plan = systemd.for_user(at_work.lab, "somebody", tmp_path)
    assert plan.file == tmp_path / ".config/systemd/user" / plan.name
    options = options_of(plan.content.decode())
    assert words_of(options["ExecStart"]) == [sys.executable, *SERVE, str(at_work.root)]
    assert options.items() >= {
        ("Type", "notify"),
        ("Restart", "on-failure"),
        ("StartLimitIntervalSec", "0"),
        ("WatchdogSec", f"{TOO_OLD_S:.0f}"),
        ("KillMode", "mixed"),
        ("OOMPolicy", "continue"),
        ("WantedBy", "default.target"),
    }
    assert "User" not in options


def test_the_unit_of_the_computer_may_write_only_where_it_must(lab: Make, tmp_path: Path) -> None:
    """The lab and inboxes out of which files are moved; no network, until an announcer needs it."""
    inboxes = [{"path": "inbox"}, {"path": str(tmp_path / "a b")}]
    inboxes.append({"path": str(tmp_path / "left"), "after": "leave"})
    at_work = lab(inbox=inboxes, readers={"folder": True})
    options = options_of(systemd.for_system(at_work.lab, "lab").content.decode())
    assert options["User"] == "lab"
    assert options["ReadWritePaths"] == f'"{at_work.root}" "-{tmp_path / "a b"}"'
    assert options["ProtectSystem"] == "strict"
    assert options["UMask"] == "0077"  # readable_by = "owner"
    assert options["ProtectProc"] == "noaccess"
    assert options["MemoryMax"] == "6144M"  # 2 GiB, and 4 GiB for its one worker
    assert options["CapabilityBoundingSet"] == ""
    assert options["RestrictAddressFamilies"] == "AF_UNIX"
    (at_work.root / "readers" / "announce_it.py").write_text("", encoding="utf-8")
    options = options_of(systemd.for_system(at_work.lab, "lab").content.decode())
    assert options["RestrictAddressFamilies"] == "AF_UNIX AF_INET AF_INET6"


def test_a_lake_is_let_through(lab: Make, tmp_path: Path) -> None:
    """The unit of the computer may write into a folder, or reach a storage by the network."""
    for url, families, written in (
        ("../lake", "AF_UNIX", f' "-{tmp_path / "lake"}"'),
        ("s3://coatings/lake", "AF_UNIX AF_INET AF_INET6", ""),
    ):
        at_work = lab(lake={"url": url})
        options = options_of(systemd.for_system(at_work.lab, "lab").content.decode())
        assert options["RestrictAddressFamilies"] == families
        assert options["ReadWritePaths"] == f'"{at_work.root}"{written}'


@pytest.mark.skipif(not shutil.which("systemd-analyze"), reason="needs systemd-analyze")
def test_systemd_accepts_the_units(lab: Make, tmp_path: Path) -> None:
    """`systemd-analyze verify` finds nothing, and `security` an exposure below 2 of 10."""
    at_work = lab()
    for plan, more in (
        (systemd.for_system(at_work.lab, "daemon"), ["verify"]),
        (systemd.for_user(at_work.lab, "daemon", tmp_path), ["verify"]),
        (
            systemd.for_system(at_work.lab, "daemon"),
            ["security", "--offline=yes", "--threshold=20"],
        ),
    ):
        unit = tmp_path / plan.name
        unit.write_bytes(plan.content)
        command = ["systemd-analyze", *more, str(unit)]
        done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=60)
        about_it = [line for line in done.stderr.splitlines() if plan.name in line]
        assert (done.returncode, about_it) == (0, []), done.stderr


def test_the_job_of_launchd(lab: Make, tmp_path: Path) -> None:
    """The property list reads back as it was meant: kept alive unless it ends in good order."""
    at_work = lab()
    plan = launchd.for_user(at_work.lab, tmp_path, 501)
    assert plan.file == tmp_path / "Library/LaunchAgents" / f"{plan.name}.plist"
    job = plistlib.loads(plan.content)
    assert job["Label"] == plan.name
    assert job["ProgramArguments"] == [sys.executable, *SERVE, str(at_work.root)]
    assert job["RunAtLoad"] is True
    assert job["KeepAlive"] == {"SuccessfulExit": False}
    assert "UserName" not in job
    daemon = launchd.for_system(at_work.lab, "lab")
    assert plistlib.loads(daemon.content)["UserName"] == "lab"
    assert daemon.install[0].command[:3] == ("launchctl", "bootstrap", "system")


# What the published Task Scheduler schema allows (Windows application documentation, "Task
# Scheduler Schema", its XSD read in the public documentation repository): elements in any order
# (all) or in this one (sequence).
ALL = {
    "Task": "RegistrationInfo Triggers Settings Data Principals Actions",
    "RegistrationInfo": "URI SecurityDescriptor Source Date Author Version Description",
    "Repetition": "Interval Duration StopAtDurationEnd",
    "Principal": "UserId LogonType GroupId DisplayName RunLevel",
    "RestartOnFailure": "Interval Count",
    "Exec": "Command Arguments WorkingDirectory",
    "Settings": "AllowStartOnDemand RestartOnFailure MultipleInstancesPolicy Priority Hidden"
    " DisallowStartIfOnBatteries StopIfGoingOnBatteries AllowHardTerminate StartWhenAvailable"
    " RunOnlyIfNetworkAvailable WakeToRun Enabled ExecutionTimeLimit RunOnlyIfIdle",
    "Triggers": "BootTrigger LogonTrigger",
    "Principals": "Principal",
    "Actions": "Exec",
}
BASE = "Enabled StartBoundary EndBoundary Repetition ExecutionTimeLimit"
SEQUENCE = {"LogonTrigger": f"{BASE} UserId Delay", "BootTrigger": f"{BASE} Delay"}
VALUES = {
    "Interval": r"PT[1-9][0-9]*M",  # PT1M at least
    "Count": r"[1-9]|[1-9][0-9]|1[0-9]{2}|2[0-4][0-9]|25[0-5]",  # an unsigned byte
    "ExecutionTimeLimit": r"PT0S",
    "MultipleInstancesPolicy": r"Parallel|Queue|IgnoreNew|StopExisting",
    "LogonType": r"S4U|Password|InteractiveToken|InteractiveTokenOrPassword",
    "RunLevel": r"LeastPrivilege|HighestAvailable",
    "Priority": r"[0-9]|10",
    "Command": r".{1,260}",
    "UserId": r".+",
}


def check_against_the_schema(element: Xml.Element) -> None:
    """Fail where the published schema would."""
    name = element.tag.partition("}")[2]
    children = [child.tag.partition("}")[2] for child in element]
    if name in SEQUENCE:
        allowed = SEQUENCE[name].split()
        assert children == [one for one in allowed if one in children]
    elif children:
        assert set(children) <= set(ALL[name].split())
        assert len(set(children)) == len(children)
    elif pattern := VALUES.get(name):
        assert re.fullmatch(pattern, element.text or ""), (name, element.text)
    elif name not in {"Arguments", "Description"}:
        assert element.text in {"true", "false"}, (name, element.text)
    for child in element:
        check_against_the_schema(child)


@pytest.mark.parametrize("whole_computer", [False, True])
def test_the_task_of_windows_follows_the_published_schema(lab: Make, whole_computer: bool) -> None:
    """Its elements, their order and values are those of the schema; it never ends by itself."""
    at_work = lab()
    plan = plan_for(
        at_work.lab,
        system=whole_computer,
        account="LAB\\Ann" if whole_computer else None,
        platform="win32",
    )
    assert plan.content.startswith((b"\xff\xfe", b"\xfe\xff"))
    task = Xml.fromstring(plan.content)
    check_against_the_schema(task)
    text = plan.content.decode("utf-16")
    assert "<ExecutionTimeLimit>PT0S<" in text
    assert "<StopIfGoingOnBatteries>false<" in text
    space = {"t": scheduler.NAMESPACE}
    arguments = task.findtext("t:Actions/t:Exec/t:Arguments", "", space)
    assert arguments == subprocess.list2cmdline([*SERVE, str(at_work.root)])
    trigger = task.find(
        f"t:Triggers/t:{'BootTrigger' if whole_computer else 'LogonTrigger'}", space
    )
    assert trigger is not None
    assert trigger.findtext("t:Repetition/t:Interval", "", space) == "PT5M"


def test_shares_are_told_for_a_task_that_runs_without_a_password(
    lab: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Such a task knows no drive letters and may not reach a share: whoever installs it is told."""
    monkeypatch.setattr(scheduler, "is_network_drive", lambda path: path.drive == "Z:")
    inboxes = [{"path": "inbox"}, {"path": r"Z:\exports"}, {"path": r"\\server\share\exports"}]
    at_work = lab()
    at_work.settle(inbox=inboxes)
    drive, share = scheduler.for_system(at_work.lab, "LAB\\Ann").notes
    assert drive.startswith(r"Z:\exports lies on a network drive.")
    assert share.startswith(r"\\server\share\exports lies on a share")
    assert scheduler.for_user(at_work.lab, "LAB\\Ann").notes == ()
    assert not scheduler.is_network_drive(PureWindowsPath(r"\\server\share"))


@pytest.mark.parametrize(
    ("platform", "words"),
    [
        ("linux", ["daemon-reload", "enable", "restart", "disable --now"]),
        ("darwin", ["bootstrap gui/", "bootout gui/"]),
        ("win32", ["/Create", "/Run", "/End", "/Delete"]),
    ],
)
def test_install_and_remove(
    platform: str, words: list[str], lab: Make, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Installed, installed again, removed: the file comes and goes, and the supervisor is told."""
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    monkeypatch.delenv("XDG_CONFIG_HOME", raising=False)
    plan = plan_for(lab().lab, system=False, account=None, platform=platform)
    system = System()
    for _ in range(2):
        assert install(plan, system)[0].startswith(f"installed and started as {plan.name}")
        assert installed(plan, system)
        assert plan.file.exists() == plan.keep
    assert remove(plan, system)[0] == f"stopped and removed {plan.name}"
    ran = "\n".join(system.ran)
    assert [word for word in words if word not in ran] == []
    assert not plan.file.exists()
    if plan.keep:
        with pytest.raises(UnknownName, match="is not installed"):
            remove(plan, system)


def test_what_the_supervisor_refuses_is_told_in_its_words(lab: Make, tmp_path: Path) -> None:
    """A refused start leaves nothing behind; a refused extra is told, and the service stays."""
    plan = systemd.for_user(lab().lab, "ann", tmp_path)
    refusing = System("restart tiecoat")
    with pytest.raises(NotPossibleHere, match=r"(?s)systemctl --user restart.*Access is denied\."):
        install(plan, refusing)
    assert not plan.file.exists()
    taken_back = ["disable --now " + plan.name, "daemon-reload"]
    assert refusing.ran[-2:] == [f"systemctl --user {words}" for words in taken_back]
    told = install(plan, System("loginctl"))
    assert "loginctl enable-linger ann" in told[1]
    assert plan.file.exists()


def test_a_system_without_that_supervisor_is_told(lab: Make, tmp_path: Path) -> None:
    """Where the command does not exist, that is said, not a traceback."""
    plan = SupervisorPlan(
        "x", tmp_path / "x", b"", True, (SupervisorCommand(("no-such-supervisor", "start")),), ()
    )
    with pytest.raises(NotPossibleHere, match="There is no no-such-supervisor on this system"):
        install(plan)
    with pytest.raises(NotPossibleHere, match="no supervisor of plan9 is known here"):
        plan_for(lab().lab, system=False, account=None, platform="plan9")


def test_names_of_labs_do_not_meet(tmp_path: Path) -> None:
    """Two labs of one name have two services; a detour in the path makes no difference."""
    one, other = tmp_path / "a" / "lab", tmp_path / "b" / "lab"
    assert name_of(one) != name_of(other)
    assert name_of(tmp_path / "a" / ".." / "a" / "lab") == name_of(one)
    assert re.fullmatch(r"tiecoat-lab-[0-9a-f]{6}", name_of(tmp_path / "Lab / \u00dc"[:3]))


def test_a_path_that_no_unit_can_hold_is_refused(lab: Make) -> None:
    """A line break in the name of the lab would write other options into the unit."""
    at_work = lab()
    bad = type(at_work.lab)(Path("/srv/lab\nUser=root"), at_work.lab.settings)
    with pytest.raises(NotPossibleHere, match="cannot be shown"):
        command_of(bad)


def test_show_changes_nothing(
    lab: Make, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """`service install --show` prints file and commands, for whoever is to look at them first."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    at_work = lab()
    code = main(["service", "install", "--show", "--lab", str(at_work.root)])
    out = capsys.readouterr().out
    if sys.platform == "linux":
        assert code == 0
        assert "ExecStart=" in out
        assert "systemctl --user restart tiecoat-" in out
    assert list(tmp_path.glob("systemd")) == []
    windows = plan_for(at_work.lab, system=False, account=None, platform="win32")
    assert "<ExecutionTimeLimit>PT0S<" in shown(windows)
