"""Means and deviations below a table or at the end of its rows, which a person passes over."""

from __future__ import annotations

import statistics
from collections.abc import Callable, Sequence
from random import Random

from .cells import Cell, Number, Text
from .lines import Table
from .words import word

WAYS: dict[str, Callable[[Sequence[float]], float]] = {
    "mean": statistics.mean,
    "deviation": statistics.stdev,
    "least": min,
    "most": max,
}


def put_beside(table: Table, places: Sequence[int], language: str, dice: Random) -> None:
    """Put the mean, perhaps the deviation, of these columns at the end of each row."""
    kinds = ["mean", "deviation"][: dice.choice((1, 2))] if len(places) > 2 else ["mean"]
    for kind in kinds:
        for n, head in enumerate(table.head):
            head.append(word(dice, f"statistics.{kind}", language) if n == 0 else "")
        table.percents.append(False)
    for row in table.rows:
        row.extend(_values([row[n] for n in places], kinds))


def put_below(table: Table, places: Sequence[int], language: str, dice: Random) -> bool:
    """Put rows of statistics below these columns; False where their names have no place."""
    if not places or 0 in places:
        return False
    for kind in ("mean", "deviation", "least", "most")[: dice.choice((1, 2, 4))]:
        cells: list[Cell] = [None] * len(table.rows[0])
        cells[0] = Text(word(dice, f"statistics.{kind}", language))
        for n in places:
            cells[n] = _values([row[n] for row in table.rows], [kind])[0]
        table.footer.append(cells)
    return True


def _values(cells: Sequence[Cell], kinds: Sequence[str]) -> list[Cell]:
    numbers = [cell for cell in cells if isinstance(cell, Number)]
    decimals = max(len(number.text.partition(".")[2]) for number in numbers) + 1
    values = [number.value for number in numbers]
    return [Number(f"{WAYS[kind](values):.{decimals}f}", numbers[0].unit) for kind in kinds]
