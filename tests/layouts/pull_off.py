"""Pull-off tests of panels: force or strength of each dolly, and where the film failed."""

from __future__ import annotations

import math
from dataclasses import dataclass
from random import Random
from typing import Any

from . import units
from .cells import Cell, Number, Text, Unit, fixed, near, significant
from .common import (
    Stamp,
    ids_of,
    panel_cells,
    panel_fields,
    passed_over,
    remark_column,
    some_panels,
)
from .draft import Draft, Field, Group, Maker
from .register import later

PLACES = ("B", "B/C", "C", "-/Y", "Y")
DIAMETERS_MM = (14.0, 20.0, 20.0, 20.0, 50.0, 19.9)
Row = tuple[dict[str, Cell], dict[str, Any]]


@dataclass
class Gauge:
    """How strengths are written in one file."""

    maker: Maker

    def __post_init__(self) -> None:
        """Choose units and fields."""
        dice = self.maker.dice
        self.said_in = dice.choice(("strength", "strength", "strength", "force", "both"))
        self.dolly_unit: Unit = dice.choice(units.DOLLY)
        self.dolly = significant(self.dolly_unit.of(dice.choice(DIAMETERS_MM)), 3)
        self.force_unit: Unit = dice.choice((*units.FORCE[:1] * 2, *units.FORCE))
        self.strength_unit: Unit = dice.choice((*units.STRENGTH[:1] * 2, *units.STRENGTH))
        self.fields = {"dolly": self.maker.field("pull_off.dolly", self.dolly_unit)}
        if self.said_in in {"force", "both"}:
            self.fields["force"] = self.maker.field("pull_off.force", self.force_unit)
        if self.said_in in {"strength", "both"}:
            self.fields["strength"] = self.maker.field("pull_off.strength", self.strength_unit)

    def reading(self, strength_mpa: float) -> Row:
        """Return what is printed of a strength, and what it says."""
        diameter = self.dolly_unit.back(self.dolly)
        area = math.pi * diameter**2 / 4
        row: dict[str, Cell] = {}
        said: dict[str, Any] = {"dolly_diameter_mm": diameter}
        if "force" in self.fields:
            row["force"] = force = significant(self.force_unit.of(strength_mpa * area), 4)
            said["force_n"] = self.force_unit.back(force)
        if "strength" in self.fields:
            row["strength"] = strength = significant(self.strength_unit.of(strength_mpa), 3)
            said["strength_mpa"] = self.strength_unit.back(strength)
        said.setdefault("force_n", said.get("strength_mpa", 0.0) * area)
        said.setdefault("strength_mpa", said["force_n"] / area)
        return row, said


@dataclass
class Failures:
    """How failures are written in one file: in the notation, or a column for each place."""

    maker: Maker

    def __post_init__(self) -> None:
        """Choose the way, and its fields."""
        dice = self.maker.dice
        self.over_columns = self.maker.chance(0.12)
        self._notation = dice.choice(("{:g} % {}", "{:g}% {}", "{:g} % {}"))
        self._joint = dice.choice((", ", "; "))
        self.fields = {f"share {place}": Field(place, "%") for place in PLACES}
        if not self.over_columns:
            self.fields = {"failure": self.maker.field("pull_off.failure")}

    def failure(self) -> Row:
        """Return where a film failed, as it is written, and what that says."""
        dice = self.maker.dice
        pattern = {dice.choice(PLACES): 100.0}
        if self.maker.chance(0.6):
            first, second = sorted(dice.sample(PLACES, 2), key=PLACES.index)
            share = 5.0 * dice.randint(1, 19)
            pattern = {first: share, second: 100 - share}
        said = ", ".join(f"{share:g} % {place}" for place, share in pattern.items())
        if self.over_columns:
            row: dict[str, Cell] = {
                f"share {place}": fixed(pattern.get(place, 0), 0) for place in PLACES
            }
            return row, {"failure": said}
        text = self._joint.join(self._notation.format(s, place) for place, s in pattern.items())
        if len(pattern) == 1 and self.maker.chance(0.5):
            text = next(iter(pattern))
        return {"failure": Text(text)}, {"failure": said}


def draft(dice: Random, language: str) -> Draft:
    """Draw determinations of one panel or of several."""
    maker = Maker(dice, language)
    panels = some_panels(dice, dice.choice((1, 1, 2, 3, 4)))
    fields = panel_fields(maker)
    stamp = Stamp.put_into(fields, maker, clock=0.6)
    numbered = maker.chance(0.9)
    if numbered:
        fields["determination"] = maker.field("pull_off.determination")
    gauge, failures = Gauge(maker), Failures(maker)
    fields |= gauge.fields | failures.fields
    groups, truth = [], []
    for panel in panels:
        at = later(dice, panel.immersed_at, 5, 40)
        constants = {**panel_cells(panel, fields), **stamp.cells(at), "dolly": gauge.dolly}
        level = dice.uniform(4, 11)
        rows = []
        for n in range(1, dice.choice((3, 5, 6)) + 1):
            (printed, strength), (written, failure) = (
                gauge.reading(near(dice, level, 0.08)),
                failures.failure(),
            )
            rows.append(({"determination": Number(str(n))} if numbered else {}) | printed | written)
            said = {"determination": float(n), **ids_of(panel), **stamp.truth(at)}
            truth.append(said | strength | failure)
        groups.append(Group(constants, rows))
    shapes = ("flat", "blocks", "sheets", *(("flat", "records", "transposed") if numbered else ()))
    found = Draft("pull_off", "pull_off", language, fields, groups, truth, shapes, "panel")
    remark_column(maker, found)
    found.statistics_of = ("force", "strength") if len(panels) == 1 else ()
    found.distractors = passed_over(maker, ("Adhesive", "two-pack epoxy"), ("Standard", "ISO 4624"))
    found.traits = [f"said in {gauge.said_in}", f"dolly {fields['dolly'].unit}"]
    found.traits += ["shares over columns"] if failures.over_columns else []
    found.traits += [] if numbered else ["not numbered"]
    return found
