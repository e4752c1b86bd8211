"""An export on its way."""

from __future__ import annotations

import time
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from tiecoat.archive.tables.parquet import Mark
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.held.assigned import Assigned
from tiecoat.intake.held.files import Held
from tiecoat.intake.inboxes.settle import Arrival


@dataclass(frozen=True)
class Decision:
    """Who decided, and why; `shown` are the measurements that may be superseded, None for any.

    `continues` says that nobody did: the export goes on with what was filed of it before.
    """

    who: str
    why: str
    shown: tuple[str, ...] | None = None
    continues: bool = False


@dataclass
class Entry:
    """A preserved export on its way, with every arrival that has the same bytes.

    `held` is the earlier hold of a file that is tried again; `decision` says who wants its values
    to supersede those of the archive, and why; `sent_again` that it was read anew after all workers
    had been ended. `filed_at` says when it was filed first, where an archive is made again.
    `since` says from when on it waits (monotonic). `filed_there` are all measurements of the other
    lab that it comes from, where it does: then its ids are settled, and it replaces rows of
    registers only among these. `marks` are those of its measurements that do not count any more by
    what was decided there; see `Incoming`.
    """

    file: ExportFile
    arrivals: list[Arrival]
    assigned: Assigned = field(default_factory=Assigned)
    held: Held | None = None
    decision: Decision | None = None
    sent_again: bool = False
    filed_at: datetime | None = None
    filed_there: Collection[str] | None = None
    marks: Mapping[str, Mark] = field(default_factory=dict)
    since: float = field(default_factory=time.monotonic)

    @property
    def filed_as(self) -> str | None:
        """The SHA-256 of what its very file was when it was filed before."""
        return next((one.filed_as for one in self.arrivals if one.filed_as), None)
