"""What free lines tell in phrases: `Messfläche je 3,8 cm²`, `0 min nach dem Mischen`, `days in brine 2`.

A line is parted at semicolons, brackets, wide gaps and at commas that part no digits. A phrase is a
name with an amount before or behind it, or an amount alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from tiecoat.dialect.units import plain_unit

_PARTS = re.compile(r"\s*[;|\t()]\s*|\s{3,}|,\s+|\s+[-–—·•]\s+")
_ABOUT = re.compile(
    r"(?:[~≈]|\b(?:ca|circa|approx|approximately|about|etwa|rund|ungefähr|env|environ|aprox|około|ok|cca|asi"
    r"|ongeveer|circa)\b\.?)\s*(?=\d)",
    re.IGNORECASE,
)
_NUMBER = (
    r"[-+−]?\d+(?:[ \u00a0]\d{3})*(?:[.,]\d+)?(?:\s?[eE][-+]?\d+)?(?![-/.]\d|\s?[+]\s?[^\W\d])"
)
_UNIT = r"[^\s\d,;:()][^\s,;:()]*(?:[ ·/][^\s\d,;:()][^\s,;:()]{0,4})?"
_JOINT = r"(?:\s*[:=]\s*|\s+(?:is|was|of|at|je|per|pro|war|ist|von|bei|auf|est|de|à|a|es|wynosi|je|bij|van|w|v|po|nach|after|na|dopo|après)\s+|\s+)"
_BEHIND = re.compile(
    rf"(?P<name>[^\d:=]{{2,60}}?|[^\W\d_](?=\s*[:=]))(?:{_JOINT})(?P<number>{_NUMBER})\s*(?P<unit>{_UNIT})?(?:\s.*)?"
)
_BEFORE = re.compile(rf"(?P<number>{_NUMBER})\s*(?P<unit>{_UNIT})\s+(?P<name>[^\d:=]{{3,60}})")
_PER = re.compile(  # so many of something for each: 9 places per plate
    r"[^,;:()]*?\b(?:per|on each|je|pro|par|por|na|voor elke?)\s[^,;:()]*", re.IGNORECASE
)
_TOLERANCE = re.compile(r"(?<=\d)\s?(?:\+\s?/\s?-|\+-)\s?\d+(?:[.,]\d+)?")
_MONTH = re.compile(r"(?:0?[1-9]|1[0-2])\.(?:19|20)\d\d")
_ALONE = re.compile(rf"(?:.*\s)?(?P<number>{_NUMBER})\s*(?P<unit>{_UNIT})")


@dataclass(frozen=True)
class Phrase:
    """An amount and the name beside it; "" where it stands alone."""

    name: str
    number: str
    unit: str | None


def phrases(text: str) -> Iterator[Phrase]:
    """Return the amounts that a free line tells, with the names beside them.

    Examples
    --------
    >>> list(phrases("Platte P0006   Messfläche je 3,8 cm²; 0 min nach dem Mischen"))
    ... # doctest: +NORMALIZE_WHITESPACE
    [Phrase(name='Messfläche', number='3,8', unit='cm²'),
     Phrase(name='dem Mischen', number='0', unit='min')]
    """
    for part in _PARTS.split(without_about(text.strip(" #*/%!=-"))):
        if (match := _BEHIND.fullmatch(part)) and (_begins_code(match) or _is_month(match)):
            continue
        if match:
            yield Phrase(match["name"].strip(" :="), match["number"], _known(match["unit"]))
        elif (match := _BEFORE.fullmatch(part)) and not _counts_each(match):
            yield Phrase(match["name"].strip(), match["number"], _known(match["unit"]))
        elif (match := _ALONE.fullmatch(part)) and _known(match["unit"]):
            yield Phrase("", match["number"], _known(match["unit"]))


def without_about(text: str) -> str:
    """Return a text without what says how exact a number is: ca. 104 µm, ~104 µm, 23 +/- 0.5 °C."""
    return _TOLERANCE.sub("", _ABOUT.sub("", text))


def _begins_code(match: re.Match[str]) -> bool:
    """Tell whether a number is the beginning of an id: `panel 26K101_P1`."""
    unit = match["unit"]
    touching = unit is not None and match.end("number") == match.start("unit")
    return touching and _known(unit) is None and any(map(str.isdigit, unit))


def _counts_each(match: re.Match[str]) -> bool:
    """Tell whether a number counts what belongs to each of what is named: `9 places per plate`."""
    return _PER.fullmatch(match.string, match.end("number")) is not None


def _is_month(match: re.Match[str]) -> bool:
    """Tell whether a number is a month, such as that of the next check: `cup checked 09.2026`."""
    return match["unit"] is None and _MONTH.fullmatch(match["number"]) is not None


def _known(unit: str | None) -> str | None:
    """Return the unit at the beginning of what stands behind a number."""
    if unit is None:
        return None
    for text in (unit, unit.split(" ", maxsplit=1)[0], unit.rstrip(".")):
        if plain_unit(text) not in (None, ""):
            return text
    return None
