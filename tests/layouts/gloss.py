"""Gloss of panels, at one angle or at three."""

from __future__ import annotations

from random import Random
from typing import Any

from . import units
from .cells import Cell, Number, Text, fixed, near
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

LEVELS = {20: 45.0, 60: 82.0, 85: 91.0}


def draft(dice: Random, language: str) -> Draft:
    """Draw readings of one panel or of several."""
    maker = Maker(dice, language)
    panels = some_panels(dice, dice.choice((1, 2, 3, 5)))
    angles = dice.choice(((20, 60, 85), (20, 60, 85), (60,), (60,), (20, 60)))
    spots = dice.choice((1, 3, 3, 5))
    clock, one_time = maker.chance(0.5), maker.chance(0.5)
    fields = panel_fields(maker)
    if timed := maker.chance(0.4):
        fields["measured"] = measured_field(maker, clock=clock)
    fields["angle"] = maker.field("gloss.angle", units.DEGREES)
    if numbered := spots > 1 or maker.chance(0.5):
        fields["spot"] = maker.field("film.spot")
    fields["gloss"] = maker.field("gloss.gloss", units.GLOSS[0])
    groups, truth = [], []
    first = later(dice, max(panel.coated_on for panel in panels), 7, 30)
    level = dice.uniform(0.5, 1.05)
    for panel in panels:
        at = first if one_time else later(dice, panel.coated_on, 7, 30)
        moment = moment_of(at, clock=clock)
        constants = panel_cells(panel, fields)
        if timed:
            constants["measured"] = moment
        if len(angles) == 1:
            constants["angle"] = Number(str(angles[0]))
        if spots == 1 and numbered:
            constants["spot"] = Number("1")
        rows = []
        for spot in range(1, spots + 1):
            for angle in angles:
                number = fixed(near(dice, LEVELS[angle] * level, 0.03), 1)
                row: dict[str, Cell] = {"gloss": number}
                if len(angles) > 1:
                    row["angle"] = Number(str(angle))
                if spots > 1:
                    row["spot"] = Number(str(spot))
                rows.append(row)
                said: dict[str, Any] = {
                    "angle_deg": float(angle),
                    "spot": float(spot),
                    "gloss_gu": number.value,
                }
                truth.append(said | ids_of(panel) | (truth_of(moment) if timed else {}))
        groups.append(Group(constants, rows))
    if maker.chance(0.3):
        remark_column(maker, fields, [row for group in groups for row in group.rows])
    found = Draft(
        "gloss",
        "gloss",
        language,
        fields,
        groups,
        truth,
        ("flat", "blocks", "sheets", "wide"),
        "panel",
    )
    if spots * len(angles) <= 3 and "remark" not in fields:
        found.shapes += ("records",)
    found.pivots = _pivots(dice)
    found.statistics_of = ("gloss",) if len(panels) == 1 and len(angles) == 1 else ()
    found.distractors = passed_over(maker, ("Calibration", "black glass"), ("Standard", "ISO 2813"))
    found.traits = [f"{len(angles)} angles", f"{spots} spots"]
    return found


def _pivots(dice: Random) -> tuple[Pivot, ...]:
    angle = dice.choice(("{}°", "{} deg", "{title} {}°", "{title} {}", "GU {}°", "{title}@{}°"))
    bare = dice.choice(("{}", "{title} {}", "P{}", "Nr. {}"))

    def of_angle(cell: Cell, field: Field) -> str:
        assert isinstance(cell, Number)
        return angle.format(cell.text, title=field.title)

    def of_spot(cell: Cell, field: Field) -> str:
        assert isinstance(cell, Number)
        return bare.format(cell.text, title=field.title)

    def of_panel(cell: Cell, field: Field) -> str:
        assert isinstance(cell, Text)
        return cell.text

    return (
        Pivot("angle", ("gloss",), of_angle, over="title" not in angle),
        Pivot("spot", ("gloss",), of_spot, over="title" not in bare, statistics=True),
        Pivot("panel", ("gloss",), of_panel, over=True),
    )
