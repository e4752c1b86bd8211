"""What tells a file from a changed one without reading it."""

from __future__ import annotations

import os
from typing import TypeAlias

from tiecoat.disk import fsio

FilePrint: TypeAlias = tuple[int, int, int]  # size in bytes, mtime in ns, inode (Windows: 0)


def print_of(status: os.stat_result) -> FilePrint:
    """Return what must stay the same; on Windows a listing has no inode, so none is compared."""
    return status.st_size, status.st_mtime_ns, 0 if fsio.WINDOWS else status.st_ino
