"""Entries that nothing is taken from, each a number in the unit of a column that nothing gives."""

from __future__ import annotations

from collections.abc import Iterator

from tiecoat.dialect.numbers import number
from tiecoat.dialect.units import scale, understand
from tiecoat.tabular.attempts import Attempt, spread_of
from tiecoat.tabular.told_entries import ToldEntry


def entries_open(found: Attempt) -> dict[ToldEntry, list[str]]:
    """Return each such entry with the columns that it may be."""
    fits: dict[ToldEntry, list[str]] = {}
    for name in _not_given(found):
        for told in entries_in(found, name):
            fits.setdefault(told, []).append(name)
    return fits


def entries_in(found: Attempt, name: str) -> Iterator[ToldEntry]:
    """Yield the entries that nobody took, each a number in a unit of a column and in its bounds."""
    given = {one.told for one in (*found.given.values(), *found.spreads)}
    for told in found.file.entries_for(found.table):
        if told not in given and found.taught.of(told.title) is None and _is_in(found, name, told):
            yield told


def _not_given(found: Attempt) -> Iterator[str]:
    """Yield the columns of numbers that nothing gives."""
    spread = {spread_of(given).column for given in found.spreads}
    for name, info in found.lexicon.infos.items():
        if info.type == "float" and info.unit and name not in {*found.given, *spread}:
            yield name


def _is_in(found: Attempt, name: str, told: ToldEntry) -> bool:
    unit = told.unit or told.title.unit
    if not unit or not found.lexicon.infos[name].unit:
        return False
    way = scale(unit, found.lexicon.infos[name].unit) if understand(unit) is not None else None
    text = str(told.value)
    value = number(text, "comma" if "," in text else "point")
    if way is None or value is None:
        return False
    low, high = found.lexicon.bounds(name)
    return low <= way.apply([value])[0] <= high
