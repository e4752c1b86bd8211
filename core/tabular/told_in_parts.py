"""A closed word of which a column tells one part and a line above the other: `CUP 6 mm`, `ISO 2431`."""

from __future__ import annotations

from collections.abc import Iterator

from tiecoat.tabular.attempts import Attempt, Given
from tiecoat.tabular.cell_texts import text_of
from tiecoat.tabular.words import EXACT


def take_told_in_parts(found: Attempt) -> None:
    """Take a column that is called as a key of closed words, with what a line above says more of it."""
    lexicon = found.lexicon
    for name in lexicon.kind.identity:
        if name not in lexicon.closed or not lexicon.is_closed(name) or name in found.given:
            continue
        for place in [*found.untaken]:
            fits = lexicon.fits(found.titles[place])
            if any(role.name == name and fit.level == EXACT for role, fit in fits):
                _take(found, name, place)


def _take(found: Attempt, name: str, place: int) -> None:
    content, unit = found.contents[place], found.titles[place].unit or ""
    cells = [f"{text} {unit}".strip() if (text := text_of(cell)) else "" for cell in content.cells]
    filled = [*dict.fromkeys(filter(None, cells))]
    told = {
        tuple(words)
        for text in dict.fromkeys(_lines(found))
        if None not in (words := [found.lexicon.told_in(name, f"{text} {c}") for c in filled])
    }
    if not filled or len(told) != 1:
        return
    word_of = dict(zip(filled, told.pop(), strict=True))
    found.contents = [*found.contents]
    found.contents[place] = content.of([word_of.get(cell) or "" for cell in cells])
    found.given[name] = Given(found.lexicon.roles[name], EXACT, place)
    found.untaken = [other for other in found.untaken if other != place]


def _lines(found: Attempt) -> Iterator[str]:
    yield from (line.text for line in found.table.headings)
    yield from (str(told.value) for told in found.file.entries_for(found.table))
