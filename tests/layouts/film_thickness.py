"""Thickness readings of panels: dry films as a whole or coat by coat, and wet ones."""

from __future__ import annotations

from random import Random
from typing import Any

from . import units
from .cells import Cell, Number, Text, Unit, fixed, near
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
from .draft import Draft, Field, Group, Maker, Pivot
from .register import later
from .words import word

DECIMALS = {1.0: 0, 25.4: 1, 1000.0: 3}


def draft(dice: Random, language: str) -> Draft:
    """Draw readings of one panel or of several."""
    maker = Maker(dice, language)
    panels = some_panels(dice, dice.choice((1, 1, 2, 3, 6)))
    unit: Unit = dice.choice(units.THICKNESS)
    spots = dice.choice((3, 5, 5, 6, 10))
    of_coat = dice.choice(("unsaid", "unsaid", "system", "coats", "wet"))
    clock = maker.chance(0.5)
    fields = panel_fields(maker)
    if timed := maker.chance(0.4):
        fields["measured"] = measured_field(maker, clock=clock)
    if of_coat != "unsaid":
        fields["coat"] = maker.field("film.coat")
    state = "wet" if of_coat == "wet" else "dry"
    if stated := maker.chance(0.3):
        fields["state"] = maker.field("film.state")
    if numbered := maker.chance(0.9):
        fields["spot"] = maker.field("film.spot")
    concept = "film.thickness" if stated else f"film.{state}_thickness"
    fields["thickness"] = maker.field(concept, unit)
    words = Text(word(dice, f"film.is_{state}", language))
    system = Text(word(dice, "film.system", language))
    groups, truth = [], []
    for panel in panels:
        moment = moment_of(later(dice, panel.coated_on, 3, 20), clock=clock)
        if state == "wet":
            moment = moment_of(panel.coated_on.replace(hour=dice.randint(9, 15)), clock=clock)
        for coat in {"coats": (1, 2), "wet": (1,)}.get(of_coat, (0,)):
            constants = panel_cells(panel, fields)
            if timed:
                constants["measured"] = moment
            if of_coat != "unsaid":
                constants["coat"] = Number(str(coat)) if coat else system
            if stated:
                constants["state"] = words
            share = {0: 1.0, 1: 0.5, 2: 0.5}[coat] * (1.6 if state == "wet" else 1)
            rows = []
            for spot in range(1, spots + 1):
                number = fixed(
                    unit.of(near(dice, panel.thickness_um * share, 0.05)), DECIMALS[unit.factor]
                )
                row: dict[str, Cell] = {"thickness": number}
                if numbered:
                    row["spot"] = Number(str(spot))
                rows.append(row)
                said: dict[str, Any] = {
                    "spot": float(spot),
                    "state": state,
                    "thickness_um": unit.back(number),
                }
                said |= ids_of(panel) | (truth_of(moment) if timed else {})
                truth.append(said | {"coat": f"coat {coat}" if coat else "system"})
            groups.append(Group(constants, rows))
    if maker.chance(0.2):
        remark_column(maker, fields, [row for group in groups for row in group.rows])
    shapes = ("flat", "blocks", "sheets", "wide", "transposed")
    found = Draft(
        "film_thickness", "film_thickness", language, fields, groups, truth, shapes, "panel"
    )
    if not numbered:
        found.shapes = ("flat", "blocks", "sheets")
    found.pivots = _pivots(dice)
    found.statistics_of = ("thickness",) if len(panels) == 1 and of_coat != "coats" else ()
    found.distractors = passed_over(maker, ("Probe", "magnetic"), ("Standard", "ISO 2808"))
    found.traits = [f"coat {of_coat}", f"unit {fields['thickness'].unit}"]
    found.traits += ["not numbered"] * (not numbered)
    return found


def _pivots(dice: Random) -> tuple[Pivot, ...]:
    bare = dice.choice(("{}", "{}", "{title} {}", "P{}", "M{}", "Nr. {}"))

    def of_spot(cell: Cell, field: Field) -> str:
        assert isinstance(cell, Number)
        return bare.format(cell.text, title=field.title)

    def of_panel(cell: Cell, field: Field) -> str:
        assert isinstance(cell, Text)
        return cell.text

    return (
        Pivot("spot", ("thickness",), of_spot, over="title" not in bare, statistics=True),
        Pivot("panel", ("thickness",), of_panel, over=True),
    )
