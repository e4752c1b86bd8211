"""The language that a file is written in, by the words of the trade in its titles and entries."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping
from functools import lru_cache

from tiecoat.contract import words as shared
from tiecoat.plugin import Kind
from tiecoat.tabular.plain_words import bare, tokens
from tiecoat.tabular.title_parts import Title, parted

ENGLISH = "en"
NAMES = {
    "de": "German",
    "fr": "French",
    "es": "Spanish",
    "it": "Italian",
    "pl": "Polish",
    "nl": "Dutch",
    "cs": "Czech",
    "hu": "Hungarian",
    "pt": "Portuguese",
}
_TAGGED = re.compile(r"\s*(?P<language>[a-z]{2}):\s")
_LONG = 3  # letters of a word that tells a language
_FOREIGN = 3  # times as many words of other languages as of English that leave no doubt
_SMALL = {
    "en": "the of and with for at on after by from before was were is are this that which",
    "de": "der die das und mit nach bei vor von im am auf ist war wurde nicht für zur zum alle je",
    "fr": "le la les et avec après du des dans sur au aux est pour chaque après avant une",
    "es": "el los las con después del en por para cada una y según antes",
    "it": "il lo gli con dopo della del dei nel per ogni una e secondo prima di",
    "pl": "po przed w z na do dla każda oraz i nie przy według od",
    "nl": "het een van met na voor op bij en de niet per elk",
    "cs": "po před ve s na do pro každý a není při podle od",
    "hu": "az és vagy után előtt van volt nem minden szerint majd",
    "pt": "após depois não uma dos para cada segundo",
}


class Languages:
    """Which languages each word of the trade is of; what stands without a tag is of all.

    Parameters
    ----------
    kinds
        Those with words.
    """

    def __init__(self, kinds: Iterable[Kind]) -> None:
        self._of = _learnt(tuple(vocabularies(kinds)))
        self._small: dict[str, set[str]] = {}
        for language, words in _SMALL.items():
            for word in words.split():
                self._small.setdefault(bare(word), set()).add(language)

    def of_word(self, text: str) -> set[str]:
        """Return the languages that a title or a word of the trade is of; none if it tells nothing."""
        title: Title = parted(text)
        for name in (bare(title.name), bare(text)):
            found = self._of.get(name)
            if found and len(name) >= _LONG:
                return set() if "*" in found else found
        return set()

    def spoken(self, titles: Iterable[str], sentences: Iterable[str]) -> str:
        """Return the name of the language that texts are in if it is surely not English, else "".

        Parameters
        ----------
        titles
            Titles and names of entries.
        sentences
            Free lines; their small words count, such as `nach` and `du`.
        """
        votes: Counter[str] = Counter()
        foreign = english = 0
        for languages in self._told(titles, sentences):
            if languages == {ENGLISH}:
                english += 1
            elif languages and ENGLISH not in languages:
                foreign += 1
                votes.update(languages)
        if not foreign or foreign < _FOREIGN * english:
            return ""
        return NAMES.get(max(votes, key=lambda language: (votes[language], language)), "")

    def _told(self, titles: Iterable[str], sentences: Iterable[str]) -> Iterable[set[str]]:
        for text in set(titles):
            yield self.of_word(text)
        for word in {word for text in sentences for word in tokens(text)}:
            yield self._small.get(word) or self.of_word(word)


@lru_cache(maxsize=8)
def _learnt(texts: tuple[str, ...]) -> Mapping[str, set[str]]:
    """Return the languages that each word is of; the same for each lab with these kinds."""
    learnt: dict[str, set[str]] = {}
    for text in dict.fromkeys(texts):
        language = ""
        for line in text.splitlines():
            if match := _TAGGED.match(line):
                language, line = match["language"], line[match.end() :]  # noqa: PLW2901
            for word in line.split(","):
                for name in {bare(word), bare(parted(word.strip()).name)} - {""}:
                    learnt.setdefault(name, set()).add(language or "*")
    return learnt


def vocabularies(kinds: Iterable[Kind]) -> Iterable[str]:
    """Return the texts of words that kinds, and all of them together, have."""
    for kind in kinds:
        for column in kind.model.to_schema().columns.values():
            said = column.metadata or {}
            yield said.get("words", "")
            for values in said.get("values", "").split(";"):
                yield values.partition("=")[2]
        for source in kind.sources:
            yield source.words
        for spread in kind.spreads:
            yield spread.words
        yield kind.beside
    yield from (
        text for name, text in vars(shared).items() if name.isupper() and isinstance(text, str)
    )
