"""Flow curves of rotational viscometers: rate, stress, viscosity, up and perhaps down again."""

from __future__ import annotations

from random import Random
from typing import Any

from . import units
from .cells import Cell, Number, Text, Unit, fixed, near, significant
from .common import batch_fields, measured_field, moment_of, passed_over, some_batches, truth_of
from .draft import Draft, Group, Maker
from .register import later
from .words import word


def draft(dice: Random, language: str) -> Draft:
    """Draw flow curves of one batch or of several."""
    maker = Maker(dice, language)
    many = dice.choice((1, 1, 1, 2, 3))
    said_in = dice.choice(("viscosity", "viscosity", "stress", "both", "both"))
    stress_unit: Unit = dice.choice((*units.STRESS[:1] * 3, *units.STRESS))
    viscosity_unit: Unit = dice.choice(units.VISCOSITY)
    elapsed_unit: Unit = dice.choice((units.SECONDS, units.SECONDS, units.MINUTES))
    way = dice.choice(("up", "up", "down", "up and down", "up and down"))
    clock = maker.chance(0.7)
    fields = batch_fields(maker)
    if timed := maker.chance(0.5):
        fields["measured"] = measured_field(maker, clock=clock)
    stepped = way == "up and down" or maker.chance(0.2)
    if stepped:
        fields["step"] = maker.field("viscosity.step")
    if elapsing := maker.chance(0.5):
        fields["elapsed"] = maker.field("viscosity.elapsed", elapsed_unit)
    fields["temperature"] = maker.field("density.temperature", units.CELSIUS)
    fields["rate"] = maker.field("viscosity.rate", units.RATE[0])
    if said_in in {"stress", "both"}:
        fields["stress"] = maker.field("viscosity.stress", stress_unit)
    if said_in in {"viscosity", "both"}:
        fields["viscosity"] = maker.field("viscosity.viscosity", viscosity_unit)
    in_column = maker.chance(0.4)
    names = dice.choice(("words", "numbers", "english"))
    rates = dice.choice(
        (
            (1, 2, 5, 10, 20, 50, 100),
            (0.1, 0.3, 1, 3, 10, 30, 100, 300, 1000),
            (10, 25, 50, 100, 250, 500),
        )
    )
    groups, truth = [], []
    for batch in some_batches(dice, many):
        moment = moment_of(later(dice, batch.mixed_on, 1, 5), clock=clock)
        constants: dict[str, Cell] = {"batch": Text(batch.id)}
        if timed:
            constants["measured"] = moment
        temperature = fixed(23 + dice.uniform(-0.4, 0.4), 1)
        if not in_column:
            constants["temperature"] = temperature
        paint = (dice.uniform(1, 20), dice.uniform(1, 8), dice.uniform(0.5, 0.8))
        rows: list[dict[str, Cell]] = []
        for number, direction in enumerate(way.split(" and "), 1):
            step = {"words": word(dice, f"step.{direction}", language), "numbers": str(number)}.get(
                names, direction
            )
            for rate in rates if direction == "up" else rates[::-1]:
                row, said = _point(maker, rate, paint, said_in, (stress_unit, viscosity_unit))
                said |= {"method": "rotational", "batch": batch.id, "panel": None}
                if in_column:
                    temperature = fixed(23 + dice.uniform(-0.4, 0.4), 1)
                    row["temperature"] = temperature
                said["temperature_c"] = temperature.value
                if stepped:
                    row["step"] = Text(step)
                    said["step"] = frozenset({step, step.lower(), direction})
                if elapsing:
                    row["elapsed"] = elapsed = fixed(elapsed_unit.of(15.0 * (len(rows) + 1)), 2)
                    said["elapsed_s"] = elapsed_unit.back(elapsed)
                rows.append(row)
                truth.append(said | (truth_of(moment) if timed else {}))
        groups.append(Group(constants, rows))
    found = Draft(
        "viscosity",
        "viscosity",
        language,
        fields,
        groups,
        truth,
        ("flat", "blocks", "sheets"),
        "batch",
    )
    found.distractors = passed_over(maker, ("Geometry", "CC27 cylinder"), ("Method", "flow curve"))
    found.traits = [f"said in {said_in}", way]
    if "viscosity" in fields:
        found.traits.append(f"unit {fields['viscosity'].unit}")
    if maker.chance(0.2):
        found.fields = {"index": maker.field("other.index"), **found.fields}
        for group in groups:
            for n, row in enumerate(group.rows, 1):
                row["index"] = Number(str(n))
        found.traits.append("index")
    return found


def _point(
    maker: Maker,
    rate: float,
    paint: tuple[float, float, float],
    said_in: str,
    spoken: tuple[Unit, Unit],
) -> tuple[dict[str, Cell], dict[str, Any]]:
    """Return a point of a curve with a yield stress, as printed, and what it says."""
    stress_unit, viscosity_unit = spoken
    stress = near(maker.dice, paint[0] + paint[1] * rate ** paint[2], 0.005)
    shown = Number(f"{rate:g}")
    row: dict[str, Cell] = {"rate": shown}
    said: dict[str, Any] = {"shear_rate_per_s": shown.value}
    if said_in in {"stress", "both"}:
        row["stress"] = number = significant(stress_unit.of(stress), 4)
        said["shear_stress_pa"] = stress_unit.back(number)
    if said_in in {"viscosity", "both"}:
        row["viscosity"] = number = significant(viscosity_unit.of(stress / rate), 4)
        said["viscosity_pa_s"] = viscosity_unit.back(number)
    if said_in == "stress":
        said["viscosity_pa_s"] = said["shear_stress_pa"] / shown.value
    if said_in == "viscosity":
        said["shear_stress_pa"] = said["viscosity_pa_s"] * shown.value
    return row, said
