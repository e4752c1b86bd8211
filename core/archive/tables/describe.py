"""What the index knows of a measurement, worked out from the rows of a table.

Two words matter. The *determination* says which one it is: kind, batch, panel, time, and the
values of the columns that the kind names as its identity. The *fingerprint* is a hash of its
values: the same determination with another fingerprint is a conflict.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from tiecoat.wording import local_time

if TYPE_CHECKING:
    import numpy as np
    import pyarrow as pa

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def moment_at(microseconds: int) -> datetime:
    """Return the moment that is so long after 1970 began, as tables and index keep times."""
    return EPOCH + timedelta(microseconds=microseconds)


def microseconds_at(moment: datetime) -> int:
    """Return how long after 1970 began a moment is."""
    return (moment - EPOCH) // timedelta(microseconds=1)


@dataclass(frozen=True)
class Rule:
    """How a kind tells determinations apart; from the metadata of its tables.

    `replaces` is true for registers: there the time does not tell two apart.
    """

    kind: str
    identity: tuple[str, ...] = ()
    order: tuple[str, ...] = ()
    replaces: bool = False

    @classmethod
    def of(cls, schema: pa.Schema) -> Rule:
        """Return the rule that stands in a schema; KeyError if it is none of ours."""
        said = schema.metadata or {}
        names = (b"tiecoat.kind", b"tiecoat.identity", b"tiecoat.order", b"tiecoat.replaces")
        return cls._of(*(said[name] for name in names))

    @classmethod
    @lru_cache(maxsize=256)  # every export asks for that of its kind
    def _of(cls, kind: bytes, identity: bytes, order: bytes, replaces: bytes) -> Rule:
        return cls(
            kind=kind.decode(),
            identity=tuple(json.loads(identity)),
            order=tuple(json.loads(order)),
            replaces=replaces == b"true",
        )

    @property
    def text(self) -> str:
        """What the determinations in the index depend on."""
        return json.dumps([self.identity, self.order, self.replaces])


@dataclass(frozen=True)
class Described:
    """One measurement. `measured_at` counts microseconds since 1970 (UTC); `start` is its place.

    `registers` is true in a register: of a panel it says to which batch that belongs.
    """

    measurement: str
    kind: str
    batch: str
    panel: str | None
    measured_at: int | None
    n_rows: int
    source_sha256: str
    source_name: str
    source_row: int | None
    reader: str
    instrument: str | None
    determination: str
    fingerprint: str
    withdrawn: str | None
    registers: bool
    remark: str | None = None
    start: int = 0


def in_words(determination: str, zone: tzinfo | None = None) -> str:
    """Say a determination: which panel or batch, when, and what else tells it apart.

    Parameters
    ----------
    zone
        In which the time is told; None: in UTC, and so called.
    """
    kind, batch, panel, at, identity = json.loads(determination)
    parts = [f"{kind} of {panel or batch}"]
    if at is not None:
        moment = moment_at(at)
        parts.append(local_time(moment, zone) if zone else f"{moment:%Y-%m-%d %H:%M:%S} UTC")
    for name, values in identity:
        told = [value for value in values if value is not None]
        shown = [f"{value:g}" if isinstance(value, float) else str(value) for value in told]
        parts += [f"{name} {' '.join(shown)}"] if shown else []
    return ", ".join(parts)


def describe(rows: pa.Table, rule: Rule | None = None) -> list[Described]:
    """Describe the measurements of a table whose rows are in the archive's order."""
    if not len(rows):
        return []
    rule = rule or Rule.of(rows.schema)
    rows = rows.combine_chunks()
    starts, ends = _runs(rows)
    names = ["measurement", "batch", "panel", "source_sha256", "source_name", "reader"]
    names += ["instrument", "withdrawn"]
    names += ["remark"] if rows.schema.get_field_index("remark") >= 0 else []
    first = rows.take(starts)
    columns = {name: first[name].to_pylist() for name in names}
    columns["source_row"] = first_rows(rows, starts)
    times = first["measured_at"].cast("int64").to_pylist()
    identity = {name: _distinct(rows, name, starts, ends) for name in rule.identity}
    prints = _fingerprints(rows, starts, ends)
    found = []
    for place, (start, end) in enumerate(zip(starts, ends, strict=True)):
        own = {name: values[place] for name, values in columns.items()}
        at = None if rule.replaces else times[place]
        told_by = [(name, values[place]) for name, values in identity.items()]
        key = [rule.kind, own["batch"], own["panel"], at, told_by]
        found.append(
            Described(
                **own,
                kind=rule.kind,
                measured_at=times[place],
                n_rows=end - start,
                determination=json.dumps(key, ensure_ascii=False),
                fingerprint=prints[place],
                registers=rule.replaces,
                start=start,
            )
        )
    return found


def _runs(rows: pa.Table) -> tuple[list[int], list[int]]:
    """Return where each measurement starts and ends."""
    import pyarrow.compute as pc

    ends = pc.run_end_encode(one_array(rows, "measurement")).run_ends.to_pylist()
    return [0, *ends[:-1]], ends


def one_array(rows: pa.Table, name: str) -> pa.Array:
    """Return a column in one piece."""
    import pyarrow as pa

    column = rows[name].combine_chunks()
    return pa.concat_arrays(column.chunks) if isinstance(column, pa.ChunkedArray) else column


def first_rows(rows: pa.Table, starts: Sequence[int]) -> list[int | None]:
    """Return the first row of the original that each measurement came from."""
    import numpy as np

    lowest = np.fmin.reduceat(one_array(rows, "source_row").to_numpy(zero_copy_only=False), starts)
    return [None if np.isnan(row) else int(row) for row in lowest]


def _distinct(
    rows: pa.Table, name: str, starts: Sequence[int], ends: Sequence[int]
) -> list[list[Any]]:
    """Return for each measurement the distinct values of a column, in the order of its rows."""
    import numpy as np
    import pyarrow as pa
    import pyarrow.compute as pc

    if rows.schema.get_field_index(name) < 0:
        return [[None]] * len(starts)
    column = one_array(rows, name)
    if pa.types.is_timestamp(column.type):
        column = column.cast("int64")
    if pa.types.is_floating(column.type):
        column = pc.if_else(pc.is_nan(column), None, column)
    coded = column.dictionary_encode(null_encoding="encode")
    codes = coded.indices.to_numpy(zero_copy_only=False)
    values = coded.dictionary.to_pylist()
    first, last = np.minimum.reduceat(codes, starts), np.maximum.reduceat(codes, starts)
    return [
        [values[code] for code in dict.fromkeys(codes[start:end].tolist())]
        if low != high
        else [values[low]]
        for start, end, low, high in zip(starts, ends, first, last, strict=True)
    ]


def _fingerprints(rows: pa.Table, starts: Sequence[int], ends: Sequence[int]) -> list[str]:
    """Hash the values of each measurement, column by column in the order of their names.

    A column that is empty throughout a measurement counts as not there, so that a column added
    later changes no fingerprint.
    """
    lengths = [end - start for start, end in zip(starts, ends, strict=True)]
    hashes = [hashlib.sha256(str(length).encode()) for length in lengths]
    values = [
        field.name for field in rows.schema if (field.metadata or {}).get(b"role") == b"value"
    ]
    for name in sorted(values):
        column = one_array(rows, name)
        there = filled(column, starts)
        cells = _cells(column)
        for place, hashed in enumerate(hashes):
            if there[place]:
                hashed.update(b"\n" + name.encode() + b"\n")
                hashed.update(cells(starts[place], ends[place]))
    return [hashed.hexdigest() for hashed in hashes]


def filled(column: pa.Array, starts: Sequence[int]) -> np.ndarray[Any, Any]:
    """Say for each measurement whether a column has any value in it."""
    import numpy as np

    there = column.is_valid().to_numpy(zero_copy_only=False)
    if str(column.type) == "double":
        there = there & ~np.isnan(column.to_numpy(zero_copy_only=False))
    return np.add.reduceat(there.astype(np.int64), starts) > 0


def _cells(column: pa.Array) -> Any:
    """Return a function from a range of rows to the bytes of their values."""
    import numpy as np

    if str(column.type) == "double":
        numbers = column.to_numpy(zero_copy_only=False) + 0.0  # -0.0 and 0.0 are the same value
        numbers[np.isnan(numbers)] = np.nan
        raw = memoryview(numbers.astype("<f8")).cast("B")
        return lambda start, end: raw[8 * start : 8 * end]
    if str(column.type).startswith("timestamp"):
        column = column.cast("int64")
    texts = column.to_pylist()
    return lambda start, end: json.dumps(texts[start:end], ensure_ascii=False).encode()
