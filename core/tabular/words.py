"""Titles as people and instruments write them, and the words of the trade that they are made of.

A title is parted from its unit, its sign and its logarithm; what is left is compared without case,
accents, blanks and punctuation. Primes and bars count: Z' is not Z'', |Z| is not Z.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

from tiecoat.dialect.titles import cut_unit
from tiecoat.dialect.units import plain_unit

EXACT, PARTLY = 3, 2  # how well a title fits a word

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
_INSIDE = re.compile(r"[(\[](?P<inside>[^()\[\]]+)[)\]]")
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_LANGUAGE = re.compile(r"^\s*[a-z]{2}:\s*")
_PART_FROM = 4  # letters of a word that may be a part of a title
_INSIDE_FROM = 6  # letters of a word that may be a part of a longer one (Trockenschichtdicke)


@lru_cache(maxsize=16384)
def bare(text: str) -> str:
    """Return what two titles share when they are the same word.

    Examples
    --------
    >>> bare("Dry-Film thickness") == bare("dry film Thickness."), bare("Z′"), bare("Prüfdauer")
    (True, "z'", 'prufdauer')
    """
    return _LEFT.sub("", _letters(text))


@lru_cache(maxsize=16384)
def tokens(text: str) -> tuple[str, ...]:
    """Return the words of a title, each bare."""
    return tuple(_TOKEN.findall(_letters(text)))


def _letters(text: str) -> str:
    same = text.translate(_PRIMES).translate(_PLAIN)
    parted = unicodedata.normalize("NFKD", same)
    return (
        "".join(char for char in parted if not unicodedata.combining(char))
        .casefold()
        .replace("ς", "σ")
    )


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
    text = " ".join(raw.split()).strip(" :;=*")
    turned = log = False
    if match := _SIGN.match(text):
        turned, text = True, text[match.end() :]
    if (match := _LOG.fullmatch(text)) and len(bare(match["rest"])) > 0:
        rest = match["rest"].strip()
        if rest[0] in "([" and rest[-1] in ")]":
            rest = rest[1:-1]
        log, text = True, rest.strip()
    name, unit = cut_unit(text)
    if unit is None and (match := re.fullmatch(r"(.*\S)\s+([^\s\d]\S*)", text)):
        # a unit with nothing but a blank before it: only if it cannot be a word of the title
        if plain_unit(match[2]) is not None and len(match[2]) > 1 and not match[2].isalpha():
            name, unit = match[1], match[2]
    return Title(raw, name, unit, turned, log)


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
class Fit:
    """How a title fits a word: EXACT or PARTLY, by how many letters, and the number for its #.

    `unit` is the unit that the word itself says, such as hours of exposure.
    """

    level: int
    letters: int
    number: float | None = None
    unit: str | None = None


class Words:
    """A set of words, ready to be compared with titles."""

    def __init__(self, words: Iterable[str]) -> None:
        self._exact: set[str] = set()
        self._single: set[str] = set()  # one letter: its case matters
        self._parts: list[tuple[str, tuple[str, ...]]] = []
        self._numbered: list[re.Pattern[str]] = []
        self._units: dict[str, str] = {}
        for word in words:
            title = parted(word)
            name = title.name or word
            if title.unit and word.rstrip().endswith("]"):
                self._units[bare(name)] = title.unit
                word = name  # noqa: PLW2901 - the unit is no part of the word
            for spelling in {word, name}:
                key = bare(spelling)
                if "#" in key:
                    self._numbered.append(re.compile(re.escape(key).replace(r"\#", r"0*(\d{1,4})")))
                elif len(key) == 1:
                    self._single.add(_one_letter(spelling))
                elif key:
                    self._exact.add(key)
                    if len(key) >= _PART_FROM and "'" not in key:
                        self._parts.append((key, tokens(spelling)))

    def fit(self, title: Title) -> Fit | None:
        """Return how a title fits these words, or None."""
        for spelling in title.spellings:
            key = bare(spelling)
            if key in self._exact or (len(key) == 1 and _one_letter(spelling) in self._single):
                return Fit(EXACT, len(key), None, self._units.get(key))
            for pattern in self._numbered:
                if match := pattern.fullmatch(key):
                    return Fit(EXACT, len(key), float(match[1]))
        return self._partly(title)

    def _partly(self, title: Title) -> Fit | None:
        key, said = bare(title.name), tokens(title.name)
        if not key:
            return None
        best, unit = 0, None
        for word, parts in self._parts:
            if len(word) <= best or len(word) >= len(key) or 2 * len(word) < len(key):
                continue
            if set(parts) <= set(said) or (
                len(word) >= _INSIDE_FROM and (key.endswith(word) or key.startswith(word))
            ):
                best, unit = len(word), self._units.get(word)
        return Fit(PARTLY, best, None, unit) if best else None


def _one_letter(text: str) -> str:
    return "".join(char for char in unicodedata.normalize("NFKD", text) if char.isalpha())[:1]
