"""Date and clock apart."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from .cells import Moment
from .draft import Draft, Field
from .words import word, words_for

KEY = "measured"


def split_clock(draft: Draft, dice: Random) -> None:
    """Part the time of measurement into its date and its clock, in two columns or lines."""
    cells = [row[KEY] for row in draft.rows() if KEY in row]
    if not cells or not all(isinstance(cell, Moment) and cell.part == "both" for cell in cells):
        return
    field = draft.fields[KEY]
    parted = {
        f"{KEY}.date": replace(field, title=word(dice, "time.date", draft.language)),
        f"{KEY}.clock": replace(field, title=_clock_title(draft, dice)),
    }
    fields: dict[str, Field] = {}
    for key, other in draft.fields.items():
        fields |= parted if key == KEY else {key: other}
    draft.fields = fields
    for group in draft.groups:
        for part in (group.constants, *group.rows):
            if isinstance(cell := part.pop(KEY, None), Moment):
                part[f"{KEY}.date"] = replace(cell, part="date")
                part[f"{KEY}.clock"] = replace(cell, part="clock")


def _clock_title(draft: Draft, dice: Random) -> str:
    taken = {field.title for field in draft.fields.values()}
    free = [title for title in words_for("time.clock", draft.language) if title not in taken]
    return dice.choice(free or ["hh:mm"])
