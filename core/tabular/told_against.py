"""What a person told of a layout against what a file of it says itself: two values hold the file."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime, time
from typing import Any

from tiecoat.dialect.units import understand
from tiecoat.reasons import Reason
from tiecoat.tabular.attempts import Attempt, Given
from tiecoat.tabular.id_looks import IdLooks
from tiecoat.tabular.lexicon import TIME_KEYS
from tiecoat.tabular.match import attempt
from tiecoat.tabular.spoken import told as told_in_texts
from tiecoat.tabular.values import ValueReader

_SAME = {"rel_tol": 1e-6, "abs_tol": 1e-9}
_DAY = "%Y-%m-%d"


class _QuietReader(ValueReader):
    """Reads what a file says beside what was told; what is wrong with that is nobody's fault here."""

    def fault(
        self, reason: Reason, row: int | None, column: str | None, what: str | None, expected: str
    ) -> None:
        pass


def tell_otherwise(found: Sequence[Attempt], ids: IdLooks) -> None:
    """Note each value that was told for every row and that the file gives otherwise."""
    for each in found:
        _tell_problems(each)
        _tell_other_unit(each)
        told = {*each.taught.told, *each.taught.told_by_names} & each.given.keys()
        if not told:
            continue
        untold = replace(each.taught, told={}, sheet=None, file=None)
        own = attempt(each.file, each.table, each.lexicon, ids, untold)
        for name in sorted(told):
            if name in TIME_KEYS:
                _compare_times(each, own)
            else:
                _compare(each, own, name)
            if name in own.given and (place := own.given[name].place) in each.untaken:
                each.untaken.remove(place)  # it is told, and read here


def _tell_problems(found: Attempt) -> None:
    """Note what the lines and cells of a file are that have none of the forms that were told."""
    export, told = found.file.export, found.file.told
    for fault in told.faults if told else ():
        export.fault(
            fault.reason, fault.row, fault.column, fault.found, fault.expected, sheet=fault.sheet
        )


def _tell_other_unit(found: Attempt) -> None:
    """Note a unit below a title that is another one than was told for it."""
    for column, title in zip(found.table.seen.columns, found.titles, strict=True):
        take = found.taught.of(title)
        if take is None or not take.unit or not column.unit:
            continue
        if understand(take.unit) != understand(column.unit):
            _tell(
                found,
                found.table.seen.header_row,
                column.title,
                f"the unit {column.unit} below the title, and {take.unit} was told",
            )


def _compare(found: Attempt, own: Attempt, name: str) -> None:
    for row, where, value in _said(found, own, name):
        was_told = _values(found, found.given[name])[0]
        if not _same(value, was_told):
            unit = found.lexicon.infos[name].unit if name in found.lexicon.infos else ""
            _tell(
                found,
                row,
                where,
                f"{_shown(value, unit)} in the file, and {_shown(was_told, unit)} was told for {name}",
            )
            return


def _said(found: Attempt, own: Attempt, name: str) -> Iterator[tuple[int | None, str | None, Any]]:
    """Yield what the file says of a column: row, title and value."""
    rows, given = found.table.seen.rows, own.given.get(name)
    values: Sequence[Any]
    if given is not None:
        values = _values(own, given)
        if given.told is not None:
            yield given.told.row, given.told.title.raw, values[0] if values else None
            return
        title = own.titles[given.place or 0].raw
        yield from ((row, title, value) for row, value in zip(rows, values, strict=True))
    for spread in own.spreads:
        told = dict(spread.keys).get(name)
        if told is not None and spread.place is not None:
            yield found.table.seen.header_row, own.titles[spread.place].raw, told
    if given is None and not own.spreads:
        spoken = told_in_texts(own, name)
        yield None, None, spoken


def _values(found: Attempt, given: Given) -> list[Any]:
    reader = _QuietReader(found)
    if given.role.type == "float":
        return reader.numbers(given)
    if given.role.type == "time":
        return list(reader.times([given]))
    name = given.role.name
    return [found.word(name, text) for text in reader.texts(given)]


def _same(one: Any, other: Any) -> bool:
    """Tell whether two values are the same, or one of them says nothing."""
    if one is None or other is None:
        return True
    if isinstance(one, float) and isinstance(other, float):
        return math.isnan(one) or math.isnan(other) or math.isclose(one, other, **_SAME)
    if isinstance(one, datetime) and isinstance(other, datetime):
        return one == other
    return str(one).strip().casefold() == str(other).strip().casefold()


def _compare_times(found: Attempt, own: Attempt) -> None:
    """Note a day or a time of measuring that is another one than was told."""
    told, said = ([g for n, g in one.given.items() if n in TIME_KEYS] for one in (found, own))
    told = [
        given
        for given in told
        if given.role.name in {*found.taught.told, *found.taught.told_by_names}
    ]
    if not told or not said:
        return
    zone = found.file.export.habits.zone
    days = _QuietReader(found).times(told)
    for row, day, moment in zip(
        found.table.seen.rows, days, _QuietReader(own).times(said), strict=True
    ):
        if day is None or moment is None:
            continue
        here, there = (one.astimezone(zone) for one in (day, moment))
        without_clock = time() in (here.time(), there.time())
        if here.date() != there.date() or (not without_clock and here != there):
            shown = " and ".join((f"{there:{_DAY}} in the file,", f"{here:{_DAY}} was told"))
            _tell(found, row, None, shown)
            return


def _shown(value: Any, unit: str) -> str:
    return f"{value:.6g} {unit}".rstrip() if isinstance(value, float) else str(value)


def _tell(found: Attempt, row: int | None, column: str | None, what: str) -> None:
    found.file.export.fault(
        Reason.INCONSISTENT,
        row,
        column,
        what,
        "one value: tell none, or tell that the title is something else",
        sheet=found.table.seen.sheet,
    )
