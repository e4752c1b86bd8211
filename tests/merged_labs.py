"""Labs that were merged: their rows and files, and whether all of it stands up to a proof."""

from __future__ import annotations

from typing import Any

from labs import LabAtWork
from typed_commands import TypedCommands


def rows(at_work: LabAtWork) -> list[dict[str, Any]]:
    """Return all rows of a lab, those that do not count too."""
    return sorted(at_work.every_row(), key=lambda row: (row["measurement"], row["source_row"]))


def files(at_work: LabAtWork) -> dict[str, bytes]:
    """Return all files of a lab, but its cache and those that say who has it open."""
    every = (path for path in at_work.root.rglob("*") if path.is_file())
    kept = (path for path in every if not path.name.startswith((".", "index.sqlite")))
    return {path.relative_to(at_work.root).as_posix(): path.read_bytes() for path in kept}


def proved(at_work: LabAtWork, run: TypedCommands) -> bool:
    """Say whether the lab is sound, and the same once it was made again and indexed again."""
    before = rows(at_work)
    told = [run(at_work, command) for command in ("verify", "rebuild", "reindex", "verify")]
    assert [code for code, *_ in told] == [0, 0, 0, 0], told
    return rows(at_work) == before
