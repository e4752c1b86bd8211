"""Words for places on a panel: top, centre, bottom left."""

from __future__ import annotations

from tiecoat.contract import words as shared
from tiecoat.tabular.plain_words import listed
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.words import WordIndex

_PLACES: WordIndex[str] = WordIndex()
_PLACES.add(listed(shared.PLACES), "place")


def is_place(text: str) -> bool:
    """Tell whether a text is a word for a place on a panel."""
    return _PLACES.knows(Title(text, text.strip()))
