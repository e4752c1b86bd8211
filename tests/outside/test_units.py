"""Conversions against published factors and against pint's own unfiltered registry."""

from __future__ import annotations

import pint
import pytest

from tiecoat.dialect.units import convert

# NIST Special Publication 811, appendix B; psi, pound, gallon and mil with the digits of
# scipy.constants, poise and stokes by their definition in the centimetre-gram-second system
SP_811 = [
    ("psi", "kPa", 6.894757),
    ("lb/gal", "kg/m**3", 119.8264),  # pound per gallon (U.S.)
    ("mil", "um", 25.4),  # exact
    ("P", "Pa*s", 0.1),  # exact
    ("cP", "mPa*s", 1.0),  # exact
    ("St", "m**2/s", 1e-4),  # exact
    ("cSt", "mm**2/s", 1.0),  # exact
]

# By hand, from the prefixes and definitions of the SI and the inch of 25.4 mm
BY_HAND = [
    ("kOhm", "ohm", 1e3),
    ("MOhm", "ohm", 1e6),
    ("GOhm", "ohm", 1e9),
    ("Ohm m2", "ohm*cm**2", 1e4),
    ("kOhm cm2", "ohm*cm**2", 1e3),
    ("kHz", "Hz", 1e3),
    ("mHz", "Hz", 1e-3),
    ("1/min", "1/s", 1 / 60),
    ("mPa·s", "Pa*s", 1e-3),
    ("g/cm³", "kg/m**3", 1e3),
    ("g/ml", "g/cm**3", 1.0),
    ("kg/l", "g/cm**3", 1.0),
    ("kN", "N", 1e3),
    ("N/mm²", "MPa", 1.0),
    ("kPa", "MPa", 1e-3),
    ("µm", "mm", 1e-3),
    ("mil", "mm", 0.0254),
    ("mm²", "cm**2", 1e-2),
    ("inch", "mm", 25.4),
    ("nF", "F", 1e-9),
    ("h", "s", 3600.0),
    ("d", "h", 24.0),
    ("min", "s", 60.0),
]


@pytest.mark.parametrize(("unit", "to", "factor"), SP_811)
def test_published_factors(unit: str, to: str, factor: float) -> None:
    """Agreement in all seven published digits: within half a unit of the seventh."""
    assert convert([1.0], unit, to) == [pytest.approx(factor, rel=5e-7)]


@pytest.mark.parametrize(("unit", "to", "factor"), BY_HAND)
def test_factors_by_hand(unit: str, to: str, factor: float) -> None:
    """Agreement to the last digit but one."""
    assert convert([1.0, 2.5], unit, to) == pytest.approx([factor, 2.5 * factor], rel=4e-16)


@pytest.mark.parametrize(
    ("celsius", "fahrenheit", "kelvin"),
    [(-40.0, -40.0, 233.15), (0.0, 32.0, 273.15), (23.0, 73.4, 296.15), (100.0, 212.0, 373.15)],
)
def test_temperatures_have_an_offset(celsius: float, fahrenheit: float, kelvin: float) -> None:
    """By the definition of the scales; 23 °C is the laboratory standard atmosphere."""
    assert convert([celsius], "°C", "degF") == [pytest.approx(fahrenheit)]
    assert convert([fahrenheit], "°F", "degC") == [pytest.approx(celsius, abs=1e-12)]
    assert convert([celsius], "°C", "K") == [pytest.approx(kelvin)]
    assert convert([kelvin], "K", "degF") == [pytest.approx(fahrenheit, abs=1e-9)]


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    """The units that pint knows; it takes a while to learn them."""
    return pint.UnitRegistry()


@pytest.mark.parametrize(
    ("unit", "to", "pint_unit", "pint_to"),
    [
        ("psi", "MPa", "pound_force_per_square_inch", "megapascal"),
        ("lb/gal", "g/cm**3", "pound/US_liquid_gallon", "gram/centimeter**3"),
        ("mil", "um", "thou", "micrometer"),
        ("Ω·cm²", "ohm*m**2", "ohm*centimeter**2", "ohm*meter**2"),
        ("°", "rad", "degree", "radian"),
        ("cSt", "m**2/s", "centistokes", "meter**2/second"),
        ("lbf/in^2", "psi", "force_pound/inch**2", "psi"),
        ("ppm", "%", "ppm", "percent"),
    ],
)
def test_our_names_mean_what_pint_means(
    unit: str, to: str, pint_unit: str, pint_to: str, registry: pint.UnitRegistry
) -> None:
    """Against pint with ordinary floats and the long names, without our grammar."""
    expected = registry.Quantity(1.0, pint_unit).to(pint_to).magnitude
    assert convert([1.0], unit, to) == [pytest.approx(expected, rel=1e-14)]
