"""What is dear to make and only looked at: made once for all test processes of a run."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from filelock import FileLock

T = TypeVar("T")


class SharedWork:
    """Has a thing made by the process that asks first; the others wait for it.

    Parameters
    ----------
    place
        A folder of this run that all its processes have in common.
    """

    def __init__(self, place: Path) -> None:
        self._place = place

    def once(self, name: str, make: Callable[[Path], T]) -> T:
        """Return what `make` returns, each time a copy of it that may be changed.

        Parameters
        ----------
        make
            Gets a folder for what it writes; that is the same for all, and only to be read.
        """
        folder = self._place / name
        kept = folder.with_suffix(".pickle")
        with FileLock(folder.with_suffix(".lock")):
            if not kept.exists():
                folder.mkdir()
                kept.write_bytes(pickle.dumps(make(folder)))
        found: T = pickle.loads(kept.read_bytes())
        return found
