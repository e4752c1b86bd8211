"""An export of which a part was filed before: the same measurements continued, no conflict.

A file that was filed while its instrument still wrote comes again with more rows. What was filed of
it stays on record, superseded by the longer one. That it is the same is seen by its rows: the first
ones are those that were filed; or by its bytes, as the last row may have been half written then.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from tiecoat.archive.index.cache import Index, filed_from, measurement_in
from tiecoat.archive.plan import Conflict, Filed, Incoming, StoreAnswer
from tiecoat.archive.store import Store
from tiecoat.archive.tables.describe import Described, Rule, describe
from tiecoat.archive.tables.parquet import in_order
from tiecoat.archive.tables.storage import storage_of
from tiecoat.disk import fsio
from tiecoat.intake.filing.entry import Decision, Entry
from tiecoat.intake.inboxes.preserve import original_of
from tiecoat.lab.settings import Lab
from tiecoat.wording import counted

if TYPE_CHECKING:
    import pyarrow as pa

WHO = "tiecoat"  # decides it
BLOCK = 1 << 20


@dataclass(frozen=True)
class Continued:
    """What of an export is to be filed: without `incoming` nothing, as all of it is in already.

    `decision` has what it continues superseded; `note` tells it.
    """

    incoming: Incoming | None
    decision: Decision | None
    note: str


def continuation(why: str, superseded: Iterable[str]) -> Decision:
    """Return the decision that nobody has to take: to go on with what was filed before."""
    return Decision(WHO, why, tuple(superseded), continues=True)


class Continuing:
    """Tells exports that continue others from those that contradict them."""

    def __init__(self, lab: Lab, index: Index) -> None:
        self._lab = lab
        self._index = index
        self._tables = storage_of(lab)

    def resolved(self, entry: Entry, incoming: Incoming, filed: Filed) -> Continued | None:
        """Return how an export in conflict can be filed all the same; None if it contradicts."""
        if entry.decision and not entry.decision.continues:
            return None  # a person has decided what may be superseded
        longer: list[Described] = []
        shorter: list[Conflict] = []
        for conflict in filed.conflicts:
            old = None if conflict.of_file else measurement_in(self._index, conflict.existing)
            if old is None or conflict.zone:  # its times were read in another zone: people decide
                return None
            new = _rows_of(incoming, old.kind, conflict.measurement)
            if self._goes_on(entry, new, old):
                longer.append(old)
            elif self._is_in(new, old):
                shorter.append(conflict)
            else:
                return None
        left = _without(incoming, {one.measurement for one in shorter})
        if not longer:
            sources = ", ".join(sorted({one.existing_source for one in shorter}))
            return Continued(left, None, f"it is the beginning of what was filed from {sources}")
        rows = counted(sum(old.n_rows for old in longer), "row")
        sources = ", ".join(sorted({old.source_name for old in longer}))
        why = f"continued: {rows} were filed from {sources} before"
        decision = continuation(why, [old.measurement for old in longer])
        return Continued(left, decision, why)

    def only_adds(self, entry: Entry, incoming: Incoming, store: Store) -> bool:
        """Say whether a file that was filed and has changed has all that was filed of it still."""
        before = entry.filed_as
        if before is None or self._is_grown(entry.file.path, before):
            return True
        (would,) = store.would_file([incoming])
        if would.status is not StoreAnswer.FILED:
            return True  # a conflict is looked into, and what is known is no trouble
        valid = [one for one in filed_from(self._index, before) if one.withdrawn is None]
        measurements = sum(len(rows["measurement"].unique()) for rows in incoming.tables.values())
        return measurements - len(would.measurements) >= len(valid)

    def _goes_on(self, entry: Entry, new: pa.Table, old: Described) -> bool:
        if old.n_rows < len(new) and _print_of(new, old.n_rows) == old.fingerprint:
            return True
        return old.n_rows <= len(new) and self._is_grown(entry.file.path, old.source_sha256)

    def _is_in(self, new: pa.Table, old: Described) -> bool:
        """Say whether it is the beginning of what was filed."""
        if len(new) >= old.n_rows:
            return False
        rows = self._tables.read((old.kind, old.batch))
        return _print_of(_of(rows, old.measurement), len(new)) == _print_of(new, len(new))

    def _is_grown(self, path: Path, before: str) -> bool:
        original = original_of(self._lab, before)
        return original is not None and begins_with(path, original)


def begins_with(path: Path, beginning: Path) -> bool:
    """Say whether a file is longer than another and begins with it, but for reserved room.

    Of several files that are one export it is their rows that tell.
    """
    if fsio.is_folder(path) or fsio.is_folder(beginning):
        return False
    with path.open("rb") as longer, beginning.open("rb") as shorter:
        grown = path.stat().st_size > beginning.stat().st_size
        while block := shorter.read(BLOCK):
            other = longer.read(len(block))
            if block != other:
                filled = block.rstrip(b"\0")
                return (
                    other.startswith(filled) and filled != block and not shorter.read().strip(b"\0")
                )
    return grown


def _rows_of(incoming: Incoming, kind: str, measurement: str) -> pa.Table:
    return _of(incoming.tables[kind], measurement)


def _of(rows: pa.Table, measurement: str) -> pa.Table:
    import pyarrow.compute as pc

    return rows.filter(pc.equal(rows["measurement"], measurement))


def _print_of(rows: pa.Table, count: int) -> str | None:
    """Return the fingerprint of the first rows of a measurement, as its file has them."""
    if not len(rows) or rows["source_row"].null_count:
        return None
    first = rows.sort_by("source_row").slice(0, count)
    rule = Rule.of(rows.schema)
    return describe(in_order(first, rule.order), rule)[0].fingerprint


def _without(incoming: Incoming, measurements: set[str]) -> Incoming | None:
    """Return the rows of all other measurements; None if there are none."""
    if not measurements:
        return incoming
    import pyarrow as pa
    import pyarrow.compute as pc

    gone = pa.array(sorted(measurements), pa.string())
    left: Mapping[str, pa.Table] = {
        kind: rows.filter(pc.invert(pc.is_in(rows["measurement"], gone)))
        for kind, rows in incoming.tables.items()
    }
    tables = {kind: rows for kind, rows in left.items() if len(rows)}
    return replace(incoming, tables=tables) if tables else None
