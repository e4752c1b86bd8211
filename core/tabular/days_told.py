"""The day that a free line tells, where no column and no entry of a known name says when it was measured.

Such as `Inspektion am;27.04.2026`, `tested on 13 April 2026`, `Pull-off, 13.04.2026, dolly 20 mm`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, datetime

from tiecoat.dialect.times import NoTime
from tiecoat.remarks import Remark
from tiecoat.tabular.attempts import Attempt
from tiecoat.tabular.lexicon import TIME_KEYS, Lexicon
from tiecoat.tabular.moments import is_day, moment
from tiecoat.tabular.other_days import tells_other_day
from tiecoat.tabular.told_entries import ToldEntry
from tiecoat.tabular.words import EXACT

_CLOCK = (
    r"(?:(?:,|;|\s+(?:at|um|à|v|o|om|ore|alle|a las|godz\.?|hod\.?))?\s+"
    r"(?:\d{1,2}[:hH]\d{2}(?::\d{2})?(?:\s?[aApP]\.?[mM]\b\.?)?|\d{1,2}\.\d{2}\s?(?:Uhr|uur|hod|[aApP][mM])\b))?"
)
DAY = re.compile(
    r"(?<![\w.,/:-])(?:\d{4}(?P<mark>[-/.])\d{1,2}(?P=mark)\d{1,2}"
    r"|\d{1,2}(?P<other>[-/.])\s?\d{1,2}(?P=other)\s?\d{4}"
    r"|\d{1,2}\.?(?:st|nd|rd|th|er)?\s(?:de\s|of\s)?[^\W\d_]{3,13}\.?,?\s(?:de\s)?\d{4}"
    r"|[^\W\d_]{3,13}\.?\s\d{1,2}(?:st|nd|rd|th)?,?\s\d{4})" + _CLOCK + r"(?![\w/:-]|[.,]\d)"
)


def day_told(found: Attempt) -> tuple[str, str] | None:
    """Return the one time that free lines tell, as written, and the remark on it: the nearest first.

    A line that speaks of another day, such as that of coating, tells none; nor do two days, nor
    any line of a file where another table has a day of its own in an entry.
    """
    habits = found.file.export.habits
    for texts in _tiers(found):
        days: dict[datetime, str] = {}
        for text in texts:
            told = list(DAY.finditer(text))
            if not told or _of_another(found, text):
                continue
            for match in told:
                written = " ".join(match[0].split())
                read = moment([written], habits.zone, habits.time_formats, found.file.order)
                if not isinstance(read, NoTime):
                    days.setdefault(read, written)
        if days:
            return _remarked(next(iter(days.values()))) if len(days) == 1 else None
    return None


def _remarked(written: str) -> tuple[str, str]:
    said = f"measured on {written}, the one day that the free lines name"
    return written, Remark.ASSUMED.said(said)


def _tiers(found: Attempt) -> Iterator[list[str]]:
    table, sights = found.table, found.file.sights
    tables = [one for one in found.file.tables if one.seen.sheet == table.seen.sheet]
    others = [one for one in tables if one is not table]
    if any(_has_time(found.lexicon, entry) for one in others for entry in one.entries):
        return  # each table tells its own, and this one has lost it
    used = {id(given.told) for given in found.given.values()}
    lines = {line.row: line.text for sight in sights for line in (*sight.lines, *sight.below)}
    entries = [  # CAL OK 23-09-2026 is no day of `OK`
        entry
        for entry in found.file.entries_for(table)
        if id(entry) not in used and not _of_another(found, lines.get(entry.row, ""))
    ]
    told = [
        f"{entry.title.raw} {_written(entry.value)}" for entry in entries if _dated(entry.value)
    ]
    yield [line.text for line in table.headings] + told
    later = [line.text for one in tables[1:] if one is not table for line in one.headings]
    if any(DAY.search(text) and not _of_another(found, text) for text in later):
        return  # a day stands above each table
    own = [sight for sight in sights if sight.grid.sheet == table.seen.sheet]
    yield [line.text for sight in own if sight.tables for line in sight.tables[0].above]
    yield [line.text for sight in own for line in sight.below]


def _has_time(lexicon: Lexicon, entry: ToldEntry) -> bool:
    return is_day(entry.value) and any(
        role.name in TIME_KEYS and fit.level == EXACT for role, fit in lexicon.fits(entry.title)
    )


def _dated(value: object) -> bool:
    return isinstance(value, str | date)


def _written(value: object) -> str:
    if isinstance(value, datetime):
        return f"{value:%Y-%m-%d %H:%M}"
    return f"{value:%Y-%m-%d}" if isinstance(value, date) else str(value)


def _of_another(found: Attempt, text: str) -> bool:
    """Tell whether a text speaks of a day of something else than of measuring."""
    if tells_other_day(text):
        return True
    roles = found.lexicon.roles.values()
    others = [role for role in roles if role.type == "time" and role.name not in TIME_KEYS]
    return any(found.lexicon.speaks_of(role, text) for role in others)
