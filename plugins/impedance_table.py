"""Reads tables of impedance spectra, whatever of the trade's ways the station writes them in.

Real and imaginary part or modulus and phase; the imaginary part or the phase with either sign, told
by a minus in the title; ohm, or ohm times area with the area above the table; one spectrum a file,
many as blocks, or many in long form with a column for the time in the salt water.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from tiecoat.plugin import Claim, Export, Measurement, Reader, Reason, Table, hookimpl

COLUMNS = {
    "frequency": ("Frequency", "Freq", "f", "Frequenz"),
    "immersion": ("t", "Immersed for", "Immersion", "Immersion time", "Exposure", "Exposure time"),
}
REAL = {"real": ("Z'", "Re", "Re Z", "Re(Z)", "Z real", "Z re", "Zreal", "Zre")}
MODULUS = {"modulus": ("|Z|", "Z mod", "Zmod", "Modulus", "Impedance modulus", "Betrag")}
IMAGINARY = ("Z''", 'Z"', "Im", "Im Z", "Im(Z)", "Z imag", "Z im", "Zimag", "Zim")
PHASE = ("Phase", "Phase angle", "Phase Z", "Phi", "φ")


def _either_sign(key: str, titles: Sequence[str]) -> dict[str, tuple[str, ...]]:
    turned = tuple(sign + title for title in titles for sign in ("-", "- "))
    return {key: tuple(titles), f"-{key}": turned}


FORMS = [  # the ways to write an impedance, each with the titles that show it
    {**COLUMNS, **first, second: titles}
    for first, pair in (
        (REAL, _either_sign("imaginary", IMAGINARY)),
        (MODULUS, _either_sign("phase", PHASE)),
    )
    for second, titles in pair.items()
]
OPTIONAL = {"immersion"}
NEEDED = 3

PANEL = ("Panel",)
STATION = ("Station", "Instrument")
MEASURED = ("Measured at", "Time", "Measured", "Date", "Start")
AREA = ("Cell area", "Area", "Electrode area")
THICKNESS = ("Dry film", "Film thickness", "Thickness", "Dry film thickness")
IMMERSION = ("Immersed for", "Immersion", "Immersion time", "Exposure", "Exposure time")
SPOT = ("Spot", "Cell")

_TIMES_AREA = re.compile(r"[mcd]?m\s*(?:\*\*|\^)?\s*[2²]", re.IGNORECASE)


class ImpedanceTable:
    """Impedance of a coated panel against frequency."""

    name, kind, version = "impedance_table", "impedance", "1"

    def recognise(self, export: Export) -> Claim:
        """Claim what shows a frequency and an impedance."""
        missing = [export.missing(form, OPTIONAL) for form in FORMS]
        if "" not in missing:
            shown = max(NEEDED - (said.count("no column ") or NEEDED) for said in missing)
            return Claim(0.4 * shown / NEEDED, f"{missing[0]} (or modulus and phase instead)")
        first, second = list(FORMS[missing.index("")])[-2:]
        second = second.replace("-", "minus ")
        return Claim(0.8, f"a frequency column with {first} and {second}")

    def read(self, export: Export) -> Iterator[Measurement]:
        """Return one measurement for each spectrum."""
        for table in _tables(export):
            yield from _SpectraTable(export, table).measurements()


def _tables(export: Export) -> list[Table]:
    """Return every table in whichever form; one that shows several forms is read by the first."""
    found: dict[tuple[str | None, int], Table] = {}
    for form in FORMS:
        if not export.missing(form, OPTIONAL):
            for table in export.tables(form, OPTIONAL):
                found.setdefault((table.sheet, table.header_row), table)
    if not found:
        export.tables(FORMS[0], OPTIONAL)  # holds the file and says what is missing
    sheets = list(dict.fromkeys(sheet for sheet, _ in found))
    return [found[key] for key in sorted(found, key=lambda key: (sheets.index(key[0]), key[1]))]


@dataclass(frozen=True)
class _SpectraTable:
    """One table, which may hold the spectra of several times one after the other."""

    export: Export
    table: Table

    def measurements(self) -> Iterator[Measurement]:
        table = self.table
        area = self._entry(AREA, "cm**2", "Cell area: 14.6 cm2")
        thickness = table.entry_number(THICKNESS, "um")
        frequencies = table.numbers("frequency", "Hz", unit="Hz")
        real, imaginary = self._impedance(area)
        hours = self._hours()
        panel, measured_at = table.entry(PANEL), table.entry_time(MEASURED)
        spot, station = table.entry(SPOT), table.entry(STATION)
        for _, group in groupby(range(len(hours)), key=lambda i: str(hours[i])):
            points = list(group)
            self._capacitive_somewhere(points, imaginary)
            yield Measurement(
                columns={
                    "exposure_h": [hours[i] for i in points],
                    "spot": [spot] * len(points),
                    "area_cm2": [area] * len(points),
                    "thickness_um": [math.nan if thickness is None else thickness] * len(points),
                    "frequency_hz": [frequencies[i] for i in points],
                    "z_real_ohm": [real[i] for i in points],
                    "z_imag_ohm": [imaginary[i] for i in points],
                },
                rows=[table.rows[i] for i in points],
                panel=panel,
                measured_at=measured_at,
                instrument=station,
                sheet=table.sheet,
            )

    def _hours(self) -> list[float]:
        if self.table.has("immersion"):
            return list(self.table.numbers("immersion", "h"))
        return [self._entry(IMMERSION, "h", "Immersed for: 24 h")] * len(self.table.rows)

    def _impedance(self, area: float) -> tuple[list[float], list[float]]:
        """Return real and imaginary part in ohm; a capacitive imaginary part is negative."""
        for key, sign in (("imaginary", 1.0), ("-imaginary", -1.0)):
            if self.table.has(key):
                turned = [sign * value for value in self._ohm(key, area)]
                return self._ohm("real", area), turned
        key, sign = ("phase", 1.0) if self.table.has("phase") else ("-phase", -1.0)
        polar = list(zip(self._ohm("modulus", area), self.table.numbers(key, "rad"), strict=True))
        return (
            [modulus * math.cos(phase) for modulus, phase in polar],
            [modulus * math.sin(sign * phase) for modulus, phase in polar],
        )

    def _ohm(self, key: str, area: float) -> list[float]:
        """Return a column in ohm, divided by the area where the export multiplied by it."""
        if _TIMES_AREA.search(self.table.unit(key) or ""):
            values = self.table.numbers(key, "ohm*cm**2")
            if area == 0:  # the kind's bounds tell it
                return [math.nan] * len(values)
            return [value / area for value in values]
        return list(self.table.numbers(key, "ohm", unit="ohm"))

    def _entry(self, names: Sequence[str], to: str, example: str) -> float:
        if self.table.entry(names) is None:
            self.export.fault(
                Reason.MISSING_COLUMN,
                row=self.table.header_row,
                expected=f"a line such as '{example}' above the table",
                sheet=self.table.sheet,
            )
        number = self.table.entry_number(names, to)
        return math.nan if number is None else number

    def _capacitive_somewhere(self, points: Sequence[int], imaginary: Sequence[float]) -> None:
        """A coated panel is capacitive at some frequency; if at none, the sign was meant turned."""
        values = [imaginary[i] for i in points]
        if all(value >= 0 for value in values) and any(values):
            self.export.fault(
                Reason.INCONSISTENT,
                row=self.table.rows[points[0]],
                found="an imaginary part or phase that is inductive at every point",
                expected="capacitive; if the column has its sign turned, title it -Z'' or -Phase",
                sheet=self.table.sheet,
            )


@hookimpl
def tiecoat_readers() -> list[Reader]:
    """Return the reader."""
    return [ImpedanceTable()]
