"""Wide tables whose titles are values of a key: states, cups, hours, readings side by side.

What stands below them, a heading names: `density in g/ml` over as mixed and deaerated, `degree of
rusting` over 24 h, 240 h, 480 h.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from string import ascii_uppercase

from tiecoat.contract import words as shared
from tiecoat.dialect.units import scale
from tiecoat.plugin import Spread
from tiecoat.tabular.at_once import is_at_once
from tiecoat.tabular.attempts import TAUGHT, Attempt, Given, counted_on, spread_of
from tiecoat.tabular.cell_looks import is_unit
from tiecoat.tabular.facts import number_of
from tiecoat.tabular.general_words import is_count_of, is_general
from tiecoat.tabular.lexicon import Lexicon, Role
from tiecoat.tabular.note_amounts import number_of_determination
from tiecoat.tabular.places import is_place
from tiecoat.tabular.plain_words import listed, without_scale
from tiecoat.tabular.spans import hours_in
from tiecoat.tabular.spoken import amounts_spoken_of, main_value, speaks
from tiecoat.tabular.title_parts import Title, parted
from tiecoat.tabular.told_entries import ToldEntry
from tiecoat.tabular.words import EXACT, WordIndex

_AMOUNT = re.compile(r"(?:[^\W\d]+\.?\s*=?\s*)?(?P<number>\d+(?:[.,]\d+)?)\s*(?P<unit>[^\d\s]+)")
_NUMBER = re.compile(r"(?:[^\W\d]+[\s.°º]*)?0*(?P<number>\d{1,2})\.?")
_PARTS = re.compile(r"\s*[,;()]\s*|\.\s+(?=[^\W\d])|:\s+")
_AMOUNTS_WITHIN = re.compile(r"(?<!\w)\d+(?:[.,]\d+)?\s?[^\W\d]+")
_INSIDE = re.compile(r"[(\[]([^()\[\]]+)[)\]]")
_COMPUTED: WordIndex[str] = WordIndex()
_COMPUTED.add(listed(shared.COMPUTED), "computed")
_COLUMNS: WordIndex[str] = WordIndex()
_COLUMNS.add(listed(shared.COLUMNS), "column", numbered=True)
_BEHIND = re.compile(  # foam volume (ml) after ... min
    r"\b(?:after|at|nach|bei|après|à|tras|a|dopo|po|w|na|bij|při|v)[\s.…]+\(?(?P<unit>[^\W\d_]{1,8})\)?[\s.:]*$",
    re.IGNORECASE,
)
_MARKS = {"'": "min", "′": "min", "’": "min", '"': "s", "″": "s", "''": "s"}  # 5' and 30"
_WORDS_OF_PLACE = 2  # top left
_LEAST = 2  # titles that make a wide table


def take_across(found: Attempt) -> None:
    """Take columns whose titles are values of one key, where something names what they hold.

    What is computed, by its title, is passed over if others tell without it.
    """
    if found.lexicon.kind.replaces:
        return
    computed = {n for n, title in enumerate(found.titles) if is_computed(title)}
    before = (dict(found.given), list(found.spreads), list(found.untaken), list(found.rivals))
    if computed:
        free(found, computed)
    count = len(found.spreads)
    _take_across(found, computed)
    if not computed:
        return
    if len(found.spreads) > count:
        found.passed |= computed
    else:
        found.given, found.spreads, found.untaken, found.rivals = before
        _take_across(found, set())


def is_computed(title: Title) -> bool:
    """Tell whether a title says in brackets that somebody has worked its column out."""
    inside = _INSIDE.findall(title.raw)
    return any(_COMPUTED.knows(Title(each, each)) for each in inside)


def free(found: Attempt, places: set[int]) -> None:
    """Take columns back from what they were given to."""
    found.given = {name: one for name, one in found.given.items() if one.place not in places}
    found.spreads = [one for one in found.spreads if one.place not in places]
    found.untaken = [place for place in found.untaken if place not in places]
    found.rivals = [one for one in found.rivals if not {one[1], one[2]} & places]


def _take_across(found: Attempt, aside: set[int]) -> None:
    """Take columns but for some that stand aside."""
    kind = found.lexicon.kind
    _more_of_a_key(found)
    role = held(found) or _role_of_places(found)
    if role is None or _take_places(found, role):
        return
    own = found.given.get(role.name)
    if own is not None and (own.level >= EXACT or own.place is None):
        return
    for key in (*kind.identity, *kind.unique):
        if kind.unique and key in kind.identity and key not in found.lexicon.closed:
            continue  # numbers side by side are those of a sweep
        told = {n: value for n, value in _titles_of(found, key, role) if n not in aside}
        if len(told) < _LEAST or len(set(told.values())) < len(told):
            continue
        numbers = {n for n, title in enumerate(found.titles) if title.name.strip().isdigit()}
        if numbers & told.keys() and not numbers <= told.keys() | aside:
            continue  # 60 among 58, 59, 60 is no angle
        if own is not None and own.place not in told:
            return
        given = found.given.get(key)
        if given is not None and given.told is None and given.place not in told:
            continue
        take_of_key(found, role, key, told)
        return


def _take_places(found: Attempt, role: Role) -> bool:
    """Take readings side by side under words for places, in their order: left, centre, right.

    Their numbers are left open, so that those of all rows are counted on.
    """
    key = found.lexicon.kind.counted
    if key is None or found.lexicon.kind.unique:
        return False
    rows = {place for place in range(len(found.titles)) if _are_places(found, place)}
    counts, letters = _grid_of_letters(found)
    rows |= counts
    named = [
        place
        for place, title in enumerate(found.titles)
        if place in letters
        or is_place(title.name)
        or (rows and _COLUMNS.knows(Title(title.raw, title.name)))
        or _of_a_place(found, title) is not None
        if found.contents[place].is_numeric
    ]
    own = found.given.get(role.name)
    if own is not None and _is_mere_number(own):
        own = None  # of something else: EP 412 above WFT left
    if len(named) < _LEAST or (own is not None and own.place not in named):
        return False
    if key in found.given and found.given[key].place not in rows:
        return False
    free(found, rows)
    found.passed |= rows
    if own is None:
        found.given.pop(role.name, None)
    take_of_key(found, role, key, {place: float("nan") for place in named})
    return True


def count_on_along_places(found: Attempt) -> None:
    """Leave the numbers of readings side by side open where the rows of a panel are places: top, middle.

    They are counted on from row to row, as each has a first, second and third of its own.
    """
    key, per = found.lexicon.kind.counted, found.lexicon.kind.per
    numbered = [
        one for one in found.spreads if one.place is not None and dict(one.keys).get(key or "")
    ]
    whose = found.given.get(per)
    owner = found.contents[whose.place].cells if whose and whose.place is not None else None
    rows = {place for place in range(len(found.titles)) if _are_places(found, place)}
    if key is None or len(numbered) < _LEAST or not rows or key in found.given:
        return
    if found.lexicon.kind.unique or any(len(one.keys) > 1 for one in numbered):
        return
    for place in rows:
        cells = found.contents[place].cells
        pairs = [(str(owner[at]) if owner else "", str(cell)) for at, cell in enumerate(cells)]
        if len({*pairs}) == len(pairs) > len({one for one, _ in pairs}):
            found.spreads = [counted_on(one) if one in numbered else one for one in found.spreads]
            found.passed |= rows
            return


def _is_mere_number(given: Given) -> bool:
    """Tell whether an entry gives a quantity without its unit."""
    told = given.told
    unit = told and (told.unit or told.title.unit)
    return bool(told and given.role.unit and not unit and given.level < TAUGHT)


def _grid_of_letters(found: Attempt) -> tuple[set[int], set[int]]:
    """Return the columns that number the rows of a grid of places, and those of its readings: A, B, C."""
    raws = [title.raw.strip() for title in found.titles]
    counts = {n for n, raw in enumerate(raws) if not raw and found.contents[n].counts}
    letters = [n for n, raw in enumerate(raws) if n not in counts]
    named = "".join(raws[n] for n in letters).upper()
    grid = bool(counts) and len(letters) >= _LEAST and named == ascii_uppercase[: len(letters)]
    return (counts, {*letters}) if grid else (set(), set())


def _of_a_place(found: Attempt, title: Title) -> Role | None:
    """Return the result that a title names beside a place: `NSD links (µm)`, `left gloss`."""
    words = title.name.split()
    for count in range(1, min(len(words), _WORDS_OF_PLACE + 1)):
        for place, rest in ((words[-count:], words[:-count]), (words[:count], words[count:])):
            name = " ".join(rest)
            if not is_place(" ".join(place)):
                continue
            for role, fit in found.lexicon.fits(Title(name, name, title.unit)):
                result = role.name in {*found.lexicon.results, found.lexicon.only_value}
                if fit.level == EXACT and result and role.sort in ("column", "spread"):
                    return role
    return None


def _role_of_places(found: Attempt) -> Role | None:
    """Return the one result that titles name beside places."""
    roles = [role for title in found.titles if (role := _of_a_place(found, title)) is not None]
    same = {(role.name, role.spread and role.spread.value) for role in roles}
    return roles[0] if len(roles) >= _LEAST and len(same) == 1 else None


def _are_places(found: Attempt, place: int) -> bool:
    content = found.contents[place]
    cells = [] if content.is_numeric else [str(cell) for cell in content.filled]
    return bool(cells) and all(map(is_place, cells))


def _more_of_a_key(found: Attempt) -> None:
    """Take columns whose titles are closed words of a key that wide titles beside them tell: all coats."""
    for given in [one for one in found.spreads if one.place is not None]:
        spread = spread_of(given)
        if spread.key not in found.lexicon.closed or spread.key in found.given:
            continue
        key = spread.key
        taken = {one.place for one in (*found.given.values(), *found.spreads)}
        more = {
            place: value
            for place, value in _titles_of(found, key, given.role)
            if place not in taken
            and not is_count_of(found.titles[place].raw)
            and not is_beside(found.lexicon, found.titles[place].name, key)
        }
        for place, value in more.items():
            own = replace(given.role, spread=replace(spread, value=value))
            found.spreads.append(Given(own, EXACT, place))
        found.untaken = [place for place in found.untaken if place not in more]


def take_of_key(found: Attempt, role: Role, key: str, told: dict[int, float | str]) -> None:
    """Let columns stand for one value each, told apart by a key."""
    free(found, {*told})
    found.given.pop(key, None)
    found.passed -= told.keys()
    tell_key(found, role)
    for place, value in told.items():
        of_title = replace(role, sort="spread", spread=Spread("", role.name, key, value))
        found.spreads.append(
            Given(of_title, EXACT, place, more=(*_amounts_told(found, place, key),))
        )
        found.titles[place] = replace(found.titles[place], unit=_unit_of(found, place, role))


def _amounts_told(found: Attempt, place: int, key: str) -> Iterator[tuple[str, float]]:
    """Yield what a title tells beside its word of a key: that 30 min in `density rested 30 min`."""
    lexicon = found.lexicon
    for other in lexicon.kind.identity if key in lexicon.closed else ():
        if other == key or not lexicon.infos[other].unit or other in found.given:
            continue
        amounts = {*amounts_spoken_of(found, lexicon.roles[other], found.titles[place].raw)}
        if len(amounts) == 1:
            yield other, amounts.pop()


def tell_key(found: Attempt, role: Role) -> None:
    """Take what the sort of values that a heading speaks of tells too: the property of a rating."""
    spread = role.spread
    if spread is not None and spread.key and spread.key not in found.given:
        row, sheet = found.table.seen.header_row, found.table.seen.sheet
        entry = ToldEntry(Title(spread.key, spread.key), spread.value or "", None, row, None, sheet)
        found.given[spread.key] = Given(found.lexicon.roles[spread.key], EXACT, told=entry)


def _unit_of(found: Attempt, place: int, role: Role) -> str | None:
    """Return the unit beside such a title if it is one of its values, and not a part of the key."""
    column = found.table.seen.columns[place]
    group = parted(column.parts[0]).unit if len(column.parts) > 1 else None
    units = (column.unit, found.titles[place].unit, group)
    fitting = (u for u in units if u and role.unit and scale(u, role.unit) is not None)
    return next(fitting, None)


def _titles_of(found: Attempt, key: str, role: Role) -> Iterator[tuple[int, float | str]]:
    """Return the columns whose titles are values of a key, and these."""
    corner = found.titles[0].unit if found.titles and found.contents[0].panels > 0 else None
    corner = corner or _unit_behind(found)
    for place, title in enumerate(found.titles):
        content = found.contents[place]
        if not content.filled or _taken(found, place) or found.taught.of(title) is not None:
            continue
        if role.type == "float" and not content.is_numeric:
            continue
        value = _value(found.lexicon, key, title, role, corner)
        parts = found.table.seen.columns[place].parts
        if value is None and len(parts) > 1:  # below a group that says what all of them hold
            value = _value(found.lexicon, key, parted(parts[-1]), role)
        if value is not None:
            yield place, value


def _unit_behind(found: Attempt) -> str | None:
    """Return the unit of bare numbers across that the line above them ends with: `after ... min`."""
    seen = found.table.seen
    above = [line for line in seen.above if line.row < seen.header_row]
    match = _BEHIND.search(above[-1].text) if above else None
    return match["unit"] if match and is_unit(match["unit"]) else None


def _taken(found: Attempt, place: int) -> bool:
    """Tell whether a column is surely something else: its whole title is a word for it."""
    title = found.titles[place]
    return any(
        given.place == place and given.level >= EXACT and not is_general(title.name)
        for given in found.given.values()
    ) or any(given.place == place and not title.name.strip().isdigit() for given in found.spreads)


def _value(
    lexicon: Lexicon, key: str, title: Title, role: Role, corner_unit: str | None = None
) -> float | str | None:
    """Return the value of a key that a title is: a closed word, an amount in its unit, a number."""
    info = lexicon.infos[key]
    if key in lexicon.closed:
        text = title.name if title.unit and scale(title.unit, role.unit or "1") else title.raw
        for each in (text, title.raw):
            if lexicon.closed[key].knows(Title(each.strip(), each.strip())):
                return lexicon.in_words_of_kind(key, each.strip())
        return lexicon.told_in(key, title.raw)
    if info.type == "str":
        return None
    if info.unit:
        amount = amount_of(title.raw, info.unit)
        if amount is not None or not title.name.strip().isdigit():
            return amount
        corner = scale(corner_unit, info.unit) if corner_unit else None
        if corner is not None:
            return corner.apply([float(title.name)])[0]
        return _known_value(lexicon, key, title, role)
    if title.unit and role.unit and scale(title.unit, role.unit) is None:
        return None  # 2nd run (s): a reading of something else
    match = _NUMBER.fullmatch(title.name.strip())
    if match and (title.name.strip().isdigit() or _names(lexicon, key, title.name)):
        return float(match["number"])
    return number_of_determination(title.name) if key == lexicon.kind.counted else None


def _known_value(lexicon: Lexicon, key: str, title: Title, role: Role) -> float | None:
    """Return the value of a key that a bare number is where wide titles have it: 20 of a gloss."""
    number = float(title.name)
    alike = (role.name, key, number)
    told = {(one.column, one.key, one.value) for one in lexicon.kind.spreads}
    return number if alike in told else None


def _names(lexicon: Lexicon, key: str, text: str) -> bool:
    word = re.sub(r"[\s.\d]+$", "", text)
    return any(r.name == key and f.level == EXACT for r, f in lexicon.fits(Title(word, word)))


def amount_of(text: str, unit: str) -> float | None:
    """Return the amount that a text is, in a unit; of hours also that which it speaks of: after 3 days.

    Of seconds it may also be the moment from which they count: `at once`, `t = 0`.
    """
    if unit == "s" and is_at_once(text):
        return 0.0
    match = _AMOUNT.fullmatch(text.strip("()[] "))
    if match is None:
        return hours_in(text) if unit == "h" else None
    way = scale(_MARKS.get(match["unit"], match["unit"]) if unit == "s" else match["unit"], unit)
    if way is None:
        return hours_in(text) if unit == "h" else None
    value = number_of(match["number"])
    return None if value is None else way.apply([value])[0]


def held(found: Attempt) -> Role | None:
    """Return what a heading, the sheet or the file says that a wide table holds."""
    if (spread := spread_in(found)) is not None:
        return spread
    name = main_value(found)
    if name is None or not speaks(found, found.lexicon.roles[name]):
        return None
    return found.lexicon.roles[name]


def spread_in(found: Attempt) -> Role | None:
    """Return the one sort of values, such as creep from the scribe, that the headings speak of."""
    lexicon = found.lexicon
    if not _distinct(list(lexicon.roles.values())):
        return None
    used = [given.told for given in found.given.values()]
    above = [(line.row, line.text) for line in found.table.headings]
    above += [
        (told.row, f"{told.title.raw}: {told.value}")
        for told in found.table.entries
        if isinstance(told.value, str)
        and told not in used
        and not any(role.type == "str" for role, _ in lexicon.fits(told.title))
    ]
    texts = [text for _, text in sorted(above, key=lambda one: -one[0])]  # the nearest first
    texts += [found.table.seen.sheet or "", found.file.export.name.rpartition(".")[0]]
    column: str | None = None  # that a nearer text speaks of: total width over the scribe
    for text in map(without_scale, texts):
        exact = _distinct(
            role
            for part in (text, *_PARTS.split(text))
            for spelling in (parted(part), Title(part, part))
            for role, fit in lexicon.fits(spelling)
            if fit.level == EXACT
        )
        longest = lexicon.longest_spoken_of(text)
        spoken = exact or _distinct(longest)
        if spoken:
            closer = lexicon.closer_spoken_of(text, spoken[0]) if len(spoken) == 1 else None
            if closer and closer.type == "float" and not _has_numbers(found):
                closer = spoken[0]  # Degree of rusting Ri, area without scribe: of Ri 2 none in %
            return _in_column(lexicon, closer, column)
        shown = (role.name for role in longest if role.name in lexicon.kind.shown_by)
        column = column or next(shown, None)
    return None


def _has_numbers(found: Attempt) -> bool:
    """Tell whether a column without a role holds numbers."""
    places = {given.place for given in found.given.values()}
    return any(one.is_numeric for n, one in enumerate(found.contents) if n not in places)


def _in_column(lexicon: Lexicon, role: Role | None, column: str | None) -> Role | None:
    """Return the spread of the same key in a column that a text speaks of, if there is one."""
    if role is None or role.spread is None or column in (None, role.spread.column):
        return role
    same = (role.spread.key, role.spread.value, column)
    spreads = ((each, each.spread) for each in lexicon.roles.values())
    return next(
        (each for each, one in spreads if one and (one.key, one.value, one.column) == same), role
    )


def _distinct(roles: Iterator[Role] | Sequence[Role]) -> list[Role]:
    """Return the roles that are spreads over closed words, each once."""
    found: list[Role] = []
    for role in roles:
        spread = role.spread
        if spread is not None and spread.key and isinstance(spread.value, str):
            found += [role] if all(role is not other for other in found) else []
    return found


def is_beside(lexicon: Lexicon, title: str, *keys: str) -> bool:
    """Tell whether a title has a word of what stands beside values: a mean; a total is a system.

    Behind a number min is no least value.
    """
    for word in _AMOUNTS_WITHIN.sub(" ", title).split():
        best = [role for role, fit in lexicon.fits(Title(word, word)) if fit.level == EXACT]
        told = any(lexicon.told_in(key, word) is not None for key in keys)
        if best and all(role.sort == "beside" for role in best) and not told:
            return True
    return False
