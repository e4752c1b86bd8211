"""The texts of words of a kind, taken apart, and the words compared as titles are."""

import re
import unicodedata
from collections import Counter
from collections.abc import Iterator

from tiecoat.plugin import Kind

LANGUAGES = ("en", "de", "fr", "es", "it", "pl", "nl", "cs")
FURTHER = ("pt", "hu")  # in which most columns have words, and not all need any

_TAG = re.compile(r"\s*([a-z]{2}):\s")
_UNIT = re.compile(r"\[[^\[\]]*\]\s*$")
_PRIMES = str.maketrans({"′": "'", "″": "''", '"': "''", "’": "'", "µ": "μ", "ϕ": "φ", "ϑ": "θ"})
_NO_DECOMPOSITION = str.maketrans({"ł": "l", "ø": "o", "æ": "ae", "œ": "oe", "ı": "i"})


def tagged(text: str) -> Iterator[tuple[str, str]]:
    """Yield each word with its language; "" for symbols. A line without a tag goes on."""
    language = ""
    for line in text.splitlines():
        if match := _TAG.match(line):
            language = match[1]
        yield from (
            (language, word.strip()) for word in _TAG.sub("", line).split(",") if word.strip()
        )


def words_of(text: str) -> list[str]:
    """Return the words of a text."""
    return [word for _, word in tagged(text)]


def values_of(text: str) -> dict[str, list[str]]:
    """Return the other words for each value of a closed column."""
    found: dict[str, list[str]] = {}
    for part in text.split(";"):
        allowed, equals, words = part.partition("=")
        if part.strip():
            assert equals, part
            assert allowed.strip() not in found, part
            found[" ".join(allowed.split())] = words_of(words)
    return found


def folded(word: str) -> str:
    """Return what titles share: no case, accents, blanks, punctuation, unit in square brackets."""
    plain = unicodedata.normalize("NFKD", _UNIT.sub("", word).translate(_PRIMES)).casefold()
    kept = [one for one in plain.translate(_NO_DECOMPOSITION) if not unicodedata.combining(one)]
    return "".join(one for one in kept if one.isalnum() or one in "'|#%°∠*Σ±δ")


def texts_of(kind: Kind) -> dict[str, str]:
    """Return the words of each column and source of a kind, and of each of its spreads."""
    columns = kind.model.to_schema().columns
    found = {name: str(column.metadata["words"]) for name, column in columns.items()}
    found |= {source.name: source.words for source in kind.sources}
    for spread in kind.spreads:
        told = "#" if spread.value is None else f"{spread.value}"
        found[f"{spread.column} of {told}"] = spread.words
    return found


def counts(kind: Kind) -> Counter[str]:
    """Return how many different words each language has in a kind; "" counts the symbols."""
    columns = kind.model.to_schema().columns.values()
    values = [str(column.metadata["values"]) for column in columns]
    texts = [*texts_of(kind).values(), kind.beside]
    texts += [words.partition("=")[2] for text in values for words in text.split(";")]
    per_text = [set(tagged(text)) for text in texts]
    return Counter(language for found in per_text for language, _ in found)
