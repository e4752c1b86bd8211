"""The originals against their own names: each stands in the folder of its SHA-256."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Sequence, Set
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path

from tiecoat.archive.account import Account
from tiecoat.archive.spilled import Spilled
from tiecoat.archive.words import Became
from tiecoat.disk import fsio
from tiecoat.disk.file_print import FilePrint, print_of
from tiecoat.intake.inboxes.notes import notes_named
from tiecoat.intake.inboxes.preserve import original_folder, original_of
from tiecoat.lab.settings import Lab
from tiecoat.verify.proved import Proved
from tiecoat.verify.report import Damage, DamageFound, Progress

SHA256 = re.compile(r"[0-9a-f]{64}")
NOTES = re.compile(r"[0-9a-f]{64}\.notes")
THREADS = 4  # hashing lets other threads run
TOGETHER = 1_000  # files hashed in one go


@dataclass
class Hashed:
    """The originals that are as they were, by SHA-256; `files` and `bytes` count what was read."""

    sound: Spilled[str] = field(default_factory=lambda: Spilled(str, str))
    files: int = 0
    passed_over: int = 0
    bytes: int = 0
    findings: list[DamageFound] = field(default_factory=list)


def hash_originals(lab: Lab, progress: Progress, proved: Proved) -> Hashed:
    """Read every original that is not proved, and compare its SHA-256 with its folder's name."""
    found = Hashed()
    every = _files(lab, found.findings)
    total, done = _how_many(lab), 0
    with ThreadPoolExecutor(THREADS) as pool:
        while some := [*islice(every, TOGETHER)]:
            to_read = []
            for path in some:
                sha256, seen = path.parent.name, _print(path)
                if seen and proved.has_original(sha256, seen):
                    found.sound[sha256] = ""
                    found.passed_over += 1
                else:
                    to_read.append((path, seen))
            answers = pool.map(_hash, [path for path, _ in to_read])
            for (path, seen), said in zip(to_read, answers, strict=True):
                _note(lab, found, path, said)
                if seen and path.parent.name in found.sound:
                    proved.note_original(path.parent.name, seen)
            done += len(some)
            progress(done, max(total, done))
    return found


def _print(path: Path) -> FilePrint | None:
    """Return what tells a file from a changed one; nothing does for several in a folder."""
    try:
        return None if fsio.is_folder(path) else print_of(path.stat())
    except OSError:  # reading it says why
        return None


def _how_many(lab: Lab) -> int:
    """Count the originals by the names of their folders: what is none of them is told later."""
    folders = (fsio.names_in(folder) for folder in fsio.paths_in(lab.originals))
    return sum(SHA256.fullmatch(name) is not None for names in folders for name in names)


def _note(lab: Lab, found: Hashed, path: Path, said: tuple[str, int] | str) -> None:
    """Note what a file was found to be: its SHA-256 and size, or why it cannot be read."""
    found.files += 1
    if isinstance(said, str):
        found.findings.append(DamageFound(Damage.ORIGINAL_CHANGED, _where(lab, path), said))
        return
    sha256, size = said
    found.bytes += size
    if sha256 == path.parent.name:
        found.sound[sha256] = ""
    else:
        words = f"its content has the SHA-256 {sha256}"
        found.findings.append(DamageFound(Damage.ORIGINAL_CHANGED, _where(lab, path), words))


def missing(lab: Lab, account: Account, hashed: Hashed) -> Iterator[DamageFound]:
    """Yield what the journal names and the originals lack, notes included."""
    for sha256, name in account.names.each():
        if sha256 in account.given_up:
            continue
        if sha256 not in hashed.sound and original_of(lab, sha256) is None:
            said = f"{name} ({account.outcomes[sha256]}, as the journal says) is not there"
            place = _where(lab, original_folder(lab, sha256))
            yield DamageFound(Damage.ORIGINAL_MISSING, place, said)
    for sha256, notes in account.notes.items():
        path = notes_named(lab, sha256, notes.name)
        said = f"the notes of {account.names[sha256]}"
        if not fsio.is_file(path):
            yield DamageFound(Damage.ORIGINAL_MISSING, _where(lab, path), f"{said} are not there")
        elif isinstance(found := _hash(path), str):
            yield DamageFound(Damage.ORIGINAL_CHANGED, _where(lab, path), f"{said}: {found}")
        elif found[0] != notes.sha256:
            words = f"{said} had the SHA-256 {notes.sha256}, and have {found[0]}"
            yield DamageFound(Damage.ORIGINAL_CHANGED, _where(lab, path), words)


def no_longer_held(lab: Lab, account: Account, held: Set[str]) -> Iterator[DamageFound]:
    """Yield what nobody has decided on and is not among the held: it would be out of sight.

    Parameters
    ----------
    held
        The SHA-256 of what is.
    """
    for sha256, outcome in account.outcomes.each():
        if outcome is Became.HELD and sha256 not in held:
            place = _where(lab, original_folder(lab, sha256) / account.names[sha256])
            said = (
                "was held, and is neither among the held nor filed nor discarded:"
                f' tiecoat take "{lab.root / place}"'
            )
            yield DamageFound(Damage.HELD_MISSING, place, said)


def unrecorded(lab: Lab, account: Account, hashed: Hashed) -> Iterator[str]:
    """Yield remarks on originals of which no record says what became of them."""
    for sha256 in hashed.sound:
        if sha256 in account.overtaken or sha256 in account.names:
            continue
        path = original_of(lab, sha256)
        yield (
            f"{path} is kept, and no record says what became of it. If it is not on its way just"
            f' now: tiecoat take "{path}"'
        )


def _files(lab: Lab, findings: list[DamageFound]) -> Iterator[Path]:
    for folder in fsio.paths_in(lab.originals):
        for place in fsio.paths_in(folder) if fsio.is_folder(folder) else [folder]:
            if NOTES.fullmatch(place.name) and fsio.is_folder(place):
                continue
            ours = SHA256.fullmatch(place.name) and place.name[:2] == folder.name
            inside = fsio.paths_in(place) if ours and fsio.is_folder(place) else []
            strangers = _strangers(place.name, inside) if len(inside) > 1 else []
            for path in strangers:
                said = "stands beside an original, in whose folder nothing else belongs"
                findings.append(DamageFound(Damage.ORIGINAL_FOREIGN, _where(lab, path), said))
            inside = [path for path in inside if path not in strangers]
            if not ours or len(inside) > 1 or not all(map(_may_be_one, inside)):
                said = "is no original: each is one file, or one folder, in that of its SHA-256"
                findings.append(DamageFound(Damage.ORIGINAL_FOREIGN, _where(lab, place), said))
            if ours:
                yield from (path for path in inside if _may_be_one(path))


def _may_be_one(path: Path) -> bool:
    """Say whether it is a file, or a folder of files: several that are one export."""
    if not fsio.is_folder(path):
        return fsio.is_file(path)
    every = fsio.paths_in(path)
    return bool(every) and all(map(fsio.is_file, every))


def _strangers(sha256: str, inside: Sequence[Path]) -> list[Path]:
    """Return what is not the original in its folder; nothing where none there is the original."""
    own = {path for path in inside if _may_be_one(path) and _hash(path)[0] == sha256}
    return [path for path in inside if path not in own] if own else []


def _hash(path: Path) -> tuple[str, int] | str:
    """Return SHA-256 and size of a file or a folder of several, or why it cannot be read."""
    try:
        if fsio.is_folder(path):
            return fsio.sha256_of(path), fsio.size_of(path)
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest(), file.tell()
    except OSError as error:
        return f"it cannot be read: {error.strerror}"


def _where(lab: Lab, path: Path) -> str:
    return path.relative_to(lab.root).as_posix()
