"""Gloss of panels, at one angle or at three."""

from __future__ import annotations

from random import Random
from typing import Any

from . import units
from .cells import Cell, Number, fixed, near
from .common import (
    Stamp,
    ids_of,
    panel_cells,
    panel_fields,
    passed_over,
    remark_column,
    sideways,
    some_panels,
)
from .draft import Draft, Group, Maker
from .register import later

LEVELS = {20: 45.0, 60: 82.0, 85: 91.0}
ANGLES = ((20, 60, 85), (20, 60, 85), (60,), (60,), (20, 60))
ANGLE_TITLES = ("{}°", "{} deg", "{title} {}°", "{title} {}", "GU {}°", "{title}@{}°")
SPOT_TITLES = ("{}", "{title} {}", "P{}", "Nr. {}")


def draft(dice: Random, language: str) -> Draft:
    """Draw readings of one panel or of several."""
    maker = Maker(dice, language)
    panels = some_panels(dice, dice.choice((1, 2, 3, 5)))
    angles: tuple[int, ...] = dice.choice(ANGLES)
    spots = dice.choice((1, 3, 3, 5))
    one_time = maker.chance(0.5)
    fields = panel_fields(maker)
    stamp = Stamp.put_into(fields, maker, stated=0.4, clock=0.5)
    fields["angle"] = maker.field("gloss.angle", units.DEGREES)
    if spots > 1 or maker.chance(0.5):
        fields["spot"] = maker.field("film.spot")
    fields["gloss"] = maker.field("gloss.gloss", units.GLOSS[0])
    first = later(dice, max(panel.coated_on for panel in panels), 7, 30)
    level = dice.uniform(0.5, 1.05)
    groups, truth = [], []
    for panel in panels:
        at = first if one_time else later(dice, panel.coated_on, 7, 30)
        rows, said = _readings(dice, angles, spots, level)
        groups.append(_group({**panel_cells(panel, fields), **stamp.cells(at)}, rows, set(fields)))
        truth += [one | ids_of(panel) | stamp.truth(at) for one in said]
    found = Draft("gloss", "gloss", language, fields, groups, truth, ("flat", "blocks"), "panel")
    remark_column(maker, found, 0.04)
    found.shapes += ("sheets", "wide", *(("records",) if spots * len(angles) <= 3 else ()))
    found.pivots = (
        sideways("angle", ("gloss",), dice.choice(ANGLE_TITLES)),
        sideways("spot", ("gloss",), dice.choice(SPOT_TITLES), statistics=True),
        sideways("panel", ("gloss",), "{}"),
    )
    found.statistics_of = ("gloss",) if len(panels) == 1 and len(angles) == 1 else ()
    found.distractors = passed_over(maker, ("Calibration", "black glass"), ("Standard", "ISO 2813"))
    found.traits = [f"{len(angles)} angles", f"{spots} spots"]
    return found


def _readings(
    dice: Random, angles: tuple[int, ...], spots: int, level: float
) -> tuple[list[dict[str, Cell]], list[dict[str, Any]]]:
    """Return the rows of a panel, and what they say."""
    rows: list[dict[str, Cell]] = []
    truth: list[dict[str, Any]] = []
    for spot in range(1, spots + 1):
        for angle in angles:
            number = fixed(near(dice, LEVELS[angle] * level, 0.03), 1)
            rows.append({"gloss": number, "angle": Number(str(angle)), "spot": Number(str(spot))})
            said = {"angle_deg": float(angle), "spot": float(spot), "gloss_gu": number.value}
            truth.append(said)
    return rows, truth


def _group(constants: dict[str, Cell], rows: list[dict[str, Cell]], keys: set[str]) -> Group:
    """Return a group; what is the same in all of its rows is said once."""
    for key in ("angle", "spot"):
        if len({row[key] for row in rows}) == 1:
            constants[key] = rows[0][key]
    constants = {key: cell for key, cell in constants.items() if key in keys}
    left = keys - set(constants)
    return Group(constants, [{k: v for k, v in row.items() if k in left} for row in rows])
