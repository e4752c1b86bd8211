"""A value that stands in no table and knows its place, so that a fault in it names that."""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from collections.abc import Mapping
from datetime import datetime
from typing import Any, NoReturn, Protocol, TypeAlias

from tiecoat.contract.words import truth_of
from tiecoat.dialect.numbers import EMPTY_WORDS
from tiecoat.reasons import Reason

ValuePlace: TypeAlias = Mapping[str, Any]  # row and column of a line, or `at` of a nested file


class PlacedIn(Protocol):
    """What a value asks of the export that it stands in; see `Export`."""

    def number(
        self,
        text: str | float,
        to: str = "",
        unit: str | None = None,
        *,
        row: int | None = None,
        column: str | None = None,
        at: str | None = None,
    ) -> float:
        """Return a number in the unit that is wanted."""

    def time(
        self,
        text: str,
        format: str | None = None,  # noqa: A002 (the contract's word)
        *,
        row: int | None = None,
        column: str | None = None,
        at: str | None = None,
    ) -> datetime | None:
        """Return an aware time in UTC."""

    def fault(
        self,
        reason: Reason | str,
        row: int | None = None,
        column: str | None = None,
        found: str | None = None,
        expected: str | None = None,
        *,
        at: str | None = None,
    ) -> None:
        """Note a fault."""

    def hold(
        self,
        reason: Reason,
        row: int | None = None,
        column: str | None = None,
        found: str | None = None,
        expected: str | None = None,
        *,
        at: str | None = None,
    ) -> NoReturn:
        """Hold the file at once."""


class PlacedValue(ABC):
    """A single value; `text` says how it is written.

    Parameters
    ----------
    export
        Where faults are noted.
    place
        Where it stands, as `Export.fault` takes it.
    """

    def __init__(self, export: PlacedIn, place: ValuePlace) -> None:
        self._export = export
        self._place = place

    @abstractmethod
    def text(self) -> str | None:
        """Return the value as a text without blanks around it; None where there is none."""

    def number(self, to: str = "", unit: str | None = None) -> float:
        """Return the value as a number in the unit `to`; NaN for none, or where a fault is noted.

        A text may say its unit, such as "12.5 kHz"; `unit` is taken where it says none.
        """
        said = self.text()
        return math.nan if said is None else self._export.number(said, to, unit, **self._place)

    def whole_number(self, to: str = "", unit: str | None = None) -> int | None:
        """Return the value as a whole number; None where `number` gives NaN.

        NOT_A_NUMBER is noted where it is not whole.
        """
        value = float(self.number(to, unit))
        if value.is_integer():
            return int(value)
        if not math.isnan(value):
            self._not_a_number(f"{value:g}", "a whole number")
        return None

    def truth(self) -> bool | None:
        """Return the value as yes or no, in the languages of the trade too; None for none.

        NOT_A_NUMBER is noted where it says neither.
        """
        said = self.text() or ""
        found = truth_of(said)
        if found is None and said.casefold() not in EMPTY_WORDS:
            self._not_a_number(f"'{said}'", "yes or no")
        return found

    def time(self, format: str | None = None) -> datetime | None:  # noqa: A002 (the contract's word)
        """Return the value as an aware time in UTC; None for none, or where a fault is noted."""
        said = self.text()
        return None if said is None else self._export.time(said, format, **self._place)

    def _not_a_number(self, found: str, expected: str) -> None:
        reason = Reason.NOT_A_NUMBER
        self._export.fault(reason, found=found, expected=expected, **self._place)
