"""Columns that count: which one numbers the determinations of a panel, and which runs on over all."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from string import ascii_lowercase, ascii_uppercase

from tiecoat.dialect.delimited import Cell
from tiecoat.dialect.units import understand
from tiecoat.remarks import Remark
from tiecoat.tabular.attempts import TAUGHT, Attempt, ColumnLook, Given
from tiecoat.tabular.column_fit import is_sweep
from tiecoat.tabular.facts import is_empty
from tiecoat.tabular.general_words import is_general
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.words import EXACT

_NAMED = re.compile(r"(?P<name>[^\W\d].*?)[\s.:_#-]*(?P<number>\d{1,3})")
_DIGIT = re.compile(r"\d")
_BOUNDS = frozenset("<>≤≥~≈±")  # before an amount, never before the number of a determination


def number_determinations(found: Attempt) -> None:
    """Settle which column tells the determinations of one panel apart."""
    if found.lexicon.kind.counted is not None:
        _numbers_in_words(found)
        _count_named_places(found)
        _number_is_count(found)
        _settle_rivals(found)
        _begins_anew(found)


def _numbers_in_words(found: Attempt) -> None:
    """Take the numbers of a column that names each determination: Det. 1, Det. 2, 3. Messung."""
    counted = found.lexicon.kind.counted or ""
    others = {one.place for name, one in found.given.items() if name != counted}
    taken = others | {one.place for one in found.spreads}
    given = found.given.get(counted)
    for place, content in enumerate(found.contents):
        if place in taken or content.is_numeric or not content.filled:
            continue
        if given is not None and place != given.place:
            continue
        letters = _letters_of_each(found, place)
        numbers = letters or [
            None if is_empty(cell) else _named(found, cell) for cell in content.cells
        ]
        if numbers.count(None) == len(numbers) - len(content.filled):
            texts = ["" if number is None else f"{number:g}" for number in numbers]
            found.contents = [*found.contents]
            found.contents[place] = content.of(texts)
            found.given[counted] = given or Given(found.lexicon.roles[counted], EXACT, place)
            found.untaken = [other for other in found.untaken if other != place]
            return


def _letters_of_each(found: Attempt, place: int) -> list[float | None]:
    """Return the numbers of determinations that letters count below a word for them: `Duplo` a, b."""
    counted, title = found.lexicon.kind.counted, found.titles[place]
    fits = found.lexicon.fits(title)
    if not any(role.name == counted and fit.level == EXACT for role, fit in fits):
        return []
    cells = [str(cell).strip() for cell in found.contents[place].cells]
    if not all(len(cell) == 1 and cell.casefold() in ascii_lowercase for cell in cells):
        return []
    letters = {*cells}
    for order in (ascii_lowercase, ascii_uppercase):
        if letters == {*order[: len(letters)]} and len(letters) > 1:
            return [float(order.index(cell) + 1) for cell in cells]
    return []


def _count_named_places(found: Attempt) -> None:
    """Count determinations that a column tells apart by names, such as top left, in their order.

    Where every row has a name, no number is in it, and none comes twice on one panel or batch.
    """
    kind, counted = found.lexicon.kind, found.lexicon.kind.counted or ""
    given = found.given.get(counted)
    if given is None or given.place is None or kind.counted_where is not None:
        return
    content = found.contents[given.place]
    names = [str(cell).strip().casefold() for cell in content.filled]
    if content.is_numeric or len(names) < len(content.cells) or any(map(_DIGIT.search, names)):
        return
    keys = [kind.per, "moment", "date", *(key for key in kind.identity if key != counted)]
    places = [found.given[key].place for key in keys if key in found.given]
    beside = [found.contents[place].cells for place in places if place is not None]
    rows = list(zip(names, *beside, strict=True))
    if given.level < EXACT or len(set(map(str, rows))) < len(rows):
        return
    del found.given[counted]
    title = found.titles[given.place].raw
    found.aside[given.place] = f"the names under '{title}' are left out, counted in their order"


def _named(found: Attempt, cell: Cell) -> float | None:
    """Return the number of the determination that a cell names, such as `Det. 2`; else None."""
    if not isinstance(cell, str) or cell[:1] in _BOUNDS:
        return None
    counted = found.lexicon.kind.counted
    for role, fit in found.lexicon.fits(Title(cell, cell.strip())):
        if fit.number is not None and role.spread is not None and role.spread.key == counted:
            return fit.number
    match = _NAMED.fullmatch(cell.strip())
    name = Title(match["name"], match["name"]) if match else None
    known = name and any(
        role.name == counted and fit.level == EXACT for role, fit in found.lexicon.fits(name)
    )
    return float(match["number"]) if match and known else None


def _number_is_count(found: Attempt) -> None:
    """Take a running number for that of the determination, where it begins anew or is of one panel."""
    counted, number = found.lexicon.kind.counted or "", found.given.get("number")
    if number is None or counted in found.given or number.place is None:
        return
    if is_sweep(found):
        return  # it may be that of its points
    if any("number" in dict(one.keys) for one in found.spreads):
        return  # readings stand side by side in its rows
    content = found.contents[number.place]
    owner = found.given.get(found.lexicon.kind.per)
    several = (
        owner is not None
        and owner.place is not None
        and len(set(map(str, found.contents[owner.place].filled))) > 1
    )
    values = _values(content)
    if values and min(values) == 1 and (_repeats(content) or not several):
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
        and all(one.place != place for name, one in found.given.items() if name != "number")
    ]
    if not others and (number := _number_anew(found)) is not None:
        others = [number]
        found.given["number"] = Given(found.lexicon.roles["number"], given.level, given.place)
    if len(others) == 1:
        found.given[counted] = Given(given.role, EXACT, others[0])


def _number_anew(found: Attempt) -> int | None:
    """Return the column of a number of the row that counts from 1 on each panel or batch, if it does."""
    number = found.given.get("number")
    if number is None or number.place is None or not counts_of_each(found, number.place):
        return None
    return number.place


def counts_of_each(found: Attempt, place: int) -> bool:
    """Tell whether a column counts from 1 on each of several panels or batches."""
    owner = found.given.get(found.lexicon.kind.per)
    content = found.contents[place]
    if owner is None or owner.place is None or not content.is_numeric:
        return False
    of_owner: dict[str, list[float]] = {}
    for cell, value in zip(found.contents[owner.place].cells, content.numbers.values, strict=True):
        of_owner.setdefault(str(cell), []).append(value)
    return len(of_owner) > 1 and all(
        sorted(each) == [float(n) for n in range(1, len(each) + 1)] for each in of_owner.values()
    )


def other_counts(found: Attempt, counted: int) -> Iterator[int]:
    """Yield each other column that may number the determinations of one panel or batch.

    A word for a number titles it, its whole numbers come again on others and never on one, and they
    are not those of the column that is taken.
    """
    owner, lexicon = found.given.get(found.lexicon.kind.per), found.lexicon
    if owner is None or owner.place is None:
        return
    named = ("number", lexicon.kind.counted)
    free = {one.place for one in found.given.values() if one.role.name not in named}
    own = _values(found.contents[counted])
    for place, content in enumerate(found.contents):
        values = _values(content)
        if place == counted or place in free or not all(map(float.is_integer, values)):
            continue
        fits = lexicon.fits(found.titles[place])
        if not _repeats(content) or not any(role.name in named for role, _ in fits):
            continue
        of_owner = list(zip(found.contents[owner.place].cells, values, strict=False))
        whole = len(values) == len(content.cells)
        if whole and len({*of_owner}) == len(of_owner) and values != own:
            yield place


def _settle_rivals(found: Attempt) -> None:
    """Of two columns that are equally sure of the determination take the one that counts on each panel.

    Else the one that comes again while the other runs on. Where it is one of them alone: the other
    is a number of the row.
    """
    counted = found.lexicon.kind.counted or ""
    for rival in [each for each in found.rivals if each[0].name == counted]:
        role, *both = rival
        given = found.given.get(counted)
        if given is None:
            continue
        anew = [place for place in both if counts_of_each(found, place)]
        if not anew and given.level < TAUGHT:
            anew = [place for place in both if _repeats(found.contents[place])]
        if len(anew) == 1:
            found.rivals.remove(rival)
            found.given[counted] = Given(role, given.level, anew[0])


def runs_on(found: Attempt, place: int) -> bool:
    """Tell whether a column is but a number of the row: a word for a count, and whole numbers that rise."""
    content, title = found.contents[place], found.titles[place]
    if content.counts and not _may_be_rated(content):
        return True
    unit = title.unit or content.numbers.unit
    amount = unit is not None and understand(unit) not in ("", None)  # such as t [Pa]
    named = (is_general(title.name) and not amount) or any(
        role.name in ("number", found.lexicon.kind.counted) for role, _ in found.lexicon.fits(title)
    )
    values = _values(content)
    rises = all(after > before for before, after in itertools.pairwise(values))
    return named and len(values) > 1 and rises and all(value.is_integer() for value in values)


def _may_be_rated(content: ColumnLook) -> bool:
    """Tell whether what counts up may be degrees that grow, such as 0, 1, 1, 2: some come twice."""
    values = _values(content)
    return any(after == before for before, after in itertools.pairwise(values))


def late_numbers(found: Attempt) -> Iterator[str]:
    """Yield a remark where a matrix lacks a value in a row whose number comes late: 1, 3, 2.

    Two readings may have been given one number, so that one of them was lost.
    """
    counted = found.given.get(found.lexicon.kind.counted or "")
    if counted is None or counted.place is None or not found.spreads:
        return
    places = [one.place for one in found.spreads if one.place is not None]
    most = 0.0
    for at, number in enumerate(found.contents[counted.place].numbers.values):
        cells = [found.contents[place].cells[at] for place in places]
        lacking = any(map(is_empty, cells)) and not all(map(is_empty, cells))
        if number < most and lacking:
            words = f"number {number:g} behind {most:g}, with a value lacking in its row"
            yield Remark.SELDOM.said(words)
            return
        most = max(most, number) if number == number else most  # noqa: PLR0124


def _values(content: ColumnLook) -> list[float]:
    return content.told_numbers if content.is_numeric else []


def _repeats(content: ColumnLook) -> bool:
    values = _values(content)
    return len(set(values)) < len(values)
