"""Texts around a table that tell two values of one quantity: of which rows is which?

`Dollies of 14 mm and of 20 mm` above forces: whichever of the two is taken, some strengths are off by
a factor of two. Where a column tells it row by row, or the file reads both, nothing is open.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from tiecoat.dialect.numbers import number
from tiecoat.dialect.units import scale
from tiecoat.tabular.attempts import TAUGHT, Attempt
from tiecoat.tabular.lexicon import Role
from tiecoat.tabular.spoken import amounts_spoken_of, file_name
from tiecoat.tabular.values import ValueReader

_NUMBER = r"\d+(?:[.,]\d+)?"
_ANY_NUMBER = re.compile(_NUMBER)
_UNIT = r"[^\s\d,;:()/&]{1,8}(?:[²2](?!\d))?"
_JOINERS = r"and|or|und|oder|bzw\.?|sowie|et|ou|y|o|e|ed|i|oraz|lub|albo|en|of|a|nebo|či"
_TWO = re.compile(
    rf"(?<![\w.,/-])(?P<one>{_NUMBER})\s?(?P<unit>{_UNIT})?\s*"
    rf"(?:/|&|(?<=\s)(?:{_JOINERS}|resp\.?)\s)"
    r"\s*(?:[^\W\d]{1,5}[.'’]?\s+)?(?:[Øø∅]\s?)?"
    rf"(?P<other>{_NUMBER})\s?(?P<last>{_UNIT})(?!\w)",
    re.IGNORECASE,
)
_AND = re.compile(
    rf"\s*[/&]\s*|\s(?:{_JOINERS})\s",
    re.IGNORECASE,
)
_CLAUSE = re.compile(r"[,;:()]\s*")
_SIZE = re.compile(r"(\d+) (mm)$")
_STEPS = ("state", "property")  # a sample is stirred and degassed; rust and blisters are rated
_SAME = 1e-6  # a share
_TIMES = ("h", "s", "degC")  # of which a line may tell several, each of something else


def tell_several(found: Attempt, whole: dict[tuple[str, str], set[Any]]) -> None:
    """Note each text that tells two values of what is read from a text as one.

    Parameters
    ----------
    whole
        What is read in all tables of the file, by kind and column.
    """
    numbers = [each for each in _texts(found) if len(_ANY_NUMBER.findall(each[1])) > 1]
    for role, values in _told_once(found):
        read = whole.get((found.kind_name, role.name), set()) | values
        for where, text in numbers:
            several = _several(found, role, text)
            if len(several) < 2 or not any(_alike(a, b) for a in several for b in values):
                continue
            if not all(any(_alike(a, b) for b in read) for a in several):
                _tell(found, role.name, [f"{one:g} {role.unit}" for one in several], where)
                break
    for name, words in _words_once(found):
        read = whole.get((found.kind_name, name), set()) | words
        for where, text in _texts(found):
            said = _several_words(found, name, text, words)
            if len(said) > 1 and said & words and not said <= read:
                _tell(found, name, said, where)
                break


def _tell(found: Attempt, name: str, said: Iterable[str], where: str) -> None:
    found.tell_contradiction(
        f"{' and '.join(sorted(said))} in {where}",
        f"one value for {name}, or a column that tells it row by row",
    )


def _words_once(found: Attempt) -> Iterator[tuple[str, set[str]]]:
    """Yield the columns of closed words that no column tells, each with the words that were read."""
    in_titles = {key for one in found.spreads for key, _ in one.keys}
    for name in found.lexicon.closed:
        given = found.given.get(name)
        if name not in found.lexicon.kind.identity or name in (*_STEPS, *in_titles):
            continue
        if given is None or (given.place is None and given.level < TAUGHT):
            words = {word for word in found.read.get(name, ()) if isinstance(word, str)}
            if words:
                yield name, words


def _several_words(found: Attempt, name: str, text: str, read: set[str]) -> set[str]:
    """Return the closed words that a text joins by and, or; of one that ends in a size, both sizes."""
    index = found.lexicon.closed[name]
    said: set[str] = set()
    parts = _AND.split(text)
    for before, behind in itertools.pairwise(parts):
        both = [{*index.all_spoken_of(_CLAUSE.split(before)[-1])}]
        both += [{*index.all_spoken_of(_CLAUSE.split(behind)[0])}]
        if all(both) and not both[0] & both[1]:
            said |= both[0] | both[1]
    for word in read:
        size = _SIZE.search(word)
        if size is None:
            continue
        standard = word[: size.start()].split()  # ISO 2431/5 mm is one cup
        for match in _TWO.finditer(text):
            sizes = [match["one"], match["other"]]
            if {size[1]} < {*sizes} and match["last"] == size[2] and not {*sizes} & {*standard}:
                said |= {_SIZE.sub(f"{each} {size[2]}", word) for each in sizes}
    return said


def _told_once(found: Attempt) -> Iterator[tuple[Role, set[float]]]:
    """Yield the quantities that no column tells, each with what was read from a text."""
    lexicon = found.lexicon
    in_titles = {key for one in found.spreads for key, _ in one.keys}
    for name, role in lexicon.roles.items():
        if role.sort not in ("column", "source") or role.type != "float" or not role.unit:
            continue
        given = found.given.get(name)
        if name in in_titles or (given and (given.place is not None or given.level >= TAUGHT)):
            continue
        values: Sequence[Any] = found.read.get(name, ())
        if role.sort == "source" and given is not None:
            values = ValueReader(found).numbers(given)[:1]
        told = {float(value) for value in values if value is not None and value == value}  # noqa: PLR0124 - NaN
        if told and (role.sort == "source" or name not in lexicon.kind.shown_by):
            yield role, told


def _texts(found: Attempt) -> Iterator[tuple[str, str]]:
    """Yield where texts around a table stand, and these."""
    seen = found.table.seen
    for line in seen.above:
        yield f"row {line.row}", line.text
    for title in found.titles:
        yield f"the title '{title.raw}'", title.raw
    if seen.sheet:
        yield "the name of the sheet", seen.sheet
    yield "the name of the file", file_name(found)


def _several(found: Attempt, role: Role, text: str) -> set[float]:
    """Return the values of a quantity that a text tells, in its unit: joined by and, or of one word."""
    said = set() if role.unit in _TIMES else {*amounts_spoken_of(found, role, text)}
    for match in _TWO.finditer(text):
        units = (match["unit"] or match["last"], match["last"])
        ways = [scale(unit, role.unit) for unit in units]
        told = [number(match[n], "comma" if "," in match[n] else "point") for n in ("one", "other")]
        both = [
            way.apply([value])[0]
            for way, value in zip(ways, told, strict=True)
            if way is not None and value is not None
        ]
        if len(both) == 2:
            said |= {*both}
    apart: set[float] = set()
    for value in sorted(said):
        if not any(_alike(value, other) for other in apart):
            apart.add(value)
    return apart


def _alike(one: float, other: float) -> bool:
    return abs(one - other) <= _SAME * max(abs(one), abs(other))
