"""What a new archive holds otherwise than the journal says, or than the old one did."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from tiecoat.archive.account import Account
from tiecoat.archive.tables.contents import Content
from tiecoat.intake.held.files import Held
from tiecoat.rebuild.carrying import Carried, OldArchive
from tiecoat.rebuild.history import FiledExport
from tiecoat.rebuild.replay import Replayed
from tiecoat.verify.report import DamageFound
from tiecoat.verify.tables import CheckedTables


@dataclass(frozen=True)
class Otherwise:
    """A measurement that is read otherwise now: its export, its rows then and now.

    `values` says whether the values differ, and not only what stands beside them, such as the
    version of the reader; where its old table is damaged that cannot be told, and it counts as so.
    """

    measurement: str
    name: str
    rows: tuple[int, int]
    reader: str
    values: bool


@dataclass(frozen=True)
class Differences:
    """What is otherwise; with any of it a person must accept the new archive.

    `gone` lists measurements that are not made again, `added` those that are new; `remarked` those
    whose mark of withdrawal is another than the journal says. `unfiled` lists what stands in the
    old tables and no record accounts for, `unmarked` the withdrawals there of which none says.
    `carried` are measurements that are carried over for the first time, and why; `recovered` the
    files of which a record was lost and is written anew. `losing` maps what is lost, where nothing
    takes its place or only something of another kind, to its file. `doubts` are faults of the
    journal itself.
    """

    otherwise: tuple[Otherwise, ...] = ()
    gone: Mapping[str, Content] = field(default_factory=dict)
    added: Mapping[str, Content] = field(default_factory=dict)
    remarked: tuple[str, ...] = ()
    unfiled: tuple[str, ...] = ()
    unmarked: tuple[str, ...] = ()
    held: tuple[Held, ...] = ()
    lost: tuple[FiledExport, ...] = ()
    carried: Mapping[str, str] = field(default_factory=dict)
    recovered: tuple[str, ...] = ()
    losing: Mapping[str, str] = field(default_factory=dict)
    doubts: tuple[DamageFound, ...] = ()

    @property
    def given_up(self) -> list[FiledExport]:
        """The filings of which nothing is left: original and rows are lost."""
        left = {name.partition("-")[0] for name in self.carried}
        gone = {name.partition("-")[0] for name in self.gone}
        return [one for one in self.lost if one.sha256[:16] in gone - left]

    def __bool__(self) -> bool:
        """Whether there is any."""
        return any(vars(self).values())


def compare(
    before: OldArchive,
    made: Account,
    new: CheckedTables,
    replayed: Replayed,
    carried: Carried,
) -> Differences:
    """Compare the new archive with what the journal says, and with what the old one holds.

    Parameters
    ----------
    made, new
        The journal and the tables of the new archive.
    """
    said, old = before.said, before.tables
    both = said.contents.keys() & made.contents.keys()
    gone = {name: one for name, one in said.contents.items() if name not in both}
    files = {sha256[:16]: name for sha256, name in said.names.items()}
    others = [n for n in sorted(both) if said.contents[n].place[0] != made.contents[n].place[0]]
    newly = {name: why for name, why in carried.why.items() if name not in said.carried_over}
    known = {name.partition("-")[0] for name in carried.why.keys() - newly.keys()}
    return Differences(
        otherwise=tuple(
            _otherwise(name, said, old, made, new)
            for name in sorted(both)
            if said.contents[name] != made.contents[name]
        ),
        gone=gone,
        added={name: one for name, one in made.contents.items() if name not in both},
        remarked=tuple(
            name for name in sorted(both) if said.withdrawn.get(name) != made.withdrawn.get(name)
        ),
        unfiled=tuple(sorted(old.contents.keys() - said.contents.keys() - made.contents.keys())),
        unmarked=tuple(
            sorted(old.withdrawn.keys() - said.withdrawn.keys() - made.withdrawn.keys())
        ),
        held=tuple(replayed.held),
        lost=tuple(one for one in replayed.lost if one.sha256[:16] not in known),
        carried=newly,
        recovered=tuple(one["name"] for one in carried.recovered),
        losing={name: files.get(name.partition("-")[0], name) for name in (*gone, *others)},
    )


def _otherwise(
    name: str, said: Account, old: CheckedTables, made: Account, new: CheckedTables
) -> Otherwise:
    before, now = old.described.get(name), new.described[name]
    return Otherwise(
        name,
        now.source_name,
        (said.contents[name].n_rows, made.contents[name].n_rows),
        now.reader,
        before is None
        or (before.fingerprint, before.determination) != (now.fingerprint, now.determination),
    )
