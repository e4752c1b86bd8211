"""How the points of a spectrum are written, and what that says."""

from __future__ import annotations

import cmath
import math
from typing import Any

from . import units
from .case import About
from .cells import Cell, Complex, Number, Unit, fixed, scientific, significant
from .draft import Field, Maker

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
        if base == "logs":
            self.frequency_unit = units.FREQUENCY[0]
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
        spelled = maker.dice.choice(self.unit.spellings)
        concepts = {
            "parts": {"real": "z_real", "imag": f"z_imag{minus}"},
            "polar": {"modulus": "modulus", "phase": f"phase{minus}"},
            "logs": {"modulus": "log_modulus", "phase": "phase"},
            "admittance": {"real": "y_real", "imag": "y_imag"},
            "complex": {"z": "complex"},
        }
        concepts["all"] = concepts["parts"] | concepts["polar"]
        found = {"frequency": maker.field(f"impedance.{self._frequency}", self.frequency_unit)}
        for key, concept in concepts[self.base].items():
            unit = self.phase_unit if key == "phase" else self.unit
            found[key] = maker.field(f"impedance.{concept}", unit)
            if key != "phase":
                found[key].unit = spelled
        if self.base == "logs":  # a logarithm is written without the unit as well
            for key in ("frequency", "modulus"):
                found[key].unit = maker.dice.choice((found[key].unit, ""))
        if self.base == "parts" and maker.chance(0.3):
            found["real"].title, found["imag"].title = "Z'", "-Z''" if minus else "Z''"
        return found

    @property
    def _frequency(self) -> str:
        if self.base == "logs":
            return "log_frequency"
        return "omega" if self.omega else "frequency"

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
