"""Notes that a person puts beside an export: `<file name>.toml`, kept with its original.

The latest notes count; earlier wordings stay beside them, in `originals/<2 hex>/<sha256>.notes/`.
"""

from __future__ import annotations

import re
from pathlib import Path

from tiecoat.disk import fsio
from tiecoat.lab.settings import Lab

SUFFIX = ".toml"
NUMBERED = re.compile(r"[0-9]+\.toml")
MOST_BYTES = 64 * 1024  # a longer file is an export of its own


def notes_beside(path: Path) -> Path:
    """Return where the notes of a file would be."""
    return path.with_name(path.name + SUFFIX)


def keep_notes(lab: Lab, sha256: str, content: bytes) -> None:
    """Keep notes as the latest of an original, unless they are that already.

    Raises
    ------
    OSError
        If the disk refuses.
    """
    latest = latest_notes(lab, sha256)
    if latest and latest.read_bytes() == content:
        return
    number = int(latest.stem) + 1 if latest else 1
    fsio.publish(_folder(lab, sha256) / f"{number:04d}{SUFFIX}", content, lab.stage)


def notes_named(lab: Lab, sha256: str, name: str) -> Path:
    """Return where notes of this name are that an original was read with, or would be."""
    return _folder(lab, sha256) / name


def latest_notes(lab: Lab, sha256: str) -> Path | None:
    """Return the notes of an original that count, or None if there are none."""
    every = fsio.paths_in(_folder(lab, sha256))
    return max((path for path in every if NUMBERED.fullmatch(path.name)), default=None)


def _folder(lab: Lab, sha256: str) -> Path:
    return lab.originals / sha256[:2] / f"{sha256}.notes"
