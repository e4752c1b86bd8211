"""What is customary where an export says nothing: taken, and told with every measurement."""

from __future__ import annotations

from collections.abc import Iterator

from tiecoat.dialect.units import understand
from tiecoat.remarks import Remark
from tiecoat.tabular.attempts import Attempt
from tiecoat.tabular.column_fit import unit_said
from tiecoat.tabular.spoken import free_texts, without_check
from tiecoat.tabular.words import EXACT


def assume(found: Attempt, name: str) -> bool:
    """Take what the kind says is customary for a column of which no text of the file speaks.

    Returns
    -------
    bool
        Whether it is taken: not where the file has a word for it, which may mean another value.
    """
    for custom in found.lexicon.kind.customs:
        if custom.column != name or _is_spoken_of(found, name):
            continue
        if custom.unless is not None and any(map(custom.unless, _words_beside(found))):
            continue
        if name in found.lexicon.kind.identity and _tells_rows_apart(found):
            continue
        found.customs.append(custom)
        return True
    return False


def _words_beside(found: Attempt) -> Iterator[str]:
    """Yield every text of the file and of the table's cells, but the titles of amounts."""
    amounts = _titles_of_amounts(found)
    return (text for text in (*_said(found), *_cells(found)) if text not in amounts)


def _titles_of_amounts(found: Attempt) -> set[str]:
    """Return the titles of numbers in a unit: `t break` in seconds tells when, and not how it broke."""
    places = (n for n, content in enumerate(found.contents) if content.is_numeric)
    units = {n: unit_said(found, n, found.titles[n]) for n in places}
    return {
        found.titles[n].raw
        for n, unit in units.items()
        if understand(unit or "") not in ("", None, "percent")
    }


def _is_spoken_of(found: Attempt, name: str) -> bool:
    """Tell whether a text of the file has any of the closed words of a column."""
    words = found.lexicon.closed.get(name)
    return words is not None and any(map(words.all_spoken_of, _said(found)))


def _tells_rows_apart(found: Attempt) -> bool:
    """Tell whether a column of words that nobody understood tells rows apart: it may be that."""
    for place in found.passed:
        texts = {str(cell).casefold() for cell in found.contents[place].filled}
        known = any(fit.level == EXACT for _, fit in found.lexicon.fits(found.titles[place]))
        if len(texts) > 1 and not known and all(text[:1].isalpha() for text in texts):
            return True
    return False


def remarks(found: Attempt) -> tuple[str, ...]:
    """Return what is to be told of what was taken."""
    return tuple(Remark.ASSUMED.said(custom.said) for custom in found.customs)


def _said(found: Attempt) -> Iterator[str]:
    """Yield every text of the file, without that by which an instrument was checked."""
    yield from map(without_check, _texts(found))


def _cells(found: Attempt) -> Iterator[str]:
    """Yield every text that stands in a cell of the table."""
    for content in found.contents:
        yield from (cell for cell in dict.fromkeys(content.filled) if isinstance(cell, str))


def _texts(found: Attempt) -> Iterator[str]:
    yield from free_texts(found)
    for told in found.file.entries_for(found.table):
        yield f"{told.title.raw} {told.value}"
    for sight in found.file.sights:
        for line in sight.lines:
            yield line.text
