"""What there is of the roll-up of a kind: its files, and which tables each of them is made of.

`rollup/<kind>/contents.json` names the files and says of each table in them in which version it was
copied. A table that has another version now counts from its own file, and so does one whose copy
cannot be used. So a roll-up that is old, torn, foreign or gone costs time and nothing else.

A file holds whole tables, sorted by batch: first the valid rows of all, then, in row groups of
their own, the withdrawn ones. It is never changed; another one takes its place under a new name.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from tiecoat.archive.tables.parquet import Version
from tiecoat.archive.tables_now import RolledFile, RolledTable
from tiecoat.archive.words import CONTENTS
from tiecoat.contract import columns
from tiecoat.disk import fsio

if TYPE_CHECKING:
    from tiecoat.lab.settings import Lab

FORMAT = 1  # of the contents; a roll-up of another is made anew
NAME = b"tiecoat.rollup"  # in the metadata of a file: what it is called
OURS = re.compile(r"[0-9a-f]{16}\.parquet")


def folder_of(lab: Lab, kind: str) -> Path:
    """Return where the roll-up of a kind stands."""
    return lab.rollup / quote(kind, safe="")


def read_rollup(folder: Path) -> tuple[RolledFile, ...]:
    """Return the files of a roll-up that are there and are what they should be; mostly all."""
    try:
        said = json.loads((folder / CONTENTS).read_bytes())
        if (said["format"], said["of_tables"]) != (FORMAT, columns.FORMAT):
            return ()
        found = [_read_record(folder, one) for one in said["files"]]
    except (OSError, ValueError, LookupError, TypeError, AttributeError, RecursionError):
        return ()
    return tuple(one for one in found if flaw_of(one) is None)


def _read_record(folder: Path, said: Mapping[str, Any]) -> RolledFile:
    name = said["name"]
    if not OURS.fullmatch(name):
        raise ValueError(name)
    tables = {
        str(batch): RolledTable(Version(*map(int, version)), int(valid), int(withdrawn))
        for batch, (*version, valid, withdrawn) in said["tables"].items()
    }
    return RolledFile(folder / name, int(said["size"]), int(said["valid_groups"]), tables)


def flaw_of(one: RolledFile) -> str | None:
    """Say why a file cannot be used: it is gone, torn, or another one; None if it can."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    try:
        with pa.OSFile(str(one.path)) as file:
            if file.size() != one.size:
                return f"it has {file.size():,} bytes and not {one.size:,}"
            metadata = pq.read_metadata(file)
    except (OSError, pa.ArrowException) as error:
        return str(error).partition("\n")[0]
    counts = [metadata.row_group(number).num_rows for number in range(metadata.num_row_groups)]
    expected = [sum(one.valid for one in one.tables.values())]
    expected.append(sum(one.withdrawn for one in one.tables.values()))
    found = [sum(counts[: one.valid_groups]), sum(counts[one.valid_groups :])]
    named = (metadata.metadata or {}).get(NAME, b"").decode("utf-8", "replace")
    return None if (named, found) == (one.path.name, expected) else "it is another file"


def damaged(lab: Lab) -> Iterator[str]:
    """Yield what cannot be used of the roll-up: it is passed over, and made anew by itself."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    for folder in fsio.paths_in(lab.rollup):
        for path in fsio.paths_in(folder):
            name = path.relative_to(lab.root).as_posix()
            if path.name == CONTENTS:
                continue
            try:
                with pq.ParquetFile(path, page_checksum_verification=True) as opened:
                    for number in range(opened.num_row_groups):
                        opened.read_row_group(number)
            except (OSError, pa.ArrowException):
                yield f"{name} is damaged; it is only a copy, and may be deleted"


def write_contents(folder: Path, kind: str, files: Sequence[RolledFile], stage: Path) -> None:
    """Say what a roll-up is made of, in the place of what was said before."""
    records = [one.as_record() for one in files]
    said = {"format": FORMAT, "of_tables": columns.FORMAT, "kind": kind, "files": records}
    fsio.publish(folder / CONTENTS, json.dumps(said).encode(), stage)
