"""What stands in a table of a measurement: how many rows, their digest, its mark of withdrawal.

The digest goes into the journal when a measurement is filed, so that it can be shown years later
that its rows are the ones that were filed. It covers what the fingerprint covers (the values),
their units, and all keys, origins and remarks; not the marks, which come later.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from tiecoat.archive.tables.describe import Described, filled, one_array
from tiecoat.archive.tables.parquet import Mark, Place

if TYPE_CHECKING:
    import pyarrow as pa

MARK_COLUMNS = ("withdrawn", "withdrawn_at", "withdrawn_by", "withdrawn_why", "superseded_by")
COVERED = frozenset({b"key", b"origin", b"remark"})  # beside the values


@dataclass(frozen=True)
class Content:
    """A measurement as it was filed: its table, its number of rows, their digest."""

    place: Place
    n_rows: int
    digest: str


@dataclass(frozen=True)
class Withdrawal:
    """A measurement that no longer counts, the table it stands in, and its mark."""

    measurement: str
    place: Place
    mark: Mark

    def as_record(self) -> dict[str, Any]:
        """Return plain values for the journal."""
        kind, batch = self.place
        mark = self.mark
        return {
            "measurement": self.measurement,
            "kind": kind,
            "batch": batch,
            "withdrawn": mark.withdrawn,
            "at": mark.at.isoformat() if mark.at else None,
            "by": mark.by,
            "why": mark.why,
            "superseded_by": mark.superseded_by,
        }

    @classmethod
    def from_record(cls, record: Mapping[str, Any]) -> Withdrawal:
        """Return what `as_record` wrote."""
        said = [record[key] for key in ("withdrawn", "at", "by", "why", "superseded_by")]
        said[1] = said[1] and datetime.fromisoformat(said[1])
        return cls(record["measurement"], (record["kind"], record["batch"]), Mark(*said))


def as_tables(contents: Mapping[str, Content]) -> list[dict[str, Any]]:
    """Return contents, by measurement, as the journal lists them: table by table."""
    tables: dict[Place, dict[str, list[Any]]] = {}
    for measurement, one in contents.items():
        tables.setdefault(one.place, {})[measurement] = [one.n_rows, one.digest]
    return [
        {"kind": kind, "batch": batch, "measurements": len(of_table), "contents": of_table}
        for (kind, batch), of_table in tables.items()
    ]


def from_tables(tables: Sequence[Mapping[str, Any]]) -> dict[str, Content]:
    """Return what `as_tables` listed."""
    return {
        measurement: Content((table["kind"], table["batch"]), n_rows, digest)
        for table in tables
        for measurement, (n_rows, digest) in table["contents"].items()
    }


def contents_of(rows: pa.Table, described: Sequence[Described]) -> dict[str, Content]:
    """Return the contents of a table that was described, by measurement."""
    return {
        one.measurement: Content((one.kind, one.batch), one.n_rows, digest)
        for one, digest in zip(described, digests(rows, described), strict=True)
    }


def withdrawals_of(rows: pa.Table, described: Sequence[Described]) -> Iterator[Withdrawal]:
    """Yield the withdrawn measurements of a table that was described."""
    for one in described:
        if one.withdrawn is not None:
            said = [rows[name][one.start].as_py() for name in MARK_COLUMNS]
            yield Withdrawal(one.measurement, (one.kind, one.batch), Mark(*said))


def mixed(rows: pa.Table, described: Sequence[Described]) -> set[str]:
    """Return the measurements of which some rows bear another mark than others."""
    found = set()
    for name in MARK_COLUMNS if described else ():
        for one, cell in zip(described, _cells(rows, name, described), strict=True):
            if cell is not None and cell.startswith(b"["):
                found.add(one.measurement)
    return found


def digests(rows: pa.Table, described: Sequence[Described]) -> list[str]:
    """Hash the rows of each measurement: fingerprint, units, then keys, origins and remarks.

    A column that is empty throughout a measurement counts as not there, and the columns go by the
    order of their names, so that a column added later changes no digest.

    Parameters
    ----------
    rows
        In the order in which they were described.
    """
    hashes = [hashlib.sha256(one.fingerprint.encode()) for one in described]
    starts = [one.start for one in described]
    roles = {field.name: (field.metadata or {}).get(b"role") for field in rows.schema}
    for name in sorted(name for name, role in roles.items() if role == b"value"):
        if unit := (rows.schema.field(name).metadata or {}).get(b"unit"):
            for hashed, there in zip(hashes, filled(one_array(rows, name), starts), strict=True):
                if there:
                    hashed.update(b"\n" + name.encode() + b" in " + unit)
    for name in sorted(name for name, role in roles.items() if role in COVERED):
        for hashed, cell in zip(hashes, _cells(rows, name, described), strict=True):
            if cell is not None:
                hashed.update(b"\n" + name.encode() + b"\n" + cell)
    return [hashed.hexdigest() for hashed in hashes]


def _cells(rows: pa.Table, name: str, described: Sequence[Described]) -> Iterator[bytes | None]:
    """Yield for each measurement the values of a column: one if all are equal, None if empty."""
    import numpy as np
    import pyarrow as pa

    column = one_array(rows, name)
    if pa.types.is_timestamp(column.type):
        column = column.cast("int64")
    coded = column.dictionary_encode(null_encoding="encode")
    values = coded.dictionary.to_pylist()
    texts = [json.dumps(value, ensure_ascii=True).encode() for value in values]
    codes = coded.indices.to_numpy(zero_copy_only=False)
    starts = [one.start for one in described]
    lowest, highest = np.minimum.reduceat(codes, starts), np.maximum.reduceat(codes, starts)
    for one, low, high in zip(described, lowest.tolist(), highest.tolist(), strict=True):
        if low != high:
            own = codes[one.start : one.start + one.n_rows].tolist()
            yield b"[" + b",".join([texts[code] for code in own]) + b"]"
        else:
            yield None if values[low] is None else texts[low]
