"""What the register knows of batches and panels, and whether one sheet of it contradicts itself."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from tiecoat.archive.index.cache import Index, TableState, registered_batch, registered_panel
from tiecoat.archive.tables.describe import Described, Rule
from tiecoat.archive.tables.parquet import Place
from tiecoat.archive.tables.storage import storage_of
from tiecoat.contract.columns import told_of
from tiecoat.intake.checks.oddities import Oddity, OfBatch, OfPanel, Stated, coated_too_early
from tiecoat.lab.settings import Lab
from tiecoat.reasons import Fault, Reason
from tiecoat.remarks import Remark

if TYPE_CHECKING:
    import pyarrow as pa

KEPT = 256  # batches whose register is in memory at most
_COAT = re.compile(r"coat_(\d+)_on")

Row = Mapping[str, Any]
Lines = Mapping[tuple[str, str], Row]  # by kind, and panel or batch


class Register:
    """The valid rows of the register, read again only where a table of it was replaced."""

    def __init__(self, lab: Lab, index: Index) -> None:
        self._tables = storage_of(lab)
        self._index = index
        self._read: dict[Place, tuple[TableState, dict[str, Row]]] = {}

    def batch(self, batch: str) -> OfBatch | None:
        """Return what is registered of a batch; None if nothing is."""
        row = self._row(registered_batch(self._index, batch))
        return OfBatch(_time(row, "mixed_on")) if row else None

    def panel(self, panel: str) -> OfPanel | None:
        """Return what is registered of a panel, in whatever batch; None if nothing is."""
        row = self._row(registered_panel(self._index, panel))
        if row is None:
            return None
        coats = {
            int(coat[1]): when
            for name in row
            if (coat := _COAT.fullmatch(name)) and (when := _time(row, name))
        }
        thickness = row.get("thickness_um")
        return OfPanel(
            _time(row, "coated_on"),
            _time(row, "immersed_at"),
            thickness if isinstance(thickness, float) else None,
            coats,
        )

    def before(self, kind: str, row: Row) -> Row | None:
        """Return what the register has said of the batch or panel of a row; None if nothing."""
        find = registered_panel if row["panel"] else registered_batch
        found = find(self._index, _whose(row))
        return self._row(found) if found is not None and found.kind == kind else None

    def _row(self, found: Described | None) -> Row | None:
        """Return the row of the register that the index has found."""
        if found is None:
            return None
        return self._rows((found.kind, found.batch)).get(found.panel or found.batch)

    def _rows(self, place: Place) -> dict[str, Row]:
        """Return the valid rows of a table of the register, by panel or batch."""
        state = self._index.tables(*place).get(place)
        if state is None:
            return {}
        known = self._read.get(place)
        if known is None or known[0] != state:
            if len(self._read) >= KEPT:
                self._read.clear()
            rows = self._tables.read(place).to_pylist()
            valid = {_whose(row): row for row in rows if row["withdrawn"] is None}
            known = self._read[place] = (state, valid)
        return known[1]


def _time(row: Row, name: str) -> datetime | None:
    """Return a time of a row; None too where the lab's register has no such column."""
    value = row.get(name)
    return value if isinstance(value, datetime) else None


NOTE = "note"  # free words, which correct nothing


def odd_lines(
    tables: Mapping[str, pa.Table], register: Register, together: Lines, zone: ZoneInfo
) -> Iterator[tuple[str, Stated, Oddity]]:
    """Yield what the lines of a register contradict in what it has said before.

    What it did not say before is no correction. The measurement of the line, the line, and what is
    odd about it.

    Parameters
    ----------
    together
        The lines of registers before this one that are filed together with it.
    """
    for kind, rows in tables.items():
        if not Rule.of(rows.schema).replaces:
            continue
        values = [field.name for field in rows.schema if told_of(field).role == "value"]
        for row in rows.to_pylist():
            before = together.get((kind, _whose(row))) or register.before(kind, row) or {}
            place = {"row": row["source_row"], "sheet": row["source_sheet"]}
            stated = Stated(row["batch"], row["panel"], _time(row, "coated_on"), **place)
            for one in _corrected(row, before, values):
                yield row["measurement"], stated, one
            for one in coated_too_early(stated, register.batch(row["batch"]), zone):
                yield row["measurement"], stated, one


def lines_of(tables: Mapping[str, pa.Table]) -> Lines:
    """Return the lines of the registers among the rows of a file."""
    return {
        (kind, _whose(row)): row
        for kind, rows in tables.items()
        if Rule.of(rows.schema).replaces
        for row in rows.to_pylist()
    }


def _whose(row: Row) -> str:
    """Return the panel of a line, or the batch where it is of none."""
    identity: str = row["panel"] or row["batch"]
    return identity


def _corrected(row: Row, before: Row, values: Iterable[str]) -> Iterator[Oddity]:
    for name in values:
        was, now = before.get(name), row[name]
        if name == NOTE or None in (was, now) or was == now:
            continue
        yield Oddity(
            Remark.CORRECTED,
            f"{name} {_shown(was)} before, {_shown(now)} now",
            f"{name} {_shown(now)} of {_whose(row)}",
            f"{_shown(was)}, as the register has said before",
        )


def twice(tables: Mapping[str, pa.Table]) -> Iterator[Fault]:
    """Yield a fault for each batch or panel that one file registers twice with different values.

    Parameters
    ----------
    tables
        The rows of the file by kind, with batch and panel filled in.
    """
    for rows in tables.values():
        rule = Rule.of(rows.schema)
        if not rule.replaces:
            continue
        values = [field.name for field in rows.schema if told_of(field).role == "value"]
        seen: dict[tuple[object, ...], Row] = {}
        for row in rows.to_pylist():
            whose = _whose(row)
            first = seen.setdefault((whose, *(row[name] for name in rule.identity)), row)
            other = [name for name in ("batch", *values) if row[name] != first[name]]
            if other:
                yield Fault(
                    Reason.TWICE_IN_REGISTER,
                    row["source_row"],
                    other[0],
                    f"{whose} again, with {_shown(row[other[0]])}",
                    f"{_shown(first[other[0]])} as in row {first['source_row']}",
                    row["source_sheet"],
                )


def _shown(value: object) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, float):
        return f"{value:g}"
    return f"{value:%Y-%m-%d %H:%M} UTC" if isinstance(value, datetime) else repr(value)
