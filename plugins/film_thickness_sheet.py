"""Reads sheets of film thickness with a row for each panel and a column for each spot."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from tiecoat.plugin import Claim, Export, Measurement, Reader, Reason, Table, hookimpl

MOST_SPOTS = 40
SPOTS: dict[str, Sequence[str]] = {
    f"spot {number}": (f"Spot {number}", f"S{number}", f"Punkt {number}")
    for number in range(1, MOST_SPOTS + 1)
}
TITLES: dict[str, Sequence[str]] = {
    "panel": ("Panel",),
    **SPOTS,
    "coat": ("Coat",),
    "state": ("Film",),
    "measured": ("Measured",),
}
NEEDED = ("panel", "spot 1", "spot 2")
OPTIONAL = TITLES.keys() - set(NEEDED)

COAT, STATE = ("Coat",), ("Film",)
MEASURED, GAUGE, UNIT = ("Measured",), ("Gauge",), ("Unit", "Readings in")


class FilmThicknessSheet:
    """Film thickness of many panels: coat, state and time above the table or in columns."""

    name, kind, version = "film_thickness_sheet", "film_thickness", "1"

    def recognise(self, export: Export) -> Claim:
        """Claim what shows a panel and at least two spots as titles."""
        missing = export.missing(TITLES, OPTIONAL)
        if not missing:
            return Claim(0.8, "a panel and spots as columns")
        lacking = missing.count("no column ") or len(NEEDED)
        return Claim(0.4 * (1 - lacking / len(NEEDED)), missing)

    def read(self, export: Export) -> Iterator[Measurement]:
        """Return a measurement for each spot of each panel; empty cells are spots not read."""
        for table in export.tables(TITLES, OPTIONAL):
            yield from _ThicknessTable(export, table).measurements()


@dataclass(frozen=True)
class _ThicknessTable:
    """One table."""

    export: Export
    table: Table

    def measurements(self) -> Iterator[Measurement]:
        table = self.table
        unit, gauge = table.entry(UNIT), table.entry(GAUGE)
        panels, times = self._panels(), self._times()
        coats, states = self._texts("coat", COAT, "system"), self._texts("state", STATE, "dry")
        spots = {
            number: table.numbers(key, "um", unit=unit)
            for number, key in enumerate(SPOTS, 1)
            if table.has(key)
        }
        for i, row in enumerate(table.rows):
            for number, readings in spots.items():
                if math.isnan(readings[i]):
                    continue
                yield Measurement(
                    columns={
                        "spot": [float(number)],
                        "coat": [coats[i]],
                        "state": [states[i]],
                        "thickness_um": [readings[i]],
                    },
                    rows=[row],
                    panel=panels[i],
                    measured_at=times[i],
                    instrument=gauge,
                    sheet=table.sheet,
                )

    def _panels(self) -> list[str | None]:
        panels = self.table.texts("panel")
        for row, panel in zip(self.table.rows, panels, strict=True):
            if panel is None:
                self.export.fault(
                    Reason.MISSING_VALUE,
                    row=row,
                    column="Panel",
                    found="nothing",
                    expected="the panel that the row is of",
                    sheet=self.table.sheet,
                )
        return panels

    def _times(self) -> list[datetime | None]:
        if self.table.has("measured"):
            return list(self.table.times("measured"))
        return [self.table.entry_time(MEASURED)] * len(self.table.rows)

    def _texts(self, key: str, names: Sequence[str], example: str) -> list[str | None]:
        texts = self.table.texts_or_entry(key, names)
        if not self.table.has(key) and None in texts:
            self.export.fault(
                Reason.MISSING_COLUMN,
                row=self.table.header_row,
                found="nothing",
                expected=f"a column '{names[0]}', or a line such as '{names[0]}: {example}' above",
                sheet=self.table.sheet,
            )
        return texts


@hookimpl
def tiecoat_readers() -> list[Reader]:
    """Return the reader."""
    return [FilmThicknessSheet()]
