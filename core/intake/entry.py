"""An export on its way."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from tiecoat.intake.held import Held
from tiecoat.intake.keying import Assigned
from tiecoat.intake.settle import Arrival


@dataclass(frozen=True)
class Decision:
    """Who decided, and why; `shown` are the measurements that may be superseded, None for any."""

    who: str
    why: str
    shown: tuple[str, ...] | None = None


@dataclass
class Entry:
    """A preserved export on its way, with every arrival that has the same bytes.

    `held` is the earlier hold of a file that is tried again; `decision` says who wants its values
    to supersede those of the archive, and why; `sent_again` that it was read anew after all workers
    had been ended. `notes` are those that it is read with; `filed_at` says when it was filed first,
    where an archive is made again.
    """

    sha256: str
    name: str
    folder: str
    original: Path
    arrivals: list[Arrival]
    assigned: Assigned = field(default_factory=Assigned)
    held: Held | None = None
    decision: Decision | None = None
    sent_again: bool = False
    notes: Path | None = None
    filed_at: datetime | None = None
