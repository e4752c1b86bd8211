"""Columns that are called no more than values: for what the file speaks of, or their unit."""

from __future__ import annotations

from dataclasses import replace

from tiecoat.contract import words as shared
from tiecoat.dialect.units import scale
from tiecoat.tabular.across import spread_in, tell_key
from tiecoat.tabular.attempts import TAUGHT, Attempt, Given
from tiecoat.tabular.column_fit import is_feasible, unit_said
from tiecoat.tabular.conclusion import available
from tiecoat.tabular.general_words import is_general
from tiecoat.tabular.plain_words import listed
from tiecoat.tabular.spoken import main_value, speaks
from tiecoat.tabular.spoken import told as told_in_texts
from tiecoat.tabular.title_parts import Title, readings
from tiecoat.tabular.words import EXACT, PARTLY, WordFit, WordIndex

_PEAKS: WordIndex[str] = WordIndex()
_PEAKS.add(listed(shared.PEAK), "peak")
_LEAST: WordIndex[str] = WordIndex()
_LEAST.add(listed(shared.LEAST), "least")
_VERDICTS: WordIndex[str] = WordIndex()
_VERDICTS.add([*listed(shared.VALID), *listed(shared.REFUSED)], "verdict")
_A_PEAK = Title("peak", "peak")


def take_general_value(found: Attempt) -> None:
    """Take the one column of readings, values or numbers for the value that the headings speak of.

    Where it was taken for a number of the determination because `reading` may be both, the column
    that counts is that.
    """
    kind, contents = found.lexicon.kind, found.contents
    _take_sort_of_headings(found)
    unit = _unit_of_values(found)
    name = main_value(found, unit)
    if name is None or name in found.given or found.spreads:
        return
    role = found.lexicon.roles[name]
    if not speaks(found, role) and not (unit and _tells_closed_key(found)):
        return
    counted = found.given.get(kind.counted or "")
    free = [
        place
        for place, title in enumerate(found.titles)
        if contents[place].is_numeric
        and not contents[place].counts
        and is_general(title.name)
        and (place in found.untaken or (counted is not None and counted.place == place))
        and is_feasible(found, place, role, title, WordFit(PARTLY, 0))
    ]
    if len(free) != 1:
        return
    if counted is not None and counted.place == free[0]:
        del found.given[kind.counted or ""]
        for place, title in enumerate(found.titles):
            fits = [f for r, f in found.lexicon.fits(title) if r.name == kind.counted]
            if contents[place].counts and fits and fits[0].level == EXACT:
                found.given[counted.role.name] = Given(counted.role, EXACT, place)
                found.untaken = [other for other in found.untaken if other != place]
    found.given[name] = Given(role, PARTLY, free[0])
    found.untaken = [other for other in found.untaken if other != free[0]]


def _take_sort_of_headings(found: Attempt) -> None:
    """Take a column called no more than values for the sort of values that the headings speak of.

    `Value` below `total width of delamination` is that width, and no rating.
    """
    role = None if found.spreads else spread_in(found)
    if role is None or role.name in found.given:
        return
    called = [
        (name, one.place)
        for name, one in found.given.items()
        if one.place is not None and one.level < TAUGHT and name in found.lexicon.kind.shown_by
    ]
    if len(called) == 1 and is_general(found.titles[called[0][1]].name):
        name, place = called[0]
        del found.given[name]
        found.given[role.name] = Given(found.lexicon.roles[role.name], PARTLY, place)
        tell_key(found, role)


def take_peak_in_unit_told(found: Attempt) -> None:
    """Take the one column of peaks for the result that is in the unit which it or the lines above tell.

    `Units: psi` above `Peak`, which may be a force too, or above `Max`, which may sum up others; or
    `Max psi`, where no other column is in that unit.
    """
    _drop_verdicts(found)
    lexicon = found.lexicon
    own = _peak_in_a_unit(found)
    unit = own[1] if own else found.file.unit_of_all
    results = [
        name
        for name in lexicon.kind.shown_by
        if unit and lexicon.infos[name].unit and scale(unit, lexicon.infos[name].unit) is not None
    ]
    if len(results) != 1 or results[0] in found.given or found.spreads:
        return
    role = lexicon.roles[results[0]]
    is_peak = any(known is role for known, _ in lexicon.fits(_A_PEAK))
    if own and not is_peak:
        return  # the most of several readings
    bare = [
        place
        for place, title in enumerate(found.titles)
        if (_PEAKS.knows(title) or _is_general_word(title))
        and found.contents[place].is_numeric
        and not found.contents[place].counts
        and unit_said(found, place, title) is None
    ]
    named = [place for place in bare if _PEAKS.knows(found.titles[place])]
    least = (
        _LEAST.knows(title) and found.contents[place].is_numeric
        for place, title in enumerate(found.titles)
    )
    if named and (not is_peak or any(least)):
        return  # Max beside Min, or of readings that have no peak
    peaks = [own[0]] if own else bare
    if len(peaks) != 1:
        return
    for name, given in [*found.given.items()]:
        if given.place == peaks[0]:
            del found.given[name]
    found.given[role.name] = Given(role, PARTLY, peaks[0], hint=unit)
    found.untaken = [place for place in found.untaken if place != peaks[0]]
    found.passed.discard(peaks[0])


def _drop_verdicts(found: Attempt) -> None:
    """Give up a result whose cells all are words such as `FAIL`: a verdict."""
    for name in found.lexicon.kind.shown_by:
        given = found.given.get(name)
        if given is None or given.place is None or given.level >= TAUGHT:
            continue
        filled = found.contents[given.place].filled
        words = [Title(cell, cell) for cell in filled if isinstance(cell, str)]
        if filled and len(words) == len(filled) and all(map(_VERDICTS.knows, words)):
            del found.given[name]
            found.passed.add(given.place)


def _is_general_word(title: Title) -> bool:
    """Tell whether a title names any quantity, by more than symbols: `t s` is a time."""
    return is_general(title.name) and any(len(word) > 1 for word in title.name.split())


def _peak_in_a_unit(found: Attempt) -> tuple[int, str] | None:
    """Return the one column of peaks that says its unit, and that, if no other says one like it."""
    units = {
        place: unit
        for place, title in enumerate(found.titles)
        if found.contents[place].is_numeric and (unit := _unit_with_peak(found, place, title))
    }
    peaks = [place for place in units if _PEAKS.knows(_with_unit(found.titles[place]))]
    if len(peaks) != 1:
        return None
    unit = units.pop(peaks[0])
    alike = any(scale(other, unit) is not None for other in units.values())
    return None if alike else (peaks[0], unit)


def _unit_with_peak(found: Attempt, place: int, title: Title) -> str | None:
    return unit_said(found, place, title) or _with_unit(title).unit


def _with_unit(title: Title) -> Title:
    """Return a title without the unit that is its last word: `Max psi`."""
    return next((other for other in readings(title) if other.unit), title)


def _unit_of_values(found: Attempt) -> str | None:
    """Return the unit of the columns that are called no more than values, if it is one."""
    units = {
        title.unit or content.numbers.unit
        for title, content in zip(found.titles, found.contents, strict=True)
        if is_general(title.name) and content.is_numeric and not content.counts
    }
    return units.pop() if len(units) == 1 else None


def _tells_closed_key(found: Attempt) -> bool:
    """Tell whether a column or a text tells a closed word that determinations are told apart by."""
    keys = [key for key in found.lexicon.kind.identity if key in found.lexicon.closed]
    return any(key in found.given or told_in_texts(found, key) is not None for key in keys)


def take_result_of_its_unit(found: Attempt) -> None:
    """Where a table shows no result, take what runs along a sweep for the one result in its unit.

    Such as `Zeit` beside a cup, which is the efflux time and not that of a flow curve. Something
    must tell a closed word that tells determinations apart, such as the cup.
    """
    kind, infos = found.lexicon.kind, found.lexicon.infos
    if not kind.unique or available(found) & set(kind.shown_by):
        return
    for name in kind.order:
        given = found.given.get(name)
        results = [each for each in kind.shown_by if infos[each].unit == infos[name].unit]
        if given is None or len(results) != 1 or not _tells_closed_key(found):
            continue
        del found.given[name]
        found.given[results[0]] = replace(given, role=found.lexicon.roles[results[0]])
