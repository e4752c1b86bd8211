"""The moment from which times count, as people write it without a unit: `at once`, `direct`, `t = 0`."""

from __future__ import annotations

import re

from tiecoat.contract import words as shared
from tiecoat.dialect.delimited import Cell
from tiecoat.tabular.attempts import Attempt
from tiecoat.tabular.plain_words import listed
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.words import EXACT, WordIndex

_AT_ONCE: WordIndex[str] = WordIndex()
_AT_ONCE.add(listed(shared.AT_ONCE), "at once")
_ZERO = re.compile(r"t(?:\s*[=:]\s*|_)?0(?:[.,]0+)?", re.IGNORECASE)  # t = 0, t0


def is_at_once(cell: Cell) -> bool:
    """Tell whether a text is that moment.

    Examples
    --------
    >>> is_at_once("t = 0"), is_at_once("(sofort)"), is_at_once("t = 5")
    (True, True, False)
    """
    if not isinstance(cell, str):
        return False
    text = cell.strip("()[] ")
    return _ZERO.fullmatch(text) is not None or _AT_ONCE.knows(Title(text, text))


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
