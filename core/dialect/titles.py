"""Column titles: when two of them are the same, and which unit stands in one."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from tiecoat.dialect.units import plain_unit

_LONGEST = 200  # characters; what is longer is no title
_LEFT_OUT = re.compile(r"[\s_.]+")
_SAME = str.maketrans(
    {"−": "-", "–": "-", "’": "'", "‘": "'", "′": "'", "″": "''", '"': "''", "µ": "μ"}
)
_BRACKETS = re.compile(
    r"(?P<name>.*\S)\s*(?:\[(?P<square>[^\[\]]*)\]|\((?P<round>[^()]*)\))$", re.S
)
_AFTER_WORD = re.compile(r"(?P<name>.*\S)(?:\s+in\s+|\s*,\s+)(?P<unit>[^,]+)$", re.S)
_LOOSELY = re.compile(
    r"(?P<name>.*\S)\s*(?:\[(?P<square>.*)\]|\((?P<round>.*)\))$"
    r"|(?P<before>[^/,]*[^/,\s])\s*(?:/|,|\s+in\s+)\s*(?P<after>.+)$",
    re.S,
)
_MISSPELT_FROM = 6  # letters; shorter titles differ by one letter from too many others
_UNIT_MARKS = re.compile(r"[/·*^²³°%µμΩ]")


@lru_cache(maxsize=8192)
def fold(title: str) -> str:
    """Return what two titles share when they are the same: letters without case, blanks, dots.

    Examples
    --------
    >>> fold("Sample_temp.") == fold("sample Temp"), fold("Z'") == fold("-Z''")
    (True, False)
    """
    return _letters(title).casefold()


def _letters(title: str) -> str:
    same = unicodedata.normalize("NFKC", title.translate(_SAME))
    return _LEFT_OUT.sub("", same)


@lru_cache(maxsize=8192)
def cut_unit(title: str) -> tuple[str, str | None]:
    """Part a title from the unit in it.

    Examples
    --------
    >>> cut_unit("Density [g/cm³]"), cut_unit("Freq / Hz"), cut_unit("Zeit in s")
    (('Density', 'g/cm³'), ('Freq', 'Hz'), ('Zeit', 's'))
    >>> cut_unit("Temp (bath)"), cut_unit("-Z''")
    (('Temp (bath)', None), ("-Z''", None))
    """
    title = title.strip()
    if len(title) > _LONGEST:
        return title, None
    if match := _BRACKETS.fullmatch(title):
        unit = match["square"] if match["square"] is not None else match["round"]
        if match["square"] is not None or _unit_like(unit):
            return match["name"].rstrip(" /,"), unit.strip()
        return title, None
    match = _AFTER_WORD.fullmatch(title)
    if match and _is_unit(match["unit"]):
        return match["name"], match["unit"].strip()
    for place, letter in enumerate(title):
        if letter == "/" and place and _is_unit(title[place + 1 :]):
            return title[:place].rstrip(), title[place + 1 :].strip()
    return title, None


def loosely_parted(title: str) -> tuple[str, str | None]:
    """Part a title from whatever stands where a unit would, whether it is known as one or not.

    Examples
    --------
    >>> loosely_parted("Dose (apples)"), loosely_parted("Dose / apples"), loosely_parted("Dose")
    (('Dose', 'apples'), ('Dose', 'apples'), ('Dose', None))
    """
    match = _LOOSELY.fullmatch(title.strip()) if len(title) <= _LONGEST else None
    if match is None:
        return title, None
    if match["before"] is not None:
        return match["before"], match["after"].strip()
    inside = match["round"] if match["square"] is None else match["square"]
    return match["name"].rstrip(" /,"), inside.strip()


def _one_letter_off(one: str, other: str) -> bool:
    """Tell whether a letter was lost, added or changed, or two beside each other changed places."""
    if one == other or abs(len(one) - len(other)) > 1:
        return False
    at = next((n for n, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), None)
    if at is None:
        return True  # one more at the end
    rest, others = one[at:], other[at:]
    swapped = rest[1::-1] + rest[2:]
    return rest[1:] == others or rest == others[1:] or rest[1:] == others[1:] or swapped == others


def _is_unit(text: str) -> bool:
    return bool(text.strip(" -–")) and plain_unit(text) is not None


def _unit_like(text: str) -> bool:
    return (
        plain_unit(text) is not None or text.strip() in ("C", "F") or bool(_UNIT_MARKS.search(text))
    )


class Header:
    """A row that may be the header of a table: its titles, by what they fold to."""

    __slots__ = ("_cut", "_whole", "index", "known", "titles", "units", "width")

    def __init__(self, index: int, titles: list[str]) -> None:
        self.index = index
        self.titles = titles
        self.width = max((n + 1 for n, title in enumerate(titles) if title), default=0)
        parted = [cut_unit(title) for title in titles]
        self.units = [unit for _, unit in parted]
        self._whole = _places(titles)
        self._cut = _places([name for name, _ in parted])
        self.known = frozenset((*self._whole, *self._cut))

    def columns(self, names: Names) -> list[int]:
        """Return the columns that one of these names is the title of.

        A title that is the name comes before one that is so without its unit; among several, one
        in the same letters (t for a time, T for a temperature) before one that differs in case.
        """
        for places, wanted in ((self._whole, names.whole), (self._cut, names.cut)):
            found = sorted({column for name in wanted for column in places.get(name, ())})
            if len(found) > 1:
                own = {
                    _letters(part) for name in names.titles for part in (name, cut_unit(name)[0])
                }
                same = [n for n in found if _letters(cut_unit(self.titles[n])[0]) in own]
                return same or found
            if found:
                return found
        return []

    def nearly(self, names: Names, taken: Collection[int]) -> int | None:
        """Return a column that may be meant by names which no title here is, else None.

        It has one of the names with something beside it that is no unit, or a name of six letters
        or more with one letter wrong. Columns that are `taken` for something else do not count.
        """
        for column, title in enumerate(self.titles):
            if not title or column in taken:
                continue
            if self.odd_unit(column, names) is not None or any(
                len(known) >= _MISSPELT_FROM and _one_letter_off(fold(cut_unit(title)[0]), known)
                for known in names.cut
            ):
                return column
        return None

    def odd_unit(self, column: int, names: Names) -> str | None:
        """Return what stands beside one of these names in a title where a unit would, if it does.

        Names of one or two letters must be in the same letters: t is no T.
        """
        title = self.titles[column]
        for whole in (title, cut_unit(title)[0]):
            name, unit = loosely_parted(whole)
            same = len(fold(name)) > 2 or _letters(name) in map(_letters, names.titles)
            if unit is not None and same and fold(name) in names.cut:
                return unit
        return None


def _places(titles: Sequence[str]) -> dict[str, list[int]]:
    places: dict[str, list[int]] = {}
    for column, title in enumerate(titles):
        if title:
            places.setdefault(fold(title), []).append(column)
    return places


@dataclass(frozen=True)
class Names:
    """The titles under which one column may stand."""

    key: str
    needed: bool
    titles: tuple[str, ...]
    whole: tuple[str, ...]  # folded
    cut: tuple[str, ...]  # folded, with and without the unit

    @property
    def words(self) -> str:
        """For the user: 'Density' (also: Dichte)."""
        first, *others = self.titles
        return f"'{first}'" + (f" (also: {', '.join(others)})" if others else "")


Wanted = tuple[Names, ...]


def wanted(titles: Mapping[str, Sequence[str]], optional: Collection[str] = ()) -> Wanted:
    """Return the titles that a reader asks for, ready to be compared."""
    asked = tuple((key, tuple(names), key not in optional) for key, names in titles.items())
    return _wanted(asked)


@lru_cache(maxsize=256)
def _wanted(asked: tuple[tuple[str, tuple[str, ...], bool], ...]) -> Wanted:
    return tuple(
        Names(
            key,
            needed,
            names,
            tuple(dict.fromkeys(fold(name) for name in names)),
            tuple(
                dict.fromkeys(fold(part) for name in names for part in (name, cut_unit(name)[0]))
            ),
        )
        for key, names, needed in asked
        if names
    )


def fits(header: Header, asked: Wanted) -> bool:
    """Tell whether a header shows every needed column; one at least where none is needed."""
    known = header.known
    if any(names.needed and known.isdisjoint(names.cut) for names in asked):
        return False
    return any(not known.isdisjoint(names.cut) for names in asked)


def lacking(header: Header, asked: Wanted) -> list[Names]:
    """Return the needed columns that a header does not show."""
    known = header.known
    return [names for names in asked if names.needed and known.isdisjoint(names.cut)]
