"""Foam on wet paint over time, as height or as volume, with or without the liquid below."""

from __future__ import annotations

import math
from dataclasses import dataclass
from random import Random
from typing import Any

from . import units
from .cells import Cell, Number, Text, Unit, fixed, near
from .common import Stamp, batch_fields, passed_over, remark_column, sideways, some_batches
from .draft import Draft, Field, Group, Maker
from .register import later
from .words import word

METHODS = ("stirred", "shaken", "aerated")
TIMES = {1: (0, 30, 60, 120, 300, 600), 60: (0, 1, 2, 5, 10, 20, 30, 60)}  # by the unit, in s
UNITS = {"height": units.FOAM_HEIGHT, "volume": units.FOAM_VOLUME}
LIQUID = {"height": 60.0, "volume": 200.0}
FULL = {"height": 45.0, "volume": 180.0}
KIND_UNIT = {"height": "mm", "volume": "ml"}
Row = tuple[dict[str, Cell], dict[str, Any]]


@dataclass
class Cylinder:
    """What is drawn once for a file."""

    maker: Maker

    def __post_init__(self) -> None:
        """Choose what is read, and how it is said."""
        maker, dice = self.maker, self.maker.dice
        self.amount = dice.choice(("height", "height", "volume"))
        self.said_in = dice.choice(("foam", "foam", "foam", "total"))
        self.unit: Unit = dice.choice(UNITS[self.amount])
        self.elapsed_unit: Unit = dice.choice((units.SECONDS, units.MINUTES, units.MINUTES))
        self.method = dice.choice(METHODS)
        self.fields: dict[str, Field] = {
            "method": maker.field("foam.method"),
            "elapsed": maker.field("foam.elapsed", self.elapsed_unit),
        }
        if self.said_in == "total" or maker.chance(0.3):
            self.fields["liquid"] = maker.field(f"foam.liquid_{self.amount}", self.unit)
        self.fields["foam"] = maker.field(f"foam.{self.said_in}_{self.amount}", self.unit)
        if "liquid" in self.fields:
            self.fields["liquid"].unit = self.fields["foam"].unit
        if maker.chance(0.5):
            self.fields["temperature"] = maker.field("density.temperature", units.CELSIUS)
        self.repeated = maker.chance(0.25)
        if self.repeated:
            self.fields["determination"] = maker.field("foam.determination")
        self.decimals = 1 if self.unit.factor > 1 else 0

    def level(self, value: float) -> Number:
        """Print a height or a volume of the kind's unit in that of the export."""
        return fixed(self.unit.of(value), self.decimals)

    def curve(self) -> list[Row]:
        """Return the readings of one determination, as printed, and what they say."""
        dice = self.maker.dice
        full, rate = FULL[self.amount] * dice.uniform(0.6, 1.4), dice.uniform(1e-3, 4e-3)
        stays = full * dice.choice((0.0, 0.0, 0.15))
        liquid = self.level(LIQUID[self.amount])
        rows = []
        for time in TIMES[int(self.elapsed_unit.factor)]:
            elapsed = Number(str(time))
            foam = stays + (full - stays) * math.exp(-rate * self.elapsed_unit.back(elapsed))
            shown = near(dice, foam, 0.02)
            below = self.unit.back(liquid)
            number = self.level(shown + below if self.said_in == "total" else shown)
            row: dict[str, Cell] = {"elapsed": elapsed, "foam": number}
            read = self.unit.back(number) - (below if self.said_in == "total" else 0.0)
            said: dict[str, Any] = {
                "elapsed_s": self.elapsed_unit.back(elapsed),
                f"foam_{self.amount}_{KIND_UNIT[self.amount]}": read,
                "method": self.method,
            }
            if "liquid" in self.fields:
                said[f"liquid_{self.amount}_{KIND_UNIT[self.amount]}"] = below
            rows.append((row, said))
        return rows


def draft(dice: Random, language: str) -> Draft:
    """Draw foam curves of one batch or of several."""
    maker = Maker(dice, language)
    fields = batch_fields(maker)
    stamp = Stamp.put_into(fields, maker)
    cylinder = Cylinder(maker)
    fields |= cylinder.fields
    made = Text(word(dice, f"foamed.{cylinder.method}", language))
    liquid = cylinder.level(LIQUID[cylinder.amount])
    groups, truth = [], []
    for batch in some_batches(dice, dice.choice((1, 1, 2, 3))):
        at = later(dice, batch.mixed_on, 0, 3).replace(hour=dice.randint(10, 17))
        temperature = fixed(23 + dice.uniform(-0.6, 0.6), 1)
        for number in range(1, (dice.choice((2, 3)) if cylinder.repeated else 1) + 1):
            constants: dict[str, Cell] = {"batch": Text(batch.id), **stamp.cells(at)}
            whole: dict[str, Cell] = {
                "method": made,
                "liquid": liquid,
                "temperature": temperature,
                "determination": Number(str(number)),
            }
            constants |= {key: cell for key, cell in whole.items() if key in fields}
            curve = cylinder.curve()
            groups.append(Group(constants, [row for row, _ in curve]))
            for _, said in curve:
                said |= {"batch": batch.id, "panel": None}
                if cylinder.repeated:
                    said["determination"] = float(number)
                if "temperature" in fields:
                    said["temperature_c"] = temperature.value
                truth.append(said | stamp.truth(at))
    shapes = ("flat", "blocks", "sheets")
    found = Draft("foam", "foam", language, fields, groups, truth, shapes, "batch")
    remark_column(maker, found)
    if not cylinder.repeated and len(groups) > 1:
        found.shapes += ("wide",)
        found.pivots = (sideways("batch", ("foam",), "{}"),)
    found.distractors = passed_over(maker, ("Cylinder", "500 ml"), ("Ruler", "no. 2"))
    found.traits = [f"{cylinder.said_in} {cylinder.amount}", f"unit {fields['foam'].unit}"]
    return found
