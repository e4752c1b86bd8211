"""Index, workers and intake of a lab, open together for whoever takes anything in."""

from __future__ import annotations

import contextlib
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager

from tiecoat.archive.index.cache import Index, original_in
from tiecoat.archive.index.lacking import lost_journal
from tiecoat.archive.lock import write_lock
from tiecoat.archive.opening import cut_short, open_index
from tiecoat.archive.words import Became
from tiecoat.contract.changes import KindLoaded
from tiecoat.contract.companions import Companions
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveFault, UnknownName
from tiecoat.intake.filing.entry import Decision
from tiecoat.intake.filing.intents import unfinished
from tiecoat.intake.filing.kinds import NotFiled
from tiecoat.intake.held.assigned import Assigned
from tiecoat.intake.held.files import WAIT, WAIT_FOR_KIND, Held, drop_held, held_notes, list_held
from tiecoat.intake.inboxes.boxes import Box
from tiecoat.intake.inboxes.later_looks import Fate
from tiecoat.intake.inboxes.notes import keep_notes
from tiecoat.intake.inboxes.pace import Paces
from tiecoat.intake.inboxes.preserve import original_of
from tiecoat.intake.intake import Intake
from tiecoat.intake.outcome import FileStatus, Outcome, Pulse, Teller
from tiecoat.intake.unfinished import Unfinished
from tiecoat.intake.upgrading import follow_kinds
from tiecoat.intake.workers.pool import ReaderPool
from tiecoat.lab.settings import Lab
from tiecoat.wording import counted

BUSY_S = 0.05
PROGRESS_S = 5.0  # between two lines on how far an upgrade is


class Desk:
    """Index, workers and intake, open together."""

    def __init__(
        self, lab: Lab, index: Index, pool: ReaderPool, teller: Teller, *, patient: bool
    ) -> None:
        self.lab = lab
        self._index = index
        self._teller = teller
        self._may_be_freed = False
        self.remarked = index.remarked()
        self._comes_again = False  # a file whose original was changed, or that has gone on
        self._again: set[str] = set()  # held files that are tried again by themselves
        self._pool = pool
        self._followed: Mapping[str, KindLoaded] = {}  # the kinds that tables have followed
        self._refused: Mapping[str, str] = {}  # kinds that are not filed, and why
        self._not_filed = NotFiled()
        self._doubt = ""  # of the journal
        self._next_look = time.monotonic()
        self._paces = Paces(index)
        unfinished = Unfinished(self._paces, patient=patient)
        self.intake = Intake(
            lab,
            index,
            pool,
            self._tell,
            say=teller.say,
            unfinished=unfinished,
            prepare=self.follow_kinds,
        )

    def boxes(self, ring: Callable[[], None] | None = None) -> list[Box]:
        """Return the inboxes of the lab; see `Box` for `ring`."""
        return [
            Box(
                lab,
                inbox,
                self._teller.say,
                ring,
                self._paces.of(lab.inbox_path(inbox)),
                rules=lambda: self.companions,
            )
            for lab in [self.lab]
            for inbox in lab.settings.inbox
        ]

    @property
    def companions(self) -> tuple[Companions, ...]:
        """What the loaded readers say of files that are one export together."""
        return self._pool.companions

    def look(self, boxes: Sequence[Box], now: float) -> None:
        """Look at the inboxes, and at what was filed from them and may have gone on since.

        Raises
        ------
        ArchiveFault
            If the index refuses.
        """
        for box in boxes:
            self.intake.accept(box.scan(now, self.intake.taken))
        for box in boxes:
            self.intake.looked(box.fates)
            if Fate.CHANGED in box.fates.values():
                self._comes_again = True
                box.look_soon()
        if not self.intake.busy:
            self._paces.keep(box.settler.inbox for box in boxes)
        self._ask_again(boxes)

    def _ask_again(self, boxes: Sequence[Box]) -> None:
        filed = self.intake.due()
        for box in boxes:
            box.look_again(filed.get(box.settler.inbox, []))

    def turn(self) -> None:
        """Move on what can move on; a new register row may free what waited for it.

        Raises
        ------
        LabReplaced
            If the lab is not the one that was opened.
        OSError, ArchiveFault
            If the disk or the archive refuses; the next turn tries again.
        """
        self._index.check_in_place()
        self._look_after_kinds()
        self.intake.step()
        _say_problems(self._pool.left_out(), self._teller)
        if self._may_be_freed and not self.intake.busy:
            self._may_be_freed = False
            self.remarked = self._index.remarked()
            self.retry_waiting()

    def _look_after_kinds(self) -> None:
        """Have tables follow a kind that was changed or mended, also where no file arrives."""
        now = time.monotonic()
        if now >= self._next_look:
            self._next_look = now + self.lab.settings.intake.scan_s
            self._pool.follow_readers()
            self._doubt = " ".join(lost_journal(self.lab, self._index).split("\n"))
        before = self._followed
        if self._pool.kinds:
            self.follow_kinds()
        self._may_be_freed |= bool(before) and self._followed is not before

    @property
    def troubles(self) -> tuple[str, ...]:
        """What is in the way of the archive: kinds that are not filed, a journal that was lost."""
        kinds = (f"nothing is filed of {kind}: {why}" for kind, why in self._refused.items())
        return (*kinds, *filter(None, (self._doubt,)))

    def load(self) -> None:
        """Have the readers loaded, and say what is left out.

        Raises
        ------
        PluginNotLoaded, OSError
            If that does not come to an end, or the system lets no worker live.
        """
        self._pool.load()
        self.follow_kinds()

    def follow_kinds(self) -> NotFiled:
        """Have tables follow what has changed of their kinds since they were written.

        That is looked at once the kinds are loaded, and whenever they are loaded anew.

        Returns
        -------
        NotFiled
            The kinds of which nothing is filed though their tables are as they are.

        Raises
        ------
        OSError, LabInUse
            If the disk refuses, or another process is writing.
        """
        _say_problems(self._pool.left_out(), self._teller)
        if self._pool.kinds is self._followed:
            return self._not_filed
        loaded, told = self._pool.kinds, _UpgradeTold(self._teller)
        found = follow_kinds(self.lab, self._index, self._pool, told)
        self._followed, self._refused = loaded, found.refused
        broken = {kind: found.refused[kind] for kind in found.broken}
        gone = set(self._index.kinds()) - loaded.keys()
        self._not_filed = NotFiled(broken, tuple(sorted(gone)))
        for kind, changes in found.changes.items():
            self._teller.say(f"the kind {kind} has changed, and what is filed follows: {changes}")
        for kind, why in found.refused.items():
            self._teller.say(f"the tables of {kind} stay as they are, and nothing is filed: {why}")
        return self._not_filed

    def rest(self) -> None:
        """Take less of the machine while there is nothing to do."""
        if not self.intake.busy:
            self._pool.rest()

    def look_again(self, boxes: Sequence[Box]) -> bool:
        """Have inboxes looked at if they have a file which could not be finished, or has gone on.

        What was filed and is due to be looked at again is then looked at too.
        """
        self._ask_again(boxes)
        again, self._comes_again = self._comes_again, False
        if again:
            for box in boxes:
                box.look_soon()
        return again

    def clean_up(self) -> None:
        """Delete what a turn that was refused has left half made: a full disk may lack just that.

        Raises
        ------
        OSError
            If the disk refuses.
        """
        fsio.sweep(self.lab.stage, own=True)

    def complete(self) -> None:
        """Complete what a crash cut short, before anything else can contradict it."""
        for entry in unfinished(self.lab, self._index):
            self.intake.resume(entry)
        try:
            self.finish()
        except (OSError, ArchiveFault) as error:  # they stay in the queue
            self._teller.say(f"what was begun cannot be completed yet: {error}")

    def retry_waiting(self) -> None:
        """Take up again what waits for a register to name its batch or panel, or for its tables.

        At the start too, as the last run may have ended right after a register.
        """
        for held in list_held(self.lab, WAIT):
            if original_of(self.lab, held.sha256):
                self._again.add(held.id)
                self.retry(held, held.assigned)

    def finish(self) -> None:
        """Move everything on to its end."""
        while True:
            self._teller.beat(Pulse("starting", queue=self.intake.queue))
            self.turn()
            if not self.intake.busy:
                return
            self.intake.wait(BUSY_S)

    def retry(self, held: Held, assigned: Assigned, decision: Decision | None = None) -> None:
        """Take a held file up again."""
        original = original_of(self.lab, held.sha256)
        if original is None:
            raise UnknownName(f"the original of {held.name} ({held.sha256}) is not there")
        if fsio.is_file(notes := held_notes(self.lab, held)):  # a person may have changed them
            keep_notes(self.lab, held.sha256, notes.read_bytes())
        self.intake.retry(held, original, assigned, decision)

    def _tell(self, outcome: Outcome) -> None:
        self._may_be_freed |= outcome.registers
        self.remarked += outcome.remarked
        self._comes_again |= outcome.status is FileStatus.DAMAGED
        held = outcome.held
        if held and held.id in self._again and held.reason in WAIT:
            self._again.remove(held.id)  # it waits as before: nothing to tell
            return
        # read by the kind of before, where that was loaded anew meanwhile
        self._may_be_freed |= bool(held and held.reason in WAIT_FOR_KIND)
        self._teller.tell(outcome)


class _UpgradeTold:
    """Tells how far an upgrade is: by a sign of life at each table, and a line now and then."""

    def __init__(self, teller: Teller) -> None:
        self._teller = teller
        self._next = 0.0

    def __call__(self, what: str, done: int, total: int) -> None:
        self._teller.beat(Pulse("starting"))
        if done == total or time.monotonic() >= self._next:
            self._teller.say(f"{what}: {done:,} of {counted(total, 'table')}")
            self._next = time.monotonic() + PROGRESS_S


@contextmanager
def open_desk(lab: Lab, teller: Teller, wake: threading.Event | None = None) -> Iterator[Desk]:
    """Open all of it, and complete what a crash cut short.

    Parameters
    ----------
    wake
        Set whenever a worker has an answer; None for a run that takes in once and waits for no
        more than it must.
    """
    ring = wake.set if wake else lambda: None
    fsio.sweep(lab.stage)
    completes = cut_short(lab) if wake else ""  # a command tells by itself
    with contextlib.closing(open_index(lab)) as index, ReaderPool(lab, ring) as pool:
        if completes:
            teller.say(f"completed what was cut short: {completes}")
        _drop_what_is_over(lab, index, teller)
        desk = Desk(lab, index, pool, teller, patient=wake is not None)
        desk.complete()
        yield desk
        desk.load()  # where there was nothing to read


def _drop_what_is_over(lab: Lab, index: Index, teller: Teller) -> None:
    """Drop holds of files that were filed or discarded by a run that was cut short after that."""
    known = ((held, original_in(index, held.sha256)) for held in list_held(lab))
    over = [held for held, original in known if original and original.outcome is not Became.HELD]
    if over:
        with write_lock(lab):
            for held in over:
                try:
                    if fsio.is_there(lab.held / held.id):
                        drop_held(lab, held.id)
                except OSError as error:  # the next start tries again
                    teller.say(f"{lab.held / held.id} cannot be deleted: {error.strerror}")


def _say_problems(problems: Sequence[str], teller: Teller) -> None:
    for problem in problems:
        teller.say(f"left out: {problem}")
