"""An export as it lies on the disk: what a worker needs to read it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class ExportFile:
    """Where the untouched bytes of an export lie, and what is known beside them.

    `name` is what it is called and `folder` the folders it lay in, with "/" between them; `notes`
    is the file with what a person noted; `again` counts how often it was filed and retracted
    before: its measurements have other ids then, as those of before stay on record.
    """

    path: Path
    name: str
    folder: str
    sha256: str
    notes: Path | None = None
    again: int = 0
