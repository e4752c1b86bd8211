"""Titles of a table that has no rows: the last line of a text or a sheet."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from tiecoat.dialect.delimited import DELIMITERS, Cell
from tiecoat.plugin import Export
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
