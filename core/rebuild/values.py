"""What is read otherwise than it was filed: old and new values, column by column."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from tiecoat.archive.tables.contents import COVERED, Content
from tiecoat.archive.tables.parquet import Place
from tiecoat.archive.tables.storage import TableStorage, storage_of
from tiecoat.contract.columns import told_of
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged
from tiecoat.lab.settings import Lab
from tiecoat.rebuild.differences import Otherwise
from tiecoat.wording import with_unit

if TYPE_CHECKING:
    import pyarrow as pa

FILE = "rebuild_differences.csv"  # in the lab, of the last rebuild
SHOWN = 3  # of a measurement
TITLES = (
    *("kind", "batch", "measurement", "file", "row", "column"),
    *("then", "unit", "now", "unit now"),
)


class ValueChange(NamedTuple):
    """A value that is another now, with its unit; `row` is None where all rows have the same."""

    row: int | None
    column: str
    then: Any
    unit: str
    now: Any
    unit_now: str

    def __str__(self) -> str:
        then, now = with_unit(self.then, self.unit), with_unit(self.now, self.unit_now)
        return f"{self._place}{self.column}: {then} -> {now}"

    def told(self, then: str, now: str) -> str:
        """Say it of two that were not one after the other, such as "there" and "here"."""
        one, other = with_unit(self.then, self.unit), with_unit(self.now, self.unit_now)
        return f"{self._place}{self.column}: {one} {then}, {other} {now}"

    @property
    def _place(self) -> str:
        return "" if self.row is None else f"row {self.row}, "


def list_changes(
    lab: Lab,
    new: Lab,
    otherwise: Sequence[Otherwise],
    before: Mapping[str, Content],
    made: Mapping[str, Content],
) -> dict[str, list[str]]:
    """Write every change into the file of the lab, and return the first of each measurement.

    Where nothing is read otherwise the file of an earlier rebuild is taken away.
    """
    said: dict[str, list[str]] = {}
    sink = io.StringIO()
    rows = csv.writer(sink)
    rows.writerow(TITLES)
    old, tables = _Tables(storage_of(lab)), _Tables(storage_of(new))
    for one in sorted(otherwise, key=lambda one: made[one.measurement].place):
        kind, batch = made[one.measurement].place
        kept = before[one.measurement].place
        then = old.rows(kept, one.measurement)
        now = tables.rows((kind, batch), one.measurement)
        said[one.measurement] = []
        for change in changes_between((kept[0], kind), then, now):
            rows.writerow((kind, batch, one.measurement, one.name, *change))
            if len(said[one.measurement]) < SHOWN:
                said[one.measurement].append(str(change))
    if said:
        fsio.publish(_path(lab), sink.getvalue().encode("utf-8", "replace"), lab.stage)
    elif fsio.is_there(_path(lab)):
        fsio.remove(_path(lab))
    return said


def _path(lab: Lab) -> Path:
    return lab.root / FILE


class _Tables:
    """The rows of measurements; the table that was looked into last is kept."""

    def __init__(self, kept: TableStorage) -> None:
        self._kept = kept
        self._place: Place | None = None
        self._rows: pa.Table | None = None

    def rows(self, place: Place, measurement: str) -> pa.Table | None:
        import pyarrow.compute as pc

        if place != self._place:
            self._place = place
            try:
                self._rows = self._kept.read(place)
            except (FileNotFoundError, ArchiveDamaged):
                self._rows = None
        if self._rows is None:
            return None
        return self._rows.filter(pc.equal(self._rows["measurement"], measurement))


def changes_between(
    kinds: tuple[str, str], then: pa.Table | None, now: pa.Table | None
) -> Iterator[ValueChange]:
    """Yield what differs between the rows of a measurement, matched by their rows in the file.

    Where a reader counts rows otherwise, they are matched by their order.
    """
    if kinds[0] != kinds[1]:
        yield ValueChange(None, "kind", kinds[0], "", kinds[1], "")
        return
    if then is None or now is None:  # a table that does not open
        return
    before, after = _by_row(then), _by_row(now)
    if before.keys() != after.keys() and len(before) == len(after):
        before = dict(zip(after, before.values(), strict=True))
    every = list(dict.fromkeys([*before, *after]))
    for name in _columns(then, now):
        units = _unit(then, name), _unit(now, name)
        pairs = [(before.get(row, {}).get(name), after.get(row, {}).get(name)) for row in every]
        same = units[0] == units[1]
        differ = [one != other or not (same or one is None) for one, other in pairs]
        if not any(differ):
            continue
        if len(set(pairs)) == 1 and len(every) > 1:
            yield ValueChange(None, name, pairs[0][0], units[0], pairs[0][1], units[1])
            continue
        for (_, row, _), (one, other), differs in zip(every, pairs, differ, strict=True):
            if differs:
                yield ValueChange(row, name, one, units[0], other, units[1])


def _by_row(rows: pa.Table) -> dict[tuple[str, int, int], dict[str, Any]]:
    """Return rows by their sheet and row in the file, and which it is of several from one row."""
    found: dict[tuple[str, int, int], dict[str, Any]] = {}
    for one in rows.to_pylist():
        sheet, row, again = one["source_sheet"] or "", one["source_row"] or 0, 0
        while (sheet, row, again) in found:
            again += 1
        found[sheet, row, again] = {name: _plain(value) for name, value in one.items()}
    return found


def _columns(then: pa.Table, now: pa.Table) -> list[str]:
    wanted = COVERED | {b"value"}
    return list(
        dict.fromkeys(
            field.name
            for schema in (now.schema, then.schema)
            for field in schema
            if (field.metadata or {}).get(b"role") in wanted
        )
    )


def _unit(rows: pa.Table, name: str) -> str:
    at = rows.schema.get_field_index(name)
    return told_of(rows.schema.field(at)).unit if at >= 0 else ""


def _plain(value: Any) -> Any:
    is_none = isinstance(value, float) and math.isnan(value)
    return None if is_none else value
