"""The watched folders of a lab: in reach or not, and what has settled in them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from tiecoat.intake.settle import Arrival, Print, Settler
from tiecoat.intake.watch import Watch
from tiecoat.lab import Inbox, Lab

POLL_S = 2.0  # how often a polled folder is looked at
SHORTEST_S = 0.1  # between two scans, however many events ring


def settler_of(lab: Lab, inbox: Inbox) -> Settler:
    """Return the settler of a watched folder as the settings have it."""
    intake = lab.settings.intake
    quiet_s = intake.settle_s if inbox.settle_s is None else inbox.settle_s
    return Settler(lab.inbox_path(inbox), quiet_s, intake.ignore, inbox.after == "leave")


class Box:
    """One watched folder.

    Parameters
    ----------
    lab, inbox
        The lab and the settings of this folder.
    say
        Called with a line when the folder gets out of reach, or back, or cannot be watched.
    ring
        Called from another thread when an event was heard. None where nobody waits for one: then
        the folder is scanned and not watched.

    `complaint` is what is in the way at the moment, or nothing.
    """

    def __init__(
        self,
        lab: Lab,
        inbox: Inbox,
        say: Callable[[str], None],
        ring: Callable[[], None] | None = None,
    ) -> None:
        self.settler = settler_of(lab, inbox)
        self._ring = ring if inbox.watch == "native" else None
        self._beat_s = lab.settings.intake.scan_s if self._ring else POLL_S
        self._say = say
        self._watch: Watch | None = None
        self.complaint = ""
        self._last = float("-inf")
        self._heard = False

    def scan(self, now: float, taken: Mapping[Path, Print]) -> list[Arrival]:
        """Return what has settled, if it is time to look; watch first, then scan."""
        self._listen(now)
        if now < self.next_look():
            return []
        self._last, self._heard = now, False
        complaint = self._watched()
        settled: list[Arrival] = []
        try:
            settled = self.settler.scan(now, taken)
        except OSError as error:
            complaint = f"the inbox {self.settler.inbox} is out of reach ({error.strerror})"
        if self.settler.unreadable and not complaint:
            some = ", ".join(str(path) for path in sorted(self.settler.unreadable)[:3])
            complaint = f"no permission to look into {some}"
        self._complain(complaint)
        return settled

    def next_look(self) -> float:
        """Return the monotonic time of the next look that is due."""
        if self._heard:
            return self._last + SHORTEST_S
        due = self.settler.due()
        beat = self._last + self._beat_s
        return beat if due is None else max(min(due, beat), self._last + SHORTEST_S)

    def close(self) -> None:
        """Stop watching."""
        if self._watch:
            self._watch.close()
            self._watch = None

    def _listen(self, now: float) -> None:
        for path in self._watch.touched() if self._watch else ():
            self.settler.touched(path, now)
            self._heard = True

    def _watched(self) -> str:
        """See to it that the folder is watched; return what stands in the way, or nothing."""
        if not self._ring or (self._watch and self._watch.sound()):
            return ""
        self.close()
        try:
            self._watch = Watch(self.settler.inbox, self._ring)
        except FileNotFoundError:
            return f"the inbox {self.settler.inbox} is out of reach (there is no such folder)"
        except OSError as error:
            return f"{self.settler.inbox} cannot be watched ({error.strerror}); scanning it instead"
        return ""

    def _complain(self, complaint: str) -> None:
        if complaint != self.complaint:
            self._say(complaint or f"the inbox {self.settler.inbox} is in reach")
        self.complaint = complaint
