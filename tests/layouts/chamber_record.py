"""Records of salt spray chambers, each under a batch that was exposed then."""

from __future__ import annotations

from datetime import timedelta
from random import Random
from typing import Any

from . import units
from .cells import Cell, Text, fixed
from .common import Stamp, batch_fields, passed_over, remark_column
from .draft import Draft, Group, Maker
from .register import batches, utc

READINGS = ("temperature", "collected", "ph", "salt")


def draft(dice: Random, language: str) -> Draft:
    """Draw the days of one chamber."""
    maker = Maker(dice, language)
    batch = dice.choice(batches())
    salt_unit = dice.choice(units.SALT)
    fields = batch_fields(maker)
    stamp = Stamp.put_into(fields, maker, stated=1, clock=0.6)
    if named := maker.chance(0.6):
        fields["chamber"] = maker.field("chamber.chamber")
    read = [one for one in READINGS if one == "temperature" or maker.chance(0.8)]
    for one in read:
        unit = {
            "temperature": units.CELSIUS,
            "collected": units.COLLECTED[0],
            "ph": None,
            "salt": salt_unit,
        }[one]
        fields[one] = maker.field(f"chamber.{one}", unit)
    chamber = dice.choice(("1", "2", "A", "NSS-2"))
    first = batch.panels[0].immersed_at.replace(hour=dice.randint(7, 10)) + timedelta(days=1)
    rows: list[dict[str, Cell]] = []
    truth: list[dict[str, Any]] = []
    for day in range(dice.randint(2, 12)):
        moment = stamp.moment(first + timedelta(days=day, minutes=dice.randrange(60)))
        values = {
            "temperature": fixed(dice.uniform(34.2, 35.8), 1),
            "collected": fixed(dice.uniform(1.0, 2.0), 2),
            "ph": fixed(dice.uniform(6.5, 7.2), 1),
            "salt": fixed(dice.uniform(47, 53), 0),
        }
        rows.append({"measured": moment, **{one: values[one] for one in read}})
        names = ("temperature_c", "collected_ml_h", "ph", "salt_g_l")
        said: dict[str, Any] = {
            name: values[one].value
            for one, name in zip(READINGS, names, strict=True)
            if one in read
        }
        said |= {"batch": batch.id, "panel": None, "measured_at": utc(moment.at)}
        truth.append(said | ({"chamber": chamber} if named else {}))
    constants: dict[str, Cell] = {"batch": Text(batch.id)}
    if named:
        constants["chamber"] = Text(chamber)
    shapes = ("flat", "flat", "flat", "transposed")
    found = Draft(
        "chamber_record",
        "chamber_record",
        language,
        fields,
        [Group(constants, rows)],
        truth,
        shapes,
        "batch",
    )
    remark_column(maker, found)
    found.statistics_of = tuple(read)
    found.distractors = passed_over(maker, ("Standard", "ISO 9227"), ("Nozzle", "no. 3"))
    found.traits = [f"read {len(read)}"]
    return found
