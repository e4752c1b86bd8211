"""The index against tables and journal: a cache, from which answers come all the same."""

from __future__ import annotations

from collections.abc import Iterator
from heapq import merge
from itertools import groupby

from tiecoat.archive.account import Account
from tiecoat.archive.index.cache import Index, Original
from tiecoat.archive.index.catching_up import stale
from tiecoat.archive.tables.parquet import Place
from tiecoat.archive.tables.storage import storage_of
from tiecoat.archive.words import Became
from tiecoat.errors import ArchiveDamaged
from tiecoat.lab.settings import Lab
from tiecoat.verify.report import Damage, DamageFound
from tiecoat.verify.tables import SHOWN, CheckedTable

WHERE = "index.sqlite"


class AgainstIndex:
    """Compares what stands in the tables, one after the other, with what an index knows."""

    def __init__(self, index: Index) -> None:
        self._index = index
        self._seen: set[Place] = set()
        self._count = 0
        self._unlike: list[str] = []
        self._fault = ""
        self._passed_over = False

    def see(self, table: CheckedTable) -> None:
        """Compare one table, but one that is passed over."""
        self._passed_over |= table.passed_over
        if table.passed_over:
            return
        kind, batch = table.place
        try:
            every = self._index.measurements(kind=kind, batch=batch, withdrawn=True)
        except ArchiveDamaged as error:
            self._fault = str(error).partition("\n")[0]
            return
        known = {one.measurement: one for one in every}
        self._seen.add(table.place)
        self._count += len(known)
        names = known.keys() | table.described.keys()
        self._unlike += [name for name in names if known.get(name) != table.described.get(name)]

    def findings(self, lab: Lab, account: Account, *, are_sound: bool) -> Iterator[DamageFound]:
        """Yield what it does not know as it is, once all were seen.

        Parameters
        ----------
        are_sound
            Whether the tables are: what is wrong with them is told already.
        """
        try:
            for place in _behind(lab, self._index) if are_sound else ():
                said = f"{storage_of(lab).name(place)} is not as the index knows it"
                yield DamageFound(Damage.INDEX_DIFFERS, WHERE, said)
            if self._fault:
                yield DamageFound(Damage.INDEX_DIFFERS, WHERE, self._fault)
                return
            unlike = sorted([*self._unlike, *self._beyond()]) if are_sound else []
            if unlike:
                said = f"it does not know {len(unlike):,} measurements as the tables have them"
                shown = ", ".join(unlike[:SHOWN])
                yield DamageFound(Damage.INDEX_DIFFERS, WHERE, f"{said}: {shown}")
            yield from _originals(self._index, account)
        except ArchiveDamaged as error:
            yield DamageFound(Damage.INDEX_DIFFERS, WHERE, str(error).partition("\n")[0])

    def _beyond(self) -> list[str]:
        """Return what it knows in tables that are not there, once all were read."""
        if self._passed_over or self._index.count(withdrawn=True) == self._count:
            return []
        every = self._index.measurements(withdrawn=True)
        return [one.measurement for one in every if (one.kind, one.batch) not in self._seen]


def _behind(lab: Lab, index: Index) -> Iterator[Place]:
    """Yield the tables that the index has missed.

    In a copy of a lab all are merely younger: what stands in them is compared in any case.
    """
    known, unfinished = index.tables(), {*index.unfinished()}
    for place in stale(lab, index):
        state, version = known.get(place), storage_of(lab).version(place)
        if place in unfinished or not (state and version) or state.size != version.size:
            yield place


def _originals(index: Index, account: Account) -> Iterator[DamageFound]:
    """Yield what index and journal say otherwise of an original; both go by their SHA-256."""
    said = ((sha256, outcome) for sha256, outcome in account.outcomes.each())
    known = ((one.sha256, one) for one in index.each_original())
    together: Iterator[tuple[str, Became | Original]] = merge(said, known, key=lambda one: one[0])
    for sha256, every in groupby(together, lambda one: one[0]):
        outcome: Became | None = None
        original: Original | None = None
        for _, one in every:
            if isinstance(one, Original):
                original = one
            else:
                outcome = one
        if original is not None and sha256 not in account.names:
            words = f"the index knows {original.name} as {original.outcome}, the journal does not"
            yield DamageFound(Damage.NOT_IN_JOURNAL, f"original {sha256}", words)
        agrees = original and original.outcome in {outcome, Became.HELD}
        if outcome not in {None, Became.HELD} and not agrees:
            words = f"it does not know {account.names[sha256]} as {outcome}"
            yield DamageFound(Damage.INDEX_DIFFERS, WHERE, words)
