"""What the tables lack of what was filed, and the journal of what was recorded.

Only a rebuild of the whole archive takes anything out of it. So a table that the index knows and
that is not there, or measurements that it knew in it, are damage, and nothing may be worked out as
if they had never been filed. The journal only grows: where the record is not in it that the index
knew as its last, it was lost or cut, and nobody can say any more who filed and corrected what.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import TYPE_CHECKING, TypeVar

from tiecoat.archive.index.cache import known_in
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.tables.storage import storage_of
from tiecoat.wording import counted

if TYPE_CHECKING:
    from tiecoat.archive.index.cache import Index
    from tiecoat.archive.tables.parquet import Place, Version
    from tiecoat.lab.settings import Lab

T = TypeVar("T")

SHOWN = 3  # tables and measurements in a message
HEAL = (
    "Make it again from the originals: tiecoat rebuild (or put it back from a backup). What else"
    " is damaged: tiecoat verify"
)

HEAL_JOURNAL = (
    "Put the journal back from a backup. Without one have its account taken from the tables:"
    " tiecoat rebuild --accept. What else is damaged: tiecoat verify"
)


def note_journal(lab: Lab, index: Index, *, settled: bool = False) -> None:
    """Note the last record of the journal, unless the one noted before is not there any more.

    Parameters
    ----------
    settled
        Whether a rebuild has put up with what the journal lacks.
    """
    journal, known = Journal(lab), index.journal_end()
    last = journal.last()
    if last and (settled or known is None or journal.has(known)):
        index.note_journal_end(str(last["hash"]))


def journal_lacks(lab: Lab, index: Index) -> str:
    """Say that the journal lacks what was recorded; "" where it does not.

    Mostly the record that is looked for is its last.
    """
    known = index.journal_end()
    if known is None or Journal(lab).has(known):
        return ""
    return f"lacks the record {known[:12]}, which was its last one, and maybe others"


def lost_journal(lab: Lab, index: Index) -> str:
    """Say that the journal was lost or cut, and what to do; "" where it was not."""
    said = journal_lacks(lab, index)
    return f"{lab.journal} is not whole: it {said}\n{HEAL_JOURNAL}" if said else ""


def lacking_in(
    lab: Lab,
    index: Index,
    kind: str | None = None,
    batch: str | None = None,
    versions: Mapping[Place, Version] | None = None,
    *,
    but: Collection[str] = (),
) -> str:
    """Say what tables lack of what the index knows to be in them, and what to do; "" for nothing.

    A table that is as it was indexed costs a look at its size and time.

    Parameters
    ----------
    kind, batch
        Which tables; None for all.
    versions
        Those of these tables, where they have just been looked at.
    but
        Kinds that are passed over.
    """
    lacking: dict[Place, Collection[str]] = _without(but, index.lacking(kind, batch))
    tables = storage_of(lab)
    known = _without(but, index.tables(kind, batch))
    there = versions
    if there is None and batch is None:
        there = tables.versions(kind)
    for place, state in known.items():
        version = tables.version(place) if there is None else there.get(place)
        if version is None:
            lacking[place] = known_in(index, place)
        elif version[:2] != (state.size, state.mtime_ns):
            # filed just now, or put there by hand
            standing = set(tables.read(place)["measurement"].unique().to_pylist())
            if gone := known_in(index, place) - standing:
                lacking[place] = gone
    return lacking_words(lab, lacking)


def gone_of(
    lab: Lab,
    filed: Mapping[Place, Collection[str]],
    kind: str | None,
    batch: str | None,
    but: Collection[str] = (),
) -> str:
    """Say which of the tables that something was filed in are gone; see `lacking_in`."""
    tables = storage_of(lab)
    wanted = {
        place: measurements
        for place, measurements in _without(but, filed).items()
        if kind in (None, place[0]) and batch in (None, place[1])
    }
    gone = {place: names for place, names in wanted.items() if tables.version(place) is None}
    return lacking_words(lab, gone)


def _without(kinds: Collection[str], tables: Mapping[Place, T]) -> dict[Place, T]:
    return {place: one for place, one in tables.items() if place[0] not in kinds}


def lacking_words(lab: Lab, lacking: Mapping[Place, Collection[str]]) -> str:
    """Return a sentence for each table that lacks measurements, and what to do; "" for none."""
    tables = storage_of(lab)
    said = []
    for place, measurements in sorted(lacking.items())[:SHOWN]:
        names = sorted(measurements)
        shown = ", ".join(names[:SHOWN]) + (", ..." if len(names) > SHOWN else "")
        path = lab.root / tables.name(place)
        what = "is not there" if tables.version(place) is None else "is not whole"
        said.append(f"{path} {what}: it lacks {counted(len(names), 'measurement')} ({shown})")
    if len(lacking) > SHOWN:
        said.append(f"and so do {counted(len(lacking) - SHOWN, 'table')} more")
    return "\n".join([*said, HEAL]) if said else ""
