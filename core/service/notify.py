"""Telling systemd how the service is: one datagram to the socket that it names.

The protocol is sd_notify(3), which systemd promises to keep stable: lines such as READY=1 in one
datagram to the Unix socket in NOTIFY_SOCKET. Elsewhere nothing listens, and nothing happens.
"""

from __future__ import annotations

import contextlib
import os
import socket

PATIENCE_S = 1.0  # so that a supervisor that does not listen stops nothing


def notify(*lines: str) -> None:
    """Send lines such as "READY=1" to the supervisor, if there is one that listens."""
    place = os.environ.get("NOTIFY_SOCKET", "")
    if not place or not hasattr(socket, "AF_UNIX"):
        return
    address = f"\0{place[1:]}" if place.startswith("@") else place
    with contextlib.suppress(OSError), socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as sender:
        sender.settimeout(PATIENCE_S)
        sender.sendto("\n".join(lines).encode(), address)


def watchdog_s() -> float | None:
    """Return after how many seconds without WATCHDOG=1 the supervisor ends us, or None for never.

    WATCHDOG_USEC counts only if WATCHDOG_PID, where it is set, names this process
    (sd_watchdog_enabled(3)).
    """
    micros, pid = os.environ.get("WATCHDOG_USEC", ""), os.environ.get("WATCHDOG_PID", "")
    if not micros.isdecimal() or int(micros) == 0 or pid not in {"", str(os.getpid())}:
        return None
    return int(micros) / 1e6
