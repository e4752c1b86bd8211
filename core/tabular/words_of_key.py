"""Columns that may be of several words of a closed key, beside others of other words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from tiecoat.plugin import Spread
from tiecoat.tabular.attempts import Attempt, Given


def words_of(found: Attempt, column: str, key: str) -> list[str]:
    """Return the words of a key of which a column may be, if it may not be of all."""
    spreads = [s for s in found.lexicon.kind.spreads if s.key == key and isinstance(s.value, str)]
    own = dict.fromkeys(str(s.value) for s in spreads if s.column == column)
    return [*own] if len(own) < len({s.value for s in spreads}) else []


def of_no_word(found: Attempt) -> Iterator[tuple[int, str, str, list[str]]]:
    """Yield filled columns that may be of several words of a key, beside others of other words.

    Creep from a scribe beside rust and blisters: nothing says of which of the two it is. Each with
    what it gives, the key and its words.
    """
    told: dict[str, set[object]] = {}
    for spread in found.spreads:
        for key, value in spread.keys:
            told.setdefault(key, set()).add(value)
    for given in found.given.values():
        if given.place is None or given.role.sort != "column":
            continue
        if not found.contents[given.place].filled:
            continue
        for key, values in told.items():
            words = words_of(found, given.role.name, key)
            if words and not values & set(words):
                yield given.place, given.role.name, key, words


def take_word_that_follows(found: Attempt) -> None:
    """Let such a column be of the word that the kind lets follow from it, where there is one.

    Creep from a scribe beside rust is creep; of which of the two, nobody knows.
    """
    kind = found.lexicon.kind
    for place, name, key, _ in [*of_no_word(found)]:
        words = {
            str(relation.by(np.zeros(1))[0])
            for relation in kind.relations
            if relation.gives == key and relation.needs == (name,)
        }
        if len(words) == 1:
            given = found.given.pop(name)
            role = replace(given.role, sort="spread", spread=Spread("", name, key, words.pop()))
            found.spreads.append(Given(role, given.level, place, hint=given.hint))
