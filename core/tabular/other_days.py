"""Texts that speak of another day than that of measuring: of coating, of calibration, of printing."""

from __future__ import annotations

from functools import lru_cache

from tiecoat.contract.day_words import OTHER_DAYS
from tiecoat.tabular.plain_words import listed, tokens

_OTHER_WORDS = [tokens(word) for word in listed(OTHER_DAYS)]
_STEM = 5  # letters of a word that may go on in another case


@lru_cache(maxsize=1024)
def tells_other_day(text: str) -> bool:
    """Tell whether a text holds words of another day.

    Examples
    --------
    >>> tells_other_day("Coated 2026-02-03"), tells_other_day("measured 2026-03-02")
    (True, False)
    """
    spoken = tokens(text)
    return any(
        all(any(_begins(token, word) for token in spoken) for word in words)
        for words in _OTHER_WORDS
    )


def _begins(token: str, word: str) -> bool:
    """Tell whether a word of a text is this one, in whatever form a long one takes."""
    return token.startswith(word) if len(word) >= _STEM else token == word
