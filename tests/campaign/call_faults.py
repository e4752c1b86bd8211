"""Faults at single system calls of a real service: which there are, and how they are brought about.

A small library in C stands between the program and the system, in the service and in its workers;
a test arms it with one fault at a time. Only calls on files of the lab are met.
"""

from __future__ import annotations

import errno
import mmap
import random
import shutil
import struct
import subprocess
import sys
from dataclasses import dataclass
from enum import IntEnum, StrEnum
from pathlib import Path

import pytest

SOURCE = Path(__file__).parent / "faults" / "faulty_calls.c"
NUMBERS = struct.Struct("7i")
COUNTS = struct.Struct("16i")
EVERY = -1
FOR_EVER = 1_000_000  # calls: more than any test makes


class Sort(IntEnum):
    """A sort of system call, as the library numbers it."""

    OPEN = 1
    READ = 2
    WRITE = 3
    FSYNC = 4
    RENAME = 5
    LINK = 6
    UNLINK = 7
    CLOSE = 8
    STAT = 9
    SCANDIR = 10
    MKDIR = 11
    LOCK = 12
    WATCH = 13


class How(IntEnum):
    """What becomes of a call that is hit."""

    NOT_DONE = 0
    DONE = 1  # and yet it is told that it failed
    HALF = 2  # a short transfer, which is no error


class When(StrEnum):
    """What a service does when a call fails."""

    SERVING = "serving"
    STARTING = "starting"


ERRORS = {
    "EIO": errno.EIO,
    "ENOSPC": errno.ENOSPC,
    "EACCES": errno.EACCES,
    "EROFS": errno.EROFS,
    "ESTALE": errno.ESTALE,
    "EDQUOT": errno.EDQUOT,
    "EINTR": errno.EINTR,
    "EXDEV": errno.EXDEV,
}
CHANGING = {Sort.WRITE, Sort.FSYNC, Sort.RENAME, Sort.LINK, Sort.UNLINK, Sort.CLOSE, Sort.MKDIR}
ALWAYS = {"EIO", "EACCES", "ESTALE", "EINTR"}  # the others only come of calls that change something


@dataclass(frozen=True)
class CallFault:
    """A fault: when, after how many calls of its sort, how often, and what."""

    when: When
    sort: Sort
    error: str
    how: How
    through: int
    hits: int

    @property
    def kind(self) -> str:
        """What it is, without how often and when exactly."""
        how = "" if self.how is How.NOT_DONE else f" {self.how.name.lower()}"
        return f"{self.when}: {self.sort.name.lower()} {self.error}{how}"

    def __str__(self) -> str:
        often = "until released" if self.hits == FOR_EVER else f"{self.hits}x"
        return f"{self.kind} after {self.through} {often}"


def drawn(dice: random.Random, when: When, usual: dict[Sort, int]) -> CallFault:
    """Return a fault at random.

    Parameters
    ----------
    usual
        How many calls of each sort a start takes, or a few exports: one of these is hit.
    """
    sort = dice.choice([one for one in Sort if usual[one]])
    errors = [name for name in ERRORS if sort in {*CHANGING, Sort.WATCH} or name in ALWAYS]
    how = How.NOT_DONE
    if sort in {Sort.READ, Sort.WRITE} and dice.random() < 0.3:
        how = How.HALF
    elif sort in CHANGING and dice.random() < 0.3:
        how = How.DONE
    hits = dice.choice([1, 1, 2, 5, FOR_EVER])
    error = dice.choice(errors)
    if error == "EINTR" and hits == FOR_EVER:  # a signal interrupts once; Python calls again
        hits = 5
    return CallFault(when, sort, error, how, dice.randrange(usual[sort]), hits)


class Faults:
    """The library, loaded into a service by its environment.

    Parameters
    ----------
    library
        As `compiled` makes it.
    root
        The lab.
    """

    def __init__(self, library: Path, root: Path) -> None:
        place = root.with_name("faults by")
        place.write_bytes(bytes(4096))
        with place.open("r+b") as file:
            self._shared = mmap.mmap(file.fileno(), 4096)
        self.environment = {
            "LD_PRELOAD": str(library),
            "FAULTS_IN": str(root),
            "FAULTS_BY": str(place),
        }

    def arm(self, fault: CallFault) -> None:
        """Have calls hit from now on."""
        error = ERRORS[fault.error]
        self._set(fault.sort, error, fault.through, fault.hits, fault.how)

    def count(self) -> None:
        """Only count the calls, sort by sort."""
        COUNTS.pack_into(self._shared, NUMBERS.size, *(0,) * 16)
        self._set(EVERY, 0, FOR_EVER, 0, How.NOT_DONE)

    def counted(self) -> dict[Sort, int]:
        """End the counting, and return how many calls of each sort there were."""
        self.release()
        counts = COUNTS.unpack_from(self._shared, NUMBERS.size)
        return {sort: counts[sort] for sort in Sort}

    def release(self) -> None:
        """Let every call through."""
        struct.pack_into("i", self._shared, 0, 0)

    @property
    def hit(self) -> int:
        """How many calls were hit."""
        return int(NUMBERS.unpack_from(self._shared)[6])

    def _set(self, sort: int, error: int, through: int, hits: int, how: How) -> None:
        self.release()
        NUMBERS.pack_into(self._shared, 0, 0, error, through, hits, how, 0, 0)
        struct.pack_into("i", self._shared, 0, sort)


def compiled(folder: Path) -> Path:
    """Compile the library."""
    library = folder / "faulty_calls.so"
    compiler = shutil.which("cc") or shutil.which("gcc")
    assert compiler
    command = [compiler, "-shared", "-fPIC", "-O1", "-o", str(library), str(SOURCE), "-ldl"]
    subprocess.run(command, check=True, capture_output=True)
    return library


needs_compiler = pytest.mark.skipif(
    sys.platform != "linux" or not (shutil.which("cc") or shutil.which("gcc")),
    reason="needs Linux and a C compiler",
)
