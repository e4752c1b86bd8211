"""What stands beside a table that its kind has a place for, and of which nothing was made: told.

A clock time beside a day, a temperature in a sentence, an entry that was not understood: none of them
changes a result that is filed, so none holds the file; but nobody should think that they were read.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import islice

from tiecoat.dialect.units import scale
from tiecoat.remarks import Remark
from tiecoat.tabular.attempts import Attempt
from tiecoat.tabular.days_told import DAY
from tiecoat.tabular.entries_open import entries_open
from tiecoat.tabular.facts import is_empty
from tiecoat.tabular.lexicon import Role
from tiecoat.tabular.moments import is_of_working_day
from tiecoat.tabular.other_days import tells_other_day
from tiecoat.tabular.spoken import amounts_in
from tiecoat.tabular.teaching import NOTHING
from tiecoat.tabular.told_entries import ToldEntry
from tiecoat.tabular.words import EXACT

_CLOCK = re.compile(
    r"(?<![\w:.,/-])(?:[01]?\d|2[0-3])"
    r"(?::[0-5]\d(?::[0-5]\d)?(?:\s?[ap]\.?m\b)?|\s?h\s?[0-5]\d|\.[0-5]\d\s?(?:Uhr|uur|hod|godz|[ap]\.?m)\b)"
    r"(?![\w:]|[.,]\d)",
    re.IGNORECASE,
)
_CLIMATE = re.compile(  # of the room, by its humidity
    r"\br\.?\s?[hfwv]\.?\b|%\s?(?:rh|rf|hr|ur|rv|rw)\b|humid|feucht|humed|umidit|wilgotn|vocht|vlhk",
    re.IGNORECASE,
)
_FILED_OTHERWISE = ("um", "g/cm**3")  # amounts in these units hold the file


def clocks_left_out(found: Attempt) -> Iterator[str]:
    """Yield a remark on each clock time in the lines around a table whose days have none."""
    for row, text in _texts(found):
        if tells_other_day(text) and DAY.search(text):
            continue
        for match in _CLOCK.finditer(text):
            if is_of_working_day([match[0].replace(" ", "")]) or ":" not in match[0]:
                yield _said(f"the time {match[0].strip()}", row)


def _texts(found: Attempt) -> Iterator[tuple[int, str]]:
    """Yield the lines around a table, and the entries that are told in none of them.

    Without what was taken from them. The lines of records are the rows themselves.
    """
    records = any(sight.records for sight in found.file.sheets_with(found.table))
    lines = [] if records else found.lines_around
    told = (str(one.told.value) for one in found.given.values() if one.told is not None)
    taken = [re.compile(rf"(?<![\w.,:]){re.escape(value)}(?![\w:])") for value in told]
    for line in lines:
        text = line.text
        for value in taken:
            text = value.sub(" ", text)
        yield line.row, text
    rows = {line.row for line in lines}
    for entry in _unused(found):
        if entry.row not in rows:
            yield entry.row, _written(entry)


def _unused(found: Attempt) -> list[ToldEntry]:
    used = {id(one.told) for one in (*found.given.values(), *found.spreads)}
    return [entry for entry in found.table.entries if id(entry) not in used]


def _written(entry: ToldEntry) -> str:
    return f"{entry.title.raw} {entry.value} {entry.unit or ''}".strip()


def days_left_out(found: Attempt) -> Iterator[str]:
    """Yield a remark on each day in the lines around a table that has no time of measuring."""
    for row, text in _texts(found):
        yield from (_said(f"the day {match[0].strip()}", row) for match in DAY.finditer(text))


def left_out(found: Attempt) -> Iterator[str]:
    """Yield a remark on each amount or entry beside a table that a column which is empty could hold."""
    for place in sorted(found.passed):
        if found.contents[place].is_days and found.contents[place].filled:
            yield Remark.ASSUMED.said(f"the days under '{found.titles[place].raw}' are left out")
    if found.taught != NOTHING:  # nobody was asked about an entry that the file taught from lacks
        yield from (_said(_written(entry), entry.row) for entry in entries_open(found))
    for role in _empty(found):
        entry = _entry_of(found, role)
        if entry is not None:
            yield entry
        elif role.type == "float" and _is_alone(found, role):
            amounts = (
                _said(amount, row)
                for row, text in _texts(found)
                if not _CLIMATE.search(text)
                for _, amount in amounts_in(found, role, text)
            )
            yield from islice(amounts, 1)


def _empty(found: Attempt) -> Iterator[Role]:
    """Yield the columns of which every row is empty, and that nothing else is read from."""
    lexicon = found.lexicon
    for name, info in lexicon.infos.items():
        filled = any(value is not None and value == value for value in found.read.get(name, ()))  # noqa: PLR0124
        if not filled and name not in found.given and info.unit not in _FILED_OTHERWISE:
            yield lexicon.roles[name]


def _entry_of(found: Attempt, role: Role) -> str | None:
    """Return a remark on an entry that has the name of a column, and tells nothing else either."""
    for entry in _unused(found):
        if isinstance(entry.value, str) and is_empty(entry.value):
            continue
        best = [one.name for one, fit in found.lexicon.fits(entry.title) if fit.level == EXACT]
        if best[:1] == [role.name]:
            return _said(_written(entry), entry.row)
    return None


def _is_alone(found: Attempt, role: Role) -> bool:
    """Tell whether no other column or source of the kind has a unit like that of a role."""
    others = [
        other
        for other in found.lexicon.roles.values()
        if other.sort in ("column", "source") and other.unit and other.name != role.name
    ]
    return bool(role.unit) and not any(scale(other.unit, role.unit) for other in others)


def _said(what: str, row: int | None) -> str:
    return Remark.ASSUMED.said(
        f"{what} in row {row} is left out, as nothing says surely what it is"
    )
