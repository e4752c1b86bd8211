"""What the tables lack of what was filed: a table that is gone, or one that holds less than it did.

Only a rebuild of the whole archive takes anything out of it. So a table that the index knows and
that is not there, or measurements that it knew in it, are damage, and nothing may be worked out as
if they had never been filed.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import TYPE_CHECKING

from tiecoat.archive.index.cache import known_in
from tiecoat.archive.tables.storage import storage_of
from tiecoat.wording import counted

if TYPE_CHECKING:
    from tiecoat.archive.index.cache import Index
    from tiecoat.archive.tables.parquet import Place
    from tiecoat.lab.settings import Lab

SHOWN = 3  # tables and measurements in a message
HEAL = (
    "Make it again from the originals: tiecoat rebuild (or put it back from a backup). What else"
    " is damaged: tiecoat verify"
)


def lacking_in(
    lab: Lab,
    index: Index,
    kind: str | None = None,
    batch: str | None = None,
    listed: Collection[Place] | None = None,
) -> str:
    """Say what tables lack of what the index knows to be in them, and what to do; "" for nothing.

    A table that is as it was indexed costs a look at its size and time.

    Parameters
    ----------
    kind, batch
        Which tables; None for all.
    listed
        The tables that a listing has just shown: then it is only looked for those that are gone.
    """
    lacking: dict[Place, Collection[str]] = {**index.lacking(kind, batch)}
    tables = storage_of(lab)
    for place, state in index.tables(kind, batch).items():
        if listed is not None and place in listed:
            continue
        version = tables.version(place)
        if version is None:
            lacking[place] = known_in(index, place)
        elif listed is None and version[:2] != (state.size, state.mtime_ns):
            # filed just now, or put there by hand
            there = set(tables.read(place)["measurement"].unique().to_pylist())
            if gone := known_in(index, place) - there:
                lacking[place] = gone
    return lacking_words(lab, lacking)


def gone_of(
    lab: Lab, filed: Mapping[Place, Collection[str]], kind: str | None, batch: str | None
) -> str:
    """Say which of the tables that something was filed in are gone; see `lacking_in`."""
    tables = storage_of(lab)
    wanted = {
        place: measurements
        for place, measurements in filed.items()
        if kind in (None, place[0]) and batch in (None, place[1])
    }
    gone = {place: names for place, names in wanted.items() if tables.version(place) is None}
    return lacking_words(lab, gone)


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
