"""Taking up what has changed of kinds: their tables follow before anything else is filed."""

from __future__ import annotations

import contextlib
from collections.abc import Mapping
from dataclasses import dataclass

import pyarrow as pa

from tiecoat.archive.index.cache import Index
from tiecoat.archive.lock import service_lock
from tiecoat.archive.opening import open_index
from tiecoat.archive.upgrade.carrying_out import KindsToday, NotMigrated, Upgraded, carry_out
from tiecoat.archive.upgrade.planning import KindUpgrade, upgrades
from tiecoat.errors import LabInUse
from tiecoat.intake.workers.pool import ReaderPool, failure_of
from tiecoat.intake.workers.sending import from_stream, to_stream
from tiecoat.lab.settings import Lab
from tiecoat.wording import Told, untold


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


def tables_today(lab: Lab) -> TablesToday:
    """Say how the tables of a lab stand to its kinds; nothing is changed.

    Raises
    ------
    PluginNotLoaded
        If loading the plugins does not come to an end.
    """
    with contextlib.closing(open_index(lab)) as index, ReaderPool(lab) as pool:
        pool.load()
        return _today(lab, index, pool)


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
        If a service runs, or another process is writing.
    PluginNotLoaded
        As `tables_today` does.
    OSError
        If the disk refuses; whoever opens the lab next completes what was ready.
    """
    with (
        service_lock(lab),
        contextlib.closing(open_index(lab)) as index,
        ReaderPool(lab) as pool,
    ):
        pool.load()
        before = _today(lab, index, pool)
        return before, _follow(lab, index, pool, told)


def follow_kinds(lab: Lab, index: Index, pool: ReaderPool, told: Told = untold) -> Upgraded:
    """Have the tables follow what the pool has loaded, unless another process serves the lab.

    Raises
    ------
    OSError, LabInUse
        As `upgrade` does.
    """
    found = upgrades(lab, index, pool.kinds)
    if all(one.refused for one in found):
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
    def migrate(kind: str, rows: pa.Table, version: int) -> pa.Table:
        future = pool.migrate(kind, to_stream(rows), version)
        failure = failure_of(future)
        answer = failure.detail or "" if failure else future.result()
        if isinstance(answer, str):
            raise NotMigrated(f"migrate of kind {kind!r}: {answer}")
        return from_stream(answer)

    return carry_out(lab, index, KindsToday(pool.kinds, migrate), told)
