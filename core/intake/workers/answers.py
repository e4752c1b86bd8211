"""What comes back from a worker; it can be pickled, and no library is loaded for it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True)
class Keys:
    """Which measurement it is, and what it says of what it belongs to, as written.

    `row` is its first row. `shared` says that it may be of several batches at once, `called`
    what it calls the batch beside its id.
    """

    measurement: str
    kind: str
    per: str
    replaces: bool
    batch: str | None
    panel: str | None
    row: int | None
    sheet: str | None
    shared: bool = False
    called: str | None = None


@dataclass(frozen=True)
class Hold:
    """Why there are no rows: the code of the reason, the first faults as records, how many in all.

    A worker says so of a file that is to be held, `failure_of` of a worker that gave no answer.
    `apart` says that files lie together by their names, and no reader takes them so.
    """

    reason: str
    faults: tuple[dict[str, Any], ...] = ()
    total: int = 0
    detail: str | None = None
    apart: bool = False


@dataclass(frozen=True)
class Reading:
    """What became of one file: either `keys`, one a measurement, or `hold`.

    `reader` is the "name version" of the reader that won, `claims` what each said, surest first:
    name, how sure, why. `first_lines` are there when it is held.
    """

    sha256: str
    reader: str | None
    claims: tuple[tuple[str, float, str], ...]
    keys: tuple[Keys, ...]
    hold: Hold | None
    first_lines: tuple[str, ...] = ()


@dataclass(frozen=True)
class Chunk:
    """Readings in the order of the files, and the rows of all that are not held.

    `tables` maps a kind to an Arrow IPC stream under `schema_of(kind)`; batch, panel and the marks
    of withdrawal are null: the keying that follows fills them. `changed` maps the SHA-256 of an
    original that was not read, as it was changed or the disk refuses it, to what is wrong with it.
    """

    readings: tuple[Reading, ...]
    tables: dict[str, bytes]
    changed: dict[str, str] = field(default_factory=dict)
