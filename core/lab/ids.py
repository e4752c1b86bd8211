"""Ids of batches and panels, and the only way from an id to a path.

An id is what a laboratory writes on a can or a panel. Case does not matter: `rb-014` is `RB-014`,
and upper case is how it is kept. It is accepted by an allow-list, and names that Windows reserves
for devices are refused on every system, so that an archive can be copied anywhere.
"""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path
from urllib.parse import quote

ALLOWED = re.compile(r"[A-Z0-9](?:[A-Z0-9._-]{0,62}[A-Z0-9])?")
_OF_PANEL = re.compile(r"[A-Z0-9](?:[A-Z0-9._#-]{0,62}[A-Z0-9])?")  # which becomes no path
TABLE = "data.parquet"  # the file of a table, in the folder of its batch
_SIGNS = re.compile(r"[\s_./#\u2010-\u2015\u2212-]+")
_MOST_PARTS = 5
_CHAIN = re.compile(
    rf"[A-Za-z0-9]+(?:{_SIGNS.pattern}[A-Za-z0-9]+)+"
)  # of what may be parts of an id
TABLE = "data.parquet"  # the file of a kind and a batch
DEVICES = re.compile(r"(?:CON|PRN|AUX|NUL|CONIN|CONOUT|CLOCK|COM[0-9]|LPT[0-9])(?:\..*)?")


def canonical(text: str) -> str | None:
    """Return the id as it is kept, or None where it is not allowed.

    Examples
    --------
    >>> canonical(" rb-014 ")
    'RB-014'
    >>> canonical("../etc") is canonical("RB-014.") is canonical("nul.txt") is None
    True
    >>> canonical("rb-ı") is None
    True
    """
    return _kept(text, ALLOWED)


def canonical_panel(text: str) -> str | None:
    """Return the id of a panel as it is kept, in which a number may follow a #, or None.

    Examples
    --------
    >>> canonical_panel("rb-014#3"), canonical("rb-014#3")
    ('RB-014#3', None)
    """
    return _kept(text, _OF_PANEL)


def _kept(text: str, allowed: re.Pattern[str]) -> str | None:
    if not text.isascii():  # asked first: some foreign letters have plain capitals
        return None
    candidate = text.strip(" ").upper()
    if not allowed.fullmatch(candidate):
        return None
    return None if DEVICES.fullmatch(candidate) else candidate


def typed_otherwise(text: str, pattern: re.Pattern[str]) -> set[str]:
    """Return the ids of a pattern that a text can mean, its signs typed as others or as blanks.

    Letters and digits are never changed, nor are two numbers joined to one.

    Examples
    --------
    >>> typed_otherwise("wp4 m06_3", re.compile(r"WP4-M[0-9]{2}\\.[0-9]"))
    {'WP4-M06.3'}
    >>> typed_otherwise("RB 01 4", re.compile(r"RB-[0-9]{3}"))
    set()
    """
    parts = _SIGNS.split(text.strip())
    if len(parts) < 2 or len(parts) > _MOST_PARTS or not all(parts):
        return set()
    found = {""}
    for before, part in zip(["", *parts], parts, strict=False):
        signs = [""] if not before else ["-", "_", ".", "#"]
        if before and not (before[-1].isdigit() and part[0].isdigit()):
            signs.append("")
        found = {known + sign + part for known in found for sign in signs}
    named = {canonical_panel(one) for one in found}
    return {one for one in named if one is not None and pattern.fullmatch(one)}


@lru_cache(maxsize=1024)
def typed_otherwise_in(text: str, pattern: re.Pattern[str]) -> frozenset[str]:
    """Return the ids that parts of a name can mean, their signs typed as others or as blanks.

    Only ids with a letter: numbers that follow one another are rather a day.

    Examples
    --------
    >>> sorted(typed_otherwise_in("pull WP4_M06_3_240h", re.compile(r"WP4-M[0-9]{2}\\.[0-9]")))
    ['WP4-M06.3']
    >>> typed_otherwise_in("log 2026_03_13", re.compile(r"[0-9]{4}-[0-9]{2}"))
    frozenset()
    """
    found: set[str] = set()
    for chain in _CHAIN.findall(text):
        parts, start = _SIGNS.split(chain), 0
        while start < len(parts):
            ends = range(min(len(parts), start + _MOST_PARTS), start + 1, -1)  # the longest first
            meant = ((end, typed_otherwise(" ".join(parts[start:end]), pattern)) for end in ends)
            end, ids = next(((end, ids) for end, ids in meant if ids), (start + 1, set()))
            found |= {one for one in ids if not one.replace("-", "").replace(".", "").isdigit()}
            start = end
    return frozenset(found)


def table_path(archive: Path, kind: str, batch: str) -> Path:
    """Return the path of the Parquet file of a kind and a batch.

    Raises
    ------
    ValueError
        If the kind or the batch is not allowed as an id; nothing else becomes a path.
    """
    if canonical(kind) is None or canonical(batch) != batch:
        raise ValueError(f"{kind!r}, {batch!r}: not an id")
    return archive / quote(kind, safe="") / quote(batch, safe="") / TABLE
