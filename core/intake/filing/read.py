"""A read export on its way to the tables; what is of several batches, once for each of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import pyarrow as pa
import pyarrow.compute as pc

from tiecoat.intake.filing.entry import Entry
from tiecoat.intake.workers.answers import Keys, Reading

_Copies = Mapping[str, Sequence[Keys]]  # measurement -> what it is of each batch


@dataclass
class Read:
    """A read export that waits for its round; `rows` maps kind -> rows without batch and panel."""

    entry: Entry
    reading: Reading
    rows: dict[str, pa.Table]


def read_of(entry: Entry, reading: Reading, rows: dict[str, pa.Table]) -> Read:
    """Return a read export, with what several batches were assigned to once for each of them.

    Only measurements that may be of several at once, and name none themselves. The first batch
    keeps their ids; those of the others count on from them.
    """
    batches = entry.assigned.batches
    own = [keys for keys in reading.keys if keys.shared and keys.batch is None]
    if len(batches) < 2 or not own:
        return Read(entry, reading, rows)
    count = len(reading.keys)
    copies = {
        keys.measurement: [
            replace(keys, measurement=_counted_on(keys.measurement, n * count), batch=batch)
            for n, batch in enumerate(batches)
        ]
        for keys in own
    }
    each = tuple(key for keys in reading.keys for key in copies.get(keys.measurement, [keys]))
    shared = {kind: _for_each(table, copies, len(batches)) for kind, table in rows.items()}
    return Read(entry, replace(reading, keys=each), shared)


def _counted_on(measurement: str, by: int) -> str:
    """Return the id of a measurement whose place in its original is so many further.

    Examples
    --------
    >>> _counted_on("0123456789abcdef-0002-1", 10)
    '0123456789abcdef-0012-1'
    """
    original, place, *again = measurement.split("-")
    return "-".join([original, f"{int(place) + by:04d}", *again])


def _for_each(rows: pa.Table, copies: _Copies, count: int) -> pa.Table:
    """Return rows in which those of some measurements stand once for each of their batches."""
    at = rows.schema.get_field_index("measurement")
    names = rows["measurement"].to_pylist()
    theirs = rows.filter(pc.is_in(rows["measurement"], pa.array([*copies], pa.string())))
    parts = [rows]
    for n in range(1, count):
        own = [copies[name][n].measurement for name in names if name in copies]
        field = rows.schema.field(at)
        parts.append(theirs.set_column(at, field, pa.array(own, field.type)))
    return pa.concat_tables(parts)
