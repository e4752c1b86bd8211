"""A lab as a systemd service: of a user, or hardened for the whole computer.

Options as systemd.service(5), systemd.exec(5) and systemd.kill(5) describe them.
"""

from __future__ import annotations

import os
from pathlib import Path

from tiecoat.extend.loading import announcers_named
from tiecoat.lab.access import MASKS
from tiecoat.lab.lake_address import folder_of
from tiecoat.lab.settings import Lab
from tiecoat.service.health import TOO_OLD_S
from tiecoat.service.plan import (
    AGAIN_S,
    STOP_S,
    SupervisorCommand,
    SupervisorPlan,
    command_of,
    name_of,
    written_outside,
)

SYSTEM_UNITS = Path("/etc/systemd/system")
CACHE = "tiecoat"  # below /var/cache: for the index of a lab on a share
START_S = 180
SERVICE_MB = 2048  # for the service itself, beside what each worker may take
LINGER = (
    "It runs while you are logged in. To have it start with the computer, ask an administrator for:"
    " loginctl enable-linger {}"
)

# Nothing of what this takes away is needed. /home stays readable, as labs and Python lie there; of
# other accounts' processes no more is left than that they live, as it is looked whether a writer
# does.
HARDENING = """\
NoNewPrivileges=yes
ProtectProc=noaccess
CapabilityBoundingSet=
ProtectSystem=strict
ProtectHome=read-only
PrivateTmp=yes
PrivateDevices=yes
ProtectClock=yes
ProtectControlGroups=yes
ProtectHostname=yes
ProtectKernelLogs=yes
ProtectKernelModules=yes
ProtectKernelTunables=yes
LockPersonality=yes
RestrictNamespaces=yes
RestrictRealtime=yes
RestrictSUIDSGID=yes
SystemCallArchitectures=native
SystemCallFilter=@system-service
SystemCallErrorNumber=EPERM
"""


def for_user(lab: Lab, account: str, home: Path) -> SupervisorPlan:
    """Return how a lab becomes a service of a user; needs no administrator."""
    name = f"{name_of(lab.root)}.service"
    units = Path(os.environ.get("XDG_CONFIG_HOME") or home / ".config", "systemd", "user")
    content = _unit(lab, "default.target", "", "NoNewPrivileges=yes\n")
    linger = SupervisorCommand(("loginctl", "enable-linger", account), LINGER.format(account))
    return _plan(name, units / name, content, ("systemctl", "--user"), (linger,))


def for_system(lab: Lab, account: str) -> SupervisorPlan:
    """Return how a lab becomes a service of the computer, with the rights of an account."""
    name = f"{name_of(lab.root)}.service"
    writable = [_quoted(str(lab.root)), *(_quoted(f"-{path}") for path in written_outside(lab))]
    folder = lab.own_readers
    elsewhere = lab.lake is not None and folder_of(lab.lake) is None
    network = " AF_INET AF_INET6" if elsewhere or announcers_named(folder) else ""
    settings = lab.settings
    memory_mb = SERVICE_MB + settings.readers.processes * settings.readers.memory_limit_mb
    sandbox = (
        f"User={account}\nUMask={MASKS[settings.access.readable_by]:04o}\n"
        f"MemoryMax={memory_mb}M\n{HARDENING}"
        f"RestrictAddressFamilies=AF_UNIX{network}\n"
        f"ReadWritePaths={' '.join(writable)}\n"
    )
    if not lab.index.is_relative_to(lab.root):
        sandbox += f"CacheDirectory={CACHE}\nEnvironment=XDG_CACHE_HOME=/var/cache/{CACHE}\n"
    order = f"After=remote-fs.target\nRequiresMountsFor={_quoted(str(lab.root))}\n"
    content = _unit(lab, "multi-user.target", order, sandbox)
    return _plan(name, SYSTEM_UNITS / name, content, ("systemctl",), ())


def _unit(lab: Lab, wanted_by: str, order: str, sandbox: str) -> str:
    # OOMPolicy: a worker that eats memory costs its file, not the service.
    # KillMode: the workers are for the service to end, in their order.
    return f"""\
[Unit]
Description=tiecoat: takes in the exports of {_escaped(str(lab.root))}
StartLimitIntervalSec=0
{order}
[Service]
Type=notify
NotifyAccess=main
ExecStart={exec_line(command_of(lab))}
Restart=on-failure
RestartSec={AGAIN_S}
TimeoutStartSec={START_S}
TimeoutStopSec={STOP_S}
WatchdogSec={TOO_OLD_S:.0f}
KillMode=mixed
OOMPolicy=continue
{sandbox}
[Install]
WantedBy={wanted_by}
"""


def _plan(
    name: str,
    file: Path,
    content: str,
    systemctl: tuple[str, ...],
    more: tuple[SupervisorCommand, ...],
) -> SupervisorPlan:
    reload = SupervisorCommand((*systemctl, "daemon-reload"))
    start = (
        SupervisorCommand((*systemctl, "enable", name)),
        SupervisorCommand((*systemctl, "restart", name)),
    )
    return SupervisorPlan(
        name,
        file,
        content.encode(),
        keep=True,
        install=(reload, *start, *more),
        remove=(SupervisorCommand((*systemctl, "disable", "--now", name), "it was not running"),),
        after=(reload,),
    )


def exec_line(command: tuple[str, ...]) -> str:
    """Return a command as ExecStart= takes it: each word quoted, % and $ doubled."""
    return " ".join(_quoted(word).replace("$", "$$") for word in command)


def _quoted(text: str) -> str:
    inside = _escaped(text).replace("\\", "\\\\").replace('"', '\\"')
    return f'"{inside}"'


def _escaped(text: str) -> str:
    return text.replace("%", "%%")
