"""Keeping the original of every export, under its SHA-256, before anything else is done with it."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from threading import Lock

from tiecoat.disk import fsio
from tiecoat.disk.steps import reached
from tiecoat.errors import FileHeld
from tiecoat.intake.inboxes.notes import keep_notes
from tiecoat.intake.inboxes.settle import Arrival
from tiecoat.lab.settings import Lab

THREADS = 4  # copies that wait for the disk at the same time
TOGETHER = 64  # files whose folders are flushed together
KEPT = ""  # no reason why notes cannot be kept


@dataclass(frozen=True)
class Preserved:
    """Where the untouched bytes lie."""

    sha256: str
    original: Path


def original_of(lab: Lab, sha256: str) -> Path | None:
    """Return the path of an original, or None if there is none."""
    inside = fsio.paths_in(lab.originals / sha256[:2] / sha256)
    return next(iter(inside), None)


def preserve(lab: Lab, arrivals: Sequence[Arrival]) -> list[Preserved | str | None]:
    """Copy arrivals to the originals, whole and durable.

    Returns
    -------
    list
        For each arrival where it lies; or why it cannot be read; or None if it changed or went away
        meanwhile: whatever it has become is for the next scan to find.

    Raises
    ------
    OSError
        If the disk of the lab refuses.
    """
    groups = [arrivals[i : i + TOGETHER] for i in range(0, len(arrivals), TOGETHER)]
    claims = _Claims(lab)
    if len(groups) <= 1:
        return [kept for group in groups for kept in _preserve(lab, group, claims)]
    with ThreadPoolExecutor(THREADS) as pool:
        done = pool.map(lambda group: _preserve(lab, group, claims), groups)
        return [kept for group in done for kept in group]


class _Claims:
    """Which originals are being made: the same bytes may come in two groups at once."""

    def __init__(self, lab: Lab) -> None:
        self._lab = lab
        self._lock = Lock()
        self._made: dict[str, Path] = {}

    def place(self, sha256: str, name: str) -> tuple[Path, bool]:
        """Return where an original is or will be, and whether the caller is to put it there."""
        with self._lock:
            there = self._made.get(sha256) or original_of(self._lab, sha256)
            if there is not None:
                return there, False
            folder = self._lab.originals / sha256[:2] / sha256
            self._made[sha256] = folder / fsio.fitting(folder, name)
            return self._made[sha256], True


def _preserve(
    lab: Lab, arrivals: Sequence[Arrival], claims: _Claims
) -> list[Preserved | str | None]:
    kept: list[Preserved | str | None] = []
    staged: list[tuple[Path, Path]] = []  # copy, target
    try:
        for arrival in arrivals:
            copied = _copy(lab, arrival)
            if not isinstance(copied, fsio.Copied):
                kept.append(copied)
                continue
            reached("copied")
            if arrival.notes and (why := _keep_notes(lab, copied, arrival.notes)) != KEPT:
                kept.append(why)
                continue
            original, ours = claims.place(copied.sha256, arrival.name)
            if ours:
                staged.append((copied.staged, original))
            else:
                fsio.discard([copied.staged])
            kept.append(Preserved(copied.sha256, original))
    except OSError:
        fsio.discard(copy for copy, _ in staged)
        raise
    fsio.publish_many(staged)
    reached("preserved")
    return kept


def _copy(lab: Lab, arrival: Arrival) -> fsio.Copied | str | None:
    try:
        if arrival.link:
            return _copy_link(lab, arrival)
        copied = fsio.copy_hashing(arrival.path, lab.stage)
    except (BlockingIOError, FileHeld):
        return None
    except OSError as error:
        if error.filename != str(arrival.path):  # it is the disk of the lab that refuses
            raise
        return None if isinstance(error, FileNotFoundError) else str(error.strerror)
    if copied.size != arrival.seen[0]:
        fsio.discard([copied.staged])
        return None
    return copied


def _keep_notes(lab: Lab, copied: fsio.Copied, notes: Path) -> str | None:
    """Keep notes before their file, which is read as soon as it is there; KEPT if that is done."""
    try:
        content = notes.read_bytes()
    except OSError as error:
        fsio.discard([copied.staged])
        return None if isinstance(error, FileNotFoundError) else f"{error.strerror}: {notes}"
    try:
        keep_notes(lab, copied.sha256, content)
    except OSError:
        fsio.discard([copied.staged])
        raise
    return KEPT


def _copy_link(lab: Lab, arrival: Arrival) -> fsio.Copied:
    """Keep where a link points to; what stands there is none of our business."""
    content = f"link to {arrival.path.readlink()}\n".encode("utf-8", "replace")
    staged = fsio.stage_file(content, lab.stage)
    return fsio.Copied(staged, hashlib.sha256(content).hexdigest(), len(content))
