"""What comes from another lab, step by step, into a workplace that has all of this one.

Each filing goes through checks and store as on its first day, with the ids, rows and settings that
it was filed by there; what contradicts this lab is held. What was decided there afterwards follows.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import groupby
from typing import Any

from tiecoat.archive.index.cache import Index, measurement_in
from tiecoat.archive.journal.records import OF_SEVERAL, Journal
from tiecoat.archive.store import Store
from tiecoat.archive.tables.contents import Withdrawal
from tiecoat.archive.tables.describe import Described
from tiecoat.archive.tables.parquet import Mark, of_measurements
from tiecoat.archive.words import RecordSort, Withdrawn
from tiecoat.errors import QueryInvalid
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.filing.entry import Entry
from tiecoat.intake.filing.read import Read
from tiecoat.intake.filing.rounds import Filer
from tiecoat.intake.held.files import drop_held
from tiecoat.intake.outcome import FileStatus, Outcome
from tiecoat.intake.workers.answers import Keys, Reading
from tiecoat.lab.settings import Lab
from tiecoat.lab.shaping import digest_of, for_readers, shaping
from tiecoat.merge.comes_as import ComesAs
from tiecoat.merge.fitting import Fitting
from tiecoat.merge.here import ThisLab, known_as
from tiecoat.merge.other import (
    Filing,
    LeftOut,
    OtherLab,
    RowsThere,
    filing_named,
    filing_of,
    rows_there,
)
from tiecoat.merge.otherwise import BothHave
from tiecoat.merge.staging import Staging
from tiecoat.rebuild.history import FiledExport, HistoryStep, Reinstated
from tiecoat.rebuild.replay import Progress, decision_of, in_groups, with_settings

READING = ("times", "numbers", "text", "words", "read")  # settings that shape what is read


@dataclass
class WhatComes:
    """What comes, and what does not.

    `fates` has what becomes of each original by its SHA-256, but of those that are here already;
    `held` tells of those that contradict this lab. `left_out` says why what does not come does not,
    `open` what both labs have and say otherwise: that stands open until a person settles it.
    `decided` counts measurements that are retracted, or count again.
    """

    measurements: int = 0
    decided: int = 0
    fates: dict[str, ComesAs] = field(default_factory=dict)
    held: list[Outcome] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)
    open: list[LeftOut] = field(default_factory=list)

    @property
    def files(self) -> set[str]:
        """The originals that come."""
        return {sha256 for sha256, fate in self.fates.items() if fate is not ComesAs.LEFT_OUT}


@dataclass
class Bringing:
    """Brings the steps of another lab.

    Parameters
    ----------
    work, index
        The workplace, and its open index.
    say
        Called with a line for each id that may be confused with another.
    """

    other: OtherLab
    here: ThisLab
    work: Lab
    index: Index
    staging: Staging
    fitting: Fitting
    say: Callable[[str], None]
    found: WhatComes = field(default_factory=WhatComes)
    dropped: set[Filing] = field(default_factory=set)  # held and let go again
    _not_come: set[str] = field(default_factory=set)  # first digits of originals
    _known_now: dict[Filing, Sequence[str]] | None = None  # as `ThisLab.known_as`

    @cached_property
    def both(self) -> BothHave:
        """What both labs have of the same files."""
        return BothHave(self.other, self.here, self.index, self.fitting, self._values_of)

    def run(self, steps: Sequence[HistoryStep], progress: Progress) -> WhatComes:
        """Take the steps; nothing but the workplace is changed."""
        done = 0
        for digest, run in groupby(with_settings(steps), lambda pair: pair[0]):
            there = replace(self.other.shaped(digest), root=self.work.root)
            filer = Filer(there, self.index, self.say, in_order=True)
            for group in in_groups([step for _, step in run]):
                exports = [step for step in group if isinstance(step, FiledExport)]
                for some in self._in_turn(exports):
                    self._file(filer, some)
                self._decide([step for step in group if not isinstance(step, FiledExport)])
                done += len(group)
                progress(done, len(steps))
        return self.found

    def leave_out(self, name: str, why: str, sha256: str) -> None:
        """Note of a file that it does not come, and why."""
        self.found.left_out.append(LeftOut(name, why))
        self.found.fates[sha256] = ComesAs.LEFT_OUT
        self._not_come.add(sha256[:16])

    def _leave_open(self, name: str, why: str) -> None:
        """Note what only a person can settle: both labs have it, and say otherwise."""
        self.found.open.append(LeftOut(name, why))

    def _in_turn(self, exports: Sequence[FiledExport]) -> Iterator[list[FiledExport]]:
        """Yield exports in runs of which none is superseded by one before it: that comes first."""
        run: list[FiledExport] = []
        filings: set[Filing] = set()
        for one in exports:
            marks = [self.other.account.withdrawn.get(name) for name in self.other.names_of(one)]
            by = [said.mark.superseded_by for said in marks if said]
            if filings & {filing_of(name) for name in by if name}:
                yield run
                run, filings = [], set()
            run.append(one)
            filings.add(filing_named(one.sha256, one.again))
        if run:
            yield run

    def _file(self, filer: Filer, exports: Sequence[FiledExport]) -> None:
        with_rows = [one for one in exports if self.other.names_of(one)]
        there = rows_there(self.other, [n for one in with_rows for n in self.other.names_of(one)])
        reads = [read for one in with_rows if (read := self._read(one, there))]
        steps = {one.sha256: one for one in exports}
        for entry, outcome in filer.file(reads):
            self._filed(steps[entry.file.sha256], entry.file, outcome)
        self._known_now = None
        known = [self._known(one) for one in exports if not self.other.names_of(one)]
        self.record([record for record in known if record])

    def _read(self, one: FiledExport, there: RowsThere) -> Read | None:
        """Return an export as if a worker had just read it; None, and said why, if it stays."""
        names = self.other.names_of(one)
        own = [there.described[name] for name in names if name in there.described]
        rows = {kind: of_measurements(rows, names) for kind, rows in there.tables.items()}
        rows = {kind: of_kind for kind, of_kind in rows.items() if len(of_kind)}
        why = next((there.wrong[name] for name in names if name in there.wrong), "")
        why = why or self._lacks_before(one)
        why = why or self.fitting.refusal(own, rows, self.other.account.withdrawn.keys() & {*names})
        path = "" if why else self.staging.bring(one.sha256, one.notes)
        if isinstance(path, str):
            self.leave_out(one.name, why or path, one.sha256)
            return None
        notes = self.staging.notes_of(one.sha256, one.notes.name) if one.notes else None
        file = ExportFile(path, one.name, one.folder, one.sha256, notes, one.again)
        decision = one.decision
        if decision and not decision.continues:
            decision = replace(decision, shown=tuple(self.other.superseded_by(one)))
        entry = Entry(
            file,
            [],
            one.assigned,
            decision=decision,
            filed_at=one.at,
            filed_there=self.other.account.contents.keys(),
            marks={each.measurement: mark for each in own if (mark := self._mark(each))},
        )
        keys = tuple(
            Keys(
                each.measurement,
                each.kind,
                there.per[each.kind],
                each.registers,
                each.batch,
                each.panel,
                each.source_row,
                None,
            )
            for each in own
        )
        return Read(entry, Reading(one.sha256, own[0].reader, (), keys, None), rows)

    def _mark(self, one: Described) -> Mark | None:
        """Return the mark that a measurement bears there, and comes with where it must.

        It was retracted; or superseded by what this lab has already, be it by way of others, so
        that the decision for that comes along.
        """
        said = self.other.account.withdrawn.get(one.measurement)
        if said is None:
            return None
        if not said.mark.superseded_by:
            return said.mark
        by, seen = said.mark.superseded_by, {one.measurement}
        while by not in seen:
            seen.add(by)
            if measurement_in(self.index, by):
                return said.mark
            for name in self._values_of(filing_of(by)):
                same = measurement_in(self.index, name)
                if same and same.determination == one.determination:
                    return replace(said.mark, superseded_by=name)
            further = self.other.account.withdrawn.get(by)
            by = (further and further.mark.superseded_by) or by
        return None

    def _lacks_before(self, one: FiledExport) -> str:
        """Say what must come first and does not: an earlier filing, or what it superseded."""
        if one.again and one.sha256[:16] in self._not_come:
            return "an earlier filing of it does not come"
        for name in self.other.superseded_by(one):
            if filing_of(name)[0] in self._not_come:
                return "what it superseded does not come"
        return ""

    def _filed(self, one: FiledExport, file: ExportFile, outcome: Outcome) -> None:
        found = self.found
        match outcome.status:
            case FileStatus.FILED:
                found.measurements += sum(count for *_, count in outcome.tables)
                found.fates[one.sha256] = ComesAs.FILED
            case FileStatus.KNOWN:
                found.fates.setdefault(one.sha256, ComesAs.KNOWN)
            case FileStatus.HELD:
                self._held(one, file, outcome)
            case FileStatus.DAMAGED | FileStatus.WAITING:
                self.leave_out(one.name, outcome.note, one.sha256)

    def _held(self, one: FiledExport, file: ExportFile, outcome: Outcome) -> None:
        """Keep it among the held, unless it would be read otherwise by the settings of this lab."""
        assert outcome.held is not None
        self._not_come.add(one.sha256[:16])
        if one.sha256 in self.here.held:
            self._drop(one)
            self.say(f"{one.name} is held here already: tiecoat held show {outcome.held.id}")
        elif not self.reads_alike(one.settings, self.other.reader_of(one), file):
            self._drop(one)
            said = outcome.held.faults[0].sentence if outcome.held.faults else ""
            why = f"{outcome.held.reason.text} ({said}), and is read otherwise by the settings of"
            why = f"{why} this lab: settle it there, or retract here"
            self.leave_out(one.name, why, one.sha256)
        else:
            self.found.held.append(outcome)
            self.found.fates[one.sha256] = ComesAs.HELD

    def _drop(self, one: FiledExport) -> None:
        drop_held(self.work, one.sha256[:12])
        self.dropped.add((one.sha256, one.again))

    def reads_alike(self, digest: str | None, reader: str, file: ExportFile) -> bool:
        """Say whether this lab would read a file as it was read there, by that reader.

        Where settings differ, the readers are asked: to times with an offset no zone matters.
        """
        there = self.other.shaping(digest)
        theirs, ours = (for_readers(one, {reader}) for one in (there, shaping(self.here.lab)))
        if all(theirs.get(name) == ours.get(name) for name in READING):
            return True
        return self.fitting.reads_alike(file, there)

    # What was known by its values when it came

    def _known(self, one: FiledExport) -> dict[str, Any] | None:
        """Return the record of what was known by its values there, if they are here too."""
        record = self.other.records.get((one.sha256, one.again), {})
        values = record.get("as")
        gone = self._not_come if values is None else {n for n in values if self._is_gone(n)}
        if gone:
            self.leave_out(one.name, "its values were known there, and do not come", one.sha256)
            return None
        why = self.fitting.of_reader(record.get("reader"))
        path = "" if why else self.staging.bring(one.sha256, one.notes)
        if isinstance(path, str):
            self.leave_out(one.name, why or path, one.sha256)
            return None
        self.found.fates.setdefault(one.sha256, ComesAs.KNOWN)
        digest = one.settings or digest_of(shaping(self.other.lab))
        return {**plain(record), "settings": digest, "first_filed": one.at.isoformat()}

    def _is_gone(self, name: str) -> bool:
        there = measurement_in(self.index, name) or self._values_of(filing_of(name))
        return not there

    def _values_of(self, filing: Filing) -> Sequence[str]:
        """Return the measurements that had the values of a filing already when it came here."""
        if filing in self.here.known_as:
            return self.here.known_as[filing]
        if self._known_now is None:
            self._known_now = known_as(Journal(self.work).read())
        return self._known_now.get(filing, ())

    # What was decided

    def _decide(self, steps: Sequence[Withdrawal | Reinstated]) -> None:
        for decision, run in groupby(steps, decision_of):
            if isinstance(decision, Reinstated):
                self._reinstate(decision)
            else:
                every = [step for step in run if isinstance(step, Withdrawal)]
                self._retract(decision, [step.measurement for step in every])

    def _retract(self, mark: Mark, names: Sequence[str]) -> None:
        store = Store(self.work, self.index)
        wanted = [name for name in names if self.here.is_new(name, mark.at)]
        self._warn(mark, wanted)
        others = self.both.with_other_values(wanted)
        for name in sorted(others):
            said = f"{name} was retracted there by {mark.by} ({mark.why}), where it has other"
            self.say(f"{said} values than here: here nothing is changed by that")
        there = [n for n in wanted if n not in others and measurement_in(self.index, n)]
        done = store.retract(there, mark.by, mark.why, mark.at) if there else []
        if done:
            decided = {"measurements": done, "who": mark.by, "why": mark.why}
            withdrawn = [one.as_record() for one in store.withdrawals(done)]
            self.record([{"event": RecordSort.RETRACTED, **decided, "withdrawn": withdrawn}])
            self.found.decided += len(done)

    def _warn(self, mark: Mark, names: Iterable[str]) -> None:
        """Say of values that were retracted there, and count here from another file."""
        for name in names:
            if measurement_in(self.index, name):
                continue
            for other in self._values_of(filing_of(name)):
                one = measurement_in(self.index, other)
                if one and one.withdrawn is None:
                    said = f"was retracted there by {mark.by} ({mark.why}), and the same values"
                    why = f"{said} count here from {one.source_name}: tiecoat retract {other}"
                    self._leave_open(name, f'{why} --why "..."')

    def _reinstate(self, step: Reinstated) -> None:
        store = Store(self.work, self.index)
        new = [name for name in step.measurements if self.here.is_new(name, step.at)]
        others = self.both.with_other_values(new)
        names = [
            name
            for name in new
            if name not in others
            and (one := measurement_in(self.index, name))
            and one.withdrawn == Withdrawn.RETRACTED
        ]
        if not names:
            return
        try:
            store.reinstate(names)
        except QueryInvalid as error:
            self._leave_open(", ".join(names), f"was reinstated there: {error}")
            return
        said = {"measurements": names, "who": step.who, "why": step.why}
        decided = step.at.isoformat() if step.at else None
        self.record([{"event": RecordSort.REINSTATED, **said, "decided": decided}])
        self.found.decided += len(names)

    def tell_against(self) -> list[FiledExport]:
        """Note what counts in both labs with other values, and what counts here and not there.

        Returns
        -------
        list
            The files of which both labs count other values.
        """
        found = list(self.both.contradictions())
        self.found.open += [one for _, one in found]
        for name, one in self.other.account.withdrawn.items():
            self._tell_superseded(name, one.mark)
        return [step for step, _ in found]

    def _tell_superseded(self, name: str, mark: Mark) -> None:
        """Note what was superseded there and counts here, unless it was decided here later."""
        by = mark.superseded_by
        if by is None or filing_of(by)[0] in self._not_come or not self.here.is_new(name, mark.at):
            return
        for own in (name, *self._values_of(filing_of(name))):
            one = measurement_in(self.index, own)
            if one and one.withdrawn is None:
                said = f"was superseded there by {by} ({mark.by}: {mark.why}), and counts here"
                mend = f'if that holds: tiecoat retract {own} --why "...", tiecoat refile {by}'
                self._leave_open(one.source_name, f"{said}; {mend}")

    def record(self, records: Sequence[Mapping[str, Any]]) -> None:
        """Write into the journal of the workplace."""
        Journal(self.work).append(records)


def plain(record: Mapping[str, Any]) -> dict[str, Any]:
    """Return a record of another journal without what binds it to that."""
    bound = {"format", "at", "before", "hash", "merge", "from", "tried_again"}
    own = {name: value for name, value in record.items() if name not in bound}
    return own | ({"format": OF_SEVERAL} if "together_with" in own else {})
