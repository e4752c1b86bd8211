"""Proving a lab: originals, journal, tables and index, each against the others.

What is proved: every original has the content that its folder is named after; every record of the
journal is there, unchanged and in its order; every row of every table stands there as it was filed
from an original that is there, and nothing else does; the marks of withdrawal are those that were
decided; the index knows the same. It is no proof against somebody who changes table, journal and
index together, each to fit; a copy of the journal kept elsewhere is.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from contextlib import ExitStack, suppress
from dataclasses import dataclass, field
from functools import partial
from typing import assert_never

from tiecoat.archive.account import Account
from tiecoat.archive.index.building import read_index
from tiecoat.archive.index.cache import Index
from tiecoat.archive.index.lacking import journal_lacks
from tiecoat.archive.journal.chain import breaks
from tiecoat.archive.journal.records import Journal, JournalLine
from tiecoat.archive.lock import write_lock
from tiecoat.archive.rollup.parts import damaged
from tiecoat.archive.swap import is_ready
from tiecoat.archive.upgrade.in_place import CUT_SHORT
from tiecoat.archive.upgrade.in_place import is_ready as upgrade_is_ready
from tiecoat.archive.words import Became
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged
from tiecoat.intake.held.files import Held, list_held
from tiecoat.lab.settings import Lab
from tiecoat.verify.index import WHERE, AgainstIndex
from tiecoat.verify.originals import hash_originals, missing, no_longer_held, unrecorded
from tiecoat.verify.proved import Proved, proved_in
from tiecoat.verify.report import Damage, DamageFound, Extent, Progress, Verified
from tiecoat.verify.tables import SHOWN, each_table, foreign_files
from tiecoat.wording import counted

Told = Callable[[str, int, int], None]  # what is looked at, done, of how many


def verify(
    lab: Lab, told: Told = lambda what, done, total: None, *, changed: bool = False
) -> Verified:
    """Look for every damage, and change nothing but the note of what was proved.

    The originals are read while others go on writing; then the write lock is held, so that journal
    and tables are of one moment. A service waits for that long.

    Parameters
    ----------
    told
        Called with the progress.
    changed
        Pass over originals and tables that were proved before, and look as they did then.

    Raises
    ------
    LabInUse
        If another process writes for too long.
    """
    with proved_in(lab, asked=changed) as proved:
        return _verified(lab, told, proved)


def _verified(lab: Lab, told: Told, proved: Proved) -> Verified:
    hashed = hash_originals(lab, partial(told, "originals"), proved)
    copies = [*damaged(lab)]
    with write_lock(lab):
        if is_ready(lab):
            said = "a new archive is complete and not wholly in its place"
            return Verified(Extent(), (DamageFound(Damage.REBUILD_CUT_SHORT, "rebuilt", said),), ())
        if upgrade_is_ready(lab):
            cut = DamageFound(Damage.UPGRADE_CUT_SHORT, "upgrading", CUT_SHORT)
            return Verified(Extent(), (cut,), ())
        journal = Journal(lab)
        account, held = Account.of(journal), list_held(lab)
        tables = _tables(lab, account, partial(told, "tables"), proved)
        findings = [
            *hashed.findings,
            *missing(lab, account, hashed),
            *new_doubts(journal_findings(journal, account, tables.measurements), account),
            *journal_cut(lab, journal),
            *tables.findings,
            *_not_recorded(held, account),
            *no_longer_held(lab, account, {one.sha256 for one in held}),
            *tables.of_index,
        ]
        remarks = [
            *_torn(account),
            *copies,
            *_over(held, account),
            *unrecorded(lab, account, hashed),
            *_settled(account, tables.carried),
            *tables.remarks,
        ]
        records = sum(1 for _ in journal)
    passed_over = hashed.passed_over + tables.passed_over
    read = (hashed.files, hashed.bytes, records, tables.count, tables.measurements, passed_over)
    return Verified(Extent(*read), tuple(findings), tuple(remarks))


@dataclass
class _Looked:
    """What came of looking at all tables; `carried` are those of what a rebuild carried over."""

    count: int = 0
    measurements: int = 0
    passed_over: int = 0
    carried: set[str] = field(default_factory=set)
    findings: list[DamageFound] = field(default_factory=list)
    of_index: list[DamageFound] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)


def _tables(lab: Lab, account: Account, progress: Progress, proved: Proved) -> _Looked:
    """Look at all tables, one after the other, and compare each with the index."""
    found = _Looked(findings=foreign_files(lab))
    with ExitStack() as stack:
        index = read_index(lab)
        against = AgainstIndex(stack.enter_context(index)) if index else None
        for one in each_table(lab, account, progress, proved):
            found.count += one.is_there and not one.passed_over
            found.passed_over += one.passed_over
            found.measurements += len(one.described)
            found.carried |= one.contents.keys() & account.carried_over.keys()
            found.findings += one.findings
            if against:
                against.see(one)
        if against and index:
            found.of_index += against.findings(lab, account, are_sound=not found.findings)
            found.remarks += _of_two_versions(index)
        elif fsio.is_there(lab.index):
            said = "it cannot be opened, or is of another version"
            found.of_index.append(DamageFound(Damage.INDEX_DIFFERS, WHERE, said))
        else:
            found.remarks.append("index.sqlite is not there; it is only a cache: tiecoat reindex")
    return found


def _of_two_versions(index: Index) -> Iterator[str]:
    """Yield a remark on each kind of which not all tables are alike, as where one was put back."""
    for kind in index.kinds():
        if len(index.schemas(kind)) > 1:
            yield f"tables of {kind} are of several versions of their kind: tiecoat upgrade"


def journal_findings(
    lines: Iterable[JournalLine], account: Account, count: int
) -> Iterator[DamageFound]:
    """Yield what is wrong with the journal in itself, or that there is none of what was filed.

    Parameters
    ----------
    lines
        A journal, or a list of its lines.
    count
        How many measurements stand in the tables.
    """
    for one in breaks(lines):
        if one.line.unchanged and (one.line.record or {}).get("doubts"):
            continue  # a rebuild put up with what stands before it
        yield DamageFound(Damage.JOURNAL_BROKEN, one.line.place, one.said)
    for line in account.unclear:
        said = "does not say what such a record must"
        yield DamageFound(Damage.JOURNAL_BROKEN, line.place, said)
    if count and next(iter(lines), None) is None:
        there = counted(count, "measurement")
        said = f"is lost: it does not say of {there} in the tables who filed what"
        yield DamageFound(Damage.JOURNAL_BROKEN, "journal", said)


def journal_cut(lab: Lab, lines: Iterable[JournalLine]) -> Iterator[DamageFound]:
    """Yield that the end of the journal is gone, as the index knows."""
    index = read_index(lab)
    if index is None:
        return
    if next(iter(lines), None) is None:  # that there is none at all is told already
        index.close()
        return
    with index, suppress(ArchiveDamaged):
        if said := journal_lacks(lab, index):
            yield DamageFound(Damage.NOT_IN_JOURNAL, "journal", said)


def doubt_of(found: DamageFound) -> str:
    """Return a fault of the journal as a record of a rebuild says that it is put up with."""
    return f"{found.where}: {found.said}"


def new_doubts(found: Iterable[DamageFound], account: Account) -> Iterator[DamageFound]:
    """Leave out the faults that a rebuild has put up with: what was lost by them is settled."""
    return (one for one in found if doubt_of(one) not in account.accepted)


def _settled(account: Account, there: Collection[str]) -> Iterator[str]:
    """Yield remarks on what was lost, and what a rebuild has kept of it or given up.

    Parameters
    ----------
    there
        The measurements that were carried over, and stand in the tables.
    """
    for doubt in sorted(account.accepted):
        yield f"{doubt} (a rebuild has put up with it)"
    by_reason: dict[str, list[str]] = {}
    for name, why in account.carried_over.items():
        if name in there:
            by_reason.setdefault(why, []).append(name)
    for why, names in by_reason.items():
        shown = f"{', '.join(names[:SHOWN])}{', ...' if len(names) > SHOWN else ''}"
        yield f"{counted(len(names), 'measurement')} carried over by a rebuild, as {why}: {shown}"
    for sha256 in sorted(account.given_up):
        yield f"{account.names.get(sha256, '')} ({sha256}) is lost and was given up by a rebuild"


def _torn(account: Account) -> Iterator[str]:
    """Yield remarks on half lines: a power cut leaves one, and the next record closes it off."""
    for line in account.torn:
        yield f"{line.place} is torn, as by a power cut; the records around it are whole"


def _not_recorded(held: Sequence[Held], account: Account) -> Iterator[DamageFound]:
    for one in held:
        if one.sha256 not in account.names:
            said = f"{one.name} is held, and no record of the journal says so"
            yield DamageFound(Damage.NOT_IN_JOURNAL, f"held/{one.id}", said)


def _over(held: Sequence[Held], account: Account) -> Iterator[str]:
    """Yield remarks on holds that a crash has left behind although it was decided on them."""
    for one in held:
        became = account.outcomes.get(one.sha256, Became.HELD)
        match became:
            case Became.HELD:
                continue
            case Became.FILED:
                again = "retry"
            case Became.DISCARDED:
                again = "discard"
            case _:
                assert_never(became)
        yield (
            f"held/{one.id} ({one.name}) is there although the journal says {became}:"
            f" repeat tiecoat held {again}"
        )
