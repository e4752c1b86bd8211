"""Titles, headings, and the names of files and sheets."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from random import Random

from .words import word

STEMS = ("export", "data", "run", "series", "result", "Messung", "mesure", "pomiar")
HEADINGS = (
    "{field} {id}",
    "{title} {id}",
    "{title}: {id}",
    "--- {id} ---",
    "=== {field} {id} ===",
    "{id}",
)


@dataclass
class Names:
    """What one file and its sheets are called."""

    flavour: str
    language: str
    dice: Random

    def __post_init__(self) -> None:
        """Start with names that say nothing."""
        stem = self.dice.choice((*STEMS, self.flavour))
        numbered = f"{stem}_{self.dice.randint(1, 40)}"
        self.file = self.dice.choice((stem, numbered, f"{stem} {self.dice.choice('abc')}"))
        self.folder = self.dice.choice(("", "", self.flavour))
        self.sheet = self.dice.choice(("Sheet1", "Data", "Tabelle1"))

    @cached_property
    def title(self) -> str:
        """The words that head the file."""
        return word(self.dice, f"title.{self.flavour}", self.language)

    @cached_property
    def _heading_form(self) -> str:
        return self.dice.choice(HEADINGS)

    def heading(self, field: str, identity: str) -> str:
        """Return a heading with an id; of one form in all of the file."""
        return self._heading_form.format(field=field, id=identity, title=self.title)

    def name_after(self, identity: str) -> None:
        """Name the file after an id."""
        said = identity if self.dice.random() < 0.85 else identity.lower()
        stem = self.flavour.replace("_", " ")
        short = stem.split()[0]
        forms = (said, f"{stem} {said}", f"{said} {stem}", f"{stem}_{said}", f"{said}_{short}")
        self.file = self.dice.choice(forms)

    def put_in_folder_of(self, identity: str) -> None:
        """Lay the file into a folder that is called by an id."""
        self.folder = self.dice.choice((identity, f"2024/{identity}"))
