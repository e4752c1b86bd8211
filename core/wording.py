"""Words that every part of the program puts together in the same way."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from datetime import datetime, time, tzinfo
from typing import Any, TypeAlias

Told: TypeAlias = Callable[[str, int, int], None]  # what is done, how far, of how many

LONGEST = 1000  # characters of a text from a file, or of a message, that are told


def untold(what: str, done: int, total: int) -> None:
    """Tell nobody how far something is."""


def counted(number: int, noun: str) -> str:
    """Return such as "1 row" or "2,000 rows"."""
    return f"{number:,} {noun}" if number == 1 else f"{number:,} {noun}s"


def capital(text: str) -> str:
    """Return a sentence with a capital letter: it may begin with a label, or words of others."""
    return text[:1].upper() + text[1:]


def listed(names: Sequence[str], last: str = "") -> str:
    """Return names one after the other, apart by semicolons where one of them has commas.

    Parameters
    ----------
    names
        At least one.
    last
        What stands before the last of several, such as " and "; else it is as before the others.

    Examples
    --------
    >>> listed(["gloss", "haze"]), listed(["gloss", "haze", "colour"], " and ")
    ('gloss, haze', 'gloss, haze and colour')
    >>> listed(["strength, primer", "strength, topcoat", "gloss"], " and ")
    'strength, primer; strength, topcoat; and gloss'
    """
    has_commas = any(", " in one for one in names)
    mark = "; " if has_commas else ", "
    if not last or len(names) < 2:
        return mark.join(names)
    before = ";" if has_commas and len(names) > 2 else ""
    return mark.join(names[:-1]) + before + last + names[-1]


def by_number(name: str) -> tuple[str | int, ...]:
    """Return a key that sorts names as people do: the numbers in them by their size.

    Examples
    --------
    >>> sorted(["B2-P10", "B2-P9", "B10-P1"], key=by_number)
    ['B2-P9', 'B2-P10', 'B10-P1']
    """
    parts = re.split(r"([0-9]+)", name)  # texts and numbers in turns
    return tuple(int(one) if place % 2 else one for place, one in enumerate(parts))


def duration_words(seconds: float) -> str:
    """Return a time in the largest unit that needs no fraction; days from three on.

    Examples
    --------
    >>> [duration_words(one) for one in (90, 1800, 86400, 604800, 1.5)]
    ['90 s', '30 min', '24 h', '7 d', '1.5 s']
    """
    for unit, length, least in (("d", 86400, 3), ("h", 3600, 1), ("min", 60, 1)):
        if seconds >= least * length and seconds % length == 0:
            return f"{seconds / length:g} {unit}"
    return f"{seconds:g} s"


def local_time(moment: datetime, zone: tzinfo) -> str:
    """Return a moment as the clocks of a zone show it; one of midnight is a day.

    Examples
    --------
    >>> from zoneinfo import ZoneInfo
    >>> at = datetime.fromisoformat("2026-05-18T22:00:00+00:00")
    >>> local_time(at, ZoneInfo("Europe/Berlin")), local_time(at, ZoneInfo("UTC"))
    ('2026-05-19', '2026-05-18 22:00')
    """
    there = moment.astimezone(zone)
    if there.time() == time():
        return f"{there:%Y-%m-%d}"
    return f"{there:%Y-%m-%d %H:%M:%S}".removesuffix(":00")


def shortened(text: str, longest: int = LONGEST) -> str:
    """Return a text as it is told, on the screen, in logs, reasons and the health file alike.

    What a file holds may be of any length. What is cut ends in how much there was.
    """
    if len(text) <= longest:
        return text
    end = f"... ({counted(len(text), 'character')})"
    return text[: max(longest - len(end), 0)] + end


def unit_told(unit: str) -> str:
    """Return a unit as people are told it, and as results have it, however a kind writes it.

    Kinds write it as pint does, and so do the fields of their tables, where it stays as it is:
    another text would be another unit to whoever compares it.

    Examples
    --------
    >>> unit_told("percent"), unit_told("%"), unit_told("g/cm**3"), unit_told("Pa*s")
    ('%', '%', 'g/cm3', 'Pa s')
    """
    return "%" if unit == "percent" else unit.replace("**", "").replace("*", " ")


def with_unit(value: Any, unit: str) -> str:
    """Return a value of a table with its unit; "nothing" where there is none.

    Examples
    --------
    >>> with_unit(12.5, "g"), with_unit("dry", ""), with_unit(None, "g"), with_unit(math.nan, "g")
    ('12.5 g', 'dry', 'nothing', 'nothing')
    """
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return "nothing"
    shown = f"{value:.10g}" if isinstance(value, float) else str(value)
    return f"{shown} {unit_told(unit)}".strip()


def at_line(message: str, text: str) -> str:
    """Return what was found wrong with a TOML text with its line, also where that is the end.

    Examples
    --------
    >>> at_line("Invalid value (at end of document)", "zone = [\\n")
    'Invalid value (at line 1, the last: something is not closed, or its value is missing)'
    """
    told = [number for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    last = f"at line {max(told, default=1)}, the last"
    return message.replace(
        "at end of document", f"{last}: something is not closed, or its value is missing"
    )


def unlike(value: float, limit: float, digits: int = 4) -> str:
    """Return a value with so many digits, or with more where it would read as the limit.

    Examples
    --------
    >>> unlike(171.3333, 180.0), unlike(179.9875, 180.0), unlike(180.0, 180.0)
    ('171.3', '179.99', '180')
    """
    if value == limit:
        return f"{value:.{digits}g}"
    texts = (f"{value:.{more}g}" for more in range(digits, 18))
    return next(text for text in texts if float(text) != limit)
