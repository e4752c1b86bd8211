"""Invented micrographs for the example: cut films of a few panels, two fields of view each."""

from __future__ import annotations

import random
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from example_formats import BY_BATCH, INVENTED
from example_photographs import png
from example_truth import SEED, Panel
from section_pictures import Cut

UM_PER_PIXEL = 0.9
ROWS, COLUMNS, SURFACE = 290, 380, 38.0
LEFT_OF_THE_AIR = 0.6  # share of it that does not escape before the film sets


@dataclass(frozen=True)
class Micrograph:
    """One field of view: panel, its number, and how the operator took and named it.

    Parameters
    ----------
    turns
        Quarters by which the specimen lay turned under the microscope.
    noted
        Whether the scale stands in notes beside the picture, instead of in its metadata.
    """

    batch: str
    place: int
    number: int
    name: str = "{panel} section {number}.png"
    turns: int = 0
    noted: bool = False

    @property
    def panel(self) -> Panel:
        """The panel that was cut."""
        return Panel(BY_BATCH[self.batch], self.place)

    @property
    def path(self) -> str:
        """Below the inbox."""
        return "cross-section/" + self.name.format(panel=self.panel.name, number=self.number)

    @cached_property
    def cut(self) -> Cut:
        """The film: the more air the paint held, the more pores; flakes by the dose."""
        recipe = self.panel.recipe
        chance = random.Random(f"{SEED} section {self.panel.name} {self.number}")
        share = LEFT_OF_THE_AIR * recipe.air * chance.lognormvariate(0, 0.1)
        plain = Cut(
            rows=ROWS,
            columns=COLUMNS,
            surface=SURFACE,
            substrate=SURFACE + self.panel.thickness_um / UM_PER_PIXEL,
            slope=chance.uniform(-0.02, 0.02),
            roughness=7.0,
            film_grey=118.0 + 2 * recipe.number,
            fillers=40 + round(12 * recipe.dose_percent),
            noise=2.5,
            gradient=chance.uniform(-0.12, 0.12),
            seed=100 * recipe.number + 10 * self.place + self.number,
        )
        return plain.with_pores(share, 4.0)

    @property
    def true_percent(self) -> float:
        """Void fraction."""
        return 100 * self.cut.void_area / self.cut.film_area


MICROGRAPHS = (
    Micrograph("RB-010", 1, 1),
    Micrograph("RB-010", 1, 2),
    Micrograph("RB-010", 2, 1),
    Micrograph("RB-010", 2, 2, turns=1),
    Micrograph("RB-016", 1, 1),
    Micrograph("RB-016", 1, 2),
    Micrograph("RB-016", 2, 1),
    Micrograph("RB-016", 2, 2),
    Micrograph("RB-018", 1, 1, "Querschliff {panel} Feld {number}.png"),
    Micrograph("RB-018", 1, 2, "Querschliff {panel} Feld {number}.png", noted=True),
    Micrograph("RB-018", 2, 1, "Querschliff {panel} Feld {number}.png"),
    Micrograph("RB-018", 2, 2, "Querschliff {panel} Feld {number}.png"),
)


def exports(micrographs: Iterable[Micrograph] = MICROGRAPHS) -> dict[str, bytes]:
    """Return path below the inbox -> content, the notes beside a picture too."""
    files = {}
    for one in micrographs:
        pixels = np.ascontiguousarray(np.rot90(one.cut.pixels(), one.turns))
        files[one.path] = png(pixels, None if one.noted else UM_PER_PIXEL / 1000)
        if one.noted:
            notes = f"# {INVENTED}\num_per_pixel = {UM_PER_PIXEL:g}\ninstrument = 'microscope 2'\n"
            files[f"{one.path}.toml"] = notes.encode()
    return files
