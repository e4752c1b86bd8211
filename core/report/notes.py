"""What is written below tables: each note once in a report, by its number."""

from __future__ import annotations

from collections.abc import Iterable


class Footnotes:
    """The notes of one report, numbered from 1 in the order in which they are first cited."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def cite(self, notes: Iterable[str]) -> list[int]:
        """Return the numbers of notes, rising; one that is new gets the next."""
        return sorted(self._numbers.setdefault(one, len(self._numbers) + 1) for one in notes)

    @property
    def listed(self) -> list[str]:
        """Every note, by its number."""
        return list(self._numbers)
