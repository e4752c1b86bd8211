"""Originals on their way from another lab: proved, and staged until all else is ready."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from tiecoat.archive.account import Notes
from tiecoat.disk import fsio
from tiecoat.errors import FileHeld
from tiecoat.intake.inboxes.notes import latest_notes, notes_named
from tiecoat.intake.inboxes.preserve import original_folder, original_of
from tiecoat.lab.settings import Lab

CHANGED = " was changed after it was stored, or cannot be read"


class Staging:
    """The originals that come, in the workplace; what is only shown is proved where it lies.

    Parameters
    ----------
    there, here, work
        The other lab, this one, and the workplace in it.
    copies
        Whether anything is copied.
    """

    def __init__(self, there: Lab, here: Lab, work: Lab, *, copies: bool) -> None:
        self._there = there
        self._here = here
        self._work = work
        self._copies = copies

    def bring(self, sha256: str, noted: Notes | None = None) -> Path | str:
        """Return where an original is from now on, with its notes; or why it does not come."""
        path = original_of(self._there, sha256)
        if path is None:
            return "its original is not there"
        if noted and not _is(notes_named(self._there, sha256, noted.name), noted.sha256):
            return "the notes it was filed with are not what they were"
        if self._has_other_notes(sha256):
            return "this lab has other notes for the same file"
        if not self._copies:
            return path if _is(path, sha256) else f"{path}{CHANGED}"
        staged = original_of(self._work, sha256)  # by a merge that was cut short
        brought = staged if staged and _is(staged, sha256) else self._copied(path, sha256)
        if isinstance(brought, Path):
            self._with_notes(sha256)
        return brought

    def _copied(self, path: Path, sha256: str) -> Path | str:
        if fsio.is_folder(path):
            return self._folder_copied(path, sha256)
        try:
            copied = fsio.copy_hashing(path, self._work.stage)
        except (FileHeld, BlockingIOError):
            return f"{path} is no file that can be copied"
        except OSError as error:
            if error.filename != str(path):  # it is the disk of this lab that refuses
                raise
            return f"{path} cannot be read: {error.strerror}"
        if copied.sha256 != sha256:
            fsio.discard([copied.staged])
            return f"{path}{CHANGED}"
        name = fsio.fitting(original_folder(self._here, sha256), path.name)
        place = original_folder(self._work, sha256) / name
        fsio.publish_many([(copied.staged, place)])
        return place

    def _folder_copied(self, path: Path, sha256: str) -> Path | str:
        place = original_folder(self._work, sha256) / path.name  # its main file is called so
        with fsio.staging(self._work.stage) as stage:
            staged = stage / path.name
            fsio.copy_original(path, staged)
            if fsio.sha256_of(staged) != sha256:
                return f"{path}{CHANGED}"
            if fsio.is_there(place):
                fsio.remove_folder(place, self._work.stage)
            fsio.publish_folder(staged, place)
        return place

    def notes_of(self, sha256: str, name: str) -> Path:
        """Return where notes are that an original was read with."""
        return notes_named(self._work if self._copies else self._there, sha256, name)

    def keep_only(self, originals: Collection[str]) -> None:
        """Let go of all that was staged beside these."""
        for part in fsio.paths_in(self._work.originals):
            for folder in fsio.paths_in(part):
                if folder.name.removesuffix(".notes") not in originals:
                    fsio.remove_folder(folder, self._work.stage)

    def _with_notes(self, sha256: str) -> None:
        if latest := latest_notes(self._there, sha256):
            every = [path for path in fsio.paths_in(latest.parent) if fsio.is_file(path)]
            staged = [fsio.stage_file(path.read_bytes(), self._work.stage) for path in every]
            places = [notes_named(self._work, sha256, path.name) for path in every]
            fsio.publish_many([*zip(staged, places, strict=True)])

    def _has_other_notes(self, sha256: str) -> bool:
        ours, theirs = latest_notes(self._here, sha256), latest_notes(self._there, sha256)
        if ours is None:
            return False
        return theirs is None or ours.read_bytes() != theirs.read_bytes()


def _is(path: Path, sha256: str) -> bool:
    try:
        return fsio.sha256_of(path) == sha256
    except OSError:
        return False
