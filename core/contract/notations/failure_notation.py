"""The notation of ISO 4624 for where a pulled-off film failed, with the share of the area of each.

Places, from the substrate outwards: `A` in the substrate; `A/B` between substrate and first coat;
`B` in the first coat; `B/C` between first and second coat; `C`, and so on; `-/Y` between the last
coat and the adhesive; `Y` in the adhesive; `Y/Z` between adhesive and dolly. Where nothing says
which coat or boundary it was, `cohesive` is in one of the coats and `interface` between two layers
of film and substrate. A pattern names each place once, its share of the area in per cent before it:
`60 % B, 40 % B/C`. One place alone, without a share, is the whole area: `B` is `100 % B`. Nothing
else goes without a share. Where a gauge exports strengths alone the pattern is `not stated`, which
has no shares.

The letters are those of ASTM D4541, 8.3, as printed in a published report that follows it, and of
ISO 4624; `-/Y`, for what ASTM D4541 writes with the letter of the last coat (`C/Y`), is from
memory. Such a letter is read where the pattern has no coat beyond it (schemas/failure_words.py).
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from tiecoat.contract.notations.not_stated import NOT_STATED

COATS = "BCDEFGHIJKLM"  # between A, the substrate, and Y: no more; common practice, no source
EXAMPLE = "60 % B, 40 % B/C"
COHESIVE, INTERFACE = "cohesive", "interface"  # in which coat, between which layers: not told
PLACES = "A, A/B, B, B/C, C ... from the substrate outwards, -/Y, Y, Y/Z"
OFF_100 = 0.1  # by so much may the shares miss 100 %: three thirds are written as 33.3 %

_SUBSTRATE_TO_COATS = "A" + COATS
_ORDER = [
    *(
        place
        for here, there in zip(_SUBSTRATE_TO_COATS, COATS, strict=False)
        for place in (here, f"{here}/{there}")
    ),
    COATS[-1],
    COHESIVE,
    INTERFACE,
    "-/Y",
    "Y",
    "Y/Z",
]
_RANK = {place: rank for rank, place in enumerate(_ORDER)}
_NOT_LETTERS = {place.upper(): place for place in (COHESIVE, INTERFACE)}
_DASHES = re.compile("[‐‑‒–—−]")
_ITEM = re.compile(
    r"(?P<share>[0-9]+(?:[.,][0-9]+)?)?\s*(?P<percent>%)?\s*(?P<place>[^\s,;%0-9][^,;%0-9]*)"
)
_LISTED = re.compile(r"\s*(?:,(?=\s)|;|\+)\s*")
_PLACE_FIRST = re.compile(
    r"(?P<place>(?:[A-Z]|-)(?:\s*/\s*[A-Z])?)\s*[:=]?\s*(?P<share>\d+(?:[.,]\d+)?)\s*%"
)
_BETWEEN = re.compile(r"\s*[,;]\s*")


@dataclass(frozen=True)
class Share:
    """A part of the pulled area: per cent of it, and where it failed."""

    percent: float
    place: str


def shares_of(text: str) -> tuple[Share, ...]:
    """Return the shares of a failure pattern, from the substrate outwards.

    A share of 0 % is left out, and shares are kept to 0.01 %. Decimal comma and point are both
    read. Of what is not stated there are none.

    Raises
    ------
    ValueError
        If it is not in the notation; the message says what is expected.

    Examples
    --------
    >>> text_of(shares_of("40% b/c; 60 % B"))
    '60 % B, 40 % B/C'
    >>> text_of(shares_of("B/C 40 %, C 60 %"))
    '40 % B/C, 60 % C'
    >>> shares_of("60 % B, 50 % C")
    Traceback (most recent call last):
        ...
    ValueError: shares that add up to 100 %; these add up to 110 %
    """
    if text.strip().casefold() == NOT_STATED:
        return ()
    written = _DASHES.sub("-", text).strip().upper()
    if (whole := _NOT_LETTERS.get(written, written)) in _RANK:
        return (Share(100.0, whole),)
    shares = [share for share in _items(_share_first(written)) if share.percent > 0]
    places = [share.place for share in shares]
    if twice := sorted({place for place in places if places.count(place) > 1}):
        raise ValueError(f"each place once; {twice[0]} is there twice")
    total = sum(share.percent for share in shares)
    if abs(total - 100) > OFF_100 + 1e-9:
        raise ValueError(f"shares that add up to 100 %; these add up to {total:g} %")
    return tuple(sorted(shares, key=lambda share: _RANK[share.place]))


def text_of(shares: Sequence[Share]) -> str:
    """Return the one way to write these shares: from the substrate outwards, decimal point."""
    if not shares:
        return NOT_STATED
    return ", ".join(
        f"{share.percent:g} % {share.place}"
        for share in sorted(shares, key=lambda share: _RANK[share.place])
    )


def _share_first(written: str) -> str:
    """Return a list of places with their shares behind them as one with the shares first."""
    items = _LISTED.split(written)
    found = [_PLACE_FIRST.fullmatch(item) for item in items]
    if not all(found):
        return written
    return ", ".join(f"{each['share']} % {each['place']}" for each in found if each)


def _items(written: str) -> list[Share]:
    items, position = [], 0
    while position < len(written):
        found = _ITEM.match(written, position)
        if found is None:
            raise ValueError(f"shares and places such as {EXAMPLE}")
        items.append(_share(found))
        position = found.end()
        between = _BETWEEN.match(written, position)
        if between is None and position < len(written):
            raise ValueError(f"a comma before each further share, such as {EXAMPLE}")
        position = between.end() if between else position
        if between and position == len(written):
            raise ValueError(f"a share and a place after the last comma, such as {EXAMPLE}")
    if not items:
        raise ValueError(f"shares and places such as {EXAMPLE}")
    return items


def _share(found: re.Match[str]) -> Share:
    place = re.sub(r"\s+", "", found["place"])
    place = _NOT_LETTERS.get(place, place)
    if place not in _RANK:
        raise ValueError(_what_about(place))
    if found["share"] is None:
        raise ValueError(f"a share before {place}, such as {EXAMPLE}")
    if found["percent"] is None:
        raise ValueError(f"a % sign after {found['share']}, such as {EXAMPLE}")
    return Share(round(float(found["share"].replace(",", ".")), 2), place)


def _what_about(place: str) -> str:
    """Say what is expected instead of a place that the notation does not have."""
    sides = place.split("/")
    known = ["-", "A", *COATS, "Y", "Z"]
    if len(sides) == 2 and sides[1] == "Y" and sides[0] in COATS:
        return f"-/Y for the last coat and the adhesive; found {place}"
    if len(sides) == 2 and all(side in known for side in sides):
        return f"two layers that touch, such as A/B or B/C; {place} do not"
    return f"one of the places {PLACES}; there is no place {place}"
