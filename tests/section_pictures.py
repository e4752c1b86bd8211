"""Pictures of cut films whose truth is known: layers, round pores, and what a microscope adds.

Layers lie one above the other: resin, film, steel. Everything is in pixels unless it says µm.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from photographs import noise_of
from scipy import ndimage

Reals = NDArray[np.float64]


@dataclass(frozen=True)
class Disc:
    """A pore."""

    row: float
    column: float
    radius: float


@dataclass(frozen=True)
class Cut:
    """A cut film as it is, and how it is lit and taken."""

    rows: int = 300
    columns: int = 420
    surface: float = 80.0
    substrate: float = 230.0
    slope: float = 0.0
    roughness: float = 0.0
    resin_grey: float = 45.0
    film_grey: float = 125.0
    steel_grey: float = 215.0
    pore_grey: float = 22.0
    pores: tuple[Disc, ...] = ()
    blur: float = 0.8
    noise: float = 4.0
    gradient: float = 0.0  # share of the grey, from left to right
    fillers: int = 0
    seed: int = 1

    @property
    def thickness(self) -> float:
        """Of the film, upright."""
        return self.substrate - self.surface

    @property
    def film_area(self) -> float:
        """Pores included."""
        return self.thickness * self.columns

    @property
    def void_area(self) -> float:
        """Of the discs, which lie inside."""
        return sum(math.pi * one.radius**2 for one in self.pores)

    def with_pores(self, share: float, mean_radius: float = 5.0, **more: Any) -> Cut:
        """Return it with discs that do not overlap until they take about this share of the film."""
        cut = replace(self, **more)
        chance = random.Random(cut.seed)
        discs: list[Disc] = []
        area = 0.0
        wanted = share * cut.film_area
        for _ in range(20_000):
            if area >= wanted:
                break
            radius = min(chance.lognormvariate(math.log(mean_radius), 0.35), 0.3 * cut.thickness)
            room = radius + 4 + cut.roughness + abs(cut.slope) * cut.columns / 2
            if cut.surface + room >= cut.substrate - room:
                continue
            disc = Disc(
                chance.uniform(cut.surface + room, cut.substrate - room),
                chance.uniform(radius + 4, cut.columns - radius - 4),
                radius,
            )
            far = (
                math.hypot(disc.row - one.row, disc.column - one.column)
                > disc.radius + one.radius + 4
                for one in discs
            )
            if all(far):
                discs.append(disc)
                area += math.pi * radius**2
        return replace(cut, pores=tuple(discs))

    def grey(self) -> Reals:
        """Return it as a microscope shows it, 0 to 255, not rounded."""
        chance = random.Random(self.seed)
        row, column = np.mgrid[: self.rows, : self.columns].astype(float)
        lean = self.slope * (column - self.columns / 2)
        wave = self.roughness * (np.sin(column / 17 + self.seed) + 0.6 * np.sin(column / 5.3)) / 1.6
        grey = np.full(row.shape, float(self.resin_grey))
        film = np.clip(row - self.surface - lean + 0.5, 0, 1)
        grey += film * (self.film_grey - grey)
        for _ in range(self.fillers):
            y = chance.uniform(self.surface + 8, self.substrate - 8)
            x, half = chance.uniform(0, self.columns), chance.uniform(3, 12)
            flake = (np.abs(row - y) < 1.5) & (np.abs(column - x) < half)
            grey[flake] *= chance.uniform(0.9, 1.25)
        for one in self.pores:
            rim = one.radius - np.hypot(row - one.row, column - one.column) + 0.5
            grey += np.clip(rim, 0, 1) * (self.pore_grey - grey)
        steel = np.clip(row - self.substrate - lean - wave + 0.5, 0, 1)
        grey += steel * (self.steel_grey - grey)
        grey = ndimage.gaussian_filter(grey, self.blur) if self.blur else grey
        grey *= 1 + self.gradient * (column / self.columns - 0.5)
        return np.asarray(grey + self.noise * noise_of(self.seed, *grey.shape))

    def pixels(self) -> NDArray[np.uint8]:
        """Return three equal channels, shape (rows, columns, 3)."""
        grey = np.clip(np.rint(self.grey()), 0, 255).astype(np.uint8)
        return np.repeat(grey[:, :, None], 3, axis=2)
