"""Entries and tables of a draft, with its units where this file has them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random

from .cells import Cell, Number, Text
from .draft import Draft, Field, Group
from .lines import Entry, Table
from .statistics_shown import put_below
from .style import Style
from .words import word

MERGED_SHARE = 0.15
AMID_SHARE = 0.08
FOOTER_SHARE = 0.2


@dataclass
class Tables:
    """Makes entries and tables; what they have that is not plain goes into `traits`."""

    draft: Draft
    style: Style
    dice: Random
    traits: list[str]

    def entry(self, key: str, cell: Cell) -> Entry:
        """Return a quantity and its value on a line."""
        field = self.draft.fields[key]
        unit = self._unit_of(field)
        if not unit or isinstance(cell, Text):
            return Entry(field.title, cell, percent=field.percent)
        if self.style.unit_place in {"round", "square"} and self.dice.random() < 0.5:
            return Entry(titled(field.title, unit, self.style, self.dice), cell)
        return Entry(field.title, cell, unit)

    def unit_sentence(self) -> str:
        """Return the sentence that names the units of the columns; "" where there is none."""
        if self.style.unit_place != "sentence":
            return ""
        joint = word(self.dice, "text.in", self.style.language)
        parts = [
            f"{field.title} {joint} {unit}"
            for key, field in self.draft.fields.items()
            if (unit := self._unit_of(field)) and not self._is_same_for_all(key)
        ]
        said = word(self.dice, "text.units", self.style.language)
        return f"{said}: {'; '.join(parts)}" if parts else ""

    def table(
        self, groups: Sequence[Group], columns: Sequence[str], *, plain: bool = False
    ) -> Table:
        """Return a table of these groups; plain: nothing that a person passes over or fills in."""
        shown = [self.draft.fields[key] for key in columns]
        head = [[self._title_of(key) for key in columns]]
        units = [self._unit_of(field) for field in shown]
        if self.style.unit_place.startswith("row") and any(units):
            head.append([bracketed(unit, self.style) for unit in units])
        rows: list[list[Cell]] = []
        numbers: list[int] = []
        for n, group in enumerate(groups):
            for row in group.rows:
                whole = {**group.constants, **row}
                rows.append([self._cell(key, whole.get(key)) for key in columns])
                numbers.append(n)
        table = Table(head, rows, [field.percent for field in shown], groups=numbers)
        if not plain:
            self._merge_or_foot(table, groups, columns)
            if self.style.medium == "text":
                self._put_amid(table)
        return table

    def _merge_or_foot(self, table: Table, groups: Sequence[Group], columns: Sequence[str]) -> None:
        constants = groups[0].constants
        if len(groups) > 1 and self.dice.random() < MERGED_SHARE and columns[0] in constants:
            table.merge = [n for n, key in enumerate(columns) if key in constants]
            self.traits.append("merged")
        elif len(table.rows) > 2 and self.dice.random() < FOOTER_SHARE:
            places = [n for n, key in enumerate(columns) if key in self.draft.statistics_of]
            if put_below(table, places, self.style.language, self.dice):
                self.traits.append("statistics below")

    def _put_amid(self, table: Table) -> None:
        if self.dice.random() < AMID_SHARE and len(table.rows) > 3:
            said = word(self.dice, "text.amid", self.style.language)
            table.amid = {self.dice.randrange(1, len(table.rows)): said}
            self.traits.append("comment amid")
        elif self.dice.random() < AMID_SHARE and table.groups[0] != table.groups[-1]:
            pairs = enumerate(zip(table.groups, table.groups[1:], strict=False), 1)
            table.amid = {n: "" for n, (before, after) in pairs if before != after}
            self.traits.append("empty lines amid")

    def _is_same_for_all(self, key: str) -> bool:
        """Say whether a quantity may stand as an entry: its unit is written beside it anyway."""
        return key not in self.draft.groups[0].rows[0]

    def _cell(self, key: str, cell: Cell) -> Cell:
        unit = self._unit_of(self.draft.fields[key])
        if self.style.unit_place == "cell" and unit and isinstance(cell, Number):
            return replace(cell, unit=unit)
        return cell

    def _unit_of(self, field: Field) -> str:
        return "" if field.bare and self.style.leave_out_customary else field.unit

    def _title_of(self, key: str) -> str:
        field = self.draft.fields[key]
        unit = self._unit_of(field)
        place = self.style.unit_place
        if not unit or place == "cell" or place.startswith("row"):
            return field.title
        if place == "sentence" and not self._is_same_for_all(key):
            return field.title
        return titled(field.title, unit, self.style, self.dice)


def titled(title: str, unit: str, style: Style, dice: Random) -> str:
    """Put the unit beside the title as this file does it."""
    place = style.unit_place
    if place == "slash" and "/" in unit:
        place = "square"
    written = {
        "square": f"{title} [{unit}]",
        "slash": f"{title} / {unit}",
        "comma": f"{title}, {unit}",
        "in": f"{title} {word(dice, 'text.in', style.language)} {unit}",
        "space": f"{title} {unit}",
    }
    return written.get(place, f"{title} ({unit})")


def bracketed(unit: str, style: Style) -> str:
    """Return a unit as it stands in a row of its own."""
    return f"[{unit}]" if unit and style.unit_place == "row square" else unit
