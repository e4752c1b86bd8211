"""Densities of wet paint in its states, and of water as a check."""

from __future__ import annotations

from random import Random
from typing import Any

from . import units
from .cells import Cell, Number, Text, Unit, fixed
from .common import (
    batch_fields,
    measured_field,
    moment_of,
    passed_over,
    remark_column,
    some_batches,
    truth_of,
)
from .draft import Draft, Group, Maker
from .register import Batch, later
from .words import word

AIR = {"as mixed": 0.965, "deaerated": 1.0, "rested": 0.985}


def draft(dice: Random, language: str) -> Draft:
    """Draw densities of one batch or of several."""
    maker = Maker(dice, language)
    many = dice.choice((1, 1, 2, 3, 4))
    unit = dice.choice((*units.DENSITY[:1] * 2, *units.DENSITY))
    elapsed_unit = dice.choice(
        (units.SECONDS, units.MINUTES, Unit(units.HOUR_WORDS[language], 3600))
    )
    temperature_unit = units.FAHRENHEIT if language == "en" and maker.chance(0.1) else units.CELSIUS
    clock = maker.chance(0.7)
    fields = batch_fields(maker)
    if timed := maker.chance(0.5):
        fields["measured"] = measured_field(maker, clock=clock)
    fields["state"] = maker.field("density.state")
    fields["elapsed"] = maker.field("density.elapsed", elapsed_unit)
    fields["temperature"] = maker.field("density.temperature", temperature_unit)
    fields["density"] = maker.field("density.density", unit)
    if stated := maker.chance(0.2):
        fields["uncertainty"] = maker.field("density.uncertainty", unit)
        fields["uncertainty"].unit = fields["density"].unit
    words = maker.chance(0.5)
    in_column = maker.chance(0.6)
    groups, truth = [], []
    for batch in some_batches(dice, many):
        fresh = moment_of(
            later(dice, batch.mixed_on, 0, 3).replace(hour=dice.randint(10, 17)), clock=clock
        )
        constants: dict[str, Cell] = {"batch": Text(batch.id)}
        if timed:
            constants["measured"] = fresh
        temperature = fixed(temperature_unit.of(23 + dice.uniform(-0.6, 0.6)), 1)
        if not in_column:
            constants["temperature"] = temperature
        rows = []
        for state, seconds in _states(dice, elapsed_unit.factor):
            if in_column:
                temperature = fixed(temperature_unit.of(23 + dice.uniform(-0.6, 0.6)), 1)
            row, said = _row(maker, batch, state, (unit, elapsed_unit), seconds, stated)
            row["state"] = Text(word(dice, f"state.{state}", language) if words else state)
            if in_column:
                row["temperature"] = temperature
            rows.append(row)
            said |= {
                "temperature_c": temperature_unit.back(temperature),
                "batch": batch.id,
                "panel": None,
            }
            truth.append(said | (truth_of(fresh) if timed else {}))
        groups.append(Group(constants, rows))
    remark_column(maker, fields, [row for group in groups for row in group.rows])
    shapes = ("flat", "blocks", "sheets", "records", "transposed")
    found = Draft("density", "density", language, fields, groups, truth, shapes, "batch")
    found.statistics_of = ()
    found.distractors = passed_over(maker, ("Pycnometer", "100 ml"), ("Balance", "B2"))
    found.traits = [f"unit {fields['density'].unit}", f"elapsed {fields['elapsed'].unit}"]
    return found


def _states(dice: Random, second: float) -> list[tuple[str, float]]:
    """Return states with the time since mixing in units of the export."""
    steps = {1: (600, 1800, 3600), 60: (10, 30, 120), 3600: (1, 4, 24)}[int(second)]
    found = [("as mixed", 0.0)] + [("rested", float(step)) for step in steps[: dice.randint(0, 3)]]
    if dice.random() < 0.5:
        found.append(("deaerated", float(steps[-1])))
    if dice.random() < 0.15:
        found.append(("water", 0.0))
    return found


def _row(
    maker: Maker,
    batch: Batch,
    state: str,
    spoken: tuple[Unit, Unit],
    elapsed: float,
    stated: bool,
) -> tuple[dict[str, Cell], dict[str, Any]]:
    unit, elapsed_unit = spoken
    paint = 1.38 + 0.005 * (int(batch.id[4:8]) % 40)
    value = (
        0.9975 if state == "water" else paint * AIR[state] * (1 + 0.002 * maker.dice.uniform(-1, 1))
    )
    decimals = {1e-3: 0}.get(unit.factor, 3 if unit.factor < 1 else maker.dice.choice((3, 4)))
    if unit.factor == 1e-3:
        decimals = maker.dice.choice((0, 1))
    number = fixed(unit.of(value), decimals)
    time = Number(f"{elapsed:g}")
    row: dict[str, Cell] = {"elapsed": time, "density": number}
    said: dict[str, Any] = {
        "density_g_cm3": unit.back(number),
        "elapsed_s": elapsed_unit.back(time),
        "state": state,
    }
    if stated:
        row["uncertainty"] = uncertainty = fixed(unit.of(0.0011), max(decimals, 1) + 1)
        said["uncertainty_g_cm3"] = unit.back(uncertainty)
    return row, said
