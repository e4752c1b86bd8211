"""What exports of one layout have in common, by which a layout that was read before is known again.

How a text is parted and of which kind its tables are is searched for once. An export of the same
outline, which has the same words and signs at the same places and other numbers and ids, is looked
at in that way alone; where this does not read it whole, the search begins anew.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

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


def outline_of(lines: Sequence[str], ids: Sequence[re.Pattern[str]]) -> Outline:
    """Return the different lines of a text with "0" for each number and "@" for each id.

    Examples
    --------
    >>> panel = re.compile(r"RB-\\d{3}[A-Z]")
    >>> outline_of(["panel RB-014C", "f/Hz;Z/ohm", "10;2.5", "-1;3.25", "1;n"], [panel])
    ('panel @', 'f/Hz;Z/ohm', '0;0', '0;n')
    """
    return tuple(dict.fromkeys(outlines_of([*dict.fromkeys(lines)], ids)))


def outlines_of(lines: Sequence[str], ids: Sequence[re.Pattern[str]]) -> Outline:
    """Return each line of a text with "0" for each number and "@" for each id.

    Examples
    --------
    >>> outlines_of(["10;2.5", "-1;3.25"], [])
    ('0;0', '0;0')
    """
    texts = []
    for line in lines:
        text = line
        if _LETTERS.search(line):
            for pattern in ids:
                text = pattern.sub("@", text)
        texts.append(text)
    return tuple(_NUMBER.sub("0", "\n".join(texts).translate(_DIGITS)).split("\n"))
