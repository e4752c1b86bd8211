"""What both labs have of the same bytes, where they made different things of it.

The same export has the same measurements in both labs. Read by other settings or by another
version of its reader, these have other values or times, or are more or fewer; then one lab is
wrong, and which one only a person can say.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from itertools import islice
from typing import TYPE_CHECKING, Any, TypeAlias

from tiecoat.archive.index.cache import Index, filed_from, measurement_in
from tiecoat.archive.tables.describe import Described
from tiecoat.archive.tables.parquet import of_measurements
from tiecoat.archive.tables.storage import storage_of
from tiecoat.contract.columns import told_of
from tiecoat.merge.fitting import Fitting
from tiecoat.merge.here import ThisLab
from tiecoat.merge.other import Filing, LeftOut, OtherLab, RowsThere, filing_of, rows_there
from tiecoat.rebuild.history import FiledExport
from tiecoat.rebuild.replay import TOGETHER
from tiecoat.rebuild.values import changes_between
from tiecoat.wording import counted

if TYPE_CHECKING:
    import pyarrow as pa

SHOWN = 3  # values of a file, and measurements in a command
_Essence: TypeAlias = tuple[Any, ...]


class BothHave:
    """Compares what both labs have of the same files.

    Parameters
    ----------
    index
        Of the workplace: of this lab, and what has come to it.
    values_of
        Gives the measurements that had the values of a filing already when it came here.
    """

    def __init__(
        self,
        other: OtherLab,
        here: ThisLab,
        index: Index,
        fitting: Fitting,
        values_of: Callable[[Filing], Sequence[str]],
    ) -> None:
        self._other = other
        self._here = here
        self._index = index
        self._fitting = fitting
        self._values_of = values_of

    def with_other_values(self, names: Sequence[str]) -> set[str]:
        """Return those of the measurements that have other values or times here than there."""
        theirs, ours = self._other.account.contents, self._here.account.contents
        both = [name for name in names if name in theirs and name in ours]
        there = self._there([name for name in both if theirs[name] != ours[name]])
        return {
            name
            for name, one in there.described.items()
            if name not in there.wrong
            and (mine := measurement_in(self._index, name))
            and _said(mine) != _said(one)
        }

    def contradictions(self) -> Iterator[tuple[FiledExport, LeftOut]]:
        """Yield the files of which both labs count measurements, and not the same."""
        doubtful = self._doubtful()
        while some := [*islice(doubtful, TOGETHER)]:
            there = self._there([name for _, names in some for name in names])
            for step, names in some:
                if why := self._of_file(step, names, there):
                    yield step, LeftOut(step.name, why)

    def _there(self, names: Sequence[str]) -> RowsThere:
        """Return rows of the other lab; tables that are of another version of a kind are wrong."""
        there = rows_there(self._other, names)
        for kind, rows in there.tables.items():
            if why := self._fitting.of_kind(kind, rows.schema):
                there.wrong |= dict.fromkeys(rows["measurement"].unique().to_pylist(), why)
        return there

    def _doubtful(self) -> Iterator[tuple[FiledExport, list[str]]]:
        """Yield files that both have filed, with what counts there and is not the same for sure."""
        ours = {sha256 for sha256, _ in self._here.filings}
        theirs: dict[str, tuple[FiledExport, list[str]]] = {}
        for step in self._other.steps:
            if isinstance(step, FiledExport) and step.sha256 in ours:
                _, names = theirs.setdefault(step.sha256, (step, []))
                names += self._other.values_of(step)
        account = self._other.account
        for step, every in theirs.values():
            names = [name for name in dict.fromkeys(every) if name in account.contents]
            names = [name for name in names if name not in account.withdrawn]
            mine = self._here.account
            if any(
                mine.contents.get(name) != account.contents[name] or name in mine.withdrawn
                for name in names
            ):
                yield step, names

    def _of_file(self, step: FiledExport, names: Sequence[str], there: RowsThere) -> str:
        """Say what is otherwise of a file; "" if nothing is, or nothing of it counts here."""
        mine = [one for one in self._of_here(step.sha256) if one.withdrawn is None]
        if not mine:
            return ""
        if wrong := next((there.wrong[name] for name in names if name in there.wrong), ""):
            return f"both labs have it, and whether as the same cannot be told: {wrong}"
        said_here = {_said(one) for one in mine}
        said_there = {_said(there.described[name]) for name in names}
        refiled = {filing_of(one.measurement) for one in mine if one.source_sha256 == step.sha256}
        wrong_here = [
            name
            for name in names
            if _said(there.described[name]) not in said_here
            and not (self._is_withdrawn(name) and refiled <= {filing_of(name)})
        ]
        more_here = [
            one.measurement
            for one in mine
            if _said(one) not in said_there and one.measurement not in self._other.account.contents
        ]
        if not wrong_here and not more_here:
            return ""
        return self._told(wrong_here, names, mine, there)

    def _of_here(self, sha256: str) -> Iterator[Described]:
        """Yield what this lab has of an original, under its own name or another."""
        yield from filed_from(self._index, sha256)
        for filing_sha256, again in self._here.filings:
            if filing_sha256 == sha256:
                names = self._values_of((sha256[:16], again))
                yield from filter(None, (measurement_in(self._index, name) for name in names))

    def _is_withdrawn(self, name: str) -> bool:
        one = measurement_in(self._index, name)
        return one is not None and one.withdrawn is not None

    def _told(
        self,
        wrong: Sequence[str],
        names: Sequence[str],
        mine: Sequence[Described],
        there: RowsThere,
    ) -> str:
        by_name = {one.measurement: one for one in mine}
        said = [
            change
            for name in wrong
            if name in by_name
            for change in self._changes(by_name[name], there)
        ]
        if not said:
            said = [f"{counted(len(names), 'measurement')} there, {len(mine):,} others here"]
        more = f"; and {len(said) - SHOWN:,} more" if len(said) > SHOWN else ""
        own = " ".join([one.measurement for one in mine][:SHOWN])
        return (
            f"both labs have it, read otherwise: {'; '.join(said[:SHOWN])}{more}. In the lab that"
            " has it wrong mend what it is read by (settings, reader), then: tiecoat retract"
            f' {own} --why "..." and tiecoat refile {mine[0].measurement}; there with --lab'
            f" {self._other.lab.root}"
        )

    def _changes(self, one: Described, there: RowsThere) -> Iterator[str]:
        theirs = of_measurements(there.tables[one.kind], [one.measurement])
        kept = storage_of(self._here.lab).read((one.kind, one.batch))
        ours = of_measurements(kept, [one.measurement])
        wanted = {"measured_at", *_values(ours), *_values(theirs)}
        for change in changes_between((one.kind, one.kind), theirs, ours):
            if change.column in wanted:
                yield change.told("there", "here")


def _values(rows: pa.Table) -> Iterator[str]:
    return (field.name for field in rows.schema if told_of(field).role == "value")


def _said(one: Described) -> _Essence:
    """Return what a measurement says: its values and time; which ids it has only in a register."""
    kind, batch, panel, at, identity = json.loads(one.determination)
    ids = (batch, panel) if one.registers else ()
    return kind, at, json.dumps(identity), one.fingerprint, *ids
