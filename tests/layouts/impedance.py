"""Spectra of coated panels: films of resistance and constant-phase element, in every form."""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass
from datetime import timedelta
from random import Random
from typing import Any

from . import units
from .case import About
from .cells import Cell, Complex, Number, Text, Unit, fixed, near, scientific, significant
from .common import (
    hours_or_days,
    ids_of,
    measured_field,
    moment_of,
    panel_cells,
    panel_fields,
    passed_over,
    some_panels,
    truth_of,
)
from .draft import Draft, Field, Group, Maker, Pivot
from .register import Panel

FORMS = (
    "parts",
    "parts",
    "parts minus",
    "parts minus",
    "polar",
    "polar",
    "polar minus",
    "polar rad",
    "all",
    "all minus",
    "logs",
    "admittance",
    "complex",
)


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


class Form:
    """How the points of a spectrum are written: fields, and cells with their truth."""

    def __init__(self, maker: Maker, area_cm2: float) -> None:
        self.dice = maker.dice
        self.area = area_cm2
        self.name = maker.dice.choice(FORMS)
        base, _, sign = self.name.partition(" ")
        self.base, self.sign = base, -1 if sign == "minus" else 1
        self.omega = base in {"parts", "polar"} and maker.chance(0.08)
        self.specific = base not in {"logs", "admittance"} and maker.chance(0.08)
        self.digits = maker.dice.choice((4, 5, 6))
        self.exponents = maker.chance(0.7)
        self.letter = maker.dice.choice("EEe")
        self.frequency_unit = maker.dice.choice((*units.FREQUENCY[:1] * 4, units.FREQUENCY[1]))
        if self.omega:
            self.frequency_unit = units.OMEGA[0]
        self.unit = self._unit(maker)
        self.phase_unit = units.RADIANS if sign == "rad" else units.DEGREES
        self.fields = self._fields(maker)

    def _unit(self, maker: Maker) -> Unit:
        if self.base == "logs":
            return units.IMPEDANCE[0]
        if self.base == "admittance":
            return maker.dice.choice(units.ADMITTANCE)
        if self.specific:
            return maker.dice.choice(units.AREA_SPECIFIC)
        return maker.dice.choice((*units.IMPEDANCE, *units.IMPEDANCE[:1] * 3))

    def _fields(self, maker: Maker) -> dict[str, Field]:
        minus = "_minus" if self.sign < 0 else ""
        found = {}
        if self.base == "logs":
            found["frequency"] = maker.field("impedance.log_frequency", self.frequency_unit)
        elif self.omega:
            found["frequency"] = maker.field("impedance.omega", self.frequency_unit)
        else:
            found["frequency"] = maker.field("impedance.frequency", self.frequency_unit)
        if self.frequency_unit is units.FREQUENCY[1] and self.base == "logs":
            self.frequency_unit = units.FREQUENCY[0]
            found["frequency"].unit = "Hz"
        if self.base == "logs":
            found["frequency"].unit = maker.dice.choice(("Hz", "Hz", ""))
            found["modulus"] = maker.field("impedance.log_modulus", self.unit)
            found["modulus"].unit = maker.dice.choice((found["modulus"].unit, ""))
        if self.base in {"parts", "all"}:
            spelled = maker.dice.choice(self.unit.spellings)
            found["real"] = maker.field("impedance.z_real", self.unit)
            found["imag"] = maker.field(f"impedance.z_imag{minus}", self.unit)
            found["real"].unit = found["imag"].unit = spelled
        if self.base in {"polar", "all"}:
            found["modulus"] = maker.field("impedance.modulus", self.unit)
            if self.base == "all":
                found["modulus"].unit = found["real"].unit
        if self.base in {"polar", "all", "logs"}:
            found["phase"] = maker.field(f"impedance.phase{minus}", self.phase_unit)
        if self.base == "admittance":
            found["real"] = maker.field("impedance.y_real", self.unit)
            found["imag"] = maker.field("impedance.y_imag", self.unit)
            found["imag"].unit = found["real"].unit
        if self.base == "complex":
            found["z"] = maker.field("impedance.complex", self.unit)
        if self.base == "parts" and maker.chance(0.3):
            self._matching_titles(found, minus)
        return found

    @staticmethod
    def _matching_titles(found: dict[str, Field], minus: str) -> None:
        found["real"].title = "Z'"
        found["imag"].title = "-Z''" if minus else "Z''"

    def _print(self, value: float) -> Number:
        if self.exponents or not 1e-3 < abs(value) < 1e7:
            return scientific(value, self.digits - 1, self.letter)
        return significant(value, self.digits)

    def cells(self, frequency_hz: float, z: complex) -> tuple[dict[str, Cell], dict[str, Any]]:
        """Return the cells of a point and what they say."""
        cells: dict[str, Cell] = {}
        if self.base == "logs":
            cells["frequency"] = log_f = fixed(math.log10(frequency_hz), 4)
            frequency = 10**log_f.value
        else:
            shown = frequency_hz * (2 * math.pi if self.omega else 1)
            cells["frequency"] = number = self._print(self.frequency_unit.of(shown))
            frequency = self.frequency_unit.back(number) / (2 * math.pi if self.omega else 1)
        said = getattr(self, f"_{self.base}")(cells, z)
        real, imag = (said.real, said.imag)
        truth: dict[str, Any] = {"frequency_hz": frequency, "z_real_ohm": real, "z_imag_ohm": imag}
        if self.base == "all":
            within = abs(said) * (0.5 * 10.0 ** (1 - self.digits) + 1.5 * math.radians(0.005))
            truth["z_real_ohm"] = About(real, within)
            truth["z_imag_ohm"] = About(imag, within)
        return cells, truth

    def _back(self, value: float) -> float:
        return value * self.unit.factor / (self.area if self.specific else 1)

    def _shown(self, value: float) -> Number:
        return self._print(value * (self.area if self.specific else 1) / self.unit.factor)

    def _parts(self, cells: dict[str, Cell], z: complex) -> complex:
        cells["real"] = real = self._shown(z.real)
        cells["imag"] = imag = self._shown(self.sign * z.imag)
        return complex(self._back(real.value), self.sign * self._back(imag.value))

    def _polar(self, cells: dict[str, Cell], z: complex) -> complex:
        cells["modulus"] = modulus = self._shown(abs(z))
        cells["phase"], phase = self._phase(z)
        return cmath.rect(self._back(modulus.value), phase)

    def _phase(self, z: complex) -> tuple[Number, float]:
        radians = self.sign * cmath.phase(z)
        if self.phase_unit is units.RADIANS:
            number = fixed(radians, 5)
            return number, self.sign * number.value
        number = fixed(math.degrees(radians), 2)
        return number, self.sign * math.radians(number.value)

    def _all(self, cells: dict[str, Cell], z: complex) -> complex:
        said = self._parts(cells, z)
        self._polar(cells, z)
        return said

    def _logs(self, cells: dict[str, Cell], z: complex) -> complex:
        cells["modulus"] = log_z = fixed(math.log10(abs(z)), 4)
        cells["phase"], phase = self._phase(z)
        return cmath.rect(10**log_z.value, phase)

    def _admittance(self, cells: dict[str, Cell], z: complex) -> complex:
        y = 1 / z / self.unit.factor
        cells["real"] = real = scientific(y.real, self.digits - 1, self.letter)
        cells["imag"] = imag = scientific(y.imag, self.digits - 1, self.letter)
        return 1 / (complex(real.value, imag.value) * self.unit.factor)

    def _complex(self, cells: dict[str, Cell], z: complex) -> complex:
        real, imag = self._shown(z.real), self._shown(z.imag)
        cells["z"] = Complex(real, imag, "j" if self.letter == "E" else "i")
        return complex(self._back(real.value), self._back(imag.value))


def draft(dice: Random, language: str) -> Draft:
    """Draw spectra."""
    maker = Maker(dice, language)
    area = dice.choice((1.0, 5.31, 7.07, 10.2, 12.57, 14.6, 19.6))
    form = Form(maker, area)
    many = dice.choice((1, 1, 1, 1, 2, 3))
    one_panel = many > 1 and maker.chance(0.5)
    panels = some_panels(dice, 1) * many if one_panel else some_panels(dice, many)
    hours = [
        float(h) for h in sorted(dice.sample((1, 4, 24, 48, 72, 168, 240, 336, 504, 1008), many))
    ]
    if not one_panel and maker.chance(0.6):
        hours = [hours[0]] * many
    exposure_unit, _ = hours_or_days(maker, max(hours, key=lambda h: h % 24))
    area_unit = dice.choice((*units.AREA[:1] * 3, units.AREA[1]))
    thickness_unit = dice.choice(units.THICKNESS)
    fields = panel_fields(maker)
    fields["exposure"] = maker.field("impedance.exposure", exposure_unit)
    fields["area"] = maker.field("impedance.area", area_unit)
    clock = maker.chance(0.8)
    if maker.chance(0.5):
        fields["thickness"] = maker.field("impedance.thickness", thickness_unit)
        fields["thickness"].bare = False
    if maker.chance(0.5):
        fields["measured"] = measured_field(maker, clock=clock)
    if maker.chance(0.1):
        fields["spot"] = maker.field("impedance.spot")
    fields |= form.fields
    sweep = frequencies(dice)
    groups, truth = [], []
    for panel, exposure in zip(panels, hours, strict=True):
        constants, common = _constants(
            maker, panel, exposure, fields, (area_unit, area), exposure_unit, thickness_unit, clock
        )
        film = draw_film(dice, area)
        rows = []
        for frequency in sweep:
            noise = 1 + 0.002 * max(-2.5, min(2.5, dice.gauss(0, 1)))
            cells, said = form.cells(frequency, film.at(frequency) * noise)
            rows.append(cells)
            truth.append({**common, **said})
        groups.append(Group(constants, rows))
    shapes = ("flat", "blocks", "sheets")
    found = Draft("impedance", "impedance", language, fields, groups, truth, shapes, "panel")
    found.distractors = passed_over(
        maker, ("Amplitude", "20 mV"), ("Electrolyte", "NaCl 3.5 %"), ("Points per decade", "5")
    )
    found.traits = [f"form {form.name}", f"unit {fields[next(iter(form.fields))].unit}"]
    found.traits += ["omega"] * form.omega + ["ohm cm2"] * form.specific
    _extra_columns(maker, found)
    if len({panel.id for panel in panels}) == many and "index" not in found.fields:
        values = tuple(key for key in form.fields if key != "frequency")
        found.pivots = (Pivot("panel", values, _beside, over=False),)
        found.shapes += ("wide",)
    return found


def _beside(panel: Cell, field: Field) -> str:
    """Write the title of a panel's column beside those of other panels."""
    assert isinstance(panel, Text)
    return f"{panel.text} {field.title}"


def _constants(
    maker: Maker,
    panel: Panel,
    hours: float,
    fields: dict[str, Field],
    area: tuple[Unit, float],
    exposure_unit: Unit,
    thickness_unit: Unit,
    clock: bool,
) -> tuple[dict[str, Cell], dict[str, Any]]:
    """Return what is the same for a sweep, and what it says."""
    cells = panel_cells(panel, fields)
    truth = ids_of(panel)
    exposure = fixed(exposure_unit.of(hours), 0)
    area_number = significant(area[0].of(area[1]), 4)
    cells |= {"exposure": exposure, "area": area_number}
    truth |= {"exposure_h": exposure_unit.back(exposure), "area_cm2": area[0].back(area_number)}
    if "thickness" in fields:
        decimals = {1: 0, 25.4: 1, 1000: 3}[thickness_unit.factor]
        number = fixed(thickness_unit.of(panel.thickness_um), decimals)
        cells["thickness"] = number
        truth["thickness_um"] = thickness_unit.back(number)
    if "measured" in fields:
        at = panel.immersed_at + timedelta(hours=hours)
        moment = moment_of(at.replace(minute=maker.dice.randrange(60)), clock=clock)
        cells["measured"] = moment
        truth |= truth_of(moment)
    if "spot" in fields:
        spot = maker.dice.choice(("A", "B", "left", "right"))
        cells["spot"] = Text(spot)
        truth["spot"] = spot
    return cells, truth


def _extra_columns(maker: Maker, draft: Draft) -> None:
    """Perhaps add the number of the point or the time of the sweep."""
    if maker.chance(0.15):
        draft.fields = {"index": maker.field("other.index"), **draft.fields}
        for group in draft.groups:
            for n, row in enumerate(group.rows, 1):
                row["index"] = Number(str(n))
        draft.traits.append("index")
    elif maker.chance(0.05):
        draft.fields["sweep_time"] = maker.field("impedance.sweep_time", units.SECONDS)
        for group in draft.groups:
            for n, row in enumerate(group.rows):
                row["sweep_time"] = fixed(3.2 + 7.4 * n, 1)
        draft.traits.append("sweep time")
