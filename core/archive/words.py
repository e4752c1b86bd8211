"""The words that the archive keeps on disk, each list closed: a new word must be placed everywhere.

They stand in the journal, the tables and the index, and never change their meaning.
"""

from __future__ import annotations

from enum import StrEnum
from typing import assert_never

REBUILT, READY = "rebuilt", "ready.json"  # where an archive is made again, and that it is complete
CONTENTS = "contents.json"  # what the roll-up of a kind is made of
KEPT = "replaced"  # where archives are kept whose place another has taken
BEFORE = "before"  # the folder beside a new archive of the one whose place it takes


class Became(StrEnum):
    """What became of an original."""

    FILED = "filed"
    HELD = "held"
    DISCARDED = "discarded"


class Withdrawn(StrEnum):
    """Why a measurement no longer counts."""

    SUPERSEDED = "superseded"
    RETRACTED = "retracted"


class RecordSort(StrEnum):
    """What a record of the journal tells; its `event`."""

    FILING = "filing"  # begun; its rows go to more than one table
    FILED = "filed"
    KNOWN = "known"
    OVERTAKEN = "overtaken"  # it was read before its writer had ended; its file has gone on
    HELD = "held"
    DISCARDED = "discarded"
    RETRACTED = "retracted"
    REINSTATED = "reinstated"  # what was retracted counts again
    REBUILT = "rebuilt"
    SETTINGS = "settings"  # that shape rows; filings after it refer to them by their digest
    UPGRADED = "upgraded"  # tables of a kind have followed a change of it
    MERGED = "merged"  # with another lab; what came of it stands in the records before
    TAKEN_BACK = "taken-back"  # a rebuild: the archive of before is in its place again

    @classmethod
    def of(cls, event: object) -> RecordSort | None:
        """Return the sort by its word; None where this version knows none of it."""
        try:
            return cls(str(event))
        except ValueError:
            return None

    @property
    def became(self) -> Became | None:
        """What it says became of an original; None where it says nothing of that."""
        match self:
            case RecordSort.FILED | RecordSort.KNOWN:
                return Became.FILED
            case RecordSort.HELD:
                return Became.HELD
            case RecordSort.DISCARDED:
                return Became.DISCARDED
            case (
                RecordSort.FILING
                | RecordSort.OVERTAKEN
                | RecordSort.RETRACTED
                | RecordSort.REINSTATED
                | RecordSort.REBUILT
                | RecordSort.MERGED
                | RecordSort.TAKEN_BACK
                | RecordSort.SETTINGS
                | RecordSort.UPGRADED
            ):
                return None
            case _:
                assert_never(self)
