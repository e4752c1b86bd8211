"""Which column of a table gives what: the surest first, and what nobody took."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from tiecoat.dialect.units import scale, understand
from tiecoat.plugin import Spread
from tiecoat.tabular.at_once import is_at_once
from tiecoat.tabular.attempts import TAUGHT, Attempt, Given, counted_on, spread_of
from tiecoat.tabular.column_fit import is_feasible, is_number, tells_validity, unit_said
from tiecoat.tabular.column_roles import is_of_other_days, more_told, possible_roles
from tiecoat.tabular.counting import number_determinations, runs_on
from tiecoat.tabular.general_words import is_general, is_of_a_thing
from tiecoat.tabular.lexicon import TIME_KEYS, Lexicon, Role
from tiecoat.tabular.note_amounts import counts_determinations
from tiecoat.tabular.places import is_place
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.words import EXACT, PARTLY, WordFit

_SEVERAL = 2  # readings in a row
_DAYS = ("moment", "date")


def give_columns(found: Attempt) -> None:
    """Give columns to roles, the surest first; what is left over is noted."""
    taken = _give_the_surest(found)
    taken |= _misfits(found, taken)
    number_determinations(found)
    _told_by_column(found)
    kept = {given.place for given in found.given.values()} | {s.place for s in found.spreads}
    found.passed = taken - kept
    timed = any(name in found.given and found.given[name].place is not None for name in TIME_KEYS)
    for place, content in enumerate(found.contents):
        if place in kept or place in taken or not content.filled:
            continue
        is_time = content.is_days or content.is_clocks
        if is_of_other_days(found, place, found.titles[place]) and not found.lexicon.has_times:
            found.passed.add(place)
        elif (is_time and (found.lexicon.has_times or not timed)) or (
            content.is_mostly_numbers
            and (_is_value_of_a_key(found, place) or not runs_on(found, place))
            and not _numbers_things(found, place)
            and not _is_flag(found, place)
            and not content.is_days
        ):
            found.untaken.append(place)
        else:
            found.passed.add(place)


def _numbers_things(found: Attempt, place: int) -> bool:
    """Tell whether a column tells which of several things was used: `Pycnometer no.` 1, 2, 1, 2."""
    values = found.contents[place].told_numbers
    name = found.titles[place].name
    return is_of_a_thing(name) and not is_general(name) and all(v.is_integer() for v in values)


def _is_flag(found: Attempt, place: int) -> bool:
    """Tell whether a column says by 1 in every row that the reading counts: `OK`, `valid`."""
    values = {*found.contents[place].told_numbers}
    return values == {1.0} and tells_validity(found.titles[place].name)


def note_left_over(found: Attempt) -> None:
    """Note what was given to nobody in the end: a column of numbers is read, passed over or told."""
    kept = {given.place for given in (*found.given.values(), *found.spreads)}
    kept |= found.passed | {*found.untaken} | {at for _, *both in found.rivals for at in both}
    for place, content in enumerate(found.contents):
        if place not in kept and content.filled and content.is_mostly_numbers:
            found.untaken.append(place)


def _give_the_surest(found: Attempt) -> set[int]:
    """Give columns to roles that they fit; two that are equally sure of one role are rivals."""
    wanted: list[tuple[int, int, int, Role, WordFit]] = []
    for place, title in enumerate(found.titles):
        if is_at_once(title.raw) and found.contents[place].is_numeric:
            continue  # values at that moment, and no column of times
        candidates = list(possible_roles(found, place, title))
        told = any(_tells_what(found, place, role, fit) for role, fit in candidates)
        for role, fit in candidates:
            if fit.level < EXACT and told:
                continue  # cells that do not fit the title are told, not taken for something else
            if is_feasible(found, place, role, title, fit):
                wanted.append((fit.level, fit.letters, place, role, fit))
    wanted = _side_by_side(found.lexicon, wanted)
    wanted.sort(key=_surest)
    taken: set[int] = set()
    best: dict[str, tuple[int, int]] = {}
    for level, letters, place, role, fit in wanted:
        if place in taken:
            continue
        if role.sort == "spread":
            more = more_told(found, place)
            given = Given(role, level, place, number=fit.number, hint=fit.unit, more=more)
            if (twin := _twin(found, given)) is not None and twin.place is not None:
                found.rivals.append((role, twin.place, place))
            else:
                found.spreads.append(given)
            taken.add(place)
        elif role.sort == "beside":
            if not _is_value_of_a_key(found, place):
                taken.add(place)
        elif role.name not in found.given:
            found.given[role.name] = Given(role, level, place, hint=fit.unit)
            best[role.name] = (level, letters)
            taken.add(place)
        elif best.get(role.name) == (level, letters) and role.sort != "key":
            first = found.given[role.name].place
            if level < PARTLY and not _in_other_units(found, first, place):
                continue
            others = [w[3] for w in wanted if w[2] == place and w[3].name not in found.given]
            alternatives = [other for other in others if other.sort != "beside"]
            if first is not None and not alternatives:
                found.rivals.append((role, first, place))
    return taken - _numbers_beside_values(found)


def _is_value_of_a_key(found: Attempt, place: int) -> bool:
    """Tell whether a title that may sum up others is a value of a key: the total of all coats."""
    lexicon, title = found.lexicon, found.titles[place]
    name, unit = lexicon.only_value, found.table.seen.columns[place].unit or title.unit
    if name is None or not unit or scale(unit, lexicon.roles[name].unit or "1") is None:
        return False
    keys = [key for key in lexicon.kind.identity if key in lexicon.closed]
    return any(lexicon.closed[key].knows(Title(title.name, title.name)) for key in keys)


def _in_other_units(found: Attempt, first: int | None, second: int) -> bool:
    """Tell whether two columns of one quantity are in two units: then one may show the other again."""
    units = [
        unit_said(found, place, found.titles[place])
        for place in (first, second)
        if place is not None
    ]
    return len(units) == 2 and None not in units and units[0] != units[1]


def _twin(found: Attempt, given: Given) -> Given | None:
    """Return another column of a wide layout that tells the same: two for the creep of a scribe."""
    own = spread_of(given)
    for other in found.spreads:
        told = spread_of(other)
        same = (told.column, told.key, told.value) == (own.column, own.key, own.value)
        if same and own.key and (other.number, other.more) == (given.number, given.more):
            return other
    return None


def _numbers_beside_values(found: Attempt) -> set[int]:
    """Give back titles with a number beside others of the column whose number is a value of its key.

    Gloss 46 beside gloss 60 and gloss 85 is no reading of the 46th spot.
    """
    valued = {spread_of(s).column for s in found.spreads if isinstance(spread_of(s).value, float)}
    numbers = [
        s for s in found.spreads if spread_of(s).value is None and spread_of(s).column in valued
    ]
    found.spreads = [s for s in found.spreads if s not in numbers]
    return {s.place for s in numbers if s.place is not None}


def _side_by_side(
    lexicon: Lexicon, wanted: Sequence[tuple[int, int, int, Role, WordFit]]
) -> list[tuple[int, int, int, Role, WordFit]]:
    """Where titles name a column and a word of its key, take them for a wide layout if several do.

    Such as the thickness of the wet beside that of the dry film, or an area of rust beside blisters;
    alone it is but a thickness or an area, as is what belongs to several words, the width of a scribe,
    where no other title tells one. A column that only one word of the key has says it as well: a
    creep beside a grade of ASTM D610.
    """
    plain = {(w[2], w[3].name) for w in wanted if w[3].sort == "column" and w[0] == EXACT}
    worded = [
        w
        for w in wanted
        if w[3].spread is not None
        and isinstance(w[3].spread.value, str)
        and w[3].spread.key
        and (w[2], w[3].name) in plain
    ]
    told: dict[str, dict[int, set[object]]] = {}
    alone: dict[int, Spread] = {}
    for level, _, place, role, _ in wanted:
        if role.spread is not None and level == EXACT:
            of_title = told.setdefault(role.spread.key, {}).setdefault(place, set())
            of_title.add(role.spread.value)
    for place, spread in _of_one_word(lexicon, plain, told).items():
        told.setdefault(spread.key, {})[place] = {spread.value}
        alone[place] = spread
    several = {
        key
        for key, titles in told.items()
        if len(set().union(*titles.values())) > 1 and any(len(one) == 1 for one in titles.values())
    }
    wide = {w[2] for w in worded if w[3].spread and w[3].spread.key in several}
    return [
        (*w[:3], replace(w[3], sort="spread", spread=alone[w[2]]), w[4])
        if w[2] in alone and w[3].sort == "column" and w[3].name == alone[w[2]].column
        else w
        for w in wanted
        if (w not in worded or w[2] in wide) and not (w[2] in wide and w[3].sort == "column")
    ]


def _of_one_word(
    lexicon: Lexicon,
    plain: set[tuple[int, str]],
    told: Mapping[str, Mapping[int, set[object]]],
) -> dict[int, Spread]:
    """Return columns that tell a word of a key by themselves, where another title tells a word without them.

    A creep beside a grade of rust, which has none. A width of damage beside delamination is of that.
    """
    found = {
        place: lexicon.of_one_word[name] for place, name in plain if name in lexicon.of_one_word
    }
    found = {at: one for at, one in found.items() if at not in told.get(one.key, {})}
    own: dict[int, Spread] = {}
    for place, spread in found.items():
        has_it = {
            each.value
            for each in lexicon.kind.spreads
            if (each.column, each.key) == (spread.column, spread.key)
        } | {spread.value}
        others = [values for at, values in told.get(spread.key, {}).items() if at != place]
        others += [
            {each.value} for at, each in found.items() if at != place and each.key == spread.key
        ]
        said = {value for values in others if len(values) == 1 for value in values & has_it}
        if any(values.isdisjoint(has_it) for values in others):
            word = said.pop() if len(said) == 1 else spread.value
            own[place] = replace(spread, value=word)  # type: ignore[arg-type]
    return own


def _surest(wanted: tuple[int, int, int, Role, WordFit]) -> tuple[int, bool, int, int, bool]:
    """Order what columns may be: the surest fit first; a title that tells more before one that does not."""
    level, letters, place, role, _ = wanted
    return -level, role.sort == "beside", -letters, place, role.sort != "spread"


def _misfits(found: Attempt, taken: set[int]) -> set[int]:
    """Take columns whose title is a word of the kind although their cells or unit do not fit.

    They are read, so that what is wrong with them is told: else a column of texts where numbers
    belong would be left out without a word.
    """
    more: set[int] = set()
    for place, title in enumerate(found.titles):
        if place in taken or not found.contents[place].filled or _names_places(found, place):
            continue
        for role, fit in found.lexicon.fits(title):
            if not _tells_what(found, place, role, fit) or role.name in found.given:
                continue
            if is_general(title.name) and _of_other_unit(found, place, role):
                continue  # a value of something else
            if role.name in _DAYS and found.given.keys() & set(_DAYS):
                continue  # one day is enough
            if role.name in found.lexicon.kind.identity and found.lexicon.kind.unique:
                continue  # a time that runs along a sweep
            given = Given(role, fit.level, place, number=fit.number, hint=fit.unit)
            if role.sort == "spread":
                found.spreads.append(given)
            else:
                found.given[role.name] = given
            more.add(place)
            break
    return more


def _names_places(found: Attempt, place: int) -> bool:
    """Tell whether a column names where on a panel somebody has read: an area is a place there."""
    content = found.contents[place]
    return not content.is_numeric and all(is_place(str(cell)) for cell in content.filled)


def _of_other_unit(found: Attempt, place: int, role: Role) -> bool:
    unit = unit_said(found, place, found.titles[place])
    if unit and not role.unit:
        return understand(unit) not in ("", None)
    return bool(unit and role.unit) and scale(unit or "", role.unit) is None


def _tells_what(found: Attempt, place: int, role: Role, fit: WordFit) -> bool:
    """Tell whether a title alone says what its cells are: numbers, or times where most are none."""
    unit = found.titles[place].unit
    letters = fit.letters + (bool(unit and role.unit) and scale(unit or "", role.unit) is not None)
    if fit.level < EXACT or letters < 2 or role.type == "str" or is_number(found.titles[place]):
        return False
    if role.type == "time":
        return role.sort in ("key", "column") and not found.contents[place].is_numeric
    return role.sort in ("column", "source", "spread")


def _told_by_column(found: Attempt) -> None:
    """Where a column tells what a wide title would tell too, take that title for its values alone."""
    _count_on_in_rows(found)
    kept = []
    for given in found.spreads:
        spread = spread_of(given)
        if spread.key not in found.given or spread.key == "number":
            kept.append(given)  # numbers of readings side by side are no column's
        elif spread.column not in found.given and given.place is not None:
            role = found.lexicon.roles[spread.column]
            found.given[spread.column] = Given(role, given.level, given.place, hint=given.hint)
        elif (first := found.given[spread.column].place) is not None and given.place is not None:
            found.rivals.append((found.lexicon.roles[spread.column], first, given.place))
    found.spreads = kept


def _count_on_in_rows(found: Attempt) -> None:
    """Count readings on where rows are numbered, and each has several: spot 1 with readings 1, 2, 3.

    The numbers of the rows must come once on each panel or batch, those of the readings be 1 to their
    count.
    """
    kind = found.lexicon.kind
    counted = found.given.get(kind.counted or "")
    if counted is None or counted.place is None or counted.level >= TAUGHT or kind.unique:
        return
    numbered = [one for one in found.spreads if one.number is not None]
    numbered = [one for one in numbered if spread_of(one).key == kind.counted]
    if not all(counts_determinations(found.titles[one.place or 0].raw) for one in numbered):
        return  # thickness 1 and 2 may be those of two coats
    numbers = sorted(one.number for one in numbered if one.number is not None)
    names = {one.role.name for one in numbered}
    if len(numbers) < _SEVERAL or numbers != [float(n + 1) for n in range(len(numbers))]:
        return
    if len(names) > 1 or names & found.given.keys() or not _is_once_on_each(found, counted.place):
        return
    found.spreads = [counted_on(one) if one in numbered else one for one in found.spreads]
    del found.given[kind.counted or ""]
    title = found.titles[counted.place].raw
    found.aside[counted.place] = f"the numbers under '{title}' are left out, all readings counted"


def _is_once_on_each(found: Attempt, place: int) -> bool:
    """Tell whether a column holds whole numbers of which none comes twice on one panel or batch."""
    content, owner = found.contents[place], found.given.get(found.lexicon.kind.per)
    values = content.told_numbers if content.is_numeric else []
    if not values or len(values) < len(content.cells) or not all(map(float.is_integer, values)):
        return False
    at = owner.place if owner is not None else None
    whose = found.contents[at].cells if at is not None else [""] * len(values)
    return len({*zip(map(str, whose), values, strict=True)}) == len(values)


def told_by_entry(found: Attempt) -> None:
    """Let an entry that tells what one wide title would tell count: several titles tell it better."""
    keys = {spread_of(given).key for given in found.spreads} & found.given.keys()
    for key in keys:
        columns = [spread_of(s).column for s in found.spreads if spread_of(s).key == key]
        if len(set(columns)) < len(columns):
            del found.given[key]
    _told_by_column(found)


def complete_what_is_shown(found: Attempt) -> None:
    """Let a title that may belong to several words of a key belong to those that others show.

    Such as the width of the scribe, from which delamination and corrosion are both measured.
    """
    for given in [one for one in found.spreads if one.place is not None]:
        own = spread_of(given)
        if not isinstance(own.value, str):
            continue
        others = [one for one in found.spreads if one.place != given.place]
        shown = {
            value
            for one in others
            for key, value in one.keys
            if key == own.key and value != own.value
        }
        alike = [
            Given(role, fit.level, given.place, hint=fit.unit)
            for role, fit in found.lexicon.fits(found.titles[given.place or 0])
            if fit.level == given.level
            and role.spread is not None
            and (role.spread.column, role.spread.key) == (own.column, own.key)
            and role.spread.value in shown
        ]
        if alike and any(own.value == value for one in others for _, value in one.keys):
            found.spreads += alike
        elif alike:
            at = found.spreads.index(given)
            found.spreads[at : at + 1] = alike
