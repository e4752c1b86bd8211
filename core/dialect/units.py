"""Units as headers write them, and the way into the units of a kind.

A small grammar of our own reads what headers say (mPa·s, Ohm cm2, g/cm³, s-1); what it does not
know is asked of pint, which also does all converting, in exact fractions. pint is loaded when the
first unit differs from the one that is wanted.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache, lru_cache
from typing import Any

from tiecoat.dialect.time_words import UNITS as TIME_WORDS
from tiecoat.errors import FileHeld
from tiecoat.reasons import Fault, Reason

_OF_TORQUE = {"": "", "m": "milli", "µ": "micro", "μ": "micro", "u": "micro"}

_LONGEST = 60  # characters; what is longer is no unit
# Words of what is done or used, that pint takes for units: 30 shakes are not 0.3 microseconds.
_NO_UNITS = re.compile(
    r"\b(?:(?:shake|cup|hand|stick|point|link|rod|chain|pole|slug|barn|dot|bag|particle|stone|gill|peck"
    r"|league|knot|pica|jig)s?|mass|pinch)\b",
    re.IGNORECASE,
)
# Texts that stand for a whole unit, after `_tidy`.
# pint passes over signs that it does not know: "?m", which was a micrometre, would be a metre;
# and it multiplies: "% µm" would be a hundredth of a micrometre.
_UNIT_SIGNS = re.compile(r"[\w\s*/^()\[\].°·⋅∙•×⁻−-]*")
_WHOLE = {
    "": "",
    "-": "",
    "–": "",
    "%": "percent",
    "wt%": "percent",
    "°": "degree",
    "°C": "degC",
    "deg*C": "degC",
    "deg*F": "degF",
    "°*C": "degC",
    "gradC": "degC",
    "Grad*C": "degC",
    "Celsius": "degC",
    "celsius": "degC",
    "degC": "degC",
    "°F": "degF",
    "degF": "degF",
    "Pas": "pascal*second",
    "mPas": "millipascal*second",
    "PaS": "pascal*second",
    "pa*s": "pascal*second",
    "Pa-s": "pascal*second",
    "mPaS": "millipascal*second",
    "mpas": "millipascal*second",
    "mPa-s": "millipascal*second",
    "cps": "centipoise",
    "cPs": "centipoise",
    "CPS": "centipoise",
    "CP": "centipoise",
    "u": "hour",  # Dutch; in U/min it is a turn
    "1": "",
    "GU": "",  # gloss units are plain numbers; GE in German
    "GE": "",
    "D/cm2": "dyne/centimeter**2",
    "D/CM2": "dyne/centimeter**2",  # of viscometers that print few letters
    "DYN/CM2": "dyne/centimeter**2",
    "DYN/CM²": "dyne/centimeter**2",
    "DYNE/CM2": "dyne/centimeter**2",
    **{f"{prefix}Nm": f"{full}newton*meter" for prefix, full in _OF_TORQUE.items()},
    "UB": "",
    "JP": "",
    "‰": "permille",
    "o/oo": "permille",
    "st": "degree",
    '"': "inch",
    "in": "inch",
    "IN": "inch",
    "pulg": "inch",
    "pulgada": "inch",
    "pulgadas": "inch",
    "Zoll": "inch",
    "pouce": "inch",
    "pouces": "inch",
    "pollici": "inch",
    "''": "inch",
    **dict.fromkeys(
        (
            "wt.-%",
            "wt-%",
            "wt.%",
            "%wt",
            "w-%",
            "w%",
            "%w",
            "%w/w",
            "%(w/w)",
            "m%",
            "m-%",
            "%m/m",
            "%bymass",
            "%byweight",
            "%bywt",
            "%ofmass",
            "percentbymass",
            "percentbyweight",
            "massenprozent",
            "massenprozente",
            "massen-%",
            "massprozent",
            "gewichtsprozent",
            "%enmasse",
            "%enpoids",
            "%massique",
            "%enmasa",
            "%enpeso",
            "%inmassa",
            "%inpeso",
            "%masowych",
            "%masy",
            "%wagowych",
            "massa%",
            "massa-%",
            "%hmotnosti",
            "%(m/m)",
            "%m",
            "ma%",
            "ma.-%",
            "gew%",
            "gew.%",
            "gew-%",
            "gew.-%",
            "%gew",
            "mass%",
            "mass-%",
            "%mass",
            "masse-%",
            "%masse",
            "%hm",
            "%hm.",
            "hm.%",
            "%peso",
            "%wag",
            "%wag.",
        ),
        "percent",
    ),
    "lb/US*gal": "pound/gallon",
    "lb/US*gallon": "pound/gallon",
    "kgf/cm2": "kilogram_force/centimeter**2",
    "kp/cm2": "kilogram_force/centimeter**2",
    "kg/cm2": "kilogram_force/centimeter**2",  # of a pressure, as gauges still write it
    "N/qmm": "newton/millimeter**2",
    "lb/in2": "psi",
    "lbs/in2": "psi",
    "lb/sq*in": "psi",
    "lbf/sq*in": "psi",
    "qcm": "centimeter**2",
    "qmm": "millimeter**2",
    "ppg": "pound/gallon",
    "g/100ml": "gram/deciliter",
    "g/100mL": "gram/deciliter",
    "g/ltr": "gram/liter",
    "my": "micrometer",  # as German writes the Greek letter in plain ones
    "/s": "1/second",
    "sq*cm": "centimeter**2",
    "sqcm": "centimeter**2",
    "cm*sq": "centimeter**2",
    "sq*mm": "millimeter**2",
    "sq*in": "inch**2",
    **dict.fromkeys(("sq.*cm", "cmq", "cm*kw", "cm*carrés", "cm*carré"), "centimeter**2"),
    **dict.fromkeys(("mmq", "sq.*mm", "mm*kw"), "millimeter**2"),
    **dict.fromkeys(("cc", "ccm"), "centimeter**3"),
    **dict.fromkeys(("g/cc", "g/ccm", "t/m3"), "gram/centimeter**3"),
    "dPas": "decipascal*second",
    "cSt": "centistokes",
    "cst": "centistokes",
    "cP": "centipoise",
    "cp": "centipoise",
    "S-1": "second**-1",
    "1/sec": "1/second",
    "sec-1": "second**-1",
    "Mohm": "megaohm",
    "MOHM": "megaohm",
    "Mohms": "megaohm",
    "GOHM": "gigaohm",
    "MEGOHM": "megaohm",
    "MHZ": "megahertz",
    "mikrometer": "micrometer",
}
# Long enough to be sure of in any case of letters.
_WHOLE_FOLDED = {
    text.casefold(): unit
    for text, unit in _WHOLE.items()
    if unit == "percent" or unit.startswith("kilogram_force")
}
_PER = ("je", "per", "pro", "par", "por", "na", "op", "su", "auf", "on", "sur", "en", "/", ",")
# Of a salt spray, which is collected on 80 cm² (ISO 9227, as published summaries print it), and said so.
_WHOLE_FOLDED |= {
    text.format(power): "milliliter/hour"
    for power in ("2", "²", "^2")
    for text in (
        *(f"ml/h{per}80cm{{}}" for per in _PER),
        *("ml/80cm{}/h", "ml/(h·80cm{})", "ml/(80cm{}·h)", "ml/(h*80cm{})", "ml/(80cm{}*h)"),
        *("ml/80cm{}·h", "ml/80cm{}*h", "ml/h·80cm{}", "ml/80cm{}xh"),
    )
}
_COLLECTED = re.compile(  # ml/24 h, ml in 24 h su 80 cm²
    r"(?:ml|ccm|cm3|cm³)(?:/|per|pro|in|je|a|al|por|en|par|na|za|w)"
    r"(?:(?P<day>24(?:h|hrs?|hours|std|stunden|heures|horas|ore|godz|uur|hod|hodin)\.?"
    r"|d|day|tag|jour|día|dia|giorno|dobę|dobe|doba|dzień|dag|den)"
    r"|h|hr|hour|std|stunde|heure|hora|ora|godz|godzinę|uur|hod|hodinu)\.?"
    r"(?:(?:je|per|pro|par|por|na|op|su|auf|on|sur|en|/|,|·|\*|\()?80cm(?:2|²|\^2)\)?)?"
)
_WHOLE_FOLDED |= {
    f"g{joint}100{volume}": "gram/deciliter"
    for joint in (*_PER, "in", "pour", "cada", "w", "v")
    for volume in ("ml", "cm3", "cc")
}
_WHOLE_FOLDED |= dict.fromkeys(("dyn/cm2", "dyne/cm2", "dynes/cm2"), "dyne/centimeter**2")
_WHOLE_FOLDED |= {"n/mm2": "newton/millimeter**2", "degc": "degC", "degf": "degF"}
_WHOLE_FOLDED |= dict.fromkeys(
    (
        *("glossunits", "glossunit", "glanzeinheiten", "glanzeinheit", "unitésdebrillant", "ub"),
        *("unidadesdebrillo", "unitàdibrillantezza", "jednostkipołysku", "glanseenheden"),
        *("jednotkylesku", "g.u.", "u.b.", "glanseenheid", "jednotkalesku"),
    ),
    "",
)
# Units of printers that know no small letters; none of these means something else in capitals.
_CAPITALS = frozenset(
    {
        "CM",
        "CM2",
        "CM^2",
        "MM",
        "MM2",
        "ML",
        "UM",
        "DAYS",
        "DAY",
        "HOURS",
        "HOUR",
        "MIN",
        "SEC",
        "S-1",
    }
    | {"G/CM3", "KG/M3", "G/ML", "KG/L", "UM", "MILS", "MIL", "PSI", "BAR", "1/S", "N/MM2", "DEG"}
)
# Names that take no prefix, in any case of letters.
_WORDS = {
    "ohm": "ohm",
    "ohms": "ohm",
    "kohm": "kiloohm",
    "kohms": "kiloohm",
    "hz": "hertz",
    "khz": "kilohertz",
    "micron": "micrometer",
    "microns": "micrometer",
    **dict.fromkeys(("mic", "mics", "mkm", "mikrometru", "mikronech"), "micrometer"),
    "mil": "thou",
    "mils": "thou",
    "psi": "psi",
    "lb": "pound",
    "lbs": "pound",
    "gal": "gallon",
    "gallon": "gallon",
    "usgal": "gallon",
    **dict.fromkeys(
        ("inch", "inches", "cal", "cale", "cali", "palec", "palce", "palců", "duim"), "inch"
    ),
    "in": "inch",
    "s": "second",
    "sec": "second",
    "secs": "second",
    "second": "second",
    "seconds": "second",
    "min": "minute",
    "mins": "minute",
    "minute": "minute",
    "minutes": "minute",
    "h": "hour",
    "hr": "hour",
    "hrs": "hour",
    "hour": "hour",
    "hours": "hour",
    "d": "day",
    "day": "day",
    "days": "day",
    "deg": "degree",
    "degree": "degree",
    "degrees": "degree",
    "rad": "radian",
    **dict.fromkeys(
        (
            "radian",
            "radians",
            "radiant",
            "radianes",
            "radianen",
            "radiani",
            "radiany",
            "radián",
            "radiány",
            "radiánů",
            "radianów",
            "radiante",
            "radianti",
        ),
        "radian",
    ),
    "poise": "poise",
    "poises": "poise",
    "centipoise": "centipoise",
    "centipoises": "centipoise",
    "dyne": "dyne",
    "dynes": "dyne",
    "percent": "percent",
    "rpm": "revolutions_per_minute",
    "kelvin": "kelvin",
    "bar": "bar",
    "lbf": "pound_force",
    "kgf": "kilogram_force",
    "kp": "kilogram_force",
    "dan": "dekanewton",
    "mpa": "megapascal",
    "kpa": "kilopascal",
    "kn": "kilonewton",
    **dict.fromkeys(("ohmios", "om", "ohmy", "ohmů", "omy", "omů", "omów"), "ohm"),
    "grad": "degree",  # the German word; the hundredth of a right angle is gon
    "grados": "degree",
    "gradi": "degree",
    "degres": "degree",
    "degrés": "degree",
    "graden": "degree",
    "stopni": "degree",
    "stopnie": "degree",
    "stupne": "degree",
    "stupně": "degree",
    "stupňů": "degree",
    **TIME_WORDS,
    "cm": "centimeter",  # in capitals too, which no megameter is
    "mm": "millimeter",
    "um": "micrometer",
    **dict.fromkeys(
        (
            *("mikron", "mikrony", "mikronów", "mikronů", "mikrometer", "mikrometr", "mikrometry"),
            *("mikrometrów", "mikrometrů", "micra", "micras", "micrometro", "micrometri"),
            *("micrómetro", "micrómetros", "micromètre", "micromètres"),
        ),
        "micrometer",
    ),
    **dict.fromkeys(("newton", "newtons", "niuton", "niutony", "niutonów", "newtony"), "newton"),
    "prozent": "percent",
    "procent": "percent",
    "pourcent": "percent",
}
# Symbols that take a prefix; their case matters.
_SYMBOLS = {
    "Ohm": "ohm",
    "ohm": "ohm",
    "om": "ohm",
    "Om": "ohm",
    "Ω": "ohm",
    "Hz": "hertz",
    "Pa": "pascal",
    "dyn": "dyne",
    "P": "poise",
    "St": "stokes",
    "N": "newton",
    "g": "gram",
    "m": "meter",
    "s": "second",
    "F": "farad",
    "l": "liter",
    "L": "liter",
    "V": "volt",
    "A": "ampere",
    "S": "siemens",
}
_PREFIXES = {
    "p": "pico",
    "n": "nano",
    "μ": "micro",
    "u": "micro",
    "m": "milli",
    "c": "centi",
    "d": "deci",
    "k": "kilo",
    "M": "mega",
    "G": "giga",
    "T": "tera",
}
_TIMES = frozenset({"second", "minute", "hour", "day"})
_TIMES_IN_CAPITALS = frozenset({"s", "h", "min", "sec"})
_INVERSE_SECONDS = frozenset({"1/second", "second**-1"})  # as angular frequencies are written
_FACTOR = re.compile(r"([^\W\d_]+)(-?[1-9])?")
# Angles are plain numbers to pint; a percent or a frequency is nevertheless no angle.
_ANGLES = frozenset(
    {"radian", "milliradian", "degree", "arcminute", "arcsecond", "grade", "turn"}
    | {"revolutions_per_minute", "revolutions_per_second"}
)


_DEGREES = re.compile(
    r"º(?=\s?[CFcf]\b)|°(?=\s?[cf]$)|^o(?=[CF]$)|^(?:st|gr|deg|grad(?:os|i|en)?|degrees?|degrés?|stopni[ea]?"
    r"|stup(?:ně|ňů|ne))\.?\s?(?=[CF]$|Celsius)"
)
_OHMS_OF_AREA = re.compile(r"(?:Ω|[Oo]hm)(?=[cm]?m(?:2|²|\^2))")


def _tidy(text: str) -> str:
    """Fold the ways to write one unit: superscripts, micro and ohm signs, dots, stars, carets."""
    text = _DEGREES.sub("°", text.strip())
    text = _OHMS_OF_AREA.sub(r"\g<0>*", text)
    text = text.replace("°c", "°C").replace("°f", "°F")
    text = text.replace("\u02db", "2")  # a superscript two, read in a Central European code page
    text = unicodedata.normalize("NFKC", text.replace("°", "\0").replace("℃", "\0C"))
    text = text.replace("\0", "°").replace("µ", "μ").replace("−", "-").replace("° ", "°").strip()
    text = re.sub(r"\s*(?:[·⋅∙•×]|\*\*|\*|\^)\s*", _joint, text)
    text = re.sub(r"\s*/\s*|(?<=[^\W\d_])\s+(?:per|pro|par|por)\s+(?=[^\W\d_])", "/", text)
    text = re.sub(r"/24\s+(?=h)", "/24", text)
    text = re.sub(r"(?<=[^\W\d_])\.(?=[^\W\d_])", "*", text).removesuffix(".")
    return re.sub(r"\s+(?=[^\W\d_])", "*", text).replace(" ", "")


def _joint(match: re.Match[str]) -> str:
    return "" if match[0].strip() in ("^", "**") else "*"


@lru_cache(maxsize=4096)
def plain_unit(text: str) -> str | None:
    """Return the pint text of a unit that headers commonly use, else None; loads nothing.

    Examples
    --------
    >>> plain_unit("mPa·s"), plain_unit("Ohm cm2"), plain_unit("g/cm³"), plain_unit("s-1")
    ('millipascal*second', 'ohm*centimeter**2', 'gram/centimeter**3', 'second**-1')
    >>> plain_unit("Remark") is None
    True
    """
    if len(text) > _LONGEST:
        return None
    tidy = _tidy(text)
    if (whole := _WHOLE.get(tidy)) is not None:
        return whole
    if (whole := _whole_folded("".join(text.casefold().split()))) is not None:
        return whole
    if len(tidy) > 1 and tidy.isupper() and tidy in _CAPITALS:
        return plain_unit(tidy.lower())
    if len(tidy) > 1 and tidy[0] + tidy[-1] in ("[]", "()"):
        tidy = _tidy(tidy[1:-1])
    if (whole := _WHOLE.get(tidy)) is not None:
        return whole
    top, *below = tidy.replace("(", "").replace(")", "").split("/")
    if len(below) > 1 or ("(" in tidy and "/(" not in tidy):
        return None
    if "/(" not in tidy and below and "*" in below[0]:
        return None  # a/b*c is read in two ways
    over = [] if top == "1" else [_factor(part, 1) for part in top.split("*")]
    under = [_factor(part, -1) for part in below[0].split("*")] if below else []
    if None in over or None in under:
        return None
    text = "*".join(part for part in over if part) or "1"
    return "/".join([text, *(part.replace("**-", "**") for part in under if part)])


def _whole_folded(text: str) -> str | None:
    """Return the unit that a text is in any case of letters, if no part of it may be something else."""
    if (match := _COLLECTED.fullmatch(text)) is not None:
        return "milliliter/day" if match["day"] else "milliliter/hour"
    return _WHOLE_FOLDED.get(text)


def _factor(text: str, sign: int) -> str | None:
    match = _FACTOR.fullmatch(text)
    if match is None:
        return None
    name = _name(match[1])
    power = int(match[2] or 1) * sign
    if name is None or (sign < 0 and power > 0):
        return None
    return name if abs(power) == 1 and power == sign else f"{name}**{power}"


def _name(text: str) -> str | None:
    if text in _SYMBOLS:
        return _SYMBOLS[text]
    if text == "K":
        return "kelvin"
    if text in _WORDS:
        return _WORDS[text]
    if text[0] in _PREFIXES and text[1:] in _SYMBOLS:
        return _PREFIXES[text[0]] + _SYMBOLS[text[1:]]
    return _WORDS.get(text.casefold())


def understand(unit_text: str) -> str | None:
    """Return the unit as pint writes it ("" for a plain number), or None if it is not known."""
    if (plain := plain_unit(unit_text)) is not None:
        return plain
    if len(unit_text) > _LONGEST or not _UNIT_SIGNS.fullmatch(unit_text):
        return None
    if _NO_UNITS.search(unit_text):
        return None
    try:
        unit = _registry().parse_units(unit_text.strip(" []").replace("·", "*"))
    except Exception:  # noqa: BLE001 (pint's parser raises many sorts, each meaning "no unit")
        return None
    # pint cannot write a unit that it keeps in fractions
    return "*".join(f"{name}**{power}" for name, power in unit._units.items())


@cache
def _registry() -> Any:
    import pint

    return pint.UnitRegistry(non_int_type=Fraction)


@dataclass(frozen=True)
class Conversion:
    """The way from one unit to another: value * factor + offset."""

    factor: Fraction
    offset: Fraction

    def apply(self, values: Sequence[float]) -> list[float]:
        """Return the values in the other unit: each the number nearest to what was written.

        Examples
        --------
        >>> Conversion(Fraction(1000), Fraction(0)).apply([2.038]), 2.038 * 1000
        ([2038.0], 2037.9999999999998)
        """
        if self.factor == 1 and not self.offset:
            return list(values)
        return [self._of(value) for value in values]

    def of_differences(self, values: Sequence[float]) -> list[float]:
        """Return what lies between two values, or how far they scatter, in the other unit."""
        return Conversion(self.factor, Fraction(0)).apply(values)

    def _of(self, value: float) -> float:
        try:  # a number is the decimal that people write for it, not the binary one next to that
            over, under = Decimal(repr(float(value))).as_integer_ratio()
            factor, offset = self.factor, self.offset
            over, under = over * factor.numerator, under * factor.denominator
            return (over * offset.denominator + offset.numerator * under) / (
                under * offset.denominator
            )
        except (ValueError, OverflowError):  # none, endless, or too large
            return value * float(self.factor) + float(self.offset)


def multiplied(values: Sequence[float], factor: float) -> list[float]:
    """Return values times a factor as it was written, each the number nearest to that."""
    return Conversion(Fraction(repr(factor)), Fraction(0)).apply(values)


@lru_cache(maxsize=1024)
def scale(unit_text: str, to: str) -> Conversion | None:
    """Return the way from a unit as a header writes it into `to`; None if there is none.

    There is none from a percentage to a plain number, for 85 % may be meant as 85 or as 0.85; and
    none from a plain number to a percentage, for 0.5 may be meant as 0.5 % or as 50 %.
    """
    target = understand(to)
    if target is None:
        raise ValueError(f"{to!r} is not a unit")
    if target in _TIMES and unit_text.strip(" []()").casefold() in _TIMES_IN_CAPITALS:
        unit_text = unit_text.strip(" []()").casefold()  # no time is in siemens
    if target in ("degC", "degF", "kelvin") and unit_text.strip(" []()") in ("C", "F"):
        unit_text = "°" + unit_text.strip(" []()")  # no temperature is in coulomb or farad
    if target == "newton" and unit_text.strip(" []().") in ("lb", "lbs", "kg", "kG"):
        unit_text = "lbf" if "lb" in unit_text else "kgf"  # as gauges still write a force
    unit = understand(unit_text)
    if unit is None:
        return None
    if unit == target or (target == "radian/second" and unit in _INVERSE_SECONDS):
        return Conversion(Fraction(1), Fraction(0))
    if target == "" or (unit, target) == ("", "percent"):
        return None
    return _by_pint(unit, target)


def scale_from(told: Iterable[str | None], to: str) -> Conversion | str:
    """Return the way into `to` from the first unit that is told; of no way what was found instead.

    Where no unit is told there is a way to a plain number only.

    Examples
    --------
    >>> scale_from((None, "kHz", "Hz"), "Hz").factor, scale_from((None, None), "Hz")
    (Fraction(1000, 1), 'no unit')
    """
    unit = next((one for one in told if one is not None), None if to else "")
    way = None if unit is None else scale(unit, to)
    return way or (f"the unit '{unit}'" if unit else "no unit")


class InUnit(list[float]):
    """Numbers as a table gives them, which know their unit; whatever is made of them does not."""

    def __init__(self, values: Iterable[float], unit: str) -> None:
        super().__init__(values)
        self.unit = unit


def is_same(one: str, other: str, to: str) -> bool:
    """Tell whether two units of values that are turned into `to` are the same: C and °C, S and s."""
    if understand(one) == understand(other):
        return True
    ways = scale(one, to), scale(other, to)
    return ways[0] is not None and ways[0] == ways[1]


def _by_pint(unit: str, target: str) -> Conversion | None:
    registry = _registry()
    start, end = registry.parse_units(unit), registry.parse_units(target)
    if start.dimensionality != end.dimensionality or _angle(start) != _angle(end):
        return None
    zero, one = (registry.Quantity(Fraction(n), start).to(end).magnitude for n in (0, 1))
    return Conversion(Fraction(one) - Fraction(zero), Fraction(zero))


def _angle(unit: Any) -> int:
    return sum(power for name, power in unit._units.items() if name in _ANGLES)


def convert(values: Sequence[float], unit_text: str, to: str) -> list[float]:
    """Convert values from a unit as a header writes it.

    Parameters
    ----------
    values
        In `unit_text`.
    unit_text
        Such as "mPa·s", "°F", "lb/gal" (US gallon).
    to
        The unit that is wanted, as pint writes it; "" is a plain number.

    Raises
    ------
    FileHeld
        UNKNOWN_UNIT, if the unit is not known or measures something else.

    Examples
    --------
    >>> convert([81200.0], "mPa·s", "Pa*s"), convert([212.0], "°F", "degC")
    ([81.2], [100.0])
    """
    way = scale(unit_text, to)
    if way is None:
        fault = Fault(Reason.UNKNOWN_UNIT, found=unit_text, expected=wanted(to))
        raise FileHeld(Reason.UNKNOWN_UNIT, (fault,))
    return way.apply(values)


def wanted(to: str) -> str:
    """Say in words which units would do."""
    if to in ("%", "percent"):
        return "%"
    if not to:
        return "a plain number: no unit, or GU for gloss"
    return f"a unit that can be turned into {to}"
