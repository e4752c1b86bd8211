"""Words as they are compared: without case, accents, blanks and punctuation; texts of words listed.

Primes, bars and the slashes of codes count: Z' is not Z'', |Z| is not Z, B/C is not BC.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from itertools import filterfalse

_PRIMES = str.maketrans({"″": "''", '"': "''", "′": "'", "’": "'", "‘": "'", "`": "'", "´": "'"})
_PLAIN = str.maketrans(
    {"ł": "l", "Ł": "L", "ß": "ss", "ø": "o", "Ø": "O", "æ": "ae", "−": "-", "–": "-"}
)
_LEFT = re.compile(r"[^a-z0-9'|#%α-ω]+")
_TOKEN = re.compile(r"[a-z0-9'|#%α-ω]+")
_LANGUAGE = re.compile(r"^\s*[a-z]{2}:\s*")
_PERCENT_SAID = re.compile(r"[\s,/]*(?:\s(?:in|en|em|w|v|i|e))?\s*[(\[]?\s*%\s*[)\]]?\s*")
_CODE_LEFT = str.maketrans("", "", " .:_()[]")
_LONGEST_CODE = 40
_SCALE = re.compile(r"(?<![\w.,])\d{1,2}\s?=\s?[^\W\d][^=;,()]*(?=[;,()]|$)")
CODE_ENDS = " ,;:"


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
    text = text.strip(CODE_ENDS)
    said = _PERCENT_SAID.sub("", text) if "%" in text else text
    code = unaccented(said.translate(_CODE_LEFT)).rstrip("/")
    return code if "/" in code else None


@lru_cache(maxsize=16384)
def unaccented(text: str) -> str:
    """Return a text in small letters without accents, with one sign for each sort of prime and dash."""
    if text.isascii():
        return text.lower().replace('"', "''").replace("`", "'")
    same = text.translate(_PRIMES).translate(_PLAIN)
    if same.isascii():
        return same.lower()
    parted = unicodedata.normalize("NFKD", same)
    return "".join(filterfalse(unicodedata.combining, parted)).casefold().replace("ς", "σ")


def listed(text: str) -> list[str]:
    """Return the words of a vocabulary text: parted by commas and line ends, language tags dropped.

    Examples
    --------
    >>> listed("frequency, f\\nde: Frequenz, Messfrequenz")
    ['frequency', 'f', 'Frequenz', 'Messfrequenz']
    """
    lines = (_LANGUAGE.sub("", line) for line in text.splitlines())
    return [word for line in lines for part in line.split(",") if (word := part.strip())]


def without_scale(text: str) -> str:
    """Return a text without what the ends of a scale mean, which tells nothing of a sample.

    Examples
    --------
    >>> without_scale("Rust grade (10 = no rust), salt fog"), without_scale("0 = none; 5 = dense")
    ('Rust grade ( ), salt fog', ' ;  ')
    """
    return _SCALE.sub(" ", text)
