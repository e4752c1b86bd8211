"""What a column may be for a kind, by its title, its unit and the look of its cells."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from tiecoat.dialect.time_words import UNITS as UNITS_OF_TIME
from tiecoat.dialect.units import scale, understand
from tiecoat.plugin import Spread
from tiecoat.tabular.attempts import BY_LOOK, BY_UNIT, NEARLY_ALL, TAUGHT, Attempt, ColumnLook
from tiecoat.tabular.column_fit import HALF, is_sweep, unit_said
from tiecoat.tabular.days_told import day_told
from tiecoat.tabular.facts import says_minutes
from tiecoat.tabular.forms import Take
from tiecoat.tabular.keys_told import key_told
from tiecoat.tabular.lexicon import TIME_KEYS, Lexicon, Role
from tiecoat.tabular.moments import is_day, is_of_working_day
from tiecoat.tabular.note_amounts import counts_determinations, determination_and_more
from tiecoat.tabular.spans import hours_in
from tiecoat.tabular.title_parts import Title, is_unit_title, parted
from tiecoat.tabular.words import EXACT, PARTLY, WordFit

_VALUE_AND_NUMBER = re.compile(
    r"(?P<name>.{0,80}[^\W\d].{0,80}?)[\s_.#(no°]{0,8}?(?P<number>\d{1,3})\)?"
)
_NUMBER_AND_VALUE = re.compile(
    r"(?P<number>\d{1,3})\s?(?:\.\s?[ªº°]?|[ªº°]|(?:er|[eè]re|[eè]?me|e|de|ste|st|nd|rd|th)\b\.?)"
    r"\s*(?P<name>[^\W\d].*)",
    re.IGNORECASE,
)
_KEY_VALUE = (  # of a wide layout, in a title that names the column too
    r"(?i)[\s,;:@(\[_-]*(?:\b(?:at|bei|à|a|przy|pod|bij|onder|při|kątem|úhlem|angle|winkel)\s+)*"
    r"(?<![\d.,]){}(?![\d.,]\d|\d)\s*(?:°|º|deg\w*|grad\w*|stop\w*|stup\w*)?[)\]]?"
)
_UNITS_OF = re.compile(
    r"(?P<unit>[^\W\d]{3,9})\.?\s+(?:in|of|at|after|since|im|nach|seit|unter|en|de|des|du|après|dans|del?|desde|tras|di|dopo|dalla?"
    r"|w|po|od|na|sinds|v|od)\s",
    re.IGNORECASE,
)
_SINCE = re.compile(
    r"\b(?:since|after|from|nach|seit|ab|depuis|après|desde|tras|después|dalla?|dopo|od|po|na|sinds|vanaf)(?:\s|$)",
    re.IGNORECASE,
)
_OF_COAT = re.compile(  # days in a column that are of the film: a foam or a paint is made to be measured
    r"\b(?:coat|paint|spray|cur(?:e|ing)|blast|immers|calibrat|expir|beschicht|anstrich|lackier|appli|aushärt|gehärtet|gestrahlt"
    r"|einlagerung|eingetaucht|kalibri|enduction|revêt|peint|étalonn|recubr|pintad|aplicac|calibra|rivest|vernicia|tarat"
    r"|malowan|powlekan|nakładan|nałożon|wzorcow|gecoat|geverfd|gespoten|aangebracht|gekalibr|nátěr|lakován|nanesen|kalibr)",
    re.IGNORECASE,
)
_MM_IN_UM = 1000
_SPAN = re.compile(r"_h{1,2}m{1,2}s{1,2}$|^t\s?\+$", re.IGNORECASE)  # T_HMS, T+
_HOURS = r"(?P<hours>\d+(?:[.,]\d+)?\s?(?:h|hrs?|hours?|Std|Stunden|heures|horas|ore|godz|uur|hod|d|days?|Tage?n?|jours|días|giorni|dni|dagen|weeks?|Wochen?)\b\.?)"
_AFTER = r"(?:(?:after|at|nach|bei|après|à|tras|a|dopo|po|na|in)\s+)?"
_THEN_HOURS = re.compile(
    rf"(?P<name>[^\d]{{1,60}}?)[\s,;:(\[@–/-]+{_AFTER}{_HOURS}\s*[)\]]?", re.IGNORECASE
)
_HOURS_THEN = re.compile(
    rf"{_AFTER}{_HOURS}\s*[\s,;:(\[@–/-]+(?P<name>[^\d]{{1,60}}?)[)\]]?", re.IGNORECASE
)
_OF_SAMPLE = re.compile(  # a temperature of what is measured, and not of the room or the gauge
    r"T(?:emp)?[\s_.-]*(?:cell|col|column|bath|sample|smp|probe|fluid|liq|meas|act|ist|pv)?"
    r"|cell|Zelle|cella|cellule|celda|cela|cel|theta|[θϑ]|T[\s_]?(?:fl?|l|p|pr|m)",
    re.IGNORECASE,
)
_NOT_OF_EXPOSURE = re.compile(  # time that passed otherwise: while a coat dried, aged or waited
    r"\b(?:dry|dried|cur(?:e|ing)|age|aged|aging|ageing|rest|wait|pot|open|stor|flash|trock|härt|alter|warte"
    r"|sèche|séch|durciss|âge|repos|attente|secad|curad|edad|reposo|espera|essicc|asciug|indur|età|riposo|attesa"
    r"|susz|schn|utwardz|wiek|droog|uithard|leeftijd|rust|wacht|such|schnut|vytvrz|stář|čeká)",
    re.IGNORECASE,
)
_MOST_OF_A_SYMBOL = 99  # determinations that a letter and a number tell apart
_ONLY_EXACT = ("instrument", "number")


def _may_be_spans(found: Attempt, content: ColumnLook) -> bool:
    """Tell whether clocks under no word for them may be times since something, which the kind has."""
    kind, roles = found.lexicon.kind, found.lexicon.roles
    spans = any(roles[name].unit == "s" for name in (*kind.identity, *kind.order))
    return spans and not is_of_working_day(content.filled)


def _says_spans(title: Title) -> bool:
    """Tell whether a title says that clocks below it are no times of day: t (min:s), T_HMS."""
    return says_minutes(title.raw) or _SPAN.search(title.raw) is not None


def _of_spans(role: Role, *, alone: bool) -> bool:
    """Tell whether a column of times that passed may be of a role: of no time of day; or of seconds `alone`."""
    return role.unit == "s" if alone else role.name not in TIME_KEYS


def possible_roles(found: Attempt, place: int, title: Title) -> Iterator[tuple[Role, WordFit]]:
    content, roles = found.contents[place], found.lexicon.roles
    if (take := found.taught.of(title)) is not None:
        yield _taught_role(found, take, place), WordFit(TAUGHT, 99)
        return
    fits = found.lexicon.fits_in(title, content.numbers.unit)
    if is_of_other_days(found, place, title):
        fits = [(role, fit) for role, fit in fits if role.name not in TIME_KEYS]
    if content.panels > NEARLY_ALL and found.lexicon.kind.per == "panel":
        yield roles["panel"], WordFit(BY_LOOK, 99)
        return
    if content.batches > NEARLY_ALL or (
        found.lexicon.kind.shared and content.batch_lists > NEARLY_ALL
    ):
        yield roles["batch"], WordFit(BY_LOOK, 99)
        return
    best = max((fit.level for _, fit in fits), default=0)
    clock = any(role.name == "clock" and fit.level == best for role, fit in fits)
    moment = content.is_clocks and any(r.name == "moment" and f.level == EXACT for r, f in fits)
    dated = content.clocks > HALF and clock and (_dated(found) or _of_day(found, content))
    spans = content.is_clocks and _says_spans(title)
    if spans or says_minutes(title.raw):
        fits = [pair for pair in fits if _of_spans(pair[0], alone=spans)]
    elif dated or (moment and not clock):  # else such as a flow time, 1:15
        yield roles["clock"], WordFit(EXACT, 99)
        return
    if (valued := _valued(found.lexicon, title)) is not None:
        yield valued
        return
    if (at_hours := _timed(found.lexicon, title)) is not None:
        yield at_hours[0]
        return
    numbered = _numbered(found.lexicon, title)
    if numbered is not None and not any(fit.level == EXACT for _, fit in fits):
        yield numbered
    if not any(fit.level == EXACT for _, fit in fits):
        yield from _in_units_of_time(found.lexicon, title)
    wanted = [(r, f) for r, f in fits if f.level == EXACT or r.name not in _ONLY_EXACT]
    if (
        len({r.spread and r.spread.value for r, f in wanted if _tells_value(r) and f.level < EXACT})
        > 1
    ):
        wanted = [(r, f) for r, f in wanted if not _tells_value(r)]  # 20°/60°: of which of them?
    if _sums_up(content, title, fits):
        wanted = [(role, fit) for role, fit in wanted if role.unit != "mm"]
    if content.is_numeric:  # numbers are rather those of a column of numbers than texts
        wanted.sort(key=lambda each: (-each[1].level, each[0].type == "str"))
    yield from wanted
    if _is_days_of_measuring(found, content, fits) and not is_of_other_days(found, place, title):
        timed = any(fit.level == EXACT and role.name in TIME_KEYS for role, fit in fits)
        yield roles["date"], WordFit(EXACT if timed else BY_UNIT, 0)
    if spans and not fits:
        along = [roles[name] for name in found.lexicon.kind.order if roles[name].unit == "s"]
        yield from ((role, WordFit(BY_UNIT, 0)) for role in along)
    elif (
        content.is_clocks
        and not content.is_numeric
        and not any(role.type == "time" for role, _ in fits)
        and not _may_be_spans(found, content)
    ):
        yield roles["clock"], WordFit(BY_UNIT, 0)
    yield from _by_unit(found, place, title, fits)


def _by_unit(
    found: Attempt, place: int, title: Title, fits: Sequence[tuple[Role, WordFit]]
) -> Iterator[tuple[Role, WordFit]]:
    """Yield what a column may be by its unit alone, under no word for anything else."""
    lexicon = found.lexicon
    counted = title.unit is not None and all(role.name == "number" for role, _ in fits)
    numbers = title.raw.strip("[]() ") == "N"  # which is a word for a number too
    if (fits and not counted and not numbers) or not found.contents[place].is_numeric:
        return
    if not (unit := unit_said(found, place, title)):
        return
    if (temperature := _as_temperature(found, place, title, unit)) is not None:
        yield temperature, WordFit(BY_UNIT, 0, None, unit)
    if (exposure := _as_exposure(found, place, title, unit)) is not None:
        yield exposure, WordFit(BY_UNIT, 0, None, unit)
    alone = is_unit_title(title.raw) and not _others_in(found, place, unit)
    for role in lexicon.roles.values():
        of_numbers = role.sort in ("column", "source") and role.type == "float"
        if of_numbers and _of_its_own(lexicon, role, unit, alone=alone):
            yield role, WordFit(BY_UNIT, 0, None, unit)


def is_of_other_days(found: Attempt, place: int, title: Title) -> bool:
    """Tell whether a column holds days that are surely not those of measuring: `coat date`."""
    if not found.contents[place].is_days or _OF_COAT.search(title.raw) is None:
        return False
    fits = found.lexicon.fits(title)
    return not any(role.name in TIME_KEYS and fit.level == EXACT for role, fit in fits)


def _sums_up(content: ColumnLook, title: Title, fits: Sequence[tuple[Role, WordFit]]) -> bool:
    """Tell whether a word for a mean and for a diameter, such as průměr, is that of a mean here."""
    beside = any(role.sort == "beside" and fit.level == EXACT for role, fit in fits)
    whole = all(value.is_integer() for value in content.told_numbers)
    return beside and title.unit is None and content.is_numeric and not whole


def _tells_value(role: Role) -> bool:
    """Tell whether a role is a column at one value of its key: `Gloss 20°`."""
    return role.spread is not None and isinstance(role.spread.value, float)


def _in_units_of_time(lexicon: Lexicon, title: Title) -> Iterator[tuple[Role, WordFit]]:
    """Yield the span that tells determinations apart for a title such as `Hours in salt spray`."""
    match = _UNITS_OF.match(title.name)
    unit = UNITS_OF_TIME.get(match["unit"].casefold()) if match and not title.unit else None
    whole = _SINCE.fullmatch(title.name.strip()) is not None  # after, above 30 s, 1 min
    since = whole or (bool(title.unit) and _SINCE.search(title.name) is not None)
    named = bool(title.unit) and any(
        lexicon.closed[key].knows(Title(title.name, title.name))
        for key in lexicon.kind.identity
        if key in lexicon.closed
    )  # such as salt spray [h]
    for name in lexicon.kind.identity if named else ():
        role = lexicon.roles[name]
        if role.type == "float" and role.unit == "h" and scale(title.unit or "", "h") is not None:
            yield role, WordFit(PARTLY, 0, None, None)
    for name in (*lexicon.kind.identity, *lexicon.kind.unique) if unit or since else ():
        role = lexicon.roles[name]
        own = unit or title.unit or ("s" if whole else "")
        if role.type != "float" or scale(own, role.unit) is None:
            continue
        if unit or role.unit == "s":  # since mixing; an exposure says what it is
            fits = (fit.letters for known, fit in lexicon.fits(title) if known is role)
            letters = 1 + max(fits, default=-1) if unit else 0  # min after shaking: in minutes
            yield role, WordFit(PARTLY, letters, None, unit)


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


def _of_day(found: Attempt, content: ColumnLook) -> bool:
    """Tell whether clock times are surely of the day that free lines tell, and no minutes and seconds."""
    working = is_of_working_day(content.filled)
    return working and not is_sweep(found) and day_told(found) is not None


def _timed(lexicon: Lexicon, title: Title) -> tuple[tuple[Role, WordFit], tuple[str, float]] | None:
    """Return a spread, and the span, for a title that names both: `Rust 240 h`, `480 h: blisters`.

    Of a kind whose determinations hours tell apart, and that is no sweep.
    """
    keys = [name for name in lexicon.kind.identity if lexicon.roles[name].unit == "h"]
    match = _THEN_HOURS.fullmatch(title.raw.strip()) or _HOURS_THEN.fullmatch(title.raw.strip())
    if match is None or not keys or lexicon.kind.unique:
        return None
    hours = hours_in(match["hours"])
    for other in (parted(match["name"].strip()), Title(title.raw, match["name"].strip())):
        for role, fit in lexicon.fits(other) if hours is not None else ():
            if fit.level == EXACT and role.sort == "spread" and role.spread and role.spread.key:
                return (role, WordFit(EXACT, fit.letters, fit.number, fit.unit)), (
                    keys[0],
                    hours or 0,
                )
    return None


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
    beside = determination_and_more(title.raw) or determination_and_more(title.name)
    if counted is None or (match is None and beside is None):
        return None
    number = beside[0] if beside else float(match["number"]) if match else 0.0
    if match and not beside and len(match["name"]) == 1 and number > _MOST_OF_A_SYMBOL:
        return None  # D610 names a standard
    value = Title(title.raw, match["name"] if match else "", title.unit)
    if beside:
        value = replace(parted(beside[1]), raw=title.raw)
        value = replace(value, unit=value.unit or title.unit)
    for role, fit in lexicon.fits(value):
        if (
            fit.level == EXACT
            and role.sort == "column"
            and (role.type == "float" or (role.type == "str" and role.name not in lexicon.closed))
            and role.name not in lexicon.kind.identity
            and _may_be_in(role, value.unit)
        ):
            spread = Spread("", role.name, counted)
            return replace(role, sort="spread", spread=spread), WordFit(EXACT, fit.letters, number)
    return _numbered_by_unit(lexicon, title, counted, number)


def _may_be_in(role: Role, unit: str | None) -> bool:
    """Tell whether a column may be in the unit of its title: foam in ml is a volume, and no height."""
    known = unit is not None and understand(unit) not in ("", None)
    return not known or not role.unit or scale(unit or "", role.unit) is not None


def _numbered_by_unit(
    lexicon: Lexicon, title: Title, counted: str, number: float
) -> tuple[Role, WordFit] | None:
    """Return a spread for a number of a determination in the unit of just one result: `No. 2 [MPa]`."""
    if title.unit is None or not counts_determinations(title.name):
        return None
    names = [name for name in lexicon.kind.shown_by if lexicon.roles[name].unit]
    results = [n for n in names if scale(title.unit, lexicon.roles[n].unit) is not None]
    if len(results) != 1:
        return None
    spread = Spread("", results[0], counted)
    role = replace(lexicon.roles[results[0]], sort="spread", spread=spread)
    return role, WordFit(EXACT, 1, number)


def _taught_role(found: Attempt, take: Take, place: int) -> Role:
    """Return the role that a person has given to a title."""
    if take.role is None:
        return found.lexicon.roles["beside"]
    role = found.lexicon.roles[take.role]
    key, value = _as_own(found.lexicon, take.given) if take.given else ("", "")
    if _is_one_of_several(found, take, place):
        key, value = key or "number", value or float(place)
    if not key:
        return role
    return replace(role, sort="spread", spread=Spread("", take.role, key, value))


def _as_own(lexicon: Lexicon, told: tuple[str, float | str]) -> tuple[str, float | str]:
    """Return a key that was told as the kind writes it; as it is where it was told of another kind."""
    try:
        return key_told(lexicon, *told)
    except ValueError:
        return told


def more_told(found: Attempt, place: int) -> tuple[tuple[str, float | str], ...]:
    """Return the keys that a title, or a person of it, tells beside the first."""
    take = found.taught.of(found.titles[place])
    if take is None and (timed := _timed(found.lexicon, found.titles[place])) is not None:
        return (timed[1],)
    if take is None or take.given is None:
        return ()
    number = (("number", float(place)),) if _is_one_of_several(found, take, place) else ()
    return (*(_as_own(found.lexicon, each) for each in take.more), *number)


def _is_one_of_several(found: Attempt, take: Take, place: int) -> bool:
    """Tell whether a person has given several columns to one result: each is a reading of its own.

    In two units they may be one reading, shown twice.
    """
    lexicon = found.lexicon
    counted = lexicon.kind.counted
    if counted is None or take.role not in {*lexicon.results, lexicon.only_value}:
        return False
    if counted in dict(take.keys):
        return False
    alike = [
        n
        for n, title in enumerate(found.titles)
        if (other := found.taught.of(title)) is not None and other.key == take.key
    ]
    units = {unit_said(found, n, found.titles[n]) for n in alike}
    return len(alike) > 1 and len(units) == 1


def _as_temperature(found: Attempt, place: int, title: Title, unit: str) -> Role | None:
    """Return the one temperature of a kind for the one column in degrees that a T of the sample titles."""
    roles = [
        role
        for role in found.lexicon.roles.values()
        if role.unit == "degC" and role.sort == "column"
    ]
    if len(roles) != 1 or not _OF_SAMPLE.fullmatch(title.name) or scale(unit, "degC") is None:
        return None
    return None if _others_in(found, place, "degC") else roles[0]


def _as_exposure(found: Attempt, place: int, title: Title, unit: str) -> Role | None:
    """Return the hours that tell determinations apart for the one column in hours, or longer: `cycle_h`."""
    lexicon = found.lexicon
    roles = [lexicon.roles[key] for key in lexicon.kind.identity if lexicon.roles[key].unit == "h"]
    way = scale(unit, "h")
    if len(roles) != 1 or way is None or way.factor < 1 or title.turned or title.log:
        return None
    name = title.name.replace("_", " ")
    others = _others_in(found, place, "h") or _OF_COAT.search(name)
    return None if others or _NOT_OF_EXPOSURE.search(name) else roles[0]


def _others_in(found: Attempt, place: int, unit: str) -> bool:
    """Tell whether another column is in a unit like that."""
    return any(
        n != place and (said := unit_said(found, n, other)) and scale(said, unit) is not None
        for n, other in enumerate(found.titles)
    )


def _of_its_own(lexicon: Lexicon, role: Role, unit: str, *, alone: bool = False) -> bool:
    """Tell whether a unit can be that of this role and of no other of the kind.

    `alone` is true for a title that is nothing but the unit: then no other temperature is named.
    """
    way = scale(unit, role.unit) if role.unit else None
    if (
        way is None
        or role.unit in ("percent", "deg", "s", "h")
        or (role.unit == "degC" and not alone)
    ):
        return False
    if role.unit == "um" and way.factor >= _MM_IN_UM:
        return False  # millimetres are of widths and diameters as well as of a film
    others = [
        other
        for other in lexicon.roles.values()
        if other.sort in ("column", "source")
        and other.type == "float"
        and other.unit
        and scale(unit, other.unit) is not None
    ]
    if alone and len(others) > 1:  # the one value rather than its uncertainty
        others = [other for other in others if other.name == lexicon.only_value]
    return len(others) == 1 and others[0].name == role.name
