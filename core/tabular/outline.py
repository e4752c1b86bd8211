"""What exports of one layout have in common, by which a layout that was read before is known again.

How a text is parted and of which kind its tables are is searched for once. An export of the same
outline, which has the same words and signs at the same places and other numbers and ids, is looked
at in that way alone; where this does not read it whole, the search begins anew.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

_MOST = 500  # layouts that are remembered
_DIGITS = str.maketrans("123456789", "0" * 9)
_NUMBER = re.compile(r"[-+]?0+(?:\.0+)?(?:[eE][-+]?0+)?")
_LETTERS = re.compile(r"[^\W\d_eE]")  # but those of 1.5e-3: rows of numbers hold no ids

Outline = tuple[str, ...]


@dataclass(frozen=True)
class KnownLayout:
    """How exports of an outline are read.

    Parameters
    ----------
    delimiter
        What parts the cells.
    upright
        Whether all that it holds is one table after another, none beside another or on its side.
    kinds
        Of which kinds its tables are.
    """

    delimiter: str | None
    upright: bool
    kinds: tuple[str, ...]


class KnownLayouts:
    """The layouts that were read lately."""

    def __init__(self) -> None:
        self._kept: dict[Outline, KnownLayout] = {}

    def get(self, outline: Outline | None) -> KnownLayout | None:
        """Return the layout of this outline, if one is remembered."""
        return None if outline is None else self._kept.get(outline)

    def keep(self, outline: Outline, layout: KnownLayout) -> None:
        """Remember a layout, and forget the one that has been remembered longest if they are many."""
        if len(self._kept) >= _MOST:
            del self._kept[next(iter(self._kept))]
        self._kept[outline] = layout


def outline_of(lines: Sequence[str], ids: Sequence[re.Pattern[str]]) -> Outline:
    """Return the different lines of a text with "0" for each number and "@" for each id.

    Examples
    --------
    >>> panel = re.compile(r"RB-\\d{3}[A-Z]")
    >>> outline_of(["panel RB-014C", "f/Hz;Z/ohm", "10;2.5", "-1;3.25", "1;n"], [panel])
    ('panel @', 'f/Hz;Z/ohm', '0;0', '0;n')
    """
    texts = []
    for line in dict.fromkeys(lines):
        text = line
        if _LETTERS.search(line):
            for pattern in ids:
                text = pattern.sub("@", text)
        texts.append(text)
    whole = _NUMBER.sub("0", "\n".join(texts).translate(_DIGITS))
    return tuple(dict.fromkeys(whole.split("\n")))
