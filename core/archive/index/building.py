"""The index of a lab: opened for reading or writing, and built anew where it is not whole.

Only here it is said of what sort it is.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from tiecoat.archive.index import sqlite
from tiecoat.wording import Told, untold

if TYPE_CHECKING:
    from tiecoat.archive.index.cache import Index
    from tiecoat.archive.index.catching_up import Reindexed
    from tiecoat.lab.settings import Lab


def read_index(lab: Lab) -> Index | None:
    """Open the index for reading only; None if there is none that is whole and of this version.

    Raises
    ------
    WrittenByNewer
        If it is of a version that is not known here.
    """
    return sqlite.read_index(lab)


def committed(lab: Lab) -> object | None:
    """Return what is another after each change of the index; None where it cannot be told."""
    return sqlite.committed(lab)


def refuse_newer_index(lab: Lab) -> None:
    """Raise `WrittenByNewer` if the index is of a version that is not known here."""
    if index := read_index(lab):
        index.close()


def memory_index() -> Index:
    """Return an empty index in memory, for readers of a lab without one."""
    index = sqlite.memory_index()
    with index.anew():
        pass  # nothing is noted yet
    return index


def whole_index(lab: Lab) -> Index | None:
    """Open the index for writing; None if there is none that is whole and of this version.

    Raises
    ------
    ArchiveDamaged
        If it cannot be opened for another reason than damage.
    WrittenByNewer
        If it is of a version that is not known here: a newer program may have it in use.
    """
    return sqlite.whole_index(lab)


def new_index(lab: Lab) -> Index:
    """Set aside what is there and make a new index, complete at once or not at all."""
    from tiecoat.archive.index.catching_up import fill

    index = sqlite.empty_index(lab)
    with index.anew():
        fill(lab, index)
    return index


def index_anew(lab: Lab, told: Told = untold, *, settled: bool = False) -> Reindexed:
    """Build the index anew from the tables, the held folders and the journal.

    Takes the write lock. Readers see the old index or the new one.

    Parameters
    ----------
    told
        Called with the progress.
    settled
        Whether a rebuild has put up with what the journal lacks.

    Raises
    ------
    LabInUse
        If another process is writing.
    """
    from tiecoat.archive.index.catching_up import fill
    from tiecoat.archive.lock import write_lock

    with write_lock(lab):
        index = sqlite.whole_index(lab) or sqlite.empty_index(lab)
        with index, index.anew():
            return fill(lab, index, told, settled=settled)
