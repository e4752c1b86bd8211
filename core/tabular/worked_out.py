"""Columns whose numbers somebody has worked out from those beside them: found by the numbers alone.

A mean of the readings of a row, their range or scatter; a strength in another unit; a net mass. Such
a column tells nothing of its own. It must follow in every row, within what rounding may do, and so
closely that chance would hardly do it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from itertools import permutations
from statistics import fmean, median, pstdev, stdev

from tiecoat.dialect.delimited import Cell
from tiecoat.tabular.attempts import Attempt, spread_of
from tiecoat.tabular.facts import last_place

_LEAST_ROWS = 3
_BY_CHANCE = -6.0  # decimal logarithm of the share of columns at random that may follow as closely
_SHARE = 1e-9  # what computing in floating point may do

Formula = Callable[[Sequence[float]], float]

_OF_READINGS: dict[str, Formula] = {
    "mean": fmean,
    "median": median,
    "least": min,
    "most": max,
    "range": lambda read: max(read) - min(read),
    "sum": math.fsum,
    "standard deviation": stdev,
    "standard deviation of all": pstdev,
    "coefficient of variation": lambda read: 100 * stdev(read) / fmean(read),
}
_OF_TWO: dict[str, Formula] = {
    "difference": lambda pair: pair[0] - pair[1],
    "sum": lambda pair: pair[0] + pair[1],
}
_BY_A_FACTOR: dict[str, Formula] = {  # in whatever unit
    "product": lambda pair: pair[0] * pair[1],
    "quotient": lambda pair: pair[0] / pair[1],
    "quotient by the square": lambda pair: pair[0] / pair[1] ** 2,
}


def worked_out(found: Attempt, place: int) -> str | None:
    """Return from what the numbers of a column follow, in words; None if they do not in every row."""
    values = found.contents[place].numbers.values
    if len(values) < _LEAST_ROWS or not found.contents[place].is_numeric:
        return None
    own = _RoundedColumn(values, found.contents[place].cells)
    if (count := _count_of_readings(found, values)) is not None:
        return count
    for name, formula, columns in _of_readings(found):
        if _follows(own, columns, formula):
            return f"the {name} of {len(columns)} columns beside it"
    beside = [
        (n, _RoundedColumn(found.contents[n].numbers.values, found.contents[n].cells))
        for n in _taken(found)
    ]
    beside = [(n, column) for n, column in beside if not any(map(math.isnan, column.values))]
    titles = found.titles
    for n, column in beside:
        if _follows(own, [column], lambda one: one[0], by_a_factor=True):
            return f"'{titles[n].raw}' by a factor"
    for (n, one), (m, other) in permutations(beside, 2):
        for by_a_factor, formulas in ((False, _OF_TWO), (True, _BY_A_FACTOR)):
            for name, formula in formulas.items():
                if _follows(own, [one, other], formula, by_a_factor=by_a_factor):
                    return f"the {name} of '{titles[n].raw}' and '{titles[m].raw}'"
    return None


def _count_of_readings(found: Attempt, values: Sequence[float]) -> str | None:
    """Return that a column says of every row how many readings stand side by side in it."""
    for column in dict.fromkeys(spread_of(one).column for one in found.spreads):
        beside = [one.place for one in found.spreads if spread_of(one).column == column]
        read = [found.contents[n].numbers.values for n in beside if n is not None]
        counts = [sum(not math.isnan(each[at]) for each in read) for at in range(len(values))]
        if len(read) > 1 and [*values] == counts:
            return "the number of readings beside it"
    return None


class _RoundedColumn:
    """Numbers with what rounding may have done to each."""

    def __init__(self, values: Sequence[float], cells: Sequence[Cell]) -> None:
        self.values = values
        self.rounding = [last_place(cell) / 2 for cell in cells]


def _taken(found: Attempt) -> list[int]:
    """Return the columns of numbers that something was made of, or that a word passes over."""
    given = {one.place for one in (*found.given.values(), *found.spreads)} | found.passed
    return sorted(
        place
        for place in given
        if place is not None
        and found.contents[place].is_numeric
        and not found.contents[place].counts
        and not found.contents[place].numbers.odd
    )


def _of_readings(found: Attempt) -> Iterator[tuple[str, Formula, list[_RoundedColumn]]]:
    """Yield the formulas of the readings side by side, with these."""
    for column in dict.fromkeys(spread_of(one).column for one in found.spreads):
        places = [one.place for one in found.spreads if spread_of(one).column == column]
        columns = [
            _RoundedColumn(found.contents[n].numbers.values, found.contents[n].cells)
            for n in places
            if n is not None and found.contents[n].is_numeric
        ]
        if len(columns) > 1:
            yield from ((name, formula, columns) for name, formula in _OF_READINGS.items())


def _follows(
    own: _RoundedColumn,
    columns: Sequence[_RoundedColumn],
    formula: Formula,
    *,
    by_a_factor: bool = False,
) -> bool:
    """Tell whether a column follows from others in every row, and hardly by chance.

    Parameters
    ----------
    by_a_factor
        Whether it may be any multiple, the same in every row.
    """
    rows = [at for at, value in enumerate(own.values) if not math.isnan(value)]
    try:
        made = [_made(formula, columns, at) for at in rows]
    except (ZeroDivisionError, OverflowError, ValueError):
        return False
    if len(rows) < _LEAST_ROWS or len(rows) < len(own.values):
        return False
    factor, share = _factor(own, rows, made) if by_a_factor else (1.0, 0.0)
    if not factor or not math.isfinite(factor):
        return False
    told = [own.values[at] for at in rows]
    width = max(told) - min(told)
    chance = 0.0
    for at, (value, rounding) in zip(rows, made, strict=True):
        off = own.rounding[at] + abs(factor) * rounding + (share + _SHARE) * abs(own.values[at])
        if abs(own.values[at] - factor * value) > 1.01 * off:
            return False
        chance += math.log10(min(1.0, 2 * off / width)) if width else 0.0
    free = chance * (len(rows) - 1) / len(rows) if by_a_factor else chance
    return free <= _BY_CHANCE


def _made(formula: Formula, columns: Sequence[_RoundedColumn], at: int) -> tuple[float, float]:
    """Return what a formula makes of a row, and what rounding of its numbers may do to that."""
    read = [(column.values[at], column.rounding[at]) for column in columns]
    read = [(value, off) for value, off in read if not math.isnan(value)]
    values = [value for value, _ in read]
    made = formula(values)
    rounding = 0.0
    for n, (value, off) in enumerate(read):
        rounding += abs(formula([*values[:n], value + off, *values[n + 1 :]]) - made)
    return made, rounding


def _factor(
    own: _RoundedColumn, rows: Sequence[int], made: Sequence[tuple[float, float]]
) -> tuple[float, float]:
    """Return by what a column is a multiple, from the row that tells it most closely; and how closely."""
    best, closest = 0.0, math.inf
    for at, (value, rounding) in zip(rows, made, strict=True):
        if not value or not own.values[at]:
            continue
        share = own.rounding[at] / abs(own.values[at]) + rounding / abs(value)
        if share < closest:
            best, closest = own.values[at] / value, share
    return best, closest
