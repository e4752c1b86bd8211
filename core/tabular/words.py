"""Titles as people and instruments write them, and the words of the trade that they are made of.

A title is parted from its unit, its sign and its logarithm; what is left is compared without case,
accents, blanks and punctuation. Primes and bars count: Z' is not Z'', |Z| is not Z.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from itertools import filterfalse
from os.path import commonprefix
from typing import Generic, TypeVar

from tiecoat.dialect.titles import cut_unit
from tiecoat.dialect.units import plain_unit

EXACT, PARTLY = 3, 2  # how well a title fits a word

P = TypeVar("P")

_PRIMES = str.maketrans({"″": "''", '"': "''", "′": "'", "’": "'", "‘": "'", "`": "'", "´": "'"})
_PLAIN = str.maketrans(
    {"ł": "l", "Ł": "L", "ß": "ss", "ø": "o", "Ø": "O", "æ": "ae", "−": "-", "–": "-"}
)
_LEFT = re.compile(r"[^a-z0-9'|#%α-ω]+")
_TOKEN = re.compile(r"[a-z0-9'|#%α-ω]+")
_SIGN = re.compile(
    r"(?:\(\s*[-−–]\s*\)|[-−–]|minus\b|neg(?:ative|ativ|\.)?\s)\s*(?=[^\s\d])", re.IGNORECASE
)
_LOG = re.compile(r"(?:log\s?10|log|lg)\b[\s_]*(?P<rest>.+)", re.IGNORECASE | re.DOTALL)
_BRACKETED = re.compile(r"(?P<name>.*\S)\s*[\[(](?P<unit>[^()\[\]]{1,20})[\])]")
_AMID = re.compile(  # a unit in brackets amid a title: DFT (µm) dry
    r"(?P<name>[^()\[\]]*\S)\s*[\[(](?P<unit>[^()\[\]]{1,20})[\])],?\s+(?P<rest>[^\W\d][^()\[\]]*)"
)
_JOINED = re.compile(
    r"(?P<name>.*\S)\s+(?:in|en|em|v|ve|w|i)\s+\[?(?P<unit>(?:1/|[^\]\d])\S*(?:\s?\S{1,6})?)\]?",
    re.DOTALL,
)
_MINUTES = re.compile(
    r"(?<=\S)(?:\s*[\[(/,]\s*|\s+(?:in\s+)?)(?:h+:)?m+(?:in)?:s+(?:ec)?\s*[\])]?$", re.IGNORECASE
)
_DEGREES = re.compile(r"(.*\S)\s*[/,(\[]\s*([CF])\s*[)\]]?")
_LOOSE = (
    re.compile(r"(?P<name>.*\S)[\s_]+(?P<unit>\S+\s\S{1,6})"),
    re.compile(r"(?P<name>.*\S)[\s_]+(?P<unit>\S+)"),
)
_BESIDE = (
    re.compile(r"(?P<name>.*[^\s/,:|])\s+(?P<unit>(?:1/|[^\s\d/(\[])\S*\s\S{1,6})"),
    re.compile(r"(?P<name>.*[^\s/,:|])\s+(?P<unit>(?:1/|[^\s\d/(\[])\S+)"),
)
_GLUED = re.compile(r"\s[^\s,;/]+/[^\s/]+(?:\s\S{1,6})?$")  # a slash that may be within a unit
_ONE_LETTER = re.compile(r"[^\W\d_]\W?\d*")  # a symbol or the number of something: N., P1
_COUNT = re.compile(r"[\d#]+")
_NO_COUNT = re.compile(r"\d\W+\d|\d\s?[°%/]")
_DOUBLED = re.compile(
    r"(?:(?P<left>[^=]+)=|(?P<name>.*[^\s,]),?\s)\s*(?P<symbol>(?(left).+|[^\s=]{1,4}))", re.DOTALL
)
_INSIDE = re.compile(r"[(\[](?P<inside>[^()\[\]]+)[)\]]")
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_LANGUAGE = re.compile(r"^\s*[a-z]{2}:\s*")
_ORDINAL = re.compile(  # 1. Messung, 1e meting, 1.ª medida, 2nd run
    r"^\s*(?P<number>\d{1,3})\s?(?:\.\s?[ªº°]?|[ªº°]|(?:er|[eè]re|[eè]?me|e|de|ste|st|nd|rd|th|ra|da|a)\b\.?)"
    r"\s*(?P<name>[^\W\d][^\d]*)$",
    re.IGNORECASE,
)
_PERCENT_SAID = re.compile(r"[\s,/]*(?:\s(?:in|en|em|w|v|i|e))?\s*[(\[]?\s*%\s*[)\]]?\s*")
_CODE_LEFT = str.maketrans("", "", " .:_()[]")
_WORDLIKE_UNITS = frozenset(
    "min sec in den dia ora ore tag dag st cp cps lb deg rad std hod uur rpm gal week".split()  # noqa: SIM905 - it reads
)
_LONGEST_CODE = 40
_EXPLAINED = re.compile(r"\s*\([^()]*\)\s*$")  # in words: A/B (steel/primer)
_CODE_ENDS = " ,;:"
_PART_FROM = 4  # letters of a word that may be a part of a title
_GENERAL = frozenset(
    [
        "wert",
        "messwert",
        "value",
        "values",
        "reading",
        "readings",
        "valeur",
        "valor",
        "valore",
        "wartosc",
        "waarde",
        "hodnota",
        "result",
        "results",
        "ergebnis",
        "resultat",
        "messung",
        "measurement",
        "mesure",
        "medida",
        "misura",
        "pomiar",
        "meting",
        "mereni",
        "data",
        "mean",
        "mittelwert",
        "number",
        "nummer",
        "sample",
        "probe",
        "test",
        "name",
        "code",
        "type",
        "typ",
        "art",
        "state",
        "status",
    ]
)
_LONGEST = 90  # letters of a title that may hold a word
_SHARE = 0.38  # of the letters of a title that its known words must make
_NUMERO = re.compile(
    r"(?<![^\W\d_])(?:n\s?\.?\s?[º°]|n[or]?\.|n[or]|num\.?|č\.?)(?![^\W\d_])", re.IGNORECASE
)
_SMALL = frozenset(
    [
        "of",
        "the",
        "a",
        "an",
        "for",
        "to",
        "der",
        "die",
        "das",
        "des",
        "dem",
        "den",
        "zur",
        "zum",
        "de",
        "du",
        "la",
        "le",
        "les",
        "d",
        "l",
        "del",
        "el",
        "los",
        "las",
        "di",
        "della",
        "dello",
        "dei",
        "delle",
        "il",
        "lo",
        "dell",
        "van",
        "het",
        "een",
        "voor",
        "z",
        "ze",
        "w",
        "na",
        "do",
        "v",
        "s",
        "u",
    ]
)
_ENDINGS = 3  # letters in which inflected words differ at most, of both together
_STEM = 4  # letters that inflected words share at least
_REMEMBERED = 4096  # titles
_INSIDE_FROM = 6  # letters of a word that may be a part of a longer one (Trockenschichtdicke)


@lru_cache(maxsize=16384)
def bare(text: str) -> str:
    """Return what two titles share when they are the same word.

    Examples
    --------
    >>> bare("Dry-Film thickness") == bare("dry film Thickness."), bare("Z′"), bare("Prüfdauer")
    (True, "z'", 'prufdauer')
    """
    return _LEFT.sub("", unaccented(text))


@lru_cache(maxsize=16384)
def tokens(text: str) -> tuple[str, ...]:
    """Return the words of a title, each bare."""
    return tuple(_TOKEN.findall(unaccented(text)))


def code_of(text: str) -> str | None:
    """Return a text as a code if a slash between its parts counts; else None.

    A percent sign, with what joins it, is no part of a code.

    Examples
    --------
    >>> code_of("-/Y"), code_of("Share B/C [%]"), code_of("B/C in %"), code_of("C / %")
    ('-/y', 'shareb/c', 'b/c', None)
    """
    if "/" not in text or len(text) > _LONGEST_CODE:
        return None
    text = text.strip(_CODE_ENDS)
    said = _PERCENT_SAID.sub("", text) if "%" in text else text
    code = unaccented(said.translate(_CODE_LEFT)).rstrip("/")
    return code if "/" in code else None


def unaccented(text: str) -> str:
    """Return a text in small letters without accents, with one sign for each sort of prime and dash."""
    if text.isascii():
        return text.lower().replace('"', "''").replace("`", "'")
    same = text.translate(_PRIMES).translate(_PLAIN)
    if same.isascii():
        return same.lower()
    parted = unicodedata.normalize("NFKD", same)
    return "".join(filterfalse(unicodedata.combining, parted)).casefold().replace("ς", "σ")


@dataclass(frozen=True)
class Title:
    """A title, parted.

    Parameters
    ----------
    raw
        As it stands, several rows of titles joined by a blank.
    name
        Without unit, sign and logarithm.
    unit
        The unit beside it, or None.
    turned
        True for a minus in front: the column holds the negative of what the name says.
    log
        True for a decimal logarithm of what the name says.
    factor
        By which numbers below it are multiplied.
    """

    raw: str
    name: str
    unit: str | None = None
    turned: bool = False
    log: bool = False
    factor: float = 1.0

    @property
    def code(self) -> str | None:
        """The title as a code whose slashes and dashes count, such as B/C and -/Y, else None."""
        return code_of(self.raw)

    @property
    def spellings(self) -> Iterator[str]:
        """The name, then without what stands in brackets, then that alone."""
        yield self.name
        if found := _INSIDE.findall(self.name):
            yield _INSIDE.sub(" ", self.name)
            yield from found


@lru_cache(maxsize=16384)
def parted(raw: str) -> Title:
    """Part a title.

    Examples
    --------
    >>> parted("-Z'' [kOhm]")
    Title(raw="-Z'' [kOhm]", name="Z''", unit='kOhm', turned=True, log=False, factor=1.0)
    >>> parted("log10(|Z| / Ohm)").log, parted("log10(|Z| / Ohm)").unit, parted("Hours").unit
    (True, 'Ohm', None)
    """
    if raw.isalpha():
        return Title(raw, raw)
    text = " ".join(raw.split()).strip(" :;=*")
    turned = log = False
    if match := _SIGN.match(text):
        turned, text = True, text[match.end() :]
    if (match := _LOG.fullmatch(text)) and len(bare(match["rest"])) > 0:
        rest = match["rest"].strip()
        if rest[0] in "([" and rest[-1] in ")]":
            rest = rest[1:-1]
        log, text = True, rest.strip()
    text = _MINUTES.sub("", text)  # min:s tells how the cells are written, and they show it
    name, unit = _cut_unit(text)
    if unit is None and (match := _JOINED.fullmatch(text)) and match["unit"] in ("C", "F"):
        name, unit = match["name"], f"°{match['unit']}"
    if unit is None and (match := _DEGREES.fullmatch(text)):
        name, unit = match[1], f"°{match[2]}"
    return Title(raw, name, unit, turned, log)


def _cut_unit(text: str) -> tuple[str, str | None]:
    """Part a title from the longest unit at its end: joined by a word, beside nothing but a blank, or as usual."""
    if (match := _BRACKETED.fullmatch(text)) and _unit_signs(match["unit"]):
        return match["name"].rstrip(" /,"), match["unit"].strip()
    if (match := _JOINED.fullmatch(text)) and plain_unit(match["unit"]) is not None:
        return match["name"], match["unit"]
    name, unit = cut_unit(text)
    if unit is not None and (text[-1] in ")]" or not _GLUED.search(text)):
        return name, unit
    if (match := _AMID.fullmatch(text)) and plain_unit(match["unit"]) not in (None, ""):
        return f"{match['name']} {match['rest']}", match["unit"].strip()
    for shape in _BESIDE:
        # with nothing but a blank before it: only if it cannot be a word of the title
        match = shape.fullmatch(text)
        if match and plain_unit(match["unit"]) is not None and not _wordlike(match["unit"]):
            return match["name"], match["unit"]
    return name, unit


def _unit_signs(text: str) -> bool:
    """Tell whether what stands in brackets is a unit, or can be nothing but one that is not known."""
    return plain_unit(text) not in (None, "") or (
        "/" in text and not any(char.isdigit() for char in text.split("/", maxsplit=1)[0])
    )


def _wordlike(unit: str) -> bool:
    return unit.rstrip(".").isalpha()


def readings(title: Title) -> Iterator[Title]:
    """Return the other ways to part a title: its last word as its unit, or the slash as an inverse.

    Examples
    --------
    >>> [(other.name, other.unit) for other in readings(parted("abs(Z) kΩ"))]
    [('abs(Z)', 'kΩ')]
    >>> [(other.name, other.unit) for other in readings(parted("gamma dot /s"))]
    [('gamma dot', '/s')]
    """
    if title.unit is not None:
        if re.search(rf"/\s?{re.escape(title.unit)}\W?$", title.raw.strip()):
            yield replace(title, unit=f"/{title.unit}")
        first, _, last = title.unit.rpartition(" ")
        if first and plain_unit(last) not in (None, ""):
            yield replace(title, name=f"{title.name} {first}", unit=last)
        return
    for shape in _LOOSE:
        match = shape.fullmatch(title.name)
        unit = match["unit"].strip("()[]") if match else ""
        if match and unit in ("C", "F"):
            unit = f"°{unit}"
        if match and plain_unit(unit) not in (None, ""):
            yield replace(title, name=match["name"].rstrip(" ,/"), unit=unit)


def listed(text: str) -> list[str]:
    """Return the words of a vocabulary text: parted by commas and line ends, language tags dropped.

    Examples
    --------
    >>> listed("frequency, f\\nde: Frequenz, Messfrequenz")
    ['frequency', 'f', 'Frequenz', 'Messfrequenz']
    """
    lines = (_LANGUAGE.sub("", line) for line in text.splitlines())
    return [word for line in lines for part in line.split(",") if (word := part.strip())]


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
        self._told: list[tuple[Callable[[str], bool], P]] = []
        self._coded_before: dict[str, list[P]] = {}
        self._found: dict[Title, list[tuple[P, WordFit]]] = {}

    def copy(self) -> WordIndex[P]:
        """Return an index of the same words, to which others may be added."""
        other: WordIndex[P] = WordIndex()
        for name in ("_exact", "_single", "_parts", "_gists", "_codes", "_numbered"):
            setattr(other, name, {key: list(known) for key, known in getattr(self, name).items()})
        other._within = set(self._within)
        other._told = list(self._told)
        return other

    def add(self, words: Iterable[str], payload: P, *, numbered: bool = False) -> None:
        """Let words stand for something; of `numbered` ones a lone # is any number."""
        for word in words:
            if numbered and (code := code_of(word)) is not None:
                known = self._codes.setdefault(code, [])
                known += [payload] if all(payload is not other for other in known) else []
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
            self._numbered.setdefault(_COUNT.sub("#", key), []).append((pattern, payload))
        elif len(key) == 1 and key.isalpha():
            self._single.setdefault(_one_letter(spelling), []).append((payload, unit))
        elif key:  # a lone # is a word of its own
            known = self._exact.setdefault(key, [])
            if all(payload is not other for other, _ in known):
                known.append((payload, unit))
            if gist is not None:
                self._gists.setdefault(gist, []).append(key)
            if key in _GENERAL:
                return  # it names anything: a part of a title only by itself
            if len(key) >= _PART_FROM and "'" not in key and parts:
                self._parts.setdefault(parts[0][:_STEM], []).append((key, parts))
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
        return Title(title.raw, title.raw.strip(_CODE_ENDS), "%" if "%" in title.raw else below)

    def knows(self, title: Title) -> bool:
        """Tell whether a title is exactly one of the words."""
        return bool(self._exact_fits(title))

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
            if len(key) == 1:
                fits += [
                    (payload, WordFit(EXACT, 1, None, unit))
                    for payload, unit in self._single.get(_one_letter(spelling), ())
                ]
            if not fits and (gist := _gist(spelling)) is not None:
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
        """Return what a name and a symbol beside it both stand for: `Conductance G`, `w = 2 pi f`."""
        match = _DOUBLED.fullmatch(title.name)
        if match is None or title.name[:1].isdigit():
            return
        named, symbol = (
            self._exact_for(part) for part in (match["name"] or match["left"], match["symbol"])
        )
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
            payload
            for known in self._parts.values()
            for key, parts in known
            if len(parts) > 2 and any(part.isdigit() for part in parts) and set(parts) <= said
            for payload, _ in self._exact[key]
        ]
        return found[0] if found and all(payload == found[0] for payload in found) else None

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

    def _spoken(self, text: str) -> Iterator[tuple[str, P]]:
        said = tokens(text)
        for start in range(len(said)):
            for stop in range(start + 1, min(start + 6, len(said)) + 1):
                word = "".join(said[start:stop])
                for payload, _ in self._exact.get(word, ()) if len(word) > 2 else ():
                    yield word, payload

    def _partly(self, title: Title) -> list[str]:
        """Return the words that are a part of a title, the longest first."""
        key, said = bare(title.name), tokens(title.name)
        if len(key) <= _PART_FROM or len(key) > _LONGEST:
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


def is_unit_title(text: str) -> bool:
    """Tell whether a whole title is a unit that is no word: `um`, `MPa`, `N/mm2`.

    Examples
    --------
    >>> is_unit_title("um"), is_unit_title("[MPa]"), is_unit_title("min"), is_unit_title("P1")
    (True, True, False, False)
    """
    inner = text.strip("[]() ")
    if _ONE_LETTER.fullmatch(inner):
        return False
    return len(inner) > 1 and inner not in _WORDLIKE_UNITS and plain_unit(inner) not in (None, "")


def is_general(text: str) -> bool:
    """Tell whether a title is made of words that name any quantity: Value, Wert 2, reading no. 3.

    Examples
    --------
    >>> is_general("Value"), is_general("Wert A"), is_general("Gloss value")
    (True, True, False)
    """
    said = [word for word in tokens(text) if len(word) > 1 and not word.isdigit()]
    return all(word in _GENERAL or word in _SMALL for word in said)


def _gist(text: str) -> str | None:
    """Return a title without its small words and the word for number, in any order; None if it has none.

    Examples
    --------
    >>> _gist("N.º de lote") == _gist("Lote no"), _gist("time of test") == _gist("test time")
    (True, True)
    """
    numbered = text if text.isalpha() and len(text) >= _PART_FROM else _NUMERO.sub(" ", text)
    said = [word for word in tokens(numbered) if word not in _SMALL]
    if sum(len(word) for word in said) < _PART_FROM or any("'" in w or "|" in w for w in said):
        return None
    return " ".join(sorted(said))


@cache
def _compared(word: str) -> tuple[str, str | None, tuple[str, ...]]:
    """Return a word as it is compared: bare, by its gist, by its parts; most words are of many kinds."""
    return bare(word), _gist(word), tokens(word)


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
