"""What can be wrong with a lab on disk, and what was found."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

Progress = Callable[[int, int], None]  # done, of how many

REBUILD = "make the archive again from the originals: tiecoat rebuild"
RESTORE = f"Put it back from a backup, or {REBUILD}"
RIGHT_CONTENT = """\
Put the file with the right content back from a backup, or take in a copy of the export: it takes \
the place of what was changed."""
NO_ORIGINAL = """\
Put it back from a backup, or take in a copy of the export: the same bytes are the same original. \
Until then a rebuild carries over the rows that stand of it."""
ACCOUNT = "have its account taken from the tables: tiecoat rebuild --accept"
BROKEN = f"""\
Put the journal back from a backup; find out who or what changed it: the program only appends. \
Without a backup {ACCOUNT}"""
CUT = f"The journal was cut: put it back from a backup. Without one {ACCOUNT}"
UNFILED = f"""\
No record says who filed them. M{REBUILD[1:]} --accept (what an original is kept of stays, and \
gets its record; anything else was put in by hand, and is left out)"""
MARK = f"""\
If the withdrawal is right, repeat it (tiecoat retract); if not, {REBUILD} (it marks what the \
journal says)"""


class Damage(Enum):
    """What is wrong: a stable code, and what to do about it."""

    ORIGINAL_CHANGED = "original-changed", RIGHT_CONTENT
    ORIGINAL_MISSING = "original-missing", NO_ORIGINAL
    ORIGINAL_FOREIGN = "original-foreign", "The program did not put it there: move it out."
    JOURNAL_BROKEN = "journal-broken", BROKEN
    NOT_IN_JOURNAL = "not-in-journal", CUT
    TABLE_MISSING = "table-missing", RESTORE
    TABLE_UNREADABLE = "table-unreadable", RESTORE
    TABLE_MISPLACED = "table-misplaced", RESTORE
    FILE_FOREIGN = "file-foreign", "Move it out: whoever reads the whole folder reads it too."
    ROWS_MISSING = "rows-missing", RESTORE
    ROWS_CHANGED = "rows-changed", RESTORE
    ROWS_UNFILED = "rows-unfiled", UNFILED
    MARK_DIFFERS = "mark-differs", MARK
    INDEX_DIFFERS = "index-differs", "It is only a cache; build it again: tiecoat reindex"
    HELD_MISSING = "held-missing", "Take the export in again, by the command beside it."
    REBUILD_CUT_SHORT = "rebuild-cut-short", "Nothing is lost; complete it: tiecoat reindex"
    UPGRADE_CUT_SHORT = "upgrade-cut-short", "Nothing is lost; complete it: tiecoat upgrade"

    def __init__(self, code: str, advice: str) -> None:
        self.code = code
        self.advice = advice


@dataclass(frozen=True)
class DamageFound:
    """One thing that is wrong: what, where in the lab, and what was found against expected."""

    damage: Damage
    where: str
    said: str


@dataclass(frozen=True)
class Extent:
    """How much was looked at; `passed_over` are originals and tables that were proved before."""

    originals: int = 0
    bytes: int = 0
    records: int = 0
    tables: int = 0
    measurements: int = 0
    passed_over: int = 0


@dataclass(frozen=True)
class Verified:
    """What was found; a lab without findings is sound. Remarks are worth knowing and no damage."""

    counts: Extent
    findings: tuple[DamageFound, ...]
    remarks: tuple[str, ...]
