"""Opening a lab for writing: with an index in step, and no rebuild left half in its place."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

from tiecoat.archive import swap
from tiecoat.archive.index.building import index_anew, new_index, read_index, whole_index
from tiecoat.archive.index.lacking import lost_journal
from tiecoat.archive.lock import is_written, write_lock
from tiecoat.archive.upgrade import in_place
from tiecoat.errors import ArchiveDamaged, WrittenByNewer
from tiecoat.wording import Told, untold

if TYPE_CHECKING:
    from tiecoat.archive.index.cache import Index
    from tiecoat.archive.index.catching_up import Reindexed
    from tiecoat.lab.settings import Lab


def cut_short(lab: Lab) -> str:
    """Say what a process has left in its last steps, and `open_index` completes; "" for nothing."""
    every = (swap.left_to_complete(lab), in_place.left_to_complete(lab))
    return "; and ".join(filter(None, every))


def to_be_completed(lab: Lab) -> list[tuple[str, str]]:
    """Return what `cut_short` says, each with the command that completes it.

    None of it while a process is writing: it may be about just that.
    """
    every = (
        (swap.left_to_complete(lab), "tiecoat reindex"),
        (in_place.left_to_complete(lab), "tiecoat upgrade"),
    )
    found = [(said, command) for said, command in every if said]
    return found if found and not is_written(lab) else []


def doubt_of_journal(lab: Lab) -> str:
    """Say the same for whoever has no index open; "" too where no index can be asked.

    For commands that need no rows, and yet must not keep it to themselves.
    """
    with suppress(WrittenByNewer, ArchiveDamaged):
        if index := read_index(lab):
            with index:
                return lost_journal(lab, index)
    return ""


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

    swap.finish_swap(lab)
    in_place.finish_upgrade(lab)
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
    swap.finish_swap(lab)
    in_place.finish_upgrade(lab)
    return index_anew(lab, told)
