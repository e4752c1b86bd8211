"""Pull-off tests of panels: force or strength of each dolly, and where the film failed."""

from __future__ import annotations

import math
from random import Random
from typing import Any

from . import units
from .cells import Cell, Number, Text, Unit, fixed, near, significant
from .common import (
    ids_of,
    measured_field,
    moment_of,
    panel_cells,
    panel_fields,
    passed_over,
    remark_column,
    some_panels,
    truth_of,
)
from .draft import Draft, Field, Group, Maker
from .register import later

SHARED = ("B", "B/C", "C", "-/Y", "Y")


def draft(dice: Random, language: str) -> Draft:
    """Draw determinations of one panel or of several."""
    maker = Maker(dice, language)
    panels = some_panels(dice, dice.choice((1, 1, 2, 3, 4)))
    diameter = dice.choice((14.0, 20.0, 20.0, 20.0, 50.0, 19.9))
    dolly_unit = dice.choice(units.DOLLY)
    said_in = dice.choice(("strength", "strength", "strength", "force", "both"))
    force_unit = dice.choice((*units.FORCE[:1] * 2, *units.FORCE))
    strength_unit = dice.choice((*units.STRENGTH[:1] * 2, *units.STRENGTH))
    clock = maker.chance(0.6)
    fields = panel_fields(maker)
    if timed := maker.chance(0.5):
        fields["measured"] = measured_field(maker, clock=clock)
    if numbered := maker.chance(0.9):
        fields["determination"] = maker.field("pull_off.determination")
    fields["dolly"] = maker.field("pull_off.dolly", dolly_unit)
    fields["dolly"].bare = dolly_unit.customary
    if said_in in {"force", "both"}:
        fields["force"] = maker.field("pull_off.force", force_unit)
    if said_in in {"strength", "both"}:
        fields["strength"] = maker.field("pull_off.strength", strength_unit)
    shares = maker.chance(0.12)
    if not shares:
        fields["failure"] = maker.field("pull_off.failure")
    notation = dice.choice(("{:g} % {}", "{:g}% {}", "{:g} % {}"))
    joint = dice.choice((", ", "; "))
    dolly = significant(dolly_unit.of(diameter), 3)
    groups, truth = [], []
    for panel in panels:
        moment = moment_of(later(dice, panel.immersed_at, 5, 40), clock=clock)
        constants = panel_cells(panel, fields)
        if timed:
            constants["measured"] = moment
        constants["dolly"] = dolly
        level = dice.uniform(4, 11)
        rows = []
        for n in range(1, dice.choice((3, 5, 6)) + 1):
            row, said = _strength(
                near(dice, level, 0.08), dolly_unit.back(dolly), said_in, force_unit, strength_unit
            )
            if numbered:
                row["determination"] = Number(str(n))
            pattern = _pattern(dice)
            if not shares:
                row["failure"] = Text(_written(dice, pattern, notation, joint))
            else:
                for place in SHARED:
                    row[f"share {place}"] = fixed(pattern.get(place, 0), 0)
            rows.append(row)
            said |= {"determination": float(n), "failure": _canonical(pattern), **ids_of(panel)}
            said["dolly_diameter_mm"] = dolly_unit.back(dolly)
            truth.append(said | (truth_of(moment) if timed else {}))
        groups.append(Group(constants, rows))
    if shares:
        for place in SHARED:
            fields[f"share {place}"] = Field(place, "%")
    remark_column(maker, fields, [row for group in groups for row in group.rows])
    shapes = ("flat", "flat", "blocks", "sheets", "records", "transposed")
    if not numbered:
        shapes = ("flat", "blocks", "sheets")
    found = Draft("pull_off", "pull_off", language, fields, groups, truth, shapes, "panel")
    found.statistics_of = ("force", "strength") if len(panels) == 1 else ()
    found.distractors = passed_over(maker, ("Adhesive", "two-pack epoxy"), ("Standard", "ISO 4624"))
    found.traits = [f"said in {said_in}", f"dolly {fields['dolly'].unit}"]
    found.traits += ["shares over columns"] * shares + ["not numbered"] * (not numbered)
    return found


def _strength(
    strength: float, diameter_mm: float, said_in: str, force_unit: Unit, strength_unit: Unit
) -> tuple[dict[str, Cell], dict[str, Any]]:
    """Return what is printed of a strength, and what it says."""
    area = math.pi * diameter_mm**2 / 4
    row: dict[str, Cell] = {}
    said: dict[str, Any] = {}
    if said_in in {"force", "both"}:
        row["force"] = force = significant(force_unit.of(strength * area), 4)
        said["force_n"] = force_unit.back(force)
    if said_in in {"strength", "both"}:
        row["strength"] = number = significant(strength_unit.of(strength), 3)
        said["strength_mpa"] = strength_unit.back(number)
    said.setdefault("force_n", said.get("strength_mpa", 0.0) * area)
    said.setdefault("strength_mpa", said["force_n"] / area)
    return row, said


def _pattern(dice: Random) -> dict[str, float]:
    """Draw where a film failed, from the substrate outwards."""
    if dice.random() < 0.4:
        return {dice.choice(SHARED): 100.0}
    first = 5.0 * dice.randint(1, 19)
    places = sorted(dice.sample(SHARED, 2), key=SHARED.index)
    return {places[0]: first, places[1]: 100 - first}


def _canonical(pattern: dict[str, float]) -> str:
    return ", ".join(f"{share:g} % {place}" for place, share in pattern.items())


def _written(dice: Random, pattern: dict[str, float], notation: str, joint: str) -> str:
    if len(pattern) == 1 and dice.random() < 0.5:
        return next(iter(pattern))
    return joint.join(notation.format(share, place) for place, share in pattern.items())
