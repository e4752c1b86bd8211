"""What an export says, before anything is decided about how it is laid out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from random import Random
from typing import Any

from .cells import Cell, Unit
from .lines import Entry
from .words import word

ID_PLACES = ("column", "entry", "heading", "sheet", "name", "folder")
ENTRY_OR_COLUMN = ("entry", "column")


@dataclass
class Field:
    """A quantity of the export: its title in the file's language, its unit as written here.

    `bare`: the unit may go without saying. `places`: where it may stand if it is the same for a
    whole group.
    """

    title: str
    unit: str = ""
    bare: bool = False
    places: tuple[str, ...] = ENTRY_OR_COLUMN
    percent: bool = False


@dataclass
class Group:
    """What belongs together, such as a panel or a sweep: what is the same for all, and rows."""

    constants: dict[str, Cell]
    rows: list[dict[str, Cell]]


@dataclass(frozen=True)
class Pivot:
    """A way to lay one key out sideways: the values of `by` become titles of `values`.

    `label` writes such a title from the value, and `over` says that the quantity with its unit
    has to stand above, because these titles do not name it.
    """

    by: str
    values: tuple[str, ...]
    label: Callable[[Cell, Field], str]
    over: bool = False
    statistics: bool = False


@dataclass
class Draft:
    """Fields by key, groups, and the truth."""

    flavour: str
    kind: str
    language: str
    fields: dict[str, Field]
    groups: list[Group]
    truth: list[dict[str, Any]]
    shapes: tuple[str, ...]
    id_key: str
    pivots: tuple[Pivot, ...] = ()
    distractors: list[Entry] = field(default_factory=list)
    statistics_of: tuple[str, ...] = ()
    traits: list[str] = field(default_factory=list)
    sentences: list[str] = field(default_factory=list)  # stand above the table

    def rows(self) -> list[dict[str, Cell]]:
        """Return all rows with what is the same for their group."""
        return [{**group.constants, **row} for group in self.groups for row in group.rows]


@dataclass
class Maker:
    """Draws titles and units in one language."""

    dice: Random
    language: str

    def field(self, concept: str, unit: Unit | None = None, **more: Any) -> Field:
        """Return a field with a title for a concept."""
        title = word(self.dice, concept, self.language)
        if unit is None:
            return Field(title, **more)
        return Field(title, self.dice.choice(unit.spellings), unit.customary, **more)

    def chance(self, share: float) -> bool:
        """Say yes in this share of the cases."""
        return self.dice.random() < share
