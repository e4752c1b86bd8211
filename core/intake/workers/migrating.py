"""Rows of an earlier version of a kind, taken along by the kind's own function and checked."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from tiecoat.contract.columns import (
    MAY_BE_EMPTY,
    ColumnType,
    arrow_type,
    columns_of,
    schema_of,
    told_of,
)
from tiecoat.dialect.units import scale
from tiecoat.errors import PluginFault
from tiecoat.extend.blame import blame
from tiecoat.intake.workers.answers import Keys
from tiecoat.intake.workers.gate import Piece
from tiecoat.intake.workers.sending import from_stream, to_stream
from tiecoat.intake.workers.validating import Rows, RowSource, faults_in
from tiecoat.plugin import Kind
from tiecoat.wording import counted, with_unit

if TYPE_CHECKING:
    from numpy.typing import NDArray

SAME = 1e-9  # of a value, how far a conversion may be off: a rounding or two


class WronglyMigrated(PluginFault):
    """The function of a kind raised, or did not return what its kind asks for."""


def migrated(kind: Kind, stream: bytes, version: int) -> bytes:
    """Return rows of an earlier version as they are today, both as an Arrow stream.

    Raises
    ------
    WronglyMigrated
        If the function of the kind does not take them along.
    """
    rows = from_stream(stream)
    schema = schema_of(kind)
    frame = _asked(kind, _own(rows), version)
    columns = {info.name: _column(frame, info.name, schema, len(rows)) for info in columns_of(kind)}
    for info in columns_of(kind):
        if not info.nullable and (empty := columns[info.name].null_count):
            raise WronglyMigrated(f"column {info.name!r} is empty in {counted(empty, 'row')}")
    _check_conversions(rows, schema, columns)
    kept = [columns[one.name] if one.name in columns else rows[one.name] for one in schema]
    made = pa.table(kept, schema=schema)
    if broken := against_kind(kind, made):
        raise WronglyMigrated(broken)
    return to_stream(made)


def against_kind(kind: Kind, rows: pa.Table) -> str:
    """Say which rows that count their kind does not allow; "" for none.

    What is filed may be no other than what can be filed: bounds and vocabulary are meant, and what
    the kind checks itself. Of a file its measurements in this table are seen together.
    """
    counting = rows.filter(pc.is_null(rows["withdrawn"]))
    if not len(counting):
        return ""
    read = _as_read(kind, counting)
    faults, broken = faults_in(read)
    for _, said in broken.values():
        return said
    told = [(file, one) for file, found in sorted(faults.items()) for one in found]
    if not told:
        return ""
    file, fault = told[0]
    name = next(source.name for source in read.sources if source.file == file)
    more = f"; and {counted(len(told) - 1, 'value')} more" if len(told) > 1 else ""
    return f"{name}, {fault.sentence}{more}"


def _as_read(kind: Kind, rows: pa.Table) -> Rows:
    """Return filed rows as they were when they had been read, in the order of their files."""
    rows = rows.sort_by([("measurement", "ascending"), ("source_row", "ascending")])
    codes = pc.rank(rows["measurement"], tiebreaker="dense").to_numpy()
    _, firsts, piece = np.unique(codes, return_index=True, return_inverse=True)
    numbers = pc.fill_null(rows["source_row"], 0).to_numpy().astype(np.int32)
    first = rows.take(firsts).to_pylist()
    file_of = {one["source_sha256"]: number for number, one in enumerate(first)}
    sources = []
    for one in first:
        sha256 = one["source_sha256"]
        sources.append(RowSource(file_of[sha256], sha256, one["source_name"], one["reader"]))
    pieces = [
        Piece(kind, {}, own, _keys(kind, one), one["measured_at"], one["instrument"])
        for own, one in zip(np.split(numbers, firsts[1:]), first, strict=True)
    ]
    frame = _own(rows)[[info.name for info in columns_of(kind)]]
    file = np.asarray([source.file for source in sources], dtype=np.intp)[piece]
    return Rows(kind, pieces, sources, frame, file, piece, numbers)


def _keys(kind: Kind, first: Mapping[str, Any]) -> Keys:
    """Return the keys of a filed measurement by its first row."""
    said = (first[name] for name in ("batch", "panel", "source_row", "source_sheet"))
    return Keys(first["measurement"], kind.name, kind.per, kind.replaces, *said)


def _own(rows: pa.Table) -> pd.DataFrame:
    """Return the columns of the kind's own, of the types that `derive` gets."""
    own = [one for one in rows.schema if told_of(one).role == "value"]
    frame: pd.DataFrame = rows.select([one.name for one in own]).to_pandas()
    dtypes: Mapping[ColumnType, str] = {"str": "str", **MAY_BE_EMPTY}
    kept = {arrow_type(name): dtype for name, dtype in dtypes.items()}
    return frame.astype({one.name: kept[one.type] for one in own if one.type in kept})


def _asked(kind: Kind, frame: pd.DataFrame, version: int) -> pd.DataFrame:
    assert kind.migrate is not None
    try:
        with np.errstate(all="ignore"):
            found = kind.migrate(frame.copy(), version)
    except Exception as error:
        raise WronglyMigrated(blame(error, kind.migrate)) from error
    if not isinstance(found, pd.DataFrame):
        raise WronglyMigrated(f"it returned {type(found).__name__}, not a frame")
    if not found.index.equals(frame.index):
        raise WronglyMigrated("it added, lost or moved rows; expected the same in the same order")
    names = {info.name: info for info in columns_of(kind)}
    if unknown := [name for name in found.columns if name not in names]:
        raise WronglyMigrated(f"it returned column {unknown[0]!r}, which the kind does not have")
    lacking = names.keys() - set(found.columns)
    for name in sorted(lacking):
        if not names[name].nullable or name in frame:
            raise WronglyMigrated(f"it returned no column {name!r}")
    return found


def _column(frame: pd.DataFrame, name: str, schema: pa.Schema, length: int) -> pa.Array:
    wanted = schema.field(name).type
    if name not in frame:
        return pa.nulls(length, wanted)
    try:
        column = pa.array(frame[name], wanted, from_pandas=True)
    except (pa.ArrowException, TypeError, ValueError) as error:
        raise WronglyMigrated(f"column {name!r} is not of the type of its kind: {error}") from error
    if wanted == pa.float64() and np.isinf(_numbers(column)).any():
        raise WronglyMigrated(f"column {name!r} has a number that is not finite")
    return column


def _check_conversions(rows: pa.Table, schema: pa.Schema, columns: dict[str, pa.Array]) -> None:
    """Raise where a column has only another unit now, and not the values that follow from it.

    One of the same unit and meaning keeps its values. Where the unit stands in the name, another
    unit is another name: what has the meaning of a column that is gone is that column.
    """
    for field in schema:
        earlier = _earlier(rows.schema, schema, field)
        if field.name not in columns or earlier is None or earlier.type != field.type:
            continue
        (then, meant, _), (now, means, _) = map(told_of, (earlier, field))
        if (then, meant) == (now, means):
            _check_kept(field.name, now, rows[earlier.name], columns[field.name])
            continue
        is_number = field.type == pa.float64()
        way = scale(then, now) if is_number and then != now and meant == means else None
        if way is None:
            continue
        before, after = _numbers(rows[earlier.name].combine_chunks()), _numbers(columns[field.name])
        expected = np.asarray(way.apply(before.tolist()))
        room = SAME * np.maximum(np.abs(expected), np.abs(float(way.offset)))
        wrong = ~(np.abs(after - expected) <= room) & ~(np.isnan(after) & np.isnan(expected))
        if wrong.any():
            row = int(np.flatnonzero(wrong)[0])
            raise WronglyMigrated(
                f"column {field.name!r}: {before[row]:g} {then} became {after[row]:g} {now},"
                f" expected {expected[row]:g} {now}"
            )


def _earlier(then: pa.Schema, now: pa.Schema, field: pa.Field) -> pa.Field | None:
    """Return what a column was before: one of its name, else the one that is gone and meant it."""
    if field.name in then.names:
        return then.field(field.name)
    gone = (one for one in then if told_of(one).role == "value" and one.name not in now.names)
    meant = [one for one in gone if told_of(one)[1] == told_of(field)[1]]
    return meant[0] if len(meant) == 1 else None


def _check_kept(name: str, unit: str, before: pa.ChunkedArray, after: pa.Array) -> None:
    old, new = before.combine_chunks().to_pandas(), after.to_pandas()
    differ = ~((old == new) | (old.isna() & new.isna())).to_numpy(dtype=bool)
    if differ.any():
        row = int(np.flatnonzero(differ)[0])
        then, now = (with_unit(None if one.isna()[row] else one[row], unit) for one in (old, new))
        raise WronglyMigrated(
            f"column {name!r}: {then} became {now}, though neither its unit nor its meaning has"
            " changed; expected the same"
        )


def _numbers(column: pa.Array) -> NDArray[np.float64]:
    return np.asarray(column.to_numpy(zero_copy_only=False), dtype=np.float64)
