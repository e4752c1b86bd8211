"""Reads the record that is kept of a test chamber: a row a reading, and which batches were in it.

A reading is filed under each batch that the sheet names, for it is these batches that it judges.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from tiecoat.plugin import Claim, Export, Measurement, Reader, Reason, Table, hookimpl

WHEN: dict[str, Sequence[str]] = {"date": ("Date", "Datum"), "clock": ("Time", "Uhrzeit")}
READINGS: dict[str, Sequence[str]] = {
    "temperature_c": ("Chamber temperature", "Chamber temp.", "Kammertemperatur"),
    "collected_ml_h": ("Collected", "Collected spray", "Collected on 80 cm2", "Auffangmenge"),
    "ph": ("pH", "pH-Wert", "pH at 25 °C"),
    "salt_g_l": ("Salt", "NaCl", "Salt concentration"),
}
UNITS = {
    "temperature_c": ("degC", None),
    "collected_ml_h": ("ml/h", "ml/h"),
    "ph": ("", None),
    "salt_g_l": ("g/l", None),
}
BATCHES = ("Batches", "Exposed batches", "In the chamber", "Chargen")
CHAMBER = ("Chamber", "Kammer")
TITLES = {**WHEN, **READINGS, "batches": BATCHES, "chamber": CHAMBER}
OPTIONAL = TITLES.keys() - {"date"}


class ChamberSheet:
    """Temperature, collected spray, pH and salt of a chamber."""

    name, kind, version = "chamber_sheet", "chamber_record", "1"

    def recognise(self, export: Export) -> Claim:
        """Claim what shows a date and at least two of the readings of a chamber."""
        date = {"date": WHEN["date"]}
        shown = [key for key, names in READINGS.items() if not export.missing({key: names})]
        if missing := export.missing({**date, **{key: READINGS[key] for key in shown}}):
            return Claim(0.38 if len(shown) > 1 else 0.1, missing)
        if len(shown) < 2:
            return Claim(0.2, "a date, but not two of chamber temperature, spray, pH and salt")
        return Claim(0.7, f"a date with {', '.join(READINGS[key][0] for key in shown)}")

    def read(self, export: Export) -> Iterator[Measurement]:
        """Return a measurement for each reading and each batch."""
        for table in export.tables(TITLES, OPTIONAL):
            yield from _readings(export, table)


def _readings(export: Export, table: Table) -> Iterator[Measurement]:
    batches = table.texts_or_entry("batches", BATCHES)
    chambers = table.texts_or_entry("chamber", CHAMBER)
    values = {key: table.numbers(key, to, unit=unit) for key, (to, unit) in UNITS.items()}
    days, clocks = table.texts("date"), table.texts("clock")
    times = table.times("date", "clock")
    for i, row in enumerate(table.rows):
        read = {key: column[i] for key, column in values.items()}
        if all(value != value for value in read.values()):  # noqa: PLR0124 - NaN: nothing was read
            continue
        needed = {}
        if days[i] is None and clocks[i] is None:
            needed["Date"] = "the date of the reading"
        if table.has("batches") and batches[i] is None:
            needed["Batches"] = "the batches that were in the chamber"
        for column, expected in needed.items():
            export.fault(
                Reason.MISSING_VALUE,
                row=row,
                column=column,
                found="nothing",
                expected=expected,
                sheet=table.sheet,
            )
        for batch in _ids(batches[i]):
            yield Measurement(
                columns={"chamber": [chambers[i]], **{key: [v] for key, v in read.items()}},
                rows=[row],
                batch=batch,
                measured_at=times[i],
                sheet=table.sheet,
            )


def _ids(text: str | None) -> list[str | None]:
    """Return the ids of a list; one None where there is none: the file name may tell it."""
    found = [part for part in re.split(r"[\s,;]+", text or "") if part]
    return list(dict.fromkeys(found)) or [None]


@hookimpl
def tiecoat_readers() -> list[Reader]:
    """Return the reader."""
    return [ChamberSheet()]
