"""Cells of a column that are merged over rows, or left out as the same as above."""

from __future__ import annotations

import math
import re
from collections.abc import Hashable, Sequence
from functools import cached_property
from typing import Any, TypeVar

from tiecoat.tabular.attempts import Attempt, Given
from tiecoat.tabular.cell_texts import LEAST_MERGED, are_merged
from tiecoat.tabular.facts import is_empty
from tiecoat.tabular.lexicon import TIME_KEYS

_V = TypeVar("_V")
_HEADS = ("panel", "batch", "moment", "date")


def as_above(values: Sequence[_V | None]) -> list[_V | None]:
    """Return values with each that is missing as the one above."""
    filled: list[_V | None] = []
    for own in values:
        filled.append(filled[-1] if own is None and filled else own)
    return filled


class MergedCells:
    """The merged cells of one table.

    Parameters
    ----------
    used
        Which of its rows hold values.
    """

    def __init__(self, found: Attempt, used: Sequence[bool]) -> None:
        self.found, self.infos, self.used = found, found.lexicon.infos, used

    def is_merged(self, given: Given) -> bool:
        return given.place is not None and self.are_merged_at(given.place)

    def are_merged_at(self, place: int) -> bool:
        """Tell whether cells of a column are merged over rows, or left out as the same as above.

        They are if it is filled where others that a row cannot do without are, or where a batch
        begins.
        """
        filled = self._filled(place)
        if all(filled) or not filled[0]:
            return False
        times = [self.found.given[name].place for name in TIME_KEYS if name in self.found.given]
        needed = [
            given.place
            for name, given in self.found.given.items()
            if given.place not in (None, place)
            and (name in _HEADS or (name in self.infos and not self.infos[name].nullable))
            and not (place in times and given.place in times)  # a day and its clock are one
        ]
        patterns = [self._filled(other) for other in needed if other is not None]
        several = filled.count(False) >= LEAST_MERGED
        return filled in patterns or (several and filled == self._batch_begins)

    def _filled(self, place: int) -> list[bool]:
        return [not is_empty(cell) for cell in self.found.contents[place].cells]

    @cached_property
    def _batch_begins(self) -> list[bool] | None:
        """Where the panels of another batch begin, by their ids; None if these do not tell."""
        given = self.found.given.get("panel")
        if given is None or given.place is None:
            return None
        pattern = re.compile(self.found.file.export.habits.panel_ids, re.IGNORECASE)
        if "batch" not in pattern.groupindex:
            return None
        found = [pattern.fullmatch(str(c)) for c in self.found.contents[given.place].cells]
        batches = [match and match["batch"] for match in found]
        return [own != above for own, above in zip(batches, [None, *batches], strict=False)]

    def begins(self, place: int) -> list[bool]:
        """Return where a panel or batch to the left is another one: no cell is merged beyond it."""
        outer = [
            given.place
            for name, given in self.found.given.items()
            if name in ("panel", "batch") and given.place is not None and given.place < place
        ]
        begins = [False] * len(self.used)
        for each in outer:
            above: Any = None
            for at, cell in enumerate(self.found.contents[each].cells):
                if not is_empty(cell):
                    begins[at] |= above is not None and cell != above
                    above = cell
        return begins

    def own_or_as_above(
        self, place: int, values: Sequence[float], words: Sequence[Hashable]
    ) -> tuple[Sequence[float], list[int]]:
        """Return values, empty ones as the merged one above, and the rows that one is forgotten in.

        Parameters
        ----------
        words
            Of each row: a value stands for rows with the same ones alone. What is told of a sample
            that rested is none of one that was deaerated, which need not have any.
        """
        read, empty = values, [math.isnan(value) for value in values]
        having = {own for own, none in zip(words, empty, strict=True) if not none}
        due = [used and own in having for own, used in zip(words, self.used, strict=True)]
        if are_merged(empty, due):
            other = [own != above for own, above in zip(words, [words[0], *words], strict=False)]
            begins = [*map(any, zip(self.begins(place), other, strict=True))]
            read = self.filled_down(values, begins)
        return read, [at for at, value in enumerate(read) if math.isnan(value) and due[at]]

    def filled_down(self, values: Sequence[float], begins: Sequence[bool]) -> list[float]:
        """Fill a number down where its first cell is there and later ones are empty: merged cells."""
        filled: list[float] = []
        for value, used, new in zip(values, self.used, begins, strict=True):
            empty = math.isnan(value) and used and filled and not new
            filled.append(filled[-1] if empty else value)
        return filled
