"""The example's exports of film thickness and gloss: invented truth in the dialects of its gauges.

Every third batch by another gauge: typed into a list, kept in sheets of a workbook, or read from
the memory of a gauge that knows only mil. Thickness scatters over a panel by 6 um around the truth;
gloss is of the recipe, and silica makes it matt.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from example_formats import INVENTED, Cell, comma, lines, workbook
from example_truth import BERLIN, RECIPES, Chance, Panel, Recipe, panels

SPOTS = 8
SCATTER_UM = 6.0  # of spots on a panel, readings included
WET_OVER_DRY = 1.7  # of one coat: what evaporates leaves the film
UM_PER_MIL = 25.4
CONTROL_GU = 46.0  # at 60 degrees
MATTING = {  # share of the gloss that a per cent of the candidate takes, roughly
    "none": 0.0,
    "lamellar talc": 0.06,
    "micaceous iron oxide": 0.03,
    "glass flake": 0.02,
    "precipitated silica": 2.5,
}


@dataclass(frozen=True)
class ThicknessReading:
    """What a gauge shows on a spot, to a tenth of a micrometre."""

    panel: Panel
    spot: int
    measured_at: datetime
    thickness_um: float


@dataclass(frozen=True)
class GlossReading:
    """What the gloss meter shows on a spot, to a tenth of a unit."""

    panel: Panel
    spot: int
    angle_deg: int
    measured_at: datetime
    gloss_gu: float


def dry_readings(panel: Panel) -> list[ThicknessReading]:
    """Return the readings of the whole system, on the Friday before the immersion."""
    chance = Chance("film thickness", panel.name)
    turn = 3 * panel.recipe.number + panel.place - 1
    start = datetime(2026, 9, 18, 8, 0, tzinfo=BERLIN) + timedelta(minutes=10 * turn)
    return [
        ThicknessReading(
            panel,
            spot,
            start + timedelta(seconds=20 * spot),
            round(chance.normal(panel.thickness_um, SCATTER_UM), 1),
        )
        for spot in range(1, SPOTS + 1)
    ]


def wet_readings(panel: Panel) -> list[ThicknessReading]:
    """Return two readings of the first coat with the comb, at once after it was applied."""
    chance = Chance("wet film", panel.name)
    wet_um = panel.thickness_um / 2 * WET_OVER_DRY
    return [
        ThicknessReading(panel, spot, panel.coated_on, 5.0 * round(chance.normal(wet_um, 8) / 5))
        for spot in (1, 2)
    ]


def gloss_truth(recipe: Recipe, angle_deg: int) -> float:
    """Return the gloss of the dry film; at 85 degrees it is 2.6 times that at 60 degrees."""
    at_60 = CONTROL_GU / (1 + MATTING[recipe.candidate] * recipe.dose_percent)
    return at_60 * (2.6 if angle_deg == 85 else 1.0)


def gloss_readings(panel: Panel) -> list[GlossReading]:
    """Return three readings at 60 degrees, and at 85 degrees too where the film is matt."""
    chance = Chance("gloss", panel.name)
    turn = 3 * panel.recipe.number + panel.place - 1
    start = datetime(2026, 9, 18, 13, 0, tzinfo=BERLIN) + timedelta(minutes=3 * turn)
    angles = (60, 85) if gloss_truth(panel.recipe, 60) < 20 else (60,)
    own = chance.normal(1, 0.02)  # no two panels are alike
    return [
        GlossReading(
            panel,
            spot,
            angle,
            start,
            round(gloss_truth(panel.recipe, angle) * own * chance.normal(1, 0.01), 1),
        )
        for angle in angles
        for spot in (1, 2, 3)
    ]


def typed_list(recipe: Recipe) -> bytes:
    """Typed off: wet and dry in one list, decimal commas, German words."""
    head = "Datum;Uhrzeit;Panel;Punkt;Schicht;Zustand;Schichtdicke [µm];Bemerkung"
    rows = []
    for panel in panels(recipe):
        for state, note, readings in (
            ("nass", "Kamm", wet_readings(panel)),
            ("trocken", "", dry_readings(panel)),
        ):
            coat = "gesamt" if state == "trocken" else "1"
            for one in readings:
                when = f"{one.measured_at:%d.%m.%Y};{one.measured_at:%H:%M}"
                cells = f"{one.spot};{coat};{state};{comma(one.thickness_um)};{note}"
                rows.append(f"{when};{panel.name};{cells}")
    top = [f"Schichtdicken {recipe.batch}", INVENTED, "Gauge;FT-3", ""]
    return lines(*top, head, *rows, end="\r\n").encode("cp1252")


def sheet(recipe: Recipe) -> bytes:
    """A workbook with a row for each panel and a column for each spot."""
    head: list[Cell] = ["Panel", *(f"Spot {n} (µm)" for n in range(1, SPOTS + 1)), "Measured"]
    rows: list[list[Cell]] = []
    for panel in panels(recipe):
        readings = dry_readings(panel)
        first = readings[0].measured_at.replace(second=0)
        rows.append([panel.name, *(one.thickness_um for one in readings), first])
    top: list[list[Cell]] = [[INVENTED], ["Film", "dry"], ["Coat", "system"], ["Gauge", "FT-2"], []]
    return workbook({"Film thickness": [*top, head, *rows]})


def gauge_memory(panel: Panel) -> bytes:
    """The memory of the gauge that reads mil, one panel a file."""
    rows = [
        f"{one.spot}\t{one.measured_at:%Y-%m-%d %H:%M:%S}\t{one.thickness_um / UM_PER_MIL:.2f}"
        for one in dry_readings(panel)
    ]
    top = ["Film gauge", INVENTED, f"Panel: {panel.name}", "Film: dry", "Coat: all"]
    return lines(*top, "Gauge: FT-1", "", "Spot\tTaken\tReading [mil]", *rows).encode()


def gloss_list(recipes: tuple[Recipe, ...], *, german: bool) -> bytes:
    """The gloss meter's list; the German one has decimal commas."""
    titles = ("Panel", "Gemessen", "Winkel [°]", "Punkt", "Glanz (GE)")
    if not german:
        titles = ("Panel", "Measured", "Angle [°]", "Spot", "Gloss (GU)")
    rows = [
        (
            one.panel.name,
            f"{one.measured_at:%d.%m.%Y %H:%M}" if german else f"{one.measured_at:%Y-%m-%d %H:%M}",
            str(one.angle_deg),
            str(one.spot),
            comma(one.gloss_gu) if german else str(one.gloss_gu),
        )
        for recipe in recipes
        for panel in panels(recipe)
        for one in gloss_readings(panel)
    ]
    mark, end = (";", "\r\n") if german else ("\t", "\n")
    text = lines(INVENTED, f"Gloss meter{mark}GM-2", "", *map(mark.join, (titles, *rows)), end=end)
    return text.encode("cp1252" if german else "utf-8")


def exports() -> dict[str, bytes]:
    """Return the exports: path below the inbox -> bytes."""
    found = {
        "gloss/Glanz 18.09..csv": gloss_list(RECIPES[:5], german=True),
        "gloss/gloss 2026-09-18 part 2.txt": gloss_list(RECIPES[5:], german=False),
    }
    for recipe in RECIPES:
        match recipe.number % 3:
            case 0:
                found[f"thickness/Schichtdicken {recipe.batch}.csv"] = typed_list(recipe)
            case 1:
                found[f"thickness/DFT {recipe.batch}.xlsx"] = sheet(recipe)
            case _:
                for panel in panels(recipe):
                    found[f"thickness/gauge {panel.name}.txt"] = gauge_memory(panel)
    return found
