"""What happens while the service runs, for whoever tells people of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Literal


@dataclass(frozen=True)
class Event:
    """Something that a person may want to hear of while the service runs.

    Parameters
    ----------
    what
        `held`: a file is held. `said`: something about the service itself, such as an inbox out of
        reach, and that it is in reach again.
    line
        It in one line of plain words, as the screen and the log show it.
    lab
        The lab folder.
    at
        When, with time zone.
    folder
        Where the held file lies beside its reason.txt and reason.json, or None.
    """

    what: Literal["held", "said"]
    line: str
    lab: Path
    at: datetime
    folder: Path | None = None
