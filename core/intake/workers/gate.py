"""The gate behind a reader: is what it returned a measurement of its kind at all?

pandera lets pass what must not pass (names twice, 1.5 as an integer, infinity, no rows), so names,
lengths and types are checked here first, by hand, and nothing is converted on the way: a text is
never taken for a number. What fails here is the reader's fault, not the chemist's.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from numbers import Real
from typing import TYPE_CHECKING, Any

import numpy as np

from tiecoat.contract.columns import ColumnInfo, columns_of
from tiecoat.dialect.units import InUnit, is_same
from tiecoat.intake.workers.answers import Keys
from tiecoat.plugin import Kind, Measurement
from tiecoat.remarks import together
from tiecoat.wording import shortened

if TYPE_CHECKING:
    from numpy.typing import NDArray

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MICROSECOND = timedelta(microseconds=1)
_LAST_ROW = 2**31 - 1
_MOST = 2**53  # of whole numbers: beyond, floats of other programs tell two apart no more
SHOWN = 60  # characters of a wrong value


class BrokenRule(Exception):
    """What a reader returned is not a measurement of its kind; the message says why."""


@dataclass(frozen=True)
class Piece:
    """A measurement that has passed the gate, in the worker.

    `keys` is what is sent back of it beside its rows. `columns` holds all columns of the kind:
    floats as float64 and times as datetime64[us] in UTC, the others as a list with None for
    nothing.
    """

    kind: Kind
    columns: Mapping[str, Any]
    rows: NDArray[np.int32]
    keys: Keys
    measured_at: datetime | None
    instrument: str | None
    remark: str | None = None

    @property
    def is_empty(self) -> bool:
        """Whether there is no row, or no value in any row."""
        return not len(self.rows) or all(_is_void(values) for values in self.columns.values())


def check(measurement: object, default_kind: str, kinds: Mapping[str, Kind], name: str) -> Piece:
    """Return the measurement as a piece of typed columns.

    Parameters
    ----------
    measurement, default_kind
        What the reader returned, and the kind it is of where it does not say.
    name
        What the measurement is called from here on.

    Raises
    ------
    BrokenRule
        If names, lengths or types are not those of its kind.
    """
    if not isinstance(measurement, Measurement):
        raise BrokenRule(f"returned {_named(measurement)}; expected a Measurement")
    kind_name = measurement.kind or default_kind
    if kind_name not in kinds:
        raise BrokenRule(f"kind {kind_name!r} is not known; there are {', '.join(sorted(kinds))}")
    kind = kinds[kind_name]
    rows = _rows(measurement.rows)
    return Piece(
        kind,
        _columns(measurement.columns, kind, len(rows)),
        rows,
        _keys(measurement, kind, rows, name),
        _moment(measurement.measured_at),
        _text("instrument", measurement.instrument),
        _remark(measurement.remarks),
    )


def _keys(measurement: Measurement, kind: Kind, rows: NDArray[np.int32], name: str) -> Keys:
    return Keys(
        name,
        kind.name,
        kind.per,
        kind.replaces,
        _text("batch", measurement.batch),
        _text("panel", measurement.panel),
        int(rows[0]) if len(rows) else None,
        _text("sheet", measurement.sheet),
        kind.shared,
        _text("called", measurement.called),
    )


def _is_void(values: Any) -> bool:
    if isinstance(values, np.ndarray):
        return bool((values != values).all())  # noqa: PLR0124 - NaN and NaT are unequal to themselves
    return all(value is None for value in values)


def _rows(rows: object) -> NDArray[np.int32]:
    if isinstance(rows, str) or not isinstance(rows, Sequence | np.ndarray):
        raise BrokenRule(f"rows is {_named(rows)}; expected a list of row numbers")
    usual = len(rows) and set(map(type, rows)) == {int} and 0 < min(rows) <= max(rows) <= _LAST_ROW
    for row in () if usual else rows:
        if (
            isinstance(row, bool)
            or not isinstance(row, int | np.integer)
            or not 0 < row <= _LAST_ROW
        ):
            raise BrokenRule(f"rows holds {row!r}; expected whole numbers from 1")
    return np.asarray(rows, dtype=np.int32)


def _columns(columns: object, kind: Kind, length: int) -> dict[str, Any]:
    if not isinstance(columns, Mapping):
        raise BrokenRule(f"columns is {_named(columns)}; expected column names with their values")
    infos = columns_of(kind)
    names = {info.name for info in infos}
    if unknown := [name for name in columns if name not in names]:
        raise BrokenRule(f"kind {kind.name} has no column {unknown[0]!r}; it has {_listed(infos)}")
    missing = [info.name for info in infos if info.name not in columns and not info.nullable]
    if missing:
        raise BrokenRule(f"kind {kind.name} needs column {missing[0]!r}, which is not there")
    return {info.name: _column(info, columns.get(info.name), length) for info in infos}


def _listed(infos: Sequence[ColumnInfo]) -> str:
    return ", ".join(info.name for info in infos)


def _column(info: ColumnInfo, values: Any, length: int) -> Any:
    if values is None:
        values = [None] * length
    if isinstance(values, str) or not isinstance(values, Sequence | np.ndarray):
        raise BrokenRule(f"column {info.name!r} is {_named(values)}; expected a list of values")
    if isinstance(values, InUnit) and not is_same(values.unit, info.unit, info.unit):
        asked, kept = (unit or "a plain number" for unit in (values.unit, info.unit))
        raise BrokenRule(
            f"column {info.name!r} was asked for in {asked}, and its kind keeps it in {kept};"
            " expected one unit in both"
        )
    if len(values) != length:
        raise BrokenRule(f"column {info.name!r} has {len(values)} values for {length} rows")
    if isinstance(values, np.ndarray) and info.type != "float":
        values = values.tolist()
    return _CONVERT[info.type](info.name, values)


def _floats(name: str, values: Sequence[Any] | NDArray[Any]) -> NDArray[np.float64]:
    if isinstance(values, np.ndarray):
        if values.ndim != 1 or values.dtype.kind not in "fiu":
            raise BrokenRule(f"column {name!r} is an array of {values.dtype}; expected numbers")
        return values.astype(np.float64)
    for kind in set(map(type, values)) - {float, int, type(None)}:
        if not issubclass(kind, Real) or issubclass(kind, bool):
            _refuse(name, values, kind, "a number")
    try:
        return np.asarray(values, dtype=np.float64)  # None becomes NaN
    except (OverflowError, ValueError, TypeError):
        raise BrokenRule(f"column {name!r} holds a number that is no float") from None


def _texts(name: str, values: Sequence[Any]) -> list[str | None]:
    for kind in set(map(type, values)) - {str, type(None)}:
        if not issubclass(kind, str):
            _refuse(name, values, kind, "a text")
    texts = [str(value) if value and not value.isspace() else None for value in values]
    _encodable(name, "".join(text for text in texts if text))
    return texts


def _whole(name: str, values: Sequence[Any]) -> list[int | None]:
    """Return whole numbers; a float that is one counts, since tables give floats."""
    found: list[int | None] = []
    for value in values:
        if value is None or (isinstance(value, float) and math.isnan(value)):
            found.append(None)
            continue
        is_number = isinstance(value, Real) and not isinstance(value, bool | np.bool_)
        if not is_number or not abs(value) <= _MOST or value != int(value):
            raise BrokenRule(f"column {name!r} holds {_named(value)}; expected a whole number")
        found.append(int(value))
    return found


def _truths(name: str, values: Sequence[Any]) -> list[bool | None]:
    for kind in set(map(type, values)) - {bool, type(None)}:
        if not issubclass(kind, np.bool_):
            _refuse(name, values, kind, "True, False or None")
    return [None if value is None else bool(value) for value in values]


def _times(name: str, values: Sequence[Any]) -> NDArray[np.datetime64]:
    for kind in set(map(type, values)) - {datetime, type(None)}:
        if not issubclass(kind, datetime):
            _refuse(name, values, kind, "an aware datetime")
    moments = [_moment(value, name) for value in values]
    return np.array(
        [
            np.datetime64("NaT") if moment is None else (moment - _EPOCH) // _MICROSECOND
            for moment in moments
        ],
        dtype="datetime64[us]",
    )


_CONVERT: dict[str, Callable[[str, Any], Any]] = {
    "float": _floats,
    "str": _texts,
    "time": _times,
    "whole": _whole,
    "bool": _truths,
}


def _moment(value: object, name: str = "measured_at") -> datetime | None:
    # pandas' NaT is a datetime and unequal to itself
    if value is None or value != value:  # noqa: PLR0124
        return None
    if not isinstance(value, datetime):
        raise BrokenRule(f"{name} is {_named(value)}; expected an aware datetime")
    if value.utcoffset() is None:
        raise BrokenRule(f"{name} is {value}, without a time zone; expected an aware datetime")
    return value.astimezone(UTC)


def _text(name: str, value: object) -> str | None:
    if value is None:
        return None
    if not isinstance(value, str):
        raise BrokenRule(f"{name} is {_named(value)}; expected a text")
    _encodable(name, value)
    return value.strip() or None


def _remark(remarks: object) -> str | None:
    if isinstance(remarks, str) or not isinstance(remarks, Sequence):
        raise BrokenRule(f"remarks is {_named(remarks)}; expected texts, such as ('cell leaked',)")
    texts = [_text("remarks", remark) for remark in remarks]
    return together(text for text in texts if text)


def _encodable(name: str, text: str) -> None:
    try:
        text.encode()
    except UnicodeEncodeError:
        raise BrokenRule(f"{name!r} holds half a character, which no file can keep") from None


def _refuse(name: str, values: Sequence[Any], kind: type, expected: str) -> None:
    found = next(value for value in values if type(value) is kind)
    raise BrokenRule(f"column {name!r} holds {_named(found)}; expected {expected}")


def _named(value: object) -> str:
    return f"{shortened(repr(value), SHOWN)} ({type(value).__name__})"
