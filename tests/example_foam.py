"""The foam tests of the example: invented truth, and the sheets in which they were written down.

What holds more air after mixing foams more, and keeps its foam longer, as a paint with more
structure does: precipitated silica for good in part, so that its foam ends at a plateau.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from example_formats import INVENTED, comma, lines
from example_truth import RECIPES, Chance, Recipe

FOLDER = "foam"
MINUTES = (0, 1, 2, 3, 5, 8, 12, 18, 25, 35, 50)
LIQUID_MM = 60
DETERMINATIONS = (1, 2, 3)
READING_MM = 0.6  # standard deviation of a reading, before it is rounded to 1 mm


@dataclass(frozen=True)
class Foaming:
    """The foam of one recipe: mm at first, half-life in min of what goes, share that stays."""

    initial_mm: float
    half_life_min: float
    stays: float

    def height_mm(self, minutes: float) -> float:
        """Return the height after a time."""
        gone = (1 - self.stays) * math.pow(0.5, minutes / self.half_life_min)
        return self.initial_mm * (self.stays + gone)

    @property
    def time_to_half_min(self) -> float:
        """When half of all the foam is left."""
        return self.half_life_min * math.log2((1 - self.stays) / (0.5 - self.stays))


def foaming(recipe: Recipe) -> Foaming:
    """Return how a recipe foams."""
    stays = 0.12 if recipe.candidate == "precipitated silica" else 0.0
    half_life_min = 1.8 * recipe.yield_pa * (recipe.air / RECIPES[0].air) ** 0.3
    return Foaming(12 + 1400 * recipe.air, half_life_min, stays)


@dataclass(frozen=True)
class FoamReading:
    """One reading of the ruler on the cylinder."""

    batch: str
    determination: int
    made_at: datetime
    minutes: int
    total_mm: int
    temperature_c: float


def foam_readings(recipe: Recipe) -> list[FoamReading]:
    """Return three stirrings of a batch; no two foam alike, by 3 % in height and in time."""
    truth, found = foaming(recipe), []
    for number in DETERMINATIONS:
        chance = Chance("foam", recipe.batch, number)
        mine = Foaming(
            truth.initial_mm * math.exp(chance.normal(0, 0.03)),
            truth.half_life_min * math.exp(chance.normal(0, 0.03)),
            truth.stays,
        )
        temperature_c = round(chance.normal(23, 0.2), 1)
        made_at = recipe.mixed_on + timedelta(hours=2, minutes=65 * (number - 1))
        for minutes in MINUTES:
            foam = max(0.0, chance.normal(mine.height_mm(minutes), READING_MM))
            total = LIQUID_MM + round(foam)
            found.append(FoamReading(recipe.batch, number, made_at, minutes, total, temperature_c))
    return found


def cylinder_sheet(recipe: Recipe) -> bytes:
    """Total heights, a block for each stirring, as the operator with the decimal comma keeps it."""
    rows = ["Foam test", INVENTED, f"Batch;{recipe.batch}", "Foamed by;gerührt, 5 min"]
    rows += [f"Liquid height;{LIQUID_MM} mm"]
    readings = foam_readings(recipe)
    for number in DETERMINATIONS:
        mine = [one for one in readings if one.determination == number]
        rows += ["", f"Determination;{number}", f"Time;{mine[0].made_at:%d.%m.%Y %H:%M}"]
        rows += [f"Sample temp.;{comma(mine[0].temperature_c)} °C", "t [min];Total height [mm]"]
        rows += [f"{one.minutes};{one.total_mm}" for one in mine]
    return lines(*rows, end="\r\n").encode("cp1252")


def foam_list(recipes: Iterable[Recipe]) -> bytes:
    """Heights of the foam alone, in s, all stirrings of several batches in one list."""
    rows = [f'"Foam after stirring"\n"{INVENTED}"\n']
    rows += ["Batch,Determination,Made at,Method,Temp. (°C),Time (s),Foam height (mm)\n"]
    rows += [
        f"{one.batch},{one.determination},{one.made_at:%Y-%m-%d %H:%M},stirred,"
        f"{one.temperature_c},{60 * one.minutes},{one.total_mm - LIQUID_MM}\n"
        for recipe in recipes
        for one in foam_readings(recipe)
    ]
    return "".join(rows).encode()


def exports() -> dict[str, bytes]:
    """Return the exports: path below the inbox -> bytes."""
    found = {
        f"{FOLDER}/Schaum {recipe.batch}.csv": cylinder_sheet(recipe) for recipe in RECIPES[:3]
    }
    return found | {f"{FOLDER}/foam RB-013 to RB-018.csv": foam_list(RECIPES[3:])}
