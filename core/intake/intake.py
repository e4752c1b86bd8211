"""An export's way from the inbox into the archive, or among the held.

Preserve, recognise, read, validate, key, file, index, journal, and only then the inbox. A crash at
any point leaves the file in the inbox or among the originals, and the next run takes it up again:
filing the same original twice changes nothing.
"""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Sequence
from concurrent.futures import Future, wait
from dataclasses import replace
from pathlib import Path

import pyarrow as pa
import pyarrow.compute as pc

from tiecoat.archive.index.cache import Index
from tiecoat.disk.file_print import FilePrint
from tiecoat.disk.steps import reached
from tiecoat.errors import ArchiveDamaged
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.filing.entry import Decision, Entry
from tiecoat.intake.filing.rounds import Filer, Read
from tiecoat.intake.held.assigned import Assigned
from tiecoat.intake.held.files import Held
from tiecoat.intake.inboxes.notes import latest_notes
from tiecoat.intake.inboxes.preserve import preserve
from tiecoat.intake.inboxes.settle import Arrival
from tiecoat.intake.outcome import Outcome
from tiecoat.intake.workers.answers import Chunk, Hold, Reading
from tiecoat.intake.workers.pool import ReaderPool, all_ended, failure_of
from tiecoat.lab.settings import Lab
from tiecoat.reasons import Reason

CHUNK = 32  # files that go to a worker together
PRESERVED = 256  # files that are preserved in one step
ON_THE_WAY = 1024  # preserved files that wait to be filed at most
ROUND_FILES = 1024  # read files that are filed together at most
ROUND_S = 1.0  # and how long a read file waits for others at most


class Intake:
    """Takes arrivals in; `step` moves everything on that can move.

    Parameters
    ----------
    lab, index, pool
        The lab, its index, and the workers that read.
    tell
        Called with what became of each file.
    in_order
        File nothing before all that came earlier, however long that takes to read.
    """

    def __init__(
        self,
        lab: Lab,
        index: Index,
        pool: ReaderPool,
        tell: Callable[[Outcome], None],
        *,
        in_order: bool = False,
    ) -> None:
        self._lab = lab
        self._index = index
        self._pool = pool
        self._tell = tell
        self._filer = Filer(lab, index, in_order=in_order)
        self._in_order = in_order
        self._arrived: deque[Arrival] = deque()
        self._entries: dict[str, Entry] = {}
        self._reading: dict[Future[Chunk], list[ExportFile]] = {}
        self._read: list[Read] = []
        self._first_read = 0.0
        self.taken: dict[Path, FilePrint] = index.remembered()

    @property
    def busy(self) -> bool:
        """Whether anything is on its way."""
        return bool(self._entries or self._arrived)

    @property
    def queue(self) -> int:
        """How many files have settled and are neither filed nor held yet."""
        return len(self._entries) + len(self._arrived)

    def accept(self, arrivals: Sequence[Arrival]) -> None:
        """Queue settled files."""
        for arrival in arrivals:
            self._arrived.append(arrival)
            self.taken[arrival.path] = arrival.seen
            reached("settled")

    def _preserve_some(self) -> None:
        """Preserve the next files in the queue and send them to be read."""
        arrivals = [self._arrived.popleft() for _ in range(min(len(self._arrived), PRESERVED))]
        try:
            preserved = preserve(self._lab, arrivals)
        except OSError:
            self._arrived.extendleft(reversed(arrivals))
            raise
        to_read = []
        for arrival, kept in zip(arrivals, preserved, strict=True):
            if kept is None:  # changed or gone meanwhile: the next scan decides
                self.taken.pop(arrival.path, None)
                continue
            if entry := self._entries.get(kept.sha256):
                entry.arrivals.append(arrival)
                continue
            entry = Entry(kept, [arrival])
            outcome = self._filer.known(entry)
            if outcome and outcome.held and arrival.notes:  # what was missing may be noted now
                entry.held, entry.assigned = outcome.held, outcome.held.assigned
            elif outcome:
                self._filer.clear(entry, outcome)
                self._finish(entry, outcome)
                continue
            self._entries[entry.file.sha256] = entry
            if unreadable := self._unreadable(arrival.seen[0], arrival.link):
                self._hold_unread(entry, unreadable)
            else:
                to_read.append(self._with_notes(entry))
        self._send(to_read)

    def retry(
        self,
        held: Held,
        original: Path,
        assigned: Assigned,
        decision: Decision | None = None,
    ) -> None:
        """Take a held file up again, with ids that a person assigned or a decision to supersede."""
        file = ExportFile(original, held.name, held.folder, held.sha256)
        self.resume(Entry(file, [], assigned, held, decision))

    def resume(self, entry: Entry) -> None:
        """Take up an export of which the original is kept already."""
        if entry.file.sha256 in self._entries:
            return
        self._entries[entry.file.sha256] = entry
        link = entry.held is not None and entry.held.reason is Reason.NOT_A_FILE
        if unreadable := self._unreadable(entry.file.path.stat().st_size, link):
            self._hold_unread(entry, unreadable)
        else:
            self._send([self._with_notes(entry)])

    def step(self) -> None:
        """Preserve the next arrivals, collect what has been read, file it when its round is due.

        Raises
        ------
        OSError, ArchiveFault
            If the disk or the archive refuses; nothing is lost, and the next step tries again.
        """
        if self._arrived and len(self._entries) < ON_THE_WAY:
            self._preserve_some()
        if self._reading and self._pool.stuck():
            self._send_all_again()
        for future in [future for future in self._reading if future.done()]:
            self._collect(future, self._reading.pop(future))
        full = len(self._read) >= ROUND_FILES
        late = time.monotonic() - self._first_read >= ROUND_S
        due = (full or late) and not self._in_order
        if self._read and (due or not (self._reading or self._arrived)):
            arrived = {sha256: place for place, sha256 in enumerate(self._entries)}
            reads = sorted(self._read, key=lambda read: arrived[read.entry.file.sha256])
            self._first_read = time.monotonic()
            self._file(reads)

    def wait(self, timeout_s: float) -> None:
        """Wait until something has been read, for so many seconds at most."""
        if self._reading:
            wait(self._reading, timeout_s, return_when="FIRST_COMPLETED")

    def _file(self, reads: Sequence[Read]) -> None:
        """File a round. A damaged table stops only the files that go there: they stay queued."""
        try:
            self._filed(reads, self._filer.file(reads))
        except ArchiveDamaged:
            if len(reads) == 1:
                raise
            damaged: ArchiveDamaged | None = None
            for read in reads:
                try:
                    self._filed([read], self._filer.file([read]))
                except ArchiveDamaged as error:
                    damaged = error
            if damaged:
                raise damaged from None

    def _filed(self, reads: Sequence[Read], done: Sequence[tuple[Entry, Outcome]]) -> None:
        over = {read.entry.file.sha256 for read in reads}
        self._read = [read for read in self._read if read.entry.file.sha256 not in over]
        for entry, outcome in done:
            del self._entries[entry.file.sha256]
            self._finish(entry, outcome)

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
        """Return the file to be read, with the notes that it is read with."""
        if entry.file.notes is None:
            entry.file = replace(entry.file, notes=latest_notes(self._lab, entry.file.sha256))
        return entry.file

    def _send(self, files: Sequence[ExportFile]) -> None:
        for start in range(0, len(files), CHUNK):
            chunk = list(files[start : start + CHUNK])
            self._reading[self._pool.submit(chunk)] = chunk
            reached("sent")

    def _send_all_again(self) -> None:
        under_way, self._reading = list(self._reading.values()), {}
        self._pool.restart()
        for files in under_way:
            self._send(files)

    def _collect(self, future: Future[Chunk], files: list[ExportFile]) -> None:
        failure = failure_of(future)
        if failure is None:
            chunk = future.result()
            reached("answered")
            rows = by_file(chunk)
            for reading in chunk.readings:
                entry = self._entries[reading.sha256]
                self._queue(Read(entry, reading, rows.get(reading.sha256, {})))
        elif len(files) > 1 or self._once_more(future, self._entries[files[0].sha256]):
            for file in files:  # one of them did it: read each alone
                self._send([file])
        else:
            self._hold_unread(self._entries[files[0].sha256], failure)

    def _once_more(self, future: Future[Chunk], entry: Entry) -> bool:
        """Say whether a file may be innocent of the failure and has not been sent twice."""
        again = all_ended(future) and not entry.sent_again
        entry.sent_again |= again
        return again

    def _queue(self, read: Read) -> None:
        if not self._read:
            self._first_read = time.monotonic()
        self._read.append(read)

    def _finish(self, entry: Entry, outcome: Outcome) -> None:
        for arrival in entry.arrivals:
            if not arrival.leave:
                self.taken.pop(arrival.path, None)
        self._tell(outcome)


def by_file(chunk: Chunk) -> dict[str, dict[str, pa.Table]]:
    """Return SHA-256 -> kind -> the rows of that file; the rows of a file lie together."""
    found: dict[str, dict[str, pa.Table]] = {}
    for kind, stream in chunk.tables.items():
        with pa.ipc.open_stream(stream) as reader:
            rows = reader.read_all().combine_chunks()
        start = 0
        runs = pc.run_end_encode(rows["source_sha256"].combine_chunks())
        for sha256, end in zip(runs.values.to_pylist(), runs.run_ends.to_pylist(), strict=True):
            found.setdefault(sha256, {})[kind] = rows.slice(start, end - start)
            start = end
    return found
