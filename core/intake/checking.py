"""What stands between keying and filing: each measurement held against what the lab knows.

What contradicts the register or the clock holds its file or is remarked, as the lab has set.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pyarrow as pa
import pyarrow.compute as pc

from tiecoat.archive.describe import first_rows, one_array
from tiecoat.archive.index import Index
from tiecoat.archive.plan import Incoming
from tiecoat.errors import FileHeld
from tiecoat.intake.checks import Stated, judged, oddities
from tiecoat.intake.register import Register, twice
from tiecoat.lab import Lab
from tiecoat.reasons import FAULTS_KEPT, Fault
from tiecoat.remarks import parts_of, together

ALWAYS = ("measurement", "batch", "panel", "measured_at", "source_sheet")
STATED = {"exposure_h": pa.float64(), "exposure": pa.string(), "coat": pa.string()}  # where it is


class Checker:
    """Checks what is about to be filed. `index` must be in step with the register's tables."""

    def __init__(self, lab: Lab, index: Index) -> None:
        self._lab = lab
        self._register = Register(lab, index)

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
        for rows in incoming.tables.values():
            if not _is_register(rows):
                for measurement, stated in _measurements(rows):
                    wrong, odd = self._judged(stated, now)
                    faults += wrong
                    if odd:
                        remarks[measurement] = odd
        if faults:
            raise FileHeld(faults[0].reason, tuple(faults[:FAULTS_KEPT]), len(faults))
        if not remarks:
            return incoming
        tables = {kind: with_remarks(rows, remarks) for kind, rows in incoming.tables.items()}
        return replace(incoming, tables=tables)

    def _judged(self, stated: Stated, now: datetime) -> tuple[list[Fault], list[str]]:
        panel = self._register.panel(stated.panel) if stated.panel else None
        batch = self._register.batch(stated.batch)
        found = oddities(stated, panel, batch, now, self._lab.zone)
        return judged(stated, found, self._lab.settings.checks)


def _is_register(rows: pa.Table) -> bool:
    return bool((rows.schema.metadata or {}).get(b"tiecoat.replaces") == b"true")


def _measurements(rows: pa.Table) -> Iterator[tuple[str, Stated]]:
    """Yield each measurement with what it says of itself, from its first row."""
    ends = pc.run_end_encode(one_array(rows, "measurement")).run_ends.to_pylist()
    stated = [field.name for field in rows.schema if STATED.get(field.name) == field.type]
    starts = [0, *ends[:-1]]
    of_measurement = rows.select([*ALWAYS, *stated]).take(starts).to_pylist()
    for row, first in zip(of_measurement, first_rows(rows, starts), strict=True):
        measurement, sheet = row.pop("measurement"), row.pop("source_sheet")
        yield measurement, Stated(**row, row=first, sheet=sheet)


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
