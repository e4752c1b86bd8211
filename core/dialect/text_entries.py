"""Lines of a text that say a name and its value, outside of tables."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from tiecoat.dialect.placed import PlacedIn, PlacedValue
from tiecoat.dialect.titles import fold
from tiecoat.reasons import Reason

if TYPE_CHECKING:
    from tiecoat.dialect.entries import EntryValue


class TextEntry(PlacedValue):
    """What a line says beside a name: `text()`, `number("N")`, `time()`; faults name the line.

    The unit of a number stands behind it ("9.81 N"), in brackets behind the name ("Load (N)"), or
    is the one that is handed over. Of an entry that is needed MISSING_VALUE is noted where nothing
    stands behind its name, whatever it is asked for.
    """

    def __init__(self, export: PlacedIn, found: EntryValue, *, needed: bool = False) -> None:
        super().__init__(export, {"row": found.row, "column": found.name})
        self._text, self._unit = str(found.value).strip(), found.unit
        self._needed = needed
        self.row = found.row

    def text(self) -> str | None:
        """Return what stands there; None where nothing does."""
        if self._needed and not self._text:
            self._export.fault(
                Reason.MISSING_VALUE, found="nothing", expected="a value", **self._place
            )
        return self._text or None

    def number(self, to: str = "", unit: str | None = None) -> float:
        """Return it as a number in the unit `to`; NaN for none, or where a fault is noted."""
        return super().number(to, self._unit or unit)


class TextEntries:
    """The lines of a text that say a name and its value: "Panel: RB-001-2", "load = 9.81 N".

    `entries["panel"]` is the entry of this name, without regard to case: it is needed, with a value
    behind its name. `entries.get("panel", "sample")` is the first of these names that is there, or
    None, and may have nothing behind it: `(one := entries.get("load")) and one.number("N")` is its
    number, or None. Name and value are parted by a colon, an equals sign, a tab, or a semicolon,
    bar or comma.
    """

    def __init__(self, export: PlacedIn, found: Mapping[str, EntryValue]) -> None:
        self._export = export
        self._found = found

    def __contains__(self, name: str) -> bool:
        return fold(name) in self._found

    def __getitem__(self, name: str) -> TextEntry:
        """Return an entry that is needed.

        The file is held where there is none (MISSING_COLUMN), or nothing stands behind its name
        (MISSING_VALUE).
        """
        found = self._found_as(name)
        if found is None:
            self._export.hold(Reason.MISSING_COLUMN, expected=f"a line '{name}'")
        return TextEntry(self._export, found, needed=True)

    def get(self, *names: str) -> TextEntry | None:
        """Return the first of these entries, or None.

        INCONSISTENT is noted where another line gives another value under its name.
        """
        found = self._found_as(*names)
        return TextEntry(self._export, found) if found else None

    def _found_as(self, *names: str) -> EntryValue | None:
        found = next((self._found[fold(one)] for one in names if fold(one) in self._found), None)
        if found is not None and found.rival is not None:
            value, row = found.rival
            self._export.fault(
                Reason.INCONSISTENT,
                row,
                found.name,
                f"'{value}', and '{found.value}' in row {found.row}",
                "one value",
            )
        return found
