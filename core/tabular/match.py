"""Which column of a table is what for a kind: by words, units, the look of ids, and what is needed."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from tiecoat.dialect.complexes import is_complex
from tiecoat.dialect.numbers import DecimalMark
from tiecoat.dialect.time_words import UNITS as UNITS_OF_TIME
from tiecoat.dialect.units import scale, understand
from tiecoat.plugin import Spread
from tiecoat.tabular.across import take_across
from tiecoat.tabular.assumed import assume
from tiecoat.tabular.attempts import (
    BY_LOOK,
    BY_UNIT,
    TAUGHT,
    Attempt,
    ColumnLook,
    Given,
    IdLooks,
    in_texts,
    one_id,
    spread_of,
)
from tiecoat.tabular.composed import take_composed
from tiecoat.tabular.counting import number_determinations, runs_on
from tiecoat.tabular.facts import is_empty, numbers_of, seconds_of, told_mark
from tiecoat.tabular.file import File, FileTable, ToldEntry
from tiecoat.tabular.lexicon import TIME_KEYS, Lexicon, Role
from tiecoat.tabular.moments import is_clock, is_day, is_daylike
from tiecoat.tabular.spoken import main_value, speaks
from tiecoat.tabular.spoken import told as told_in_texts
from tiecoat.tabular.teaching import NOTHING, Take, Teaching
from tiecoat.tabular.worded import take_worded
from tiecoat.tabular.words import (
    EXACT,
    PARTLY,
    Title,
    WordFit,
    is_general,
    is_unit_title,
    parted,
    readings,
)

_WORTH = {TAUGHT: 2.0, BY_LOOK: 0.5, EXACT: 2.0, PARTLY: 1.3, BY_UNIT: 0.7}
_HEADED = 0.8  # of the score
_NUMERIC = 0.8  # share of the filled cells of a column that must be numbers
_HALF = 0.5  # share of them that must be clock times where the title says so
_ENTRY_LETTERS = 5  # of a word that may be a part of an entry's name
_VALUE_AND_NUMBER = re.compile(r"(?P<name>.*[^\W\d].*?)[\s_.#(no°]*?(?P<number>\d{1,3})\)?")
_NUMBER_AND_VALUE = re.compile(
    r"(?P<number>\d{1,3})\s?(?:\.\s?[ªº°]?|[ªº°]|(?:er|[eè]re|[eè]?me|e|de|ste|st|nd|rd|th)\b\.?)"
    r"\s*(?P<name>[^\W\d].*)",
    re.IGNORECASE,
)
_KEY_VALUE = (  # of a wide layout, in a title that names the column too
    r"(?i)[\s,;:@(\[_-]*(?:\b(?:at|bei|à|a|przy|pod|bij|onder|při|kątem|úhlem|angle|winkel)\s+)*"
    r"(?<![\d.,]){}(?![\d.,]\d|\d)\s*(?:°|º|deg\w*|grad\w*|stop\w*|stup\w*)?[)\]]?"
)
_LABEL_LETTERS, _LABEL_WORDS = 24, 3
_UNITS_OF = re.compile(
    r"(?P<unit>[^\W\d]{3,9})\.?\s+(?:in|of|at|after|since|im|nach|seit|unter|en|de|des|du|après|dans|del?|desde|tras|di|dopo|dalla?"
    r"|w|po|od|na|sinds|v|od)\s",
    re.IGNORECASE,
)
_SINCE = re.compile(
    r"\b(?:since|after|from|nach|seit|ab|depuis|après|desde|tras|después|dalla?|dopo|od|po|na|sinds|vanaf)\s",
    re.IGNORECASE,
)
_AMOUNT = re.compile(r"\d\s*[%‰°]|\d\s+[^\W\d_]")
_ONLY_EXACT = ("instrument", "number")
_IDS = ("panel", "batch")
_DAYS = ("moment", "date")


@dataclass(frozen=True)
class TableLook:
    """The columns of a table by the look of their cells, the same for every kind."""

    mark: DecimalMark | None
    columns: list[ColumnLook]


def look_of(
    file: File, table: FileTable, ids: IdLooks, mark: DecimalMark | None = None
) -> TableLook:
    """Look at the cells of a table, under a decimal mark that was taught or that they tell."""
    mark = mark or _mark_of(file, table)
    return TableLook(mark, [ColumnLook(each.cells, mark, ids) for each in table.seen.columns])


def attempt(
    file: File,
    table: FileTable,
    lexicon: Lexicon,
    ids: IdLooks,
    taught: Teaching = NOTHING,
    *,
    look: TableLook | None = None,
) -> Attempt:
    """Read a table as a kind, as far as words, units and what was taught allow.

    Parameters
    ----------
    look
        Its cells, where somebody has looked at them before.
    """
    look = look or look_of(file, table, ids, taught.decimal)
    below = [column.unit for column in table.seen.columns]
    titles = [
        taught.taught(
            _best_reading(
                lexicon,
                lexicon.as_code(_by_legend(lexicon, file, file.with_listed_unit(title)), unit),
            )
        )
        for title, unit in zip(table.titles, below, strict=True)
    ]
    titles = [
        _of_its_parts(lexicon, title, column.parts, column.unit)
        for title, column in zip(titles, table.seen.columns, strict=True)
    ]
    found = Attempt(lexicon, file, table, look.columns, look.mark, titles, taught)
    _tell_taught(found)
    _assign(found, ids)
    take_worded(found)
    _entries(found, ids)
    _told_by_entry(found)
    _ids_in_texts(found, ids)
    if not take_composed(found, ids):
        take_across(found)
    _general_value(found)
    _result_of_its_unit(found)
    _conclude(found)
    return found


def _by_legend(lexicon: Lexicon, file: File, title: Title) -> Title:
    """Return a title of a few letters by what a line of the file says that they are: d = width."""
    said = file.legend.get(title.name)
    named = replace(title, name=said) if said else title
    return named if said and lexicon.fits(named) else title


def _best_reading(lexicon: Lexicon, title: Title) -> Title:
    """Return a title parted so that it is a word of the kind in a unit that fits it, if it can be."""
    exactly = any(fit.level == EXACT for _, fit in lexicon.fits(title))
    whole = Title(title.raw, title.raw.strip(" :;=*"))
    bracketed = title.raw.rstrip()[-1:] in (")", "]")
    if (
        title.unit
        and not bracketed
        and not exactly
        and any(f.level == EXACT for _, f in lexicon.fits(whole))
    ):
        return whole  # such as `Dev. std.`, which has no hours in it
    # of 240 h the number is no name: it is that of no spot
    inside = title.raw.rstrip().endswith((")", "]"))
    others = [each for each in readings(title) if inside or not each.name.strip().isdigit()]
    for other in (title, *others) if title.unit else others:
        if any(_of_this_unit(role, other) for role, f in lexicon.fits(other) if f.level == EXACT):
            return other
    if title.unit or exactly:
        return title
    return next((other for other in others if lexicon.fits(other)), title)


def _of_its_parts(lexicon: Lexicon, title: Title, parts: Sequence[str], below: str | None) -> Title:
    """Return a title below a group, as what it is by itself: B/C below area of failure.

    Or coat 1 below thickness, which names the column whose values coats tell apart.
    """
    if len(parts) < 2 or any(fit.level == EXACT for _, fit in lexicon.fits(title)):
        return title
    group = parted(" ".join(parts[:-1]))
    last = parted(parts[-1])
    code = lexicon.as_code(Title(parts[-1], parts[-1]), below)
    if code.code is not None and lexicon.fits(code):
        return replace(code, unit=code.unit or group.unit)
    columns = {role.name for role, fit in lexicon.fits(group) if fit.level == EXACT}
    for role, fit in lexicon.fits(last):
        if fit.level == EXACT and role.spread is not None and role.name in columns:
            return replace(title, name=last.name, unit=below or last.unit or group.unit)
        if fit.level == EXACT and role.sort == "beside":
            return Title(title.raw, last.name)
    return title


def _of_this_unit(role: Role, title: Title) -> bool:
    return bool(title.unit and role.unit) and scale(title.unit or "", role.unit) is not None


def _mark_of(file: File, table: FileTable) -> DecimalMark | None:
    mark = told_mark([column.cells for column in table.seen.columns], table.seen.grid.delimiter)
    return mark if mark is not None else file.mark


def _tell_taught(found: Attempt) -> None:
    """Take what a person has said holds for every row."""
    roles = found.lexicon.roles
    row, sheet = found.table.seen.header_row, found.table.seen.sheet
    for name, value in found.taught.told.items():
        if name in roles:
            told = ToldEntry(Title(name, name), value, None, row, None, sheet)
            found.given[name] = Given(roles[name], TAUGHT, told=told)


def _assign(found: Attempt, ids: IdLooks) -> None:
    """Give columns to roles, the surest first; what is left over is noted."""
    taken = _give_columns(found)
    taken |= _misfits(found, taken)
    number_determinations(found)
    _told_by_column(found)
    kept = {given.place for given in found.given.values()} | {s.place for s in found.spreads}
    timed = any(name in found.given and found.given[name].place is not None for name in TIME_KEYS)
    for place, content in enumerate(found.contents):
        if place in kept or place in taken or not content.filled:
            continue
        is_time = content.is_days or content.is_clocks
        if (is_time and (found.lexicon.has_times or not timed)) or (
            content.is_numeric and not runs_on(found, place) and not content.is_days
        ):
            found.untaken.append(place)


def _give_columns(found: Attempt) -> set[int]:
    """Give columns to roles that they fit; two that are equally sure of one role are rivals."""
    wanted: list[tuple[int, int, int, Role, WordFit]] = []
    for place, title in enumerate(found.titles):
        candidates = list(_candidates(found, place, title))
        told = any(_tells_what(found, place, role, fit) for role, fit in candidates)
        for role, fit in candidates:
            if fit.level < EXACT and told:
                continue  # cells that do not fit the title are told, not taken for something else
            if _feasible(found, place, role, title, fit):
                wanted.append((fit.level, fit.letters, place, role, fit))
    wanted = _side_by_side(wanted)
    wanted.sort(key=_surest)
    taken: set[int] = set()
    best: dict[str, tuple[int, int]] = {}
    for level, letters, place, role, fit in wanted:
        if place in taken:
            continue
        if role.sort == "spread":
            given = Given(role, level, place, number=fit.number, hint=fit.unit)
            if (twin := _twin(found, given)) is not None and twin.place is not None:
                found.rivals.append((role, twin.place, place))
            else:
                found.spreads.append(given)
            taken.add(place)
        elif role.sort == "beside":
            taken.add(place)
        elif role.name not in found.given:
            found.given[role.name] = Given(role, level, place, hint=fit.unit)
            best[role.name] = (level, letters)
            taken.add(place)
        elif best.get(role.name) == (level, letters) and level >= PARTLY and role.sort != "key":
            first = found.given[role.name].place
            alternatives = [w for w in wanted if w[2] == place and w[3].name not in found.given]
            if first is not None and not alternatives:
                found.rivals.append((role, first, place))
    return taken - _numbers_beside_values(found)


def _twin(found: Attempt, given: Given) -> Given | None:
    """Return another column of a wide layout that tells the same: two for the creep of a scribe."""
    own = spread_of(given)
    for other in found.spreads:
        told = spread_of(other)
        same = (told.column, told.key, told.value) == (own.column, own.key, own.value)
        if same and own.key and other.number == given.number:
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
    wanted: Sequence[tuple[int, int, int, Role, WordFit]],
) -> list[tuple[int, int, int, Role, WordFit]]:
    """Where titles name a column and a word of its key, take them for a wide layout if several do.

    Such as the thickness of the wet beside that of the dry film, or an area of rust beside blisters;
    alone it is but a thickness or an area.
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
    told: dict[str, set[object]] = {}
    for level, *_, role, _ in wanted:
        if role.spread is not None and level == EXACT:
            told.setdefault(role.spread.key, set()).add(role.spread.value)
    wide = {w[2] for w in worded if w[3].spread and len(told.get(w[3].spread.key, ())) > 1}
    return [
        w
        for w in wanted
        if (w not in worded or w[2] in wide) and not (w[2] in wide and w[3].sort == "column")
    ]


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
        if place in taken or not found.contents[place].filled:
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


def _of_other_unit(found: Attempt, place: int, role: Role) -> bool:
    unit = _said(found, place, found.titles[place])
    if unit and not role.unit:
        return understand(unit) not in ("", None)
    return bool(unit and role.unit) and scale(unit or "", role.unit) is None


def _tells_what(found: Attempt, place: int, role: Role, fit: WordFit) -> bool:
    """Tell whether a title alone says what its cells are: numbers, or times where most are none."""
    unit = found.titles[place].unit
    letters = fit.letters + (bool(unit and role.unit) and scale(unit or "", role.unit) is not None)
    if (
        fit.level < EXACT
        or letters < 2
        or role.type == "str"
        or _is_number_word(found.titles[place])
    ):
        return False
    if role.type == "time":
        return role.sort in ("key", "column") and not found.contents[place].is_numeric
    return role.sort in ("column", "source", "spread")


def _told_by_column(found: Attempt) -> None:
    """Where a column tells what a wide title would tell too, take that title for its values alone."""
    kept = []
    for given in found.spreads:
        spread = spread_of(given)
        if spread.key not in found.given:
            kept.append(given)
        elif spread.column not in found.given and given.place is not None:
            role = found.lexicon.roles[spread.column]
            found.given[spread.column] = Given(role, given.level, given.place, hint=given.hint)
    found.spreads = kept


def _told_by_entry(found: Attempt) -> None:
    """Let an entry that tells what one wide title would tell count: several titles tell it better."""
    keys = {spread_of(given).key for given in found.spreads} & found.given.keys()
    for key in keys:
        columns = [spread_of(s).column for s in found.spreads if spread_of(s).key == key]
        if len(set(columns)) < len(columns):
            del found.given[key]
    _told_by_column(found)


def _candidates(found: Attempt, place: int, title: Title) -> Iterator[tuple[Role, WordFit]]:
    content, roles = found.contents[place], found.lexicon.roles
    if (take := found.taught.of(title)) is not None:
        yield _taught_role(found, take), WordFit(TAUGHT, 99)
        return
    fits = found.lexicon.fits(title)
    if content.panels > _NUMERIC and found.lexicon.kind.per == "panel":
        yield roles["panel"], WordFit(BY_LOOK, 99)
        return
    if max(content.batches, content.batch_lists * found.lexicon.kind.shared) > _NUMERIC:
        yield roles["batch"], WordFit(BY_LOOK, 99)
        return
    if content.clocks > _HALF and _dated(found) and any(r.name == "clock" for r, _ in fits):
        yield roles["clock"], WordFit(EXACT, 99)
        return
    if (valued := _valued(found.lexicon, title)) is not None:
        yield valued
        return
    numbered = _numbered(found.lexicon, title)
    if numbered is not None and not any(fit.level == EXACT for _, fit in fits):
        yield numbered
    if not any(fit.level == EXACT for _, fit in fits):
        yield from _in_units_of_time(found.lexicon, title)
    wanted = [(r, f) for r, f in fits if f.level == EXACT or r.name not in _ONLY_EXACT]
    if content.is_numeric:  # numbers are rather those of a column of numbers than texts
        wanted.sort(key=lambda each: (-each[1].level, each[0].type == "str"))
    yield from wanted
    if _is_days_of_measuring(found, content, fits):
        timed = any(fit.level == EXACT and role.name in TIME_KEYS for role, fit in fits)
        yield roles["date"], WordFit(EXACT if timed else BY_UNIT, 0)
    if (
        content.is_clocks
        and not content.is_numeric
        and not any(role.type == "time" for role, _ in fits)
    ):
        yield roles["clock"], WordFit(BY_UNIT, 0)
    if not fits and content.is_numeric and (unit := _said(found, place, title)):
        for role in roles.values():
            if (
                role.sort in ("column", "source")
                and role.type == "float"
                and _of_its_own(found.lexicon, role, unit)
            ):
                yield role, WordFit(BY_UNIT, 0, None, unit)


def _in_units_of_time(lexicon: Lexicon, title: Title) -> Iterator[tuple[Role, WordFit]]:
    """Yield the span that tells determinations apart for a title such as `Hours in salt spray`."""
    match = _UNITS_OF.match(title.name)
    unit = UNITS_OF_TIME.get(match["unit"].casefold()) if match and not title.unit else None
    since = bool(title.unit) and _SINCE.search(title.name) is not None
    for name in lexicon.kind.identity if unit or since else ():
        role = lexicon.roles[name]
        if role.type != "float" or scale(unit or title.unit or "", role.unit) is None:
            continue
        if unit or role.unit == "s":  # since mixing; an exposure says what it is
            yield role, WordFit(PARTLY, 0, None, unit)


def _is_days_of_measuring(
    found: Attempt, content: ColumnLook, fits: Sequence[tuple[Role, WordFit]]
) -> bool:
    """Tell whether days under no word for them are those of measuring: a register has days of its own."""
    if not content.is_days or found.lexicon.has_times:
        return False
    return not any(role.type == "time" and role.name != "clock" for role, _ in fits)


def _dated(found: Attempt) -> bool:
    """Tell whether some column of the table holds days, or an entry above it a day."""
    return any(content.is_days for content in found.contents) or any(
        isinstance(told.value, str) and is_day(told.value) for told in found.table.entries
    )


def _valued(lexicon: Lexicon, title: Title) -> tuple[Role, WordFit] | None:
    """Return a spread for a title that names its column and the value of its key: `Gloss @ 20°`."""
    for role in lexicon.roles.values():
        value = role.spread.value if role.spread is not None else None
        if role.spread is None or not isinstance(value, float):
            continue
        rest, cuts = re.subn(_KEY_VALUE.format(f"{value:g}"), " ", title.name)
        if cuts != 1 or not any(char.isalpha() for char in rest):
            continue
        for other, fit in lexicon.fits(Title(title.raw, rest.strip(" ,;:-_/()[]@"), title.unit)):
            if fit.level == EXACT and other.sort == "column" and other.name == role.spread.column:
                return role, WordFit(EXACT, fit.letters + 1)
    return None


def _numbered(lexicon: Lexicon, title: Title) -> tuple[Role, WordFit] | None:
    """Return a spread for a title such as `Gloss 3` or `Strength no. 2`: a value and its number."""
    counted = lexicon.kind.counted
    match = _VALUE_AND_NUMBER.fullmatch(title.name) or _NUMBER_AND_VALUE.fullmatch(title.name)
    if counted is None or match is None:
        return None
    value = Title(title.raw, match["name"], title.unit)
    for role, fit in lexicon.fits(value):
        if (
            fit.level == EXACT
            and role.sort == "column"
            and (role.type == "float" or (role.type == "str" and role.name not in lexicon.closed))
            and role.name not in lexicon.kind.identity
        ):
            spread = Spread("", role.name, counted)
            return replace(role, sort="spread", spread=spread), WordFit(
                EXACT, fit.letters, float(match["number"])
            )
    return None


def _taught_role(found: Attempt, take: Take) -> Role:
    """Return the role that a person has given to a title."""
    if take.role is None:
        return found.lexicon.roles["beside"]
    role = found.lexicon.roles[take.role]
    if take.given is None:
        return role
    key, value = take.given
    return replace(role, sort="spread", spread=Spread("", take.role, key, value))


def _of_its_own(lexicon: Lexicon, role: Role, unit: str) -> bool:
    """Tell whether a unit can be that of this role and of no other of the kind."""
    if (
        not role.unit
        or role.unit in ("percent", "deg", "s", "h", "degC")
        or scale(unit, role.unit) is None
    ):
        return False
    others = [
        other
        for other in lexicon.roles.values()
        if other.sort in ("column", "source")
        and other.type == "float"
        and other.unit
        and scale(unit, other.unit) is not None
    ]
    return len(others) == 1


def _said(found: Attempt, place: int, title: Title) -> str | None:
    """Return the unit of a column as its title, the row below or its cells say it."""
    if title.unit:
        return title.unit
    if is_unit_title(title.raw):
        return title.raw.strip("[]() ")
    return found.contents[place].numbers.unit if found.contents[place].is_numeric else None


def _feasible(found: Attempt, place: int, role: Role, title: Title, fit: WordFit) -> bool:
    content, level = found.contents[place], fit.level
    if level == TAUGHT:
        return True
    if not content.filled:
        return level == EXACT and role.sort == "column"
    if role.sort == "beside":
        return True
    if role.name == "clock":
        share = _HALF if level == EXACT else _NUMERIC
        return content.clocks > share and not (
            content.is_numeric and not any(":" in str(c) for c in content.filled)
        )
    if role.type == "time":
        return content.is_days or (content.is_serial_days and level == EXACT)
    if role.name in ("panel", "batch", "instrument", "number"):
        return not (content.is_days and role.name != "number")
    if role.type == "str":
        if content.is_numeric and title.unit and understand(title.unit) not in ("", None):
            return False  # an amount of something: coat 1 [µm] is no column of coats
        if content.is_numeric and _holds_none_of_its_words(found, place, role):
            return False
        if role.name in found.lexicon.kind.identity and found.lexicon.kind.unique:
            return not _varies(content)  # a number of the point, and no place or part of a program
        return level == EXACT or not content.is_days
    if role.type == "complex":
        return content.is_complex
    if content.is_duration and role.unit in ("s", "h"):
        return True
    if not content.is_numeric:
        return False
    unit = _said(found, place, title) or fit.unit
    if unit and role.unit and scale(unit, role.unit) is None:
        return False
    if unit and not role.unit and understand(unit) not in ("", None):
        return False
    if not unit and level < EXACT and role.unit and not role.customary and _is_number_word(title):
        return False
    if role.name == found.lexicon.kind.counted and _same_in_all(content):
        return False  # a number of a determination counts; 20, 20, 20 is a diameter
    if role.name in found.lexicon.kind.identity and found.lexicon.kind.unique:
        return not _varies(
            content
        )  # a sweep has one exposure; what rises from row to row is another time
    return True


def _holds_none_of_its_words(found: Attempt, place: int, role: Role) -> bool:
    """Tell whether a column that may be one of closed words holds none: hours under `exposure`."""
    cells = {str(cell) for cell in found.contents[place].filled}
    lexicon = found.lexicon
    if role.name not in lexicon.closed or not lexicon.is_closed(role.name):
        return False
    return not any(lexicon.is_word(role.name, cell) for cell in cells)


def _same_in_all(content: ColumnLook) -> bool:
    values = [v for v in content.numbers.values if v == v]  # noqa: PLR0124
    return len(values) > 1 and len(set(values)) == 1 and values[0] > 1


def _is_number_word(title: Title) -> bool:
    return title.name.strip().isdigit()


def _varies(content: ColumnLook) -> bool:
    """Tell whether a column changes from nearly every row to the next."""
    values = [v for v in content.numbers.values if v == v]  # noqa: PLR0124
    changes = sum(1 for a, b in itertools.pairwise(values) if a != b)
    return len(values) > 3 and changes > 0.5 * (len(values) - 1)


def _general_value(found: Attempt) -> None:
    """Take the one column of readings, values or numbers for the value that the headings speak of.

    Where it was taken for a number of the determination because `reading` may be both, the column
    that counts is that.
    """
    kind, contents = found.lexicon.kind, found.contents
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
        and _feasible(found, place, role, title, WordFit(PARTLY, 0))
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


def _unit_of_values(found: Attempt) -> str | None:
    """Return the unit of the columns that are called no more than values, if it is one."""
    units = {
        content.numbers.unit
        for title, content in zip(found.titles, found.contents, strict=True)
        if is_general(title.name) and content.is_numeric and not content.counts
    }
    return units.pop() if len(units) == 1 else None


def _tells_closed_key(found: Attempt) -> bool:
    """Tell whether a column or a text tells a closed word that determinations are told apart by."""
    keys = [key for key in found.lexicon.kind.identity if key in found.lexicon.closed]
    return any(key in found.given or told_in_texts(found, key) is not None for key in keys)


def _result_of_its_unit(found: Attempt) -> None:
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


def _entries(found: Attempt, ids: IdLooks) -> None:
    """Take from the entries what no column gives."""
    lexicon = found.lexicon
    not_constant = {*lexicon.kind.unique, *lexicon.kind.order} if lexicon.kind.unique else set()
    for told in found.file.entries_for(found.table):
        if isinstance(told.value, str) and is_empty(told.value):
            continue
        if ids.is_panel(told.value) and lexicon.kind.per == "panel":
            _give(found, Given(lexicon.roles["panel"], BY_LOOK, told=told))
            continue
        if ids.is_batch(told.value) or (lexicon.kind.shared and ids.are_batches(told.value)):
            _give(found, Given(lexicon.roles["batch"], BY_LOOK, told=told))
            continue
        fits = sorted(lexicon.fits(told.title), key=lambda fit: fit[0].sort != "spread")
        sure = any(fit.level == EXACT for _, fit in fits)
        completed = False
        for role, fit in fits:
            if sure and fit.level < EXACT:
                break
            unit = told.unit or told.title.unit
            fitting = unit is None or not role.unit or scale(unit, role.unit) is not None
            if (
                role.sort == "spread"
                and fit.level == EXACT
                and fitting
                and _completes(found, told, role)
            ):
                found.spreads.append(Given(role, fit.level, told=told, number=fit.number))
                completed = True
                continue
            if role.sort in ("spread", "beside") or role.name in not_constant or completed:
                continue
            if fit.level < EXACT and (
                fit.letters < _ENTRY_LETTERS
                or role.sort != "column"
                or any(char.isdigit() for char in told.title.name)
            ):
                continue
            if role.name == "clock" and is_daylike(told.value):
                role = lexicon.roles["moment"]  # noqa: PLW2901 - a word for a time, and all of it
            if _can_be_told(lexicon, told, role, fit):
                _give(found, Given(role, fit.level, told=told, hint=fit.unit))
                if found.given[role.name].told is not None:
                    break  # else a column gives it, and the entry is for something else


def _told_elsewhere(found: Attempt, given: Given) -> bool:
    """Tell whether an entry above another table gives it: a heading of its own says more."""
    return given.told is not None and given.told.table not in (None, found.table.number)


def _completes(found: Attempt, told: ToldEntry, role: Role) -> bool:
    """Tell whether an entry belongs to what wide titles show of one sort, such as a scribe's width."""
    own = role.spread
    if own is None or not own.key:
        return False
    shown = [spread_of(given) for given in found.spreads if given.place is not None]
    of_this_sort = [each for each in shown if (each.key, each.value) == (own.key, own.value)]
    return bool(of_this_sort) and own.column not in [each.column for each in of_this_sort]


def _ids_in_texts(found: Attempt, ids: IdLooks) -> None:
    """Take an id from a line above the table, else from the name of its sheet."""
    kind = found.lexicon.kind
    headings = [line.text for line in reversed(found.table.headings)]
    texts = [*headings]
    texts += [f"{told.title.raw} {told.value}" for told in found.table.entries]
    texts += [found.table.seen.sheet] if found.table.seen.sheet else []
    texts += _only_heading(found, ids)
    for name, pattern in (("panel", ids.panel), ("batch", ids.batch)):
        if name == "panel" and kind.per == "batch":
            continue
        before = found.given.get(name)
        if before is not None and not _told_elsewhere(found, before):
            continue
        given = headings if before is not None else texts
        if name == "batch" and kind.per == "panel":  # what a panel's id tells, the keying finds
            given = [in_texts(ids.panel).sub(" ", text) for text in given]
        for text in given:
            if (identity := one_id(pattern, text)) is not None:
                told = ToldEntry(
                    Title(name, name), identity, None, found.table.seen.header_row, None, None
                )
                found.given[name] = Given(found.lexicon.roles[name], BY_LOOK, told=told)
                break


def _only_heading(found: Attempt, ids: IdLooks) -> list[str]:
    """Return the headings of the first table of a sheet for a later one, where no other names an id."""
    seen = found.table.seen
    tables = [table for table in found.file.tables if table.seen.sheet == seen.sheet]
    headed = [
        table
        for table in tables
        if any(
            one_id(look, line.text) is not None
            for line in table.headings
            for look in (ids.panel, ids.batch)
        )
    ]
    if headed != tables[:1] or found.table is headed[0]:
        return []
    return [line.text for line in headed[0].headings]


def _give(found: Attempt, given: Given) -> None:
    """Take an entry, unless a column gives it, or an entry that fits better or stands nearer."""
    before = found.given.get(given.role.name)
    if before is not None and before.told is not None and given.told is not None:
        _tell_rival(found, before, given)
    if before is None or (before.told is not None and before.level < given.level):
        found.given[given.role.name] = given


def _tell_rival(found: Attempt, before: Given, given: Given) -> None:
    """Note two entries that say different things of one column, in the same lines above a table."""
    one, other = before.told, given.told
    assert one is not None
    assert other is not None
    same_lines = one.table == other.table and one.table is not None and one.row != other.row
    amounts = given.role.type in ("float", "time") and before.level == given.level
    panel = re.compile(found.file.export.habits.panel_ids, re.IGNORECASE)
    panels = given.role.name == "panel" and all(
        panel.fullmatch(str(told.value).strip()) for told in (one, other)
    )
    if same_lines and (amounts or panels) and str(one.value) != str(other.value):
        found.contradicting.append((given.role, one, other))


def _can_be_told(lexicon: Lexicon, told: ToldEntry, role: Role, fit: WordFit) -> bool:
    value = told.value
    if role.name in _IDS and (told.unit or not any(c.isdigit() for c in str(value))):
        return False  # a word that is a sample's elsewhere, such as the probe of a gauge
    if role.type == "str" and role.sort == "column":
        return _word_or_label(lexicon, told, role, fit)
    if role.name == "clock":
        return is_clock(value)
    if role.type == "time":
        return is_daylike(value)
    if role.type == "str":
        return True
    if role.type == "complex":
        return is_complex(value)
    if isinstance(value, str):
        if not any(c.isdigit() for c in value):
            return False
        if seconds_of(value) is not None and role.unit == "s":
            return True
        if is_day(value) or (numbers_of([value], None).odd and numbers_of([value], "comma").odd):
            return False
    unit = told.unit or told.title.unit
    if unit and not role.unit:
        return understand(unit) in ("", None)
    return not (unit and scale(unit, role.unit) is None)


def _word_or_label(lexicon: Lexicon, told: ToldEntry, role: Role, fit: WordFit) -> bool:
    """Tell whether an entry can be a text of a column: one of its words, or a mere label.

    An entry such as `Cell: NaCl 3.5 %` names no place: a label holds no amount and is short.
    """
    text = str(told.value)
    if role.name in lexicon.closed:
        amount = told.unit is not None  # a number of something, such as the 4 mm of a cup
        return (fit.level == EXACT and not amount) or lexicon.is_word(role.name, text)
    if role.name not in lexicon.kind.identity:
        return True
    return (
        fit.level == EXACT
        and told.unit is None
        and len(text) <= _LABEL_LETTERS
        and len(text.split()) <= _LABEL_WORDS
        and _AMOUNT.search(text) is None
    )


def available(found: Attempt) -> set[str]:
    """Return the columns of the kind and sources that are given, or follow from what is given."""
    kind = found.lexicon.kind
    names = set(found.given) | ({"moment"} if "date" in found.given else set())
    for given in found.spreads:
        assert given.role.spread is not None
        names |= {given.role.spread.column, *(key for key, _ in given.keys)} - {""}
    if kind.counted:
        names.add(kind.counted)
    changed = True
    while changed:
        more = {r.gives for r in kind.relations if r.gives not in names and set(r.needs) <= names}
        changed = bool(more)
        names |= more
    return names


def _conclude(found: Attempt) -> None:
    """Say what is lacking, and how well the table fits the kind."""
    kind, infos = found.lexicon.kind, found.lexicon.infos
    there = available(found)
    for name, info in infos.items():
        if (
            name not in there
            and not info.nullable
            and name not in dict(kind.defaults)
            and told_in_texts(found, name) is None
            and not assume(found, name)
        ):
            found.lacking.append(name)
    if kind.timed and not {"moment", "date"} & set(found.given):
        found.lacking.append("moment")
    own = [
        given
        for given in found.given.values()
        if given.place is not None and given.role.sort in ("column", "source")
    ]
    score = sum(_WORTH[given.level] for given in own)
    score += sum(
        0.5
        for given in found.given.values()
        if given.place is not None and given.role.sort == "key"
    )
    score += sum(
        0.3
        for given in found.given.values()
        if given.told is not None and given.role.sort == "column"
    )
    score += sum((2.0, 1.0)[min(n, 1)] for n, _ in enumerate(found.spreads[:3]))
    score -= len(found.untaken) + 0.7 * len(found.lacking)
    found.score = score
    shown_by = set(kind.shown_by) or {
        name
        for name, info in infos.items()
        if not info.nullable and name not in kind.identity and name != kind.counted
    }
    feeding = {
        need for relation in kind.relations if relation.gives in shown_by for need in relation.needs
    }
    sources = {source.name for source in kind.sources}
    shown = shown_by | (feeding & sources)
    found.score += _HEADED if _headed(found, shown) else 0.0
    found.shown = (
        any(given.role.name in shown and _tells(found, given) for given in own)
        or any(
            (given.role.name in shown or given.role.name in infos) and _told_of(found, given)
            for given in found.spreads
        )
        or _lists_each_once(found, shown)
        or _tells_every_key(found)
    )


def _headed(found: Attempt, shown: set[str]) -> bool:
    """Tell whether a heading or the sheet names what the kind is about."""
    texts = [line.text for line in found.table.headings] + [found.table.seen.sheet or ""]
    lexicon = found.lexicon
    return any(
        lexicon.speaks_of(lexicon.roles[name], text) for text in texts if text for name in shown
    ) or any(
        role.name in shown and fit.level == EXACT
        for text in texts
        if text
        for role, fit in lexicon.fits(parted(text))
    )


def _tells(found: Attempt, given: Given) -> bool:
    """Tell whether a column says by its title or unit what it is, and not only `Value`.

    A word that names any quantity counts where something else speaks of the kind.
    """
    title = found.titles[given.place or 0]
    general = is_general(title.name) and given.level != TAUGHT
    exact = [
        other
        for other in found.given.values()
        if other.place is not None and other.role.sort == "column" and other.level >= EXACT
        if not is_general(found.titles[other.place].name)
    ]
    if len(exact) > 1 and not found.lacking:
        return True
    return not general or bool(_said(found, given.place or 0, title)) or speaks(found, given.role)


def _told_of(found: Attempt, given: Given) -> bool:
    """Tell whether a title of a wide layout is more than a number, or something speaks of it."""
    place = given.place
    if place is None or not found.titles[place].name.strip(" .#").isdigit():
        return True
    if spread_of(given).value is not None or found.titles[place].unit:
        return True
    return speaks(found, found.lexicon.roles[given.role.name])


def _tells_every_key(found: Attempt) -> bool:
    """Tell whether a table lacks nothing and tells each key of its kind by a word for it.

    Such as the temperature alone of a chamber that an entry names.
    """
    keys = found.lexicon.kind.identity
    if found.lacking or not keys or not set(keys) <= found.given.keys():
        return False
    if any(found.given[key].level < EXACT for key in keys):
        return False
    return any(
        given.place is not None and given.role.sort == "column" and given.role.name not in keys
        for given in found.given.values()
    )


def _lists_each_once(found: Attempt, shown: set[str]) -> bool:
    """Tell whether a table is a register's: each id once, no time of measuring, the rest told above."""
    kind, given = found.lexicon.kind, found.given
    key = given.get(kind.per)
    told = [
        one for one in given.values() if one.told and one.role.name in shown and one.level >= EXACT
    ]
    if not kind.replaces or not told or found.lacking or key is None or key.place is None:
        return False
    ids = [str(cell) for cell in found.contents[key.place].filled]
    return len(set(ids)) == len(ids) and not {"moment", "date", "clock"} & given.keys()
