"""Reads sheets of inspections of exposed panels: a row an inspection, a column a property.

Such sheets are kept by hand: what was not rated stays blank, the exposure stands in a column or
above the table, and one sheet may hold several panels or one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from tiecoat.plugin import Claim, Export, Measurement, Reader, Reason, Table, hookimpl

HOURS = {"hours": ("Hours", "Exposure time", "Exposed for", "Duration", "Stunden", "Prüfdauer")}
KEYS: dict[str, Sequence[str]] = {
    "panel": ("Panel", "Platte"),
    "exposure": ("Exposure", "Test", "Beanspruchung"),
    "date": ("Date", "Inspected", "Datum"),
    "reading": ("Reading", "Point", "Messstelle"),
}
RUST: dict[str, Sequence[str]] = {
    "rating": ("Ri", "Degree of rusting", "Rust", "Rostgrad"),
    "area_percent": ("Rusted area", "Rust area", "Rostfläche"),
    "d610_grade": ("D610", "ASTM D610"),
}
DEFECTS: dict[str, Sequence[str]] = {
    "blisters": ("Blisters", "Blistering", "Blasen", "Blasengrad"),
    "cracking": ("Cracking", "Cracks", "Risse"),
    "flaking": ("Flaking", "Abblättern"),
}
SCRIBE: dict[str, Sequence[str]] = {
    "scribe delamination": ("d1", "Delaminated width", "Enthaftungsbreite"),
    "scribe corrosion": ("wc", "Corroded width", "Korrosionsbreite"),
}
SCRIBE_WIDTH = ("Scribe width", "w", "Ritzbreite")
RATINGS = {**RUST, **DEFECTS, **SCRIBE}
TITLES = {**HOURS, **KEYS, **RATINGS, "scribe width": SCRIBE_WIDTH}
OPTIONAL = TITLES.keys() - HOURS.keys()
NOT_RATED = {"-", "--", "–", "—", "n/a"}


class ExposureSheet:
    """Ratings of panels after hours of exposure."""

    name, kind, version = "exposure_sheet", "exposure_rating", "1"

    def recognise(self, export: Export) -> Claim:
        """Claim what shows hours and at least one rating."""
        shown = [key for key in RATINGS if not export.missing({**HOURS, key: RATINGS[key]})]
        if shown:
            return Claim(0.7, f"hours with {', '.join(RATINGS[key][0] for key in shown)}")
        if missing := export.missing(HOURS):
            rated = any(not export.missing({key: names}) for key, names in RATINGS.items())
            return Claim(0.38 if rated else 0.1, missing)
        return Claim(0.3, "hours, but no column of ratings such as 'Ri' or 'Blisters'")

    def read(self, export: Export) -> Iterator[Measurement]:
        """Return a measurement for each rating."""
        inspections: list[_Inspection] = []
        for table in export.tables(TITLES, OPTIONAL):
            inspections += _inspections(export, table)
        _in_time(export, inspections)
        for inspection in inspections:
            yield from inspection.measurements()


@dataclass(frozen=True)
class _Inspection:
    """One row: what was seen on a panel at a time; empty cells are left out."""

    row: int
    sheet: str | None
    panel: str | None
    measured_at: datetime | None
    exposure: str | None
    hours: float
    reading: float
    texts: Mapping[str, str]
    numbers: Mapping[str, float]
    scribe_width: float

    @property
    def is_rated(self) -> bool:
        """Whether anything was rated."""
        return bool(self.texts or self.numbers)

    def measurements(self) -> Iterator[Measurement]:
        """Return a measurement for each property that was rated."""
        rust: dict[str, str | float] = {}
        rust |= {key: self.texts[key] for key in RUST if key in self.texts}
        rust |= {key: self.numbers[key] for key in RUST if key in self.numbers}
        if rust:
            yield self._rated("rust", rust)
        for key in DEFECTS:
            if key in self.texts:
                yield self._rated(key, {"rating": self.texts[key]})
        for key in SCRIBE:
            if key in self.numbers:
                widths = {"damage_width_mm": self.numbers[key]}
                if not math.isnan(self.scribe_width):
                    widths["scribe_width_mm"] = self.scribe_width
                yield self._rated(key, widths, self.reading)

    def _rated(
        self, rated: str, values: Mapping[str, str | float], reading: float = 1.0
    ) -> Measurement:
        columns: dict[str, Sequence[str | float | None]] = {
            "exposure": [self.exposure],
            "exposure_h": [self.hours],
            "property": [rated],
            "reading": [reading],
        }
        columns |= {name: [value] for name, value in values.items()}
        return Measurement(
            columns=columns,
            rows=[self.row],
            panel=self.panel,
            measured_at=self.measured_at,
            sheet=self.sheet,
        )


def _inspections(export: Export, table: Table) -> Iterator[_Inspection]:
    exposures = table.texts_or_entry("exposure", KEYS["exposure"])
    if not table.has("exposure") and None in exposures:
        export.fault(
            Reason.MISSING_COLUMN,
            row=table.header_row,
            expected="a line such as 'Exposure: neutral salt spray' above the table",
            sheet=table.sheet,
        )
        return
    panels = table.texts_or_entry("panel", KEYS["panel"])
    texts = {key: table.texts(key) for key in ("rating", *DEFECTS)}
    numbers = {
        "area_percent": table.numbers("area_percent", "percent", unit="%"),
        "d610_grade": table.numbers("d610_grade", ""),
        **{key: table.numbers(key, "mm", unit="mm") for key in SCRIBE},
    }
    hours, times = table.numbers("hours", "h", unit="h"), table.times("date")
    readings, scribes = table.numbers("reading", ""), _scribe_widths(table)
    for i, row in enumerate(table.rows):
        inspection = _Inspection(
            row=row,
            sheet=table.sheet,
            panel=panels[i],
            measured_at=times[i],
            exposure=exposures[i],
            hours=hours[i],
            reading=1.0 if math.isnan(readings[i]) else readings[i],
            texts={k: t for k, v in texts.items() if (t := v[i]) and t.casefold() not in NOT_RATED},
            numbers={key: n for key, v in numbers.items() if not math.isnan(n := v[i])},
            scribe_width=scribes[i],
        )
        if table.has("panel") and inspection.panel is None and inspection.is_rated:
            export.fault(  # the file name would else tell one panel for the rows of several
                Reason.MISSING_VALUE,
                row=row,
                column="Panel",
                found="nothing",
                expected="the panel that the row is of",
                sheet=table.sheet,
            )
        yield inspection


def _scribe_widths(table: Table) -> list[float]:
    if table.has("scribe width"):
        return table.numbers("scribe width", "mm", unit="mm")
    width = table.entry_number(SCRIBE_WIDTH, "mm", unit="mm")
    return [math.nan if width is None else width] * len(table.rows)


def _in_time(export: Export, inspections: Sequence[_Inspection]) -> None:
    """Note where a panel has fewer hours at a later date; the order of the rows is no matter."""
    latest: dict[tuple[str | None, str | None], _Inspection] = {}
    dated = [one for one in inspections if one.measured_at and not math.isnan(one.hours)]
    for one in sorted(dated, key=lambda each: (each.measured_at, each.hours)):
        before = latest.get((one.panel, one.exposure))
        if before is not None and one.hours < before.hours:
            export.fault(
                Reason.INCONSISTENT,
                row=one.row,
                column="exposure_h",
                found=f"{one.hours:g} h, fewer than the {before.hours:g} h of row {before.row}"
                " although it is later",
                expected="hours that rise with the date",
                sheet=one.sheet,
            )
            continue
        latest[one.panel, one.exposure] = one


@hookimpl
def tiecoat_readers() -> list[Reader]:
    """Return the reader."""
    return [ExposureSheet()]
