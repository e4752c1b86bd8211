"""The cells of a column as numbers with their unit, under one decimal mark."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import time, timedelta

from tiecoat.dialect.delimited import Cell, PlainNumbers, are_plain, is_plain
from tiecoat.dialect.entries import amount
from tiecoat.dialect.numbers import (
    EMPTY_WORDS,
    DecimalMark,
    number,
    plain_numbers,
    two_readings,
    weigh,
)
from tiecoat.dialect.units import scale, understand
from tiecoat.tabular.moments import is_clock, is_day

_MINUTES = re.compile(r"(?:(\d{1,3}):(?=[0-5]?\d:))?(\d{1,3}):([0-5]\d(?:[.,]\d+)?)")
_MIN_SEC = re.compile(
    r"(\d{1,3})\s*(?:min|m|')\s*(\d{1,2}(?:[.,]\d+)?)\s*(?:s|sec|''|\")?", re.IGNORECASE
)
_SAYS_HOURS = re.compile(r"(?<![^\W_])h+(?:rs?)?:m+(?:in)?(?![\w:])", re.IGNORECASE)
_SAYS_MINUTES = re.compile(
    r"(?<![^\W_])(?<!:)m+(?:in)?:s+(?:ec|ek)?(?![\w:])|_mmss$", re.IGNORECASE
)
_HOURS = re.compile(r"(\d{1,4}):([0-5]\d)")
_HOUR_MIN = re.compile(
    r"(\d{1,4})\s*(?:h|hrs?|std|hod|godz|uur|ore)\.?\s*(\d{1,2})\s*(?:min\.?|m|')?", re.IGNORECASE
)
_APART = re.compile(
    r"[(\[]?\s*(?P<value>[^±()]{0,40}?\d[^±()]{0,40}?)\s*(?:±|\+\s*/\s*[-−–]|\+[-−–])\s*\d[\d.,]*\s*%?"
    r"\s*[)\]]?\s*(?P<unit>[^\d±].*)?"
)
_PLACES_SHOWN = re.compile(
    r"\d(?:[.,](?P<decimals>\d+))?(?:[eE](?P<exponent>[-+]?\d+))?(?![\d.,]*\d)"
)
_NOTATION = re.compile(r"\d\s*\(\s*[A-Za-z]?\s*\d\s*\)\s*[a-z]?", re.IGNORECASE)


def is_notation(text: str) -> bool:
    """Tell whether a text is a number and a class in brackets, such as `2(S3)`, and no quantity."""
    return _NOTATION.fullmatch(text.strip()) is not None


def is_empty(cell: Cell) -> bool:
    """Tell whether a cell says nothing."""
    return isinstance(cell, str) and cell.casefold() in EMPTY_WORDS


_SINCE = re.compile(  # since when, behind a time: 10 min after mixing
    r"(?<=[^\W\d])\.?\s+(?:after|since|from|of rest|nach|seit|après|depuis|de repos|tras|después|desde|de reposo"
    r"|dopo|dalla?|di riposo|po|od|na|sinds|rust)\b[^\d]*$",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Numbers:
    """A column as numbers: NaN where a cell is empty or no number, and those that are none.

    `unit` is what stands behind the numbers in the cells: one for all of them, else None. `apart`
    are the places of those with what they may be off beside them, such as 23 ± 2.
    """

    values: tuple[float, ...]
    unit: str | None
    odd: tuple[int, ...]
    doubtful: tuple[int, ...] = ()
    filled: int = 0
    units: tuple[str | None, ...] = ()
    apart: tuple[int, ...] = ()


def told_mark(columns: Sequence[Sequence[Cell]], delimiter: str | None) -> DecimalMark | None:
    """Return the decimal mark that columns speak for; None if they say nothing, or disagree.

    The delimiter of a file is no decimal mark, unless its cells are quoted and hold one.
    """
    points = commas = 0
    open_ = False
    if delimiter == "," and all(isinstance(cells, PlainNumbers) for cells in columns):
        return "point"  # in a number that is not quoted there is no comma
    for cells in columns:
        begun = [cell for cell in cells if isinstance(cell, str) and cell[:1] in "0123456789.,+-−"]
        plain = begun if are_plain(begun) else [cell for cell in begun if is_plain(cell)]
        others = [] if len(plain) == len(begun) else [cell for cell in begun if not is_plain(cell)]
        amounts = [cell for cell in others if not is_day(cell) and not is_clock(cell)]
        if 2 * (len(plain) + len(amounts)) <= len(begun):
            continue  # times: one that is broken says nothing about numbers
        texts = [*plain, *(amount(cell)[0] for cell in amounts)]
        found = weigh(texts)
        points, commas = points + found.points, commas + found.commas
        if not found.commas and "," in "".join(texts):
            open_ |= any("," in text and two_readings(text) for text in texts)
    if delimiter == "," and not commas:
        return None if open_ else "point"
    if points == commas:
        return None
    return "point" if points > commas else "comma"


def numbers_of(cells: Sequence[Cell], mark: DecimalMark | None) -> Numbers:
    """Return a column as numbers; a cell with two readings is doubtful where no mark is known."""
    texts = [cell for cell in cells if isinstance(cell, str)]
    if (
        len(texts) == len(cells)
        and mark is not None
        and (plain := plain_numbers(texts, mark)) is not None
    ):
        return Numbers(tuple(plain), None, (), filled=len(plain))
    values: list[float] = []
    units: list[str | None] = []
    odd, doubtful, apart, filled = [], [], [], 0
    for place, written in enumerate(cells):
        value, unit = math.nan, None
        cell = without_apart(written)
        if cell is not written:
            apart.append(place)
        if not is_empty(cell):
            filled += 1
            if isinstance(cell, bool) or not isinstance(cell, str | float | int):
                odd.append(place)
            elif not isinstance(cell, str):
                value = float(cell)
            else:
                value, unit, open_ = _number(cell, mark)
                if open_:
                    doubtful.append(place)
                if math.isnan(value):
                    odd.append(place)
        values.append(value)
        units.append(unit)
    said = {unit for unit in units if unit is not None}
    known = {understand(unit) for unit in said}
    one = next(iter(sorted(said))) if len(known) == 1 and None not in known else None
    all_said = one is not None and sum(unit is not None for unit in units) == filled
    return Numbers(
        tuple(values),
        one if all_said else None,
        tuple(odd),
        tuple(doubtful),
        filled,
        tuple(units) if said and not all_said else (),
        tuple(apart),
    )


def without_apart(cell: Cell) -> Cell:
    """Return a cell without what its number may be off; the cell itself where none is told.

    Examples
    --------
    >>> without_apart("1,372 ± 0,002 g/ml"), without_apart("(23 +/- 2) °C"), without_apart("7")
    ('1,372 g/ml', '23 °C', '7')
    """
    if not isinstance(cell, str) or ("±" not in cell and "+" not in cell[1:]):
        return cell
    match = _APART.fullmatch(cell.strip())
    return f"{match['value']} {match['unit'] or ''}".strip() if match else cell


def _number(cell: str, mark: DecimalMark | None) -> tuple[float, str | None, bool]:
    if is_notation(cell):
        return math.nan, None, False
    text, unit = cell, None
    value = number(text, mark or "point")
    if value is None:
        text, unit = amount(cell)
        if unit is not None and understand(unit) is None:
            text, unit = amount(_SINCE.sub("", cell.strip()))
            unit = unit if unit and scale(unit, "s") is not None else cell
        if unit is not None and understand(unit) is None:
            return math.nan, None, False
        value = number(text, mark or "point")
    if value is None and unit is None and mark is None:
        value = number(text, "comma")
    if value is None:
        return math.nan, None, False
    return value, unit, mark is None and two_readings(text) is not None


def span_of(cell: Cell) -> float | None:
    """Return a duration in seconds, also of one unit alone: `10 min` beside `1 h 30 min`.

    Also with a word for since when: `10 min after mixing`.
    """
    if (seconds := seconds_of(cell)) is not None or not isinstance(cell, str):
        return seconds
    number, unit = amount(_SINCE.sub("", cell.strip()))
    way, value = scale(unit, "s") if unit else None, number_of(number)
    return way.apply([value])[0] if way is not None and value is not None else None


def says_hours(title: str) -> bool:
    """Tell whether a title says that times below it are of hours and minutes.

    Examples
    --------
    >>> says_hours("Rest (h:min)"), says_hours("t [hh:mm]"), says_hours("t (h:mm:ss)")
    (True, True, False)
    """
    return _SAYS_HOURS.search(title) is not None


def says_minutes(title: str) -> bool:
    """Tell whether a title says that times below it are of minutes and seconds, and none of a day.

    Examples
    --------
    >>> says_minutes("time (min:s)"), says_minutes("t [mm:ss]"), says_minutes("t (h:mm:ss)")
    (True, True, False)
    """
    return _SAYS_MINUTES.search(title) is not None


def span_in_hours(cell: Cell) -> float | None:
    """Return a duration whose title says that it is in hours and minutes, in seconds.

    Examples
    --------
    >>> span_in_hours("1:15"), span_in_hours("0:20:30"), span_in_hours("20 min")
    (4500.0, 1230.0, 1200.0)
    """
    if isinstance(cell, time):
        return cell.hour * 3600.0 + cell.minute * 60 + cell.second
    match = _HOURS.fullmatch(cell.strip()) if isinstance(cell, str) else None
    return int(match[1]) * 3600.0 + int(match[2]) * 60 if match else span_of(cell)


def last_place(cell: Cell) -> float:
    """Return one in the last place that a number shows.

    Examples
    --------
    >>> last_place("12,50"), last_place("1.25e+03"), last_place(7.0), last_place("98 µm")
    (0.01, 10.0, 1.0, 1.0)
    """
    text = f"{cell:.6g}" if isinstance(cell, float) else str(cell)
    match = _PLACES_SHOWN.search(text)
    if match is None:
        return 1.0
    return float(10.0 ** (int(match["exponent"] or 0) - len(match["decimals"] or "")))


def number_of(text: str) -> float | None:
    """Return a text as a number under either decimal mark if it has one reading."""
    return None if two_readings(text) else number(text, "comma" if "," in text else "point")


def seconds_of(cell: Cell) -> float | None:
    """Return a duration written as min:s, h:min:s, `1 min 15 s` or `1 h 30 min` in seconds, else None.

    Examples
    --------
    >>> seconds_of("1:15"), seconds_of("1:02:03.5"), seconds_of("1 min 15 s"), seconds_of("75")
    (75.0, 3723.5, 75.0, None)
    >>> seconds_of("90:00"), seconds_of("1:75"), seconds_of("1:75:00")
    (5400.0, None, None)
    """
    if isinstance(cell, timedelta):
        return cell.total_seconds()
    if isinstance(cell, time) and cell.hour == 0:
        return cell.minute * 60 + cell.second + cell.microsecond / 1e6
    if not isinstance(cell, str):
        return None
    if match := _HOUR_MIN.fullmatch(cell.strip()):
        return int(match[1]) * 3600 + int(match[2]) * 60
    if match := _MINUTES.fullmatch(cell.strip()):
        hours, minutes, seconds = match.groups()
        return int(hours or 0) * 3600 + int(minutes) * 60 + float(seconds.replace(",", "."))
    if match := _MIN_SEC.fullmatch(cell.strip()):
        return int(match[1]) * 60 + float(match[2].replace(",", "."))
    return None
