"""Proving a lab: originals, journal, tables and index, each against the others.

What is proved: every original has the content that its folder is named after; every record of the
journal is there, unchanged and in its order; every row of every table stands there as it was filed
from an original that is there, and nothing else does; the marks of withdrawal are those that were
decided; the index knows the same. It is no proof against somebody who changes table, journal and
index together, each to fit; a copy of the journal kept elsewhere is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from typing import assert_never

from tiecoat.archive.account import Account
from tiecoat.archive.index.building import read_index
from tiecoat.archive.index.cache import Index
from tiecoat.archive.index.catching_up import stale
from tiecoat.archive.index.lacking import journal_lacks
from tiecoat.archive.journal.chain import breaks
from tiecoat.archive.journal.records import Journal, JournalLine
from tiecoat.archive.lock import write_lock
from tiecoat.archive.swap import is_ready
from tiecoat.archive.tables.parquet import Place
from tiecoat.archive.tables.storage import storage_of
from tiecoat.archive.words import Became
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged
from tiecoat.intake.held.files import Held, list_held
from tiecoat.lab.settings import Lab
from tiecoat.verify.originals import hash_originals, missing, no_longer_held, unrecorded
from tiecoat.verify.report import Damage, DamageFound, Extent, Verified
from tiecoat.verify.tables import SHOWN, CheckedTables, check_tables
from tiecoat.wording import counted

Told = Callable[[str, int, int], None]  # what is looked at, done, of how many


def verify(lab: Lab, told: Told = lambda what, done, total: None) -> Verified:
    """Look for every damage, and change nothing.

    The originals are read while others go on writing; then the write lock is held, so that journal
    and tables are of one moment. A service waits for that long.

    Parameters
    ----------
    told
        Called with the progress.

    Raises
    ------
    LabInUse
        If another process writes for too long.
    """
    hashed = hash_originals(lab, lambda done, total: told("originals", done, total))
    with write_lock(lab):
        if is_ready(lab):
            said = "a new archive is complete and not wholly in its place"
            return Verified(Extent(), (DamageFound(Damage.REBUILD_CUT_SHORT, "rebuilt", said),), ())
        lines = list(Journal(lab).lines())
        account, held = Account.of(lines), list_held(lab)
        tables = check_tables(lab, account, lambda done, total: told("tables", done, total))
        findings = [
            *hashed.findings,
            *missing(lab, account, hashed),
            *new_doubts(journal_findings(lines, account, tables), account),
            *journal_cut(lab, lines),
            *tables.findings,
            *_not_recorded(held, account),
            *no_longer_held(lab, account, {one.sha256 for one in held}),
        ]
        remarks = [
            *_torn(lines),
            *_over(held, account),
            *unrecorded(lab, account, hashed),
            *_settled(account, tables),
        ]
        index = read_index(lab)
        if index is None and fsio.is_there(lab.index):
            said = "it cannot be opened, or is of another version"
            findings.append(DamageFound(Damage.INDEX_DIFFERS, "index.sqlite", said))
        elif index is None:
            remarks.append("index.sqlite is not there; it is only a cache: tiecoat reindex")
        else:
            with index:
                findings += _index(lab, index, account, tables)
    counts = Extent(hashed.files, hashed.bytes, len(lines), tables.count, len(tables.described))
    return Verified(counts, tuple(findings), tuple(remarks))


def journal_findings(
    lines: list[JournalLine], account: Account, tables: CheckedTables
) -> Iterator[DamageFound]:
    """Yield what is wrong with the journal in itself, or that there is none of what was filed."""
    for one in breaks(lines):
        if one.line.unchanged and (one.line.record or {}).get("doubts"):
            continue  # a rebuild put up with what stands before it
        yield DamageFound(Damage.JOURNAL_BROKEN, one.line.place, one.said)
    for line in account.unclear:
        said = "does not say what such a record must"
        yield DamageFound(Damage.JOURNAL_BROKEN, line.place, said)
    if not lines and tables.contents:
        there = counted(len(tables.contents), "measurement")
        said = f"is lost: it does not say of {there} in the tables who filed what"
        yield DamageFound(Damage.JOURNAL_BROKEN, "journal", said)


def journal_cut(lab: Lab, lines: Sequence[JournalLine]) -> Iterator[DamageFound]:
    """Yield that the end of the journal is gone, as the index knows."""
    index = read_index(lab)
    if index is None or not lines:  # that there is none at all is told already
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


def _settled(account: Account, tables: CheckedTables) -> Iterator[str]:
    """Yield remarks on what was lost, and what a rebuild has kept of it or given up."""
    for doubt in sorted(account.accepted):
        yield f"{doubt} (a rebuild has put up with it)"
    by_reason: dict[str, list[str]] = {}
    for name, why in account.carried_over.items():
        if name in tables.contents:
            by_reason.setdefault(why, []).append(name)
    for why, names in by_reason.items():
        shown = f"{', '.join(names[:SHOWN])}{', ...' if len(names) > SHOWN else ''}"
        yield f"{counted(len(names), 'measurement')} carried over by a rebuild, as {why}: {shown}"
    for sha256 in sorted(account.given_up):
        yield f"{account.names.get(sha256, '')} ({sha256}) is lost and was given up by a rebuild"


def _torn(lines: list[JournalLine]) -> Iterator[str]:
    """Yield remarks on half lines: a power cut leaves one, and the next record closes it off."""
    for line in lines:
        if line.record is None:
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


def _behind(lab: Lab, index: Index) -> Iterator[Place]:
    """Yield the tables that the index has missed.

    In a copy of a lab all are merely younger: what stands in them is compared in any case.
    """
    known, unfinished = index.tables(), {*index.unfinished()}
    for place in stale(lab, index):
        state, version = known.get(place), storage_of(lab).version(place)
        if place in unfinished or not (state and version) or state.size != version.size:
            yield place


def _index(
    lab: Lab, index: Index, account: Account, tables: CheckedTables
) -> Iterator[DamageFound]:
    where = "index.sqlite"
    try:
        for place in [] if tables.findings else _behind(lab, index):
            said = f"{storage_of(lab).name(place)} is not as the index knows it"
            yield DamageFound(Damage.INDEX_DIFFERS, where, said)
        known = {one.measurement: one for one in index.measurements(withdrawn=True)}
        outcomes = {one.sha256: one for one in index.originals()}
    except ArchiveDamaged as error:
        yield DamageFound(Damage.INDEX_DIFFERS, where, str(error).partition("\n")[0])
        return
    there = known if tables.findings else tables.described  # what is damaged is told already
    if other := [name for name in {**known, **there} if known.get(name) != there.get(name)]:
        said = f"it does not know {len(other):,} measurements as the tables have them"
        yield DamageFound(Damage.INDEX_DIFFERS, where, f"{said}: {', '.join(sorted(other)[:8])}")
    for sha256, original in outcomes.items():
        if sha256 not in account.names:
            said = f"the index knows {original.name} as {original.outcome}, the journal does not"
            yield DamageFound(Damage.NOT_IN_JOURNAL, f"original {sha256}", said)
    for sha256, outcome in account.outcomes.items():
        found = outcomes.get(sha256)
        agrees = found and found.outcome in {outcome, Became.HELD}
        if outcome is not Became.HELD and not agrees:
            said = f"it does not know {account.names[sha256]} as {outcome}"
            yield DamageFound(Damage.INDEX_DIFFERS, where, said)
