"""What filing would do, decided against the index before anything on disk changes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from itertools import count
from typing import TYPE_CHECKING, Literal

from tiecoat.archive.describe import Described, Rule
from tiecoat.archive.index import Index
from tiecoat.archive.tables import Mark, Place

if TYPE_CHECKING:
    import pyarrow as pa

REPLACED = "replaced by a later register row"


@dataclass(frozen=True)
class Incoming:
    """The rows of one export by kind, with batch and panel filled in."""

    sha256: str
    tables: dict[str, pa.Table]


@dataclass(frozen=True)
class Conflict:
    """A measurement that the archive holds already with other values.

    Parameters
    ----------
    measurement, row
        The new one, and its first row in the original.
    determination
        Which one it is, in words.
    existing, existing_source
        The one that is there, and the file name it came from.
    """

    measurement: str
    determination: str
    row: int | None
    existing: str
    existing_source: str


@dataclass(frozen=True)
class Filed:
    """What became of one export.

    `measurements` lists those that are new in the archive; for a known file those that hold its
    values already. `replaced` lists the earlier ones that no longer count.
    """

    sha256: str
    status: Literal["filed", "known", "conflict"]
    measurements: list[str] = field(default_factory=list)
    tables: list[Place] = field(default_factory=list)
    conflicts: list[Conflict] = field(default_factory=list)
    replaced: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class New:
    """A measurement to be filed: its description, and the sorted rows of its kind it stands in."""

    described: Described
    rows: pa.Table
    rule: Rule

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
    by, why
        Given when a person supersedes: conflicts are then replaced, on that person's word.
    """

    def __init__(self, index: Index, by: str | None = None, why: str | None = None) -> None:
        self._index = index
        self._by = by
        self._why = why
        self._now = datetime.now(UTC)
        self.new: dict[str, New] = {}
        self.marks: dict[Place, dict[str, Mark]] = {}
        self._valid: dict[str, Described] = {}  # of this call, by determination
        self._panels: dict[str, Described] = {}  # of this call, by panel: the register

    def add(self, sha256: str, arriving: Sequence[New]) -> Filed:
        """Decide on one file: all of it goes in, or, with a conflict, nothing of it."""
        draft = _Draft(self)
        for one in arriving:
            draft.add(one)
        if draft.conflicts:
            return Filed(sha256, "conflict", conflicts=draft.conflicts)
        draft.keep()
        places = sorted({one.place for one in draft.new.values()})
        status: Literal["filed", "known"] = "filed" if draft.new or draft.marks else "known"
        names = list(draft.new) if status == "filed" else list(dict.fromkeys(draft.standing))
        replaced = [old.measurement for old, _ in draft.marks]
        return Filed(sha256, status, names, places, replaced=replaced)

    def retract(self, measurements: Iterable[Described]) -> None:
        """Mark measurements as retracted."""
        for one in measurements:
            mark = Mark("retracted", self._now, self._by or "", self._why or "")
            self.marks.setdefault((one.kind, one.batch), {})[one.measurement] = mark

    @property
    def places(self) -> list[Place]:
        """The tables to be replaced: first those that get new measurements, then the others."""
        new = dict.fromkeys(one.place for one in self.new.values())
        return list(dict.fromkeys([*new, *self.marks]))


class _Draft:
    """The decisions on one file, before it is known whether all of it can go in."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._index = plan._index
        self.new: dict[str, New] = {}
        self.standing: list[str] = []
        self.conflicts: list[Conflict] = []
        self.marks: list[tuple[Described, Mark]] = []
        self._valid: dict[str, Described] = {}
        self._panels: dict[str, Described] = {}

    def add(self, new: New) -> None:
        one = new.described
        same = self._same(one)
        elsewhere = self._elsewhere(one)
        filed = self._filed(one.measurement)
        if filed is not None and (not self._by_hand or filed.fingerprint == one.fingerprint):
            self.standing.append(one.measurement)
            if self._by_hand and elsewhere and filed.withdrawn is None:
                self._mark(elsewhere, one)  # a crash came between the two tables
            return
        if same and same.fingerprint == one.fingerprint and not elsewhere:
            self.standing.append(same.measurement)
            return
        old = [other for other in (same, elsewhere) if other]
        if old and not self._by_hand and (elsewhere or not new.rule.replaces):
            self.conflicts += [_conflict(one, other) for other in old]
            return
        self._accept(new if filed is None else self._renamed(new), old)

    @property
    def _by_hand(self) -> bool:
        return self._plan._by is not None

    def _same(self, one: Described) -> Described | None:
        """Return the valid measurement of the same determination."""
        for known in (self._valid, self._plan._valid):
            if found := known.get(one.determination):
                return found
        return self._index.valid(one.determination)

    def _elsewhere(self, one: Described) -> Described | None:
        """Return the register's row for this panel in another batch."""
        if one.kind != "panels" or one.panel is None:
            return None
        for known in (self._panels, self._plan._panels):
            if found := known.get(one.panel):
                return found if found.batch != one.batch else None
        found = self._index.registered(one.panel)
        return found if found and found.batch != one.batch else None

    def _filed(self, measurement: str) -> Described | None:
        for known in (self.new, self._plan.new):
            if found := known.get(measurement):
                return found.described
        return self._index.measurement(measurement)

    def _accept(self, new: New, old: Iterable[Described]) -> None:
        one = new.described
        self.new[one.measurement] = new
        self._valid[one.determination] = one
        if one.kind == "panels" and one.panel is not None:
            self._panels[one.panel] = one
        for other in old:
            self._mark(other, one)

    def _mark(self, old: Described, new: Described) -> None:
        by, why = self._plan._by or new.reader, self._plan._why or REPLACED
        mark = Mark("superseded", self._plan._now, by, why, new.measurement)
        self.marks.append((old, mark))

    def _renamed(self, new: New) -> New:
        """Give another id: the same original, read anew, gave other values than it did before."""
        raise NotImplementedError(count)

    def keep(self) -> None:
        """Make the decisions part of the plan."""
        plan = self._plan
        plan.new |= self.new
        plan._valid |= self._valid
        plan._panels |= self._panels
        for old, mark in self.marks:
            plan.marks.setdefault((old.kind, old.batch), {})[old.measurement] = mark
