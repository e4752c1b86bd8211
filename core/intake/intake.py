"""An export's way from the inbox into the archive, or among the held.

Preserve, recognise, read, validate, key, file, index, journal, and only then the inbox. A crash at
any point leaves the file in the inbox or among the originals, and the next run takes it up again:
filing the same original twice changes nothing.
"""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future, wait
from dataclasses import dataclass, replace
from itertools import islice, takewhile
from pathlib import Path

import pyarrow as pa
import pyarrow.compute as pc

from tiecoat.archive.index.cache import Index, TakenOut
from tiecoat.disk import fsio
from tiecoat.disk.file_print import FilePrint
from tiecoat.disk.steps import reached
from tiecoat.errors import ArchiveDamaged
from tiecoat.intake.discarding import discard_parts
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.filing.entry import Decision, Entry
from tiecoat.intake.filing.kinds import NotFiled
from tiecoat.intake.filing.read import Read, read_of
from tiecoat.intake.filing.rounds import Filer
from tiecoat.intake.held.assigned import Assigned
from tiecoat.intake.held.files import Held
from tiecoat.intake.inboxes.again import TriedAgain
from tiecoat.intake.inboxes.later_looks import Fate
from tiecoat.intake.inboxes.notes import keep_notes, latest_notes
from tiecoat.intake.inboxes.preserve import preserve
from tiecoat.intake.inboxes.settle import Arrival
from tiecoat.intake.inboxes.taking_out import Over, TakingOut
from tiecoat.intake.outcome import FileStatus, Outcome
from tiecoat.intake.unfinished import Unfinished
from tiecoat.intake.workers.answers import Chunk, Hold, Reading
from tiecoat.intake.workers.pool import ReaderPool, all_ended, failure_of
from tiecoat.intake.workers.sending import from_stream
from tiecoat.lab.settings import Lab
from tiecoat.reasons import Reason

CHUNK = 64  # files that go to a worker together at most
CHUNK_BYTES = 1_000_000  # in all of them at most: what is large takes long, also to read again
PRESERVED = 256  # files that are preserved in one step
ON_THE_WAY = 2048  # preserved files that wait to be filed at most
ROUND_FILES = 1024  # read files that are enough to be filed together; then others can be read
LAST_FILES = 256  # the same, where no more than twice as many are left as have been read
ROUND_S = 2.0  # how long a read file waits for others at most
WORTH = 4  # times as long as the last round took they wait too: each replaces whole tables,
LONGEST_S = 10.0  # but no longer than this
SHOWN = 3  # files in a trouble
OVERDUE_S = 30.0  # a settled file that is not through by then is told as a trouble


@dataclass(frozen=True)
class _Queued:
    """A settled file, and since when it waits (monotonic)."""

    arrival: Arrival
    since: float


_ToRead = tuple[ExportFile, int]  # with its size in bytes


def _in_chunks(files: Sequence[_ToRead]) -> list[list[ExportFile]]:
    """Return files in groups that go to a worker together."""
    chunks: list[list[ExportFile]] = []
    room = 0
    for file, size in files:
        if not chunks or len(chunks[-1]) >= CHUNK or size > room:
            chunks.append([])
            room = CHUNK_BYTES
        chunks[-1].append(file)
        room -= size
    return chunks


class Intake:
    """Takes arrivals in; `step` moves everything on that can move.

    Parameters
    ----------
    lab, index, pool
        The lab, its index, and the workers that read.
    tell
        Called with what became of each file.
    say
        Called with a line for each file that cannot be read, or not be taken out of its inbox.
    unfinished
        Keeps back what seems unfinished, where somebody has the time for it.
    in_order
        File nothing before all that came earlier, however long that takes to read.
    prepare
        Called before a round is filed; returns the kinds of which nothing is filed.
    """

    def __init__(
        self,
        lab: Lab,
        index: Index,
        pool: ReaderPool,
        tell: Callable[[Outcome], None],
        *,
        say: Callable[[str], None] = lambda line: None,
        unfinished: Unfinished | None = None,
        in_order: bool = False,
        prepare: Callable[[], NotFiled] = NotFiled,
    ) -> None:
        self._lab = lab
        self._prepare = prepare
        self._index = index
        self._pool = pool
        self._tell = tell
        self._filer = Filer(lab, index, say, in_order=in_order)
        self._unfinished = unfinished
        self._in_order = in_order
        self._arrived: deque[_Queued] = deque()
        self._entries: dict[str, Entry] = {}
        self._unsent: deque[list[ExportFile]] = deque()
        self._reading: dict[Future[Chunk], list[ExportFile]] = {}
        self._read: list[Read] = []
        self._first_read = 0.0
        self._round_s = 0.0  # that the last round took
        self._unread: TriedAgain[_Queued] = TriedAgain("cannot be read", say)
        self._taking_out = TakingOut(index, say)

    @property
    def busy(self) -> bool:
        """Whether anything is on its way."""
        return self.queue > 0

    @property
    def queue(self) -> int:
        """How many files have settled and are neither filed nor held yet, nor kept back."""
        return len(self._entries) + len(self._arrived) - self.kept_back

    @property
    def kept_back(self) -> int:
        """How many files have been read and wait longer, as they seem unfinished."""
        return self._unfinished.count if self._unfinished else 0

    def taken(self) -> Mapping[Path, FilePrint]:
        """Return the files in inboxes that nobody need look at again, as they were seen.

        It is worked out from where they are at this moment (under way, or known to stay), so that a
        file which is nowhere is not passed over: the next scan finds it.
        """
        every = [queued.arrival for queued in (*self._arrived, *self._unread.every)]
        every += [arrival for entry in self._entries.values() for arrival in entry.arrivals]
        every += self._taking_out.left
        remembered = self._taking_out.remembered
        if not every:
            return remembered
        return {**remembered, **{p: seen for one in every for p, seen in one.files.items()}}

    def troubles(self, now: float) -> tuple[str, ...]:
        """Return what single files suffer from, and whether the queue keeps any waiting for long.

        Parameters
        ----------
        now
            Monotonic time in seconds.
        """
        since, name = self._oldest()
        late = f"{name} and what came after it have waited for long to be taken in"
        queue = (late,) if now - since > OVERDUE_S else ()
        kept = self._unfinished.late(OVERDUE_S) if self._unfinished else []
        left = (*self._taking_out.troubles, *self._filer.troubles)
        left += tuple(f"{path}: {why}" for path, why in kept[:SHOWN])
        return (*queue, *self._unread.troubles, *left)

    @property
    def unread(self) -> list[tuple[Path, str]]:
        """The files that cannot be read, and why."""
        return self._unread.reasons

    def _oldest(self) -> tuple[float, str]:
        first = [(queued.since, queued.arrival.name) for queued in [*self._arrived][:1]]
        kept = self._unfinished or ()
        every = (one for sha256, one in self._entries.items() if sha256 not in kept)
        entry = next((one for one in every if one.arrivals), None)
        first += [(entry.since, entry.file.name)] if entry else []
        return min(first, default=(float("inf"), ""))

    def due(self) -> dict[Path, list[TakenOut]]:
        """Return by inbox what was filed and is to be looked at again now; nothing while busy."""
        return {} if self.busy else self._taking_out.due()

    def looked(self, fates: Mapping[TakenOut, Fate]) -> None:
        """Note what a later look at filed files has found."""
        self._taking_out.looked(fates)

    def accept(self, arrivals: Sequence[Arrival]) -> None:
        """Queue settled files."""
        for arrival in arrivals:
            self._arrived.append(_Queued(arrival, time.monotonic()))
            reached("settled")

    def _preserve_some(self) -> None:
        """Preserve the next files in the queue; each stays in it until it is somewhere else."""
        some = [*islice(self._arrived, PRESERVED)]
        preserved = preserve(self._lab, [queued.arrival for queued in some])
        to_read: list[_ToRead] = []
        over: list[tuple[Entry, Outcome]] = []
        try:
            for queued, kept in zip(some, preserved, strict=True):
                self._admit(queued, kept, to_read, over)
                self._arrived.popleft()
        finally:
            self._send(to_read)
            self._finish(over)

    def _admit(
        self,
        queued: _Queued,
        kept: ExportFile | str | None,
        to_read: list[_ToRead],
        over: list[tuple[Entry, Outcome]],
    ) -> None:
        """List what is to be read of a preserved file, or that it is over."""
        arrival = queued.arrival
        if isinstance(kept, str):
            self._unread.failed(arrival.path, queued, kept)
            return
        self._unread.done(arrival.path)
        if kept is None:  # changed or gone meanwhile: the next scan decides
            return
        if entry := self._entries.get(kept.sha256):
            entry.arrivals.append(arrival)
            return
        for read in self._unfinished.arrived(arrival.path, kept) if self._unfinished else ():
            self._go_on(read)
        entry = Entry(kept, [arrival], since=queued.since)
        outcome = self._filer.known(entry) or self._left_behind(entry)
        if outcome and outcome.held and arrival.notes:  # what was missing may be noted now
            entry.held, entry.assigned = outcome.held, outcome.held.assigned
        elif outcome:
            over.append((entry, outcome))
            return
        to_read += self._take_up(entry, arrival.size, arrival.link)

    def _left_behind(self, entry: Entry) -> Outcome | None:
        """Say that a file was filed with others, if only the end of a run has left it there."""
        file = entry.file
        if not self._pool.companions or file.hashes or not self._index.was_taken_out(file.sha256):
            return None
        self._filer.record_overtaken(file)
        return Outcome(FileStatus.KNOWN, file.name, note="filed before, together with others")

    def _go_on(self, read: Read, *, keep_back: bool = False) -> None:
        """Queue a read to be filed; drop it if its file has gone on, or keep it back."""
        entry, unfinished = read.entry, self._unfinished
        if unfinished and (by := unfinished.overtaken(read)):
            self._filer.record_overtaken(entry.file, by.sha256)
            del self._entries[entry.file.sha256]
        elif not (unfinished and keep_back and unfinished.keep_back(read)):
            self._queue(read)

    def _take_up(self, entry: Entry, size: int, link: bool) -> list[_ToRead]:
        """Put an entry on its way and return what is to be read for it."""
        unreadable = self._unreadable(size, link)
        to_read = [] if unreadable else [(self._with_notes(entry), size)]
        self._entries[entry.file.sha256] = entry  # nothing can fail any more
        if unreadable:
            self._hold_unread(entry, unreadable)
        return to_read

    def retry(
        self,
        held: Held,
        original: Path,
        assigned: Assigned,
        decision: Decision | None = None,
    ) -> None:
        """Take a held file up again, with ids that a person assigned or a decision to supersede."""
        file = ExportFile(original, held.name, held.folder, held.sha256, again=held.again)
        self.resume(Entry(file, [], assigned, held, decision))

    def resume(self, *entries: Entry) -> None:
        """Take up exports of which the originals are kept already; they are read together."""
        to_read: list[_ToRead] = []
        try:
            for entry in entries:
                if entry.file.sha256 not in self._entries:
                    link = entry.held is not None and entry.held.reason is Reason.NOT_A_FILE
                    to_read += self._take_up(entry, fsio.size_of(entry.file.path), link)
        finally:
            self._send(to_read)

    def step(self) -> None:
        """Preserve the next arrivals, collect what has been read, file it when its round is due.

        Raises
        ------
        OSError, ArchiveFault
            If the disk or the archive refuses; nothing is lost, and the next step tries again.
        """
        self._taking_out.again()
        self._filer.again()
        self._arrived.extendleft(self._unread.due())
        while self._arrived and len(self._entries) < ON_THE_WAY:
            self._preserve_some()
            if not self._pool.is_starting:
                break
        self._submit()
        if self._reading and self._pool.stuck():
            self._send_all_again()
        for future in [future for future in self._reading if future.done()]:
            self._collect(future, self._reading.pop(future))
        for read in self._unfinished.due() if self._unfinished else ():
            self._go_on(read)
        if reads := self._due():
            self._first_read = time.monotonic()
            self._file(reads)
            self._round_s = time.monotonic() - self._first_read

    def _due(self) -> list[Read]:
        """Return what is to be filed now, in the order of arrival: nothing while it is too little.

        In order, it is what all that came before has been read of; then others can be read
        meanwhile.
        """
        read = {one.entry.file.sha256: one for one in self._read}
        every = [read[sha256] for sha256 in self._entries if sha256 in read]
        if not (self._reading or self._unsent or self._arrived):  # nothing else comes
            return every
        if self._in_order:
            in_turn = [*takewhile(read.__contains__, self._entries)]
            return every[: len(in_turn)] if len(in_turn) >= ROUND_FILES // 2 else []
        waited_s = time.monotonic() - self._first_read
        late = waited_s >= max(ROUND_S, min(WORTH * self._round_s, LONGEST_S))
        full = len(read) >= ROUND_FILES or self._is_ending()
        return every if full or late else []

    def _is_ending(self) -> bool:
        """Whether a backlog is nearly read: the rest is read while what is there is filed."""
        left = sum(map(len, (*self._unsent, *self._reading.values())))
        return not self._arrived and len(self._read) >= max(left / 2, LAST_FILES)

    def wait(self, timeout_s: float) -> None:
        """Wait until something has been read, for so many seconds at most."""
        if self._reading:
            wait(self._reading, timeout_s, return_when="FIRST_COMPLETED")

    def _file(self, reads: Sequence[Read]) -> None:
        """File a round. A damaged table stops only the files that go there: they stay queued."""
        refused = self._prepare()
        try:
            self._filed(reads, self._filer.file(reads, refused))
        except ArchiveDamaged:
            if len(reads) == 1:
                raise
            damaged: ArchiveDamaged | None = None
            for read in reads:
                try:
                    self._filed([read], self._filer.file([read], refused))
                except ArchiveDamaged as error:
                    damaged = error
            if damaged:
                raise damaged from None

    def _filed(self, reads: Sequence[Read], done: Sequence[tuple[Entry, Outcome]]) -> None:
        over = {read.entry.file.sha256 for read in reads}
        self._read = [read for read in self._read if read.entry.file.sha256 not in over]
        by_sha256 = {read.entry.file.sha256: read for read in reads}
        for entry, outcome in done:
            del self._entries[entry.file.sha256]
            if self._unfinished and outcome.status is FileStatus.FILED:
                self._unfinished.filed(by_sha256[entry.file.sha256])
        self._finish(done)

    def _unreadable(self, size: int, link: bool) -> Hold | None:
        """Say why a file of so many bytes is not read at all; None if it is."""
        if link:
            return Hold(Reason.NOT_A_FILE.code)
        limit_mb = self._lab.settings.intake.max_file_mb
        if size <= limit_mb * 1e6:
            return None
        detail = f"it has {size / 1e6:,.1f} MB, the limit is {limit_mb:,g} MB"
        return Hold(Reason.TOO_LARGE.code, detail=detail)

    def _hold_unread(self, entry: Entry, hold: Hold) -> None:
        self._queue(Read(entry, Reading(entry.file.sha256, None, (), (), hold, ()), {}))

    def _with_notes(self, entry: Entry) -> ExportFile:
        """Return the file to be read, with the notes that it is read with, or was before."""
        if entry.file.notes is None:
            sha256, before = entry.file.sha256, entry.filed_as
            notes = latest_notes(self._lab, sha256)
            if before and notes is None and (old := latest_notes(self._lab, before)):
                keep_notes(self._lab, sha256, old.read_bytes())
                notes = latest_notes(self._lab, sha256)
            entry.file = replace(entry.file, notes=notes)
        return entry.file

    def _send(self, files: Sequence[_ToRead]) -> None:
        """Queue files for the workers."""
        self._unsent.extend(_in_chunks(files))

    def _submit(self) -> None:
        """Send to the workers what is queued for them; what they do not get stays queued."""
        while self._unsent:
            future = self._pool.submit(self._unsent[0])
            self._reading[future] = self._unsent.popleft()
            reached("sent")

    def _send_all_again(self) -> None:
        self._unsent.extend(self._reading.values())
        self._reading = {}
        self._pool.restart()
        self._submit()

    def _collect(self, future: Future[Chunk], files: list[ExportFile]) -> None:
        failure = failure_of(future)
        if failure is None:
            chunk = future.result()
            reached("answered")
            rows = by_file(chunk)
            self._finish(
                [
                    (entry, Outcome(FileStatus.DAMAGED, entry.file.name, note=said))
                    for sha256, said in chunk.changed.items()
                    for entry in [self._entries.pop(sha256)]
                ]
            )
            for reading in chunk.readings:
                entry = self._entries[reading.sha256]
                if reading.hold and reading.hold.apart and self._taken_apart(entry):
                    continue
                read = read_of(entry, reading, rows.get(reading.sha256, {}))
                self._go_on(read, keep_back=True)
        elif len(files) > 1 or self._once_more(future, self._entries[files[0].sha256]):
            self._unsent.extend([file] for file in files)  # one of them did it: read each alone
            self._submit()
        else:
            self._hold_unread(self._entries[files[0].sha256], failure)

    def _taken_apart(self, entry: Entry) -> bool:
        """Have files that no reader takes together taken in one by one; say whether that is so.

        An export that is tried again, or filed again, stays as it is.
        """
        if not entry.arrivals:
            return False
        self._filer.record_overtaken(entry.file, fsio.sha256_of(entry.file.main))
        del self._entries[entry.file.sha256]
        self.accept([one for arrival in entry.arrivals for one in arrival.apart()])
        return True

    def _once_more(self, future: Future[Chunk], entry: Entry) -> bool:
        """Say whether a file may be innocent of the failure and has not been sent twice."""
        again = all_ended(future) and not entry.sent_again
        entry.sent_again |= again
        return again

    def _queue(self, read: Read) -> None:
        if not self._read:
            self._first_read = time.monotonic()
        self._read.append(read)

    def _finish(self, done: Sequence[tuple[Entry, Outcome]]) -> None:
        """Take the files out of their inboxes, now that all else is on the disk, and tell."""
        kept = [entry.file for entry, outcome in done if outcome.status.is_over or outcome.held]
        discard_parts(self._lab, self._index, [file for file in kept if file.hashes])
        self._taking_out.take_out(
            [
                Over(arrival, entry.file.sha256, outcome.held is not None, entry.file.hashes)
                for entry, outcome in done
                for arrival in entry.arrivals
                if outcome.status
                is not FileStatus.DAMAGED  # its file comes again, and puts it right
            ]
        )
        for entry, outcome in done:
            self._tell(replace(outcome, was_held=entry.held.id) if entry.held else outcome)


def by_file(chunk: Chunk) -> dict[str, dict[str, pa.Table]]:
    """Return SHA-256 -> kind -> the rows of that file; the rows of a file lie together."""
    found: dict[str, dict[str, pa.Table]] = {}
    for kind, stream in chunk.tables.items():
        rows = from_stream(stream).combine_chunks()
        start = 0
        runs = pc.run_end_encode(rows["source_sha256"].combine_chunks())
        for sha256, end in zip(runs.values.to_pylist(), runs.run_ends.to_pylist(), strict=True):
            found.setdefault(sha256, {})[kind] = rows.slice(start, end - start)
            start = end
    return found
