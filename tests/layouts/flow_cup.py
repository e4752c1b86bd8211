"""Efflux times of flow cups."""

from __future__ import annotations

from random import Random

from . import units
from .cells import Cell, Text, fixed
from .common import (
    Stamp,
    batch_fields,
    passed_over,
    remark_column,
    some_batches,
)
from .draft import Draft, Field, Group, Maker
from .register import later

CUPS = {
    "ISO 2431 4 mm": (
        "ISO 2431 4 mm",
        "ISO 2431, 4 mm",
        "ISO 2431 - 4 mm",
        "DIN EN ISO 2431, 4 mm",
    ),
    "ISO 2431 5 mm": ("ISO 2431 5 mm", "ISO 2431, 5 mm", "5 mm ISO 2431", "ISO 2431/5 mm"),
    "ISO 2431 6 mm": ("ISO 2431 6 mm", "ISO 2431, 6 mm", "6 mm (ISO 2431)"),
    "ASTM D1200 no. 4": ("ASTM D1200 no. 4", "ASTM D1200 No 4", "ASTM D1200 #4"),
}


def draft(dice: Random, language: str) -> Draft:
    """Draw efflux times of one batch or of several."""
    maker = Maker(dice, language)
    many = dice.choice((1, 2, 3, 5))
    cup = dice.choice(tuple(CUPS))
    minutes = maker.chance(0.08)
    fields = batch_fields(maker)
    stamp = Stamp.put_into(fields, maker, stated=0.6, clock=0.5)
    fields["cup"] = maker.field("flow_cup.cup")
    fields["efflux"] = maker.field("flow_cup.efflux", units.SECONDS)
    if minutes:
        fields["efflux"] = Field(fields["efflux"].title, dice.choice(("min:s", "min:sec", "mm:ss")))
    fields["temperature"] = maker.field("density.temperature", units.CELSIUS)
    spelled = Text(dice.choice(CUPS[cup]))
    per_row = maker.chance(0.6)
    groups, truth = [], []
    for batch in some_batches(dice, many):
        at = later(dice, batch.mixed_on, 0, 6).replace(hour=dice.randint(10, 17))
        constants: dict[str, Cell] = {"batch": Text(batch.id), "cup": spelled, **stamp.cells(at)}
        temperature = fixed(23 + dice.uniform(-0.5, 0.5), 1)
        seconds = fixed(dice.uniform(32, 95), 0 if minutes else dice.choice((0, 1)))
        row: dict[str, Cell] = {"efflux": seconds}
        if minutes:
            whole = int(seconds.value)
            row["efflux"] = Text(f"{whole // 60}:{whole % 60:02d}")
        if per_row:
            row["temperature"] = temperature
        else:
            constants["temperature"] = temperature
        groups.append(Group(constants, [row]))
        truth.append(
            {
                "batch": batch.id,
                "panel": None,
                "method": "flow cup",
                "cup": cup,
                "efflux_s": seconds.value,
                "run": 1.0,
                "temperature_c": temperature.value,
            }
            | stamp.truth(at)
        )
    shapes = ("flat", "records", "transposed", "blocks")
    found = Draft("flow_cup", "viscosity", language, fields, groups, truth, shapes, "batch")
    remark_column(maker, found)
    found.distractors = passed_over(maker, ("Sieve", "0.2 mm"), ("Stirred", "yes"))
    found.traits = [f"cup {spelled.text}"] + ["min:s"] * minutes
    return found
