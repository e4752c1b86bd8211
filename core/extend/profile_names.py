"""How a profile is called, and the files of its layout, after the first of them."""

from __future__ import annotations

import re
from collections.abc import Iterable

from tiecoat.lab.ids import DEVICES

_WORD = re.compile(r"[^\W\d_]{3,}")
_LONGEST_NAME = 60


def called_like(name: str, folder: str, ids: Iterable[str]) -> str | None:
    """Return how files of a layout are called after one of them, with * for what changes.

    Parameters
    ----------
    ids
        Patterns of the ids of the lab.

    Returns
    -------
    str or None
        None where neither the name nor the folder has a word.

    Examples
    --------
    >>> called_like("pulls RB-014 0412.txt", "", [r"RB-\\d{3}"])
    'pulls *.txt'
    >>> called_like("0412.txt", "adhesion", []), called_like("0412.txt", "", [])
    ('adhesion/*.txt', None)
    """
    stem, dot, ending = name.rpartition(".")
    for one in ids:
        stem = re.sub(one, "*", stem, flags=re.IGNORECASE)
    stem = re.sub(
        r"[*\d\W_]*(?:\d|\*)[*\d\W_]*", lambda m: m[0][:1].strip("*0123456789") + "*", stem
    )
    pattern = f"{stem}{dot}{ending}".replace("[", "?")
    if _WORD.search(stem):
        return pattern
    last = folder.replace("\\", "/").rstrip("/").rpartition("/")[2]
    return f"{last}/{pattern}".replace("[", "?") if _WORD.search(last) else None


def profile_name(file_name: str) -> str:
    """Return a name for a profile after a file, short and such as every system allows.

    Examples
    --------
    >>> profile_name("Gauge 7 (hall).csv"), profile_name("7.csv"), profile_name("con.csv")
    ('gauge_7_hall', 'layout_7', 'layout_con')
    """
    stem = re.sub(r"\.\w{1,5}$", "", file_name).casefold()
    name = re.sub(r"[^a-z0-9]+", "_", stem)[:_LONGEST_NAME].strip("_")
    plain = name[:1].isalpha() and not DEVICES.fullmatch(name.upper())
    return name if plain else f"layout_{name}".rstrip("_")
