"""Making tables anew that follow a change of their kind, and putting them in place."""

from __future__ import annotations

import secrets
from collections import deque
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import TYPE_CHECKING, Any, TypeAlias

from tiecoat.archive.account import Account
from tiecoat.archive.index.cache import Index
from tiecoat.archive.index.catching_up import catch_up, refresh
from tiecoat.archive.index.lacking import note_journal
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import write_lock
from tiecoat.archive.tables.contents import Content, as_tables, contents_of
from tiecoat.archive.tables.describe import Rule, describe
from tiecoat.archive.tables.parquet import Place, in_order, unite
from tiecoat.archive.tables.storage import TableStorage, storage_of
from tiecoat.archive.upgrade.in_place import is_ready, put_in_place, workplace
from tiecoat.archive.upgrade.planning import KindUpgrade, upgrades
from tiecoat.archive.upgrade.samples import SAMPLES, samples
from tiecoat.archive.words import RecordSort
from tiecoat.contract.changes import Following, KindLoaded, version_of
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged, ArchiveFault
from tiecoat.lab.settings import Lab
from tiecoat.wording import Told, untold

if TYPE_CHECKING:
    import pyarrow as pa

RECORD_FORMAT = 2  # of the journal: what does not know such a record takes rows for changed

# Kind, rows of an earlier version, that version -> the rows of today
Migrate: TypeAlias = "Callable[[str, pa.Table, int], pa.Table]"
_ByPlace: TypeAlias = Callable[[], Mapping[Place, Mapping[str, Content]]]


class NotMigrated(ArchiveFault):
    """The function of a kind did not take its rows along; the tables stay as they are."""


STAY = (ArchiveDamaged, FileNotFoundError, NotMigrated)  # what leaves tables as they are


@dataclass
class Upgraded:
    """What came of it: tables by kind that have followed, and why those of others have not.

    `changes` says by kind what has changed; `samples` are values of some rows before and after,
    where these change. Rows of the kinds in `migrated` keep to what their columns may hold. Of the
    kinds in `broken`, which are refused too, the tables are as they are today, and what their
    columns may hold is less than what is filed.
    """

    tables: dict[str, int] = field(default_factory=dict)
    refused: dict[str, str] = field(default_factory=dict)
    samples: dict[str, list[str]] = field(default_factory=dict)
    changes: dict[str, str] = field(default_factory=dict)
    migrated: set[str] = field(default_factory=set)
    broken: set[str] = field(default_factory=set)


@dataclass(frozen=True)
class KindsToday:
    """The kinds as plugins bring them today, and what changes rows of earlier versions of them.

    `migrate` raises `NotMigrated` where a kind does not take its rows along.
    """

    loaded: Mapping[str, KindLoaded]
    migrate: Migrate


@dataclass(frozen=True)
class _Making:
    """What making the tables of a kind anew takes, and what is noted of them for the journal."""

    old: TableStorage
    upgrade: KindUpgrade
    kinds: KindsToday
    filed: _ByPlace
    told: Told
    contents: dict[str, Content] = field(default_factory=dict)
    samples: list[str] = field(default_factory=list)

    @property
    def today(self) -> KindLoaded:
        return self.kinds.loaded[self.upgrade.kind]

    def made(self, new: TableStorage) -> dict[str, Any]:
        """Make them in the workplace, and return the record of it."""
        upgrade = self.upgrade
        new.replace(self.tables())
        return {
            "format": RECORD_FORMAT,
            "event": RecordSort.UPGRADED,
            "kind": upgrade.kind,
            "version": version_of(self.today.schema),
            "versions_before": sorted({one.versions[0] for one in upgrade.changes.values()}),
            "changes": sorted({str(one) for one in upgrade.changes.values()}),
            "keeps": upgrade.migrates or self._has_foreign(),
            "tables": as_tables(self.contents),
        }

    def _has_foreign(self) -> bool:
        """Say whether somebody put something among the tables: it is not ours to delete."""
        within = f"/{self.upgrade.kind}/"
        return any(within in name for name in self.old.foreign())

    def tables(self) -> Iterator[tuple[Place, pa.Table]]:
        if self.upgrade.refused:
            raise NotMigrated(self.upgrade.refused)
        what, every = f"upgrading {self.upgrade.kind}", self.upgrade.places
        for done, place in enumerate(every):
            self.told(what, done, len(every))
            yield place, self._followed(place)
        self.told(what, len(every), len(every))

    def _followed(self, place: Place) -> pa.Table:
        """Return the rows of a table as they are today, and note what the journal must know."""
        rows = self.old.read(place, checksums=True)
        change = self.upgrade.change(place)
        if change is None:
            return rows
        rule = Rule.of(self.today.schema)
        if change.following is Following.CARRIED and Rule.of(rows.schema) == rule:
            return unite([rows, self.today.schema.empty_table()])
        before, filed = contents_of(rows, describe(rows)), self.filed().get(place, {})
        if any(before.get(name) != one for name, one in filed.items()):
            raise ArchiveDamaged(
                f"{self.old.name(place)} does not hold what the journal says was filed in it, and"
                " would hide it: see tiecoat verify"
            )
        if change.following is Following.MIGRATED:
            old, rows = rows, self.kinds.migrate(place[0], rows, change.versions[0])
            self.samples.extend(samples(old, rows, SAMPLES - len(self.samples)))
        rows = in_order(unite([rows, self.today.schema.empty_table()]), rule.order)
        contents = contents_of(rows, describe(rows))
        if {name: one.n_rows for name, one in before.items()} != {
            name: one.n_rows for name, one in contents.items()
        }:
            raise NotMigrated(f"{self.old.name(place)}: measurements or rows were lost")
        # what a run has filed that was cut short before it could tell is told when it is completed
        self.contents.update({n: one for n, one in contents.items() if one != filed.get(n, one)})
        return rows


def try_out(lab: Lab, index: Index, kinds: KindsToday, told: Told = untold) -> Upgraded:
    """Find out what would come of it: all tables are made, and nothing of them is kept.

    Parameters
    ----------
    told
        Called with the progress.
    """
    found, filed = Upgraded(), cache(lambda: _filed(lab))
    for upgrade in upgrades(lab, index, kinds.loaded):
        making = _Making(storage_of(lab), upgrade, kinds, filed, told)
        try:
            deque(making.tables(), maxlen=0)
        except STAY as error:
            found.refused[upgrade.kind] = str(error)
        found.samples[upgrade.kind] = making.samples
    return found


def carry_out(
    lab: Lab,
    index: Index,
    kinds: KindsToday,
    told: Told = untold,
) -> Upgraded:
    """Have the tables of all kinds follow that have changed, each kind as a whole or not at all.

    Cut short before all are made, nothing has changed; after that, whatever opens the lab for
    writing completes it.

    Parameters
    ----------
    told
        Called with the progress.

    Raises
    ------
    OSError
        If the disk refuses; nothing has changed, or whoever opens the lab next completes it.
    LabInUse
        If another process is writing.
    """
    found = Upgraded()
    with write_lock(lab):
        new = workplace(lab)
        if fsio.is_there(new.root):  # of one that was cut short while they were made
            fsio.remove_folder(new.root, lab.stage)
        catch_up(lab, index)
        wanted = upgrades(lab, index, kinds.loaded)
        filed = cache(lambda: _filed(lab))  # for one kind and the next
        fsio.make_dirs(new.stage)
        records, name = [], secrets.token_hex(8)
        try:
            for upgrade in wanted:
                try:
                    making = _Making(storage_of(lab), upgrade, kinds, filed, told)
                    record = making.made(storage_of(new))
                except STAY as error:
                    found.refused[upgrade.kind] = str(error)
                else:
                    records.append({**record, "upgrade": name})
                    found.tables[upgrade.kind] = len(upgrade.places)
                    found.migrated |= {upgrade.kind} if upgrade.migrates else set()
                    found.changes[upgrade.kind] = "; ".join(record["changes"])
            if records:
                index.begin(p for one in wanted for p in one.places if one.kind in found.tables)
                put_in_place(lab, {"id": name, "records": records})
                note_journal(lab, index)
        finally:
            if fsio.is_there(new.root) and not is_ready(lab):
                fsio.remove_folder(new.root, lab.stage)
        for upgrade in wanted:
            for place in upgrade.places if upgrade.kind in found.tables else ():
                refresh(lab, index, place)
    return found


def _filed(lab: Lab) -> dict[Place, dict[str, Content]]:
    filed: dict[Place, dict[str, Content]] = {}
    for name, one in Account.of(Journal(lab)).contents.items():
        filed.setdefault(one.place, {})[name] = one
    return filed
