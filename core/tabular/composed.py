"""Titles that tell several things: a panel, a time, a property, the number of a spot.

Each in a row of titles of its own (`Rusting` over `240 h` and `480 h`, `20°` over spots 1, 2, 3,
a time over two properties), or in one title (`K7-04.b2 wet`). What none of them tells of the values
below, a heading does.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from tiecoat.dialect.units import scale
from tiecoat.plugin import Spread
from tiecoat.tabular.across import amount_of, free, held, is_computed, tell_key
from tiecoat.tabular.attempts import Attempt, Given
from tiecoat.tabular.cell_looks import counted_by_letters, is_unit
from tiecoat.tabular.general_words import is_count_of, is_general
from tiecoat.tabular.id_looks import SIGNS, IdLooks, as_typed
from tiecoat.tabular.lexicon import Role
from tiecoat.tabular.note_amounts import number_of_determination
from tiecoat.tabular.places import is_place
from tiecoat.tabular.title_parts import Title, parted
from tiecoat.tabular.words import EXACT

_LEAST = 2  # columns that make a wide table
_NUMBER = re.compile(r"0*(?P<number>\d{1,4})\.?")
_NAMED = re.compile(r"(?P<name>.*[^\W\d].*?)[\s_.#(no°]*?(?P<number>\d{1,2})\)?")
_COUNT_AND = re.compile(
    r"(?P<count>[^\W\d][^\d]{0,20}?\s?(?P<number>\d{1,2}))[\s,:;/–-]+(?P<rest>[^\d\s].*)", re.DOTALL
)
_LIKE = re.compile(
    r"(?P<name>[^\W\d].*?[^\W\d_])[\s_.#(-]*(?P<count>\d|(?<=[\s_.(-])(?:[A-Da-d]|I{1,3}))\)?"
)
_ORDERS = (("1", "2", "3", "4", "5", "6"), ("A", "B", "C", "D"), ("I", "II", "III"))
_VALUE = r"(?<![\d.,]){}\s?(?:°|º|deg\b\.?)"
_VALUE_CUT = re.compile(r"[,;:@()\[\]_–-]+|\b(?:at|bei|à|a|przy|pod|bij|při)\b")
_SPAN = re.compile(
    r"[\s,;:@_-]*(?:\b(?:at|after|bei|nach|après|à|a|tras|dopo|po|na|bij|při)\s+)?"
    r"(?<![\d.,])(?P<amount>\d+(?:[.,]\d+)?\s?[^\W\d_]{1,7})(?![^\W_])[,;:]?",
    re.IGNORECASE,
)
_EMPTY = re.compile(r"\(\s*\)|\[\s*\]")
_ENDS = "()[]:,;.–- "
_SHORT = re.compile(r"[^\W_]{1,3}")
_BRACKETS = re.compile(r"[()\[\],;:–_]|(?<!\w)-|-(?!\w)")
_CORNER = re.compile(r"\s*[\\/|]\s*")  # between what stands down and what stands across
_NO_SIGNS = Title("", "")
_Key = float | str


@dataclass
class _Said:
    """What the title of a column tells."""

    place: int
    roles: list[Role] = field(default_factory=list)  # of its values, the best first, below a group
    keys: dict[str, _Key] = field(default_factory=dict)
    unit: str | None = None
    number: float | None = None  # of what, another part tells
    signs: Title = _NO_SIGNS  # what a part tells of the sign of the values, or their logarithm
    named: dict[str, str | None] = field(default_factory=dict)  # keys by their words, and units
    passed: bool = False
    strange: bool = False


def take_composed(found: Attempt, ids: IdLooks) -> bool:
    """Take columns whose titles tell several things, if all of them are understood."""
    kind = found.lexicon.kind
    if kind.replaces:
        return False
    told = [said for said in _all_said(found, ids) if not said.passed]
    told = [said for said in told if found.taught.of(found.titles[said.place]) is None]
    by_id = [said for said in told if kind.per in said.keys]
    if len(by_id) >= _LEAST:
        told = by_id
    elif any(said.strange for said in told):
        return False
    told = [said for said in told if said.keys or said.number is not None]
    if len(told) < _LEAST or not _numbered(found, told):
        return False
    before = (dict(found.given), list(found.spreads), list(found.untaken), list(found.rivals))
    free(found, {said.place for said in told})
    general = held(found) or _of_units(found, [said for said in told if not said.roles])
    if _take(found, told, general):
        return True
    found.given, found.spreads, found.untaken, found.rivals = before
    if by_id:  # columns of panels hold nothing that belongs to all of them
        places = {said.place for said in told}
        free(found, places)
        found.untaken += sorted(n for n in places if found.contents[n].filled)
    return False


def _take(found: Attempt, told: Sequence[_Said], general: Role | None) -> bool:
    """Take the columns if each of them holds something else than the others."""
    kind = found.lexicon.kind
    roles: dict[int, Role] = {}
    for said in told:
        holding = [role for role in said.roles if _holds(found, said.place, role)]
        of_title = said.unit or found.titles[said.place].unit
        in_unit = [role for role in holding if of_title and _fits(of_title, role)]
        own = next(iter(in_unit or holding), None)  # foam in ml is its volume
        role = own or (None if said.roles else general)
        if role is None or not _holds(found, said.place, role):
            return False
        if own is None and said.unit and role.unit and not _fits(said.unit, role):
            return False  # 2nd run (s) below words for a viscosity
        roles[said.place] = role
    shapes = {frozenset(said.keys) for said in told}
    each = {(roles[said.place].name, *sorted(map(str, said.keys.items()))) for said in told}
    if len(shapes) > 1 or len(each) < len(told):
        return False
    runs = {frozenset(n) for n in (*_of_runs(found), *_of_spans(found), *_of_branches(found))}
    if kind.unique and not shapes <= runs:
        return False  # numbers side by side are those of a sweep
    twice = {key for said in told for key in said.keys} & found.given.keys()
    if any(_gives(found, found.given[key]) for key in twice):
        return False
    for key in twice:
        _take_corner(found, found.given.pop(key).place)
    for said in told:
        role = roles[said.place]
        (key, value), *more = said.keys.items()
        spread = Spread("", role.name, key, value)
        own = replace(role, sort="spread", spread=spread)
        found.spreads.append(Given(own, EXACT, said.place, more=tuple(more)))
        title = found.titles[said.place]
        below = found.table.seen.columns[said.place].unit or title.unit
        unit = next((u for u in (said.unit, below) if u and _fits(u, role)), None)
        signs = said.signs
        found.titles[said.place] = replace(title, unit=unit, turned=signs.turned, log=signs.log)
    if general is not None and all(roles[said.place] is general for said in told):
        tell_key(found, general)
    return True


def _of_units(found: Attempt, told: Sequence[_Said]) -> Role | None:
    """Return the one sort of values whose unit all titles say, where no heading says what they are."""
    units = {said.unit or found.titles[said.place].unit for said in told} or {None}
    roles = [
        role
        for role in found.lexicon.roles.values()
        if role.sort == "column" and role.unit and role.name not in found.lexicon.kind.identity
        if all(unit and scale(unit, role.unit) is not None for unit in units)
    ]
    return roles[0] if len(roles) == 1 else None


def _gives(found: Attempt, given: Given) -> bool:
    """Tell whether a column gives a key, and is no label of the row of titles that tell it."""
    if given.place is None:
        return False
    if given.role.name == "panel" and _CORNER.search(found.titles[given.place].raw):
        return found.contents[given.place].panels > 0
    return given.role.type != "float" or found.contents[given.place].is_numeric


def _take_corner(found: Attempt, place: int | None) -> None:
    """Take a column for what stands down where its title names what stands across: `Point \\ Panel`."""
    if place is None or not found.contents[place].is_numeric:
        return
    down = _CORNER.split(found.titles[place].raw)[0]
    roles = [
        role
        for role, fit in found.lexicon.fits(Title(down, down.strip()))
        if fit.level == EXACT and role.spread is None and role.name in found.lexicon.kind.identity
    ]
    if len(roles) == 1 and roles[0].name not in found.given:
        found.given[roles[0].name] = Given(roles[0], EXACT, place)
    else:
        found.untaken.append(place)


def _of_runs(found: Attempt) -> Iterator[set[str]]:
    """Return what may tell the columns of a kind apart that has sweeps: its runs, by any keys but theirs."""
    kind = found.lexicon.kind
    if kind.counted is None:
        return
    closed = [key for key in kind.identity if key in found.lexicon.closed]
    for own in ([], [kind.counted]):
        for of in ([], [kind.per]):
            for words in ([], *([key] for key in closed)):
                yield {*own, *of, *words}


def _of_spans(found: Attempt) -> Iterator[set[str]]:
    """Return what else may tell sweeps apart: the hours of their exposure, of one panel or of each."""
    kind, infos = found.lexicon.kind, found.lexicon.infos
    for key in kind.identity:
        if infos[key].unit == "h":
            yield from ({key}, {key, kind.per})


def _of_branches(found: Attempt) -> Iterator[set[str]]:
    """Return what tells the branches of a sweep apart, up and down, of one sample or of each."""
    for key in _branch_keys(found):
        yield from ({key}, {key, found.lexicon.kind.per})


def _branch_keys(found: Attempt) -> list[str]:
    """Return the columns of a sweep whose closed words tell its parts apart."""
    return [key for key in found.lexicon.kind.unique if key in found.lexicon.closed]


def _fits(unit: str, role: Role) -> bool:
    return bool(role.unit) and scale(unit, role.unit) is not None


def _holds(found: Attempt, place: int, role: Role) -> bool:
    content = found.contents[place]
    timed = role.unit in ("s", "h") and content.is_duration
    return role.type == "str" or content.is_numeric or timed


def _numbered(found: Attempt, told: Sequence[_Said]) -> bool:
    """Let the numbers in titles be of the key that another part names, else of the counted one."""
    kind, lexicon = found.lexicon.kind, found.lexicon
    having = [said for said in told if said.number is not None]
    if not having:
        return True
    if len(having) < len(told):
        return False
    numbers = {said.number for said in having}
    valued = [k for k in kind.identity if lexicon.allowed(k) and numbers <= {*lexicon.allowed(k)}]
    for said in having:
        assert said.number is not None
        named = [key for key in said.named if key not in said.keys]
        open_keys = named or [key for key in valued if key not in said.keys]
        key = open_keys[0] if open_keys else _counted(found)
        if key is None or key in said.keys:
            return False
        unit = lexicon.infos[key].unit
        own = said.named.get(key)
        way = scale(own, unit) if own and unit else None
        if unit and way is None and key not in valued:
            return False
        said.keys[key] = way.apply([said.number])[0] if way else said.number
    return True


def _counted(found: Attempt) -> str | None:
    """Return the key that bare numbers are of: the one that counts, else the only one without a unit."""
    kind, infos = found.lexicon.kind, found.lexicon.infos
    bare = [key for key in kind.identity if infos[key].type == "float" and not infos[key].unit]
    return kind.counted or (bare[0] if len(bare) == 1 else None)


def _all_said(found: Attempt, ids: IdLooks) -> Iterator[_Said]:
    """Return what the titles tell that are made of several parts, or name a panel or batch."""
    for place, column in enumerate(found.table.seen.columns):
        if not found.contents[place].filled or is_count_of(found.titles[place].raw):
            continue
        parts = _pieces(found, place, column.parts or (column.title,), ids)
        if parts is None:
            continue
        said = _Said(place, passed=is_computed(found.titles[place]))
        for part in parts:
            of_groups, said.roles = said.roles, []
            _tell(found, said, part, ids)
            said.roles += of_groups  # what stands below a group tells more than the group
        yield said


def _pieces(found: Attempt, place: int, parts: Sequence[str], ids: IdLooks) -> list[str] | None:
    """Return the parts of a title; None if it is one that tells one thing."""
    if len(parts) > 1:
        return [*parts[:-1], _counted_below(found, place)]
    if (numbered := _name_and_number(found, place)) is not None:
        return numbered
    if (counted := _value_and_count(found, parts[0])) is not None:
        return counted
    if (counted := _count_and_value(found, place, parts[0])) is not None:
        return counted
    if (spanned := _value_and_span(found, place)) is not None:
        return spanned
    if (branch := _value_and_branch(found, place)) is not None:
        return branch
    if (run := _value_and_run(found, place)) is not None:
        return run
    if (run := _one_of_several(found, place)) is not None:
        return run
    words = parts[0].split()
    named = next((w for w in [parts[0], *words] if _id(found, w, ids)), None)
    if named is None:
        return None
    rest = " ".join(parts[0].replace(named, " ").split()).strip(_ENDS)
    return [named, rest] if rest else [named]


def _counted_below(found: Attempt, place: int) -> str:
    """Return what stands below a group; of letters that count, or of places, its number in the group.

    `h1`, `h2` below the wet film, `s1`, `s2` below the dry one; `top`, `mid`, `bottom` below each coat.
    """
    stacked = [column.parts for column in found.table.seen.columns]
    own = stacked[place]
    below = list(dict.fromkeys(each[-1] for each in stacked if len(each) > 1))
    beside = [n for n, each in enumerate(stacked) if each[:-1] == own[:-1]]
    counted = found.lexicon.kind.counted is not None and len(beside) > 1
    if counted and (counted_by_letters(below) or all(map(is_place, below))):
        return str(beside.index(place) + 1)
    return own[-1]


def _name_and_number(found: Attempt, place: int) -> list[str] | None:
    """Return the parts of a title such as `Width of corrosion 2`, whose name tells a closed key too.

    Bare numbers behind such a title go on with its name: `Width of corrosion 1`, `2`, `3`.
    """
    name, first = found.titles[place].name.strip(), place
    if name.isdigit():
        while first > 0 and found.titles[first].name.strip().isdigit():
            first -= 1
    match = _NAMED.fullmatch(found.titles[first].name.strip())
    if match is None or any(
        fit.level == EXACT and not _counts_alone(role)
        for role, fit in found.lexicon.fits(found.titles[first])
    ):
        return None
    number = int(match["number"]) + place - first
    if first != place and name != str(number):
        return None
    of = Title(found.titles[first].raw, match["name"], found.titles[first].unit)
    exact = [role for role, fit in found.lexicon.fits(of) if fit.level == EXACT]
    of_word = any(role.spread and isinstance(role.spread.value, str) for role in exact)
    if not of_word and (exact or not _is_closed_word(found, match["name"])):
        return None
    unit = [of.unit] if of.unit else []
    return [match["name"], str(number), *unit]


def _is_closed_word(found: Attempt, text: str) -> bool:
    """Tell whether a text is a word of a key and of nothing else: Wet 1, Dry 1."""
    lexicon = found.lexicon
    return any(
        key in lexicon.closed and lexicon.is_closed(key) and lexicon.is_word(key, text)
        for key in lexicon.kind.identity
    )


def _value_and_span(found: Attempt, place: int) -> list[str] | None:
    """Return the parts of a title that tells a column of a sweep and its hours: `|Z| 24 h (ohm)`."""
    lexicon, kind = found.lexicon, found.lexicon.kind
    if not kind.unique or not any(lexicon.infos[key].unit == "h" for key in kind.identity):
        return None
    if any(fit.level == EXACT for _, fit in lexicon.fits(found.titles[place])):
        return None
    text = found.table.seen.columns[place].title
    for match in _SPAN.finditer(text):
        if amount_of(match["amount"], "h") is None:
            continue
        rest = _EMPTY.sub("", f"{text[: match.start()]} {text[match.end() :]}")
        rest = " ".join(rest.split()).rstrip(",;:_- ").lstrip(",;:_ ")
        if _is_exact(found, rest):
            return [rest, match["amount"]]
    return None


def _value_and_branch(found: Attempt, place: int) -> list[str] | None:
    """Return the parts of a title that tells a column of a sweep and its branch: `Viscosity up (Pa.s)`."""
    lexicon, title = found.lexicon, found.titles[place]
    keys = _branch_keys(found)
    words = _BRACKETS.sub(" ", title.name).split() if keys else []
    for start in range(1, len(words)):
        for branch, of in ((words[start:], words[:start]), (words[:start], words[start:])):
            word, value = " ".join(branch), " ".join(of)
            if _is_exact(found, value) and any(
                lexicon.closed[key].knows(Title(word, word)) for key in keys
            ):
                return [f"{value} [{title.unit}]" if title.unit else value, word]
    return None


def _value_and_run(found: Attempt, place: int) -> list[str] | None:
    """Return the parts of a title that counts runs of a sweep: `foam height run 1 (mm)`, `run 2`."""
    title = found.titles[place]
    if not found.lexicon.kind.unique or found.lexicon.kind.counted is None:
        return None
    words = title.name.split()
    for start in range(len(words)):
        value, run = " ".join(words[:start]), " ".join(words[start:])
        number = None if run.isdigit() else number_of_determination(run)
        if number is not None and (not value or _is_exact(found, value)):
            parts = (value, f"{number:g}", title.unit)
            return [part for part in parts if part]
    return None


def _one_of_several(found: Attempt, place: int) -> list[str] | None:
    """Return the parts of a result that a number or letter tells from its like: `Schaum 1 [ml]`, `foam A`.

    Only where titles beside it go on counting: `Schaum 2 [ml]`.
    """
    match = _LIKE.fullmatch(found.titles[place].name.strip())
    if match is None or found.lexicon.kind.counted is None or not found.lexicon.kind.unique:
        return None
    unit = found.titles[place].unit
    beside = [
        other["count"].upper()
        for title in found.titles
        if title.unit == unit
        and (other := _LIKE.fullmatch(title.name.strip())) is not None
        and other["name"].casefold() == match["name"].casefold()
    ]
    name = Title(match["name"], match["name"], unit)
    results = found.lexicon.results
    exact = [role for role, fit in found.lexicon.fits(name) if fit.level == EXACT]
    fitting = any(role.name in results and (not unit or _fits(unit, role)) for role in exact)
    order = next((o for o in _ORDERS if beside == [*o[: len(beside)]]), None)
    if not fitting or order is None or len(beside) < _LEAST:
        return None
    told = f"{match['name']} [{unit}]" if unit else match["name"]
    return [told, str(order.index(match["count"].upper()) + 1)]


def _counts_alone(role: Role) -> bool:
    """Tell whether a word tells nothing but a number of its column: DFT 1 is of the dry film too."""
    return role.spread is not None and role.spread.value is None


def _value_and_count(found: Attempt, text: str) -> list[str] | None:
    """Return the parts of a title that tells a value of a key and a number: `60° spot 2`."""
    lexicon = found.lexicon
    keys = [key for key in found.lexicon.kind.identity if lexicon.allowed(key)]
    for value in (value for key in keys for value in lexicon.allowed(key)):
        match = re.search(_VALUE.format(f"{value:g}"), text)
        rest = " ".join(_VALUE_CUT.sub(" ", text.replace(match[0], " ")).split()) if match else ""
        if match is None or not any(map(str.isdigit, rest)):
            continue
        words = rest.split()
        for start in range(len(words)):
            parts = [" ".join(words[:start]), " ".join(words[start:])]
            told = [part for part in parts if part]
            if all(_is_exact(found, part) for part in told):
                return [match[0], *told]
    return None


def _count_and_value(found: Attempt, place: int, text: str) -> list[str] | None:
    """Return the parts of a title that counts a determination and tells what of it: `dolly 1 failure`."""
    match = _COUNT_AND.fullmatch(text.strip())
    if match is None or any(
        fit.level == EXACT for _, fit in found.lexicon.fits(found.titles[place])
    ):
        return None
    counts = any(
        fit.level == EXACT and role.spread is not None and role.spread.value is None
        for role, fit in found.lexicon.fits(parted(match["count"]))
    )
    rest = match["rest"].strip(_ENDS)
    told = counts and (is_unit(rest) or _is_exact(found, rest))
    return [rest, match["number"]] if told else None


def _is_exact(found: Attempt, text: str) -> bool:
    return any(fit.level == EXACT for _, fit in found.lexicon.fits(parted(text)))


def _id(found: Attempt, text: str, ids: IdLooks) -> str | None:
    """Return the panel or batch, whichever the kind is about, that a text is."""
    bare = text.strip("()[]:, ")
    pattern = ids.panel if found.lexicon.kind.per == "panel" else ids.batch
    return as_typed(pattern, bare) or _of_the_batch(found, bare, pattern)


def _of_the_batch(found: Attempt, text: str, panels: re.Pattern[str]) -> str | None:
    """Return the panel of the one batch told above that a letter or number alone names.

    Where the corner says that panels stand across: `C` and `D` beside `Point \\ Panel`.
    """
    kind, batch = found.lexicon.kind, found.given.get("batch")
    if kind.per != "panel" or batch is None or batch.told is None or not _SHORT.fullmatch(text):
        return None
    if not any(_names_panels(found, part) for part in _CORNER.split(found.titles[0].raw)[1:]):
        return None
    whole = {f"{batch.told.value}{sign}{text}" for sign in SIGNS}
    fitting = [one for one in whole if panels.fullmatch(one)]
    return fitting[0] if len(fitting) == 1 else None


def _names_panels(found: Attempt, text: str) -> bool:
    return any(
        role.name == "panel" and fit.level == EXACT
        for role, fit in found.lexicon.fits(Title(text, text.strip()))
    )


def _tell(found: Attempt, said: _Said, part: str, ids: IdLooks) -> None:
    """Note what one part of a title tells."""
    lexicon, kind = found.lexicon, found.lexicon.kind
    if (identity := _id(found, part, ids)) is not None:
        said.keys[kind.per] = identity
        return
    title = parted(part)
    if (match := _NUMBER.fullmatch(part.strip())) is not None:
        said.number = float(match["number"])
        return
    exact = [(role, fit) for role, fit in lexicon.fits(title) if fit.level == EXACT]
    if kind.counted and not exact and (number := number_of_determination(part)) is not None:
        said.number = number
        return
    if any(_tells_values(found, role) for role, _ in exact):
        _tell_exact(
            found, said, title, [(r, f.number) for r, f in exact if _tells_values(found, r)]
        )
        return
    for key in (*kind.identity, *_branch_keys(found)):
        value = _value(found, key, part)
        if value is not None and key not in said.keys:
            said.keys[key] = value
            return
    if part == found.titles[said.place].unit and is_unit(part):  # s is a statistic too
        said.unit = part
    elif any(role.sort in ("beside", "key") for role, _ in exact):
        said.passed = True  # a column of its own
    elif exact:
        said.named.update({r.name: title.unit for r, _ in exact if r.name in kind.identity})
        said.strange = said.strange or not said.named
    elif is_unit(part):
        said.unit = part.strip("[](){} ")
    elif not is_general(part):
        _tell_spoken(found, said, title)


def _tells_values(found: Attempt, role: Role) -> bool:
    """Tell whether a role is what values may be, and no key that tells them apart."""
    if role.spread is not None:
        return bool(role.spread.key)
    return role.sort in ("column", "source") and role.name not in found.lexicon.kind.identity


def _tell_exact(
    found: Attempt, said: _Said, title: Title, exact: Sequence[tuple[Role, float | None]]
) -> None:
    """Note what a part tells that names values: their column, and the word of a key in it."""
    in_unit = [each for each in exact if title.unit and _fits(title.unit, each[0])]
    for role, number in in_unit or exact:
        if role.spread is not None:
            value = number if role.spread.value is None else role.spread.value
            if value is not None:
                said.keys.setdefault(role.spread.key, value)
        said.roles.append(found.lexicon.roles[role.name])
        if title.unit and _fits(title.unit, role):
            said.unit = said.unit or title.unit
    if title.turned or title.log:
        said.signs = title


def _tell_spoken(found: Attempt, said: _Said, title: Title) -> None:
    """Note of what a part speaks that is no word of the kind as a whole."""
    lexicon, kind = found.lexicon, found.lexicon.kind
    text = title.raw
    words = {
        key: word
        for key in kind.identity
        if key not in said.keys and (word := lexicon.told_in(key, text)) is not None
    }
    if len(words) > 1:  # 1st coat wet (um): of both
        said.keys.update(words)
        said.unit = title.unit or said.unit
        return
    keys = [key for key in kind.identity if lexicon.speaks_of(lexicon.roles[key], text)]
    said.named.update(dict.fromkeys(keys))
    main = _values_spoken_of(found, lexicon.spoken_roles(text))
    if len(main) > 1:  # foam height above the paint: of a longer word, in its unit
        longest = _values_spoken_of(found, lexicon.longest_spoken_of(text))
        fitting = {n for n in longest if title.unit and _fits(title.unit, lexicon.roles[n])}
        main = fitting or main
    for name in main if len(main) == 1 else ():
        role = lexicon.roles[name]
        said.roles.append(role)
        said.unit = title.unit if title.unit and _fits(title.unit, role) else said.unit
    if keys or main:
        return
    said.keys.update(words)
    said.strange = said.strange or not words


def _values_spoken_of(found: Attempt, roles: Sequence[Role]) -> set[str]:
    return {role.name for role in roles if role.type == "float" and _tells_values(found, role)}


def _value(found: Attempt, key: str, part: str) -> _Key | None:
    """Return the value of a key that a part is: a closed word, or an amount in its unit."""
    lexicon, info = found.lexicon, found.lexicon.infos[key]
    if key in lexicon.closed:
        text = part.strip()
        known = lexicon.closed[key].knows(Title(text, text))
        return lexicon.in_words_of_kind(key, text) if known else None
    if info.type == "str" or not info.unit:
        return None
    value = amount_of(part, info.unit)
    allowed = lexicon.allowed(key)
    return None if value is None or (allowed and value not in allowed) else value
