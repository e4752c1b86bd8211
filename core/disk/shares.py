"""Whether a folder lies on another computer's disk, and where to keep what may not lie there.

A database in SQLite is such a thing: the locks that keep two writers apart do not hold on shares
(sqlite.org, "SQLite over a network").
"""

from __future__ import annotations

import os
import sys
from functools import cache
from pathlib import Path

_OF_SERVERS = ("nfs", "nfs4", "cifs", "smb2", "smb3", "smbfs", "afpfs", "afs", "webdav", "davfs")
_MADE_HERE = ("9p", "virtiofs", "ceph", "glusterfs", "fuse.sshfs", "fuse.davfs", "fuse.rclone")
SHARES = frozenset((*_OF_SERVERS, *_MADE_HERE))  # file systems, as the systems name them


@cache
def share_under(folder: Path) -> str:
    """Return the sort of share that a folder lies on, such as "nfs4"; "" where it is on none.

    Parameters
    ----------
    folder
        Absolute; it need not be there.
    """
    from psutil import disk_partitions

    place = str(folder)
    if place.startswith("\\\\"):
        return "a network path"
    below = [one for one in disk_partitions(all=True) if _is_below(place, one.mountpoint)]
    if not below:
        return ""
    at = max(below, key=lambda one: len(one.mountpoint))
    if "remote" in at.opts.split(","):  # as Windows says
        return "a network drive"
    return at.fstype if at.fstype in SHARES else ""


def cache_folder() -> Path:
    """Return where this account keeps what can be made again, on a disk of this computer."""
    home = Path.home()
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or home / "AppData" / "Local") / "tiecoat"
    if sys.platform == "darwin":
        return home / "Library" / "Caches" / "tiecoat"
    return Path(os.environ.get("XDG_CACHE_HOME") or home / ".cache") / "tiecoat"


def _is_below(place: str, mounted: str) -> bool:
    place, mounted = os.path.normcase(place), os.path.normcase(mounted)
    return (place + os.sep).startswith(mounted.rstrip(os.sep) + os.sep)
