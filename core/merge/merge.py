"""Merging another lab into this one: all of what is new of it, at once or not at all.

It is made in a workplace that begins with the tables of this lab, and swapped in as a whole, with
originals, the held and the records; so a merge that is cut short has either not happened, or is
completed by whoever opens the lab for writing next. What has come before does not come again.
"""

from __future__ import annotations

import contextlib
import json
import secrets
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Any

from tiecoat.archive.index.building import refuse_newer_index
from tiecoat.archive.index.cache import Index
from tiecoat.archive.index.lacking import lacking_in, lost_journal
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import service_lock, write_lock
from tiecoat.archive.opening import open_index
from tiecoat.archive.swap import RECORDS, drop_workplace, swap_in, workplace
from tiecoat.archive.tables.storage import storage_of
from tiecoat.archive.words import Became, RecordSort, Withdrawn
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.held.files import Held, write_held
from tiecoat.intake.inboxes.notes import latest_notes
from tiecoat.intake.outcome import Outcome
from tiecoat.lab.settings import Lab
from tiecoat.lab.shaping import changes, digest_of, for_readers, shaping
from tiecoat.merge.bringing import Bringing, WhatComes, plain
from tiecoat.merge.comes_as import ComesAs
from tiecoat.merge.fitting import Fitting
from tiecoat.merge.here import ThisLab
from tiecoat.merge.other import LeftOut, OtherLab, filing_of, key_of, read_other, reader_named
from tiecoat.merge.staging import Staging
from tiecoat.rebuild.history import FiledExport, HistoryStep, Reinstated
from tiecoat.wording import Told, untold

RETRACTED = Withdrawn.RETRACTED


@dataclass(frozen=True)
class Merged:
    """What came of a merge, or would come: `in_place` says whether it is in this lab.

    `files` counts those of the other lab by what becomes of each, and `here` those that this lab
    had already: together they are all. `held` and `left_out` tell of such files, `open` of what
    both labs have and say otherwise. `changed` lists settings that files were filed by there and
    that are others here, `notices` what is worth knowing.
    """

    files: Mapping[ComesAs, int]
    here: int
    measurements: int
    decided: int
    held: tuple[Outcome, ...]
    left_out: tuple[LeftOut, ...]
    open: tuple[LeftOut, ...]
    changed: tuple[str, ...]
    notices: tuple[str, ...]
    in_place: bool

    @property
    def there(self) -> int:
        """How many files the other lab has."""
        return sum(self.files.values()) + self.here

    @property
    def is_clean(self) -> bool:
        """Whether all that is new came, and both labs say the same of what both have."""
        return not (self.held or self.left_out or self.open)


def merge(
    lab: Lab, folder: str | Path, who: str, *, show: bool = False, told: Told = untold
) -> Merged:
    """Bring what is new of another lab into this one.

    Its files are filed as there, under the same measurements; so are those that wait, and what was
    decided on any of them, with who, when and why. The same determination with other values, or
    what contradicts the register here, is held here. Nothing of the other lab is changed.

    Parameters
    ----------
    show
        Only find out what would come.

    Raises
    ------
    LabInUse
        If a service runs here, or another process is writing.
    QueryInvalid, NotALab
        If the other lab is none, or this one.
    ArchiveDamaged
        If the journal of either is not whole, or a table of this one.
    OSError
        If the disk refuses: all of it has come then, or nothing.
    """
    with service_lock(lab), write_lock(lab):
        refuse_newer_index(lab)
        other = read_other(folder, lab)
        with contextlib.closing(open_index(lab)) as index:
            if said := lost_journal(lab, index) or lacking_in(lab, index):
                raise ArchiveDamaged(said)
        work = workplace(lab)
        _clear(lab, work)
        try:
            return _Merge(lab, other, work, who, show=show).run(told)
        finally:
            drop_workplace(lab)


def _clear(lab: Lab, work: Lab) -> None:
    """Begin anew, but for originals that were staged before a merge was cut short."""
    for part in fsio.paths_in(work.root):
        if part == work.originals:
            continue
        if fsio.is_folder(part):
            fsio.remove_folder(part, lab.stage)
        else:
            fsio.remove(part)
    for part in (work.held, work.journal, work.stage, work.originals):
        fsio.make_dirs(part)


class _Merge:
    def __init__(self, lab: Lab, other: OtherLab, work: Lab, who: str, *, show: bool) -> None:
        self._lab = lab
        self._other = other
        self._work = work
        self._who = who
        self._show = show
        self._here = ThisLab.of(lab)
        self._staging = Staging(other.lab, lab, work, copies=not show)
        self._notices: list[str] = []

    def run(self, told: Told) -> Merged:
        steps = [step for step in self._other.steps if self._is_new(step)]
        Journal(self._work).append([*self._settings()])
        with contextlib.ExitStack() as opened:
            index = opened.enter_context(contextlib.closing(self._index(any_step=bool(steps))))
            bringing = self._bringing(index, opened)
            bringing.run(steps, lambda done, total: told("bringing", done, total))
            self._bring_undecided(bringing)
            otherwise = bringing.tell_against()
        found = bringing.found
        self._tell_otherwise()
        records = self._records(bringing)
        if records and not self._show:
            self._swap(found, records)
        fates = Counter(found.fates.values())
        return Merged(
            {fate: fates[fate] for fate in ComesAs},
            len(self._other.originals - {sha256[:16] for sha256 in found.fates}),
            found.measurements,
            found.decided,
            tuple(found.held),
            tuple(found.left_out),
            tuple(found.open),
            tuple(self._changed([*steps, *otherwise])),
            tuple(dict.fromkeys(self._notices)),
            bool(records) and not self._show,
        )

    def _index(self, *, any_step: bool) -> Index:
        """Return the index of the workplace; without any step that of the lab: none changes."""
        if not any_step:
            return open_index(self._lab)
        storage_of(self._work).begin_as(storage_of(self._lab))
        return open_index(self._work)

    def _bringing(self, index: Index, opened: contextlib.ExitStack) -> Bringing:
        fitting = Fitting(self._lab, self._other.lab, opened)
        say = self._notices.append
        return Bringing(self._other, self._here, self._work, index, self._staging, fitting, say)

    def _is_new(self, step: HistoryStep) -> bool:
        """Say whether a step may bring anything; what a person has discarded here does not."""
        if isinstance(step, FiledExport):
            key = step.sha256, step.again
            return not (key in self._here.filings or self._here.is_discarded(step.sha256))
        if isinstance(step, Reinstated):
            return any(self._here.is_new(name, step.at) for name in step.measurements)
        return self._here.is_new(step.measurement, step.mark.at)

    def _settings(self) -> Iterator[dict[str, Any]]:
        """Yield the settings of both labs: times of one may be those of the other an hour off."""
        own = shaping(self._lab)
        every = {**self._here.settings, digest_of(own): own, **self._other.settings}
        for digest, settings in every.items():
            yield {"event": RecordSort.SETTINGS, "digest": digest, "settings": settings}

    def _changed(self, steps: Sequence[HistoryStep]) -> Iterator[str]:
        """Say which settings are others here, of readers only those that have read anything."""
        readers: dict[str | None, set[str]] = {}
        for step in steps:
            if isinstance(step, FiledExport):
                readers.setdefault(step.settings, set()).add(self._other.reader_of(step))
        said: list[str] = []
        for digest, own in readers.items():
            then, now = self._other.shaping(digest), shaping(self._lab)
            said += changes(for_readers(then, own), for_readers(now, own))
        yield from dict.fromkeys(said)

    # What was not filed there

    def _bring_undecided(self, bringing: Bringing) -> None:
        """Bring what waits there, what was discarded, and what was only the beginning of a file."""
        for held in self._other.held:
            if self._is_wanted(bringing, held.sha256):
                self._bring_held(bringing, held)
        for (sha256, _), record in self._other.records.items():
            match RecordSort.of(record["event"]):
                case RecordSort.DISCARDED:
                    wanted = self._is_wanted(bringing, sha256, Became.HELD)
                    if self._here.account.outcomes.get(sha256) is Became.FILED:
                        name = record.get("name")
                        self._notices.append(f"{name} was discarded there, and is filed here")
                case RecordSort.OVERTAKEN:
                    wanted = self._is_wanted(bringing, sha256)
                case _:
                    wanted = False
            if wanted:
                self._bring_fate(bringing, sha256, record)
        lost = [n for n in self._other.without_step() if n not in self._here.account.contents]
        for (sha256, _), names in groupby(lost, filing_of):
            why = "its original, or its record, is lost there"
            bringing.leave_out(", ".join(names), why, sha256)

    def _is_wanted(self, bringing: Bringing, sha256: str, *but: Became) -> bool:
        """Say whether nothing has become of an original here, or only this."""
        mine = self._here.account.outcomes.get(sha256)
        fate = bringing.found.fates.get(sha256, ComesAs.LEFT_OUT)
        came = fate is not ComesAs.LEFT_OUT or sha256 in self._here.account.overtaken
        return not came and mine in {None, *but}

    def _bring_held(self, bringing: Bringing, held: Held) -> None:
        path = self._staging.bring(held.sha256)
        if isinstance(path, str):
            bringing.leave_out(held.name, path, held.sha256)
            return
        notes = latest_notes(self._other.lab, held.sha256)
        file = ExportFile(path, held.name, held.folder, held.sha256, notes, held.again)
        if not bringing.reads_alike(None, reader_named(held.reader), file):
            why = "is held there, and is read otherwise by the settings of this lab"
            bringing.leave_out(held.name, f"{why}: settle it there", held.sha256)
            return
        write_held(self._work, held, path)
        record = plain(self._other.records.get((held.sha256, held.again), {}))
        record |= {"event": RecordSort.HELD, "name": held.name, "sha256": held.sha256}
        record |= {"held": held.id, "reason": held.reason.code}
        bringing.record([{**record, "settings": digest_of(shaping(self._other.lab))}])
        bringing.found.fates[held.sha256] = ComesAs.WAITING

    def _bring_fate(self, bringing: Bringing, sha256: str, record: Mapping[str, Any]) -> None:
        path = self._staging.bring(sha256)
        if isinstance(path, str):
            bringing.leave_out(str(record.get("name")), path, sha256)
            return
        own = plain(record) | {"decided": record.get("decided", record["at"])}
        bringing.record([own])
        is_discarded = RecordSort.of(record["event"]) is RecordSort.DISCARDED
        bringing.found.fates[sha256] = ComesAs.DISCARDED if is_discarded else ComesAs.GONE_ON

    def _tell_otherwise(self) -> None:
        """Say of files that both labs have what became otherwise of them."""
        for step in self._other.steps:
            if not isinstance(step, FiledExport):
                continue
            ours = self._here.filings.get((step.sha256, step.again))
            if ours is None and self._here.is_discarded(step.sha256):
                self._notices.append(f"{step.name} was discarded here, and is filed there")
            if ours is None:
                continue
            names = self._other.names_of(step)
            places = [
                {one.contents[name].place for name in names if name in one.contents}
                for one in (self._other.account, self._here.account)
            ]
            if ours.assigned != step.assigned or (all(places) and places[0] != places[1]):
                self._notices.append(f"{step.name} is filed here under other ids than there")
        self._tell_retracted_twice()

    def _tell_retracted_twice(self) -> None:
        """Say of what was retracted in both labs, each for its own, whose decision stands."""
        ours = self._here.account.withdrawn
        for name, theirs in self._other.account.withdrawn.items():
            if (mine := ours.get(name)) is None or not (mine.mark.at and theirs.mark.at):
                continue
            both = mine.mark, theirs.mark
            if mine.mark != theirs.mark and {one.withdrawn for one in both} == {RETRACTED}:
                here, there = (f"by {one.by} ({one.why})" for one in both)
                later = "there" if mine.mark.at < theirs.mark.at else "here"
                self._notices.append(
                    f"{name} was retracted here {here}, and there {there}: the later decision"
                    f" stands, that of {later}"
                )

    # Into this lab

    def _records(self, bringing: Bringing) -> list[dict[str, Any]]:
        """Return what is put on record here, without settings that nothing refers to."""
        kept: list[dict[str, Any]] = []
        settings: dict[str, dict[str, Any]] = {}
        files = bringing.found.files
        for record in Journal(self._work).read():
            sort, sha256 = RecordSort.of(record["event"]), record.get("sha256")
            if sort is RecordSort.SETTINGS:
                settings[record["digest"]] = record
            elif sha256 is None or (
                sort is not RecordSort.FILING
                and sha256 in files
                and not (sort is RecordSort.HELD and key_of(record) in bringing.dropped)
            ):
                kept.append(record)
        used = {one.get("settings") for one in kept} - self._here.settings.keys()
        first = [one for digest, one in settings.items() if digest in used]
        return [{"at": one["at"], **plain(one)} for one in (*first, *kept)] if kept else []

    def _swap(self, found: WhatComes, records: Sequence[Mapping[str, Any]]) -> None:
        merge, files = secrets.token_hex(8), found.files
        self._staging.keep_only(files)
        lines = (json.dumps({**one, "merge": merge}) for one in records)
        fsio.publish(self._work.root / RECORDS, "\n".join(lines).encode(), self._work.stage)
        over = self._here.held & files - {one.held.sha256 for one in found.held if one.held}
        swap_in(
            self._lab,
            {
                "event": RecordSort.MERGED,
                "merge": merge,
                "lab": self._other.identity,
                "folder": str(self._other.lab.root),
                "last": self._other.last,
                "who": self._who,
                "files": len(files),
                "measurements": found.measurements,
                "decided": found.decided,
                "held": len(found.held),
                "no_longer_held": [sha256[:12] for sha256 in sorted(over)],
            },
        )
