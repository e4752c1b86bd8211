"""What may change under a running service: the settings of its lab, and the room on its disk."""

from __future__ import annotations

import shutil
import time
from collections.abc import Callable
from dataclasses import dataclass

from tiecoat.disk.file_print import FilePrint, print_of
from tiecoat.errors import NotPossibleHere, TiecoatError
from tiecoat.lab.settings import SETTINGS, Lab, open_lab
from tiecoat.wording import shortened

LOOK_S = 1.0  # between two looks; the settings count once two have seen them the same
LAST_SHARE = 0.1  # of the room that is told: with less, nothing more is taken in


class SettingsWatch:
    """Looks whether the settings of a lab have changed since it was opened.

    `trouble` says why what stands there now cannot be used.

    Parameters
    ----------
    clock
        Monotonic time in seconds.
    """

    def __init__(self, lab: Lab, clock: Callable[[], float] = time.monotonic) -> None:
        self._lab = lab
        self._clock = clock
        self._next = float("-inf")
        self._seen: FilePrint | None = None
        self._read: FilePrint | None = None  # what `trouble` is about
        self.trouble = ""

    def changed(self) -> Lab | None:
        """Return the lab with its new settings, once they can be used; else None."""
        if self._clock() < self._next:
            return None
        self._next = self._clock() + LOOK_S
        before, self._seen = self._seen, self._print()
        if self._seen is None or self._seen != before or self._seen == self._read:
            return None
        self._read = self._seen
        try:
            lab = open_lab(self._lab.root)
        except TiecoatError as error:
            why = shortened(" ".join(str(error).split()))
            self.trouble = f"the changed settings cannot be used, those of before count on: {why}"
            return None
        self.trouble = ""
        return lab if lab.reading.text != self._lab.reading.text else None

    def _print(self) -> FilePrint | None:
        try:
            return print_of((self._lab.root / SETTINGS).stat())
        except OSError:  # being replaced, or the lab is out of reach: told elsewhere
            return None


@dataclass(frozen=True)
class DiskRoom:
    """How much room the disk of a lab has, against what its settings ask for."""

    free_mb: float
    told_mb: float

    @property
    def lacks(self) -> bool:
        """Whether it is so little that nothing more is taken in."""
        return self.free_mb < LAST_SHARE * self.told_mb

    @property
    def trouble(self) -> str:
        """What is to be told; "" if there is enough."""
        if self.free_mb >= self.told_mb:
            return ""
        stopped = "nothing is taken in until there is more; " if self.lacks else ""
        said = f"the disk of the lab has {self.free_mb:,.0f} MB left, "
        return f"{said}{stopped}intake.free_mb is {self.told_mb:,.0f}"


def room_of(lab: Lab) -> DiskRoom:
    """Return how much room there is. A disk that does not say counts as having enough."""
    told_mb = lab.settings.intake.free_mb
    try:
        return DiskRoom(shutil.disk_usage(lab.root).free / 1e6, told_mb)
    except OSError:
        return DiskRoom(told_mb, told_mb)


def check_room(lab: Lab) -> None:
    """Check that there is room to take anything in.

    Raises
    ------
    NotPossibleHere
        If there is not.
    """
    if (room := room_of(lab)).lacks:
        raise NotPossibleHere(room.trouble)
