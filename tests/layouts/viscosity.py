"""Flow curves of rotational viscometers: rate, stress, viscosity, up and perhaps down again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from random import Random
from typing import Any

from . import units
from .cells import Cell, Number, Text, Unit, fixed, near, significant
from .common import Stamp, batch_fields, index_column, passed_over, some_batches
from .draft import Draft, Field, Group, Maker
from .register import later
from .words import word

RATES = (
    (1, 2, 5, 10, 20, 50, 100),
    (0.1, 0.3, 1, 3, 10, 30, 100, 300, 1000),
    (10, 25, 50, 100, 250, 500),
)
WAYS = ("up", "up", "down", "up and down", "up and down")
Row = tuple[dict[str, Cell], dict[str, Any]]


@dataclass
class Rheometer:
    """What is drawn once for a file."""

    maker: Maker

    def __post_init__(self) -> None:
        """Choose what is said, and how."""
        maker, dice = self.maker, self.maker.dice
        self.said_in = dice.choice(("viscosity", "viscosity", "stress", "both", "both"))
        self.stress_unit: Unit = dice.choice((*units.STRESS[:1] * 3, *units.STRESS))
        self.viscosity_unit: Unit = dice.choice(units.VISCOSITY)
        self.elapsed_unit: Unit = dice.choice((units.SECONDS, units.SECONDS, units.MINUTES))
        self.way = dice.choice(WAYS)
        self.rates = dice.choice(RATES)
        self.step_words = dice.choice(("words", "numbers", "english"))
        self.temperature_in_rows = maker.chance(0.4)
        self.fields: dict[str, Field] = {}
        if " and " in self.way or maker.chance(0.2):
            self.fields["step"] = maker.field("viscosity.step")
        if maker.chance(0.5):
            self.fields["elapsed"] = maker.field("viscosity.elapsed", self.elapsed_unit)
        self.fields["temperature"] = maker.field("density.temperature", units.CELSIUS)
        self.fields["rate"] = maker.field("viscosity.rate", units.RATE[0])
        if self.said_in != "viscosity":
            self.fields["stress"] = maker.field("viscosity.stress", self.stress_unit)
        if self.said_in != "stress":
            self.fields["viscosity"] = maker.field("viscosity.viscosity", self.viscosity_unit)

    def temperature(self) -> Number:
        """Draw a temperature."""
        return fixed(23 + self.maker.dice.uniform(-0.4, 0.4), 1)

    def curve(self) -> Iterator[Row]:
        """Return the points of a paint with a yield stress, as printed, and what they say."""
        dice = self.maker.dice
        at_rest, slope, exponent = dice.uniform(1, 20), dice.uniform(1, 8), dice.uniform(0.5, 0.8)
        count = 0
        for number, direction in enumerate(self.way.split(" and "), 1):
            step = self._step(number, direction)
            for rate in self.rates if direction == "up" else self.rates[::-1]:
                count += 1
                stress = near(dice, at_rest + slope * rate**exponent, 0.005)
                row, said = self._point(rate, stress)
                if "step" in self.fields:
                    row["step"] = Text(step)
                    said["step"] = frozenset({step, step.lower(), direction})
                if "elapsed" in self.fields:
                    row["elapsed"] = elapsed = fixed(self.elapsed_unit.of(15.0 * count), 2)
                    said["elapsed_s"] = self.elapsed_unit.back(elapsed)
                yield row, said

    def _step(self, number: int, direction: str) -> str:
        if self.step_words == "numbers":
            return str(number)
        language = self.maker.language if self.step_words == "words" else "en"
        return word(self.maker.dice, f"step.{direction}", language)

    def _point(self, rate: float, stress: float) -> Row:
        shown = Number(f"{rate:g}")
        row: dict[str, Cell] = {"rate": shown}
        said: dict[str, Any] = {"shear_rate_per_s": shown.value, "method": "rotational"}
        if "stress" in self.fields:
            row["stress"] = number = significant(self.stress_unit.of(stress), 4)
            said["shear_stress_pa"] = self.stress_unit.back(number)
        if "viscosity" in self.fields:
            row["viscosity"] = number = significant(self.viscosity_unit.of(stress / rate), 4)
            said["viscosity_pa_s"] = self.viscosity_unit.back(number)
        said.setdefault("shear_stress_pa", said.get("viscosity_pa_s", 0.0) * shown.value)
        said.setdefault("viscosity_pa_s", said["shear_stress_pa"] / shown.value)
        return row, said


def draft(dice: Random, language: str) -> Draft:
    """Draw flow curves of one batch or of several."""
    maker = Maker(dice, language)
    fields = batch_fields(maker)
    stamp = Stamp.put_into(fields, maker)
    rheometer = Rheometer(maker)
    fields |= rheometer.fields
    groups, truth = [], []
    for batch in some_batches(dice, dice.choice((1, 1, 1, 2, 3))):
        at = later(dice, batch.mixed_on, 1, 5)
        constants: dict[str, Cell] = {"batch": Text(batch.id), **stamp.cells(at)}
        temperature = rheometer.temperature()
        if not rheometer.temperature_in_rows:
            constants["temperature"] = temperature
        rows = []
        for row, said in rheometer.curve():
            if rheometer.temperature_in_rows:
                row["temperature"] = temperature = rheometer.temperature()
            rows.append(row)
            said |= {"batch": batch.id, "panel": None, "temperature_c": temperature.value}
            truth.append(said | stamp.truth(at))
        groups.append(Group(constants, rows))
    shapes = ("flat", "blocks", "sheets")
    found = Draft("viscosity", "viscosity", language, fields, groups, truth, shapes, "batch")
    found.distractors = passed_over(
        maker, ("Geometry", "coaxial cylinders"), ("Method", "flow curve")
    )
    found.traits = [f"said in {rheometer.said_in}", rheometer.way]
    if "viscosity" in fields:
        found.traits.append(f"unit {fields['viscosity'].unit}")
    index_column(maker, found, 0.2)
    return found
