"""Whether an index was proved whole already, so that not every start reads all of it.

Who opens it for writing has every page looked at, which takes seconds once it is large. Beside it
stands which process has found it whole and has it open, and once that has closed it, how it looked.
A copy, or one that was changed since, looks otherwise, and is looked through.
"""

from __future__ import annotations

import json
import os
import socket
from contextlib import suppress
from pathlib import Path
from typing import Any

from tiecoat.disk import fsio
from tiecoat.disk.file_print import print_of


def is_proved(index: Path) -> bool:
    """Say whether it is as the last who found it whole has left it, or has it open still."""
    import psutil

    try:
        said = json.loads(_note(index).read_bytes())
        if "pid" in said:
            same = said["host"] == socket.gethostname() and said["file"] == index.stat().st_ino
            return bool(same and psutil.Process(said["pid"]).create_time() == said["since"])
        return bool(said["print"] == [*print_of(index.stat())] and not _is_open(index))
    except (OSError, ValueError, LookupError, TypeError, psutil.Error):
        return False


def note_open(index: Path) -> None:
    """Note that this process has found it whole, and has it open; the first says it for all."""
    import psutil

    if not is_proved(index) or not _is_open(index):
        since = psutil.Process().create_time()  # after a power cut another may have its number
        said = {"pid": os.getpid(), "since": since, "host": socket.gethostname()}
        _leave(index, {**said, "file": index.stat().st_ino})


def note_closed(index: Path) -> None:
    """Note how it looks now that this process has closed it, if it was the last to do so."""
    with suppress(OSError):
        if not _is_open(index):
            _leave(index, {"print": print_of(index.stat())})


def _is_open(index: Path) -> bool:
    return fsio.is_there(index.with_name(f"{index.name}-wal"))


def _note(index: Path) -> Path:
    return index.with_name(f".{index.stem}.proved")


def _leave(index: Path, said: dict[str, Any]) -> None:
    with suppress(OSError):  # it is looked through once more then
        fsio.leave_note(_note(index), json.dumps(said).encode())
