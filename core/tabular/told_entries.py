"""Entries: a name and what stands beside it; and the tables with the entries that count for them."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cached_property

from tiecoat.dialect.delimited import Cell
from tiecoat.tabular.seen import Line, Seen
from tiecoat.tabular.title_parts import Title, parted

_CONDITION = re.compile(r"\d\s?°\s?[CF]$")  # density at 20 °C, above g/ml
_LISTED = re.compile(r"\s*[,;/+&]\s*|\s+")


@dataclass(frozen=True)
class ToldEntry:
    """An entry: a name and what stands beside it. `table` is the number of the table it is above."""

    title: Title
    value: Cell
    unit: str | None
    row: int
    table: int | None
    sheet: str | None


@dataclass
class FileTable:
    """A table of the file: what is seen, and the entries that count for it."""

    seen: Seen
    number: int
    entries: list[ToldEntry] = field(default_factory=list)
    headings: list[Line] = field(default_factory=list)
    by_columns: bool = False

    @cached_property
    def titles(self) -> list[Title]:
        """The titles, parted; a unit below a title counts where the title names none."""
        found = []
        for column in self.seen.columns:
            title = parted(column.title)
            if column.unit is not None and _CONDITION.search(column.title):
                title = Title(title.raw, title.raw, column.unit)
            elif column.unit is not None and title.unit is None:
                title = Title(title.raw, title.name, column.unit, title.turned, title.log)
            found.append(title)
        return found


def in_list(text: str) -> list[str]:
    """Return the parts of a text that lists something: parted by commas, slashes, signs or blanks."""
    return [part for part in _LISTED.split(text.strip()) if part]
