"""Densities of wet paint in its states, and of water as a check."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import Any

from . import units
from .cells import Cell, Number, Text, Unit, fixed
from .common import Stamp, batch_fields, passed_over, remark_column, some_batches
from .draft import Draft, Field, Group, Maker
from .register import Batch, later
from .words import word

AIR = {"as mixed": 0.965, "deaerated": 1.0, "rested": 0.985}
WATER_G_CM3 = 0.9975
STEPS = {1: (600, 1800, 3600), 60: (10, 30, 120), 3600: (1, 4, 24)}  # by the unit, in s
Row = tuple[dict[str, Cell], dict[str, Any]]


@dataclass
class Bench:
    """What is drawn once for a file."""

    maker: Maker

    def __post_init__(self) -> None:
        """Choose units and fields."""
        maker, dice = self.maker, self.maker.dice
        hours = Unit(units.HOUR_WORDS[maker.language], 3600)
        self.unit: Unit = dice.choice((*units.DENSITY[:1] * 2, *units.DENSITY))
        self.elapsed_unit: Unit = dice.choice((units.SECONDS, units.MINUTES, hours))
        fahrenheit = maker.language == "en" and maker.chance(0.1)
        self.temperature_unit = units.FAHRENHEIT if fahrenheit else units.CELSIUS
        self.own_words = maker.chance(0.5)
        self.fields: dict[str, Field] = {
            "state": maker.field("density.state"),
            "elapsed": maker.field("density.elapsed", self.elapsed_unit),
            "temperature": maker.field("density.temperature", self.temperature_unit),
            "density": maker.field("density.density", self.unit),
        }
        if maker.chance(0.2):
            self.fields["uncertainty"] = maker.field("density.uncertainty", self.unit)
            self.fields["uncertainty"].unit = self.fields["density"].unit
        self.repeated = maker.chance(0.25)
        if self.repeated and maker.chance(0.5):
            self.fields["determination"] = maker.field("density.determination")
        few = self.unit.factor == 1e-3
        self.decimals = dice.choice((0, 1)) if few else dice.choice((3, 4))

    def temperature(self) -> Number:
        """Draw a temperature."""
        return fixed(self.temperature_unit.of(23 + self.maker.dice.uniform(-0.6, 0.6)), 1)

    def states(self) -> list[tuple[str, Number]]:
        """Draw states with the time since mixing, in the unit of the export."""
        dice, steps = self.maker.dice, STEPS[int(self.elapsed_unit.factor)]
        found = [("as mixed", 0)] + [("rested", step) for step in steps[: dice.randint(0, 3)]]
        if self.maker.chance(0.5):
            found.append(("deaerated", steps[-1]))
        if self.maker.chance(0.15):
            found.append(("water", 0))
        return [(state, Number(str(elapsed))) for state, elapsed in found]

    def repeats(self) -> int:
        """Draw how often the same is measured."""
        return self.maker.dice.choice((1, 2, 3)) if self.repeated else 1

    def reading(self, batch: Batch, state: str, elapsed: Number) -> Row:
        """Return a reading as printed, and what it says."""
        dice = self.maker.dice
        paint = 1.38 + 0.005 * (int(batch.id[4:8]) % 40)
        value = paint * AIR.get(state, 1) * (1 + 0.002 * dice.uniform(-1, 1))
        number = fixed(self.unit.of(WATER_G_CM3 if state == "water" else value), self.decimals)
        said_state = word(dice, f"state.{state}", self.maker.language) if self.own_words else state
        row: dict[str, Cell] = {"state": Text(said_state), "elapsed": elapsed, "density": number}
        said: dict[str, Any] = {
            "batch": batch.id,
            "panel": None,
            "state": state,
            "elapsed_s": self.elapsed_unit.back(elapsed),
            "density_g_cm3": self.unit.back(number),
        }
        if "uncertainty" in self.fields:
            row["uncertainty"] = uncertainty = fixed(self.unit.of(0.0011), self.decimals + 1)
            said["uncertainty_g_cm3"] = self.unit.back(uncertainty)
        return row, said


def draft(dice: Random, language: str) -> Draft:
    """Draw densities of one batch or of several."""
    maker = Maker(dice, language)
    fields = batch_fields(maker)
    stamp = Stamp.put_into(fields, maker)
    bench = Bench(maker)
    fields |= bench.fields
    temperature_in_rows = maker.chance(0.6)
    groups, truth = [], []
    for batch in some_batches(dice, dice.choice((1, 1, 2, 3, 4))):
        at = later(dice, batch.mixed_on, 0, 3).replace(hour=dice.randint(10, 17))
        constants: dict[str, Cell] = {"batch": Text(batch.id), **stamp.cells(at)}
        temperature = bench.temperature()
        if not temperature_in_rows:
            constants["temperature"] = temperature
        rows = []
        for state, elapsed in bench.states():
            for determination in range(1, bench.repeats() + 1):
                row, said = bench.reading(batch, state, elapsed)
                if temperature_in_rows:
                    row["temperature"] = temperature = bench.temperature()
                if "determination" in bench.fields:
                    row["determination"] = Number(str(determination))
                rows.append(row)
                said["temperature_c"] = bench.temperature_unit.back(temperature)
                said["determination"] = float(determination)
                truth.append(said | stamp.truth(at))
        groups.append(Group(constants, rows))
    shapes = ("flat", "blocks", "sheets", "records", "transposed")
    found = Draft("density", "density", language, fields, groups, truth, shapes, "batch")
    remark_column(maker, found)
    found.distractors = passed_over(maker, ("Pycnometer", "100 ml"), ("Balance", "B2"))
    found.traits = [f"unit {fields['density'].unit}", f"elapsed {fields['elapsed'].unit}"]
    return found
