"""An export as it lies on the disk: what a worker needs to read it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from tiecoat.disk import fsio


@dataclass(frozen=True)
class ExportFile:
    """Where the untouched bytes of an export lie, and what is known beside them.

    `path` is a file, or a folder of the same name as its main file where several are one export.
    `name` is what it is called and `folder` the folders it lay in, with "/" between them; `notes`
    is the file with what a person noted; `again` counts how often it was filed and retracted
    before: its measurements have other ids then, as those of before stay on record. `hashes` are
    the SHA-256 of several files by their names, where they have just been preserved.
    """

    path: Path
    name: str
    folder: str
    sha256: str
    notes: Path | None = None
    again: int = 0
    hashes: tuple[str, ...] = ()

    @property
    def main(self) -> Path:
        """The file that readers are given."""
        return fsio.main_of(self.path)

    @property
    def companions(self) -> tuple[Path, ...]:
        """The other files of the export, by name."""
        main = self.main
        return () if main == self.path else (*(p for p in fsio.paths_in(self.path) if p != main),)
