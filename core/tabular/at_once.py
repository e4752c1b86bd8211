"""The moment from which times count, as people write it without a unit: `at once`, `direct`, `t = 0`."""

from __future__ import annotations

import re
from functools import lru_cache

from tiecoat.contract import words as shared
from tiecoat.dialect.delimited import Cell
from tiecoat.tabular.plain_words import listed
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.words import WordIndex

_AT_ONCE: WordIndex[str] = WordIndex()
_AT_ONCE.add(listed(shared.AT_ONCE), "at once")
_AT_START: WordIndex[str] = WordIndex()
_AT_START.add(listed(shared.AT_START), "at start")
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
    return (
        _ZERO.fullmatch(text) is not None
        or says_at_once(text)
        or _AT_START.knows(Title(text, text))
    )


@lru_cache(maxsize=4096)
def says_at_once(text: str) -> bool:
    """Tell whether a text says that no time has gone by, and can name nothing: sofort, and no start."""
    return _AT_ONCE.knows(Title(text, text))
