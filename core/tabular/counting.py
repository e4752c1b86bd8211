"""Columns that count: which one numbers the determinations of a panel, and which runs on over all."""

from __future__ import annotations

import itertools

from tiecoat.dialect.units import understand
from tiecoat.tabular.attempts import TAUGHT, Attempt, ColumnLook, Given
from tiecoat.tabular.general_words import is_general
from tiecoat.tabular.words import EXACT


def number_determinations(found: Attempt) -> None:
    """Settle which column tells the determinations of one panel apart."""
    if found.lexicon.kind.counted is not None:
        _number_is_count(found)
        _begins_anew(found)


def _number_is_count(found: Attempt) -> None:
    """Take a running number for that of the determination, where it begins anew or is of one panel."""
    counted, number = found.lexicon.kind.counted or "", found.given.get("number")
    if number is None or counted in found.given or number.place is None:
        return
    if found.lexicon.kind.unique:
        return  # it may be that of the points of a sweep
    content = found.contents[number.place]
    panel = found.given.get("panel")
    several = (
        panel is not None
        and panel.place is not None
        and len(set(map(str, found.contents[panel.place].filled))) > 1
    )
    values = _values(content)
    if values and min(values) <= 1 and (_repeats(content) or not several):
        found.given[counted] = Given(found.lexicon.roles[counted], number.level, number.place)


def _begins_anew(found: Attempt) -> None:
    """Of two columns that may be the number of a determination take that which begins anew.

    The other one runs on: the number of a reading since the gauge was switched on.
    """
    counted = found.lexicon.kind.counted or ""
    given = found.given.get(counted)
    if given is None or given.place is None or given.level >= TAUGHT:
        return
    if _repeats(found.contents[given.place]):
        return
    others = [
        place
        for place, title in enumerate(found.titles)
        if place != given.place
        and found.contents[place].is_numeric
        and _repeats(found.contents[place])
        and any(r.name == counted and f.level == EXACT for r, f in found.lexicon.fits(title))
        and all(one.place != place for one in found.given.values())
    ]
    if len(others) == 1:
        found.given[counted] = Given(given.role, EXACT, others[0])


def runs_on(found: Attempt, place: int) -> bool:
    """Tell whether a column is but a number of the row: a word for a count, and whole numbers that rise."""
    content, title = found.contents[place], found.titles[place]
    if content.counts:
        return True
    amount = title.unit is not None and understand(title.unit) not in ("", None)  # such as t [Pa]
    named = (is_general(title.name) and not amount) or any(
        role.name in ("number", found.lexicon.kind.counted) for role, _ in found.lexicon.fits(title)
    )
    values = _values(content)
    rises = all(after > before for before, after in itertools.pairwise(values))
    return named and len(values) > 1 and rises and all(value.is_integer() for value in values)


def _values(content: ColumnLook) -> list[float]:
    return [v for v in content.numbers.values if v == v] if content.is_numeric else []  # noqa: PLR0124


def _repeats(content: ColumnLook) -> bool:
    values = _values(content)
    return len(set(values)) < len(values)
