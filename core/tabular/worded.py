"""Columns side by side that tell by closed words in their titles what each of them holds.

Such as `first coat, dry [µm]` beside `whole system, dry [µm]`: by one key the columns differ, what
they tell of others is the same in all of them.
"""

from __future__ import annotations

from tiecoat.dialect.units import scale
from tiecoat.tabular.across import is_beside, take_of_key
from tiecoat.tabular.attempts import BY_LOOK, Attempt, Given
from tiecoat.tabular.forms import IDS
from tiecoat.tabular.lexicon import Role
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.told_entries import ToldEntry
from tiecoat.tabular.words import EXACT

_LEAST = 2  # columns that make a wide table


def take_by_words(found: Attempt) -> None:
    """Take a column of texts for the one closed column whose words all of them are.

    Where its title is no word of the kind, or one for an id, which they are not: `Sample` above
    `as mixed` and `degassed`.
    """
    lexicon = found.lexicon
    wanted = [n for n in lexicon.closed if n not in found.given and lexicon.is_closed(n)]
    if not wanted:
        return
    free = [
        place
        for place, content in enumerate(found.contents)
        if content.filled and not content.is_numeric and not content.panels and not content.batches
        if all(role.name in IDS for role, _ in lexicon.fits(found.titles[place]))
    ]
    for name in wanted:
        telling = [
            place
            for place in free
            if all(lexicon.is_word(name, str(cell)) for cell in found.contents[place].filled)
        ]
        if len(telling) != 1:
            continue
        found.given = {key: one for key, one in found.given.items() if one.place not in telling}
        found.given[name] = Given(lexicon.roles[name], BY_LOOK, telling[0])
        found.passed.discard(telling[0])


def take_worded(found: Attempt) -> None:
    """Take columns in the unit of the kind's one value whose titles differ in a closed word."""
    kind, lexicon = found.lexicon.kind, found.lexicon
    name = lexicon.only_value
    keys = [key for key in kind.identity if key in lexicon.closed]
    if kind.replaces or kind.unique or name is None or not keys:
        return
    role = lexicon.roles[name]
    told = {
        place: said
        for place in range(len(found.titles))
        if (said := _said(found, place, role, keys))
    }
    by_key = {key: {said[key] for said in told.values() if key in said} for key in keys}
    differing = [key for key in keys if len(by_key[key]) > 1]
    if len(told) < _LEAST or not differing:
        return
    if len(differing) > 1 or any(_is_open(found, key, told, by_key[key]) for key in keys):
        first, second, *_ = told
        found.rivals.append((role, first, second))
        return
    if len(by_key[differing[0]]) < len(told):
        return
    given = {key: found.given[key].place for key in keys if key in found.given}
    if given.get(differing[0]) not in (None, *told):
        return
    take_of_key(found, role, differing[0], {at: said[differing[0]] for at, said in told.items()})
    for key in keys:
        if len(by_key[key]) == 1 and given.get(key) in (None, *told):
            _tell(found, key, by_key[key].pop())


def _is_open(found: Attempt, key: str, told: dict[int, dict[str, str]], words: set[str]) -> bool:
    """Tell whether some columns tell one word of a key, and it is not what is customary of the rest."""
    some = 0 < sum(key in said for said in told.values()) < len(told)
    customs = {custom.value for custom in found.lexicon.kind.customs if custom.column == key}
    return some and not words <= customs | {dict(found.lexicon.kind.defaults).get(key)}


def _said(found: Attempt, place: int, role: Role, keys: list[str]) -> dict[str, str]:
    """Return the closed words that the title of a column of values tells, by their keys."""
    lexicon, title = found.lexicon, found.titles[place]
    unit = found.table.seen.columns[place].unit or title.unit
    content = found.contents[place]
    if not content.filled or not content.is_numeric or not unit or scale(unit, role.unit) is None:
        return {}
    if is_beside(lexicon, title.name, *keys):
        return {}
    words = {key: lexicon.told_in(key, title.name) for key in keys}
    return {key: word for key, word in words.items() if word is not None}


def _tell(found: Attempt, key: str, word: str) -> None:
    row, sheet = found.table.seen.header_row, found.table.seen.sheet
    entry = ToldEntry(Title(key, key), word, None, row, None, sheet)
    found.given[key] = Given(found.lexicon.roles[key], EXACT, told=entry)
