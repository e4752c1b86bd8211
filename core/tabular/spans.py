"""Spans of time in free texts: after 240 h, nach 4 Wochen, po 30 dniach, Day 7, two weeks, 28-day.

A clock time is no span, nor is what tells how long something cured, dried, lay between two
readings or is planned to last. Months have no hours: they are passed over where hours or days stand beside them.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache

from tiecoat.dialect.time_words import HOURS, NO_UNITS, NUMBERS, UNITS
from tiecoat.tabular.plain_words import bare, unaccented

_SPAN = re.compile(
    r"(?<![^\W_])(?<![.,:/-])"
    rf"(?P<number>\d{{1,3}}(?:[ \u00a0]\d{{3}})+|\d+(?:[.,]\d+)?|(?:{'|'.join(NUMBERS)})(?=[\s_-]))"
    r"[\s_-]?(?P<unit>[^\W\d_]{1,11})(?![^\W\d_])(?!\s?\d{2}(?!\d))"
)
_NAMED_DAY = re.compile(
    r"\b(?:day|tag|jour|dia|giorno|dzien|dag|den)\s?(?P<number>\d{1,4})\b(?!\s*[./-]\s*\d)"
)
_CLOCK = re.compile(  # behind a day: 28/01/2026 à 10 h, 3 March 2026 at 9 h
    r"((?:\d[./-]\d{1,2}[./-]\d{2}(?:\d\d)?|(?<!\d)20\d\d))(?:[\s,_]*(?:à|at|um|a las|alle|ore|om|o|v|godz\.?)?[\s_]*"
    r"\d{1,2}(?:[:.h]\d{2})?\s?(?:h|hrs?|uhr|uur|hod|godz)\b)",
    re.IGNORECASE,
)
_LARGE_D = re.compile(r"(\d\s?)D\b")  # of an id
_SHORT = {"h": 1.0, "d": 24.0, "u": 1.0}
_MONTHS = {bare(word) for word in NO_UNITS}
_THOUSAND_OR_NOT = re.compile(r"[1-9]\d{0,2}[.,]\d{3}")
_AFTER = re.compile(  # words before a span; behind another a number may belong to it: cabinet 2 480 h
    r"\b(?:after|for|during|since|of|nach|seit|fur|von|apres|pendant|depuis|de|tras|durante|despues de|dopo|per|po|przez|od"
    r"|na|gedurende|sinds|van|za|t|h|nss)\W*$"
)
_CLAUSE = re.compile(r"[;|()\n–—]|,\s|\.\s|\s-\s|:\s")
_OTHER = re.compile(  # words at whose side a span is none of exposure, bare of accents
    r"\b(?:cur(?:e|ed|ing)|dry|dried|drying|glue|adhesive|condition\w*|rest(?:ed|ing)?|recoat\w*|every|each|interval"
    r"|pot life|open time|hart\w*|aushart\w*|gehart\w*|ausgehart\w*|trock\w*|getrock\w*|kleb\w*|konditio\w*|ruhe\w*|alle|jede\w*|topfzeit"
    r"|colle|sech\w*|seche|durci\w*|reticul\w*|repos|toutes|chaque|colla|essicc\w*|indur\w*|condizion\w*|ogni|riposo"
    r"|secad\w*|curad\w*|pegament\w*|adhesivo|reposo|cada|acondicion\w*|klej\w*|schn\w*|susz\w*|utwardz\w*|sezonow\w*|co"
    r"|lijm\w*|droog\w*|gedroogd|uithard\w*|uitgehard|elke|lepid\w*|schnut\w*|suse\w*|vytvrz\w*|zasch\w*|kazd\w*|next|until|bis|jusqu\w*|hasta|fino|do|tot"
    r"|plan\w*|geplan\w*|prev(?:u|ue|ues|us|ist[aoie]s?)|zaplanowan\w*|target|ziel|soll)\b"
)


@dataclass(frozen=True)
class Span:
    """A span that a text tells: its hours, NaN for one that cannot be told in hours; its clause."""

    hours: float
    clause: str


@lru_cache(maxsize=1024)
def spans_in(text: str) -> tuple[Span, ...]:
    """Return the spans of a text that may be those of an exposure.

    Examples
    --------
    >>> [span.hours for span in spans_in("nach 4 Wochen (672 h), Kleber 24 h")]
    [672.0, 672.0]
    """
    return tuple(_spans_in(text))


def _spans_in(text: str) -> Iterator[Span]:
    plain = unaccented(_LARGE_D.sub(r"\1", _CLOCK.sub(r"\1", text)))
    for clause in _CLAUSE.split(plain):
        if _OTHER.search(clause):
            continue
        for match in _SPAN.finditer(clause):
            if (hours := _hours(match["number"], match["unit"])) is not None:
                parted = _is_parted(match["number"], clause[: match.start()])
                yield Span(math.nan if parted else hours, clause)
        for match in _NAMED_DAY.finditer(clause):
            yield Span(float(match["number"]) * HOURS["day"], clause)


def _is_parted(number: str, before: str) -> bool:
    """Tell whether a number with a blank for its thousands may be two, the first of a word before it."""
    _, blank, last = number.replace("\u00a0", " ").partition(" ")
    named = bool(before.strip()) and before.rstrip()[-1].isalpha() and _AFTER.search(before) is None
    return bool(blank) and last[0] != "0" and named


def hours_in(text: str, speaks: Callable[[str], bool] = lambda clause: False) -> float | None:
    """Return the one span that a text tells, in hours; of several that of the clause that `speaks`.

    Examples
    --------
    >>> hours_in("after 240 h"), hours_in("Day 7"), hours_in("24 h, 48 h"), hours_in("3 months")
    (240.0, 168.0, None, None)
    >>> hours_in("after 3 months (2191 h)"), hours_in("two weeks"), hours_in("28/01/2026 à 10 h")
    (2191.0, 336.0, None)
    >>> hours_in("after 1 440 h"), hours_in("cabinet 2 000 h"), hours_in("cabinet 2 480 h")
    (1440.0, 2000.0, None)
    """
    spans = spans_in(text)
    if len({span.hours for span in spans if not math.isnan(span.hours)}) > 1:
        spans = tuple(span for span in spans if speaks(span.clause))
    found = {span.hours for span in spans if not math.isnan(span.hours)}
    return found.pop() if len(found) == 1 else None


def _hours(number: str, unit: str) -> float | None:
    """Return hours; NaN for a span in months or of a number with two readings; None for no span."""
    own = _SHORT.get(unit) or HOURS.get(UNITS.get(unit, unit.removesuffix("s")), math.nan)
    if math.isnan(own) and unit not in _MONTHS:
        return None
    if number[0].isdigit():
        if _THOUSAND_OR_NOT.fullmatch(number):
            return math.nan
        return float(re.sub(r"\s", "", number).replace(",", ".")) * own
    count = NUMBERS.get(number)
    return None if count is None or unit in _SHORT else count * own
