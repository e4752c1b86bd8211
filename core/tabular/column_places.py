"""Columns called by their place, where no title tells them apart: `Value (column 3)`."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tiecoat.tabular.plain_words import bare
from tiecoat.tabular.seen import Seen
from tiecoat.tabular.title_parts import parted

_WITH_PLACE = re.compile(r"(?P<title>.*?)\s*\(column (?P<number>\d{1,3})\)", re.DOTALL)
_PLACE = re.compile(r"column (?P<number>\d{1,3})")


@dataclass(frozen=True)
class ColumnPlace:
    """A column as a person may call it: its number in the table, from 1, and its title."""

    number: int
    title: str
    told_apart: bool  # by its title

    @property
    def name(self) -> str:
        """By which an answer names it."""
        return self.title if self.told_apart else f"column {self.number}"

    @property
    def question(self) -> str:
        """The key of the question what it is."""
        return f"column:{self.title}" if self.told_apart else self.name

    @property
    def key(self) -> str:
        """By which a profile names it."""
        return self.title if self.told_apart else f"{self.title} (column {self.number})".strip()


def places_of(titles: Sequence[str], made: Iterable[str] = ()) -> list[ColumnPlace]:
    """Return the columns of a table without those that were made of the parts of cells.

    Examples
    --------
    >>> [place.name for place in places_of(["Panel", "MPa", "MPa", ""])]
    ['Panel', 'column 2', 'column 3', 'column 4']
    """
    left_out = {*made}
    own = [title for title in titles if title not in left_out]
    often = Counter(map(bare_title, own))
    return [
        ColumnPlace(n, title, bool(title.strip()) and often[bare_title(title)] == 1)
        for n, title in enumerate(own, 1)
    ]


def key_of(said: str, places: Sequence[ColumnPlace]) -> str:
    """Return what a profile calls a column that a person calls `column 3` or by its title.

    Raises
    ------
    ValueError
        If the table has no column of this number.
    """
    match = _PLACE.fullmatch(said.strip())
    if match is None or said in {place.title for place in places}:
        return said
    number = int(match["number"])
    if not 1 <= number <= len(places):
        raise ValueError(f"no column {number}; the table has {len(places)}")
    return places[number - 1].key


def without_place(title: str) -> str:
    """Return a title without the place that a person tells beside it."""
    match = _WITH_PLACE.fullmatch(title)
    return match["title"] if match else title


def call_by_place(seen: Seen, keys: Iterable[str]) -> None:
    """Give the columns of a table that some keys name by title and place these for titles."""
    for key in keys:
        match = _WITH_PLACE.fullmatch(key)
        number = int(match["number"]) if match else 0
        if match is None or not 0 < number <= len(seen.columns):
            continue
        column = seen.columns[number - 1]
        if bare_title(column.title) == bare_title(match["title"]):
            column.unit = column.unit or parted(column.title).unit
            column.title, column.parts = key, ()


def bare_title(raw: str) -> str:
    """Return by what two titles of one layout are the same: the case and blanks do not matter.

    Nor does a sign before a word, by which a program marks its lines.

    Examples
    --------
    >>> bare_title("# Exposure h"), bare_title("#")
    ('exposureh', '#')
    """
    text = "".join(raw.casefold().split())
    plain = text.lstrip("#$*@!&")
    return (plain if plain[:1].isalpha() else text) or bare(raw)
