"""A draft on the way to its mistake."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from random import Random

from .cells import Cell
from .draft import Draft
from .style import Style

PER_PANEL = {"impedance", "pull_off", "gloss", "film_thickness", "exposure_rating"}
REGISTER = {"batches", "panels"}
TWICE_SAID = {  # traits of exports whose columns say the same twice
    "impedance": ("form all", "form all minus"),
    "pull_off": ("said in both",),
    "viscosity": ("said in both",),
}


@dataclass
class Spoilt:
    """A draft on the way to its mistake."""

    draft: Draft
    style: Style
    dice: Random
    name: str = ""  # the file's name, if that is the mistake
    cut: bool = False

    @property
    def flavour(self) -> str:
        """The kind of export."""
        return self.draft.flavour

    def has(self, *traits: str) -> bool:
        """Say whether the export has one of these traits."""
        return any(trait in self.draft.traits for trait in traits)

    def parts(self) -> Iterator[dict[str, Cell]]:
        """Go through constants and rows."""
        for group in self.draft.groups:
            yield group.constants
            yield from group.rows

    def rows(self) -> list[dict[str, Cell]]:
        """Return the rows alone, to be changed."""
        return [row for group in self.draft.groups for row in group.rows]

    def stands_in_rows(self, *keys: str) -> bool:
        """Say whether each row has these."""
        return all(key in row for row in self.rows() for key in keys)


Mistake = Callable[[Spoilt], str]  # what was done, "" if it cannot be done to this export
