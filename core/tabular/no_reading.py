"""Columns of numbers under no word of the kind that can be no reading of it: left out, and told.

A gauge writes more than anybody asks for, and no vocabulary holds it all. Where everything that the
kind cannot do without is found, a column that nobody took is left out with a remark, unless it could
be another reading of what was taken: in its unit, or in none, and as large; or under a title that
says as much as a number, a place or a word of the title of a reading. Nor is it left out where it may
tell rows apart that nothing else does, or is what another kind is about.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice

from tiecoat.contract import words as shared
from tiecoat.dialect.units import scale, understand
from tiecoat.remarks import Remark
from tiecoat.tabular.attempts import Attempt, Given
from tiecoat.tabular.column_fit import unit_said
from tiecoat.tabular.conclusion import available
from tiecoat.tabular.facts import is_empty
from tiecoat.tabular.general_words import is_count_of, is_general
from tiecoat.tabular.lexicon import Lexicon
from tiecoat.tabular.plain_words import listed, tokens
from tiecoat.tabular.title_parts import Title, is_unit_title, readings
from tiecoat.tabular.words import EXACT, WordIndex
from tiecoat.tabular.worked_out import worked_out

_FAR = 2.0  # times: what lies so far from all readings is none of them
_BESIDE_READINGS = 0.8  # of what an unknown column takes from a score
_MILLIONTHS = 1e-5
_SWEEP = 8  # rows from which what runs along a sweep is compared row by row
_ALONG = 0.8  # of the rows in which another reading of a sweep lies near that of its row
_HALF = 0.5  # of the values that lie among the readings
_LAST_COAT = 12  # whole numbers up to it may be those of a coat or a cycle
_SAID_FROM = 3  # letters of a title that says what it is
_WORD_FROM = 2  # letters of a word that two titles share
_PLACES: WordIndex[str] = WordIndex()
_PLACES.add(listed(shared.PLACES), "place")
_PLACES.add(listed(shared.COLUMNS), "column", numbered=True)


def leave_out_no_readings(found: Attempt) -> None:
    """Leave out the columns that nobody took and that can be no reading, each with why."""
    customary = {custom.column for custom in found.lexicon.kind.customs}
    if not found.shown or {*found.lacking} - customary or found.rivals or found.contradicting:
        return
    if _lacks_what_runs(found) or not _is_surely_read(found):
        return
    for place in [*found.untaken]:
        title = found.titles[place]
        if found.taught.of(title) is not None or not found.contents[place].is_mostly_numbers:
            continue
        if (why := _why_none(found, place)) is not None:
            found.untaken.remove(place)
            found.passed.add(place)
            found.score += _BESIDE_READINGS
            found.aside[place] = f"the column '{title.raw}' is left out, {why}"


def _is_surely_read(found: Attempt) -> bool:
    """Tell whether a result is told by more than a symbol of one or two letters.

    Or a column beside it by the word for an amount that no other kind has: the angle of a gloss.
    """
    return (
        found.headed
        or _has_own_column(found)
        or any(
            _unit(found, one.place or 0) is not None
            or len(found.titles[one.place or 0].name.strip()) >= _SAID_FROM
            for one in _columns_of_results(found)
        )
    )


def _has_own_column(found: Attempt) -> bool:
    """Tell whether a word names a column of an amount that tells determinations of the kind apart."""
    return any(
        one.level == EXACT
        and one.place is not None
        and len(found.titles[one.place].name.strip()) >= _SAID_FROM
        and found.lexicon.infos[name].type == "float"
        and found.lexicon.infos[name].unit != ""
        for name, one in found.given.items()
        if name in found.lexicon.kind.identity and name != found.lexicon.kind.counted
    )


def _lacks_what_runs(found: Attempt) -> bool:
    """Tell whether a sweep lacks what runs along it: a column that nobody took may be that.

    A relation of the kind joins that to the result that was taken: a rate of shear to its stress.
    """
    kind, given = found.lexicon.kind, available(found)
    lacking = {name for name in kind.unique if name not in given}
    joined = [{relation.gives, *relation.needs} for relation in kind.relations]
    return any(names & lacking and names & given & found.lexicon.results for names in joined)


def _why_none(found: Attempt, place: int) -> str | None:
    """Return why a column can be no reading; None if it may be one, or tells rows apart."""
    title = found.titles[place]
    if (how := worked_out(found, place)) is not None:
        return f"which is {how}"
    if is_count_of(title.raw) and all(map(float.is_integer, found.contents[place].told_numbers)):
        return "which is a count by its title"
    if _counts_readings(found, place):
        return "which counts the readings beside their spread"
    if _counts_owners(found, place) and not _may_be_key(found, place):
        return "which counts the samples"
    content = found.contents[place]
    unit = _unit(found, place)
    symbol = unit is not None and len(title.name.strip()) == 1  # I/mA
    if (is_general(title.name) and not symbol) or not content.is_numeric or content.numbers.apart:
        return None
    if _names_what_is_empty(found, title):
        return None
    results = [] if _is_bare(title) else _columns_of_results(found)
    if not results:
        return None
    if unit is not None and _may_be_in(found, unit):
        return None
    alike = [one for one in results if _may_share_unit(found, one, unit)]
    if not alike:
        return f"as no result of this kind is in {unit}"
    if any(_is_among(found, place, one) or _shares_a_word(found, place, one) for one in alike):
        return None
    if unit is None and (_may_tell_apart(found, place) or _may_be_of_none(found, place)):
        return None
    return "whose values are far from all readings"


def _counts_readings(found: Attempt, place: int) -> bool:
    """Tell whether a lone n heads whole numbers beside what sums readings up: `N` beside `SD_mm`."""
    values = found.contents[place].told_numbers
    summed = (
        role.sort == "beside" and fit.level == EXACT
        for at in found.passed
        for role, fit in found.lexicon.fits(found.titles[at])
    )
    named = found.titles[place].raw.strip(" .#") in ("n", "N")
    return named and all(value.is_integer() and value > 1 for value in values) and any(summed)


def _names_what_is_empty(found: Attempt, title: Title) -> bool:
    """Tell whether a title is, but for what its brackets add, a word for a column that nothing gives."""
    names = (Title(name, name.strip()) for name in islice(title.spellings, 1, None))
    shown = {one.role.name for one in found.spreads} | found.given.keys()
    return any(
        role.name not in shown and role.sort == "column" and fit.level == EXACT
        for name in names
        for role, fit in found.lexicon.fits(name)
    )


def take_back_results(found: Attempt, lexicons: Sequence[Lexicon]) -> None:
    """Hold again for columns left out whose titles are words for what another kind is about."""
    for place in found.aside.keys() & found.passed:
        if any(_is_result(other, found, place) for other in lexicons):
            found.passed.discard(place)
            found.untaken.append(place)
            found.score -= _BESIDE_READINGS
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


def _unit(found: Attempt, place: int) -> str | None:
    """Return the unit of a column if it is one that is known, and not the letter of one of several.

    Or the last word of its title, where that can be nothing but a unit: `T degC`.
    """
    title = found.titles[place]
    ends = (other.unit for other in readings(title) if other.unit and is_unit_title(other.unit))
    unit = unit_said(found, place, title) or next(ends, None)
    if not unit or understand(unit) in ("", None):
        return None
    others = (other.name for n, other in enumerate(found.titles) if n != place)
    return None if len(unit) == 1 and title.name in others else unit


def _is_bare(title: Title) -> bool:
    """Tell whether a title is but a number, an angle or a place, as those of readings may be."""
    name = title.name.strip(" .#°º")
    return not any(map(str.isalpha, name)) or _PLACES.knows(Title(title.raw, title.name))


def _may_share_unit(found: Attempt, given: Given, unit: str | None) -> bool:
    """Tell whether a column may be in the unit of a result, as far as the two say."""
    return unit is None or bool(given.role.unit and scale(unit, given.role.unit) is not None)


def _may_be_in(found: Attempt, unit: str) -> bool:
    """Tell whether a column of the kind that nothing gives may be in a unit: then it may be that.

    Nothing that is kept in seconds is told in millionths of one.
    """
    shown = {one.role.name for one in found.spreads} | found.given.keys()
    empty = [info for name, info in found.lexicon.infos.items() if name not in shown and info.unit]
    ways = [way for info in empty if (way := scale(unit, info.unit)) is not None]
    return any(way.factor > _MILLIONTHS for way in ways)


def _is_among(found: Attempt, place: int, given: Given) -> bool:
    """Tell whether half of the values of a column lie among the readings of a result, or near them.

    Along a sweep, where readings run over decades, another reading lies near that of its own row.
    """
    assert given.place is not None
    read = _in_unit(found, given.place, given)
    own = _in_unit(found, place, given)
    if not read or not own:
        return True
    if found.lexicon.kind.unique and len(read) == len(own) >= _SWEEP:
        pairs = [(abs(one), abs(other)) for one, other in zip(read, own, strict=True)]
        near = [one / _FAR <= other <= one * _FAR for one, other in pairs]
        return sum(near) >= _ALONG * len(near)
    low, high = min(map(abs, read)) / _FAR, max(map(abs, read)) * _FAR
    return sum(low <= abs(value) <= high for value in own) >= _HALF * len(own)


def _in_unit(found: Attempt, place: int, given: Given) -> list[float]:
    """Return the numbers of a column, in the unit of a result where both say theirs."""
    values = found.contents[place].told_numbers
    units = [_unit(found, at) for at in (place, given.place or 0)]
    way = scale(units[0], given.role.unit) if units[0] and given.role.unit else None
    return way.apply(values) if way is not None and None not in units else values


def _shares_a_word(found: Attempt, place: int, given: Given) -> bool:
    """Tell whether the titles of a column and of a result have a word in common."""
    own, other = (
        {
            word
            for word in tokens(found.titles[at].name)
            if len(word) >= _WORD_FROM and word.isalpha()
        }
        for at in (place, given.place or 0)
    )
    return bool(own & other)


def _may_tell_apart(found: Attempt, place: int) -> bool:
    """Tell whether whole numbers may tell rows apart: those of a coat, a run or a cycle.

    Where each row is told apart by what is read, they need not; where the kind takes a key for what
    is customary, they may be that key.
    """
    values = found.contents[place].told_numbers
    if not all(value.is_integer() for value in values) or len(set(values)) < 2:
        return False
    if _may_be_key(found, place):
        return True
    return not _are_unique(found) and _comes_again(found, place)


def _may_be_key(found: Attempt, place: int) -> bool:
    """Tell whether small numbers may be a key that the kind takes for what is customary."""
    kind, values = found.lexicon.kind, found.contents[place].told_numbers
    shown = {key for one in found.spreads for key, _ in one.keys} | found.given.keys()
    taken_for = {custom.column for custom in kind.customs} | dict(kind.defaults).keys()
    open_keys = {key for key in kind.identity if key not in shown and key in taken_for}
    return bool(open_keys - {kind.counted}) and max(map(abs, values)) <= _LAST_COAT


def _counts_owners(found: Attempt, place: int) -> bool:
    """Tell whether a column counts the panels or batches of several rows each: 1, 1, 1, 2, 2, 2."""
    owner = found.given.get(found.lexicon.kind.per)
    if owner is None or owner.place is None or not found.contents[place].is_numeric:
        return False
    values = found.contents[place].numbers.values
    whose = [str(cell) for cell in found.contents[owner.place].cells]
    numbers, owners = [*dict.fromkeys(values)], [*dict.fromkeys(whose)]
    pairs = dict(zip(whose, values, strict=True))
    return (
        1 < len(owners) == len(numbers) < len(values)
        and numbers == [numbers[0] + step for step in range(len(numbers))]
        and all(pairs[one] == value for one, value in zip(whose, values, strict=True))
    )


def _may_be_of_none(found: Attempt, place: int) -> bool:
    """Tell whether plain numbers may be those of a result without a unit that nothing gives: a pH."""
    lexicon, values = found.lexicon, found.contents[place].told_numbers
    shown = {one.role.name for one in found.spreads} | found.given.keys()
    return any(
        lexicon.infos[name].type == "float"
        and not lexicon.infos[name].unit
        and name not in shown
        and all(lexicon.bounds(name)[0] <= value <= lexicon.bounds(name)[1] for value in values)
        for name in lexicon.results & lexicon.infos.keys()
    )


def _keys_of_rows(found: Attempt) -> list[list[object]]:
    """Return the columns that tell whose the rows are, and apart."""
    kind = found.lexicon.kind
    names = [kind.per, "moment", "date", "clock", *kind.identity, *kind.unique]
    places = [found.given[name].place for name in names if name in found.given]
    return [list(found.contents[place].cells) for place in places if place is not None]


def _are_unique(found: Attempt) -> bool:
    """Tell whether what is read tells each row apart."""
    rows = list(zip(*_keys_of_rows(found), strict=True))
    return bool(rows) and len(set(map(str, rows))) == len(rows)


def _comes_again(found: Attempt, place: int) -> bool:
    """Tell whether a number comes again among the rows of one panel or batch."""
    owner = found.given.get(found.lexicon.kind.per)
    whose = found.contents[owner.place].cells if owner and owner.place is not None else None
    cells = found.contents[place].cells
    rows = [(str(cell), str(whose[at]) if whose else "") for at, cell in enumerate(cells)]
    rows = [row for row, cell in zip(rows, cells, strict=True) if not is_empty(cell)]
    return len(set(rows)) < len(rows)


def _columns_of_results(found: Attempt) -> list[Given]:
    """Return the columns of numbers of what the kind is about, and of what that is computed from."""
    lexicon = found.lexicon
    names = {*lexicon.results} | ({lexicon.only_value} if lexicon.only_value else set())
    names |= {
        need
        for relation in lexicon.kind.relations
        if relation.gives in names
        for need in relation.needs
    }
    return [
        one
        for one in (*found.given.values(), *found.spreads)
        if one.role.name in names and one.place is not None and found.contents[one.place].is_numeric
    ]
