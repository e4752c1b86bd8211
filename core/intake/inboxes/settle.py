"""Which files of a watched folder are complete: the scan is the truth, events only wake it.

A file has settled when two scans saw the same size, time and inode, our own monotonic clock says
that it has been quiet for long enough, and nobody is seen to have it open for writing. Its own time
stamp is no witness: copy tools put the past there. Long enough is the set while, and longer where
the file itself, or the last ones of its inbox, were written with longer pauses.
"""

from __future__ import annotations

import errno
import os
import re
import stat
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fnmatch import fnmatch
from itertools import groupby
from pathlib import Path
from typing import TypeAlias

from tiecoat.archive.index.cache import TakenOut
from tiecoat.contract.companions import Companions
from tiecoat.disk import fsio
from tiecoat.disk.file_print import FilePrint, print_of
from tiecoat.intake.inboxes.held_open import HeldOpen
from tiecoat.intake.inboxes.notes import MOST_BYTES, SUFFIX, notes_beside
from tiecoat.intake.inboxes.pace import Pace
from tiecoat.intake.inboxes.together import Together, together
from tiecoat.wording import listed

DONE = "done"
LATE_S = 30.0  # beyond the time to settle, after which a file that has not settled is told
WRITTEN_S = 3600.0  # for which a file is written to, after which that is told
ASKED_S = 0.5  # between two looks whether a quiet file is complete
ZEROS = 64  # at the end of a file: room that was reserved and not filled yet
NO_FILES = {  # what may stand in a folder and has no content to be kept
    stat.S_IFIFO: "a named pipe",
    stat.S_IFSOCK: "a socket",
    stat.S_IFCHR: "a device",
    stat.S_IFBLK: "a device",
}
HELD_OPEN = "another program has it open"
WRITING = "something writes to it again and again"
_IN_DONE = re.compile(rf"^{DONE}(?:/[0-9]{{4}}-[0-9]{{2}})?(?:/|$)")  # before its own folders
_NO_TEXT = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff]")

FilesThere: TypeAlias = dict[str, tuple[Path, FilePrint]]  # in one folder, by name as text

_REDIRECTS = 0x2000_0000  # bit of a Windows reparse tag: set for links, not for files in a cloud


@dataclass(frozen=True)
class Arrival:
    """A settled file in a watched folder, or one that was named on the command line.

    `folder` holds the folders between the inbox and the file, with "/" between them; for a file
    from elsewhere, which is never touched, `inbox` is None and `folder` the one that it lies in.
    `leave` says that the file stays where it is after it was taken in; `notes` is the file with
    what a person noted beside it. `longer_s` is how long it must have been quiet if it turns out to
    end early. `filed_as` is the SHA-256 of what this very file was when it was filed before.
    `companions` are the other files of the same export, by name.
    """

    path: Path
    folder: str
    seen: FilePrint
    inbox: Path | None
    leave: bool = False
    link: bool = False
    notes: Path | None = None
    longer_s: float = 0.0
    filed_as: str | None = None
    companions: tuple[tuple[Path, FilePrint], ...] = ()

    @property
    def name(self) -> str:
        """The file name as text."""
        return as_text(self.path.name)

    @property
    def files(self) -> dict[Path, FilePrint]:
        """All files of the export by name, the main one among them."""
        every = [(self.path, self.seen), *self.companions]
        return dict(sorted(every, key=lambda one: as_text(one[0].name)))

    @property
    def size(self) -> int:
        """Of all files, in bytes."""
        return sum(seen[0] for seen in self.files.values())

    def apart(self) -> list[Arrival]:
        """Return each of the files as an export of its own; the notes are those of the main one."""
        main = replace(self, companions=())
        others = (replace(main, path=path, seen=seen, notes=None) for path, seen in self.companions)
        return [main, *others]


@dataclass
class _Waiting:
    seen: tuple[FilePrint, FilePrint | None]  # of the file and of its notes
    since: float  # monotonic time of the last change that we saw, or heard of
    scans: int = 1
    pause_s: float = 0.0  # the longest between two changes
    size: int = 0  # that it had at two looks
    arrived: float = field(init=False)  # monotonic time of the first look that saw it
    first: float = field(init=False)  # and of the first that saw it so
    why: str = WRITING  # it has not settled
    again: float = 0.0  # monotonic time at which it is asked again whether it is complete

    def __post_init__(self) -> None:
        self.arrived = self.first = self.since

    def changed(self, now: float, seen: tuple[FilePrint, FilePrint | None]) -> None:
        """Note what a look has seen."""
        self.pause_s = max(self.pause_s, now - self.first)
        self.seen, self.scans, self.first, self.why = seen, 1, now, WRITING
        self.since = now


@dataclass
class Settler:
    """Follows one watched folder.

    Parameters
    ----------
    inbox
        The watched folder.
    quiet_s
        How long a file must be unchanged, in seconds.
    ignore
        Name patterns of files that are still being made.
    leave
        Whether filed exports stay in place.
    pace
        How the last files of the folder were written.
    patient
        Whether what seems unfinished waits longer.
    rules
        What readers say of files that are one export together.

    `again` holds files outside of it, such as those in done/, that were filed and have changed
    since: they are followed like the others. `unreadable` maps the entries that the last scan could
    not look into to the reason, `no_files` those that are no files to what they are; `overwritten`
    are those that it found smaller than before. `met` counts the entries that have answered:
    whoever waits for a scan sees by it that the folder is alive. `awaits_s` is how long at most
    what the last scan found lacking is waited for.
    """

    inbox: Path
    quiet_s: float
    ignore: tuple[str, ...]
    leave: bool = False
    pace: Pace = field(default_factory=Pace)
    patient: bool = True
    rules: Sequence[Companions] = ()
    again: dict[Path, TakenOut] = field(default_factory=dict)
    unreadable: dict[Path, str] = field(default_factory=dict)
    no_files: dict[Path, str] = field(default_factory=dict)
    overwritten: list[Path] = field(default_factory=list)
    met: int = 0
    awaits_s: float = 0.0
    _waiting: dict[Path, _Waiting] = field(default_factory=dict)
    _held_open: HeldOpen = field(default_factory=HeldOpen)

    def scan(self, now: float, taken: Mapping[Path, FilePrint]) -> list[Arrival]:
        """Look once and return what has settled, by name.

        Parameters
        ----------
        now
            Monotonic time in seconds.
        taken
            Files that are being taken in or stay in place: not returned while they look the same.

        Raises
        ------
        OSError
            If the inbox itself cannot be listed: it is out of reach, which deletes nothing.
        """
        self.unreadable, self.no_files, self.overwritten = {}, {}, []
        waiting: dict[Path, _Waiting] = {}
        quiet: list[Arrival] = []
        beside: dict[Path, FilesThere] = defaultdict(dict)
        for path, folder, seen, link, noted in self._files():
            if self.rules and not link:
                beside[path.parent][as_text(path.name)] = path, seen
            if taken.get(path) == seen:
                continue
            found = self._waiting.get(path)
            if found is None:
                found = _Waiting((seen, noted), now)
            elif found.seen != (seen, noted):
                found.changed(now, (seen, noted))
            else:
                found.scans += 1
                self._note_size(path, found, seen[0])
            waiting[path] = found
            if found.scans >= 2 and now >= self._due(found):
                full = not self.patient or now - found.since >= self._longer_s
                found.why = _incomplete(path, seen, full=full)
                if found.why:
                    found.again = now + ASKED_S
                else:
                    notes = notes_beside(path) if noted else None
                    quiet.append(self._arrival(path, folder, seen, link, notes))
        self._waiting = waiting
        if self.rules:
            quiet = self._gathered(quiet, beside, now)
        return sorted(self._free(quiet), key=lambda arrival: arrival.path)

    def _gathered(
        self,
        quiet: Sequence[Arrival],
        beside: Mapping[Path, FilesThere],
        now: float,
    ) -> list[Arrival]:
        """Return exports of one file or of several; what lacks a file waits for it for a while.

        Parameters
        ----------
        quiet
            Files that have settled.
        beside
            Folder -> name -> every file that the scan saw there.
        """
        settled = {one.path: one for one in quiet}
        self.awaits_s = 0.0
        gathered: dict[Path, Arrival] = {}
        for (folder, below), some in groupby(quiet, lambda one: (one.path.parent, one.folder)):
            there = beside[folder]
            if folder.is_relative_to(self.inbox / DONE):  # no scan looks there: one has changed
                there = _files_in(folder) | there
            found = together(there, self.rules, in_folder=bool(below))
            for one in some:
                export = found.get(one.name)
                if export is None or one.link:
                    gathered[one.path] = one
                elif why := self._awaits(export, there, settled, now):
                    for path in (there[name][0] for name in export.names):  # asked again together
                        self._not_yet(path, why, now + ASKED_S)
                else:
                    main = there[export.main][0]
                    gathered[main] = gathered_as(export, there, settled.get(main, one))
        return [*gathered.values()]

    def _not_yet(self, path: Path, why: str, again: float) -> None:
        if waits := self._waiting.get(path):
            waits.why, waits.again = why, again

    def _awaits(
        self, export: Together, there: FilesThere, settled: Mapping[Path, Arrival], now: float
    ) -> str:
        """Say what the files of an export wait for; "" if nothing more is waited for."""
        files = [there[name][0] for name in export.names]
        known = [path for path in files if path not in self._waiting]
        if unsettled := [path for path in files if path not in settled and path not in known]:
            return f"{unsettled[0].name} beside it has not settled"
        since = max(self._waiting[path].since for path in files if path in settled)
        wait_s = export.wait_s
        if known:  # of an earlier export, which another may be about to be written over
            wait_s = max(wait_s, *(rule.wait_s for rule in self.rules))
        if not wait_s or now >= since + self.quiet_s + wait_s:
            return ""
        self.awaits_s = max(self.awaits_s, wait_s)
        if not export.awaited:
            return "files beside it may be about to be written anew"
        return f"it waits for {listed(export.awaited, ' and ')} beside it"

    def _note_size(self, path: Path, waiting: _Waiting, size: int) -> None:
        """Note that a file has become smaller, and stays so: another may be written over it.

        Its writer does not leave it for as long as others have learnt the inbox to wait. Who
        rewrites an export whole is seen with less for a moment only.
        """
        if size < waiting.size and path not in self.again:
            self.overwritten.append(path)
            self.pace.forget()
            waiting.pause_s = 0.0
        waiting.size = size

    def _arrival(
        self, path: Path, folder: str, seen: FilePrint, link: bool, notes: Path | None
    ) -> Arrival:
        filed = self.again.get(path)
        leave, before = self.leave or filed is not None, filed.sha256 if filed else None
        return Arrival(path, folder, seen, self.inbox, leave, link, notes, self._longer_s, before)

    def _free(self, quiet: Sequence[Arrival]) -> Iterator[Arrival]:
        """Yield what nobody writes to, and note how it was written."""
        every = [path for one in quiet for path in one.files if path in self._waiting]
        held = self._held_open.among({path: self._waiting[path].since for path in every})
        for one in quiet:
            if opened := [path for path in one.files if path in held]:
                for path in one.files:
                    self._not_yet(path, HELD_OPEN, held[opened[0]])
                continue
            for path, _ in one.companions:
                self.again.pop(path, None)
            waiting = self._waiting.get(one.path)
            if waiting is None:  # its companions alone are new
                yield one
                continue
            took_s, pause_s = waiting.first - waiting.arrived, waiting.pause_s
            filed = self.again.pop(one.path, None)
            if filed and one.seen[0] > filed.seen[0]:  # it went on after it had been taken
                took_s = pause_s = max(0.0, (one.seen[1] - filed.seen[1]) / 1e9)
            self.pace.was_written(took_s, pause_s)
            yield one

    def _quiet_s(self, waiting: _Waiting) -> float:
        return self.pace.quiet_s(self.quiet_s, waiting.pause_s)

    @property
    def patience_s(self) -> float:
        """How long a file may need to settle that nobody writes to any more."""
        return self.quiet_s + self.pace.quiet_s(self.quiet_s)

    def _due(self, waiting: _Waiting) -> float:
        return max(waiting.since + self._quiet_s(waiting), waiting.again)

    @property
    def _longer_s(self) -> float:
        return self.pace.longer_s(self.quiet_s)

    def ended(self, began: float, now: float) -> None:
        """Count what the scan that began then saw change as changed now, when it has ended.

        A slow folder may have been asked for it at any time between.
        """
        for waiting in self._waiting.values():
            if waiting.since == began:
                waiting.since = now

    def touched(self, path: Path, now: float) -> None:
        """Restart the clock of a file of which an event was heard."""
        if waiting := self._waiting.get(path):
            waiting.since = now

    def late(self, now: float) -> list[tuple[Path, str]]:
        """Return the files that should have settled long ago, and why they have not."""
        return [
            (path, one.why)
            for path, one in self._waiting.items()
            if now - one.first > self._quiet_s(one) + LATE_S or now - one.arrived > WRITTEN_S
        ]

    @property
    def waiting(self) -> list[Path]:
        """Files that have not settled yet."""
        return list(self._waiting)

    def why(self, path: Path) -> str:
        """Say why a file has not settled."""
        return self._waiting[path].why if path in self._waiting else WRITING

    def due(self) -> float | None:
        """Monotonic time at which the next file can have settled, or None."""
        return min(map(self._due, self._waiting.values()), default=None)

    def _files(self) -> Iterator[tuple[Path, str, FilePrint, bool, FilePrint | None]]:
        """Yield the files of the inbox and of the folders in it, however deep these go."""
        yield from self._filed()
        folders = [(self.inbox, "")]
        while folders:
            folder, below = folders.pop()
            try:
                listed = self._listed(folder)
            except OSError as error:
                if folder == self.inbox:
                    raise
                self._cannot_look(folder, error)
                continue
            for entry in listed.values():
                path = Path(entry.path)
                try:
                    status = entry.stat(follow_symlinks=False)
                    self.met += 1
                    self._note_no_file(path, status)
                    if _is_link(status):
                        yield path, below, print_of(status), True, None
                    elif stat.S_ISDIR(status.st_mode):
                        if below or entry.name != DONE:
                            name = as_text(entry.name)
                            folders.append((path, f"{below}/{name}" if below else name))
                    elif stat.S_ISREG(status.st_mode) and not _is_notes(entry, status, listed):
                        noted = _print_of_notes(listed.get(entry.name + SUFFIX))
                        yield path, below, print_of(status), False, noted
                except OSError as error:
                    self._cannot_look(path, error)

    def _filed(self) -> Iterator[tuple[Path, str, FilePrint, bool, None]]:
        """Yield what was filed and has changed since."""
        for path, one in [*self.again.items()]:
            try:
                status = path.lstat()
            except FileNotFoundError:
                self.again.pop(path)
            except OSError as error:
                self._cannot_look(path, error)
            else:
                yield path, one.folder, print_of(status), _is_link(status), None

    def _listed(self, folder: Path) -> dict[str, os.DirEntry[str]]:
        with os.scandir(folder) as entries:
            return {entry.name: entry for entry in entries if not self._ignored(entry.name)}

    def _cannot_look(self, path: Path, error: OSError) -> None:
        """Note it, unless it is that it went away between the listing and the look."""
        if not isinstance(error, FileNotFoundError | NotADirectoryError):
            self.unreadable[path] = error.strerror or str(error)

    def _note_no_file(self, path: Path, status: os.stat_result) -> None:
        if what := NO_FILES.get(stat.S_IFMT(status.st_mode)):
            self.no_files[path] = what

    def _ignored(self, name: str) -> bool:
        return any(fnmatch(name, pattern) for pattern in self.ignore)


def gathered_as(export: Together, there: FilesThere, one: Arrival) -> Arrival:
    """Return an arrival with all files of its export, of which it is one."""
    if not export.companions:
        return one
    path, seen = there[export.main]
    if path != one.path:
        noted = notes_beside(path)
        one = replace(one, path=path, seen=seen, notes=noted if fsio.is_file(noted) else None)
    others = tuple(there[name] for name in export.companions)
    return replace(one, filed_as=None, companions=others)


def _files_in(folder: Path) -> FilesThere:
    """Return the files of a folder by name."""
    with os.scandir(folder) as entries:
        found = [(Path(one.path), one.stat(follow_symlinks=False)) for one in entries]
    return {
        as_text(path.name): (path, print_of(status))
        for path, status in found
        if stat.S_ISREG(status.st_mode) and not _is_link(status)
    }


def _is_notes(
    entry: os.DirEntry[str], status: os.stat_result, listed: Mapping[str, os.DirEntry[str]]
) -> bool:
    """Say whether this file holds the notes of another, beside which it lies."""
    other = listed.get(entry.name.removesuffix(SUFFIX))
    if other is None or other is entry or status.st_size > MOST_BYTES:
        return False
    return other.is_file(follow_symlinks=False)


def _print_of_notes(entry: os.DirEntry[str] | None) -> FilePrint | None:
    if entry is None or not entry.is_file(follow_symlinks=False):
        return None
    status = entry.stat(follow_symlinks=False)
    return print_of(status) if status.st_size <= MOST_BYTES else None


def look(path: Path, settlers: Iterable[Settler]) -> Arrival:
    """Return a file that a person named, as it stands now.

    Raises
    ------
    OSError
        If there is no such file, or it is a folder or a device.
    """
    path = Path(os.path.abspath(path))  # noqa: PTH100 - `resolve` would follow links
    status = path.lstat()
    if stat.S_ISDIR(status.st_mode):
        raise IsADirectoryError(errno.EISDIR, "is a folder; name the files in it", str(path))
    if not stat.S_ISREG(status.st_mode) and not _is_link(status):
        raise OSError(errno.EINVAL, "is not a file", str(path))
    seen, link, beside = print_of(status), _is_link(status), notes_beside(path)
    notes = beside if fsio.is_file(beside) and beside.stat().st_size <= MOST_BYTES else None
    for settler in settlers:
        if path.is_relative_to(settler.inbox):
            between = path.parent.relative_to(settler.inbox).as_posix().removeprefix(".")
            folder = as_text(_IN_DONE.sub("", between))
            return Arrival(path, folder, seen, settler.inbox, settler.leave, link, notes)
    return Arrival(path, as_text(path.parent.name), seen, None, link=link, notes=notes)


def look_together(
    path: Path, settlers: Iterable[Settler], rules: Sequence[Companions]
) -> tuple[Arrival, Together | None]:
    """Return a file that a person named, with those that belong to it, and what that says.

    Parameters
    ----------
    settlers
        Of the inboxes of the lab.
    rules
        What readers say of files that are one export together.

    Raises
    ------
    OSError
        As `look` does.
    """
    one = look(path, settlers)
    if not rules or one.link:
        return one, None
    there = _files_in(one.path.parent)
    in_folder = bool(one.folder) or one.inbox is None
    export = together(there, rules, in_folder=in_folder).get(one.name)
    return (one if export is None else gathered_as(export, there, one)), export


def as_text(name: str) -> str:
    """Return a name with "_" for each byte that is no text and for control characters."""
    return _NO_TEXT.sub("_", name)


def _is_link(status: os.stat_result) -> bool:
    return stat.S_ISLNK(status.st_mode) or bool(getattr(status, "st_reparse_tag", 0) & _REDIRECTS)


def _incomplete(path: Path, seen: FilePrint, *, full: bool) -> str:
    """Say why a file is not complete: whether it opens and is as large as listed; "" if it is.

    Shares list old sizes. Unless it counts as `full`, an end that is not filled yet counts too.
    """
    flags = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    try:
        if path.is_symlink():
            return ""
        handle = os.open(path, flags)
    except OSError as error:
        return error.strerror or str(error)
    try:
        if os.fstat(handle).st_size != seen[0]:
            return "it has another size than its folder says"
        return "" if full or _is_filled(handle, seen[0]) else "its end is not filled yet"
    except OSError as error:
        return error.strerror or str(error)
    finally:
        os.close(handle)


def _is_filled(handle: int, size: int) -> bool:
    """Say whether there is anything at the end of a file."""
    os.lseek(handle, max(0, size - ZEROS), os.SEEK_SET)
    return any(os.read(handle, ZEROS))
