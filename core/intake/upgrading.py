"""Taking up what has changed of kinds: their tables follow before anything else is filed."""

from __future__ import annotations

import contextlib
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

import pyarrow as pa

from tiecoat.archive.index.cache import Index
from tiecoat.archive.lock import service_lock
from tiecoat.archive.opening import cut_short, open_index
from tiecoat.archive.tables.storage import storage_of
from tiecoat.archive.upgrade.carrying_out import (
    KindsToday,
    NotMigrated,
    Upgraded,
    carry_out,
    try_out,
)
from tiecoat.archive.upgrade.in_place import COMPLETE
from tiecoat.archive.upgrade.planning import KindUpgrade, upgrades
from tiecoat.contract.changes import ColumnChange, changes_of_rules
from tiecoat.errors import ArchiveDamaged, LabInUse
from tiecoat.intake.workers.pool import ReaderPool, failure_of, words_of
from tiecoat.intake.workers.sending import from_stream, to_stream
from tiecoat.lab.settings import Lab
from tiecoat.wording import Told, untold

BROKEN = (
    "What is filed would break that: take the kind of before, or retract what is wrong; where rows"
    " must change for it, raise the version and give it a function migrate(frame, from_version)"
)


@dataclass(frozen=True)
class TablesToday:
    """How the tables of a lab stand to its kinds.

    `changed` are those whose tables are not as they are today. `absent` maps kinds with tables that
    no plugin brings to the number of these; they stay as they are. `problems` says which plugins
    were left out.
    """

    changed: tuple[KindUpgrade, ...]
    absent: Mapping[str, int]
    problems: tuple[str, ...]


def tables_today(lab: Lab, told: Told = untold) -> tuple[TablesToday, Upgraded]:
    """Say how the tables of a lab stand to its kinds, and what would come of an upgrade.

    The rows are taken along as an upgrade does, and let go again: nothing is changed.

    Raises
    ------
    ArchiveDamaged
        If something was cut short in its last steps: to complete it is no matter of showing.
    PluginNotLoaded
        If loading the plugins does not come to an end.
    """
    if said := cut_short(lab):
        raise ArchiveDamaged(f"{said}: it is complete, and not wholly in its place.\n{COMPLETE}")
    with contextlib.closing(open_index(lab)) as index, ReaderPool(lab) as pool:
        pool.load()
        found = try_out(lab, index, _kinds_today(pool), told)
        today = _today(lab, index, pool)
        _keep_to_rules(lab, index, pool, found, [one.kind for one in today.changed])
        return today, found


def _today(lab: Lab, index: Index, pool: ReaderPool) -> TablesToday:
    absent: dict[str, int] = {}
    for kind, _ in index.tables():
        if kind not in pool.kinds:
            absent[kind] = absent.get(kind, 0) + 1
    return TablesToday(tuple(upgrades(lab, index, pool.kinds)), absent, pool.left_out())


def upgrade(lab: Lab, told: Told = untold) -> tuple[TablesToday, Upgraded]:
    """Have the tables of every kind follow that can; return how they stood, and what came of it.

    Raises
    ------
    LabInUse
        If a service runs, which follows by itself, or another process is writing.
    PluginNotLoaded
        As `tables_today` does.
    OSError
        If the disk refuses; whoever opens the lab next completes what was ready.
    """
    with (
        _no_service(lab),
        contextlib.closing(open_index(lab)) as index,
        ReaderPool(lab) as pool,
    ):
        pool.load()
        before = _today(lab, index, pool)
        return before, _follow(lab, index, pool, told)


@contextlib.contextmanager
def _no_service(lab: Lab) -> Iterator[None]:
    with contextlib.ExitStack() as stack:
        try:
            stack.enter_context(service_lock(lab))
        except LabInUse as error:
            raise LabInUse(
                f"{error}\nA service that runs follows by itself: see tiecoat service status"
            ) from error
        yield


def follow_kinds(lab: Lab, index: Index, pool: ReaderPool, told: Told = untold) -> Upgraded:
    """Have the tables follow what the pool has loaded, unless another process serves the lab.

    Raises
    ------
    OSError, LabInUse
        As `upgrade` does.
    """
    found = upgrades(lab, index, pool.kinds)
    if all(one.refused for one in found) and not _other_rules(index, pool):
        return Upgraded(refused={one.kind: one.refused for one in found})
    with contextlib.ExitStack() as stack:
        try:
            stack.enter_context(service_lock(lab))
        except LabInUse:  # its workers may still have the kinds of before: what differs is held
            return Upgraded()
        return _follow(lab, index, pool, told)


def _follow(
    lab: Lab,
    index: Index,
    pool: ReaderPool,
    told: Told,
) -> Upgraded:
    found = carry_out(lab, index, _kinds_today(pool), told)
    _keep_to_rules(lab, index, pool, found, found.migrated)
    known = {kind: one.rules for kind, one in pool.kinds.items() if kind not in found.refused}
    index.note_rules({kind: rules for kind, rules in known.items() if rules})
    return found


def _other_rules(index: Index, pool: ReaderPool) -> dict[str, tuple[ColumnChange, ...]]:
    """Return the kinds that were not seen yet, and those of which columns may hold other values."""
    before = index.rules()
    return {
        kind: changes_of_rules(before.get(kind, {}), one)
        for kind, one in pool.kinds.items()
        if one.rules and before.get(kind) != one.rules
    }


def _keep_to_rules(
    lab: Lab, index: Index, pool: ReaderPool, found: Upgraded, but: Collection[str] = ()
) -> None:
    """Note where columns may hold other values than before; refuse where what is filed does not."""
    for kind, changes in _other_rules(index, pool).items():
        if not changes or kind in found.refused or kind in but:
            continue
        said = "; ".join(map(str, changes))
        if broken := _against_kind(lab, pool, kind):
            found.refused[kind] = f"{said}. {broken}. {BROKEN}"
            found.broken.add(kind)
        else:
            found.changes[kind] = "; ".join(filter(None, (found.changes.get(kind), said)))


def _against_kind(lab: Lab, pool: ReaderPool, kind: str) -> str:
    """Say which rows that are filed the kind does not allow any more; "" for none."""
    tables = storage_of(lab)
    for place in tables.places(kind):
        if broken := words_of(pool.against_kind(kind, to_stream(tables.read(place)))):
            return broken
    return ""


def _kinds_today(pool: ReaderPool) -> KindsToday:
    def migrate(kind: str, rows: pa.Table, version: int) -> pa.Table:
        future = pool.migrate(kind, to_stream(rows), version)
        failure = failure_of(future)
        answer = failure.detail or "" if failure else future.result()
        if isinstance(answer, str):
            raise NotMigrated(f"migrate of kind {kind!r}: {answer}")
        return from_stream(answer)

    return KindsToday(pool.kinds, migrate)
