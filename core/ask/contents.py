"""What an archive holds of each kind, counted by the index: no measurement is looked at."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import TYPE_CHECKING

from tiecoat.archive.tables.describe import moment_at
from tiecoat.remarks import without_unregistered

if TYPE_CHECKING:
    from tiecoat.archive.index.cache import CountedOf, Index


@dataclass(frozen=True)
class KindHolds:
    """How much there is of a kind, and from when to when it was measured (UTC)."""

    kind: str
    batches: int
    panels: int
    measurements: int
    rows: int
    first: datetime | None
    last: datetime | None


@dataclass(frozen=True)
class ArchiveHolds:
    """What an archive holds; `remarks` count the texts that measurements are remarked with."""

    kinds: tuple[KindHolds, ...]
    remarks: Mapping[str, int]


def holds_of(index: Index) -> ArchiveHolds:
    """Return what an index counts; withdrawn measurements are left out."""
    counts = index.counts()
    kinds = groupby(counts, lambda one: one.kind)
    return ArchiveHolds(
        tuple(_of_kind(kind, [*every]) for kind, every in kinds), _remarks(index, counts)
    )


def _of_kind(kind: str, every: list[CountedOf]) -> KindHolds:
    first = min((one.first for one in every if one.first is not None), default=None)
    last = max((one.last for one in every if one.last is not None), default=None)
    return KindHolds(
        kind,
        len({one.batch for one in every}),
        len({one.panel for one in every if one.panel is not None}),
        sum(one.measurements for one in every),
        sum(one.n_rows for one in every),
        None if first is None else moment_at(first),
        None if last is None else moment_at(last),
    )


def _remarks(index: Index, counts: Iterable[CountedOf]) -> Counter[str]:
    """Count remarks; what the register has answered since is none any more."""
    found: Counter[str] = Counter()
    panels, batches = index.registered("panel"), index.registered("batch")
    for one in counts:
        said = one.remark
        if one.panel in panels if one.panel is not None else one.batch in batches:
            said = without_unregistered(said)
        if said:
            found[said] += one.measurements
    return found
