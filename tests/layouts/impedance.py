"""Spectra of coated panels: films of resistance and constant-phase element, in every form."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import timedelta
from random import Random
from typing import Any

from . import units
from .cells import Cell, Text, Unit, fixed, near, significant
from .common import (
    Stamp,
    hours_or_days,
    ids_of,
    index_column,
    panel_cells,
    panel_fields,
    passed_over,
    sideways,
    some_panels,
)
from .draft import Draft, Field, Group, Maker
from .register import Panel
from .spectrum_forms import Form

AREAS_CM2 = (1.0, 5.31, 7.07, 10.2, 12.57, 14.6, 19.6)
EXPOSURES_H = (1, 4, 24, 48, 72, 168, 240, 336, 504, 1008)


@dataclass(frozen=True)
class Film:
    """A film with a pore: electrolyte, then constant-phase element beside a resistance."""

    electrolyte_ohm: float
    film_ohm: float
    admittance: float
    exponent: float

    def at(self, frequency_hz: float) -> complex:
        """Return the impedance."""
        omega = 2 * math.pi * frequency_hz
        return self.electrolyte_ohm + 1 / (
            1 / self.film_ohm + self.admittance * (1j * omega) ** self.exponent
        )


def draw_film(dice: Random, area_cm2: float) -> Film:
    """Draw a film between good and failing."""
    return Film(
        near(dice, 300 / area_cm2 * 3, 0.2),
        10 ** dice.uniform(5, 9.5) / area_cm2,
        10 ** dice.uniform(-10.2, -9) * area_cm2,
        dice.uniform(0.86, 0.99),
    )


def frequencies(dice: Random) -> list[float]:
    """Return the frequencies of a sweep, from high to low mostly."""
    highest = dice.choice((1e5, 1e5, 5e4, 2e4, 1e6))
    decades = dice.choice((5, 6, 7))
    each = dice.choice((2, 3, 4, 5, 7))
    found = [highest * 10 ** (-n / each) for n in range(decades * each + 1)]
    return found if dice.random() < 0.8 else found[::-1]


@dataclass
class Setting:
    """What is the same for all sweeps of a file."""

    maker: Maker
    hours_h: tuple[float, ...]

    def __post_init__(self) -> None:
        """Choose units and fields."""
        maker, dice = self.maker, self.maker.dice
        self.area_cm2 = dice.choice(AREAS_CM2)
        self._exposure_unit, _ = hours_or_days(maker, max(self.hours_h, key=lambda h: h % 24))
        self._area_unit: Unit = dice.choice((*units.AREA[:1] * 3, units.AREA[1]))
        self._thickness_unit: Unit = dice.choice(units.THICKNESS)
        self.fields: dict[str, Field] = {
            "exposure": maker.field("impedance.exposure", self._exposure_unit),
            "area": maker.field("impedance.area", self._area_unit),
        }
        if maker.chance(0.5):
            self.fields["thickness"] = maker.field("impedance.thickness", self._thickness_unit)
            self.fields["thickness"].bare = False
        if maker.chance(0.1):
            self.fields["spot"] = maker.field("impedance.spot")

    def of_sweep(self, panel: Panel, hours: float) -> tuple[dict[str, Cell], dict[str, Any]]:
        """Return what stands above a sweep, and what it says."""
        exposure = fixed(self._exposure_unit.of(hours), 0)
        area = significant(self._area_unit.of(self.area_cm2), 4)
        cells: dict[str, Cell] = {"exposure": exposure, "area": area}
        truth: dict[str, Any] = {
            "exposure_h": self._exposure_unit.back(exposure),
            "area_cm2": self._area_unit.back(area),
        }
        if "thickness" in self.fields:
            unit = self._thickness_unit
            number = fixed(unit.of(panel.thickness_um), units.THICKNESS_DECIMALS[unit.factor])
            cells["thickness"], truth["thickness_um"] = number, unit.back(number)
        if "spot" in self.fields:
            truth["spot"] = self.maker.dice.choice(("A", "B", "left", "right"))
            cells["spot"] = Text(truth["spot"])
        return cells, truth


def _sweeps(maker: Maker) -> list[tuple[Panel, float]]:
    """Return panels with their exposures: of one panel at several, or of several at one."""
    dice = maker.dice
    many = dice.choice((1, 1, 1, 1, 2, 3))
    hours = [float(hour) for hour in sorted(dice.sample(EXPOSURES_H, many))]
    if many > 1 and maker.chance(0.5):
        panels = some_panels(dice, 1) * many
    else:
        panels = some_panels(dice, many)
        hours = [hours[0]] * many if maker.chance(0.6) else hours
    return list(zip(panels, hours, strict=True))


def draft(dice: Random, language: str) -> Draft:
    """Draw spectra."""
    maker = Maker(dice, language)
    sweeps = _sweeps(maker)
    fields = panel_fields(maker)
    stamp = Stamp.put_into(fields, maker, clock=0.8)
    setting = Setting(maker, tuple(hours for _, hours in sweeps))
    form = Form(maker, setting.area_cm2)
    fields |= setting.fields | form.fields
    swept = frequencies(dice)
    groups, truth = [], []
    for panel, hours in sweeps:
        at = panel.immersed_at + timedelta(hours=hours)
        at = at.replace(minute=dice.randrange(60))
        cells, said = setting.of_sweep(panel, hours)
        said |= ids_of(panel) | stamp.truth(at)
        film = draw_film(dice, setting.area_cm2)
        points = [form.cells(f, near(dice, 1, 0.002) * film.at(f)) for f in swept]
        constants = {**panel_cells(panel, fields), **stamp.cells(at), **cells}
        groups.append(Group(constants, [row for row, _ in points]))
        truth += [said | point for _, point in points]
    shapes = ("flat", "blocks", "sheets")
    found = Draft("impedance", "impedance", language, fields, groups, truth, shapes, "panel")
    found.distractors = passed_over(
        maker, ("Amplitude", "20 mV"), ("Electrolyte", "NaCl 3.5 %"), ("Points per decade", "5")
    )
    found.traits = [f"form {form.name}", f"unit {fields[next(iter(form.fields))].unit}"]
    found.traits += ["omega"] * form.omega + ["ohm cm2"] * form.specific
    if not index_column(maker, found, 0.15):
        _time_of_sweep(maker, found)
        values = tuple(key for key in form.fields if key != "frequency")
        found.pivots = (sideways("panel", values, "{} {title}"),)
        found.shapes += ("wide",)
    return found


def _time_of_sweep(maker: Maker, draft: Draft) -> None:
    """Perhaps add the time since the start of the sweep, which is no exposure."""
    if not maker.chance(0.05):
        return
    draft.fields["sweep_time"] = maker.field("impedance.sweep_time", units.SECONDS)
    for group in draft.groups:
        for n, row in enumerate(group.rows):
            row["sweep_time"] = fixed(3.2 + 7.4 * n, 1)
    draft.traits.append("sweep time")
