"""Free lines above a table: a name and a value beside it."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from tiecoat.dialect.delimited import Cell, Grid
from tiecoat.dialect.titles import cut_unit, fold
from tiecoat.dialect.units import plain_unit

_NAMED = re.compile(r"(?P<name>[^:=]{1,80}?)\s*[:=]\s*(?P<value>.*)", re.DOTALL)
_OTHER_DELIMITERS = re.compile(r"[\t;|,]")
_AMOUNT = re.compile(
    r"(?P<number>[-+−–]?[ \u00a0]?[\d.,]"
    r"(?:[\d.,'’\u00a0\u2009\u202f]|[ ](?=\d{3}\b)|[eEdD][-+−]?\d)*)"
    r"\s*(?P<unit>.*)",
    re.DOTALL,
)


@dataclass(frozen=True)
class EntryValue:
    """One value of the free lines, where it stands, and the unit beside it.

    `rival` is another value that the same free lines give under this name, and its row.
    """

    name: str
    value: Cell
    row: int
    unit: str | None = None
    rival: tuple[Cell, int] | None = None


def entries(grid: Grid, start: int, stop: int) -> dict[str, EntryValue]:
    """Return the entries of some rows by their folded names; the first that has a value counts.

    A name without a value is an entry too: then nothing else is taken for it. Another value under
    that name is its rival, if nothing else stands in its row: the lines of a table that is none of
    ours have names in their first cells as well.
    """
    found: dict[str, EntryValue] = {}
    for index in range(start, stop):
        entry = _entry(grid, index)
        if entry is None:
            continue
        alone = sum(cell != "" for cell in grid.rows[index]) <= 2
        for name in dict.fromkeys((fold(cut_unit(entry.name)[0]), fold(entry.name))):
            first = found.setdefault(name, entry)
            if first.value == "":
                found[name] = entry
            elif alone and first.rival is None and entry.value not in ("", first.value):
                found[name] = replace(first, rival=(entry.value, entry.row))
    return found


def _entry(grid: Grid, index: int) -> EntryValue | None:
    row, number = grid.rows[index], grid.numbers[index]
    first = row[0] if row else ""
    place = 0
    if grid.delimiter is None:  # in a sheet the entries may stand in any column
        place = next((n for n, cell in enumerate(row) if cell != ""), 0)
        first = row[place] if row else ""
    if not isinstance(first, str) or not first:
        return None
    beside = [cell for cell in row[place + 1 :] if cell != ""]
    if match := _NAMED.fullmatch(first):
        name = match["name"].strip()
        if match["value"] or not beside:
            return EntryValue(name, _rest(grid, index, match["value"]), number, cut_unit(name)[1])
        first = name
    if beside:
        unit = cut_unit(first)[1]
        if unit is None and len(beside) > 1 and isinstance(beside[1], str):
            unit = beside[1] if plain_unit(beside[1]) else None
        return EntryValue(first, beside[0], number, unit)
    name, *values = _OTHER_DELIMITERS.split(first, maxsplit=1)
    return EntryValue(name.strip(), values[0].strip() if values else "", number, cut_unit(name)[1])


def _rest(grid: Grid, index: int, value: str) -> str:
    """Return the value up to the end of its line, for it may hold the delimiter of the table."""
    delimiter = grid.delimiter
    line = grid.line(grid.numbers[index])
    if delimiter is None or line is None:
        return value
    match = _NAMED.fullmatch(line)
    if match is None or '"' in line:
        return value
    return match["value"].rstrip(delimiter + " ").strip()


def amount(text: str) -> tuple[str, str | None]:
    """Part a number from the unit behind it.

    Examples
    --------
    >>> amount("14.6 cm2"), amount("48,0 h"), amount("1 250 Ohm"), amount("bath 2")
    (('14.6', 'cm2'), ('48,0', 'h'), ('1 250', 'Ohm'), ('bath 2', None))
    """
    match = _AMOUNT.fullmatch(text)
    if match is None:
        return text, None
    return match["number"].strip(), match["unit"].strip(" []()") or None
