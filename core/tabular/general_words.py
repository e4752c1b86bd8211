"""Titles without what says little: words that name any quantity, small words, the word for number."""

from __future__ import annotations

import re

from tiecoat.tabular.plain_words import tokens

PART_FROM = 4  # letters of a word that may be a part of a title
GENERAL = frozenset(
    [
        "wert",
        "messwert",
        "value",
        "values",
        "val",
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
        "res",
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
_NUMERO = re.compile(
    r"(?<![^\W\d_])(?:n\s?\.?\s?[º°]|n[or]?\.|n[or]|num\.?|č\.?)(?![^\W\d_])", re.IGNORECASE
)
_OF_A_THING = re.compile(
    r"(?:^|[\s\-.])(?:no|nr|num|núm|n|č|cis|number|nummer|numéro|número|numero|numer|číslo|id)"
    r"\s?[.°º]?$|[n#]\s?[°º]$|#$",
    re.IGNORECASE,
)
_COUNT_OF = re.compile(  # n_spots, px_total, number of averages, Anzahl Zyklen
    r"(?:n[_ ]|px[_ ]|pixels?[_ ]|no\.? of|number of|num[_ ]|count(?: of|_)|anzahl|nombre de"
    r"|número de|numero di|liczba|aantal|počet)\s*[^\W\d_]{2}",
    re.IGNORECASE,
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


def is_general(text: str) -> bool:
    """Tell whether a title is made of words that name any quantity: Value, Wert 2, reading no. 3.

    Examples
    --------
    >>> is_general("Value"), is_general("Wert A"), is_general("Gloss value")
    (True, True, False)
    """
    said = [word for word in tokens(text) if len(word) > 1 and not word.isdigit()]
    return all(word in GENERAL or word in _SMALL for word in said)


def is_of_a_thing(text: str) -> bool:
    """Tell whether a name ends with a word for number: that which a pycnometer has, no amount.

    Examples
    --------
    >>> is_of_a_thing("Picnómetro nº"), is_of_a_thing("Cup no."), is_of_a_thing("Volume")
    (True, True, False)
    """
    return _OF_A_THING.search(text) is not None


def is_count_of(text: str) -> bool:
    """Tell whether a title says how many there are of something: of pixels, spots, cycles.

    Examples
    --------
    >>> is_count_of("px_rust"), is_count_of("Number of cycles"), is_count_of("rust")
    (True, True, False)
    """
    return _COUNT_OF.match(text) is not None


def gist_of(text: str) -> str | None:
    """Return a title without its small words and the word for number, in any order; None if it has none.

    Examples
    --------
    >>> gist_of("N.º de lote") == gist_of("Lote no"), gist_of("time of test") == gist_of("test time")
    (True, True)
    """
    numbered = text if text.isalpha() and len(text) >= PART_FROM else _NUMERO.sub(" ", text)
    words = tokens(numbered)
    said = [word for word in words if word not in _SMALL]
    if len(words) > 1 and len(words[-1]) == 1 and words[-1] in _SMALL:
        return None  # a letter at the end names which of several: collector A
    if len(words) > 1 and len(words[0]) == 1 and text.lstrip()[0].isupper():
        return None  # a symbol: V pycnometer
    gist = " ".join(sorted(said))
    if len(gist) - max(0, len(said) - 1) < PART_FROM or "'" in gist or "|" in gist:
        return None
    return gist
