"""What stands between keying and filing: each measurement held against what the lab knows.

What contradicts the register or the clock holds its file or is remarked, as the lab has set.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pyarrow as pa
import pyarrow.compute as pc

from tiecoat.archive.index.cache import Index, TableState
from tiecoat.archive.plan import Incoming
from tiecoat.archive.tables.describe import Rule, first_rows, one_array
from tiecoat.archive.tables.parquet import Place
from tiecoat.archive.tables.storage import storage_of
from tiecoat.errors import FileHeld
from tiecoat.intake.checks.oddities import Stated, judged, oddities
from tiecoat.intake.checks.register import KEPT, Register, twice
from tiecoat.intake.checks.spread import Level, levels, odd_ones
from tiecoat.lab.settings import Lab
from tiecoat.reasons import FAULTS_KEPT, Fault
from tiecoat.remarks import parts_of, together

ALWAYS = ("measurement", "batch", "panel", "measured_at", "source_sheet")
STATED = {"exposure_h": pa.float64(), "exposure": pa.string(), "coat": pa.string()}  # where it is


class Checker:
    """Checks what is about to be filed. `index` must be in step with the register's tables."""

    def __init__(self, lab: Lab, index: Index) -> None:
        self._lab = lab
        self._tables = storage_of(lab)
        self._index = index
        self._register = Register(lab, index)
        self._levels: dict[Place, tuple[TableState | None, list[Level]]] = {}
        self._earlier: dict[Place, list[Level]] = defaultdict(list)

    def begin(self) -> None:
        """Begin a group of exports that are filed together: each is compared with those before."""
        self._earlier.clear()

    def checked(self, incoming: Incoming) -> Incoming:
        """Return the rows of an export with the remarks that they are filed with.

        Raises
        ------
        FileHeld
            If something contradicts the register or the clock, and the lab has that held.
        """
        now = incoming.at or datetime.now(UTC)
        faults = list(twice(incoming.tables))
        remarks: dict[str, list[str]] = {}
        seen: dict[Place, list[Level]] = {}
        for rows in incoming.tables.values():
            if not Rule.of(rows.schema).replaces:  # the register is checked by it, not against it
                for measurement, stated in _measurements(rows):
                    wrong, odd = self._judged(stated, now)
                    faults += wrong
                    if odd:
                        remarks[measurement] = odd
                for measurement, odd_value in self._far_off(rows, seen):
                    remarks.setdefault(measurement, []).append(odd_value)
        if faults:
            raise FileHeld(faults[0].reason, tuple(faults[:FAULTS_KEPT]), len(faults))
        for place, of_file in seen.items():
            self._earlier[place] += of_file
        if not remarks:
            return incoming
        tables = {kind: with_remarks(rows, remarks) for kind, rows in incoming.tables.items()}
        return replace(incoming, tables=tables)

    def _far_off(self, rows: pa.Table, seen: dict[Place, list[Level]]) -> Iterator[tuple[str, str]]:
        """Yield the measurements whose values are far from what else there is of panel or batch.

        `seen` gets what was compared.
        """
        if self._lab.settings.checks.spread == "off":
            return
        new = levels(rows)
        for batch in dict.fromkeys(one.batch for one in new):
            place = (Rule.of(rows.schema).kind, batch)
            mine = [one for one in new if one.batch == batch]
            yield from odd_ones(mine, [*self._filed(place), *self._earlier[place]])
            seen[place] = mine

    def _filed(self, place: Place) -> list[Level]:
        """Return the levels of a table as it is now."""
        state = self._index.tables(place).get(place)
        known = self._levels.get(place)
        if known is None or known[0] != state:
            if len(self._levels) >= KEPT:
                self._levels.clear()
            valid = pc.field("withdrawn").is_null()
            rows = self._tables.read(place, valid) if state else None
            known = self._levels[place] = (state, levels(rows) if rows is not None else [])
        return known[1]

    def _judged(self, stated: Stated, now: datetime) -> tuple[list[Fault], list[str]]:
        panel = self._register.panel(stated.panel) if stated.panel else None
        batch = self._register.batch(stated.batch)
        found = oddities(stated, panel, batch, now, self._lab.zone)
        return judged(stated, found, self._lab.settings.checks)


def _measurements(rows: pa.Table) -> Iterator[tuple[str, Stated]]:
    """Yield each measurement with what it says of itself, from its first row."""
    ends = pc.run_end_encode(one_array(rows, "measurement")).run_ends.to_pylist()
    stated = [field.name for field in rows.schema if STATED.get(field.name) == field.type]
    starts = [0, *ends[:-1]]
    of_measurement = rows.select([*ALWAYS, *stated]).take(starts).to_pylist()
    for row, first in zip(of_measurement, first_rows(rows, starts), strict=True):
        measurement, sheet = row.pop("measurement"), row.pop("source_sheet")
        yield measurement, Stated(**row, row=first, sheet=sheet)


def remarks_in(
    tables: Mapping[str, pa.Table], measurements: Collection[str] | None = None
) -> list[str]:
    """Return the remarks that rows are filed with, one text a measurement.

    Parameters
    ----------
    tables
        Rows by kind.
    measurements
        Only of these.
    """
    found: dict[str, str] = {}
    for rows in tables.values():
        if rows["remark"].null_count < len(rows):
            each = rows.select(["measurement", "remark"]).to_pydict()
            found |= dict(zip(each["measurement"], each["remark"], strict=True))
    wanted = found if measurements is None else measurements
    return [text for measurement, text in found.items() if text and measurement in wanted]


def with_remarks(rows: pa.Table, remarks: Mapping[str, Sequence[str]]) -> pa.Table:
    """Return rows with further remarks on some measurements, after those that they have."""
    place = rows.schema.get_field_index("remark")
    measurements = one_array(rows, "measurement").to_pylist()
    before = one_array(rows, "remark").to_pylist()
    said = [
        together([*parts_of(text), *remarks.get(measurement, ())])
        for measurement, text in zip(measurements, before, strict=True)
    ]
    field: Any = rows.schema.field(place)
    return rows.set_column(place, field, pa.array(said, field.type))
