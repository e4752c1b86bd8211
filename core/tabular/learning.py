"""What a person must say of a layout before its files can be read, and what the answers make of it.

The reader of tables is run on the file with what was taught so far. What stands in the way becomes
questions, each with a key, so that a person at a screen, a script and a page can answer the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from tiecoat.dialect.units import scale, understand
from tiecoat.plugin import Export, Kind, Measurement
from tiecoat.reasons import Fault, Reason
from tiecoat.tabular.answers import AS_SEEN, BY_NAME
from tiecoat.tabular.assemble import measurements
from tiecoat.tabular.attempts import Attempt, Given
from tiecoat.tabular.column_places import ColumnPlace, places_of
from tiecoat.tabular.doubts import (
    of_counts,
    of_entries,
    of_ids,
    of_notations,
    of_running_numbers,
    of_signs,
    of_words,
)
from tiecoat.tabular.entries_open import entries_in
from tiecoat.tabular.forms import PASS_OVER, Form
from tiecoat.tabular.guesses import (
    column_guesses,
    form_guess,
    form_of_names,
    titles_guess,
    unit_shown,
)
from tiecoat.tabular.id_looks import IdLooks, one_id
from tiecoat.tabular.joining import joined
from tiecoat.tabular.line_forms import OF_A_FORM, beginning_of
from tiecoat.tabular.match import attempt
from tiecoat.tabular.no_reading import take_back_results
from tiecoat.tabular.questions import APART, UNITS, Question, asks_for
from tiecoat.tabular.reader import AnyTable, ids_of
from tiecoat.tabular.teaching import NOTHING, Teaching
from tiecoat.tabular.told_against import tell_otherwise
from tiecoat.tabular.told_lines import knows, lines_of_export
from tiecoat.tabular.words_of_key import of_no_word
from tiecoat.wording import unit_told


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
    places
        The columns of its first table, as answers may name them.
    notices
        What is odd about the rows, and a person must see before they are filed.
    """

    kind: Kind | None
    attempts: list[Attempt] = field(default_factory=list)
    rows: list[Measurement] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    places: list[ColumnPlace] = field(default_factory=list)
    notices: list[str] = field(default_factory=list)


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
    reader = reader.with_taught(taught, kind)
    best = _attempts(reader, export, kind, taught)
    if not best:
        return _nothing_seen(reader, export, kind)
    if any(_has_id_as_title(each, ids_of(export)) for each in best):
        nothing = _nothing_seen(reader, export, best[0].kind_name)
        return replace(nothing, attempts=best, places=nothing.places or columns_of(best[0]))
    found = Lesson(best[0].lexicon.kind, best, places=columns_of(best[0]))
    tell_otherwise(best, ids_of(export))
    for each in best:
        found.questions += _of_attempt(each)
    if not found.questions:
        kinds = [best[0].lexicon.kind]
        found.rows += joined((one for each in best for one in measurements(each)), kinds)
    _ask_of_faults(found, export)
    _ask_of_rows(found, export)
    found.questions = list({question.key: question for question in found.questions}.values())
    return found


def _ask_of_rows(found: Lesson, export: Export) -> None:
    """Ask what is doubtful in rows in whose way nothing stands."""
    best, rows = found.attempts, found.rows
    if rows and not found.questions and not found.faults:
        found.questions += [*of_ids(ids_of(export), best, rows), *of_words(best, rows)]
    if rows and not found.questions and not found.faults:
        found.questions += [*of_notations(best, rows), *of_signs(best, rows), *of_counts(best)]
    found.notices += of_running_numbers(best, rows)
    if rows and not found.questions and not found.faults and best[0].taught != NOTHING:
        found.questions += of_entries(best)


def _has_id_as_title(found: Attempt, ids: IdLooks) -> bool:
    """Tell whether a column has an id for a title, and is none of a matrix: titles are elsewhere."""
    looks = (ids.panel, ids.batch)
    untaken = (found.titles[place].raw for place in found.untaken)
    across = {given.place for given in found.spreads}
    others = (title.raw.strip() for n, title in enumerate(found.titles) if n not in across)
    return any(one_id(look, title) for title in untaken for look in looks) or any(
        look.fullmatch(title) for title in others for look in looks
    )


def _ask_of_faults(found: Lesson, export: Export) -> None:
    """Ask what mends a fault, and keep those that no answer mends."""
    unread = _of_unread(export.faults, found.attempts[0].taught.lines)
    for fault in export.faults:
        of_it = unread is not None and asks_for(unread, fault, None)
        question = unread if of_it else _of_fault(fault, found.attempts)
        if question is None:
            found.faults.append(fault)
        elif question.key not in {known.key for known in found.questions}:
            found.questions.append(question)


def _of_unread(faults: Sequence[Fault], forms: Sequence[Form]) -> Question | None:
    """Ask in one go whether lines that have none of the forms are results: how they begin is told.

    What begins as a line of a form does is a result of which something is otherwise.
    """
    texts = [
        (fault.found or "").strip("'")
        for fault in faults
        if fault.reason is Reason.UNREAD_ROWS and fault.expected == OF_A_FORM
    ]
    begun = dict.fromkeys(filter(None, map(beginning_of, texts)))
    words = [word for word in begun if not any(form.text.startswith(word) for form in forms)]
    if not words:
        return None
    such = next(text for text in texts if text.startswith(words[0]))
    text = f"lines such as '{such}' have none of the forms; are they no results?"
    return Question(f"rows:{f' {APART} '.join(words)}", text, (PASS_OVER,))


def _nothing_seen(reader: AnyTable, export: Export, kind: str | None) -> Lesson:
    """Ask for the kind of a file without a table like any, its titles, or the form of its lines."""
    names = tuple(lexicon.kind.name for lexicon in reader.lexicons)
    ids = ids_of(export)
    asked = []
    if kind is None:
        text = "no table of the file is like any kind; what does it hold?"
        asked.append(Question("kind", text, names))
    titles = titles_guess(reader.look(export), ids)
    if titles:
        text = f"are {', '.join(titles)} titles? What they are, in this order:"
        asked.append(Question("columns", text, free=True))
    lines = [text for lines, _ in lines_of_export(export) for _, text in lines]
    guess = form_guess(lines, ids)
    text = (
        "or a line of the file, with the name of what stands there in braces for all that changes"
    )
    asked.append(Question("line", text, (guess,) if guess else (), free=True))
    return Lesson(None, questions=asked, places=places_of(titles))


def columns_of(found: Attempt) -> list[ColumnPlace]:
    """Return the columns of a table as answers may name them."""
    return places_of([t.raw for t in found.titles], (one.raw for one in found.taught.places))


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
            take_back_results(tried[0], reader.lexicons)
            found.append(tried[0])
    if not found:
        return []
    shown = [each for each in found if each.shown] or found
    name = max(shown, key=lambda each: each.score).kind_name
    return [each for each in shown if each.kind_name == name]


def _of_attempt(found: Attempt) -> Iterator[Question]:
    """Ask what a table lacks, and what its columns are that nobody took."""
    places = _places(found)
    guesses = column_guesses(found, {unit: units[0] for unit, units in UNITS.items()})
    if sum(place in guesses for place in found.untaken) > 1:
        titles = ", ".join(place.name for place in columns_of(found))
        text = f"the columns {titles}: what are they, in this order?"
        yield Question("columns", text, (_in_order(found, guesses),), free=True)
    for name in found.lacking:
        if name not in {guess.split(" ")[0] for guess in guesses.values()}:
            yield _of_lacking(found, name)
    for place in found.untaken:
        if place not in places:  # a form of lines has made it, and no answer names it
            continue
        others = _of_its_unit(found, place)
        options = tuple(dict.fromkeys((guesses.get(place, PASS_OVER), PASS_OVER, *others)))
        shown = ", ".join(str(cell) for cell in found.contents[place].filled[:3])
        text = f"the column '{found.titles[place].raw}' ({shown}, ...): what is it?"
        yield Question(places[place].question, text, options)
    for place, name, key, words in of_no_word(found):
        options = tuple(f"{name} at {key} {word}" for word in words)
        text = f"the column '{found.titles[place].raw}': of which is it?"
        yield Question(places[place].question, text, options)
    for role, first, second in found.rivals:
        if not {first, second} <= places.keys():
            continue
        yield Question(
            f"take:{role.name}",
            f"which column is {role.name}?",
            (places[first].name, places[second].name),
        )


def _of_its_unit(found: Attempt, place: int) -> Iterator[str]:
    """Yield what nothing gives yet and may be in the unit of a column; in any if it shows none."""
    unit = unit_shown(found, place)
    for role in found.lexicon.roles.values():
        if role.sort not in ("column", "source") or role.type != "float":
            continue
        fits = unit is None or understand(unit) is None or scale(unit, role.unit or "1") is not None
        if fits and role.name not in found.given:
            yield role.name


def _places(found: Attempt) -> dict[int, ColumnPlace]:
    """Return the columns as answers name them, by their place among all titles."""
    made = {place.raw for place in found.taught.places}
    own = [n for n, title in enumerate(found.titles) if title.raw not in made]
    return dict(zip(own, columns_of(found), strict=True))


def _in_order(found: Attempt, guesses: Mapping[int, str]) -> str:
    """Return what all columns are likely to be, as the answer to the question for all."""
    taken = {given.place for given in (*found.given.values(), *found.spreads)}
    return ", ".join(
        guesses.get(place, AS_SEEN if place in taken else PASS_OVER) for place in _places(found)
    )


def _of_lacking(found: Attempt, name: str) -> Question:
    lexicon, info = found.lexicon, found.lexicon.infos.get(name)
    if info is None:  # the time of measuring
        text = "the file does not say when it was measured: the column that does, or the day"
        return Question("date", text, tuple(_columns_left(found)), free=True)
    unit = f" in {unit_told(info.unit)}" if info.unit else ""
    closed = tuple(lexicon.closed[name].payloads) if name in lexicon.closed else ()
    text = f"{info.meaning} ({name}{unit}): the file does not say it"
    entries = () if closed else (f"column:{told.title.raw}" for told in entries_in(found, name))
    export = found.file.export
    form = form_of_names(export.name, export.folder, lexicon.roles[name])
    named = () if form is None or closed else (f"{BY_NAME}{form}",)
    return Question(name, text, (*closed, *named, *entries, *_columns_left(found)), free=not closed)


def _columns_left(found: Attempt) -> list[str]:
    """Return the columns that nobody took, as an answer names them."""
    taken = {given.place for given in (*found.given.values(), *found.spreads)}
    return [f"column:{place.name}" for n, place in _places(found).items() if n not in taken]


def _of_fault(fault: Fault, attempts: Sequence[Attempt]) -> Question | None:
    """Turn a fault into the question whose answer mends it; None if none does."""
    if fault.reason is Reason.UNKNOWN_UNIT and fault.column is not None:
        given = _given_by(fault.column, attempts)
        role = given.role if given else None
        options = UNITS.get(role.unit, (role.unit,)) if role else ()
        if given is not None and given.told is not None:  # it may be a word of a sentence
            text = f"the entry '{fault.column}: {given.told.value}': what is it?"
            offered = (PASS_OVER, *(f"{given.role.name} in {unit}" for unit in options))
            return Question(f"column:{fault.column}", text, offered, free=True)
        text = f"the numbers of '{fault.column}': in which unit are they?"
        return Question(f"unit:{fault.column}", text, options, free=True)
    if fault.reason is Reason.AMBIGUOUS_NUMBER:
        return Question(
            "decimal", f"{fault.found}: which mark is the decimal one?", ("point", "comma")
        )
    if fault.reason is Reason.NOT_A_TIME and "may be" in (fault.expected or ""):
        return Question("dates", f"{fault.found}: which comes first in dates?", ("day", "month"))
    if fault.reason is Reason.INCONSISTENT and fault.column is not None:
        return _of_ids(fault, attempts)
    return None


def questions_of(faults: Sequence[Fault], attempts: Sequence[Attempt]) -> list[Question]:
    """Return what mends faults of rows that were read: a value that is lacking, an id that is none."""
    found: dict[str, Question] = {}
    for fault in faults:
        for each in attempts:
            question = _of_row(fault, each)
            if question is not None:
                found.setdefault(question.key, question)
    return list(found.values())


def _of_row(fault: Fault, found: Attempt) -> Question | None:
    name = fault.column or ""
    given = found.given.get(name)
    if fault.reason is Reason.MISSING_VALUE and name in found.lexicon.infos and given is None:
        return _of_lacking(found, name)
    if fault.reason in (Reason.BAD_ID, Reason.ID_NOT_IN_PATTERN) and given is not None:
        told = given.told.title.raw if given.told is not None else None
        key = f"column:{told}" if told else _places(found)[given.place or 0].question
        text = f"{fault.found} is no {name} of this lab; what is '{key.removeprefix('column:')}'?"
        return Question(key, text, (PASS_OVER, "number"))
    return None


def _of_ids(fault: Fault, attempts: Sequence[Attempt]) -> Question | None:
    """Ask for a column that has ids in some rows, and that nobody took."""
    for found in attempts:
        per = found.lexicon.kind.per
        for place, title in enumerate(found.titles):
            if title.raw == fault.column and per not in found.given and place in _places(found):
                shown = ", ".join(map(str, found.contents[place].filled[:3]))
                text = f"the column '{title.raw}' ({shown}, ...): what is it?"
                return Question(_places(found)[place].question, text, (per, PASS_OVER))
    return None


def _given_by(column: str, attempts: Sequence[Attempt]) -> Given | None:
    """Return what is read from the column or entry of a title."""
    for found in attempts:
        for given in (*found.given.values(), *found.spreads):
            title = given.told.title.raw if given.told else found.titles[given.place or 0].raw
            if title == column:
                return given
    return None
