"""Everything is flushed to the disk before anything relies on it: read off the system calls.

A kill cannot show this, because what a dead process has written is still written; a power cut can.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

import pytest
from traced_run import Call, needs_strace

PATH = re.compile(r"<([^>]+)>")
TEXT = re.compile(r'"([^"]*)"')


@pytest.mark.thorough
@needs_strace
def test_nothing_leaves_the_inbox_before_it_is_safe(calls: list[Call]) -> None:
    """Files are flushed, renamed, their folders flushed, index and journal too; then the inbox."""
    (root,) = {Path(path) for path in _lab_folders(calls)}
    assert _unsafe(calls, root) == []


def test_the_check_itself_sees_what_is_missing() -> None:
    """Without a flush of file or folder, or with a write into the archive, it complains."""
    file, target = "/lab/stage/1", "/lab/archive/density/RB-1/data.parquet"
    good = [
        f"write(3<{file}>, ...",
        f"fsync(3<{file}>) = 0",
        f'rename("{file}", "{target}") = 0',
        "fsync(3</lab/archive/density/RB-1>) = 0",
        'unlink("/lab/inbox/a.csv") = 0',
    ]
    for left_out, complaints in ((None, 0), (1, 1), (3, 1)):
        lines = [line for number, line in enumerate(good) if number != left_out]
        seen = [Call(line.partition("(")[0], 1, line) for line in lines]
        assert len(_unsafe(seen, Path("/lab"))) == complaints
    opened = Call("openat", 1, f'openat(AT_FDCWD</>, "{target}", O_WRONLY|O_CREAT) = 3<{target}>')
    assert len(_unsafe([opened], Path("/lab"))) == 1


def _lab_folders(calls: Iterable[Call]) -> set[str]:
    renamed = (TEXT.findall(call.line)[0] for call in calls if call.name == "rename")
    return {path.partition("/stage/")[0] for path in renamed if "/stage/" in path}


def _unsafe(calls: Iterable[Call], root: Path) -> list[str]:
    """Return what a power cut at that moment could undo although something relies on it."""
    unflushed: set[Path] = set()  # files with new content, folders with new names
    complaints = []
    for call in calls:
        on = PATH.search(call.line)
        if call.name in {"write", "pwrite64"} and on:
            unflushed.add(Path(on[1]))
        elif call.name in {"fsync", "fdatasync"} and on:
            unflushed.discard(Path(on[1]))
        elif complaint := _complaint(call, root, unflushed):
            complaints.append(f"{complaint}: {call.line}")
        if call.name in {"rename", "mkdir"} and call.line.endswith(" = 0"):
            unflushed.add(Path(TEXT.findall(call.line)[-1]).parent)
    return complaints


def _complaint(call: Call, root: Path, unflushed: set[Path]) -> str:
    path = Path(TEXT.findall(call.line)[0])
    if call.name == "openat" and path.is_relative_to(root / "archive"):
        return "written to in its place" if re.search("O_WRONLY|O_RDWR", call.line) else ""
    if call.name == "rename" and path.is_relative_to(root / "stage"):
        missed = any(one.is_relative_to(path) for one in unflushed)
        return "renamed before it was flushed" if missed else ""
    if call.name in {"rename", "unlink"} and path.is_relative_to(root / "inbox"):
        missing = sorted(str(one) for one in unflushed if _counts(one, root))
        return f"left the inbox before {', '.join(missing)} were flushed" if missing else ""
    return ""


def _counts(path: Path, root: Path) -> bool:
    """The stage is swept, an export that is back in its inbox is known, the notes are for now."""
    passing = path.suffix in {".holder", ".sqlite-shm", ".proved"}
    within = path.relative_to(root).parts[:1]
    return not passing and within not in {("stage",), ("inbox",)}
