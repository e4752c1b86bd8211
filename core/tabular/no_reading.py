"""Columns of numbers under no word of the kind that can be no reading of it: left out, and told.

A column that nobody took may be a second reading, so it holds the file. It can be none where its
unit is one that no column of the kind has, or but one that another column gives already; where it is
a setting, the same in every row while the readings scatter; where it is worked out from others. What
another kind is about, by its title, is never left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tiecoat.dialect.units import scale, understand
from tiecoat.remarks import Remark
from tiecoat.tabular.attempts import Attempt, Given
from tiecoat.tabular.column_fit import unit_said
from tiecoat.tabular.general_words import is_general
from tiecoat.tabular.lexicon import Lexicon, Role
from tiecoat.tabular.words import EXACT
from tiecoat.tabular.worked_out import worked_out

_LEAST_ROWS = 4  # in which a setting is the same while readings scatter
_FAR = 3.0  # times: what lies so far from every reading is none of them


def leave_out_no_readings(found: Attempt) -> None:
    """Leave out the columns that nobody took and that can be no reading, each with why."""
    if not found.shown:
        return
    for place in [*found.untaken]:
        title = found.titles[place]
        if is_general(title.name) or found.taught.of(title) is not None:
            continue
        why = _of_another_unit(found, place) or _as_setting(found, place)
        if why is None and not found.lacking and (how := worked_out(found, place)) is not None:
            why = f"which is {how}"
        if why is not None:
            found.untaken.remove(place)
            found.passed.add(place)
            found.aside[place] = f"the column '{title.raw}' is left out, {why}"


def take_back_results(found: Attempt, lexicons: Sequence[Lexicon]) -> None:
    """Hold again for columns left out whose titles are words for what another kind is about."""
    for place in found.aside.keys() & found.passed:
        if any(_is_result(other, found, place) for other in lexicons):
            found.passed.discard(place)
            found.untaken.append(place)
            del found.aside[place]


def _is_result(other: Lexicon, found: Attempt, place: int) -> bool:
    """Tell whether a title is a word for what another kind of the same samples is about."""
    own, title = found.lexicon.kind, found.titles[place]
    if other.kind.name == own.name or other.kind.per != own.per or other.kind.replaces:
        return False
    names = {role.name for role, fit in other.fits(title) if fit.level == EXACT}
    return bool(names & other.results)


def no_readings_left_out(found: Attempt) -> Iterator[str]:
    """Yield a remark on each column that was left out, or of which something was."""
    yield from (Remark.ASSUMED.said(said) for _, said in sorted(found.aside.items()))


def _of_another_unit(found: Attempt, place: int) -> str | None:
    """Return why a column is none of the kind's by its unit; None if it may be."""
    title = found.titles[place]
    unit = unit_said(found, place, title)
    if not unit or understand(unit) in ("", None) or _are_letters(found, place, unit):
        return None
    alike = [
        role
        for role in found.lexicon.roles.values()
        if role.sort in ("column", "source", "spread")
        and role.unit
        and scale(unit, role.unit) is not None
    ]
    if not alike:
        return f"as nothing of this kind is in {unit}"
    names = {role.name for role in alike}
    if len(names) > 1 or not _is_given_beside(found, alike[0], place):
        return None
    return f"as another column tells the {found.lexicon.infos[alike[0].name].meaning}"


def _are_letters(found: Attempt, place: int, unit: str) -> bool:
    """Tell whether a unit of one letter is rather the letter of one of several: Run (A), Run (B)."""
    name = found.titles[place].name
    return len(unit) == 1 and any(
        title.name == name for n, title in enumerate(found.titles) if n != place
    )


def _is_given_beside(found: Attempt, role: Role, place: int) -> bool:
    """Tell whether a column of a word for it gives what is no result and tells nothing apart."""
    kind, given = found.lexicon.kind, found.given.get(role.name)
    if role.name in {*_results(found), *kind.identity, *kind.unique}:
        return False
    return (
        role.name in found.lexicon.infos
        and given is not None
        and given.place not in (None, place)
        and given.level >= EXACT
    )


def _as_setting(found: Attempt, place: int) -> str | None:
    """Return why a column is but a setting: the same in every row, and far from all readings."""
    content = found.contents[place]
    values = content.told_numbers
    rated = found.lexicon.kind.counted_where is not None  # all panels may be without a crack
    if rated or found.lacking or len(values) < max(_LEAST_ROWS, len(content.cells)):
        return None
    if len(set(values)) > 1 or not values[0] or unit_said(found, place, found.titles[place]):
        return None
    read = [found.contents[one.place or 0].told_numbers for one in _columns_of_results(found)]
    if not read or any(len(set(each)) < _LEAST_ROWS - 1 for each in read):
        return None
    if any(min(each) / _FAR <= values[0] <= max(each) * _FAR for each in read):
        return None
    return None if _may_be_of_another(found, values[0]) else "which is the same in every row"


def _may_be_of_another(found: Attempt, value: float) -> bool:
    """Tell whether a number may be that of a column or source that nothing gives."""
    lexicon = found.lexicon
    shown = {one.role.name for one in found.spreads} | found.given.keys()
    keys = {key for one in found.spreads for key, _ in one.keys}
    return any(
        role.sort in ("column", "source")
        and role.type == "float"
        and role.name not in {*shown, *keys, lexicon.kind.counted}
        and lexicon.bounds(role.name)[0] <= value <= lexicon.bounds(role.name)[1]
        for role in lexicon.roles.values()
    )


def _columns_of_results(found: Attempt) -> list[Given]:
    results = _results(found)
    given = (*found.given.values(), *found.spreads)
    return [
        one
        for one in given
        if one.role.name in results
        and one.place is not None
        and found.contents[one.place].is_numeric
    ]


def _results(found: Attempt) -> set[str]:
    """Return what the kind is about, and what that is computed from by its relations."""
    lexicon = found.lexicon
    names = {*lexicon.results} | ({lexicon.only_value} if lexicon.only_value else set())
    return names | {
        need
        for relation in lexicon.kind.relations
        if relation.gives in names
        for need in relation.needs
    }
