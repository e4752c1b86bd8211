"""The one day in the lines above a table that stands there without a word for it."""

from __future__ import annotations

import re

from tiecoat.tabular.attempts import BY_LOOK, Attempt, Given
from tiecoat.tabular.file import ToldEntry
from tiecoat.tabular.lexicon import TIME_KEYS
from tiecoat.tabular.moments import is_day
from tiecoat.tabular.words import Title

_PIECES = re.compile(r"\s*[,;|–]\s+|\s+-\s+")


def take_day_in_texts(found: Attempt) -> None:
    """Take a day that a line parts from its words by commas: `Pull-off, 19.05.2026, dollies 20 mm`.

    A day beside words of its own, such as that of coating or of a standard, is none of measuring.
    """
    kind = found.lexicon.kind
    if kind.replaces or found.lexicon.has_times or found.given.keys() & set(TIME_KEYS):
        return
    sheet = found.table.seen.sheet
    first = next((t for t in found.file.tables if t.seen.sheet == sheet), found.table)
    days = {
        piece: line.row
        for table in (first, found.table)
        for line in table.headings
        for piece in _PIECES.split(line.text)
        if is_day(piece)
    }
    if len(days) == 1:
        ((day, row),) = days.items()
        told = ToldEntry(Title("moment", "moment"), day, None, row, None, sheet)
        found.given["moment"] = Given(found.lexicon.roles["moment"], BY_LOOK, told=told)
