"""Keeping a lake small: many small files become few, and what no version needs is deleted.

The library does it; here it is said when.
"""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING

from tiecoat.lake.labs import LABS, entries, kinds_of
from tiecoat.lake.tables import LakeTables, commit_properties, writer_properties
from tiecoat.wording import Told, untold

if TYPE_CHECKING:
    from deltalake import DeltaTable

KEPT_HOURS = 7 * 24  # who reads an older version by then still finds its files


def compact(table: DeltaTable, lab: str, files_at_most: int) -> None:
    """Put the files of a lab together where there are many; whoever changes them goes before."""
    from deltalake.exceptions import CommitFailedError

    mine = [("lab", "=", lab)]
    if len(table.file_uris(file_pruning_predicate=mine)) > files_at_most:
        with suppress(CommitFailedError):  # the next time, then
            table.optimize.compact(
                mine,
                writer_properties=writer_properties(),
                commit_properties=commit_properties({}, {"tiecoat.lab": lab}),
            )


def tidy(tables: LakeTables, told: Told = untold) -> dict[str, int]:
    """Put files together, and delete those that no version of the last week needs; count these.

    Among them are those that a publishing has left which was cut short.
    """
    done = {}
    labs = entries(tables.open(LABS))
    names = sorted({LABS, *kinds_of(labs)})
    for number, name in enumerate(names):
        told("tidying tables", number, len(names))
        if (table := tables.open(name)) is not None:
            with tables.reached():
                for one in labs:
                    compact(table, one.lab, files_at_most=1)
                deleted = table.vacuum(
                    KEPT_HOURS,
                    dry_run=False,
                    full=True,
                    commit_properties=commit_properties({}, {}),
                )
            done[name] = len(deleted)
    return done
