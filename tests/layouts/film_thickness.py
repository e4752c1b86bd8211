"""Thickness readings of panels: dry films as a whole or coat by coat, and wet ones."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from random import Random
from typing import Any

from . import units
from .cells import Cell, Number, Text, Unit, fixed, near
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
from .draft import Draft, Field, Group, Maker
from .register import Panel, later
from .words import word

SPOT_TITLES = ("{}", "{}", "{title} {}", "P{}", "M{}", "Nr. {}")
COATS = {"unsaid": (0,), "system": (0,), "coats": (1, 2), "wet": (1,)}  # 0: the whole system
WET_TO_DRY = 1.6


@dataclass
class Gauge:
    """What is drawn once for a file."""

    maker: Maker
    coats: str
    unit: Unit
    spots: int

    def __post_init__(self) -> None:
        """Choose the fields, and the words for coat and state."""
        maker, language = self.maker, self.maker.language
        self.state = "wet" if self.coats == "wet" else "dry"
        self.fields: dict[str, Field] = {}
        self.words: dict[str, Cell] = {}
        if self.coats != "unsaid":
            self.fields["coat"] = maker.field("film.coat")
            self.words["coat"] = Text(word(maker.dice, "film.system", language))
        concept = f"film.{self.state}_thickness"
        if maker.chance(0.3):
            concept = "film.thickness"
            self.fields["state"] = maker.field("film.state")
            self.words["state"] = Text(word(maker.dice, f"film.is_{self.state}", language))
        self.numbered = maker.chance(0.9)
        if self.numbered:
            self.fields["spot"] = maker.field("film.spot")
        self.fields["thickness"] = maker.field(concept, self.unit)

    def when(self, panel: Panel) -> datetime:
        """Return when it was measured: wet films on the day of their coating."""
        if self.state == "wet":
            return panel.coated_on.replace(hour=self.maker.dice.randint(9, 15))
        return later(self.maker.dice, panel.coated_on, 3, 20)

    def readings(
        self, panel: Panel, coat: int
    ) -> tuple[dict[str, Cell], list[dict[str, Cell]], list[dict[str, Any]]]:
        """Return what is the same for a coat, its rows, and what they say."""
        constants = dict(self.words)
        if coat:
            constants["coat"] = Number(str(coat))
        level = (
            panel.thickness_um * (0.5 if coat else 1) * (WET_TO_DRY if self.state == "wet" else 1)
        )
        rows: list[dict[str, Cell]] = []
        truth: list[dict[str, Any]] = []
        for spot in range(1, self.spots + 1):
            value = near(self.maker.dice, level, 0.05)
            number = fixed(self.unit.of(value), units.THICKNESS_DECIMALS[self.unit.factor])
            row: dict[str, Cell] = {"thickness": number, "spot": Number(str(spot))}
            rows.append({key: row[key] for key in row if key in self.fields})
            said = {"spot": float(spot), "state": self.state, **ids_of(panel)}
            said["thickness_um"] = self.unit.back(number)
            truth.append(said | {"coat": f"coat {coat}" if coat else "system"})
        return constants, rows, truth


def draft(dice: Random, language: str) -> Draft:
    """Draw readings of one panel or of several."""
    maker = Maker(dice, language)
    panels = some_panels(dice, dice.choice((1, 1, 2, 3, 6)))
    coats = dice.choice(("unsaid", "unsaid", "system", "coats", "wet"))
    fields = panel_fields(maker)
    stamp = Stamp.put_into(fields, maker, stated=0.4, clock=0.5)
    gauge = Gauge(maker, coats, dice.choice(units.THICKNESS), dice.choice((3, 5, 5, 6, 10)))
    fields |= gauge.fields
    groups, truth = [], []
    for panel in panels:
        at = gauge.when(panel)
        for coat in COATS[coats]:
            constants, rows, said = gauge.readings(panel, coat)
            whole = {**panel_cells(panel, fields), **stamp.cells(at), **constants}
            groups.append(Group(whole, rows))
            truth += [one | stamp.truth(at) for one in said]
    shapes = ("flat", "blocks", "sheets", *(("wide", "transposed") if gauge.numbered else ()))
    name = "film_thickness"
    found = Draft(name, name, language, fields, groups, truth, shapes, "panel")
    remark_column(maker, found, 0.03)
    found.pivots = (
        sideways("spot", ("thickness",), dice.choice(SPOT_TITLES), statistics=True),
        sideways("panel", ("thickness",), "{}"),
    )
    found.statistics_of = ("thickness",) if len(groups) == 1 else ()
    found.distractors = passed_over(maker, ("Probe", "magnetic"), ("Standard", "ISO 2808"))
    found.traits = [f"coat {coats}", f"unit {fields['thickness'].unit}"]
    found.traits += [] if gauge.numbered else ["not numbered"]
    return found
