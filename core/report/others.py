"""What is not of this study: batches of others must not come onto a page that is handed out."""

from __future__ import annotations

import re
from collections.abc import Collection

from tiecoat.lab.ids import canonical

HINT = re.compile(r"; (?:near it:|there are|the register has) [^:;]*")


def ids_in(text: str, pattern: str) -> set[str]:
    """Return the ids of batches in a text, as they are kept.

    Parameters
    ----------
    pattern
        How ids of batches look in this lab.

    Examples
    --------
    >>> sorted(ids_in("pull off rb-017 and RB-016-2.csv", "RB-[0-9]{3}"))
    ['RB-016', 'RB-017']
    """
    found = (canonical(one[0]) for one in re.finditer(pattern, text, re.IGNORECASE))
    return {one for one in found if one}


def without_others(sentence: str, batches: Collection[str], pattern: str) -> str:
    """Return a sentence without hints that name batches outside of the study.

    Examples
    --------
    >>> told = "the control RB-01 is not in the register; near it: RB-010: nothing is compared"
    >>> without_others(told, ["RB-011"], "RB-[0-9]{3}")
    'the control RB-01 is not in the register: nothing is compared'
    >>> without_others(told, ["RB-010"], "RB-[0-9]{3}") == told
    True
    """

    def kept(hint: re.Match[str]) -> str:
        return "" if ids_in(hint[0], pattern) - set(batches) else hint[0]

    return HINT.sub(kept, sentence)
