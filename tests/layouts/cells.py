"""What stands in a cell before it is decided how it is written."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from random import Random


@dataclass(frozen=True)
class Number:
    """A number as printed, with a decimal point; `unit` if it is written into the cell."""

    text: str
    unit: str = ""

    @property
    def value(self) -> float:
        """What it says."""
        return float(self.text)


@dataclass(frozen=True)
class Moment:
    """A local time: date and clock, or one of both."""

    at: datetime
    part: str = "both"  # both, date, clock


@dataclass(frozen=True)
class Text:
    """Words; ids and notations too."""

    text: str


@dataclass(frozen=True)
class Complex:
    """A complex number in one cell."""

    real: Number
    imag: Number
    letter: str


Cell = Number | Moment | Text | Complex | None


@dataclass(frozen=True)
class Unit:
    """A unit: its spellings, and what one of it is in the unit of the kind.

    `customary` units may go without saying.
    """

    spellings: tuple[str, ...]
    factor: float
    customary: bool = False
    offset: float = 0.0

    def of(self, value: float) -> float:
        """Return a value of the kind's unit in this one."""
        return (value - self.offset) / self.factor

    def back(self, number: Number) -> float:
        """Return what is printed in this unit in the unit of the kind."""
        return number.value * self.factor + self.offset


def fixed(value: float, decimals: int) -> Number:
    """Print with so many decimals."""
    return Number(f"{value:.{decimals}f}")


def scientific(value: float, decimals: int, letter: str = "E") -> Number:
    """Print as 1.234E+05."""
    return Number(f"{value:.{decimals}e}".replace("e", letter))


def significant(value: float, digits: int) -> Number:
    """Print with so many significant digits and no exponent."""
    if value == 0:
        return Number("0")
    exponent = int(f"{value:.{digits - 1}e}".partition("e")[2])
    return fixed(value, max(digits - 1 - exponent, 0))


def whole(value: float) -> Number:
    """Print without decimals."""
    return fixed(value, 0)


def near(dice: Random, value: float, relative: float) -> float:
    """Return a value that scatters around another."""
    return value * (1 + relative * max(-2.5, min(2.5, dice.gauss(0, 1))))
