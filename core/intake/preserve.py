"""Keeping the original of every export, under its SHA-256, before anything else is done with it."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from tiecoat import fsio
from tiecoat.errors import FileHeld
from tiecoat.intake.notes import keep_notes
from tiecoat.intake.settle import Arrival
from tiecoat.lab import Lab

THREADS = 4  # copies that wait for the disk at the same time
TOGETHER = 64  # files whose folders are flushed together


@dataclass(frozen=True)
class Preserved:
    """Where the untouched bytes lie."""

    sha256: str
    original: Path


def original_of(lab: Lab, sha256: str) -> Path | None:
    """Return the path of an original, or None if there is none."""
    return next((lab.originals / sha256[:2] / sha256).glob("*"), None)


def preserve(lab: Lab, arrivals: Sequence[Arrival]) -> list[Preserved | None]:
    """Copy arrivals to the originals, whole and durable.

    Returns
    -------
    list
        For each arrival where it lies, or None if it changed or went away meanwhile: whatever it
        has become is for the next scan to find.
    """
    groups = [arrivals[i : i + TOGETHER] for i in range(0, len(arrivals), TOGETHER)]
    if len(groups) <= 1:
        return [kept for group in groups for kept in _preserve(lab, group)]
    with ThreadPoolExecutor(THREADS) as pool:
        return [kept for group in pool.map(lambda g: _preserve(lab, g), groups) for kept in group]


def _preserve(lab: Lab, arrivals: Sequence[Arrival]) -> list[Preserved | None]:
    kept: list[Preserved | None] = []
    staged: dict[str, tuple[Path, Path]] = {}  # SHA-256 -> copy, target
    try:
        for arrival in arrivals:
            copied = _copy(lab, arrival)
            if copied is None:
                kept.append(None)
                continue
            if arrival.notes and not _keep_notes(lab, copied, arrival.notes):
                kept.append(None)
                continue
            there = original_of(lab, copied.sha256)
            if there is None and copied.sha256 not in staged:
                folder = lab.originals / copied.sha256[:2] / copied.sha256
                target = folder / fsio.fitting(folder, arrival.name)
                staged[copied.sha256] = copied.staged, target
            else:
                fsio.discard([copied.staged])
            kept.append(Preserved(copied.sha256, there or staged[copied.sha256][1]))
    except OSError:
        fsio.discard(copy for copy, _ in staged.values())
        raise
    fsio.publish_many(list(staged.values()))
    return kept


def _keep_notes(lab: Lab, copied: fsio.Copied, notes: Path) -> bool:
    """Keep notes before their file, which is read as soon as it is there; False if they went."""
    try:
        keep_notes(lab, copied.sha256, notes)
    except (FileNotFoundError, PermissionError):
        fsio.discard([copied.staged])
        return False
    return True


def _copy(lab: Lab, arrival: Arrival) -> fsio.Copied | None:
    try:
        if arrival.link:
            return _copy_link(lab, arrival)
        copied = fsio.copy_hashing(arrival.path, lab.stage)
    except (FileNotFoundError, BlockingIOError, PermissionError, FileHeld):
        return None
    if copied.size != arrival.seen[0]:
        fsio.discard([copied.staged])
        return None
    return copied


def _copy_link(lab: Lab, arrival: Arrival) -> fsio.Copied:
    """Keep where a link points to; what stands there is none of our business."""
    content = f"link to {arrival.path.readlink()}\n".encode("utf-8", "replace")
    staged = fsio.stage_file(content, lab.stage)
    return fsio.Copied(staged, hashlib.sha256(content).hexdigest(), len(content))
