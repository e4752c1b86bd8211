"""Grids of a few rows, seen with a vocabulary of a few words, of film thickness mostly."""

from __future__ import annotations

import re
from collections.abc import Sequence

from tiecoat.dialect.delimited import Cell, Grid
from tiecoat.tabular.aside import seen_as_records, seen_aside
from tiecoat.tabular.beside import parts_beside
from tiecoat.tabular.seen import Sight
from tiecoat.tabular.sight import look

WORDS = frozenset({"panel", "spot", "thickness", "coat", "state", "gloss", "angle", "date", "note"})
SUMMARIES = frozenset({"mean", "standard deviation", "min", "max", "total"})
ALLOWED = {"state": {"dry", "wet"}, "coat": {"system", "total"}}
_ID = re.compile(r"K\d-\d\d(?:\.b\d)?")
_UNIT = re.compile(r"\s*[\[(][^\])]*[\])]")


def known(text: str) -> bool:
    """Tell whether a text is one of the words, with a unit in brackets or none."""
    return _UNIT.sub("", text).strip().casefold() in WORDS


def summary(text: str) -> bool:
    """Tell whether a text begins a summary."""
    return text.strip().casefold() in SUMMARIES


def identity(text: str) -> bool:
    """Tell whether a text is an id of the lab of these tests."""
    return _ID.fullmatch(text.strip()) is not None


def allows(title: str, text: str) -> bool:
    """Tell whether a text is a closed word of the column that a title names."""
    return text in ALLOWED.get(title.casefold(), ())


def text_grid(text: str, delimiter: str = ";") -> Grid:
    """Return a text as a grid, under a delimiter that no cell holds."""
    lines = text.strip("\n").split("\n")
    rows: list[list[Cell]] = [[cell.strip() for cell in line.split(delimiter)] for line in lines]
    return Grid(rows, range(1, len(lines) + 1), delimiter=delimiter, whole_lines=lines)


def sheet_grid(rows: Sequence[Sequence[Cell]]) -> Grid:
    """Return rows as a grid of a workbook."""
    return Grid([list(row) for row in rows], range(1, len(rows) + 1), sheet="Sheet1")


def seen(grid: Grid) -> Sight:
    """Return what is seen in a grid as it stands."""
    return look(grid, known, summary, identity, allows)


def seen_on_its_side(grid: Grid) -> Sight | None:
    """Return what is seen in a grid whose titles stand in its first column."""
    return seen_aside(grid, known, summary, identity)


def records(grid: Grid) -> Sight | None:
    """Return a grid as records of names and values."""
    return seen_as_records(grid, known, identity, allows)


def parted_beside(grid: Grid) -> list[Grid]:
    """Return the tables that stand side by side."""
    return parts_beside(grid, known, identity)


def titles(sight: Sight, table: int = 0) -> list[str]:
    """Return the titles of one of the tables that are seen."""
    return [column.title for column in sight.tables[table].columns]


def cells(sight: Sight, table: int = 0) -> list[list[Cell]]:
    """Return the rows of one of the tables that are seen."""
    return [list(row) for row in zip(*(c.cells for c in sight.tables[table].columns), strict=True)]
