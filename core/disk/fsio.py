"""Every effect on disk goes through here, so that it is durable, and can be made to fail in a test.

A file is made in the stage folder, flushed to the disk, checked, renamed to its place, and then its
folder is flushed: after a power cut there is the old file or the new one, never half of one. No
Parquet writer does this by itself.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import secrets
import shutil
import stat as modes
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import BinaryIO, TypeVar

from tiecoat.errors import FileHeld
from tiecoat.reasons import Reason

T = TypeVar("T")
Verify = Callable[[Path], None]

WINDOWS = sys.platform == "win32"
BLOCK = 1 << 20  # bytes copied at a time
# Characters of a path that Windows surely takes: its 259 less what " (2)", notes beside the file
# and the folder in the stage need.
LONGEST_PATH = 235

# Another program has the file open: access denied, sharing or lock violation, mapped into memory.
IN_USE = frozenset({5, 32, 33, 1224})
# What a disk says that gives no file a second name, or no more of them.
NO_LINKS = frozenset({errno.EPERM, errno.ENOTSUP, errno.ENOSYS, errno.EMLINK, errno.EINVAL})
WAITS_S = (0.01, 0.02, 0.04, 0.08, 0.16, 0.32, 0.64, 0.8, 0.8)  # about 3 s in all

# Flags that are 0 where the system does not have them.
_BINARY = getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
_SAFELY = _BINARY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)


@dataclass(frozen=True)
class Copied:
    """A staged copy, not yet flushed: `publish_many` does that before it renames."""

    staged: Path
    sha256: str
    size: int


def names_in(folder: Path) -> list[str]:
    """Return the names in a folder, sorted; none where there is no such folder.

    Raises
    ------
    OSError
        If it is there and cannot be listed. The listings of `pathlib` are empty then, and who takes
        that for an answer begins a journal anew, or stores an original twice.
    """
    try:
        return sorted(os.listdir(folder))  # noqa: PTH208 - tests replace `os`
    except (FileNotFoundError, NotADirectoryError):
        return []


def paths_in(folder: Path) -> list[Path]:
    """Return the paths of `names_in`."""
    return [folder / name for name in names_in(folder)]


def is_there(path: Path) -> bool:
    """Say whether something is there; OSError if that cannot be told."""
    return status_of(path) is not None


def is_file(path: Path) -> bool:
    """Say whether a file is there; OSError if that cannot be told."""
    return modes.S_ISREG(_mode(path))


def is_folder(path: Path) -> bool:
    """Say whether a folder is there; OSError if that cannot be told."""
    return modes.S_ISDIR(_mode(path))


def changed_ns(path: Path) -> int | None:
    """Return when a file or folder was changed last, in ns since 1970; None where there is none."""
    status = status_of(path)
    return None if status is None else status.st_mtime_ns


def changed_below(folder: Path, name: str) -> dict[str, int]:
    """Return when the file of this name was changed last (ns), by the subfolder that has one."""
    found = {one: status_of(f"{folder}{os.sep}{one}{os.sep}{name}") for one in names_in(folder)}
    return {one: status.st_mtime_ns for one, status in found.items() if status is not None}


def _mode(path: Path) -> int:
    status = status_of(path)
    return 0 if status is None else status.st_mode


def status_of(path: Path | str) -> os.stat_result | None:
    """Return the status of a file or folder; None where there is none."""
    try:
        return os.stat(path)  # noqa: PTH116 - tests replace `os`
    except (FileNotFoundError, NotADirectoryError):
        return None
    except OSError as error:
        if error.errno == errno.ELOOP:  # links in a circle lead nowhere
            return None
        raise


def make_dirs(*folders: Path, like: Path | None = None) -> None:
    """Make folders with their parents, and flush the parent of each new one.

    Parameters
    ----------
    like
        A folder whose rights new ones get; without, they are made as all else.
    """
    parents: dict[Path, None] = {}
    for folder in folders:
        for missing in reversed(_missing(folder)):
            try:
                os.mkdir(missing)  # noqa: PTH102 - tests replace `os` here by a faulty double
            except FileExistsError:
                continue  # another process was faster
            if like and not WINDOWS:
                with contextlib.suppress(OSError):  # some shares know no rights
                    os.chmod(missing, modes.S_IMODE(os.stat(like).st_mode))  # noqa: PTH101, PTH116
            parents[missing.parent] = None
    for parent in parents:
        fsync_dir(parent)


def _missing(folder: Path) -> list[Path]:
    missing = []
    while not is_folder(folder):
        missing.append(folder)
        folder = folder.parent
    return missing


def fsync_dir(folder: Path) -> None:
    """Flush the names in a folder to the disk; Windows does it by itself."""
    if WINDOWS:
        return
    descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
    with _open_as(descriptor, folder):
        try:
            os.fsync(descriptor)
        except OSError as error:  # some network shares flush no folders
            if error.errno not in {errno.EINVAL, errno.ENOTSUP}:
                raise


def stage_file(content: bytes | memoryview, stage: Path) -> Path:
    """Write a file of a new name into the stage folder; `publish_many` flushes and renames it."""
    path, descriptor = _new_file(stage)
    try:
        with _open_as(descriptor, path):
            _write(descriptor, content)
    except OSError:
        os.unlink(path)  # noqa: PTH108
        raise
    return path


def publish(
    target: Path, content: bytes | memoryview, stage: Path, verify: Verify | None = None
) -> None:
    """Put a file in its place, whole and durable, replacing the one that is there.

    Parameters
    ----------
    stage
        Folder on the same disk, where the file is made.
    verify
        Called with the path of the flushed file before it is renamed; what it raises ends it all.
    """
    publish_many([(stage_file(content, stage), target)], verify)


def publish_many(staged: Sequence[tuple[Path, Path]], verify: Verify | None = None) -> None:
    """Flush staged files, check them, rename each to its place in this order, flush the folders.

    The flushing is grouped, so that thousands of files cost little more than their number of
    folders. If it fails, the files that were renamed stay, the others leave the stage.
    """
    done = 0
    try:
        make_dirs(*dict.fromkeys(target.parent for _, target in staged))
        for path, _ in staged:
            _flush(path)
            if verify is not None:
                verify(path)
        for path, target in staged:
            _patiently(partial(os.replace, path, target))
            done += 1
    except Exception:
        discard(path for path, _ in staged[done:])
        raise
    finally:
        for folder in dict.fromkeys(target.parent for _, target in staged[:done]):
            fsync_dir(folder)


def discard(staged: Iterable[Path]) -> None:
    """Delete staged files that are not wanted after all."""
    for path in staged:
        path.unlink(missing_ok=True)


def sweep(stage: Path, *, own: bool = False) -> None:
    """Delete what processes that are gone have left in the stage folder.

    Parameters
    ----------
    own
        Also what this process has left: nothing of it may be in use.
    """
    import psutil

    for left in paths_in(stage):
        maker, _, _ = left.name.partition("-")
        if not maker.isdecimal():
            continue
        ours = int(maker) == os.getpid()
        if own if ours else not psutil.pid_exists(int(maker)):
            with contextlib.suppress(OSError):  # Windows: a scanner has it open; the next start
                shutil.rmtree(left, ignore_errors=True) if is_folder(left) else discard([left])


def stage_folder(stage: Path) -> Path:
    """Make an empty folder of a new name in the stage folder, for `publish_folder`."""
    make_dirs(stage)
    folder = stage / _unique()
    os.mkdir(folder)  # noqa: PTH102
    return folder


@contextlib.contextmanager
def staging(stage: Path) -> Iterator[Path]:
    """Have a staged folder, whose files go to their places by `publish_many`, or nowhere."""
    folder = stage_folder(stage)
    try:
        yield folder
    finally:
        discard_folder(folder)


def new_file(path: Path) -> BinaryIO:
    """Open a new file for writing."""
    descriptor = os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL | _BINARY, 0o666)
    return os.fdopen(descriptor, "wb")


def discard_folder(staged: Path) -> None:
    """Delete a staged folder that is not wanted after all."""
    shutil.rmtree(staged, ignore_errors=True)  # what stays is swept by the next try


def publish_folder(staged: Path, target: Path) -> None:
    """Put a staged folder in its place, whole and durable; no such folder may be there."""
    if is_there(target):
        raise FileExistsError(errno.EEXIST, "there is a folder of this name already", str(target))
    make_dirs(target.parent)
    _flush_folder(staged)
    _patiently(partial(os.replace, staged, target))
    fsync_dir(target.parent)


def _flush_folder(folder: Path) -> None:
    for path in paths_in(folder):
        _flush_folder(path) if is_folder(path) else _flush(path)
    fsync_dir(folder)


def move_folder(source: Path, target: Path) -> None:
    """Rename a folder on the same disk, durably; no such target may be."""
    if is_there(target):
        raise FileExistsError(errno.EEXIST, "there is a folder of this name already", str(target))
    make_dirs(target.parent)
    _patiently(partial(os.replace, source, target))
    for parent in dict.fromkeys([target.parent, source.parent]):
        fsync_dir(parent)


def remove_folder(folder: Path, stage: Path) -> None:
    """Take a folder out of its place at once, then delete it."""
    make_dirs(stage)
    aside = stage / _unique()
    _patiently(partial(os.replace, folder, aside))
    fsync_dir(folder.parent)
    shutil.rmtree(aside, ignore_errors=True)  # what stays in the stage is in nobody's way


def sha256_of(path: Path) -> str:
    """Return the SHA-256 of a file, or of the files in a folder: see `sha256_of_all`."""
    if is_folder(path):
        return sha256_of_all([sha256_of(file) for file in paths_in(path)])
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def sha256_of_all(hashes: Iterable[str]) -> str:
    """Return the SHA-256 of several files together: that of their own ones, one a line.

    In the order of their names, so that `sha256sum * | cut -c1-64 | sha256sum` gives the same.
    """
    return hashlib.sha256("".join(f"{one}\n" for one in hashes).encode()).hexdigest()


def main_of(original: Path) -> Path:
    """Return the main file of an original: itself, or in a folder the one that is called so."""
    return original / original.name if is_folder(original) else original


def size_of(path: Path) -> int:
    """Return the size of a file in bytes, or of all files in a folder together."""
    if is_folder(path):
        return sum(map(size_of, paths_in(path)))
    return path.stat().st_size


def copy_original(source: Path, target: Path) -> None:
    """Copy an original, of one file or of several in a folder, into a staged folder."""
    if not is_folder(source):
        shutil.copyfile(source, target)
        return
    os.mkdir(target)  # noqa: PTH102
    for path in paths_in(source):
        shutil.copyfile(path, target / path.name)


def copy_hashing(source: Path, stage: Path) -> Copied:
    """Copy a file into the stage folder while hashing it.

    Raises
    ------
    FileHeld
        If it is a link or anything else than a regular file: links are not followed.
    BlockingIOError
        If the file changed meanwhile: try again when it has settled.
    OSError
        If it cannot be read (then it names this file), or the stage not be written.
    """
    descriptor = _open_regular(source)
    with _open_as(descriptor, source):
        before = os.fstat(descriptor)
        path, sink = _new_file(stage)
        try:
            with _open_as(sink, path):
                sha256, size = _copy(source, descriptor, sink)
            _check_same(source, before, os.fstat(descriptor), size)
        except OSError:
            os.unlink(path)  # noqa: PTH108
            raise
    return Copied(path, sha256, size)


def _open_regular(source: Path) -> int:
    if not modes.S_ISREG(source.lstat().st_mode):
        raise FileHeld(Reason.NOT_A_FILE)
    try:
        descriptor = _patiently(lambda: os.open(source, os.O_RDONLY | _SAFELY))
    except OSError as error:
        if error.errno == errno.ELOOP:  # a link took its place meanwhile
            raise FileHeld(Reason.NOT_A_FILE) from error
        raise
    try:
        regular = modes.S_ISREG(os.fstat(descriptor).st_mode)
    except OSError as error:
        os.close(descriptor)
        raise OSError(error.errno, error.strerror, str(source)) from error
    if not regular:
        os.close(descriptor)
        raise FileHeld(Reason.NOT_A_FILE)
    return descriptor


def _copy(source: Path, descriptor: int, sink: int) -> tuple[str, int]:
    digest = hashlib.sha256()
    size = 0
    while block := _read_block(descriptor, source):
        digest.update(block)
        _write(sink, block)
        size += len(block)
    return digest.hexdigest(), size


def _read_block(descriptor: int, source: Path) -> bytes:
    try:
        return os.read(descriptor, BLOCK)
    except OSError as error:  # say which of the two files it is that fails
        raise OSError(error.errno, error.strerror, str(source)) from error


def _check_same(source: Path, before: os.stat_result, after: os.stat_result, copied: int) -> None:
    now = source.lstat()
    states = {(s.st_size, s.st_mtime_ns, s.st_ino) for s in (before, after, now)}
    if len(states) > 1 or before.st_size != copied:
        raise BlockingIOError(errno.EAGAIN, "the file changed while it was copied", str(source))


def move(source: Path, target: Path) -> None:
    """Rename a file on the same disk; the folder of the target is made if need be.

    This is not flushed: after a power cut the file may stand in its old place again.

    Raises
    ------
    FileExistsError
        If there is a file of the target's name: nothing is overwritten.
    """
    make_dirs(target.parent)
    if is_there(target):
        raise FileExistsError(errno.EEXIST, "there is a file of this name already", str(target))
    _patiently(partial(os.rename, source, target))


def link_many(pairs: Iterable[tuple[Path, Path]]) -> None:
    """Give files a second name each, durably; where the disk knows no such thing, copy them."""
    folders: dict[Path, None] = {}
    for source, target in pairs:
        make_dirs(target.parent)
        try:
            os.link(source, target)
        except OSError as error:
            if error.errno not in NO_LINKS:
                raise
            shutil.copyfile(source, target)
            _flush(target)
        folders[target.parent] = None
    for folder in folders:
        fsync_dir(folder)


def remove(path: Path) -> None:
    """Delete a file, durably."""
    _patiently(partial(os.unlink, path))
    fsync_dir(path.parent)


def append_lines(path: Path, lines: Iterable[bytes]) -> None:
    """Append lines (without their line end) and flush; a torn last line is closed off first."""
    content = b"".join(line + b"\n" for line in lines)
    make_dirs(path.parent)
    new = not is_there(path)
    descriptor = _patiently(
        lambda: os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND | _BINARY, 0o666)
    )
    with _open_as(descriptor, path):
        if os.fstat(descriptor).st_size and not _ends_a_line(descriptor):
            content = b"\n" + content
        _write(descriptor, content)
        os.fsync(descriptor)
    if new:
        fsync_dir(path.parent)


def leave_note(path: Path, content: bytes) -> None:
    """Write a small file that may be lost or torn at a power cut, such as who holds a lock."""
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC | _BINARY, 0o666)
    with _open_as(descriptor, path):
        _write(descriptor, content)


def swap_note(path: Path, content: bytes) -> None:
    """Replace a small file whole for every reader, unflushed: it may be lost at a power cut.

    Only one process at a time may do so for a path.
    """
    half_made = path.with_name(f".{path.name}.new")
    leave_note(half_made, content)
    _patiently(partial(os.replace, half_made, path))


def fitting(folder: Path, name: str) -> str:
    """Return a file name, on Windows cut before its ending where the path would get too long.

    Without a setting that only an administrator can make, Windows opens no longer paths. What a
    file was really called stands in the tables, the journal and the reason.
    """
    room = LONGEST_PATH - len(str(folder)) - 1
    if not WINDOWS or len(name) <= room:
        return name
    ending = Path(name).suffix[-10:]
    return name[: max(1, room - len(ending))].rstrip(" .") + ending


def _ends_a_line(descriptor: int) -> bool:
    os.lseek(descriptor, -1, os.SEEK_END)
    return os.read(descriptor, 1) == b"\n"


def _unique() -> str:
    return f"{os.getpid()}-{secrets.token_hex(8)}"


def _new_file(stage: Path) -> tuple[Path, int]:
    make_dirs(stage)
    path = stage / _unique()
    return path, os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL | _BINARY, 0o666)


def _write(descriptor: int, content: bytes | memoryview) -> None:
    rest = memoryview(content)
    while rest:
        rest = rest[os.write(descriptor, rest) :]


def _flush(path: Path) -> None:
    # Never tried again: after a failed flush the system may have dropped what it could not write.
    descriptor = _patiently(lambda: os.open(path, os.O_RDWR | _BINARY))
    with _open_as(descriptor, path):
        os.fsync(descriptor)


@contextlib.contextmanager
def _open_as(descriptor: int, path: Path) -> Iterator[None]:
    """Close a file in the end; have errors name it, as the system does only where it is opened."""
    try:
        try:
            yield
        finally:
            os.close(descriptor)
    except OSError as error:
        if error.filename is None:
            error.filename = str(path)
        raise


def _patiently(action: Callable[[], T]) -> T:
    """Do it; on Windows wait a while for whoever has the file open (a scanner, a spreadsheet)."""
    for wait_s in WAITS_S:
        try:
            return action()
        except OSError as error:
            if getattr(error, "winerror", None) not in IN_USE:
                raise
        time.sleep(wait_s)
    return action()
