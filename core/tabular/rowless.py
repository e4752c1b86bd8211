"""What stands above results that do not follow: titles without rows, or a preamble alone."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from tiecoat.dialect.delimited import DELIMITERS, Cell
from tiecoat.plugin import Export
from tiecoat.tabular.attempts import Attempt
from tiecoat.tabular.cell_looks import valuelike
from tiecoat.tabular.lexicon import Lexicon
from tiecoat.tabular.title_parts import parted
from tiecoat.tabular.words import EXACT

_BLANKS = re.compile(r"[ \u00a0]{2,}")
_OWN = 2  # titles that are words for columns of one kind
_SHARE = 0.5  # of the titles that must be words of that kind


def rowless(export: Export, lexicons: Sequence[Lexicon]) -> tuple[int, str | None, str] | None:
    """Return row, sheet and kind of titles that nothing follows; None where there are none."""
    for row, sheet, cells in _last_rows(export):
        titles = [cell for cell in cells if isinstance(cell, str) and cell != ""]
        if len(titles) < sum(1 for cell in cells if cell != "") or not all(map(_worded, titles)):
            continue
        for lexicon in lexicons:
            sorts = [_sorts(lexicon, title) for title in titles]
            own = sum(1 for found in sorts if found & {"column", "source", "spread"})
            if own >= _OWN and sum(map(bool, sorts)) >= _SHARE * len(titles):
                return row, sheet, lexicon.kind.name
    return None


def preamble_of(found: Attempt, others: Sequence[Attempt]) -> str | None:
    """Return the other kind whose results the one row of a table stands above; None if there is none.

    Such as panel, cell area and film thickness of an export of impedance that was cut before its
    spectrum. That kind knows every value of the row, and lacks its own results; and a heading
    names these, and not those of the kind that was found, or that has no word for one of the values.
    """
    if len(found.table.seen.rows) != 1 or found.lacking:
        return None
    read = _measured(found)
    for other in others:
        known = {one.place for one in other.given.values()} | other.passed
        if not other.lacking or other.untaken or other.rivals or not read <= known:
            continue
        if other.headed and not found.headed:
            return other.kind_name
        if any(not _is_word(found, place) for place in _measured(other)):
            return other.kind_name
    return None


def _measured(found: Attempt) -> set[int]:
    """Return the columns whose titles are words for what the kind measures."""
    given = (*found.given.values(), *found.spreads)
    return {
        one.place for one in given if one.place is not None and one.level >= EXACT and one.role.unit
    }


def _is_word(found: Attempt, place: int) -> bool:
    fits = found.lexicon.fits(found.titles[place])
    return any(fit.level == EXACT for _, fit in fits)


def _worded(title: str) -> bool:
    return any(char.isalpha() for char in title) and not valuelike(title)


def _sorts(lexicon: Lexicon, title: str) -> set[str]:
    return {role.sort for role, fit in lexicon.fits(parted(title)) if fit.level == EXACT}


def _last_rows(export: Export) -> Iterator[tuple[int, str | None, Sequence[Cell]]]:
    """Return the last row of each sheet, or the last line of a text parted in each way."""
    if export.is_workbook:
        for sheet in export.sheets():
            filled = [at for at, row in enumerate(sheet.rows) if any(cell != "" for cell in row)]
            if filled:
                yield sheet.numbers[filled[-1]], sheet.name, sheet.rows[filled[-1]]
        return
    lines = export._text_lines()
    last = next((at for at in reversed(range(len(lines))) if lines[at].strip()), None)
    if last is None:
        return
    for mark in DELIMITERS:
        yield last + 1, None, [cell.strip(' "') for cell in lines[last].split(mark)]
    yield last + 1, None, _BLANKS.split(lines[last].strip())
