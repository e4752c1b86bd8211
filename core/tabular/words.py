"""Words of the trade, each with what it stands for, compared with titles and free texts."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from os.path import commonprefix
from typing import Generic, TypeVar

from tiecoat.dialect.units import scale
from tiecoat.tabular.general_words import GENERAL, PART_FROM, gist_of
from tiecoat.tabular.plain_words import CODE_ENDS, bare, code_of, tokens
from tiecoat.tabular.title_parts import Title, parted

EXACT, PARTLY = 3, 2  # how well a title fits a word
P = TypeVar("P")
_T = TypeVar("_T")
_IN_UNIT = re.compile(r"(?P<name>[^{}]+?)\s*\{(?P<unit>[^{}]+)\}")
_COUNT = re.compile(r"[\d#]+")
_NO_COUNT = re.compile(r"\d\W+\d|\d\s?[°%/]")
_DOUBLED = re.compile(
    r"(?:(?P<left>[^=]+)=|(?P<name>.*[^\s,]),?\s)\s*(?P<symbol>(?(left).+|[^\s=]{1,4}))", re.DOTALL
)
_TWICE = re.compile(r"(?P<name>[^/|]{3,60}?)\s+[/|]\s+(?P<symbol>[^/|]{3,60})")  # in two languages
_ORDINAL = re.compile(  # 1. Messung, 1e meting, 1.ª medida, 2nd run
    r"^\s*(?P<number>\d{1,3})\s?(?:\.\s?[ªº°]?|[ªº°]|(?:er|[eè]re|[eè]?me|e|de|ste|st|nd|rd|th|ra|da|a)\b\.?)"
    r"\s*(?P<name>[^\W\d][^\d]*)$",
    re.IGNORECASE,
)
_EXPLAINED = re.compile(r"\s*\([^()]*\)\s*$")  # in words: A/B (steel/primer)
_LONGEST = 90  # letters of a title that may hold a word
_SHARE = 0.38  # of the letters of a title that its known words must make
_ENDINGS = 3  # letters in which inflected words differ at most, of both together
_STEM = 4  # letters that inflected words share at least
_REMEMBERED = 4096  # titles
_INSIDE_FROM = 6  # letters of a word that may be a part of a longer one (Trockenschichtdicke)


@dataclass(frozen=True)
class WordFit:
    """How a title fits a word: EXACT or PARTLY, by how many letters, and the number for its #.

    `unit` is the unit that the word itself says, such as hours of exposure.
    """

    level: int
    letters: int
    number: float | None = None
    unit: str | None = None


class WordIndex(Generic[P]):
    """Words, each with what it stands for, ready to be compared with titles."""

    def __init__(self) -> None:
        self._exact: dict[str, list[tuple[P, str | None]]] = {}
        self._single: dict[str, list[tuple[P, str | None]]] = {}  # one letter: its case matters
        self._parts: dict[str, list[tuple[str, tuple[str, ...]]]] = {}  # by how they begin
        self._within: set[str] = set()  # words that may begin or end a longer one
        self._gists: dict[str, list[str]] = {}  # keys by what they are without small words
        self._numbered: dict[str, list[tuple[re.Pattern[str], P]]] = {}  # by the word around it
        self._codes: dict[str, list[P]] = {}
        self._in_unit: dict[str, list[tuple[P, str]]] = {}  # what stands for it in a unit alone
        self._told: list[tuple[Callable[[str], bool], P]] = []
        self._coded_before: dict[str, list[P]] = {}
        self._found: dict[Title, list[tuple[P, WordFit]]] = {}
        self._spoken_before: dict[str, list[tuple[str, P]]] = {}

    def copy(self) -> WordIndex[P]:
        """Return an index of the same words, to which others may be added: both share their lists."""
        other: WordIndex[P] = WordIndex()
        for name in ("_exact", "_single", "_parts", "_gists", "_codes", "_numbered", "_in_unit"):
            setattr(other, name, dict(getattr(self, name)))
        other._within = set(self._within)
        other._told = list(self._told)
        return other

    def add(self, words: Iterable[str], payload: P, *, numbered: bool = False) -> None:
        """Let words stand for something; of `numbered` ones a lone # is any number.

        `cab {degC}` stands for it only where a title is in degrees: alone a cabinet is a place.
        """
        for word in words:
            if numbered and (code := code_of(word)) is not None:
                known = self._codes.get(code, [])
                if all(payload is not other for other in known):
                    self._codes[code] = [*known, payload]
                continue
            if (in_unit := _IN_UNIT.fullmatch(word)) is not None:
                _more(self._in_unit, bare(in_unit["name"]), (payload, in_unit["unit"]))
                continue
            title = parted(word)
            name, unit = title.name or word, None
            if title.unit and word.rstrip().endswith("]"):
                unit, word = title.unit, name  # noqa: PLW2901 - the unit is no part of the word
            for spelling in dict.fromkeys((word, name)):
                self._add(spelling, payload, unit, numbered)

    def add_told(self, tells: Callable[[str], bool], payload: P) -> None:
        """Let every title with a slash of which a function says so stand for something."""
        self._told.append((tells, payload))

    def _coded(self, title: Title) -> list[P]:
        """Return what a title stands for as a code, or as one that is told by what it says."""
        raw = title.raw
        if "/" not in raw or len(raw) > _LONGEST:
            return []
        if raw not in self._coded_before:
            if len(self._coded_before) > _REMEMBERED:
                self._coded_before.clear()
            self._coded_before[raw] = self._codes.get(title.code or "") or [
                payload for tells, payload in self._told if tells(raw)
            ]
        return self._coded_before[raw]

    def _add(self, spelling: str, payload: P, unit: str | None, numbered: bool) -> None:
        key, gist, parts = _compared(spelling)
        if "#" in key and (len(key) > 1 or numbered):
            pattern = re.compile(re.escape(key).replace(r"\#", r"0*(\d{1,4})"))
            _more(self._numbered, _COUNT.sub("#", key), (pattern, payload))
        elif len(key) == 1 and key.isalpha():
            _more(self._single, _one_letter(spelling), (payload, unit))
        elif key:  # a lone # is a word of its own
            if all(payload is not other for other, _ in self._exact.get(key, ())):
                _more(self._exact, key, (payload, unit))
            if gist is not None:
                _more(self._gists, gist, key)
            if key in GENERAL:
                return  # it names anything: a part of a title only by itself
            if len(key) >= PART_FROM and "'" not in key and parts:
                _more(self._parts, parts[0][:_STEM], (key, parts))
            if len(key) >= _INSIDE_FROM and "'" not in key:
                self._within.add(key)

    @property
    def payloads(self) -> list[P]:
        """Everything that words stand for, in the order in which it was added."""
        found: list[P] = []
        for known in self._exact.values():
            found += [payload for payload, _ in known if payload not in found]
        return found

    def as_code(self, title: Title, below: str | None) -> Title:
        """Return a title, if it is a code, with none of its parts taken for a unit or a sign."""
        if not self._coded(title):
            own = Title(title.raw, _EXPLAINED.sub("", title.raw))
            if not self._coded(Title(own.name, own.name)):
                return title
            title = replace(title, raw=own.name)
        return Title(title.raw, title.raw.strip(CODE_ENDS), "%" if "%" in title.raw else below)

    def knows(self, title: Title) -> bool:
        """Tell whether a title is exactly one of the words."""
        before = self._found.get(title)
        if before is None:
            return bool(self._exact_fits(title))
        return any(fit.level == EXACT for _, fit in before)

    def fits(self, title: Title) -> list[tuple[P, WordFit]]:
        """Return what a title may stand for, once each, by how it fits best."""
        if title not in self._found:
            if len(self._found) > _REMEMBERED:
                self._found.clear()
            self._found[title] = self._fits(title)
        return self._found[title]

    def _fits(self, title: Title) -> list[tuple[P, WordFit]]:
        found = self._exact_fits(title)
        if self._coded(title):
            return found
        return found + [
            (payload, WordFit(PARTLY, len(word), None, unit))
            for word in self._partly(title)
            for payload, unit in self._exact[word]
            if all(payload is not other for other, _ in found)
        ]

    def _exact_fits(self, title: Title) -> list[tuple[P, WordFit]]:
        """Return what a title stands for that is wholly one of the words."""
        found: list[tuple[P, WordFit]] = []
        if coded := self._coded(title):
            letters = len(title.code or bare(title.raw))
            return [(payload, WordFit(EXACT, letters)) for payload in coded]
        for spelling in title.spellings:
            key = bare(spelling)
            fits = [
                (payload, WordFit(EXACT, len(key), None, unit))
                for payload, unit in self._exact.get(key, ())
            ]
            if title.unit is not None:
                fits += [
                    (payload, WordFit(EXACT, len(key) + 1))
                    for payload, unit in self._in_unit.get(key, ())
                    if scale(title.unit, unit) is not None
                ]
            if len(key) == 1:
                fits += [
                    (payload, WordFit(EXACT, 1, None, unit))
                    for payload, unit in self._single.get(_one_letter(spelling), ())
                ]
            if not fits and (gist := gist_of(spelling)) is not None:
                fits = [
                    (payload, WordFit(EXACT, len(word), None, unit))
                    for word in dict.fromkeys(self._gists.get(gist, ()))
                    for payload, unit in self._exact[word]
                ]
            counted = _ORDINAL.fullmatch(spelling)
            ordered = bare(f"{counted['name']} {counted['number']}") if counted else ""
            for pattern, payload in self._counting(spelling, key, ordered):
                if match := pattern.fullmatch(key) or (ordered and pattern.fullmatch(ordered)):
                    fits.append((payload, WordFit(EXACT, len(key), float(match[1]))))
            found += [
                (payload, fit)
                for payload, fit in fits
                if all(payload is not other for other, _ in found)
            ]
        found += [
            (payload, fit)
            for payload, fit in self._doubled(title)
            if all(payload is not other for other, _ in found)
        ]
        return found

    def _counting(self, spelling: str, *keys: str) -> Iterator[tuple[re.Pattern[str], P]]:
        """Return the numbered words that a spelling may be, told by what stands around the number."""
        if not _NO_COUNT.search(spelling):
            for around in dict.fromkeys(_COUNT.sub("#", key) for key in keys if key):
                yield from self._numbered.get(around, ())

    def _doubled(self, title: Title) -> Iterator[tuple[P, WordFit]]:
        """Return what both parts of a title stand for: `Conductance G`, `w = 2 pi f`, `Lot / Charge`."""
        for shape in (_TWICE, _DOUBLED) if not title.name[:1].isdigit() else ():
            match = shape.fullmatch(title.name)
            if match is None:
                continue
            said = match.groupdict()
            first = said["name"] or said["left"]
            named, symbol = (self._exact_for(part) for part in (first, said["symbol"]))
            for payload, fit in named:
                if any(payload is other for other, _ in symbol):
                    yield payload, fit

    def _exact_for(self, name: str) -> list[tuple[P, WordFit]]:
        return self._exact_fits(Title(name, name))

    def spoken_of(self, text: str) -> P | None:
        """Return what a free text speaks of by one of the words, if by the longest it is one."""
        found: dict[int, list[P]] = {}
        for word, payload in self._spoken(text):
            found.setdefault(len(word), []).append(payload)
        if not found:
            return self._scattered(text)
        longest = found[max(found)]
        return longest[0] if all(payload == longest[0] for payload in longest) else None

    def longest_spoken_of(self, text: str) -> list[P]:
        """Return everything that the longest words in a free text stand for."""
        found: dict[int, list[P]] = {}
        for word, payload in self._spoken(text):
            found.setdefault(len(word), []).append(payload)
        return found[max(found)] if found else []

    def _scattered(self, text: str) -> P | None:
        """Return what a text speaks of with the parts of a word in any order: 4 mm cup to ISO 2431."""
        said = set(tokens(text))
        found = [
            (len(parts), payload)
            for known in self._parts.values()
            for key, parts in known
            if len(parts) > 2 and any(part.isdigit() for part in parts) and set(parts) <= said
            for payload, _ in self._exact[key]
        ]
        most = max((count for count, _ in found), default=0)
        fullest = [payload for count, payload in found if count == most]
        return fullest[0] if fullest and all(one == fullest[0] for one in fullest) else None

    def closer_spoken_of(self, text: str, payload: P, others: Iterable[P]) -> P:
        """Return which of some a text speaks of: another one if it has a word that only that one has.

        Such as the width of `Corrosion at the scribe, width in mm`.
        """
        said = set(tokens(text))
        words = [
            (parts, self._exact[key]) for known in self._parts.values() for key, parts in known
        ]
        own = {token for parts, of in words if any(p is payload for p, _ in of) for token in parts}
        for other in others:
            for parts, of in words:
                if set(parts) <= said and not set(parts) <= own and any(p is other for p, _ in of):
                    return other
        return payload

    def all_spoken_of(self, text: str) -> list[P]:
        """Return everything that a free text speaks of by a word of more than two letters."""
        return [payload for _, payload in self._spoken(text)]

    def _spoken(self, text: str) -> list[tuple[str, P]]:
        if text not in self._spoken_before:
            if len(self._spoken_before) > _REMEMBERED:
                self._spoken_before.clear()
            self._spoken_before[text] = list(self._words_in(text))
        return self._spoken_before[text]

    def _words_in(self, text: str) -> Iterator[tuple[str, P]]:
        said = tokens(text)
        for start in range(len(said)):
            for stop in range(start + 1, min(start + 6, len(said)) + 1):
                word = "".join(said[start:stop])
                for payload, _ in self._exact.get(word, ()) if len(word) > 2 else ():
                    yield word, payload

    def _partly(self, title: Title) -> list[str]:
        """Return the words that are a part of a title, the longest first."""
        key, said = bare(title.name), tokens(title.name)
        if len(key) <= PART_FROM or len(key) > _LONGEST:
            return []
        words = {
            word
            for token in said
            for word, parts in self._parts.get(token[:_STEM], ())
            if len(word) >= _SHARE * len(key)
            and all(any(_inflected(p, t) for t in said) for p in parts)
        } - {key}
        for length in range(max(_INSIDE_FROM, (len(key) + 1) // 2), len(key)):
            words |= {part for part in (key[:length], key[-length:]) if part in self._within}
        return sorted(words, key=lambda word: (-len(word), word))


def _more(known: dict[str, list[_T]], key: str, one: _T) -> None:
    """Add one to what is known by a key, in a list of its own: copies share those that there were."""
    known[key] = [*known.get(key, ()), one]


@cache
def _compared(word: str) -> tuple[str, str | None, tuple[str, ...]]:
    """Return a word as it is compared: bare, by its gist, by its parts; most words are of many kinds."""
    return bare(word), gist_of(word), tokens(word)


def _inflected(one: str, other: str) -> bool:
    """Tell whether two words are the same but for an ending: punkt, punktu; brillant, brillante.

    Examples
    --------
    >>> _inflected("punkt", "punktu"), _inflected("elektrode", "elektrolyt")
    (True, False)
    """
    if one == other:
        return True
    shorter = min(len(one), len(other))
    same = max(_STEM, shorter - 2)
    if shorter < _STEM or one[:same] != other[:same]:
        return False
    alike = commonprefix((one, other))  # noqa: RUF071 - letters are what is compared
    return len(one) + len(other) - 2 * len(alike) <= _ENDINGS


def _one_letter(text: str) -> str:
    """Return the first letter: of a plain one its case matters, of one with an accent the accent."""
    letter = next((char for char in unicodedata.normalize("NFC", text) if char.isalpha()), "")
    return letter.casefold() if len(unicodedata.normalize("NFD", letter)) > 1 else letter
