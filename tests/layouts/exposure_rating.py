"""Ratings of exposed panels: one property a row, all side by side, or widths along the scribe."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import timedelta
from random import Random
from typing import Any

from . import units
from .cells import Cell, Number, Text, Unit, fixed
from .common import (
    Stamp,
    ids_of,
    panel_cells,
    panel_fields,
    passed_over,
    some_panels,
)
from .draft import Draft, Group, Maker
from .register import Panel
from .words import word

EXPOSURES = (
    "neutral salt spray",
    "neutral salt spray",
    "neutral salt spray",
    "condensation",
    "immersion",
    "outdoor",
)
DEFECTS = ("blisters", "cracking", "flaking")
SCRIBE = ("scribe delamination", "scribe corrosion")
SAYS_HOURS = ("Hours", "Stunden")  # titles that are a unit
AREAS = (0, 0.05, 0.3, 0.8, 2, 6, 15)
Said = list[dict[str, Any]]


def draft(dice: Random, language: str) -> Draft:
    """Draw inspections of one panel or of several."""
    maker = Maker(dice, language)
    way = dice.choice(("long", "side by side", "side by side", "scribe", "scribe", "area"))
    panels = some_panels(dice, dice.choice((1, 2, 3, 4)))
    hours = sorted(dice.sample((120, 240, 480, 720, 1008, 1440), dice.choice((1, 1, 2, 3))))
    in_days = all(h % 24 == 0 for h in hours) and maker.chance(0.2)
    hour_words = units.DAY_WORDS if in_days else units.HOUR_WORDS
    unit = Unit(hour_words[language], 24 if in_days else 1)
    exposure = dice.choice(EXPOSURES)
    fields = panel_fields(maker)
    stamp = Stamp.put_into(fields, maker, stated=0.4, clock=0.3)
    fields["exposure"] = maker.field("rating.exposure")
    fields["hours"] = maker.field("rating.hours", unit)
    if fields["hours"].title in SAYS_HOURS:
        fields["hours"] = replace(fields["hours"], unit="")
        unit = Unit(("h",), 1)
    written = Text(word(dice, f"exposures.{exposure}", language))
    rate = WAYS[way](maker, fields)
    groups, truth = [], []
    for panel in panels:
        for elapsed in hours:
            constants = panel_cells(panel, fields)
            at = panel.immersed_at + timedelta(hours=elapsed)
            at = at.replace(minute=dice.randrange(60))
            number = fixed(unit.of(elapsed), 0)
            constants |= {**stamp.cells(at), "exposure": written, "hours": number}
            rows, said = rate(panel, elapsed)
            groups.append(Group(constants, rows))
            common = {"exposure": exposure, "exposure_h": unit.back(number), **ids_of(panel)}
            truth += [one | common | stamp.truth(at) for one in said]
    shapes = ("flat", "flat", "blocks", "sheets")
    found = Draft(
        "exposure_rating", "exposure_rating", language, fields, groups, truth, shapes, "panel"
    )
    if way in {"side by side", "area"}:
        found.shapes += ("records", "transposed")
    found.distractors = passed_over(maker, ("Standard", "ISO 4628"), ("Rack", "B"))
    found.traits = [f"way {way}", f"unit {fields['hours'].unit}"]
    return found


@dataclass
class Worsening:
    """Ratings of panels that get no better from one inspection to the next."""

    dice: Random
    worst: dict[tuple[str, str], int] = field(default_factory=dict)

    def step(self, panel: Panel, what: str, steps: int) -> int:
        """Return how far this panel has come, of so many steps."""
        before = self.worst.get((panel.id, what), 0)
        now = min(steps, before + self.dice.choice((0, 0, 1, 1, 2)))
        self.worst[panel.id, what] = now
        return now

    def rated(self, panel: Panel, rated: str) -> tuple[str, dict[str, Any]]:
        """Return a rating as ISO 4628 writes it, and what it says."""
        grade = self.step(panel, rated, 5)
        said: dict[str, Any] = {"property": rated, "reading": 1.0, "grade": float(grade)}
        if rated == "rust":
            text = self.dice.choice((f"Ri {grade}", f"Ri {grade}", f"Ri{grade}"))
            return text, {**said, "rating": f"Ri {grade}"}
        size = min(5, grade + 1) if grade else 0
        rating = f"{grade}(S{size})"
        text = self.dice.choice(("0", rating)) if not grade else rating
        return text, {**said, "rating": rating, "size": float(size)}


Rate = Callable[[Panel, float], tuple[list[dict[str, Cell]], Said]]


def _long(maker: Maker, fields: dict[str, Any]) -> Rate:
    """A row for each property."""
    dice = maker.dice
    fields["property"] = maker.field("rating.property")
    fields["rating"] = maker.field("rating.rating")
    rated = ["rust", *dice.sample(DEFECTS, dice.randint(1, 3))]
    worsening = Worsening(dice)
    names = {one: word(dice, f"property.{one}", maker.language) for one in rated}

    def rate(panel: Panel, elapsed: float) -> tuple[list[dict[str, Cell]], Said]:
        rows: list[dict[str, Cell]] = []
        every: Said = []
        for one in rated:
            text, said = worsening.rated(panel, one)
            rows.append({"property": Text(names[one]), "rating": Text(text)})
            every.append(said)
        return rows, every

    return rate


def _side_by_side(maker: Maker, fields: dict[str, Any]) -> Rate:
    """A column for each property."""
    dice = maker.dice
    rated = ["rust", *dice.sample(DEFECTS, dice.randint(1, 3))]
    worsening = Worsening(dice)
    for one in rated:
        fields[one] = maker.field(f"property.{one}")

    def rate(panel: Panel, elapsed: float) -> tuple[list[dict[str, Cell]], Said]:
        row: dict[str, Cell] = {}
        every: Said = []
        for one in rated:
            text, said = worsening.rated(panel, one)
            row[one] = Text(text)
            every.append(said)
        return [row], every

    return rate


def _scribe(maker: Maker, fields: dict[str, Any]) -> Rate:
    """Widths along the scribe, or the creep itself; a row for each reading."""
    dice = maker.dice
    rated = dice.choice(SCRIBE)
    fields["property"] = maker.field("rating.property")
    fields["reading"] = maker.field("rating.reading")
    widths = maker.chance(0.6)
    if widths:
        fields["damage"] = maker.field("rating.damage_width", units.LENGTH[0])
        fields["scribe"] = maker.field("rating.scribe_width", units.LENGTH[0])
    else:
        fields["creep"] = maker.field("rating.creep", units.LENGTH[0])
    name = Text(word(dice, f"property.{rated}", maker.language))
    readings = dice.choice((1, 3, 5, 9))

    def rate(panel: Panel, elapsed: float) -> tuple[list[dict[str, Cell]], Said]:
        rows: list[dict[str, Cell]] = []
        every: Said = []
        for n in range(1, readings + 1):
            creep = elapsed / 240 * dice.uniform(0.3, 1)
            row: dict[str, Cell] = {"property": name, "reading": Number(str(n))}
            said: dict[str, Any] = {"property": rated, "reading": float(n)}
            if widths:
                row["damage"] = damage = fixed(2 * creep + 0.5, 1)
                row["scribe"] = scribe = fixed(0.5, 1)
                said |= {"damage_width_mm": damage.value, "scribe_width_mm": scribe.value}
                said["creep_mm"] = (damage.value - scribe.value) / 2
            else:
                row["creep"] = number = fixed(creep, 1)
                said["creep_mm"] = number.value
            rows.append(row)
            every.append(said)
        return rows, every

    return rate


def _area(maker: Maker, fields: dict[str, Any]) -> Rate:
    """Rust by its area, or by the grade of ASTM D610."""
    dice = maker.dice
    graded = maker.chance(0.5)
    worsening = Worsening(dice)
    if graded:
        fields["d610"] = maker.field("rating.d610")
    else:
        fields["rusted"] = maker.field("rating.rusted_area", units.PLAIN_PERCENT, percent=True)

    def rate(panel: Panel, elapsed: float) -> tuple[list[dict[str, Cell]], Said]:
        said: dict[str, Any] = {"property": "rust", "reading": 1.0}
        if graded:
            grade = 10 - worsening.step(panel, "d610", 8)
            return [{"d610": Number(str(grade))}], [{**said, "d610_grade": float(grade)}]
        number = fixed(AREAS[worsening.step(panel, "area", len(AREAS) - 1)], 2)
        return [{"rusted": number}], [{**said, "area_percent": number.value}]

    return rate


WAYS: dict[str, Callable[[Maker, dict[str, Any]], Rate]] = {
    "long": _long,
    "side by side": _side_by_side,
    "scribe": _scribe,
    "area": _area,
}
