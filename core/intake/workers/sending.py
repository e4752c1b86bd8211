"""From validated rows to an Arrow stream: what the worker sends and the archive takes."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING

import numpy as np
import pyarrow as pa

from tiecoat.contract.columns import schema_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from tiecoat.intake.workers.validating import Rows


def stream(rows: Rows, held: Collection[int]) -> bytes | None:
    """Return the rows of all files but those held, as an Arrow IPC stream; None if none is left.

    Measurements stand in the order of their files, their rows in the order of the kind.
    """
    order = _order(rows)
    order = order[~np.isin(rows.file[order], list(held))]
    if not len(order):
        return None
    return to_stream(_table(rows, order, schema_of(rows.kind)))


def to_stream(rows: pa.Table) -> bytes:
    """Return rows as an Arrow IPC stream."""
    sink = pa.BufferOutputStream()
    with pa.ipc.new_stream(sink, rows.schema) as writer:
        writer.write_table(rows)
    return bytes(sink.getvalue())


def from_stream(stream: bytes) -> pa.Table:
    """Return the rows of an Arrow IPC stream."""
    with pa.ipc.open_stream(stream) as reader:
        return reader.read_all()


def _order(rows: Rows) -> NDArray[np.intp]:
    by = list(rows.kind.order)
    keys = rows.frame[by].assign(measurement=rows.piece)
    ordered = keys.sort_values(["measurement", *by], kind="stable")
    return ordered.index.to_numpy()


def _table(rows: Rows, order: NDArray[np.intp], schema: pa.Schema) -> pa.Table:
    frame = rows.frame.iloc[order]
    piece = rows.piece[order]
    said: dict[str, Sequence[object]] = {
        "measurement": [piece.keys.measurement for piece in rows.pieces],
        "measured_at": [piece.measured_at for piece in rows.pieces],
        "instrument": [piece.instrument for piece in rows.pieces],
        "source_sha256": [source.sha256 for source in rows.sources],
        "source_name": [source.name for source in rows.sources],
        "source_sheet": [piece.keys.sheet for piece in rows.pieces],
        "reader": [source.reader for source in rows.sources],
        "remark": [piece.remark for piece in rows.pieces],
    }
    columns = {"source_row": pa.array(rows.row[order])}
    for field in schema:
        if field.name in said:
            columns[field.name] = _repeated(said[field.name], piece, field.type)
        elif field.name in frame:
            columns[field.name] = pa.array(frame[field.name], field.type, from_pandas=True)
        elif field.name not in columns:  # keys and marks that are not the worker's to set
            columns[field.name] = pa.nulls(len(order), field.type)
    return pa.table([columns[field.name] for field in schema], schema=schema)


def _repeated(values: Sequence[object], piece: NDArray[np.intp], kept: pa.DataType) -> pa.Array:
    return pa.array(values, kept).take(pa.array(piece))
