"""Columns of times of which the first has no number: `at once`, 1 min, 5 min."""

from __future__ import annotations

from tiecoat.tabular.at_once import is_at_once
from tiecoat.tabular.attempts import Attempt
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.words import EXACT


def read_at_once(found: Attempt) -> None:
    """Read that moment as 0 in a column of times since something, which has numbers elsewhere."""
    for place, title in enumerate(found.titles):
        content = found.contents[place]
        words = {cell for cell in content.filled if is_at_once(cell)} if content.filled else set()
        if not words or not _is_of_seconds(found, title):
            continue
        rest = content.of([cell for cell in content.cells if cell not in words])
        if rest.filled and rest.is_duration:
            zero = "0:00"
        elif rest.filled and not rest.numbers.odd:
            zero = "0 s" if rest.numbers.unit or rest.numbers.units else "0"
        else:
            continue
        found.contents = [*found.contents]
        found.contents[place] = content.of(
            [zero if cell in words else cell for cell in content.cells]
        )


def _is_of_seconds(found: Attempt, title: Title) -> bool:
    fits = found.lexicon.fits(title)
    return any(role.unit == "s" and fit.level == EXACT for role, fit in fits)
