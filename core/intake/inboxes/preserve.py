"""Keeping the original of every export, under its SHA-256, before anything else is done with it."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Lock

from tiecoat.disk import fsio
from tiecoat.disk.file_print import FilePrint
from tiecoat.disk.steps import reached
from tiecoat.errors import FileHeld, OriginalChanged, UnknownName
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.inboxes.notes import keep_notes
from tiecoat.intake.inboxes.settle import Arrival, as_text
from tiecoat.lab.settings import Lab

THREADS = 4  # copies that wait for the disk at the same time
TOGETHER = 64  # files whose folders are flushed together
ADVICE = (
    "Put the file with the right content back from a backup, or take in a copy of the export: the"
    " same bytes are the same original. Nothing is filed from it until then; see: tiecoat verify"
)
KEPT = ""  # no reason why notes cannot be kept


def original_of(lab: Lab, sha256: str) -> Path | None:
    """Return the path of an original, or None if there is none.

    It is a folder where several files are one export, as `ExportFile` has it.

    Where something else was put beside it, its content tells which one it is. Whether it is sound
    is for whoever reads it to check: see `checked`.
    """
    every = fsio.paths_in(original_folder(lab, sha256))
    inside = [path for path in every if fsio.is_file(path) or fsio.is_folder(path)]
    if len(inside) > 1:
        inside = [path for path in inside if fsio.sha256_of(path) == sha256] or inside
    return inside[0] if inside else None


def find_original(lab: Lab, name: str) -> Path:
    """Return an original by its SHA-256, or the first 16 digits of it, or a measurement from it.

    Raises
    ------
    UnknownName
        If there is none.
    OriginalChanged
        If it is not what it was.
    """
    start = name.strip().lower().partition("-")[0]
    if len(start) >= 16 and set(start) <= set("0123456789abcdef"):
        for sha256 in fsio.names_in(lab.originals / start[:2]):
            ours = sha256.startswith(start) and not sha256.endswith(".notes")
            if ours and (path := original_of(lab, sha256)):
                return checked(path, sha256)
    raise UnknownName(
        f"no original {name!r}; give its SHA-256 or the id of a measurement, as they stand in"
        " the columns source_sha256 and measurement"
    )


def checked(path: Path, sha256: str) -> Path:
    """Return the path of an original once its content was found to be what it was.

    Raises
    ------
    OriginalChanged
        If it is not, or cannot be read.
    """
    try:
        path.stat()  # a disk may grant to read what it refuses to look at
        found = fsio.sha256_of(path)
    except OSError as error:
        raise OriginalChanged(f"{path} cannot be read: {error.strerror}\n{ADVICE}") from error
    if found != sha256:
        raise OriginalChanged(
            f"{path} was changed after it was stored: its content has the SHA-256 {found}\n{ADVICE}"
        )
    return path


def original_folder(lab: Lab, sha256: str) -> Path:
    """Return the folder of an original, whether it is there or not."""
    return lab.originals / sha256[:2] / sha256


def preserve(lab: Lab, arrivals: Sequence[Arrival]) -> list[ExportFile | str | None]:
    """Copy arrivals to the originals, whole and durable.

    Returns
    -------
    list
        For each arrival the file as it is kept; or why it cannot be read; or None if it changed or
        went away meanwhile: whatever it has become is for the next scan to find.

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
        """Return where an original is or will be, and whether the caller is to put it there.

        One that was changed since, or cannot be read, is put right under the name that it has.
        """
        with self._lock:
            there = self._made.get(sha256) or original_of(self._lab, sha256)
            if there and (sha256 in self._made or _is_sound(there, sha256)):
                return there, False
            folder = original_folder(self._lab, sha256)
            alone = len(fsio.names_in(folder)) == 1
            ours = there if there and alone and not there.name.startswith(".") else None
            self._made[sha256] = ours or folder / fsio.fitting(folder, name)
            return self._made[sha256], True


def _is_sound(path: Path, sha256: str) -> bool:
    try:
        return bool(checked(path, sha256))
    except OriginalChanged:
        return False


def _preserve(
    lab: Lab, arrivals: Sequence[Arrival], claims: _Claims
) -> list[ExportFile | str | None]:
    kept: list[ExportFile | str | None] = []
    staged: list[tuple[Path, Path]] = []  # copy, target
    try:
        for arrival in arrivals:
            if arrival.companions:
                kept.append(_preserve_together(lab, arrival, claims))
                continue
            copied = _copy(lab, arrival)
            if not isinstance(copied, fsio.Copied):
                kept.append(copied)
                continue
            reached("copied")
            if arrival.notes and (why := _notes_kept(lab, copied, arrival.notes)) != KEPT:
                kept.append(why)
                continue
            original, ours = claims.place(copied.sha256, arrival.name)
            if ours:
                staged.append((copied.staged, original))
            else:
                fsio.discard([copied.staged])
            kept.append(ExportFile(original, arrival.name, arrival.folder, copied.sha256))
    except OSError:
        fsio.discard(copy for copy, _ in staged)
        raise
    fsio.publish_many(staged)
    reached("preserved")
    return kept


def _preserve_together(lab: Lab, arrival: Arrival, claims: _Claims) -> ExportFile | str | None:
    with fsio.staging(lab.stage) as stage:
        copied = copy_together(lab, arrival, stage)
        if copied is None or isinstance(copied, str):
            return copied
        staged, hashes = copied
        sha256 = fsio.sha256_of_all(hashes)
        reached("copied")
        if arrival.notes and (why := _keep_notes(lab, sha256, arrival.notes)) != KEPT:
            return why
        original, ours = claims.place(sha256, staged.name)
        if ours:
            if fsio.is_there(original):  # it was changed there
                fsio.remove_folder(original, lab.stage)
            original = original.with_name(staged.name)
            fsio.publish_folder(staged, original)
        reached("preserved")
    return ExportFile(original, arrival.name, arrival.folder, sha256, hashes=hashes)


def copy_together(
    lab: Lab, arrival: Arrival, stage: Path
) -> tuple[Path, tuple[str, ...]] | str | None:
    """Copy all files of an export into a folder that is called like the main one.

    Returns
    -------
    tuple, str or None
        The folder, and the SHA-256 of each file by name; why one cannot be read; None where one
        was changed or is gone.
    """
    place = original_folder(lab, "0" * 64) / arrival.name
    folder = stage / fsio.fitting(place, arrival.name)
    hashes = []
    for path, seen in arrival.files.items():
        copied = _copied(path, seen, stage)
        if not isinstance(copied, fsio.Copied):
            return copied
        name = folder.name if path == arrival.path else fsio.fitting(place, as_text(path.name))
        try:
            fsio.move(copied.staged, folder / name)
        except FileExistsError:
            return f"two files beside each other would both be called {name}"
        hashes.append(copied.sha256)
    return folder, tuple(hashes)


def _copy(lab: Lab, arrival: Arrival) -> fsio.Copied | str | None:
    if arrival.link:
        return _copied(arrival.path, None, lab.stage)
    return _copied(arrival.path, arrival.seen, lab.stage)


def _copied(path: Path, seen: FilePrint | None, stage: Path) -> fsio.Copied | str | None:
    """Copy a file that was `seen`, or of a link where it points to."""
    try:
        copied = fsio.copy_hashing(path, stage) if seen else _copy_link(path, stage)
    except (BlockingIOError, FileHeld):
        return None
    except OSError as error:
        if error.filename != str(path):  # it is the disk of the lab that refuses
            raise
        return None if isinstance(error, FileNotFoundError) else str(error.strerror)
    if seen and copied.size != seen[0]:
        fsio.discard([copied.staged])
        return None
    return copied


def _notes_kept(lab: Lab, copied: fsio.Copied, notes: Path) -> str | None:
    """Keep the notes of a staged copy, which leaves the stage if that is not done."""
    why: str | None = None
    try:
        why = _keep_notes(lab, copied.sha256, notes)
    finally:
        if why != KEPT:
            fsio.discard([copied.staged])
    return why


def _keep_notes(lab: Lab, sha256: str, notes: Path) -> str | None:
    """Keep notes before their file, which is read as soon as it is there; KEPT if that is done."""
    try:
        content = notes.read_bytes()
    except OSError as error:
        return None if isinstance(error, FileNotFoundError) else f"{error.strerror}: {notes}"
    keep_notes(lab, sha256, content)
    return KEPT


def _copy_link(path: Path, stage: Path) -> fsio.Copied:
    """Keep where a link points to; what stands there is none of our business."""
    content = f"link to {path.readlink()}\n".encode("utf-8", "replace")
    staged = fsio.stage_file(content, stage)
    return fsio.Copied(staged, hashlib.sha256(content).hexdigest(), len(content))
