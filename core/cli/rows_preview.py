"""Rows as they would be filed: the first ones, how many, and how far each column reaches."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import datetime, tzinfo
from typing import TYPE_CHECKING, Any

from rich.markup import escape
from rich.table import Table as Grid

from tiecoat.cli.wrapped import say
from tiecoat.wording import counted, local_time

if TYPE_CHECKING:
    from rich.console import Console

    from tiecoat.extend.learning import LessonInWords
    from tiecoat.plugin import Measurement

_ROWS_SHOWN, _WORDS_SHOWN = 3, 4


def show_rows(lesson: LessonInWords, zone: tzinfo, console: Console, *, held: bool) -> None:
    """Show the first rows, and of each column the least and the greatest value with its unit.

    Parameters
    ----------
    held
        Whether something holds the file: then none of the rows would be filed.
    """
    rows = sum(len(measurement.rows) for measurement in lesson.rows)
    would = "read, none filed while the file is held" if held else "would be filed"
    said = f"{counted(len(lesson.rows), 'measurement')}, {counted(rows, 'row')} {would}"
    say(console, f"{said}; the first:")
    units = lesson.units()
    for measurement in lesson.rows[:_ROWS_SHOWN]:
        shown = ", ".join(_parts(measurement, units, zone))
        say(console, shown, 2)
    grid = Grid(title="All of them reach", title_justify="left", box=None)
    for heading in ("column", "from", "to", "unit"):
        grid.add_column(heading, overflow="fold", justify="left")
    for name, least, most in _reaches(lesson.rows, zone):
        grid.add_row(*map(escape, (name, least, most, units.get(name, ""))))
    console.print(grid)
    for notice in lesson.notices:
        say(console, f"Note: {notice}.")
    lacking = [
        per
        for per in ("panel", "batch")
        if held
        and lesson.kind is not None
        and lesson.kind.per == per
        and any(getattr(measurement, per) is None for measurement in lesson.rows)
    ]
    for per in lacking:
        console.print(f"No {per} in the file: its name must tell it, or held assign.")


def _parts(measurement: Measurement, units: dict[str, str], zone: tzinfo) -> Iterator[str]:
    """Yield what the first row of a measurement holds, each with its unit."""
    if measurement.batch:
        yield f"batch {measurement.batch}"
    if measurement.panel:
        yield f"panel {measurement.panel}"
    if measurement.measured_at:
        yield local_time(measurement.measured_at, zone)
    for name, values in measurement.columns.items():
        if not _is_nothing(values[0]):
            yield f"{name} {_shown(values[0], zone)} {units.get(name, '')}".rstrip()


def _reaches(rows: Sequence[Measurement], zone: tzinfo) -> Iterator[tuple[str, str, str]]:
    """Yield each key and column that holds something, with its least and its greatest value."""
    keys: dict[str, list[Any]] = {
        "batch": [measurement.batch for measurement in rows],
        "panel": [measurement.panel for measurement in rows],
        "measured": [measurement.measured_at for measurement in rows],
    }
    names = rows[0].columns if rows else ()
    columns: dict[str, list[Any]] = {
        name: [v for one in rows for v in one.columns[name]] for name in names
    }
    for name, values in {**keys, **columns}.items():
        filled: list[Any] = [value for value in values if not _is_nothing(value)]
        if not filled:
            continue
        words = list(dict.fromkeys(filled))
        if isinstance(filled[0], str) and name not in keys:
            more = f" and {len(words) - _WORDS_SHOWN} more" if len(words) > _WORDS_SHOWN else ""
            yield name, ", ".join(words[:_WORDS_SHOWN]) + more, ""
        else:
            yield name, _shown(min(filled), zone), _shown(max(filled), zone)


def _is_nothing(value: object) -> bool:
    return value is None or (isinstance(value, float) and math.isnan(value))


def _shown(value: object, zone: tzinfo) -> str:
    if isinstance(value, datetime):
        return local_time(value, zone)
    return f"{value:.6g}" if isinstance(value, float) else str(value)
