"""The language of a report: its sentences, words, numbers and dates, through one catalogue.

English stands in the program itself. Three catalogues in `templates/` have the German of it:
`german.toml` for what the report says, `german_elsewhere.toml` for comparisons and held files,
`german_results.toml` for results.
Whoever writes a report does so within `speaking(language)`.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date
from enum import Enum
from functools import cache
from importlib import resources
from typing import assert_never

from tiecoat.wording import counted, listed

CATALOGUES = ("german.toml", "german_elsewhere.toml", "german_results.toml")
FIELD = re.compile(r"\{(\w+)\}")
MEASURE = re.compile(r"[-+−×≤≥<>\d. %]*\d( [A-Za-zµΩ°%/²³]+)?")  # such as 0.1 Hz
NUMBERED = ("count", "all", "hours")  # fields with numbers only
NUMBERS = r"[\d.,]+(?: to [\d.,]+)?(?:, [\d.,]+)*"
BEFORE_SEMICOLON = "(?:(?!; ).)+?"
LISTS = ("names",)  # fields with names one after the other
JOINS = {" and of ": " und von ", " and ": " und ", " or ": " oder "}
JOIN = re.compile(f"({'|'.join(JOINS)})")
JOINED = ("batches", "models", "systems")  # fields with names that words join
INTERVAL = re.compile(r"([-+−]?[\d.e+]+) to ([-+−]?[\d.e+]+)")


class Language(Enum):
    """A language that a report can be written in, by the name that the settings give it."""

    ENGLISH = "en"
    GERMAN = "de"


_SPOKEN: ContextVar[Language] = ContextVar("language of the report", default=Language.ENGLISH)


def spoken() -> Language:
    """Return the language that is written in."""
    return _SPOKEN.get()


@contextmanager
def speaking(language: Language) -> Iterator[None]:
    """Write in a language; the one before comes back after it."""
    token = _SPOKEN.set(language)
    try:
        yield
    finally:
        _SPOKEN.reset(token)


@cache
def catalogue() -> Mapping[str, Mapping[str, str]]:
    """Return the German catalogue: its sections, each with the German by the English."""
    found: dict[str, dict[str, str]] = {}
    for name in CATALOGUES:
        text = resources.files("tiecoat.report").joinpath(f"templates/{name}")
        for section, entries in tomllib.loads(text.read_text(encoding="utf-8")).items():
            found.setdefault(section, {}).update(entries)
    return found


def say(text: str, /, **fields: object) -> str:
    """Return a text of the program in the language that is written in, its fields filled in.

    Parameters
    ----------
    text
        As it stands in the catalogue; a test holds that every one does.

    Examples
    --------
    >>> say("rank {rank}", rank=1)
    'rank 1'
    >>> with speaking(Language.GERMAN):
    ...     say("rank {rank}", rank=1)
    'Rang 1'
    """
    match spoken():
        case Language.ENGLISH:
            template = text
        case Language.GERMAN:
            template = catalogue()["texts"][text]
        case _:
            assert_never(spoken())
    return _filled(template, fields)


def _filled(template: str, fields: Mapping[str, object]) -> str:
    return FIELD.sub(lambda field: str(fields[field[1]]), template)


def translated(text: str) -> str:
    """Return a text that comes from elsewhere, such as a unit or a reason, where it is known.

    What the catalogue does not have stays as it is: a name of the laboratory, say. Of what is
    joined by semicolons the longest part that is known is looked up, and then the rest.

    Examples
    --------
    >>> with speaking(Language.GERMAN):
    ...     translated("points"), translated("RB-011 has one panel only"), translated("primer 7")
    ('Punkte', 'RB-011 has one panel only', 'primer 7')
    """
    match spoken():
        case Language.ENGLISH:
            return text
        case Language.GERMAN:
            return _german(text)
        case _:
            assert_never(spoken())


def _german(text: str) -> str:
    whole = _known_german(text)
    return whole if whole is not None else "; ".join(_german_parts(text.split("; ")))


def _german_parts(parts: Sequence[str]) -> Iterator[str]:
    """Yield the German of parts, of several together where a text of the catalogue holds them."""
    while parts:
        for count in range(len(parts), 0, -1):
            text = "; ".join(parts[:count])
            known = _known_german(text, is_joined=count > 1)
            if known is not None or count == 1:
                break
        yield text if known is None else known
        parts = parts[count:]


def _known_german(text: str, *, is_joined: bool = False) -> str | None:
    """Return the German of a text that is known as a whole, else None.

    What is joined is known only by a text that holds a semicolon itself: else a field would take
    further parts for its own.
    """
    words = catalogue()["words"]
    if text in words:
        return words[text]
    for pattern, german in _patterns(is_joined=is_joined):
        if found := pattern.fullmatch(text):
            return _filled(
                german, {name: _field(name, one) for name, one in found.groupdict().items()}
            )
    if ends := INTERVAL.fullmatch(text):
        return say("{low} to {high}", low=in_numbers(ends[1]), high=in_numbers(ends[2]))
    return in_numbers(text) if MEASURE.fullmatch(text) else None


def _field(name: str, text: str) -> str:
    if name in JOINED:
        words = catalogue()["words"]
        return "".join(JOINS.get(one) or words.get(one, one) for one in JOIN.split(text))
    return ", ".join(map(_german, text.split(", "))) if name in LISTS else _german(text)


@cache
def _patterns(*, is_joined: bool = False) -> list[tuple[re.Pattern[str], str]]:
    """Return sentences with fields as patterns, those with most fixed letters first."""
    sentences = catalogue()["sentences"]
    asked = [one for one in sentences if "; " in one or not is_joined]
    listed = sorted(asked, key=lambda one: -len(FIELD.sub("", one)))
    return [(_pattern(one), sentences[one]) for one in listed]


def _pattern(sentence: str) -> re.Pattern[str]:
    """Return a sentence as a pattern; a field that begins it takes no part before a semicolon."""
    parts = FIELD.split(sentence)  # text, field, text, ...
    told = re.escape(parts[0])
    for name, after in zip(parts[1::2], parts[2::2], strict=True):
        held = NUMBERS if name in NUMBERED else ".+?" if told else BEFORE_SEMICOLON
        told += f"(?P<{name}>{held}){re.escape(after)}"
    return re.compile(told, re.DOTALL)


def say_counted(number: int, noun: str) -> str:
    """Return such as "1 panel" or "2,000 panels".

    Examples
    --------
    >>> say_counted(2000, "panel")
    '2,000 panels'
    >>> with speaking(Language.GERMAN):
    ...     say_counted(1, "panel"), say_counted(2000, "panel")
    ('1 Platte', '2.000 Platten')
    """
    match spoken():
        case Language.ENGLISH:
            return counted(number, noun)
        case Language.GERMAN:
            nouns = catalogue()["nouns"]
            word = nouns[noun] if number == 1 else nouns[f"{noun}s"]
            return f"{number:,}".replace(",", ".") + f" {word}"
        case _:
            assert_never(spoken())


def in_numbers(text: str) -> str:
    """Return a number's text with the decimal mark of the language.

    Examples
    --------
    >>> in_numbers("0.5")
    '0.5'
    >>> with speaking(Language.GERMAN):
    ...     in_numbers("8.693 × 10⁷")
    '8,693 × 10⁷'
    """
    match spoken():
        case Language.ENGLISH:
            return text
        case Language.GERMAN:
            return text.replace(".", ",")
        case _:
            assert_never(spoken())


def day(on: date) -> str:
    """Return a date as the language writes it.

    Examples
    --------
    >>> day(date(2026, 11, 26))
    '2026-11-26'
    >>> with speaking(Language.GERMAN):
    ...     day(date(2026, 11, 26))
    '26.11.2026'
    """
    match spoken():
        case Language.ENGLISH:
            return on.isoformat()
        case Language.GERMAN:
            return f"{on:%d.%m.%Y}"
        case _:
            assert_never(spoken())


def joined(parts: list[str]) -> str:
    """Return names as a list in a sentence.

    Examples
    --------
    >>> joined(["gloss"]), joined(["gloss", "haze", "colour"])
    ('gloss', 'gloss, haze and colour')
    """
    return listed(parts, say(" and "))
