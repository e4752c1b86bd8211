"""Logs of which each line tells names and values: `T001|pnl=K7-1|pk=5.57MPa`, `id=K7-1 t=20 h=41.0`.

Lines of the same names are the rows of one table, with the names as titles.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from tiecoat.dialect.delimited import Cell, Grid
from tiecoat.tabular.cell_looks import cleaned, is_ruler
from tiecoat.tabular.seen import Known, Line, Seen, SeenColumn, Sight

PAIRED = "\0="  # the delimiter of such a log
_LEAST = 3  # names in a line
_LEAST_ROWS = 2
_SHARE = 0.5  # of the lines that must be such
_PARTED = (
    re.compile(r"\s*[|;\t]\s*"),
    re.compile(r",\s*"),
    re.compile(r"\s{2,}"),
    re.compile(r"\s+(?=[^\W\d]\w*\s?[=:])"),
)
_PAIR = re.compile(r"(?P<name>[^\W\d][^=:|;\d]{0,30}?)\s?[=:]\s?(?P<value>[^=]*)")


@dataclass(frozen=True)
class _PairLine:
    number: int
    before: tuple[str, ...]  # what stands before the first name
    values: dict[str, str]


def seen_as_pairs(lines: Sequence[str], summary: Known) -> Sight | None:
    """Return what a person sees in a log of names and values; None for a text that is none.

    Parameters
    ----------
    summary
        Tells whether a text is the name of a statistic: a line of these sums up others.
    """
    filled = {
        n: line for n, line in enumerate(lines, 1) if line.strip() and not is_ruler([line.strip()])
    }
    paired = [found for n, line in filled.items() if (found := _pairs(n, line.strip()))]
    rows = [row for row in paired if not all(map(summary, row.values))]
    usual = Counter((*row.values, len(row.before)) for row in rows).most_common(1)
    if not usual or usual[0][1] < max(_LEAST_ROWS, _SHARE * len(filled)):
        return None
    names = list(dict.fromkeys(name for row in rows for name in row.values))
    width = max(len(row.before) for row in rows)
    own = {row.number for row in paired}
    free = [Line(tuple(cleaned([line.strip()])), n) for n, line in filled.items() if n not in own]
    first = rows[0].number
    grid = Grid(
        [[line.strip()] for line in lines],
        range(1, len(lines) + 1),
        delimiter=PAIRED,
        whole_lines=lines,
    )
    columns = [
        SeenColumn("", None, [row.before[n] if n < len(row.before) else "" for row in rows])
        for n in range(width)
    ]
    for name in names:
        cells: list[Cell] = [row.values.get(name, "") for row in rows]
        columns.append(SeenColumn(name, None, cells))
    above = [line for line in free if line.row < first]
    numbers = [row.number for row in rows]
    short = [(row.number, len(row.values)) for row in rows if len(row.values) < len(names)]
    seen = Seen(grid, columns, first, above, numbers, short=short)
    seen.summaries = [row.number for row in paired if row not in rows]
    return Sight(grid, [seen], [line for line in free if line.row > first], [])


def _pairs(number: int, line: str) -> _PairLine | None:
    """Return the names and values of a line, if it holds several and nothing else behind the first."""
    for mark in _PARTED:
        parts = [part for part in mark.split(line) if part]
        matches = [_PAIR.fullmatch(part) for part in parts]
        start = next((n for n, match in enumerate(matches) if match), len(parts))
        told = [match for match in matches[start:] if match]
        values = {match["name"].strip(): match["value"].strip() for match in told}
        if (
            len(values) >= _LEAST
            and len(told) == len(values) == len(parts) - start
            and start < _LEAST
        ):
            return _PairLine(number, tuple(parts[:start]), values)
    return None
