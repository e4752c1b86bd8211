"""What an answer to a question of a layout makes of what was taught so far."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from tiecoat.dialect.units import scale
from tiecoat.tabular.column_places import ColumnPlace, bare_title, key_of, without_place
from tiecoat.tabular.forms import CLOCKS, IDS, PASS_OVER, SEVERAL, Form, Looks, Take, take_of
from tiecoat.tabular.keys_told import key_told
from tiecoat.tabular.lexicon import Lexicon
from tiecoat.tabular.line_forms import said_in_two_ways
from tiecoat.tabular.naming import Named
from tiecoat.tabular.questions import APART
from tiecoat.tabular.teaching import Teaching
from tiecoat.tabular.title_parts import parted
from tiecoat.tabular.told_lines import stem_of

TURNED, AS_IT_STANDS = "turned", "as it stands"
AS_SEEN = "as seen"
BY_NAME = "file="  # an answer to what a file lacks: that its name tells it
ID_OF_ONE_FILE = (
    "an id belongs to one file, not to a layout: every later file would be filed under it; say which"
    " column holds it ({0}=column:TITLE), or give it to the file: tiecoat held assign HELD --{0} ID"
)
NUMBER_OF_ONE_FILE = (
    "a number of one determination belongs to one file, not to a layout: say which column holds it"
    " ({0}=column:TITLE), or that the name of the file does (file=TEXT {{{0}}} TEXT)"
)
ANSWERS = {  # sort of answer -> how it is given, for the person who asks
    "kind": "kind=KIND",
    "columns": "columns=ROLE, ROLE in UNIT, pass over, ...",
    "column": "column:TITLE=ROLE or column 3=ROLE",
    "take": "take:ROLE=TITLE",
    "unit": "unit:TITLE=UNIT",
    "sign": f"sign:TITLE={TURNED}",
    "rows": f"rows:WORD={PASS_OVER}",
    "word": "word:COLUMN:WORD=WORD OF THE KIND || WORD=...",
    "lines": "lines=TEXT {ROLE} TEXT || {ROLE in UNIT} TEXT {ROLE ...}",
    "sheet": f"sheet:NAME={PASS_OVER} or sheet={{ROLE}}",
    "file": "file=TEXT {ROLE} TEXT",
    "dates": "dates=day",
    "decimal": "decimal=comma",
}
KEY_MEANINGS = {
    "panel": "id of the panel",
    "batch": "id of the batch",
    "moment": "day and clock of the measurement",
    "date": "day of the measurement",
    "clock": "clock of the measurement, beside its day",
    "instrument": "what it was measured with",
    "number": "a number of the row, which is not filed",
    "candidate": "what the batch is called by beside its id, as in the register",
    "dose": "dose of the candidate of the batch, as in the register",
}
_COLUMN = "column:"
_WORDS_SHOWN = 12
_OF_TITLES = ("column", "unit", "sign")
_COMMA = re.compile(r"\s*,\s*(?![^{}]*\})")


def parted_answer(said: str) -> tuple[str, str]:
    """Part KEY=VALUE; a title may hold a sign of equality, and so may a form.

    Raises
    ------
    ValueError
        If there is none.
    """
    sort = said.partition(":")[0].strip()
    of_title = sort in (*_OF_TITLES, "word", "rows")
    if of_title and "{" not in said and not (sort == "word" and APART in said):
        key, mark, value = said.rpartition("=")
    else:
        key, mark, value = said.partition("=")
    if not mark:
        raise ValueError(f"{said!r}: expected KEY=VALUE")
    return key.strip(), value.strip()


def is_own_id(key: str, value: str) -> bool:
    """Tell whether an answer gives an id itself, and not the column that holds it: it is of one file."""
    return key in IDS and not value.startswith((_COLUMN, BY_NAME))


@dataclass(frozen=True)
class Scene:
    """The file that answers are of.

    Parameters
    ----------
    places
        The columns of its table, in the order of which an answer for all of them is given.
    named
        Refuses what the file does not have.
    looks
        What forms must know of the kind.
    titled
        Returns the columns of another row of so many titles, where the table has not so many.
    """

    places: Sequence[ColumnPlace]
    named: Named
    looks: Callable[[Lexicon], Looks]
    titled: Callable[[int], Sequence[ColumnPlace]]


def answered(taught: Teaching, lexicon: Lexicon, key: str, answer: str, scene: Scene) -> Teaching:
    """Return what was taught with one answer more.

    Raises
    ------
    ValueError
        If the key or the answer is none that is understood; the message says what would be.
    """
    if key in lexicon.roles and answer.startswith(BY_NAME):
        key, answer = "file", answer.removeprefix(BY_NAME)
    sort, _, title = key.partition(":")
    places, named = scene.places, scene.named
    if key == "columns":
        return _columns(taught, lexicon, answer, scene)
    if not title and key_of(sort, places) != sort:
        sort, title = "column", sort
    if sort in _OF_TITLES:
        title = key_of(title, places)
    elif sort == "take":
        answer = key_of(answer, places)
    elif answer.startswith(_COLUMN):
        answer = f"{_COLUMN}{key_of(answer.removeprefix(_COLUMN), places)}"
        named.tell_no_title(answer.removeprefix(_COLUMN))
    if sort in _OF_TITLES or sort == "take":
        named.tell_no_title(answer if sort == "take" else title)
    if key in ("line", "lines"):
        return _lines(taught, lexicon, answer, scene)
    if sort == "column":
        return _taken(taught, title, checked(lexicon, _take_of_column(answer)))
    if sort == "take":
        return _taken(taught, answer, checked(lexicon, Take(title)))
    if sort == "unit":
        return _unit(taught, lexicon, title, answer)
    if sort == "sign":
        return _sign(taught, lexicon, title, answer)
    if sort == "word":
        return _words(taught, lexicon, title, answer, scene)
    if sort == "rows" and title and answer == PASS_OVER:
        words = [word.strip() for word in title.split(APART) if word.strip()]
        for word in words:
            named.tell_no_row(word)
        return replace(taught, pass_over=tuple(dict.fromkeys((*taught.pass_over, *words))))
    if sort == "sheet" and title and answer == PASS_OVER:
        named.tell_no_sheet(title)
        return replace(taught, pass_over_sheets=(*taught.pass_over_sheets, title))
    if key in ("sheet", "file"):
        form = Form(stem_of(answer) if key == "file" else answer)
        for place in form.places:
            checked(lexicon, place.take)
        named.tell_no_name(form, scene.looks(lexicon), of_file=key == "file")
        return replace(taught, sheet=form) if key == "sheet" else replace(taught, file=form)
    if key == "dates" and answer in ("day", "month"):
        return replace(taught, dates="day" if answer == "day" else "month")
    if key == "decimal" and answer in ("point", "comma"):
        return replace(taught, decimal="point" if answer == "point" else "comma")
    if key in lexicon.roles:
        return _told(taught, lexicon, key, answer)
    known = ", ".join(sorted(name for name in lexicon.roles if not name.startswith("spread")))
    ways = "; ".join(ANSWERS.values())
    raise ValueError(f"no question {key!r} with such an answer; there are {ways}; and {known}")


def _columns(taught: Teaching, lexicon: Lexicon, answer: str, scene: Scene) -> Teaching:
    """Take what each column is, in their order; of one title all the same, or each by its place."""
    specs, places = _COMMA.split(answer.strip()), scene.places
    if specs[-1].endswith(SEVERAL) and len(specs) < len(places):
        last = specs.pop().removesuffix(SEVERAL).strip()
        specs += [last] * (len(places) - len(specs))
    if len(specs) != len(places) and (other := scene.titled(len(specs))):
        places = other
    if len(specs) != len(places):
        shown = ", ".join(place.name for place in places) or "none"
        raise ValueError(f"{len(specs)} columns told; the table has {len(places)}: {shown}")
    said: dict[str, set[str]] = {}
    for place, spec in zip(places, specs, strict=True):
        said.setdefault(bare_title(place.title), set()).add(spec)
    for place, spec in zip(places, specs, strict=True):
        alike = bool(place.title.strip()) and len(said[bare_title(place.title)]) == 1
        if spec != AS_SEEN:
            title = place.title if alike else place.key
            taught = _taken(taught, title, checked(lexicon, _take_of_column(spec)), anew=True)
    return taught


def _take_of_column(spec: str) -> Take:
    """Return what a column is; where its cells hold several numbers, the form of these."""
    return take_of(f"{{{spec}}}" if spec.endswith(SEVERAL) and "{" not in spec else spec)


def _lines(taught: Teaching, lexicon: Lexicon, answer: str, scene: Scene) -> Teaching:
    forms = (*taught.lines, *(Form(each.strip()) for each in answer.split(APART)))
    for place in (place for form in forms for place in form.places):
        checked(lexicon, place.take)
    if (twice := said_in_two_ways(forms)) is not None:
        raise ValueError(f"two lines say {twice} in two ways: write it in braces the same in both")
    for form in forms[len(taught.lines) :]:
        scene.named.tell_no_line(form, scene.looks(lexicon))
    return replace(taught, lines=forms)


def _told(taught: Teaching, lexicon: Lexicon, key: str, answer: str) -> Teaching:
    """Take a value for every row, or the column that holds it."""
    if answer.startswith(_COLUMN):
        return _taken(taught, answer.removeprefix(_COLUMN), Take(key))
    if key in IDS:
        raise ValueError(ID_OF_ONE_FILE.format(key))
    if key == lexicon.kind.counted:
        raise ValueError(NUMBER_OF_ONE_FILE.format(key))
    if key in lexicon.closed and lexicon.is_closed(key) and not lexicon.is_word(key, answer):
        allowed = ", ".join(map(str, lexicon.closed[key].payloads))
        raise ValueError(f"{answer!r} is no {key}; there are {allowed}")
    return replace(taught, told={**taught.told, key: answer})


def _words(taught: Teaching, lexicon: Lexicon, title: str, answer: str, scene: Scene) -> Teaching:
    """Take what a word means, or several: `WORD=OWN WORD || WORD=OWN WORD`."""
    column, _, first = title.partition(":")
    forms = bool(taught.lines) or any(take.parts is not None for take in taught.take.values())
    for each in f"{first}={answer}".split(f" {APART} "):
        word, mark, own = (part.strip() for part in each.rpartition("="))
        if not mark:
            raise ValueError(f"{each!r}: expected WORD=OWN WORD")
        taught = _word(taught, lexicon, f"{column}:{word}", own)
        scene.named.tell_no_text(word, parted=forms)
    return taught


def _word(taught: Teaching, lexicon: Lexicon, title: str, answer: str) -> Teaching:
    column, _, word = title.partition(":")
    if column not in lexicon.infos or lexicon.infos[column].type != "str" or not word:
        raise ValueError(f"{column!r} is no column of text of {lexicon.kind.name}")
    if column in lexicon.closed and lexicon.is_closed(column):
        allowed = ", ".join(map(str, lexicon.closed[column].payloads))
        if not lexicon.is_word(column, answer):
            raise ValueError(f"{answer!r} is no {column}; there are {allowed}")
        answer = lexicon.in_words_of_kind(column, answer) or answer
    words = {**taught.words.get(column, {}), word: answer}
    return replace(taught, words={**taught.words, column: words})


def checked(lexicon: Lexicon, take: Take) -> Take:
    """Return what a title is if the kind knows it.

    Raises
    ------
    ValueError
        If it does not: no such column, key or unit.
    """
    if take.parts is not None:
        for place in take.parts.places:
            checked(lexicon, place.take)
        return take
    if take.role is None:
        return take
    role = lexicon.roles.get(take.role)
    if role is None or role.sort in ("spread", "beside"):
        raise ValueError(f"{take.role!r} is none of {', '.join(roles_of(lexicon))}, {PASS_OVER}")
    if take.unit is not None and role.unit and not converts(take.unit, role.unit):
        raise ValueError(f"{take.unit!r} is no unit that can be turned into {role.unit}")
    if take.several and role.type != "float":
        raise ValueError(
            f"{take.role} ...: only numbers stand side by side, and {take.role} is none"
        )
    bare = replace(take, given=None, more=())
    return bare.at(*(key_told(lexicon, *each) for each in take.keys))


def tell_other_id(title: str, take: Take) -> None:
    """Raise ValueError if a column is told to be of an id that its title does not name.

    Under a title of its own every later file would be filed under that id.
    """
    for key, value in take.keys:
        if key in IDS and str(value).casefold() not in title.casefold():
            raise ValueError(
                f"'{title}' at {key} {value}: an id belongs to one file, not to a layout; only a"
                f" column whose title holds it can be of it"
            )


def converts(unit: str, to: str) -> bool:
    """Tell whether a unit, or a clock such as h:mm, can be turned into another."""
    return scale(CLOCKS.get(unit.casefold(), unit), to) is not None


def roles_of(lexicon: Lexicon) -> list[str]:
    """Return the names of everything that a title may be for a kind."""
    roles = lexicon.roles.items()
    return [name for name, role in roles if role.sort not in ("spread", "beside")]


def meanings_of(lexicon: Lexicon) -> Iterator[tuple[str, str, str]]:
    """Yield what an answer may name: name, unit, and what it means with its words if they are few."""
    sources = {source.name: source.meaning for source in lexicon.kind.sources}
    for name in roles_of(lexicon):
        role, info = lexicon.roles[name], lexicon.infos.get(name)
        meaning = info.meaning if info else sources.get(name) or KEY_MEANINGS[name]
        if name in lexicon.closed and lexicon.is_closed(name):
            words = list(map(str, lexicon.closed[name].payloads))
            more = f" and {len(words) - _WORDS_SHOWN} more" if len(words) > _WORDS_SHOWN else ""
            meaning += f": {', '.join(words[:_WORDS_SHOWN])}{more}"
        yield name, role.unit, meaning


def _named_role(lexicon: Lexicon, title: str) -> str:
    fits = [role for role, _ in lexicon.fits(parted(without_place(title)))]
    named = [role.name for role in fits if role.sort not in ("spread", "beside")]
    if not named:
        raise ValueError(
            f"say what the column {title!r} is, with its unit: column:{title}=ROLE in UNIT"
        )
    return named[0]


def _sign(taught: Teaching, lexicon: Lexicon, title: str, answer: str) -> Teaching:
    if answer not in (TURNED, AS_IT_STANDS):
        raise ValueError(f"{answer!r}: allowed are {TURNED!r} and {AS_IT_STANDS!r}")
    before = taught.take.get(title) or Take(_named_role(lexicon, title))
    return _with(taught, title, replace(before, turned=answer == TURNED))


def _taken(taught: Teaching, title: str, take: Take, *, anew: bool = False) -> Teaching:
    """Take what a title is; a unit or sign that was told of it before stays."""
    before = taught.take.get(title)
    if before is not None and not anew:
        take = replace(
            take,
            unit=take.unit if take.unit is not None else before.unit,
            turned=take.turned if take.turned is not None else before.turned,
        )
    return _with(taught, title, take)


def _unit(taught: Teaching, lexicon: Lexicon, title: str, unit: str) -> Teaching:
    before = taught.take.get(title) or Take(_named_role(lexicon, title))
    return _with(taught, title, checked(lexicon, replace(before, unit=unit)))


def _with(taught: Teaching, title: str, take: Take) -> Teaching:
    tell_other_id(title, take)
    takes: Mapping[str, Take] = {**taught.take, title: take}
    return replace(taught, take=takes)
