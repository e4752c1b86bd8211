"""Words for places on a panel: top, centre, bottom left."""

from __future__ import annotations

from tiecoat.contract import words as shared
from tiecoat.tabular.plain_words import listed
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.words import WordIndex

_PLACES: WordIndex[str] = WordIndex()
_PLACES.add(listed(shared.PLACES), "place")


_LETTERS = frozenset(
    "LRCMGDISP"
)  # of left, right, centre and middle, as they begin in each language
_PAIR = 2  # words: top L


def is_place(text: str) -> bool:
    """Tell whether a text is a word for a place on a panel, or two, of which one may be a letter.

    Examples
    --------
    >>> is_place("top left"), is_place("Bottom R"), is_place("R"), is_place("top coat")
    (True, True, False, False)
    """
    if _is_word(text):
        return True
    words = text.replace("-", " ").split()
    named = [word for word in words if _is_word(word)]
    letters = [word for word in words if word.strip(".").upper() in _LETTERS]
    return len(words) == _PAIR and bool(named) and len(named) + len(letters) == _PAIR


def _is_word(text: str) -> bool:
    return _PLACES.knows(Title(text, text.strip()))
