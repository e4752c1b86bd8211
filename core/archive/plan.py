"""What filing would do, decided against the index before anything on disk changes."""

from __future__ import annotations

import json
from collections import ChainMap
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from enum import StrEnum
from typing import TYPE_CHECKING

from tiecoat.archive.index.cache import Index, measurement_in, registered_elsewhere, valid_in
from tiecoat.archive.tables.contents import Content, Withdrawal
from tiecoat.archive.tables.describe import (
    Described,
    Rule,
    in_words,
    microseconds_at,
    moment_at,
)
from tiecoat.archive.tables.parquet import Mark, Place
from tiecoat.archive.words import Withdrawn

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    import pyarrow as pa

TIME_IN_KEY = 3  # of a determination as the archive writes it
REPLACED = "replaced by a later register row"


class StoreAnswer(StrEnum):
    """What the store says to an export: all of it is in, was in before, or nothing goes in."""

    FILED = "filed"
    KNOWN = "known"
    CONFLICT = "conflict"


@dataclass(frozen=True)
class Incoming:
    """The rows of one export by kind, with batch and panel filled in.

    `by` and `why` are given when a person supersedes: conflicts are then replaced, but for what
    the file itself gives twice, and for what is not among those `shown` to the person, if they
    were. `at` is when it was decided, if not now. `replaceable` are the rows of registers that it
    may take the place of, where these are not all. `marks` are those of its measurements that do
    not count, as was decided where they come from: what takes their place is here already.
    """

    sha256: str
    tables: dict[str, pa.Table]
    by: str | None = None
    why: str = REPLACED
    at: datetime | None = None
    shown: Collection[str] | None = None
    replaceable: Collection[str] | None = None
    marks: Mapping[str, Mark] = field(default_factory=dict)


@dataclass(frozen=True)
class Conflict:
    """A measurement that the archive holds already with other values, or its file has twice.

    Parameters
    ----------
    measurement, row
        The new one, and its first row in the original.
    determination
        Which one it is, in words.
    existing, existing_source
        The one that is there, and the file name it came from.
    of_file
        Whether that is one of the same file.
    key
        The determination as the archive writes it.
    zone
        Where it has the same values at the same time by the clock, read in this zone then.
    """

    measurement: str
    determination: str
    row: int | None
    existing: str
    existing_source: str
    of_file: bool = False
    key: str = ""
    zone: str = ""


@dataclass(frozen=True)
class Filed:
    """What became of one export.

    `measurements` lists those that are new in the archive; for a known file those that hold its
    values already. `withdrawn` lists the earlier ones that no longer count by it. `contents` says
    what stands in the tables of it, and `earlier` which of that was filed by a run that was cut
    short before it could tell.
    """

    sha256: str
    status: StoreAnswer
    measurements: list[str] = field(default_factory=list)
    tables: list[Place] = field(default_factory=list)
    conflicts: list[Conflict] = field(default_factory=list)
    withdrawn: list[Withdrawal] = field(default_factory=list)
    contents: dict[str, Content] = field(default_factory=dict)
    earlier: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class New:
    """A measurement to be filed: its description, and the sorted rows of its kind it stands in."""

    described: Described
    rows: pa.Table
    rule: Rule
    content: Content

    @property
    def place(self) -> Place:
        """The table it goes to."""
        return self.described.kind, self.described.batch


class Plan:
    """Collects what a call of the store will change; files are added in order.

    Parameters
    ----------
    index
        In step with every table that the files touch.
    zones
        In which times of the lab were read, that of now first.
    leaving
        Measurements that are taken for such as count no longer.
    """

    def __init__(
        self, index: Index, zones: Sequence[ZoneInfo] = (), leaving: Collection[str] = ()
    ) -> None:
        self.index = index
        self.zones = zones
        self.leaving = leaving
        self.now = datetime.now(UTC)
        self.new: dict[str, New] = {}
        self.marks: dict[Place, dict[str, Mark | None]] = {}
        self.valid: dict[str, Described] = {}  # new in this call, by determination
        self.panels: dict[tuple[str, str], Described] = {}  # the same of registers, by panel

    def add(self, incoming: Incoming, arriving: Sequence[New]) -> Filed:
        """Decide on one file: all of it goes in, or, with a conflict, nothing of it."""
        draft = _Draft(self, incoming)
        for one in arriving:
            draft.add(one)
        if draft.conflicts:
            return Filed(incoming.sha256, StoreAnswer.CONFLICT, conflicts=draft.conflicts)
        draft.keep()
        return Filed(
            incoming.sha256,
            StoreAnswer.FILED if draft.fresh or draft.withdrawn else StoreAnswer.KNOWN,
            list(draft.fresh) or list(dict.fromkeys(draft.standing)),
            sorted({new.place for new in draft.fresh.values()}),
            withdrawn=draft.withdrawn,
            contents={name: new.content for name, new in draft.fresh.items()},
            earlier=draft.earlier,
        )

    def mark(self, one: Withdrawal) -> None:
        """Have a measurement marked as withdrawn."""
        self.marks.setdefault(one.place, {})[one.measurement] = one.mark

    @property
    def places(self) -> list[Place]:
        """The tables to be replaced: first those that get new measurements, then the others."""
        return list(dict.fromkeys([*(new.place for new in self.new.values()), *self.marks]))


class _Draft:
    """The decisions on one file, while it is open whether all of it can go in."""

    def __init__(self, plan: Plan, incoming: Incoming) -> None:
        self.plan = plan
        self.incoming = incoming
        self.fresh: dict[str, New] = {}
        self.given: dict[str, Described] = {}  # the first of each determination in the file
        self.standing: list[str] = []
        self.earlier: list[str] = []
        self.conflicts: list[Conflict] = []
        self.withdrawn: list[Withdrawal] = []
        self.valid = ChainMap({}, plan.valid)
        self.panels = ChainMap({}, plan.panels)

    def add(self, new: New) -> None:
        one, by_hand = new.described, self.incoming.by is not None
        same = self.valid.get(one.determination) or self._counting(one.determination)
        elsewhere = self._registered_elsewhere(one)
        twin = self.given.setdefault(one.determination, one)
        if self._is_filed(one.measurement):  # by an earlier run that was cut short
            self.standing.append(one.measurement)
            self.earlier.append(one.measurement)
            if by_hand and elsewhere:
                self._supersede(elsewhere, one)
        elif same and same.fingerprint == one.fingerprint and not elsewhere:
            self.standing.append(same.measurement)
        elif (mark := self.incoming.marks.get(one.measurement)) and mark.superseded_by:
            self._accept_as(new, mark)
        elif twin.fingerprint != one.fingerprint and not new.rule.replaces:
            self.conflicts.append(replace(_conflict(one, twin), of_file=True))
        else:
            zone, moved = self._in_another_zone(one)
            against = self._against(new, same, elsewhere, moved)
            if against and mark:
                self._accept_as(new, mark)
            elif against:
                of_zone = zone if against is moved else ""
                self.conflicts.append(replace(_conflict(one, against), zone=of_zone))
            else:
                self._accept(new, [old for old in (same, elsewhere, moved) if old])

    def _against(
        self,
        new: New,
        same: Described | None,
        elsewhere: Described | None,
        moved: Described | None,
    ) -> Described | None:
        """Return the one that counts, contradicts a new one and may not be replaced by it."""
        by_hand = self.incoming.by is not None
        if elsewhere and not (by_hand and self._is_shown(elsewhere)):
            return elsewhere
        if same and not self._may_replace(new, same):
            return same
        return moved if moved and not (by_hand and self._is_shown(moved)) else None

    def _in_another_zone(self, one: Described) -> tuple[str, Described | None]:
        """Return the zone, and the measurement with the same values at the same time of day in it.

        After a change of the lab's zone the same export, or another one of the same
        determinations, would come in a second time, some hours away.
        """
        if one.measured_at is None or one.registers:
            return "", None
        now, *earlier = self.plan.zones or (None,)
        shown = moment_at(one.measured_at).astimezone(now)
        for zone in earlier:
            there = microseconds_at(shown.replace(tzinfo=zone))
            key = json.loads(one.determination)
            key[TIME_IN_KEY] = there
            found = self._counting(json.dumps(key, ensure_ascii=False))
            if found and there != one.measured_at and found.fingerprint == one.fingerprint:
                return zone.key, found
        return "", None

    def _may_replace(self, new: New, old: Described) -> bool:
        """Say whether it takes the place of one that says the same with other values."""
        if new.rule.replaces:
            among = self.incoming.replaceable
            return among is None or old.measurement in among
        return self.incoming.by is not None and self._is_shown(old)

    def _is_shown(self, old: Described) -> bool:
        return self.incoming.shown is None or old.measurement in self.incoming.shown

    def _is_filed(self, measurement: str) -> bool:
        new = measurement in self.fresh or measurement in self.plan.new
        return new or measurement_in(self.plan.index, measurement) is not None

    def _registered_elsewhere(self, one: Described) -> Described | None:
        """Return the valid row of the same register that has the panel in another batch."""
        if not one.registers or one.panel is None:
            return None
        new = self.panels.get((one.kind, one.panel))
        if new is not None and new.batch != one.batch:
            return new
        return self._staying(registered_elsewhere(self.plan.index, one))

    def _counting(self, determination: str) -> Described | None:
        return self._staying(valid_in(self.plan.index, determination))

    def _staying(self, one: Described | None) -> Described | None:
        return None if one is None or one.measurement in self.plan.leaving else one

    def _accept(self, new: New, old: Iterable[Described]) -> None:
        one = new.described
        self.fresh[one.measurement] = new
        self.valid[one.determination] = one
        if one.registers and one.panel is not None:
            self.panels[one.kind, one.panel] = one
        for other in old:
            self._supersede(other, one)

    def _accept_as(self, new: New, mark: Mark) -> None:
        """Have one filed that does not count: it takes the place of none, and contradicts none."""
        one = new.described
        self.fresh[one.measurement] = new
        self.withdrawn.append(Withdrawal(one.measurement, new.place, mark))

    def _supersede(self, old: Described, new: Described) -> None:
        said = self.incoming
        at, by = said.at or self.plan.now, said.by or new.reader
        mark = Mark(Withdrawn.SUPERSEDED, at, by, said.why, new.measurement)
        self.withdrawn.append(Withdrawal(old.measurement, (old.kind, old.batch), mark))

    def keep(self) -> None:
        """Make the decisions part of the plan."""
        self.plan.new.update(self.fresh)
        self.plan.valid.update(self.valid.maps[0])
        self.plan.panels.update(self.panels.maps[0])
        for one in self.withdrawn:
            self.plan.mark(one)


def _conflict(new: Described, old: Described) -> Conflict:
    return Conflict(
        new.measurement,
        in_words(new.determination),
        new.source_row,
        old.measurement,
        old.source_name,
        key=new.determination,
    )
