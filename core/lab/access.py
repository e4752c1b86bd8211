"""Who may read what a lab keeps, on computers that several accounts share.

On Windows the access list of the folder says so, and new files take it over; nothing is done there.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache

from tiecoat.lab.settings import ReadableBy

MASKS: dict[ReadableBy, int] = {"owner": 0o077, "group": 0o027, "everybody": 0o022}


def keep_from_others(readable_by: ReadableBy) -> None:
    """Have whatever this process and its children write from now on readable by no others.

    What the account itself keeps from others (its umask) stays so.
    """
    os.umask(_at_start() | MASKS[readable_by])


@contextmanager
def kept_from_others(readable_by: ReadableBy) -> Iterator[None]:
    """Have what is written in here readable by no others."""
    before = os.umask(_at_start() | MASKS[readable_by])
    try:
        yield
    finally:
        os.umask(before)


@cache
def _at_start() -> int:
    found = os.umask(0o077)
    os.umask(found)
    return found
