"""What stands behind ± in a cell, where the file says which uncertainty of the value it is."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence

from tiecoat.dialect.numbers import number
from tiecoat.dialect.units import scale
from tiecoat.remarks import Remark
from tiecoat.tabular.attempts import BY_UNIT, Attempt, Given
from tiecoat.tabular.facts import number_of
from tiecoat.tabular.title_parts import Title

_BEHIND = re.compile(r"(?:±|\+/-|\+-)\s*(?P<number>\d[\d.,]*)")
_SIGN = re.compile(r"±|\+/-")
_FACTOR = re.compile(r"\bk\s*=\s*(?P<factor>[12])(?![\d.,]*[1-9])")


def which_uncertainty(
    found: Attempt, column: str, texts: Sequence[str] | None = None
) -> str | None:
    """Return the column or source that takes what stands behind ± in the cells of a column.

    None where the file, or these texts of it, do not say whether it is the standard or the expanded
    uncertainty.
    """
    roles = found.lexicon.roles
    own = [n for n in roles if n.startswith("uncertainty") and roles[n].unit == roles[column].unit]
    if len(own) != 1:
        return None
    expanded = [
        need
        for relation in found.lexicon.kind.relations
        if relation.gives == own[0]
        for need in relation.needs
    ]
    told: set[str] = set()
    for text in _texts(found) if texts is None else texts:
        spoken = [n for n in (*own, *expanded) if found.lexicon.speaks_of(roles[n], text)]
        told |= set(spoken) & {*expanded} or set(spoken)  # expanded uncertainty is no other
        if match := _FACTOR.search(text):
            told |= {*own} if match["factor"] == "1" else {*expanded}
    return told.pop() if len(told) == 1 else None


def speaks_of_uncertainty(found: Attempt, column: str) -> bool:
    """Tell whether a text of the file has ± or a word for an uncertainty, whatever it says of it."""
    roles = found.lexicon.roles
    names = [n for n in roles if "uncertainty" in n and roles[n].unit == roles[column].unit]
    return any(
        _SIGN.search(text) or any(found.lexicon.speaks_of(roles[n], text) for n in names)
        for text in _texts(found)
    )


def take_plus_minus(found: Attempt) -> None:
    """Take a column that is called ± as the uncertainty that the file says it is, else pass it over."""
    for place in [at for at in found.untaken if is_plus_minus(found.titles[at])]:
        unit = found.titles[place].unit
        for name in [one for one in found.lexicon.results if one in found.given]:
            way = scale(unit, found.lexicon.roles[name].unit) if unit else None
            if way is None or found.given[name].place is None:
                continue
            found.untaken.remove(place)
            to = which_uncertainty(found, name)
            if to is None or to in found.given:
                found.passed.add(place)
            else:
                found.given[to] = Given(found.lexicon.roles[to], BY_UNIT, place)
            break


def is_plus_minus(title: Title) -> bool:
    """Tell whether a title is nothing but ± and perhaps a unit."""
    return _SIGN.fullmatch(title.name.strip()) is not None


def plus_minus_passed(found: Attempt) -> Iterator[str]:
    """Yield a remark for each column called ± that was passed over, as nothing says what it is."""
    for place in sorted(found.passed):
        if is_plus_minus(found.titles[place]):
            yield Remark.ASSUMED.said(without_behind(f"'{found.titles[place].raw}'"))


def without_behind(column: str) -> str:
    """Return what is said where nothing says which uncertainty stands behind ±."""
    return f"{column} without what stands behind ±, which may be once or twice its uncertainty"


def behind(found: Attempt, given: Given) -> list[float]:
    """Return what stands behind ± in each cell of a column, in the unit of the column."""
    assert given.place is not None
    values = []
    for cell in found.contents[given.place].cells:
        match = _BEHIND.search(cell) if isinstance(cell, str) else None
        text = match["number"] if match else ""
        own = number_of(text) if text else None
        if text and own is None and found.mark is not None:
            own = number(text, found.mark)
        values.append(math.nan if own is None else own)
    return values


def _texts(found: Attempt) -> list[str]:
    lines = (line.text for line in found.lines_around)
    return [*lines, *(title.raw for title in found.titles)]
