"""Opening a lab for writing: with an index in step, and no rebuild left half in its place."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tiecoat.archive.index.building import index_anew, new_index, whole_index
from tiecoat.archive.lock import write_lock
from tiecoat.archive.swap import finish_swap
from tiecoat.archive.upgrade.in_place import finish_upgrade
from tiecoat.wording import Told, untold

if TYPE_CHECKING:
    from tiecoat.archive.index.cache import Index
    from tiecoat.archive.index.catching_up import Reindexed
    from tiecoat.lab.settings import Lab


def open_index(lab: Lab) -> Index:
    """Open the index of a lab for writing, in step with the tables on disk.

    A missing index is built, a damaged one is set aside and built anew, both under the write lock;
    a rebuild that was cut short in its last steps is completed first, and so are an upgrade and a
    retraction.

    Raises
    ------
    LabInUse
        If that is needed and another process is writing.
    ArchiveDamaged
        If the database cannot be opened for another reason than damage.
    """
    from tiecoat.archive.index.catching_up import catch_up, stale
    from tiecoat.archive.index.following import follow
    from tiecoat.archive.store import Store

    finish_swap(lab)
    finish_upgrade(lab)
    index = whole_index(lab)
    if index is None:
        with write_lock(lab):
            index = whole_index(lab) or new_index(lab)  # another process may have been faster
    elif stale(lab, index):
        with write_lock(lab):
            Store(lab, index).complete()
            catch_up(lab, index)
    follow(lab, index)
    return index


def reindex(lab: Lab, told: Told = untold) -> Reindexed:
    """Build the index anew from the Parquet files, the held folders and the journal.

    Takes the write lock. Readers see the old index or the new one. A rebuild of the archive, or an
    upgrade, that was cut short in its last steps is completed first.

    Parameters
    ----------
    told
        Called with the progress.

    Raises
    ------
    LabInUse
        If another process is writing.
    """
    finish_swap(lab)
    finish_upgrade(lab)
    return index_anew(lab, told)
