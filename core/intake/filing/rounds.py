"""A round: read exports get their batch and panel, go into the tables together, or are held."""

from __future__ import annotations

import hashlib
import os
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import tzinfo
from itertools import groupby
from pathlib import Path
from typing import Any, assert_never

import pyarrow as pa
import pyarrow.compute as pc

from tiecoat.archive.index.cache import Index, is_retracted, original_in
from tiecoat.archive.index.following import follow
from tiecoat.archive.index.lacking import note_journal
from tiecoat.archive.journal.records import OF_SEVERAL, Journal
from tiecoat.archive.lock import write_lock
from tiecoat.archive.plan import Conflict, StoreAnswer
from tiecoat.archive.store import Filed, Incoming, Store
from tiecoat.archive.tables.contents import as_tables
from tiecoat.archive.tables.describe import in_words
from tiecoat.archive.words import Became, RecordSort
from tiecoat.dialect.export import Export
from tiecoat.disk import fsio
from tiecoat.disk.steps import reached
from tiecoat.errors import FileHeld, OriginalChanged, UnknownName
from tiecoat.intake.checks.checker import Checker, remarks_in
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.filing.continuing import Continuing
from tiecoat.intake.filing.entry import Entry
from tiecoat.intake.filing.gone import GoneKinds
from tiecoat.intake.filing.intents import begin
from tiecoat.intake.filing.keying import Keyer
from tiecoat.intake.filing.kinds import KindsAsFiled, NotFiled
from tiecoat.intake.filing.look_alikes import LookAlikes
from tiecoat.intake.filing.read import Read
from tiecoat.intake.filing.registered import keyer_of
from tiecoat.intake.held.assigned import Assigned, refile_command
from tiecoat.intake.held.files import Held, drop_held, find_held, hold, write_held
from tiecoat.intake.inboxes.again import TriedAgain
from tiecoat.intake.outcome import FileStatus, Outcome
from tiecoat.intake.workers.answers import Keys
from tiecoat.lab.settings import Lab
from tiecoat.lab.shaping import digest_of, shaping, zones_of
from tiecoat.reasons import FAULTS_KEPT, Fault, Reason, once_each
from tiecoat.remarks import summed

NOTHING_REFUSED = NotFiled()
NOBODY_SAYS = (Reason.NO_BATCH, Reason.NO_PANEL)
IN = "every determination in it is in the archive already, with the same values"
Ids = dict[str, tuple[str, str | None]]  # measurement -> batch, panel


class Filer:
    """Files rounds of read exports under the lab's write lock.

    Parameters
    ----------
    say
        Called with a line for each hold that is over and cannot be taken away, and for each id that
        may be confused with another.
    in_order
        Whether a register, too, waits for what came before it.
    """

    def __init__(
        self, lab: Lab, index: Index, say: Callable[[str], None], *, in_order: bool = False
    ) -> None:
        self._in_order = in_order
        self._over: TriedAgain[str] = TriedAgain("is held no longer and cannot be deleted", say)
        self._lab = lab
        self._index = index
        self._journal = Journal(lab)
        told = index.settings()
        self._store = Store(lab, index, zones_of(lab, told.values()))
        self._keyer = keyer_of(lab, index)
        self._checker = Checker(lab, index)
        self._alikes = LookAlikes(index)
        self._continuing = Continuing(lab, index)
        self._say = say
        self._shaping = shaping(lab)
        self._shaped_by = digest_of(self._shaping)
        self._told_shaping = self._shaped_by in told

    def known(self, entry: Entry) -> Outcome | None:
        """Return what to tell if these bytes were filed, held or discarded before, else None.

        So for what was filed and is not in its table any more: it is filed again.
        """
        before = original_in(self._index, entry.file.sha256)
        if before is None or entry.held is not None or entry.file.again:
            return None
        if self._index.lacks_of(entry.file.sha256):  # its rows are lost, and come again by it
            return None
        if before.outcome is Became.HELD and before.held_id:
            try:
                held = find_held(self._lab, before.held_id)
            except UnknownName:  # somebody took the folder away by hand: it is new again
                return None
            note = "the same content is held already"
            return Outcome(FileStatus.HELD, entry.file.name, held=held, note=note)
        note = f"{before.outcome} before, as {before.name}"
        if before.outcome is Became.FILED and is_retracted(self._index, entry.file.sha256):
            note += f", and retracted; to file it anew: {refile_command(entry.file.sha256[:16])}"
        return Outcome(FileStatus.KNOWN, entry.file.name, note=note)

    @property
    def troubles(self) -> tuple[str, ...]:
        """Which holds are over and cannot be taken away."""
        return self._over.troubles

    def again(self) -> None:
        """Try again to take away what is held no longer."""
        for held_id in self._over.due():
            self._release(held_id)

    def _release(self, held_id: str) -> None:
        place = self._lab.held / held_id
        try:
            if fsio.is_there(place):
                drop_held(self._lab, held_id)
        except OSError as error:
            self._over.failed(place, held_id, error.strerror or str(error))
            return
        self._over.done(place)
        reached("released")

    def record_overtaken(self, file: ExportFile, by: str | None = None) -> None:
        """Write into the journal that nothing comes of bytes, as their file has gone on as others.

        Parameters
        ----------
        by
            The SHA-256 of those; None where only their names are known.
        """
        record = {"event": RecordSort.OVERTAKEN, "name": file.name, "sha256": file.sha256}
        self._journal.append([record | ({"by": by} if by else {})])

    def file(
        self, reads: Sequence[Read], refused: NotFiled = NOTHING_REFUSED
    ) -> list[tuple[Entry, Outcome]]:
        """File what can be filed, hold the rest, write the journal.

        Parameters
        ----------
        reads
            In the order of arrival: of two that contradict each other the first is filed.
        refused
            The kinds of which nothing is filed.

        Returns
        -------
        list
            Each entry and what became of it.
        """
        done: list[tuple[Entry, Outcome]] = []
        with write_lock(self._lab):
            fresh = []
            for read in reads:
                if outcome := self.known(read.entry):  # filed by another process meanwhile
                    done.append((read.entry, outcome))
                else:
                    fresh.append(read)
            if not self._in_order:  # a panel may be registered in the same round
                fresh.sort(key=_is_register, reverse=True)
            for _, group in groupby(fresh, _is_register):
                done += self._file_group(list(group), refused)
        return done

    def _file_group(self, reads: Sequence[Read], refused: NotFiled) -> list[tuple[Entry, Outcome]]:
        done: list[tuple[Read, Outcome, Filed | None]] = []
        named: list[tuple[Read, Ids]] = []
        kinds = KindsAsFiled(self._lab, self._index, refused.why)
        gone = GoneKinds(self._lab, self._index, refused.gone)
        for read in reads:
            try:
                if fault := gone.fault(read.entry.file, read.reading.reader):
                    raise FileHeld(fault.reason, (fault,))
                if changed := (*kinds.faults(read.rows),):
                    raise FileHeld(Reason.KIND_CHANGED, changed)
                named.append((read, ids_of(read, self._keyer)))
            except FileHeld as error:
                held = self._held(read, error.reason, error.faults, error.total)
                done.append((read, held, None))
        named, incoming = self._checked(named, done)
        reached("keyed")
        begin(self._journal, zip([read.entry for read, _ in named], incoming, strict=True))
        reached("begun")
        self._alikes.look()
        every = zip(self._store.file(incoming), named, incoming, strict=True)
        for filed, (read, ids), rows in every:
            done.append(self._told(read, ids, rows, *self._continued(read, rows, filed)))
        self._record(done)
        return [(read.entry, outcome) for read, outcome, _ in done]

    def _continued(self, read: Read, rows: Incoming, filed: Filed) -> tuple[Filed, str]:
        """File what only continues what it contradicts; return what became of it, and a note."""
        if filed.status is not StoreAnswer.CONFLICT:
            return filed, ""
        found = self._continuing.resolved(read.entry, rows, filed)
        if found is None:
            return filed, ""
        if found.incoming is None:
            return Filed(rows.sha256, StoreAnswer.KNOWN), found.note
        read.entry.decision = found.decision or read.entry.decision
        (filed,) = self._store.file([decided(read.entry, found.incoming)])
        return filed, found.note

    def _told(
        self, read: Read, ids: Ids, rows: Incoming, filed: Filed, note: str
    ) -> tuple[Read, Outcome, Filed | None]:
        """Return what to tell of an export that has been to the store; hold it in a conflict."""
        match filed.status:
            case StoreAnswer.CONFLICT:
                return read, self._held(read, *conflicts(filed, self._lab.zone)), None
            case StoreAnswer.FILED:
                for said in self._alikes.met(sorted(set(ids.values()), key=str)):
                    self._say(f"{read.entry.file.name}: {said}")
                return read, replace(_filed(read, ids, filed, rows), note=note), filed
            case StoreAnswer.KNOWN:
                known = Outcome(FileStatus.KNOWN, read.entry.file.name, note=note or IN)
                return read, known, filed
            case _:
                assert_never(filed.status)

    def _checked(
        self, named: Sequence[tuple[Read, Ids]], done: list[tuple[Read, Outcome, Filed | None]]
    ) -> tuple[list[tuple[Read, Ids]], list[Incoming]]:
        """Return what stands up to the register and the clock; hold the rest."""
        sound, incoming = [], []
        arrived = zip(named, with_ids(named), strict=True)
        rows = [decided(read.entry, one) for (read, _), one in arrived]
        for (read, ids), one in zip(named, self._checker.checked(rows), strict=True):
            if isinstance(one, FileHeld):
                held = self._held(read, one.reason, one.faults, one.total)
                done.append((read, held, None))
            elif not self._continuing.only_adds(read.entry, one, self._store):
                done.append((read, self._held(read, Reason.CHANGED_SINCE, ()), None))
            else:
                incoming.append(one)
                sound.append((read, ids))
        return sound, incoming

    def _held(
        self, read: Read, reason: Reason, faults: tuple[Fault, ...], total: int = 0
    ) -> Outcome:
        held = held_from(read, reason, faults, total)
        try:
            write_held(self._lab, held, read.entry.file.path)
        except OriginalChanged as error:
            return Outcome(FileStatus.DAMAGED, read.entry.file.name, note=str(error))
        reached("held")
        return Outcome(FileStatus.HELD, read.entry.file.name, held=held)

    def _record(self, done: Sequence[tuple[Read, Outcome, Filed | None]]) -> None:
        """Write journal and index, then drop the holds that are over."""
        done = [one for one in done if one[1].status is not FileStatus.DAMAGED]
        shaped_by = self._shaped_by
        records = [{**_record(self._lab, *one), "settings": shaped_by} for one in done]
        self._journal.append([*self._settings(), *records])
        self._told_shaping = True
        reached("recorded")
        follow(self._lab, self._index)
        self._index.record_originals(
            [
                (
                    read.entry.file.sha256,
                    read.entry.file.name,
                    Became.HELD if outcome.held else Became.FILED,
                    outcome.held.id if outcome.held else None,
                    read.reading.reader,
                )
                for read, outcome, _ in done
            ]
        )
        note_journal(self._lab, self._index)
        reached("remembered")
        for read, outcome, _ in done:
            if read.entry.held and not outcome.held:
                self._release(read.entry.held.id)

    def _settings(self) -> list[dict[str, Any]]:
        """Return the record of the settings that filings refer to, where the journal lacks it."""
        if self._told_shaping:
            return []
        own = {"digest": self._shaped_by, "settings": self._shaping}
        return [{"event": RecordSort.SETTINGS, **own}]


def ids_of(read: Read, keyer: Keyer) -> Ids:
    """Return batch and panel of each measurement.

    What a person has assigned takes the place of the one id that is missing or wrong; ids that are
    in order stay, and two different wrong ones are not put right by one. What was filed before and
    retracted may have been filed under wrong ids that looked right: there it takes their place, or
    that of the one that it is said to be instead of.

    Raises
    ------
    FileHeld
        If the worker held the file, or an id is missing or wrong.
    """
    entry, wrong = read.entry, read.reading.hold
    if entry.filed_there is not None:
        return _as_there(read, keyer)
    if wrong is not None:
        faults = tuple(Fault.from_record(dict(fault)) for fault in wrong.faults)
        raise FileHeld(Reason.of(wrong.reason), faults, wrong.total)
    one_id = len({(keys.batch, keys.panel) for keys in read.reading.keys}) == 1
    of = entry.assigned.of
    first = entry.assigned if entry.file.again and one_id and not of else Assigned()
    found, refused = _resolved(read, keyer, read.reading.keys, first)
    if not refused and first == Assigned():  # all are in order by themselves
        refused = _named_otherwise(read, keyer, found)
    if entry.assigned != Assigned() and len({(keys.batch, keys.panel) for keys, _ in refused}) == 1:
        again, refused = _resolved(read, keyer, [keys for keys, _ in refused], entry.assigned)
        found |= again
    if of:
        theirs = [keys for keys in read.reading.keys if of in found.get(keys.measurement, ())]
        again, against = _resolved(read, keyer, theirs, entry.assigned)
        found, refused = found | again, [*refused, *against]
    if refused:
        each = [fault for _, error in refused for fault in error.faults]
        if refused[0][1].reason in NOBODY_SAYS:  # of each row the same
            each = [fault for fault, _ in once_each(each)]
        raise FileHeld(refused[0][1].reason, tuple(each[:FAULTS_KEPT]), len(each))
    return found


def _as_there(read: Read, keyer: Keyer) -> Ids:
    """Return the ids that another lab has filed it under, unless the register here says otherwise.

    Raises
    ------
    FileHeld
        If it does.
    """
    found: Ids = {}
    for keys in read.reading.keys:
        registered = keyer.batch_of_panel(keys.panel) if keys.panel and not keys.replaces else None
        if registered not in (None, keys.batch):
            words = f"{keys.batch} where it was filed, {registered} in the register"
            reason = Reason.OTHER_BATCH
            raise FileHeld(reason, (Fault(reason, keys.row, "panel", words, "one batch for it"),))
        found[keys.measurement] = keys.batch or "", keys.panel
    return found


def _named_otherwise(read: Read, keyer: Keyer, found: Ids) -> list[tuple[Keys, FileHeld]]:
    """Return every measurement as refused, where the name says another panel or batch."""
    said = keyer.contradictions(found.values(), read.entry.file.name, read.entry.file.folder)
    if said is None:
        return []
    reason, there, named = said
    return [
        (keys, FileHeld(reason, (Fault(reason, keys.row, None, there, named, keys.sheet),)))
        for keys in read.reading.keys
    ]


def _resolved(
    read: Read, keyer: Keyer, every: Iterable[Keys], assigned: Assigned
) -> tuple[Ids, list[tuple[Keys, FileHeld]]]:
    found: Ids = {}
    refused: list[tuple[Keys, FileHeld]] = []
    for keys in every:
        try:
            found[keys.measurement] = keyer.resolve(
                keys, read.entry.file.name, read.entry.file.folder, assigned
            )
        except FileHeld as error:
            refused.append((keys, error))
    return found, refused


def with_ids(named: Sequence[tuple[Read, Ids]]) -> list[Incoming]:
    """Fill batch and panel into the rows, those of all files of a kind at once."""
    ids = {measurement: pair for _, found in named for measurement, pair in found.items()}
    reads = [read for read, _ in named]
    tables: dict[str, dict[str, pa.Table]] = {read.entry.file.sha256: {} for read in reads}
    for kind in dict.fromkeys(kind for read in reads for kind in read.rows):
        parts = [(read.entry.file.sha256, read.rows[kind]) for read in reads if kind in read.rows]
        rows = _filled(pa.concat_tables([part for _, part in parts]), ids)
        start = 0
        for sha256, part in parts:
            tables[sha256][kind] = rows.slice(start, len(part))
            start += len(part)
    return [Incoming(sha256, of_file) for sha256, of_file in tables.items()]


def held_from(read: Read, reason: Reason, faults: tuple[Fault, ...] = (), total: int = 0) -> Held:
    """Return the held file that a read export becomes."""
    entry, reading = read.entry, read.reading
    return hold(
        name=entry.file.name,
        folder=entry.file.folder,
        sha256=entry.file.sha256,
        reason=reason,
        faults=tuple(sorted(faults, key=_place_of)),
        total=max(total, len(faults)),
        detail=reading.hold.detail if reading.hold else None,
        reader=reading.reader,
        claims=reading.claims if reading.reader is None else (),
        first_lines=reading.first_lines or _first_lines(entry),
        assigned=entry.assigned,
        again=entry.file.again,
    )


def _place_of(fault: Fault) -> tuple[str, str, int]:
    return fault.file or "", fault.sheet or "", fault.row or 0


def _first_lines(entry: Entry) -> tuple[str, ...]:
    """Return how a text begins; a workbook is opened by workers only."""
    export = Export(entry.file.main, entry.file.name)
    return () if export.is_workbook else tuple(export.first_lines())


def decided(entry: Entry, rows: Incoming) -> Incoming:
    """Return what is filed, with who decided that it supersedes, and when it was filed first."""
    if entry.decision:
        said = entry.decision
        rows = replace(rows, by=said.who, why=said.why, shown=said.shown)
    return replace(rows, at=entry.filed_at, replaceable=entry.filed_there, marks=entry.marks)


def _is_register(read: Read) -> bool:
    return bool(read.reading.keys) and all(keys.replaces for keys in read.reading.keys)


def _filled(rows: pa.Table, ids: Ids) -> pa.Table:
    rows = rows.combine_chunks()
    at = pc.index_in(rows["measurement"], pa.array(list(ids), pa.string())).combine_chunks()
    for place, name in enumerate(("batch", "panel")):
        column = rows.schema.get_field_index(name)
        values = pa.array([pair[place] for pair in ids.values()], pa.string()).take(at)
        rows = rows.set_column(column, rows.schema.field(column), values)
    return rows


def _filed(read: Read, ids: Ids, filed: Filed, incoming: Incoming) -> Outcome:
    new = set(filed.measurements)
    own = [keys for keys in read.reading.keys if keys.measurement in new]
    counts = Counter((keys.kind, ids[keys.measurement][0]) for keys in own)
    rows = sum(table.num_rows for table in read.rows.values())
    listed = tuple((kind, batch, count) for (kind, batch), count in counts.items())
    registers = any(keys.replaces for keys in own)
    remarks = remarks_in(incoming.tables, new)
    return Outcome(
        FileStatus.FILED,
        read.entry.file.name,
        listed,
        rows,
        registers=registers,
        remarks=tuple(summed(remarks)),
        remarked=len(remarks),
    )


def conflicts(filed: Filed, zone: tzinfo) -> tuple[Reason, tuple[Fault, ...]]:
    """Return why it is held: what the file itself gives twice nobody can supersede.

    Parameters
    ----------
    zone
        Of the lab, in which times are told.
    """
    twice = [conflict for conflict in filed.conflicts if conflict.of_file]
    reason = Reason.GIVEN_TWICE if twice else Reason.CONFLICT
    return reason, tuple(
        Fault(
            reason,
            row=conflict.row,
            found=_conflict_words(conflict, zone),
            expected=f"the values given before in this file ({conflict.existing})"
            if conflict.of_file
            else f"the values filed from {conflict.existing_source} ({conflict.existing})",
        )
        for conflict in twice or filed.conflicts
    )


def _conflict_words(conflict: Conflict, zone: tzinfo) -> str:
    told = in_words(conflict.key, zone)
    if not conflict.zone:
        return f"other values for {told}"
    return (
        f"the same values for {told}, by the clock of {zone}; that time was read in the zone"
        f" {conflict.zone} then (times.zone in tiecoat.toml)"
    )


def _record(lab: Lab, read: Read, outcome: Outcome, filed: Filed | None) -> dict[str, Any]:
    """Return the journal's line: what, by which reader, from which original, to which table.

    It holds all that is needed to file the original again, and to show that what stands in the
    tables is what was filed.
    """
    entry = read.entry
    record: dict[str, Any] = {
        "event": RecordSort(outcome.status),
        "name": entry.file.name,
        "sha256": entry.file.sha256,
        "reader": read.reading.reader,
        "from": [_place(lab, path) for arrival in entry.arrivals for path in arrival.files],
    }
    if beside := entry.file.companions:
        record |= {"format": OF_SEVERAL, "together_with": [path.name for path in beside]}
    if entry.file.folder:
        record["folder"] = entry.file.folder
    if entry.file.notes:
        sha256 = hashlib.sha256(entry.file.notes.read_bytes()).hexdigest()
        record["notes"] = {"name": entry.file.notes.name, "sha256": sha256}
    record |= _by_hand(entry)
    if outcome.held:
        record |= {"held": outcome.held.id, "reason": outcome.held.reason.code}
    if outcome.status is FileStatus.FILED:
        record["rows"] = outcome.rows
    if outcome.status is FileStatus.KNOWN and filed:
        record["as"] = filed.measurements
    if entry.filed_at:
        record["first_filed"] = entry.filed_at.isoformat()
    if filed and filed.contents:
        record["tables"] = as_tables(filed.contents)
    if filed and filed.withdrawn:
        record["withdrawn"] = [one.as_record() for one in filed.withdrawn]
    return record


def _by_hand(entry: Entry) -> dict[str, Any]:
    """Return what of it was decided: tried again, filed anew, superseding, given ids."""
    record: dict[str, Any] = {}
    if entry.held:
        record["tried_again"] = entry.held.id
    if entry.file.again:
        record["again"] = entry.file.again
    if entry.decision and entry.decision.continues:
        record |= {"continues": list(entry.decision.shown or ()), "why": entry.decision.why}
    elif entry.decision:
        record |= {"who": entry.decision.who, "why": entry.decision.why}
    if entry.assigned.batch or entry.assigned.panel:
        record["assigned"] = entry.assigned.as_record()
    return record


def _place(lab: Lab, path: Path) -> str:
    """Return a path as the journal has it: inside the lab relative, so that a lab can be moved."""
    inside = path.relative_to(lab.root) if path.is_relative_to(lab.root) else path
    return os.fsencode(inside.as_posix()).decode("utf-8", "replace")
