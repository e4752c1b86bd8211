"""Taking the steps of a lab's history again, into an archive beside the one that is there.

The exports go their ordinary way (recognised, read, validated, keyed, filed or held) in the order
of the journal, with the ids, decisions, notes and times that stand there.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from itertools import groupby, islice
from pathlib import Path
from typing import Any

from tiecoat.archive.index.cache import Index, measurement_in
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import write_lock
from tiecoat.archive.opening import open_index
from tiecoat.archive.store import Store
from tiecoat.archive.tables.contents import Withdrawal
from tiecoat.archive.tables.parquet import Mark
from tiecoat.archive.words import RecordSort
from tiecoat.disk import fsio
from tiecoat.errors import QueryInvalid
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.filing.entry import Entry
from tiecoat.intake.held.files import Held
from tiecoat.intake.inboxes.notes import notes_named
from tiecoat.intake.inboxes.preserve import original_of
from tiecoat.intake.intake import Intake
from tiecoat.intake.outcome import Outcome
from tiecoat.intake.workers.pool import ReaderPool
from tiecoat.lab.settings import Lab
from tiecoat.lab.shaping import as_of
from tiecoat.rebuild.history import FiledExport, HistoryStep, Reinstated

TOGETHER = 256  # exports that are taken up in one go
AHEAD = 1024  # that are on their way at the same time: some are read while others are filed
THREADS = 4  # hashing lets other threads run
BEAT_S = 0.05

Progress = Callable[[int, int], None]  # done, of how many


@dataclass
class Replayed:
    """What did not come through: exports that are held now, originals that are lost or changed.

    `steps` are all exports that were filed again, `problems` the plugins that were left out,
    `readers` and `kinds` those that there were.
    """

    steps: tuple[FiledExport, ...] = ()
    held: list[Held] = field(default_factory=list)
    lost: list[FiledExport] = field(default_factory=list)
    problems: tuple[str, ...] = ()
    readers: set[str] = field(default_factory=set)
    kinds: set[str] = field(default_factory=set)


def lost_of(lab: Lab, steps: Sequence[HistoryStep]) -> list[FiledExport]:
    """Return the filings whose original, or the notes beside it, are not what they were."""
    exports = [step for step in steps if isinstance(step, FiledExport)]
    with ThreadPoolExecutor(THREADS) as pool:
        sound = pool.map(lambda step: _is_sound(lab, step), exports)
        return [step for step, is_sound in zip(exports, sound, strict=True) if not is_sound]


@dataclass(frozen=True)
class Replay:
    """What is to be taken again, and where.

    Filings that are `lost` are passed over; all others are read, which checks their originals.
    `settings` are those that filings refer to, by their digest; a filing of which none are known
    is read by those of today. `first` and `last` are called with the workplace and its index
    before the first and after the last step. `meanwhile` is called when the steps are taken, and
    returns what else was filed until then.
    """

    lab: Lab
    new: Lab
    steps: Sequence[HistoryStep]
    lost: Sequence[FiledExport]
    settings: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    first: Callable[[Lab, Index], None] = lambda new, index: None
    meanwhile: Callable[[], Sequence[HistoryStep]] = tuple
    last: Callable[[Lab, Index, Replayed], None] = lambda new, index, found: None

    def run(self, progress: Progress) -> Replayed:
        """Take the steps again.

        Raises
        ------
        OSError, ArchiveFault
            If the disk refuses; the archive of the lab is not touched.
        """
        new, steps = self.new, self.steps
        for part in (new.archive, new.held, new.journal, new.stage):
            fsio.make_dirs(part)
        found = Replayed(lost=list(self.lost))
        done = 0

        def tell(outcome: Outcome) -> None:
            nonlocal done
            done += 1
            progress(min(done, len(steps)), len(steps))
            if outcome.held:
                found.held.append(outcome.held)

        with contextlib.closing(open_index(new)) as index:
            self.first(new, index)
            self._take(steps, index, tell, found)
            self._take(self.meanwhile(), index, tell, found)
            self.last(new, index, found)
        return found

    def _take(
        self,
        steps: Sequence[HistoryStep],
        index: Index,
        tell: Callable[[Outcome], None],
        found: Replayed,
    ) -> None:
        """Take steps, each by the settings of then."""
        found.steps += tuple(step for step in steps if isinstance(step, FiledExport))
        for shaped_by, run in groupby(with_settings(steps), lambda pair: pair[0]):
            then = self._as_of(shaped_by)
            with ReaderPool(then) as pool:
                there_is = pool.inventory()
                found.problems = there_is.problems
                found.readers |= there_is.readers.keys()
                found.kinds |= there_is.kinds.keys()
                there = replace(then, root=self.new.root)
                intake = Intake(there, index, pool, tell, in_order=True)
                self._take_run([step for _, step in run], index, intake, found)

    def _as_of(self, shaped_by: str | None) -> Lab:
        said = self.settings.get(shaped_by or "")
        return self.lab if said is None else as_of(self.lab, said)

    def _take_run(
        self, steps: Sequence[HistoryStep], index: Index, intake: Intake, found: Replayed
    ) -> None:
        lost = {(one.sha256, one.again) for one in found.lost}
        for _, run in groupby(steps, lambda step: isinstance(step, FiledExport)):
            every = [*run]
            exports = [step for step in every if isinstance(step, FiledExport)]
            _file(intake, self._entries(exports, lost, found))
            rest = [step for step in every if not isinstance(step, FiledExport)]
            _amend(self.new, index, rest)

    def _entries(
        self, exports: Sequence[FiledExport], lost: Collection[tuple[str, int]], found: Replayed
    ) -> Iterator[Entry]:
        """Yield originals as they were taken up then; one that is not there any more is lost."""
        for export in exports:
            if (export.sha256, export.again) in lost:
                continue
            if entry := _entry(self.lab, export):
                yield entry
            else:
                found.lost.append(export)


def with_settings(steps: Sequence[HistoryStep]) -> Iterator[tuple[str | None, HistoryStep]]:
    """Yield each step with the digest of its settings; what is retracted needs none."""
    last: str | None = next((one.settings for one in steps if isinstance(one, FiledExport)), None)
    for step in steps:
        last = step.settings if isinstance(step, FiledExport) else last
        yield last, step


def in_groups(steps: Sequence[HistoryStep]) -> Iterator[list[HistoryStep]]:
    """Yield runs of exports or of retractions, not too long."""
    for _, run in groupby(steps, lambda step: isinstance(step, FiledExport)):
        every = list(run)
        for start in range(0, len(every), TOGETHER):
            yield every[start : start + TOGETHER]


def _file(intake: Intake, entries: Iterator[Entry]) -> None:
    """File exports in their order; while some are filed, the next are read."""
    while some := [*islice(entries, TOGETHER)]:
        while intake.queue >= AHEAD:
            _move_on(intake)
        intake.resume(*some)
    while intake.busy:
        _move_on(intake)


def _move_on(intake: Intake) -> None:
    intake.step()
    intake.wait(BEAT_S)


def _entry(lab: Lab, export: FiledExport) -> Entry | None:
    """Return an original as it was taken up then, or None if it or its notes are not there."""
    original = original_of(lab, export.sha256)
    notes = notes_named(lab, export.sha256, export.notes.name) if export.notes else None
    if original is None or (notes and not fsio.is_file(notes)):
        return None
    file = ExportFile(original, export.name, export.folder, export.sha256, notes, export.again)
    return Entry(
        file,
        [],
        export.assigned,
        decision=export.decision,
        filed_at=export.at,
        marks=export.marks,
    )


def _is_sound(lab: Lab, export: FiledExport) -> bool:
    """Say whether the original of a filing, and the notes beside it, are what they were."""
    entry = _entry(lab, export)
    if entry is None or not _is(entry.file.path, export.sha256):
        return False
    notes = entry.file.notes
    return notes is None or export.notes is None or _is(notes, export.notes.sha256)


def _is(path: Path, sha256: str) -> bool:
    try:
        return fsio.sha256_of(path) == sha256
    except FileNotFoundError:
        return False


def _amend(new: Lab, index: Index, steps: Sequence[Withdrawal | Reinstated]) -> None:
    """Retract and reinstate as then; what was decided together at once.

    What was not made again, or cannot count again now, is told by whoever compares.
    """
    store, record = Store(new, index), Journal(new).append
    for step, run in groupby(steps, decision_of):
        with write_lock(new):
            if isinstance(step, Reinstated):
                known = [name for name in step.measurements if measurement_in(index, name)]
                with contextlib.suppress(QueryInvalid):
                    store.reinstate(known)
                    record([{"event": RecordSort.REINSTATED, "measurements": known}])
            else:
                every = [one.measurement for one in run if isinstance(one, Withdrawal)]
                known = [name for name in every if measurement_in(index, name)]
                store.retract(known, step.by, step.why, step.at)
                withdrawn = [one.as_record() for one in store.withdrawals(known)]
                record([{"event": RecordSort.RETRACTED, "withdrawn": withdrawn}])


def decision_of(step: Withdrawal | Reinstated) -> Mark | Reinstated:
    """Return what steps have in common that were decided together."""
    return step.mark if isinstance(step, Withdrawal) else step
