"""The watched folders of a lab: in reach or not, and what has settled in them.

Each look at a folder runs in a thread of its own: a share whose server is lost lets every call
hang, and that must keep neither another inbox nor the end of the service waiting.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future, wait
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import TypeVar

from tiecoat.archive.index.cache import TakenOut
from tiecoat.contract.companions import Companions
from tiecoat.disk.file_print import FilePrint
from tiecoat.intake.inboxes.later_looks import Fate, fate_of
from tiecoat.intake.inboxes.pace import Pace
from tiecoat.intake.inboxes.settle import DONE, Arrival, Settler
from tiecoat.intake.inboxes.watch import Watch
from tiecoat.lab.settings import InboxSettings, Lab
from tiecoat.wording import counted

POLL_S = 2.0  # how often a folder is looked at of which no events are heard
SHORTEST_S = 0.1  # between two scans, however many events ring
GRACE_S = 0.05  # that a look is waited for: most are over by then
SILENT_S = 30.0  # in which a look has met no entry: its folder does not answer
SHOWN = 3  # files in a trouble
TOLD = 10  # entries that are no files and are told one by one
OVERWRITTEN = (
    "{} has become smaller before it was taken in: if another measurement was written over it, what"
    " it held is not kept. The inbox waits no longer than its time to settle from now on; have the"
    " instrument write a file for each measurement"
)
CLOSE_S = 2.0  # that the end waits for what still looks or watches

T = TypeVar("T")


def settler_of(
    lab: Lab, inbox: InboxSettings, pace: Pace | None = None, *, patient: bool = True
) -> Settler:
    """Return the settler of a watched folder as the settings have it."""
    intake = lab.settings.intake
    quiet_s = intake.settle_s if inbox.settle_s is None else inbox.settle_s
    leave = inbox.after == "leave"
    return Settler(lab.inbox_path(inbox), quiet_s, intake.ignore, leave, pace or Pace(), patient)


@dataclass(frozen=True)
class _Look:
    """What one look has found: what has settled, what stood in the way, what will never settle.

    `fates` says what has become of files that were filed before.
    """

    settled: list[Arrival]
    complaint: str
    no_files: Mapping[Path, str]
    overwritten: Sequence[Path]
    fates: Mapping[TakenOut, Fate]


class Box:
    """One watched folder.

    Parameters
    ----------
    lab, inbox
        The lab and the settings of this folder.
    say
        Called with a line when the folder gets out of reach, or back, or cannot be watched.
    ring
        Called from another thread when an event was heard or a slow look is over. None where
        nobody waits for that: then the folder is scanned and not watched.
    pace
        How the last files of the folder were written.
    rules
        Returns what readers say of files that are one export together.

    `complaint` is what is in the way at the moment, or nothing; `fates` is what the last look has
    found of files that were filed.
    """

    def __init__(
        self,
        lab: Lab,
        inbox: InboxSettings,
        say: Callable[[str], None],
        ring: Callable[[], None] | None = None,
        pace: Pace | None = None,
        *,
        rules: Callable[[], Sequence[Companions]] = tuple,
    ) -> None:
        self.settler = settler_of(lab, inbox, pace, patient=ring is not None)
        self._rules = rules
        self._look_at: list[TakenOut] = []
        self.fates: Mapping[TakenOut, Fate] = {}
        self._zone = lab.zone
        self._ring = ring or (lambda: None)
        self._listens = ring is not None and inbox.watch == "native"
        self._beat_s = lab.settings.intake.scan_s if self._listens else POLL_S
        self._say = say
        self._watch: Watch | None = None  # only the thread of a look touches it
        self.complaint = ""
        self._last = float("-inf")
        self._heard = False
        self._under_way: Future[_Look] | None = None
        self._met = 0  # entries that the look has met, when it was last asked for
        self._moved = 0.0  # and since when it has met no more
        self._silent = False
        self._late: list[tuple[Path, str]] = []
        self._no_files: Mapping[Path, str] = {}

    def scan(self, now: float, taken: Callable[[], Mapping[Path, FilePrint]]) -> list[Arrival]:
        """Return what has settled, if a look has found something; begin one if it is time to.

        One look runs at a time. Of a folder that hangs nothing comes until it answers again.

        Parameters
        ----------
        now
            Monotonic time in seconds.
        taken
            Returns the files that need no look, as they were seen.
        """
        self.fates = {}
        if self._under_way is None and now < self.next_look():
            return []
        look = self._under_way or self._begin(now, taken())
        if not look.done():
            self._listen_for_life(now)
            return []
        self._under_way, self._last = None, now
        found = look.result()
        self.fates = found.fates
        self._complain(found.complaint)
        self._tell_no_files(found.no_files)
        for path in found.overwritten:
            self._say(OVERWRITTEN.format(path))
        if self._silent:  # what it saw may be long past: look again
            self._silent, self._heard = False, True
            return []
        # an inbox may lie within another, which has returned the same file meanwhile
        by_now = taken() if found.settled else {}
        return [one for one in found.settled if one.files.items() - by_now.items()]

    def next_look(self) -> float:
        """Return the monotonic time at which there is something to do."""
        if self._under_way:
            return float("inf") if self._silent else self._moved + SILENT_S
        if self._heard:
            return self._last + SHORTEST_S
        due = self.settler.due()
        beat = self._last + (self._beat_s if self._watch else min(self._beat_s, POLL_S))
        return beat if due is None else max(min(due, beat), self._last + SHORTEST_S)

    def troubles(self, now: float) -> tuple[str, ...]:
        """Return what is in the way of the folder, and of files in it that do not settle."""
        late = self.settler.late(now) if self._under_way is None else self._late
        self._late = late
        if not late:
            return (self.complaint,)
        shown = ", ".join(f"{path} ({why})" for path, why in late[:SHOWN])
        more = ", ..." if len(late) > SHOWN else ""
        said = f"{counted(len(late), 'file')} cannot be taken in, trying again: {shown}{more}"
        return self.complaint, said

    @property
    def looking(self) -> bool:
        """Whether a look is under way, or due, that may still come to its end soon."""
        return (self._under_way is not None or self._heard) and not self._silent

    def look_again(self, filed: Sequence[TakenOut]) -> None:
        """Have the next look, which is soon, also look at what was filed."""
        if filed:
            self._look_at += filed
            self._heard = True

    def look_soon(self) -> None:
        """Have the folder looked at as if something had been heard of it."""
        self._heard = True

    def close(self) -> Future[None]:
        """Begin to stop watching; while the folder hangs that comes to no end."""
        return _aside(self._end)

    def _end(self) -> None:
        if self._under_way:
            wait([self._under_way])
        self._stop_watching()

    def _begin(self, now: float, taken: Mapping[Path, FilePrint]) -> Future[_Look]:
        self._heard = False
        self._met, self._moved = self.settler.met, now
        self.settler.rules = self._rules()
        filed, self._look_at = self._look_at, []
        look = self._under_way = _aside(lambda: self._look(now, taken, filed))
        wait([look], GRACE_S)
        if not look.done():
            look.add_done_callback(lambda _: self._ring())
        return look

    def _listen_for_life(self, now: float) -> None:
        """Complain, once, about a look that has met nothing for long."""
        if self._met != self.settler.met:
            self._met, self._moved = self.settler.met, now
        elif now - self._moved >= SILENT_S and not self._silent:
            self._silent = True
            since = datetime.now(self._zone) - timedelta(seconds=now - self._moved)
            why = f"it has not answered since {since:%Y-%m-%d %H:%M}"
            self._complain(f"the inbox {self.settler.inbox} is out of reach ({why})")

    def _complain(self, complaint: str) -> None:
        if complaint != self.complaint:
            self._say(complaint or f"the inbox {self.settler.inbox} is in reach")
        self.complaint = complaint

    def _tell_no_files(self, found: Mapping[Path, str]) -> None:
        """Say, once, what lies there and will never be taken in."""
        new = [path for path in found if path not in self._no_files]
        for path in new[:TOLD]:
            self._say(f"{path} is {found[path]} and no file: it is not taken in")
        if len(new) > TOLD:
            self._say(f"{self.settler.inbox} has {len(new) - TOLD:,} more that are no files")
        self._no_files = found

    # What follows runs in the thread of a look.

    def _look(
        self, now: float, taken: Mapping[Path, FilePrint], filed: Sequence[TakenOut]
    ) -> _Look:
        """Watch first, then scan."""
        for path in self._watch.touched() if self._watch else ():
            self.settler.touched(path, now)
        complaint = self._watched()
        settled: list[Arrival] = []
        fates: dict[TakenOut, Fate] = {}
        try:
            settled = self.settler.scan(now, taken)
        except OSError as error:
            complaint = f"the inbox {self.settler.inbox} is out of reach ({error.strerror})"
        else:
            fates = self._looked_again(filed)
        self.settler.ended(now, time.monotonic())
        if self.settler.unreadable and not complaint:
            every = sorted(self.settler.unreadable.items())
            some = ", ".join(f"{path} ({why})" for path, why in every[:SHOWN])
            complaint = f"cannot look into {some}"
        settler = self.settler
        return _Look(settled, complaint, settler.no_files, [*settler.overwritten], fates)

    def _looked_again(self, filed: Sequence[TakenOut]) -> dict[TakenOut, Fate]:
        """Look at what was filed; what has changed since, out of reach of the scan, is followed."""
        fates = {}
        for one in filed:
            fates[one] = fate = fate_of(one)
            self.settler.met += 1
            if fate is Fate.CHANGED and one.path.is_relative_to(self.settler.inbox / DONE):
                self.settler.again[one.path] = one
        return fates

    def _watched(self) -> str:
        """See to it that the folder is watched; return what stands in the way, or nothing."""
        if not self._listens or (self._watch and self._watch.sound()):
            return ""
        self._stop_watching()
        try:
            self._watch = Watch(self.settler.inbox, self._hear)
        except FileNotFoundError:
            return f"the inbox {self.settler.inbox} is out of reach (there is no such folder)"
        except (OSError, RecursionError) as error:  # folders may go deeper than watchdog can
            why = error.strerror if isinstance(error, OSError) else "its folders go too deep"
            return f"{self.settler.inbox} cannot be watched ({why}); scanning it instead"
        return ""

    def _stop_watching(self) -> None:
        if self._watch:
            self._watch.close()
            self._watch = None

    def _hear(self) -> None:
        self._heard = True
        self._ring()


def close_all(boxes: Sequence[Box]) -> None:
    """Stop watching; what hangs is left behind, as its threads end with the process."""
    for ended in wait([box.close() for box in boxes], CLOSE_S).done:
        ended.result()


def _aside(call: Callable[[], T]) -> Future[T]:
    """Begin a call that may hang, in a thread that not even the end of the process waits for.

    That is why it is no pool: the threads of one are waited for at the end.
    """
    future: Future[T] = Future()

    def run() -> None:
        try:
            future.set_result(call())
        except BaseException as error:  # noqa: BLE001 - whoever asks for the result gets it
            future.set_exception(error)

    threading.Thread(target=run, name="look", daemon=True).start()
    return future
