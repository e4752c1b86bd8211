"""The salt spray test of the example: invented truth, and the sheets that were kept of it by hand.

The better the film as a barrier, the later it rusts; the weaker it holds on the steel, the farther
it creeps from the scribe, so that glass flake at the higher dose rusts last and creeps most.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from example_formats import INVENTED, Cell, comma, lines, table, workbook
from example_truth import BERLIN, RECIPES, Chance, Panel, Recipe, panels

FOLDER = "salt spray"
BEGIN = datetime(2026, 10, 12, 6, 0, tzinfo=UTC)
HOURS = (24, 48, 96, 168, 240, 336, 480, 720, 1000)
CREEP_HOURS = (480, 1000)
SCRIBE_MM = 1.0
PICTURES_PERCENT = (0.0, 0.05, 0.5, 1.0, 8.0)  # up to Ri 0, 1, 2, 3, 4; above it is Ri 5
D610_PERCENT = (0.01, 0.03, 0.1, 0.3, 1, 3, 10, 16, 33, 50, 100)  # up to 10, 9, ... 0
BATCHES = tuple(recipe.batch for recipe in RECIPES)


@dataclass(frozen=True)
class Inspection:
    """What is on a panel after some hours."""

    panel: Panel
    hours: int
    area_percent: float
    density: int
    size: int
    delamination_mm: float
    corrosion_mm: float

    @property
    def at(self) -> datetime:
        """When it was looked at, in local time."""
        return (BEGIN + timedelta(hours=self.hours)).astimezone(BERLIN)

    @property
    def degree(self) -> int:
        """Ri: the worse picture."""
        return sum(self.area_percent > limit for limit in PICTURES_PERCENT)

    @property
    def d610(self) -> int:
        """Grade of ASTM D610."""
        return 10 - sum(self.area_percent > limit for limit in D610_PERCENT)

    @property
    def blisters(self) -> str:
        """In the notation of ISO 4628-2."""
        return f"{self.density}(S{self.size})" if self.density else "0"

    @property
    def has_creep(self) -> bool:
        """Whether the scribe was looked at."""
        return self.hours in CREEP_HOURS


def rusts_after_h(panel: Panel) -> float:
    """Return the hours to Ri 3: 2.5 times as many for each decade less of pores."""
    chance = Chance("rust", panel.name)
    return 450 * math.pow(10, -0.4 * (panel.recipe.pores_lg + 9.3) + chance.normal(0, 0.13))


def inspections(panel: Panel) -> list[Inspection]:
    """Return the inspections of a panel over 1000 h."""
    rust_h = rusts_after_h(panel)
    slope = (0.05 + 0.12 * panel.recipe.adhesive) * Chance("creep", panel.name).normal(1, 0.08)
    found = []
    for hours in HOURS:
        grown = hours / rust_h
        found.append(
            Inspection(
                panel=panel,
                hours=hours,
                area_percent=float(f"{0.5 * grown**3:.2g}") if grown > 0.3 else 0.0,
                density=min(5, max(0, math.floor(3 * grown - 1.5))),
                size=min(4, 1 + math.floor(grown)),
                delamination_mm=round(slope * math.sqrt(hours), 1),
                corrosion_mm=round(0.4 * slope * math.sqrt(hours), 1),
            )
        )
    return found


def every_inspection() -> list[Inspection]:
    """Return the inspections of all panels."""
    return [one for recipe in RECIPES for panel in panels(recipe) for one in inspections(panel)]


@dataclass(frozen=True)
class ChamberDay:
    """One line of the chamber's book."""

    at: datetime
    temperature_c: float
    collected_ml_h: float
    ph: float
    salt_g_l: float


def chamber_days() -> list[ChamberDay]:
    """Return the readings of each working day; on two days the chamber was outside its limits."""
    chance, found = Chance("chamber"), []
    for day in range(41):
        at = (BEGIN + timedelta(days=day)).astimezone(BERLIN).replace(hour=9, minute=15)
        if at.weekday() > 4:
            continue
        found.append(
            ChamberDay(
                at=at,
                temperature_c=round(chance.normal(35, 0.3), 1),
                collected_ml_h=2.3 if day == 16 else round(chance.normal(1.5, 0.1), 2),
                ph=6.3 if day == 29 else round(chance.normal(6.85, 0.06), 2),
                salt_g_l=round(chance.normal(50, 0.8), 1),
            )
        )
    return found


def _widths(one: Inspection) -> tuple[float | None, float | None]:
    """Return the widths over the scribe, where it was looked at."""
    if not one.has_creep:
        return None, None
    widths = (SCRIBE_MM + 2 * creep for creep in (one.delamination_mm, one.corrosion_mm))
    return tuple(round(width, 1) for width in widths)  # type: ignore[return-value]


def book(recipes: Iterable[Recipe]) -> bytes:
    """A workbook with a sheet for each batch; the scribe is rated twice only."""
    sheets: dict[str, list[Sequence[Cell]]] = {}
    head = ["Panel", "Date", "Hours", "Ri", "Blisters", "Cracking", "Flaking", "d1 [mm]", "wc [mm]"]
    for recipe in recipes:
        rows: list[Sequence[Cell]] = [
            [INVENTED],
            ["Exposure", "neutral salt spray"],
            ["Scribe width", SCRIBE_MM, "mm"],
            [],
            [*head, "Remark"],
        ]
        for panel in panels(recipe):
            for one in inspections(panel):
                degree: Cell = f"Ri {one.degree}" if panel.place == 2 else one.degree
                last = "0" if one.hours == HOURS[-1] else None
                remark = "edge not rated" if panel.place == 3 and one.hours == 240 else None
                seen = (panel.name, one.at.replace(tzinfo=None), one.hours, degree, one.blisters)
                rows.append([*seen, last, last, *_widths(one), remark])
        sheets[recipe.batch] = rows
    return workbook(sheets)


def german_sheet(recipes: Iterable[Recipe]) -> bytes:
    """Semicolons and decimal commas; areas in place of degrees, the newest inspection on top."""
    rows = [
        INVENTED,
        "Beanspruchung;Neutraler Salzsprühnebel",
        f"Ritzbreite;{comma(SCRIBE_MM)} mm",
        "",
    ]
    rows.append("Platte;Datum;Stunden;Rostfläche [%];Blasen;Enthaftungsbreite [mm];Bemerkung")
    listed = [one for recipe in recipes for panel in panels(recipe) for one in inspections(panel)]
    for one in sorted(listed, key=lambda each: (-each.hours, each.panel.name)):
        width, _ = _widths(one)
        cells = [one.panel.name, f"{one.at:%d.%m.%Y %H:%M}", one.hours, comma(one.area_percent)]
        rows.append(";".join(map(str, [*cells, one.blisters, comma(width or "-"), ""])))
    return lines(*rows, end="\r\n").encode("cp1252")


def panel_sheet(panel: Panel) -> bytes:
    """A sheet for each panel, which stands above the table; rust by ASTM D610, no blisters."""
    rows: list[Sequence[Cell]] = [
        [INVENTED],
        [f"Panel: {panel.name}"],
        ["Exposure: neutral salt spray"],
        [],
        ["Date", "Exposed for [h]", "D610", "Remark"],
    ]
    for one in inspections(panel):
        rows.append([f"{one.at:%Y-%m-%d %H:%M}", one.hours, one.d610, None])
    return table(rows).encode("utf-8-sig")


def weekly_sheet(recipes: Iterable[Recipe]) -> bytes:
    """Tabs, the exposure in a column, no dates, degrees and areas beside each other."""
    rows = [INVENTED, "", "Panel\tTest\tHours\tRi\tRusted area / %\tBlisters"]
    for recipe in recipes:
        for panel in panels(recipe):
            for one in inspections(panel):
                area = f"{one.area_percent:g}" if one.hours >= 480 else "n/a"
                cells = [panel.name, "NSS", one.hours, f"Ri{one.degree}", area, one.blisters]
                rows.append("\t".join(map(str, cells)))
    return lines(*rows).encode()


def scribe_readings(recipe: Recipe) -> bytes:
    """Six readings along the scribe of each panel, their mean that of the truth."""
    rows: list[Sequence[Cell]] = [[INVENTED], ["Exposure: neutral salt spray"], []]
    rows.append(["Panel", "Hours", "Reading", "d1 (mm)", "Scribe width (mm)"])
    for panel in panels(recipe):
        for one in inspections(panel):
            if one.has_creep:
                for number, off in enumerate((-0.4, -0.2, 0.0, 0.0, 0.2, 0.4), 1):
                    width = round(SCRIBE_MM + 2 * one.delamination_mm + off, 1)
                    rows.append([panel.name, one.hours, number, width, SCRIBE_MM])
    return table(rows).encode()


def chamber_book() -> bytes:
    """The chamber's book, which names the batches that were in it."""
    rows: list[Sequence[Cell]] = [
        [INVENTED],
        ["Chamber: salt spray 2"],
        [f"Batches: {' '.join(BATCHES)}"],
        [],
        ["Date", "Time", "Chamber temp. [°C]", "Collected [ml/h]", "pH", "NaCl [g/l]", "Sign"],
    ]
    for day in chamber_days():
        readings = (day.temperature_c, day.collected_ml_h, day.ph, day.salt_g_l)
        rows.append([f"{day.at:%Y-%m-%d}", f"{day.at:%H:%M}", *readings, "jm"])
    return table(rows).encode()


def exports() -> dict[str, bytes]:
    """Return all exports: path below the inbox -> bytes."""
    found = {
        f"{FOLDER}/Salzsprühtest Kammer 2.xlsx": book(RECIPES[0:3]),
        f"{FOLDER}/Salzsprühnebel RB-013 RB-014.csv": german_sheet(RECIPES[3:5]),
        f"{FOLDER}/NSS weekly.txt": weekly_sheet(RECIPES[6:9]),
        f"{FOLDER}/scribe RB-016 480 and 1000 h.csv": scribe_readings(RECIPES[6]),
        f"{FOLDER}/Kammerbuch 2.csv": chamber_book(),
    }
    for panel in panels(RECIPES[5]):
        found[f"{FOLDER}/{panel.name} D610.csv"] = panel_sheet(panel)
    return found
