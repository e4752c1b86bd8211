"""What a person must say of a layout before its files can be read, and what the answers make of it.

The reader of tables is run on the file with what was taught so far. What stands in the way becomes
questions, each with a key, so that a person at a screen, a script and a page can answer the same.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from tiecoat.dialect.units import scale
from tiecoat.plugin import Export, Kind, Measurement
from tiecoat.reasons import Fault, Reason
from tiecoat.tabular.assemble import measurements
from tiecoat.tabular.attempts import Attempt
from tiecoat.tabular.lexicon import Lexicon, Role
from tiecoat.tabular.match import attempt
from tiecoat.tabular.reader import AnyTable, ids_of
from tiecoat.tabular.teaching import Take, Teaching

PASS_OVER = "pass over"
TURNED, AS_IT_STANDS = "turned", "as it stands"
IDS = ("panel", "batch")
ID_OF_ONE_FILE = (
    "an id belongs to one file, not to a layout: every later file would be filed under it; say which"
    " column holds it ({0}=column:TITLE), or give it to the file: tiecoat held assign HELD --{0} ID"
)
_AT_KEY = re.compile(r"(?P<role>\w+) at (?P<key>\w+) (?P<value>.+)")
_UNITS = {  # what the trade measures a dimension in, the likeliest first
    "um": ("um", "mil", "mm"),
    "MPa": ("MPa", "N/mm2", "psi", "bar", "kgf/cm2"),
    "N": ("N", "kN", "lbf", "kgf"),
    "mm": ("mm", "in", "cm"),
    "cm**2": ("cm2", "mm2", "in2"),
    "ohm": ("ohm", "kohm", "Mohm"),
    "Hz": ("Hz", "kHz"),
    "Pa*s": ("Pa s", "mPa s", "cP"),
    "Pa": ("Pa", "mPa"),
    "g/cm**3": ("g/cm3", "kg/m3", "lb/gal"),
    "degC": ("°C", "°F"),
    "s": ("s", "min", "h"),
    "h": ("h", "d", "min", "s"),
    "percent": ("%",),
    "deg": ("deg", "rad"),
}


@dataclass(frozen=True)
class Question:
    """Something that the file does not say.

    Parameters
    ----------
    key
        By which it is answered: `area_cm2`, `column:Im`, `unit:Im`, `sign:Im`, `dates`, `decimal`,
        `kind`.
    text
        The question in plain words.
    options
        Answers that are likely, the likeliest first; a value of its own is allowed where `free`.
    """

    key: str
    text: str
    options: tuple[str, ...] = ()
    free: bool = False


@dataclass
class Lesson:
    """A file as it is read with what was taught so far.

    Parameters
    ----------
    kind
        The kind that it is read as, or None where none fits.
    attempts
        Its tables, each with what its columns are taken for.
    rows
        What would be filed; empty while something stands in the way.
    questions
        What is open.
    faults
        What no answer can mend.
    """

    kind: Kind | None
    attempts: list[Attempt] = field(default_factory=list)
    rows: list[Measurement] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)


def lesson(reader: AnyTable, export: Export, kind: str | None, taught: Teaching) -> Lesson:
    """Read a file with what was taught, and say what is open.

    Parameters
    ----------
    reader
        The reader of tables with the lexicons of all kinds.
    export
        Fresh: nothing has been noted on it yet.
    kind
        The name of the kind where a person has said it, else None.
    taught
        What was said so far.
    """
    file = reader.look(export)
    best = _attempts(reader, export, kind, taught)
    if not best:
        names = tuple(lexicon.kind.name for lexicon in reader.lexicons)
        text = "no table of the file is like any kind; what does it hold?"
        return Lesson(None, questions=[Question("kind", text, names)] if file.tables else [])
    found = Lesson(best[0].lexicon.kind, best)
    for each in best:
        found.questions += _of_attempt(each)
    if not found.questions:
        for each in best:
            found.rows += measurements(each)
        for fault in export.faults:
            question = _of_fault(fault, best)
            if question is None:
                found.faults.append(fault)
            elif question.key not in {known.key for known in found.questions}:
                found.questions.append(question)
        if not export.faults and found.kind is not None and found.kind.check is not None:
            found.questions += _of_signs(found)
    found.questions = list({question.key: question for question in found.questions}.values())
    return found


def _attempts(
    reader: AnyTable, export: Export, kind: str | None, taught: Teaching
) -> list[Attempt]:
    file, ids = reader.look(export), ids_of(export)
    found = []
    for table in file.tables:
        tried = [
            attempt(file, table, lexicon, ids, taught)
            for lexicon in reader.lexicons
            if kind in (None, lexicon.kind.name) and knows(lexicon, taught)
        ]
        tried.sort(key=lambda each: (-each.shown, -each.score))
        if tried and (tried[0].shown or kind is not None):
            found.append(tried[0])
    if not found:
        return []
    name = max(found, key=lambda each: each.score).kind_name
    return [each for each in found if each.kind_name == name]


def knows(lexicon: Lexicon, taught: Teaching) -> bool:
    """Tell whether a kind has every field that was taught: one that lacks it is not the one."""
    fields = {take.role for take in taught.take.values() if take.role is not None}
    keys = {take.given[0] for take in taught.take.values() if take.given is not None}
    return {*fields, *taught.told} <= lexicon.roles.keys() and keys <= lexicon.infos.keys()


def _of_attempt(found: Attempt) -> Iterator[Question]:
    """Ask what a table lacks, and what its columns are that nobody took."""
    lexicon = found.lexicon
    titles = [found.titles[place].raw for place in found.untaken]
    for name in found.lacking:
        info = lexicon.infos[name]
        unit = f" in {info.unit}" if info.unit else ""
        closed = tuple(lexicon.closed[name].payloads) if name in lexicon.closed else ()
        columns = tuple(f"column:{title}" for title in titles)
        text = f"{info.meaning} ({name}{unit}): the file does not say it"
        yield Question(name, text, (*closed, *columns), free=not closed)
    for place in found.untaken:
        title = found.titles[place].raw
        likely = [name for name in found.lacking if lexicon.infos[name].type == "float"]
        others = [
            role.name
            for role in lexicon.roles.values()
            if role.sort in ("column", "source")
            and role.type == "float"
            and role.name not in found.given
        ]
        options = tuple(dict.fromkeys((*likely, PASS_OVER, *others)))
        shown = ", ".join(str(cell) for cell in found.contents[place].filled[:3])
        yield Question(
            f"column:{title}", f"the column '{title}' ({shown}, ...): what is it?", options
        )
    for role, first, second in found.rivals:
        both = tuple(found.titles[place].raw for place in (first, second))
        yield Question(f"take:{role.name}", f"which column is {role.name}?", both)


def _of_fault(fault: Fault, attempts: Sequence[Attempt]) -> Question | None:
    """Turn a fault into the question whose answer mends it; None if none does."""
    if fault.reason is Reason.UNKNOWN_UNIT and fault.column is not None:
        role = _role_of(fault.column, attempts)
        options = _UNITS.get(role.unit, (role.unit,)) if role else ()
        text = f"the numbers of '{fault.column}': in which unit are they?"
        return Question(f"unit:{fault.column}", text, options, free=True)
    if fault.reason is Reason.AMBIGUOUS_NUMBER:
        return Question(
            "decimal", f"{fault.found}: which mark is the decimal one?", ("point", "comma")
        )
    if fault.reason is Reason.NOT_A_TIME and "may be" in (fault.expected or ""):
        return Question("dates", f"{fault.found}: which comes first in dates?", ("day", "month"))
    return None


def _role_of(column: str, attempts: Sequence[Attempt]) -> Role | None:
    for found in attempts:
        for given in (*found.given.values(), *found.spreads):
            title = given.told.title.raw if given.told else found.titles[given.place or 0].raw
            if title == column:
                return given.role
    return None


def _of_signs(found: Lesson) -> Iterator[Question]:
    """Ask for the sign where only the sign contradicts what the kind knows."""
    assert found.kind is not None
    assert found.kind.check is not None
    import numpy as np

    for measurement in found.rows:
        columns = {name: np.asarray(values) for name, values in measurement.columns.items()}
        told = [fault for fault in found.kind.check(columns) if "sign" in (fault.expected or "")]
        for fault in told:
            for each in found.attempts:
                for given in each.given.values():
                    if given.place is None or not given.role.signed or given.role.type != "float":
                        continue
                    if given.role.name == fault.column or _feeds(
                        found.kind, given.role.name, fault.column
                    ):
                        title = each.titles[given.place].raw
                        yield Question(
                            f"sign:{title}", f"'{title}': {fault.found}", (TURNED, AS_IT_STANDS)
                        )
        if told:
            return


def _feeds(kind: Kind, source: str, column: str | None) -> bool:
    return any(relation.gives == column and source in relation.needs for relation in kind.relations)


def answered(taught: Teaching, lexicon: Lexicon, key: str, answer: str) -> Teaching:
    """Return what was taught with one answer more.

    Raises
    ------
    ValueError
        If the key or the answer is none that is understood; the message says what would be.
    """
    sort, _, title = key.partition(":")
    if sort == "column":
        role, given = _role_and_key(lexicon, answer)
        return _taken(taught, title, role, given)
    if sort == "take":
        if title not in lexicon.roles:
            raise ValueError(f"{title!r} is no column of {lexicon.kind.name}")
        return _taken(taught, answer, title)
    if sort == "unit":
        return _unit(taught, lexicon, title, answer)
    if sort == "sign":
        if answer not in (TURNED, AS_IT_STANDS):
            raise ValueError(f"{answer!r}: allowed are {TURNED!r} and {AS_IT_STANDS!r}")
        before = taught.take.get(title, Take(_named_role(lexicon, title)))
        return _with(taught, title, replace(before, turned=answer == TURNED))
    if key == "dates" and answer in ("day", "month"):
        return replace(taught, dates="day" if answer == "day" else "month")
    if key == "decimal" and answer in ("point", "comma"):
        return replace(taught, decimal="point" if answer == "point" else "comma")
    if key in lexicon.roles:
        if answer.startswith("column:"):
            return _taken(taught, answer.removeprefix("column:"), key)
        if key in IDS:
            raise ValueError(ID_OF_ONE_FILE.format(key))
        return replace(taught, told={**taught.told, key: answer})
    known = ", ".join(sorted(name for name in lexicon.roles if not name.startswith("spread")))
    raise ValueError(
        f"no question {key!r}; there are dates, decimal, column:TITLE, unit:TITLE, sign:TITLE, {known}"
    )


def _role_named(lexicon: Lexicon, answer: str) -> str | None:
    if answer == PASS_OVER:
        return None
    if answer not in lexicon.roles or lexicon.roles[answer].sort in ("spread", "beside"):
        names = [
            name for name, role in lexicon.roles.items() if role.sort not in ("spread", "beside")
        ]
        raise ValueError(f"{answer!r} is none of {', '.join(names)}, {PASS_OVER}")
    return answer


def _role_and_key(
    lexicon: Lexicon, answer: str
) -> tuple[str | None, tuple[str, float | str] | None]:
    """Return what a title is, and for a wide layout what it tells: creep_mm at property scribe."""
    match = _AT_KEY.fullmatch(answer)
    role = _role_named(lexicon, match["role"] if match else answer)
    if match is None or role is None:
        return role, None
    key, value = match["key"], match["value"].strip()
    if key not in lexicon.kind.identity:
        raise ValueError(f"{key!r} is none of {', '.join(lexicon.kind.identity) or 'no key'}")
    if lexicon.infos[key].type != "str":
        try:
            return role, (key, float(value.replace(",", ".")))
        except ValueError:
            raise ValueError(f"{value!r} is no number, and {key} is one") from None
    allowed = tuple(map(str, lexicon.closed[key].payloads)) if key in lexicon.closed else ()
    value = lexicon.in_words_of_kind(key, value) or value
    if allowed and lexicon.is_closed(key) and value not in allowed:
        raise ValueError(f"{value!r} is no {key}; there are {', '.join(allowed)}")
    return role, (key, value)


def _named_role(lexicon: Lexicon, title: str) -> str:
    from tiecoat.tabular.title_parts import parted

    fits = lexicon.fits(parted(title))
    if not fits:
        raise ValueError(f"say first what the column {title!r} is: column:{title}=...")
    return fits[0][0].name


def _taken(
    taught: Teaching,
    title: str,
    role: str | None,
    given: tuple[str, float | str] | None = None,
) -> Teaching:
    before = taught.take.get(title, Take(role))
    return _with(taught, title, replace(before, role=role, given=given))


def _unit(taught: Teaching, lexicon: Lexicon, title: str, unit: str) -> Teaching:
    before = taught.take.get(title) or Take(_named_role(lexicon, title))
    role = lexicon.roles.get(before.role or "")
    if role is not None and role.unit and scale(unit, role.unit) is None:
        raise ValueError(f"{unit!r} is no unit that can be turned into {role.unit}")
    return _with(taught, title, replace(before, unit=unit))


def _with(taught: Teaching, title: str, take: Take) -> Teaching:
    takes: Mapping[str, Take] = {**taught.take, title: take}
    return replace(taught, take=takes)
