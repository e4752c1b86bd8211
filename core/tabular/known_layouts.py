"""The layouts that a reader has read lately.

How a text is parted, of which kind its tables are and what their columns are is searched for once.
An export of the same outline is looked at in that way alone; where this does not read it whole, the
search begins anew. Everything that is checked is checked on each file.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

from tiecoat.tabular.columns_again import ColumnsGiven
from tiecoat.tabular.known_table import IdsWithin, KnownTable
from tiecoat.tabular.outline import KnownLayout, Outline

K = TypeVar("K")
V = TypeVar("V")

_MOST = 500  # layouts that are remembered
_TITLES_WITHIN = 100  # lines in which the titles of a known table are looked for


@dataclass(frozen=True)
class TableRead:
    """A table of numbers, which is all that a text holds, as it was read before.

    `kind` is of which kind it was, `given` what its columns were given to, where that is known too.
    """

    table: KnownTable
    kind: str
    given: ColumnsGiven | None


class KnownLayouts:
    """The layouts that were read lately, and the tables of numbers among them."""

    def __init__(self) -> None:
        self._kept: dict[Outline, KnownLayout] = {}
        self._tables: dict[str, TableRead] = {}  # by the last line above their values

    def get(self, outline: Outline | None) -> KnownLayout | None:
        """Return the layout of this outline, if one is remembered."""
        return None if outline is None else self._kept.get(outline)

    def table_in(self, lines: Sequence[str], ids: IdsWithin) -> TableRead | None:
        """Return the table that stands in a text, if one is remembered."""
        for n, line in enumerate(lines[:_TITLES_WITHIN], 1):
            read = self._tables.get(line)
            if read is not None and read.table.start == n and read.table.stands_in(lines, ids):
                return read
        return None

    def keep(self, outline: Outline, layout: KnownLayout, read: TableRead | None) -> None:
        """Remember a layout, and forget the one that has been remembered longest if they are many."""
        _keep(self._kept, outline, layout)
        if read is not None:
            _keep(self._tables, read.table.titles[-1], read)


def _keep(kept: dict[K, V], key: K, value: V) -> None:
    if len(kept) >= _MOST:
        del kept[next(iter(kept))]
    kept[key] = value
