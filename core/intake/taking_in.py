"""Running intake: as a service until told to stop, once on what waits, or on held files."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path

from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import service_lock
from tiecoat.contract.companions import Companions
from tiecoat.disk import fsio
from tiecoat.disk.file_print import print_of
from tiecoat.errors import (
    ArchiveFault,
    InboxOutOfReach,
    LabInUse,
    LabReplaced,
    QueryInvalid,
    UnknownName,
    WrittenByNewer,
)
from tiecoat.intake.desk import BUSY_S, Desk, open_desk
from tiecoat.intake.filing.entry import Decision
from tiecoat.intake.held.assigned import Assigned
from tiecoat.intake.held.files import ASSIGN, Held
from tiecoat.intake.inboxes.boxes import Box, close_all, settler_of
from tiecoat.intake.inboxes.settle import WRITING, Arrival, Settler, look, look_together
from tiecoat.intake.lab_watch import SettingsWatch, check_room, room_of
from tiecoat.intake.outcome import FileStatus, Outcome, Pulse, Teller
from tiecoat.intake.refiling import Refiling
from tiecoat.lab.access import keep_from_others
from tiecoat.lab.settings import Lab

IDLE_S = 1.0  # the longest sleep: how soon a stop is obeyed on systems whose waits hide signals
MORE_S = 3.0  # than it needs to settle: so long a run that takes in once waits for a file
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
                while changed := _serve(lab, teller, stop, wake):
                    lab = changed
                    keep_from_others(lab.settings.access.readable_by)
                    teller.follow(lab)
                    teller.say("the settings have changed: going on with the new ones")
                return
            except (OSError, ArchiveFault) as error:
                if isinstance(error, LabInUse) and not locked:
                    raise
                refused = _say_refused(teller, "start", _why(error), refused)
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


def _serve(lab: Lab, teller: Teller, stop: threading.Event, wake: threading.Event) -> Lab | None:
    """Serve until told to stop, or until the settings change: then return the lab with them."""
    with open_desk(lab, teller, wake) as desk:
        desk.load()
        desk.retry_waiting()
        boxes = desk.boxes(wake.set)
        try:
            changed = _keep_watch(boxes, desk, teller, stop, wake)
            if changed is None:
                teller.beat(Pulse("stopping", queue=desk.intake.queue))
            return changed
        finally:
            close_all(boxes)


def _keep_watch(
    boxes: Sequence[Box],
    desk: Desk,
    teller: Teller,
    stop: threading.Event,
    wake: threading.Event,
) -> Lab | None:
    refused = wrong = ""
    settings = SettingsWatch(desk.lab)
    while not stop.is_set():
        wake.clear()
        if changed := settings.changed():
            return changed
        if settings.trouble != wrong:
            wrong = settings.trouble
            teller.say(wrong or "the settings are in order again")
        room = room_of(desk.lab)
        if room.lacks:
            refused = _say_refused(teller, "go on", room.trouble, refused)
        else:
            refused = _turn(boxes, desk, teller, refused)
        told = () if room.lacks else (room.trouble,)
        teller.beat(_pulse(boxes, desk, refused, (settings.trouble, *told)))
        due = min(box.next_look() for box in boxes) - time.monotonic()
        if refused:
            stop.wait(AGAIN_S)
        else:
            desk.rest()
            wake.wait(max(0.0, min(due, BUSY_S if desk.intake.busy else IDLE_S)))
    return None


def _turn(boxes: Sequence[Box], desk: Desk, teller: Teller, refused: str) -> str:
    """Move on; if disk or archive refuse, say so once and return why: nothing is lost meanwhile."""
    try:
        if refused:
            desk.clean_up()
        desk.look(boxes, time.monotonic())
        desk.turn()
    except (OSError, ArchiveFault) as error:
        return _say_refused(teller, "go on", _why(error), refused)
    if refused:
        teller.say("going on")
    return ""


def _say_refused(teller: Teller, what: str, why: str, before: str) -> str:
    """Say, once, that the disk refuses or the archive, and return why."""
    if why != before:
        teller.say(f"cannot {what}, trying again until it works: {why}")
    return why


def _why(error: Exception) -> str:
    """Say it in the same words at each try: a half-made file has another name each time."""
    if isinstance(error, OSError) and error.strerror and error.filename:
        place = error.filename2 or Path(os.fsdecode(error.filename)).parent
        return f"{error.strerror}: {place}"
    return str(error) or type(error).__name__


def _pulse(boxes: Sequence[Box], desk: Desk, refused: str = "", more: Sequence[str] = ()) -> Pulse:
    now = time.monotonic()
    waiting = sum(len(box.settler.waiting) for box in boxes) + desk.intake.kept_back
    troubles = (
        refused and f"cannot go on: {refused}",
        *more,
        *desk.troubles,
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
    InboxOutOfReach
        If an inbox cannot be looked into; what waits in the others is taken in.
    NotPossibleHere
        If the disk of the lab has too little room.
    """
    check_room(lab)
    with open_desk(lab, teller) as desk:
        settlers = [settler_of(lab, inbox) for inbox in lab.settings.inbox]
        if paths:
            try:
                desk.load()
                named = [_named(lab, path, settlers, desk.companions) for path in paths]
                desk.intake.accept([*{one.path: one for one in named}.values()])
            except OSError as error:
                raise UnknownName(f"{error.filename}: {error.strerror}") from None
            desk.finish()
            return
        desk.load()
        desk.retry_waiting()
        boxes = desk.boxes()
        patience_s = max(box.settler.patience_s for box in boxes) + MORE_S
        end = float("inf")
        waiting: list[tuple[Path, str]] = []
        while True:
            now = time.monotonic()
            desk.look(boxes, now)
            desk.turn()
            if desk.look_again(boxes):
                end = float("inf")  # what comes again has as long to settle as all else had
            waiting = [
                (path, box.settler.why(path)) for box in boxes for path in box.settler.waiting
            ]
            teller.beat(_pulse(boxes, desk))
            looking = any(box.looking for box in boxes)
            if not looking:  # a slow folder has been looked at as well
                end = min(end, now + patience_s)
            late = now > end + max(box.settler.awaits_s for box in boxes)
            if not (looking or desk.intake.busy) and (not waiting or late):
                break
            if desk.intake.busy:
                desk.intake.wait(BUSY_S)
            else:
                time.sleep(BUSY_S)  # until what waits has settled
        _tell_left(waiting, desk.intake.unread, teller)
        if complaints := [box.complaint for box in boxes if box.complaint]:
            raise InboxOutOfReach("\n".join(["not everything was taken in:", *complaints]))


def _named(
    lab: Lab, path: Path, settlers: Sequence[Settler], rules: Sequence[Companions]
) -> Arrival:
    """Return what was named; an original with the folder it came in, as that may say its ids."""
    path = path.absolute()
    if not path.is_relative_to(lab.originals):
        return look_together(path, settlers, rules)[0]
    one = look(fsio.main_of(path), settlers)
    if fsio.is_folder(path):
        others = [each for each in fsio.paths_in(path) if each != one.path]
        one = replace(one, companions=tuple((each, print_of(each.stat())) for each in others))
    sha256 = path.parent.name
    said = [line.get("folder", "") for line in Journal(lab).read() if line.get("sha256") == sha256]
    return replace(one, folder=said[-1]) if said else one


def _tell_left(
    waiting: Sequence[tuple[Path, str]], unread: Sequence[tuple[Path, str]], teller: Teller
) -> None:
    still = {WRITING: "is still being written; left for later"}
    notes = [(path, still.get(why, f"is left for later: {why}")) for path, why in waiting]
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
    with open_desk(lab, teller) as desk:
        for one in held:
            desk.retry(one, assigned or one.assigned, decision)
        desk.finish()


def retry_taught(
    lab: Lab, held: Sequence[Held], teller: Teller, ids: Mapping[str, Assigned]
) -> None:
    """Try held files again whose layout was taught.

    Parameters
    ----------
    ids
        Id of a held file -> the ids that a person gives it, of which it was seen that with the
        layout they are all it lacks.
    """
    with open_desk(lab, teller) as desk:
        for one in held:
            desk.retry(one, ids.get(one.id, one.assigned))
        desk.finish()


def refile(lab: Lab, refiling: Refiling, teller: Teller) -> None:
    """File exports anew that were filed and retracted, or are on record to be."""
    with open_desk(lab, teller) as desk:  # what is on record is done by now
        for entry in refiling.entries if not refiling.counting else ():
            desk.intake.resume(entry)
        desk.finish()
