"""Filing measurements into the tables: new ones, superseded ones, retracted ones.

Every change decides first (plan.py), then replaces each table that is touched once, whole, and
then tells the index. A crash in between leaves tables that are each right in themselves; what the
index does not know of is looked up at the next call, and filing the same export again completes
what is missing and repeats nothing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from tiecoat.archive.decided import decisions, refuse_to_reinstate, undone
from tiecoat.archive.index.cache import Index, TableState, measurement_in
from tiecoat.archive.index.catching_up import differs, refresh
from tiecoat.archive.index.lacking import lacking_words
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.plan import Conflict, Filed, Incoming, New, Plan
from tiecoat.archive.tables.contents import Content, Withdrawal, contents_of, withdrawals_of
from tiecoat.archive.tables.describe import Described, Rule, describe
from tiecoat.archive.tables.parquet import Mark, Place, in_order, unite, with_marks
from tiecoat.archive.tables.storage import storage_of
from tiecoat.archive.words import Withdrawn
from tiecoat.contract.changes import digest_of_schema
from tiecoat.disk.steps import reached
from tiecoat.errors import ArchiveDamaged, UnknownName
from tiecoat.lab.settings import Lab

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    import pyarrow as pa

__all__ = ["Conflict", "Filed", "Incoming", "Store"]


class Store:
    """Changes the archive of a lab. The caller holds the write lock during every call.

    Parameters
    ----------
    lab, index
        The lab and its open index.
    zones
        In which times of the lab were read, that of now first; see `zones_of`.
    """

    def __init__(self, lab: Lab, index: Index, zones: Sequence[ZoneInfo] = ()) -> None:
        self._zones = zones
        self._lab = lab
        self._index = index
        self._tables = storage_of(lab)

    def file(self, incoming: Sequence[Incoming]) -> list[Filed]:
        """File exports, in this order.

        Returns
        -------
        list
            For each export what became of it. With one conflict nothing of it is filed. Values
            that are there already under the same determination are known and not filed twice.
            What a run has filed that was cut short is among its contents all the same.

        Raises
        ------
        ArchiveDamaged
            If a table that must be extended does not open, or lacks what was filed in it.
        OSError
            If the disk refuses; whatever was replaced by then is complete, and filing the same
            exports again does the rest.
        """
        arriving = self._arriving(incoming)
        plan = Plan(self._index, self._zones)
        results = [plan.add(one, arriving[one.sha256]) for one in incoming]
        self._carry_out(plan)
        return [self._with_earlier(one) if one.earlier else one for one in results]

    def would_file(
        self, incoming: Sequence[Incoming], leaving: Collection[str] = ()
    ) -> list[Filed]:
        """Return what filing exports would do, and do nothing of it; raises what `file` does.

        Parameters
        ----------
        leaving
            Measurements that are taken for such as count no longer.
        """
        arriving = self._arriving(incoming)
        plan = Plan(self._index, self._zones, leaving)
        return [plan.add(one, arriving[one.sha256]) for one in incoming]

    def retract(
        self,
        measurements: Sequence[str],
        who: str,
        why: str,
        at: datetime | None = None,
        decided: Callable[[list[Withdrawal]], None] = lambda marks: None,
    ) -> list[str]:
        """Mark measurements as retracted, at this time or now; their rows stay.

        Parameters
        ----------
        at
            When it was decided, if not now: one that was retracted before that bears this mark
            from now on, as the later of two decisions counts.
        decided
            Called with the marks, those too that some of them bore before, as the last thing before
            tables are replaced. What is on record by then is completed after a crash: `complete`.

        Returns
        -------
        list
            Those that bear the mark now and did not; others that were withdrawn stay as they are.

        Raises
        ------
        UnknownName
            If one of them is not in the archive: then nothing is changed.
        ArchiveDamaged, OSError
            As `file` does.
        """
        every = self._to_amend(measurements)
        mark = Mark(Withdrawn.RETRACTED, at or datetime.now(UTC), who, why)
        before = self.withdrawals([one.measurement for one in every if one.withdrawn is not None])
        earlier = {one.measurement for one in before if at and _is_earlier(one.mark, at)}
        marked = [one for one in every if one.withdrawn is None or one.measurement in earlier]
        marks = [Withdrawal(one.measurement, (one.kind, one.batch), mark) for one in marked]
        plan = Plan(self._index)
        for one in marks:
            plan.mark(one)
        self._carry_out(plan, lambda: decided([*before, *marks]))
        return [one.measurement for one in marked]

    def reinstate(
        self, measurements: Sequence[str], decided: Callable[[], None] = lambda: None
    ) -> list[str]:
        """Have measurements that were retracted count again.

        Parameters
        ----------
        decided
            As for `retract`.

        Returns
        -------
        list
            Those that count again now; one that counts already stays as it is.

        Raises
        ------
        UnknownName
            If one of them is not in the archive: then nothing is changed.
        QueryInvalid
            If one was superseded, or what it says counts by another measurement already.
        ArchiveDamaged, OSError
            As `file` does.
        """
        every = self._to_amend(measurements)
        retracted = [one for one in every if one.withdrawn is not None]
        refuse_to_reinstate(self._index, retracted)
        plan = Plan(self._index)
        for one in retracted:
            plan.marks.setdefault((one.kind, one.batch), {})[one.measurement] = None
        self._carry_out(plan, decided)
        return [one.measurement for one in retracted]

    def complete(self) -> None:
        """Complete the retractions and reinstatements that a crash cut short.

        They are on record before the first table is replaced; a table that does not open waits. The
        index still takes these tables for such as it may be behind of.
        """
        unfinished = self._index.unfinished()
        decided = decisions(Journal(self._lab).read_last()) if unfinished else {}
        for place in unfinished if decided else []:
            with suppress(ArchiveDamaged, FileNotFoundError):
                plan = Plan(self._index)
                described = describe(self._tables.read(place))
                plan.marks[place] = dict(undone(described, decided))
                if plan.marks[place]:
                    self._replace(plan)

    def _to_amend(self, measurements: Sequence[str]) -> list[Described]:
        """Return measurements as their tables have them now, once it is sure that those open."""
        self._bring_up_to_date({})
        places = {(one.kind, one.batch) for one in self._known(measurements)}
        self._bring_up_to_date(dict.fromkeys(places))
        for place in places:
            self._tables.read(place)
        return self._known(measurements)

    def withdrawals(self, measurements: Sequence[str]) -> list[Withdrawal]:
        """Return those of these measurements that are withdrawn, as the tables have them."""
        wanted = set(measurements)
        places = [(one.kind, one.batch) for one in self._known(measurements)]
        _, withdrawn = self._standing(places)
        return [one for one in withdrawn if one.measurement in wanted]

    def _with_earlier(self, filed: Filed) -> Filed:
        """Add what a run that was cut short has filed of an export, as the tables have it."""
        own = set(filed.earlier)
        known = self._known(filed.earlier)
        places = {(one.kind, one.batch) for one in known}
        for one in known:
            if (
                one.registers and one.panel is not None
            ):  # a panel's earlier row may stand in another batch
                rows = self._index.measurements(kind=one.kind, panel=one.panel, withdrawn=True)
                places |= {(row.kind, row.batch) for row in rows}
        contents, withdrawn = self._standing(places)
        new = {one.measurement for one in filed.withdrawn}
        earlier = [
            one for one in withdrawn if one.mark.superseded_by in own and one.measurement not in new
        ]
        mine = {name: content for name, content in contents.items() if name in own}
        return replace(
            filed, contents={**mine, **filed.contents}, withdrawn=[*earlier, *filed.withdrawn]
        )

    def _standing(self, places: Iterable[Place]) -> tuple[dict[str, Content], list[Withdrawal]]:
        """Return what stands in tables, and what of it is withdrawn."""
        contents: dict[str, Content] = {}
        withdrawn: list[Withdrawal] = []
        for place in sorted(set(places)):
            rows = self._tables.read(place)
            described = describe(rows)
            contents |= contents_of(rows, described)
            withdrawn += withdrawals_of(rows, described)
        return contents, withdrawn

    def _known(self, measurements: Sequence[str]) -> list[Described]:
        found = {name: measurement_in(self._index, name) for name in measurements}
        if unknown := [name for name, one in found.items() if one is None]:
            raise UnknownName(f"no such measurement: {', '.join(unknown)}; nothing was changed")
        return [one for one in found.values() if one]

    def _arriving(self, incoming: Iterable[Incoming]) -> dict[str, list[New]]:
        """Sort and describe all that arrives, one kind at a time, and list it by original."""
        by_kind: dict[str, list[pa.Table]] = defaultdict(list)
        for one in incoming:
            for kind, rows in one.tables.items():
                by_kind[kind].append(rows)
        arriving: dict[str, list[New]] = defaultdict(list)
        touched: dict[Place, Rule | None] = {}
        for tables in by_kind.values():
            rows = unite(tables)
            rule = Rule.of(rows.schema)
            rows = in_order(rows, rule.order)
            all_described = describe(rows, rule)
            contents = contents_of(rows, all_described)
            for described in all_described:
                new = New(described, rows, rule, contents[described.measurement])
                arriving[described.source_sha256].append(new)
                touched[new.place] = rule
        self._bring_up_to_date(touched)
        for news in arriving.values():
            news.sort(key=lambda new: new.described.measurement)
        self._refuse_damaged([new for news in arriving.values() for new in news])
        return arriving

    def _refuse_damaged(self, arriving: Sequence[New]) -> None:
        """Let nothing into a table that lacks what was filed in it, but just that.

        What is lacking is not known, so that its values would come in as new a second time.
        """
        for place in dict.fromkeys(new.place for new in arriving):
            lacking = self._index.lacking(*place)
            own = {new.described.measurement for new in arriving if new.place == place}
            own -= set(lacking.get(place, ()))
            if lacking and any(measurement_in(self._index, name) is None for name in own):
                raise ArchiveDamaged(lacking_words(self._lab, lacking))

    def _bring_up_to_date(self, touched: dict[Place, Rule | None]) -> None:
        """Look up what the index may not know: a crash may have come before it was told."""
        self.complete()
        unfinished = set(self._index.unfinished())
        for place in dict.fromkeys([*touched, *sorted(unfinished)]):
            rule = touched.get(place)
            if place in unfinished or differs(self._lab, self._index, place, rule):
                refresh(self._lab, self._index, place, rule)

    def _carry_out(self, plan: Plan, decided: Callable[[], None] = lambda: None) -> None:
        if not plan.places:
            decided()
            return
        self._index.begin(plan.places)
        reached("announced")
        decided()
        states = self._replace(plan)
        withdrawn = [
            (measurement, mark.withdrawn if mark else None)
            for marks in plan.marks.values()
            for measurement, mark in marks.items()
        ]
        self._index.filed(states, (one.described for one in plan.new.values()), withdrawn)
        reached("indexed")

    def _replace(self, plan: Plan) -> dict[Place, TableState]:
        """Replace every table of the plan, whole, and return their new states."""
        new: dict[Place, list[New]] = defaultdict(list)
        for one in plan.new.values():
            new[one.place].append(one)
        made: dict[Place, tuple[int, str, str]] = {}

        def rewritten() -> Iterator[tuple[Place, pa.Table]]:
            for place in plan.places:
                rows, rule = self._rewritten(place, new[place], plan.marks.get(place, {}))
                made[place] = len(rows), rule.text, digest_of_schema(rows.schema)
                yield place, rows

        return {
            place: TableState(version.size, version.mtime_ns, *made[place])
            for place, version in self._tables.replace(rewritten()).items()
        }

    def _rewritten(
        self, place: Place, new: Sequence[New], marks: Mapping[str, Mark | None]
    ) -> tuple[pa.Table, Rule]:
        """Return a table's rows with new ones added and some marked, in order, and their rule."""
        import pyarrow as pa

        parts = [self._tables.read(place)] if self._tables.version(place) else []
        if new:
            own = [(one.rows, one.described.start, one.described.n_rows) for one in new]
            parts.append(pa.concat_tables(rows.slice(start, count) for rows, start, count in own))
        rows = unite(parts)
        rule = Rule.of(rows.schema)
        return with_marks(in_order(rows, rule.order), marks), rule


def _is_earlier(mark: Mark, at: datetime) -> bool:
    return mark.withdrawn == Withdrawn.RETRACTED and mark.at is not None and mark.at < at
