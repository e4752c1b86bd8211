"""Running intake: as a service until told to stop, once on what waits, or on held files."""

from __future__ import annotations

import contextlib
import os
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path

from tiecoat.archive.index.cache import Index, filed_from, original_in
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import service_lock, write_lock
from tiecoat.archive.opening import open_index
from tiecoat.archive.words import Became, RecordSort
from tiecoat.disk import fsio
from tiecoat.errors import (
    ArchiveFault,
    LabInUse,
    LabReplaced,
    QueryInvalid,
    UnknownName,
    WrittenByNewer,
)
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.filing.entry import Decision, Entry
from tiecoat.intake.filing.intents import unfinished
from tiecoat.intake.held.assigned import Assigned
from tiecoat.intake.held.files import (
    ASSIGN,
    WAIT_FOR_REGISTER,
    Held,
    drop_held,
    held_notes,
    list_held,
)
from tiecoat.intake.inboxes.boxes import Box, close_all, settler_of
from tiecoat.intake.inboxes.notes import keep_notes
from tiecoat.intake.inboxes.preserve import find_original, original_of
from tiecoat.intake.inboxes.settle import look
from tiecoat.intake.intake import Intake
from tiecoat.intake.outcome import FileStatus, Outcome, Pulse, Teller
from tiecoat.intake.workers.pool import ReaderPool
from tiecoat.lab.settings import Lab

IDLE_S = 1.0  # the longest sleep: how soon a stop is obeyed on systems whose waits hide signals
BUSY_S = 0.05
SHOWN = 20  # measurements that a message names
AGAIN_S = 2.0  # between two tries while the disk refuses


def serve(lab: Lab, teller: Teller, stop: threading.Event, wake: threading.Event) -> None:
    """Watch the inboxes and take in what arrives until `stop` is set.

    Parameters
    ----------
    stop, wake
        Set both to end: what is being read then stays in its inbox for the next start.

    Raises
    ------
    LabInUse
        If another service has this lab; the message names its process.
    LabReplaced
        If the lab is not the one that was opened.
    WrittenByNewer
        If a part of it is of a format that is not known here.
    """
    refused = ""
    with ExitStack() as stack:
        locked = False
        while not stop.is_set():
            try:
                if not locked:
                    locked = _locked(lab, stack)
                    teller.beat(Pulse("starting"))
                _serve(lab, teller, stop, wake)
                return
            except (OSError, ArchiveFault) as error:
                if isinstance(error, LabInUse) and not locked:
                    raise
                refused = _say_refused(teller, "start", error, refused)
            except (LabReplaced, WrittenByNewer) as error:  # for the status to say why it ended
                teller.beat(Pulse("stopping", troubles=(str(error),)))
                raise
            teller.beat(Pulse("starting", troubles=(f"cannot start: {refused}",)))
            stop.wait(AGAIN_S)
        teller.beat(Pulse("stopping"))


def _locked(lab: Lab, stack: ExitStack) -> bool:
    """Hold the right to serve a lab until the end."""
    stack.enter_context(service_lock(lab))
    return True


def _serve(lab: Lab, teller: Teller, stop: threading.Event, wake: threading.Event) -> None:
    with _desk(lab, teller, wake) as desk:
        desk.load()
        desk.retry_unregistered()
        boxes = [Box(lab, inbox, teller.say, wake.set) for inbox in lab.settings.inbox]
        try:
            _keep_watch(boxes, desk, teller, stop, wake)
            teller.beat(Pulse("stopping", queue=desk.intake.queue))
        finally:
            close_all(boxes)


def _keep_watch(
    boxes: Sequence[Box], desk: Desk, teller: Teller, stop: threading.Event, wake: threading.Event
) -> None:
    refused = ""
    while not stop.is_set():
        wake.clear()
        now = time.monotonic()
        for box in boxes:
            desk.intake.accept(box.scan(now, desk.intake.taken))
        refused = _turn(desk, teller, refused)
        teller.beat(_pulse(boxes, desk, refused))
        due = min(box.next_look() for box in boxes) - time.monotonic()
        if refused:
            stop.wait(AGAIN_S)
        else:
            desk.rest()
            wake.wait(max(0.0, min(due, BUSY_S if desk.intake.busy else IDLE_S)))


def _turn(desk: Desk, teller: Teller, refused: str) -> str:
    """Move on; if disk or archive refuse, say so once and return why: nothing is lost meanwhile."""
    try:
        if refused:
            desk.clean_up()
        desk.turn()
    except (OSError, ArchiveFault) as error:
        return _say_refused(teller, "go on", error, refused)
    if refused:
        teller.say("going on")
    return ""


def _say_refused(teller: Teller, what: str, error: Exception, before: str) -> str:
    """Say, once, that the disk refuses or the archive, and return why."""
    why = _why(error)
    if why != before:
        teller.say(f"cannot {what}, trying again until it works: {why}")
    return why


def _why(error: Exception) -> str:
    """Say it in the same words at each try: a half-made file has another name each time."""
    if isinstance(error, OSError) and error.strerror and error.filename:
        place = error.filename2 or Path(os.fsdecode(error.filename)).parent
        return f"{error.strerror}: {place}"
    return str(error) or type(error).__name__


def _pulse(boxes: Sequence[Box], desk: Desk, refused: str) -> Pulse:
    now = time.monotonic()
    waiting = sum(len(box.settler.waiting) for box in boxes)
    troubles = (
        refused and f"cannot go on: {refused}",
        *(trouble for box in boxes for trouble in box.troubles(now)),
        *desk.intake.troubles(now),
    )
    told = tuple(filter(None, troubles))
    return Pulse("watching", waiting, desk.intake.queue, told, desk.remarked)


def take(lab: Lab, paths: Sequence[Path], teller: Teller) -> None:
    """Take in the named files, or else everything that waits in the inboxes, and return.

    Raises
    ------
    UnknownName
        If a named file is not there.
    """
    with _desk(lab, teller) as desk:
        settlers = [settler_of(lab, inbox) for inbox in lab.settings.inbox]
        if paths:
            try:
                desk.intake.accept([look(path, settlers) for path in paths])
            except OSError as error:
                raise UnknownName(f"{error.filename}: {error.strerror}") from None
            desk.finish()
            return
        desk.retry_unregistered()
        boxes = [Box(lab, inbox, teller.say) for inbox in lab.settings.inbox]
        patience_s = 2 * max(box.settler.quiet_s for box in boxes) + 1
        end = float("inf")
        waiting: list[Path] = []
        while True:
            now = time.monotonic()
            for box in boxes:
                desk.intake.accept(box.scan(now, desk.intake.taken))
            desk.turn()
            if desk.look_again(boxes):
                end = float("inf")  # what comes again has as long to settle as all else had
            waiting = [path for box in boxes for path in box.settler.waiting]
            teller.beat(_pulse(boxes, desk, ""))
            looking = any(box.looking for box in boxes)
            if not looking:  # a slow folder has been looked at as well
                end = min(end, now + patience_s)
            if not (looking or desk.intake.busy) and (not waiting or now > end):
                break
            if desk.intake.busy:
                desk.intake.wait(BUSY_S)
            else:
                time.sleep(BUSY_S)  # until what waits has settled
        _tell_left(waiting, desk.intake.unread, teller)


def _tell_left(waiting: Sequence[Path], unread: Sequence[tuple[Path, str]], teller: Teller) -> None:
    notes = [(path, "is still being written; left for later") for path in waiting]
    notes += [(path, f"cannot be read and is left for later: {why}") for path, why in unread]
    for path, note in notes:
        teller.tell(Outcome(FileStatus.WAITING, path.name, note=note))


def retry(
    lab: Lab,
    held: Sequence[Held],
    teller: Teller,
    assigned: Assigned | None = None,
    decision: Decision | None = None,
) -> None:
    """Try held files again.

    Parameters
    ----------
    assigned
        Ids that a person gives them now; without, those that were given before.
    decision
        Who wants their values to supersede what the archive holds, and why.

    Raises
    ------
    QueryInvalid
        If ids are given to a file that is held for another reason: nobody would see them then, and
        the next try would file it under them.
    """
    if others := [one for one in held if assigned and one.reason not in ASSIGN]:
        raise QueryInvalid(
            f"{others[0].name} is held for another reason: {others[0].reason.text}; an id mends"
            f" that not. See: tiecoat held show {others[0].id}"
        )
    with _desk(lab, teller) as desk:
        for one in held:
            desk.retry(one, assigned or one.assigned, decision)
        desk.finish()


def refile(lab: Lab, name: str, teller: Teller, assigned: Assigned) -> None:
    """File an export anew that was filed and retracted.

    Parameters
    ----------
    name
        The SHA-256 of its original, or the id of a measurement from it.
    assigned
        Ids that a person gives it now; they take the place of those that it was filed under.

    Raises
    ------
    UnknownName
        If there is no such original, or nothing was filed from it.
    QueryInvalid
        If something of it still counts, or it is held.
    """
    with _desk(lab, teller) as desk:
        desk.refile(name, assigned)
        desk.finish()


class Desk:
    """Index, workers and intake, open together."""

    def __init__(self, lab: Lab, index: Index, pool: ReaderPool, teller: Teller) -> None:
        self._lab = lab
        self._index = index
        self._teller = teller
        self._registered = False
        self.remarked = index.remarked()
        self._comes_again = False  # a file whose original was changed: the inbox has it still
        self._again: set[str] = set()  # held files that are tried again by themselves
        self._pool = pool
        self.intake = Intake(lab, index, pool, self._tell, say=teller.say)

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
        self.intake.step()
        _say_problems(self._pool.left_out(), self._teller)
        if self._registered and not self.intake.busy:
            self._registered = False
            self.remarked = self._index.remarked()
            self.retry_unregistered()

    def load(self) -> None:
        """Have the readers loaded, and say what is left out.

        Raises
        ------
        PluginNotLoaded, OSError
            If that does not come to an end, or the system lets no worker live.
        """
        self._pool.load()
        _say_problems(self._pool.left_out(), self._teller)

    def rest(self) -> None:
        """Take less of the machine while there is nothing to do."""
        if not self.intake.busy:
            self._pool.rest()

    def look_again(self, boxes: Sequence[Box]) -> bool:
        """Have inboxes looked at if they still have a file which could not be finished."""
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
        fsio.sweep(self._lab.stage, own=True)

    def complete(self) -> None:
        """Complete what a crash cut short, before anything else can contradict it."""
        for entry in unfinished(self._lab):
            self.intake.resume(entry)
        try:
            self.finish()
        except (OSError, ArchiveFault) as error:  # they stay in the queue
            self._teller.say(f"what was begun cannot be completed yet: {error}")

    def retry_unregistered(self) -> None:
        """Take up again what waits for the register to name its batch or panel.

        At the start too, as the last run may have ended right after a register.
        """
        for held in list_held(self._lab):
            if held.reason in WAIT_FOR_REGISTER and original_of(self._lab, held.sha256):
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
        original = original_of(self._lab, held.sha256)
        if original is None:
            raise UnknownName(f"the original of {held.name} ({held.sha256}) is not there")
        if fsio.is_file(notes := held_notes(self._lab, held)):  # a person may have changed them
            keep_notes(self._lab, held.sha256, notes.read_bytes())
        self.intake.retry(held, original, assigned, decision)

    def refile(self, name: str, assigned: Assigned) -> None:
        """Take up an export again of which everything has been retracted."""
        original = find_original(self._lab, name)
        sha256 = original.parent.name
        before = original_in(self._index, sha256)
        if before and before.held_id:
            raise QueryInvalid(f"it is held already; see: tiecoat held show {before.held_id}")
        filed = filed_from(self._index, sha256)
        records = [one for one in Journal(self._lab).read() if one.get("sha256") == sha256]
        said = [one for one in records if RecordSort.of(one.get("event")) is RecordSort.FILED]
        if not (filed and said):
            raise UnknownName(f"nothing was filed from {original}; put a copy into an inbox")
        if valid := [one.measurement for one in filed if one.withdrawn is None]:
            named = " ".join(valid[:SHOWN])
            first = f'tiecoat retract {named} --why "..."'
            raise QueryInvalid(f"some of it still counts; first: {first}")
        again = 1 + max(one.get("again", 0) for one in records)
        name, folder = said[-1]["name"], said[-1].get("folder", "")
        file = ExportFile(original, name, folder, sha256, again=again)
        self.intake.resume(Entry(file, [], assigned))

    def _tell(self, outcome: Outcome) -> None:
        self._registered |= outcome.registers
        self.remarked += outcome.remarked
        self._comes_again |= outcome.status is FileStatus.DAMAGED
        held = outcome.held
        if held and held.id in self._again and held.reason in WAIT_FOR_REGISTER:
            self._again.remove(held.id)  # it waits as before: nothing to tell
            return
        self._teller.tell(outcome)


@contextmanager
def _desk(lab: Lab, teller: Teller, wake: threading.Event | None = None) -> Iterator[Desk]:
    ring = wake.set if wake else lambda: None
    fsio.sweep(lab.stage)
    with contextlib.closing(open_index(lab)) as index, ReaderPool(lab, ring) as pool:
        _drop_what_is_over(lab, index, teller)
        desk = Desk(lab, index, pool, teller)
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
