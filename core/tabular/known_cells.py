"""What the cells of a row are to somebody who knows the words of the trade and the ids of a lab."""

from __future__ import annotations

from collections.abc import Sequence

from tiecoat.dialect.delimited import Cell, is_plain
from tiecoat.tabular.at_once import says_at_once
from tiecoat.tabular.cell_looks import CellSort, is_entry, valuelike
from tiecoat.tabular.facts import is_notation
from tiecoat.tabular.seen import Allows, Known


class KnownCells:
    """Tells what cells are by what a lab and the trade know.

    Parameters
    ----------
    known
        Tells whether a text is a word of the trade for a column, a key or an entry.
    summary
        Tells whether a text begins the row of a summary, such as a mean.
    identity
        Tells whether a text is the id of a panel or batch, or several: a value, never a title alone.
    allows
        Tells whether a text is one of the closed words that a column of this title may hold.
    """

    def __init__(self, known: Known, summary: Known, identity: Known, allows: Allows) -> None:
        self.known, self.summary = known, summary
        self.identity, self.allows = identity, allows

    def sort(self, cell: Cell) -> CellSort:
        """Return what a cell is by its look: an id, another value such as a number or date, a text."""
        if isinstance(cell, str) and self.identity(cell):
            return "id"
        if isinstance(cell, str) and says_at_once(cell):
            return "value"  # the time of a row
        return "value" if valuelike(cell) else "text"

    def is_value(self, cell: Cell) -> bool:
        return self.sort(cell) != "text"

    def names(self, cell: str) -> bool:
        """Tell whether a cell is a word of the trade and no mere number."""
        if is_plain(cell) or is_notation(cell) or self.identity(cell):
            return False
        return self.known(cell)

    def names_column(self, cell: Cell) -> bool:
        """Tell whether a cell is a word of the trade and no amount, such as 10 min."""
        return isinstance(cell, str) and self.names(cell) and not valuelike(cell)

    def is_amount(self, cell: Cell) -> bool:
        """Tell whether a cell is a number with its unit, and no title such as 20°."""
        return isinstance(cell, str) and valuelike(cell) and not self.known(cell)

    def allowed(self, titles: Sequence[Cell], row: Sequence[Cell]) -> bool:
        """Tell whether a cell of a row is a closed word of what the title above it names."""
        pairs = zip(titles, row, strict=False)
        return any(
            isinstance(title, str) and isinstance(cell, str) and cell and self.allows(title, cell)
            for title, cell in pairs
            if title
        )

    def sum_up(self, filled: Sequence[Cell]) -> bool:
        """Tell whether cells are the name of a statistic and its values, whole numbers too."""
        first = filled[0]
        named = isinstance(first, str) and self.summary(first.split(":")[0])
        return named and len(filled) > 1 and all(map(valuelike, filled[1:]))

    def all_named(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        """Tell whether a row holds nothing but words of the trade: titles of another table."""
        return len(filled) > 1 and all(
            isinstance(cell := row[n], str) and self.names(cell) for n in filled
        )

    def like_an_entry(self, row: Sequence[Cell], filled: Sequence[int]) -> bool:
        first = row[filled[0]] if filled else ""
        if not isinstance(first, str) or len(filled) > 3 or self.is_value(first):
            return False
        third = row[filled[2]] if len(filled) == 3 else ""
        alone = isinstance(third, str) and (third == "" or not self.is_value(third))
        beside = list(filled) == list(range(len(filled)))
        return (beside and len(filled) > 1 and alone and self.known(first.strip(" :="))) or bool(
            len(filled) == 1 and is_entry(first)
        )

    def ids_of_a_row(self, row: Sequence[Cell], filled: Sequence[int]) -> int:
        """Return how many ids a row holds, 0 where they are many of one look: titles of a matrix."""
        ids = [str(row[n]) for n in filled if self.is_value(row[n])]
        return len(ids) if len({len(each) for each in ids}) == len(ids) else 0
