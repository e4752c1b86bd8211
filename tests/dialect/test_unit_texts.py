"""Units as headers write them."""

from __future__ import annotations

import subprocess
import sys
from decimal import Decimal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.dialect.units import convert, plain_unit, scale, understand
from tiecoat.errors import FileHeld
from tiecoat.reasons import Reason

SAME = [
    ["ohm", "Ohm", "Ω", "\u2126", "OHM", "ohms", "[Ohm]", "(Ω)"],
    ["kOhm", "kohm", "kΩ", "k\u2126"],
    ["Ohm cm2", "Ω·cm²", "ohm*cm^2", "Ohm.cm2", "Ω cm²", "ohm*cm**2", "Ohm⋅cm²", "ohm × cm²"],
    ["mPa·s", "mPas", "mPa s", "mPa*s"],
    ["Pa s", "Pas", "Pa·s"],
    ["g/cm³", "g/cm3", "g / cm³", "g/cm^3", "g/cm**3"],
    ["kg/m³", "kg/m3"],
    ["lb/gal", "lbs/gal"],
    ["µm", "\u03bcm", "um", "micron", "microns"],
    ["°C", "degC", "℃", "° C"],
    ["s-1", "s^-1", "s⁻¹"],
    ["N/mm²", "N/mm2"],
    ["min", "minutes", "min."],
    ["deg", "°", "degrees"],
    ["%", "percent", "[%]"],
    ["", "-", "[-]", "1", "GU"],
]


@pytest.mark.parametrize("texts", SAME, ids=[texts[0] or "none" for texts in SAME])
def test_one_unit_is_known_in_all_its_ways_to_be_written(texts: list[str]) -> None:
    """Superscripts, dots, stars, micro and ohm signs do not matter; nothing is asked of pint."""
    assert len({plain_unit(text) for text in texts}) == 1
    assert plain_unit(texts[0]) is not None


def test_the_case_of_a_prefix_matters() -> None:
    """mOhm and MOhm, mPa and MPa are a thousand million apart."""
    assert plain_unit("mOhm") == "milliohm"
    assert plain_unit("MOhm") == "megaohm"
    assert convert([1.0], "MPa", "Pa") == [1e6]
    assert convert([1.0], "mPa", "Pa") == [1e-3]


@pytest.mark.parametrize("text", ["Remark", "RB-014", "bath 2", "B/C", "as mixed", "g/cm/s", "?"])
def test_words_are_no_units(text: str) -> None:
    """Cells of a table are not taken for a row of units."""
    assert plain_unit(text) is None


@pytest.mark.parametrize(
    ("values", "unit", "to", "expected"),
    [
        ([81200.0], "mPa·s", "Pa*s", [81.2]),
        ([8.12], "mPa·s", "Pa*s", [0.00812]),
        ([1.3912], "g/ml", "g/cm**3", [1.3912]),
        ([1391.2], "kg/m³", "g/cm**3", [1.3912]),
        ([1.482], "kN", "N", [1482.0]),
        ([182.0], "µm", "mm", [0.182]),
        ([7.2], "mil", "um", [182.88]),
        ([2.038, 4.35, -0.29], "kN", "N", [2038.0, 4350.0, -290.0]),  # 4.35 * 1000 is no 4350
        ([0.1, 0.7], "d", "h", [2.4, 16.8]),
        ([1.1, 2.3, 16.1], "kOhm", "ohm", [1100.0, 2300.0, 16100.0]),
        ([230.0], "kgf", "N", [2255.5295]),
        ([1e308, float("inf")], "km", "mm", [float("inf"), float("inf")]),
        ([212.0, 32.0], "°F", "degC", [100.0, 0.0]),
        ([23.0], "C", "degC", [23.0]),
        ([0.0], "K", "degC", [-273.15]),
        ([180.0], "°", "rad", [3.141592653589793]),
        ([2500.0], "ppm", "percent", [0.25]),
        ([85.0], "GU", "", [85.0]),
        ([2.0], "d", "h", [48.0]),
        ([10.0], "1/s", "s^-1", [10.0]),
        ([1.0], "kΩ·cm²", "ohm*cm**2", [1000.0]),
        ([250.0], "pF", "nF", [0.25]),
    ],
)
def test_values_are_converted(
    values: list[float], unit: str, to: str, expected: list[float]
) -> None:
    """Powers of ten are exact to the last digit; the rest to rounding."""
    assert convert(values, unit, to) == pytest.approx(expected, rel=1e-15, abs=1e-12)


@pytest.mark.parametrize(
    ("unit", "to"),
    [
        ("Ohm", "ohm*cm**2"),
        ("Ohm cm2", "ohm"),
        ("g/cm³", "Pa*s"),
        ("St", "Pa*s"),
        ("%", "deg"),
        ("deg", ""),
        ("%", ""),
        ("ppm", ""),
        ("", "percent"),
        ("-", "%"),
        ("GU", "percent"),
        ("vol%", "percent"),
        ("rad/s", "Hz"),
        ("rpm", "1/s"),
        ("MPa", "N"),
        ("banana", "N"),
        ("°C", "1/s"),
    ],
)
def test_a_unit_that_does_not_fit_is_held_with_both_units(unit: str, to: str) -> None:
    """Ohm is not ohm cm2; an angle is no share; 85 % is neither 85 nor 0.85; vol% is not wt%."""
    assert scale(unit, to) is None
    with pytest.raises(FileHeld) as caught:
        convert([1.0], unit, to)
    assert caught.value.reason is Reason.UNKNOWN_UNIT
    assert caught.value.faults[0].found == unit
    assert (to.replace("percent", "%") or "a plain number") in str(caught.value.faults[0].expected)


def test_what_headers_rarely_say_is_asked_of_pint() -> None:
    """pint knows lbf/furlong^2; nobody needs to list it."""
    assert plain_unit("lbf/furlong^2") is None
    assert understand("lbf/furlong^2") is not None
    assert convert([7920.0**2], "lbf/furlong^2", "psi") == pytest.approx([1.0], rel=1e-5)


@pytest.mark.parametrize(
    ("text", "pint_would_read"),
    [
        ("?m", "a metre, where a micrometre was meant"),
        ("% µm", "a hundredth of a micrometre"),
        ("m" + "*m" * 30, "a power of 31"),
        ("shakes", "30 of them by hand as 0.3 microseconds"),
    ],
)
def test_what_no_header_can_mean_is_not_asked_of_pint(text: str, pint_would_read: str) -> None:
    """pint passes over signs that it does not know and reads texts of any length: we do not."""
    assert pint.UnitRegistry().parse_units(text) is not None, pint_would_read
    assert understand(text) is None
    assert scale(text, "um") is None


def test_a_unit_may_be_as_long_as_a_header() -> None:
    """60 characters are read; what is longer is no unit."""
    for text, unit in (
        ("m*m", "meter*meter"),  # of our own grammar
        ("lbf/in^2", understand("lbf/in^2")),  # asked of pint
    ):
        assert understand(text.ljust(60)) == unit is not None
        assert understand(text.ljust(61)) is None


@given(st.text(max_size=12))
def test_any_text_is_a_unit_or_none(text: str) -> None:
    """No text raises."""
    plain_unit(text)
    assert understand(text) is None or scale(text, text) is not None


def test_equal_units_and_plain_units_load_no_pint() -> None:
    """A file in the units of its kind costs no second of start-up."""
    code = (
        "import sys; from tiecoat.dialect.units import scale, plain_unit;"
        "scale('Ohm', 'ohm'); plain_unit('mPa·s'); sys.exit('pint' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


@given(
    digits=st.integers(-(10**12), 10**12),
    places=st.integers(0, 9),
    units=st.sampled_from([("kN", "N", 3), ("mPa·s", "Pa*s", -3), ("GOhm", "ohm", 9)]),
)
def test_powers_of_ten_only_shift_the_point(
    digits: int, places: int, units: tuple[str, str, int]
) -> None:
    """What is written with so many digits is filed with the same ones, and comes back by them."""
    unit, to, power = units
    written = Decimal(digits).scaleb(-places)
    (filed,) = convert([float(written)], unit, to)
    assert filed == float(written.scaleb(power))
    assert convert([filed], to, unit) == [float(written)]
