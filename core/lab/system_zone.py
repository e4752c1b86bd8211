"""The time zone that this computer is set to, by its IANA name."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from zoneinfo import ZoneInfo

LOCALTIME, NAMED = Path("/etc/localtime"), Path("/etc/timezone")
# Windows names zones in its own way; of these one name is the zone of each (from memory, as in the
# list that Unicode keeps). Of any other zone a person is asked.
OF_WINDOWS = {
    "UTC": "UTC",
    "GMT Standard Time": "Europe/London",
    "W. Europe Standard Time": "Europe/Berlin",
    "Romance Standard Time": "Europe/Paris",
    "Central Europe Standard Time": "Europe/Budapest",
    "Central European Standard Time": "Europe/Warsaw",
    "FLE Standard Time": "Europe/Kiev",
    "GTB Standard Time": "Europe/Bucharest",
    "Eastern Standard Time": "America/New_York",
    "Central Standard Time": "America/Chicago",
    "Mountain Standard Time": "America/Denver",
    "Pacific Standard Time": "America/Los_Angeles",
    "India Standard Time": "Asia/Kolkata",
    "China Standard Time": "Asia/Shanghai",
    "Tokyo Standard Time": "Asia/Tokyo",
    "Korea Standard Time": "Asia/Seoul",
}


def system_zone() -> str | None:
    """Return the zone, or None where it cannot be told."""
    if sys.platform == "win32":
        return OF_WINDOWS.get(_of_registry())
    set_to = os.environ.get("TZ", "").removeprefix(":")
    link = str(LOCALTIME.resolve()).rpartition("zoneinfo/")[2] if LOCALTIME.is_symlink() else ""
    written = NAMED.read_text(encoding="ascii").strip() if NAMED.is_file() else ""
    for name in (set_to, link, written):
        if name and _is_zone(name):
            return name
    # without any of it the clock shows UTC
    return None if set_to or LOCALTIME.exists() else "UTC"


def _is_zone(name: str) -> bool:
    try:
        return bool(ZoneInfo(name))
    except (LookupError, ValueError, OSError):
        return False


def _of_registry() -> str:
    if sys.platform != "win32":
        return ""
    import winreg

    path = r"SYSTEM\CurrentControlSet\Control\TimeZoneInformation"
    try:
        with winreg.OpenKey(winreg.HKEY_LOCAL_MACHINE, path) as key:
            return str(winreg.QueryValueEx(key, "TimeZoneKeyName")[0])
    except OSError:
        return ""
