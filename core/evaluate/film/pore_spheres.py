"""The spheres behind the pores of many cut films at once (Saltykov)."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tiecoat.evaluate.film.pore_sizes import SeenPores, only_values
from tiecoat.evaluate.grouping import Floats, RowGroups, Whole
from tiecoat.evaluate.statistics.replicates import ManyFound, jackknives_ln
from tiecoat.evaluate.statistics.stereology import NO_BASE, ROUNDING, saltykov_of_each
from tiecoat.wording import counted

NOT_OF_SPHERES = "the sections are not those of spheres"


@dataclass(frozen=True)
class _SolvedClasses:
    """What Saltykov's classes give of each group, NaN where they give nothing.

    Parameters
    ----------
    mean_um
        Mean diameter by number.
    per_mm3
        Spheres in a unit of volume.
    below
        How many classes came out below zero.
    """

    mean_um: Floats
    per_mm3: Floats
    below: Whole


@dataclass(frozen=True)
class PoreSpheres:
    """The spheres behind the pores of several films.

    Parameters
    ----------
    pores
        Whole ones above the least diameter that is counted.
    units
        The fields or panels of each group, without pores too, numbered as `pores.units` has them,
        and of each its pores that count and its area of film.
    counted, area_mm2
        Of each unit.
    share
        Of the pores of each group, how many are whole and above the least diameter.
    unseen_um
        Smaller pores were not counted, of each group.
    classes, least
        How many classes of size, and how many pores it takes.
    """

    pores: SeenPores
    units: RowGroups
    counted: Floats
    area_mm2: Floats
    share: Floats
    unseen_um: Floats
    classes: int
    least: int

    def diameters(self, bias: tuple[float, float]) -> ManyFound:
        """Return the mean diameters in um; see `numbers`."""
        return self._found(self._whole.mean_um, self._without.mean_um, bias)

    def numbers(self, bias: tuple[float, float]) -> ManyFound:
        """Return the spheres a mm3, with the interval of `jackknives_ln` moved by a bias."""
        return self._found(self._whole.per_mm3, self._without.per_mm3, bias)

    def _found(self, value: Floats, without: Floats, bias: tuple[float, float]) -> ManyFound:
        low, high = jackknives_ln(value, without, self.units)
        method, flags = [], []
        told = zip(
            self.unseen_um.tolist(),
            self.pores.words,
            self._whole.below.tolist(),
            np.isnan(low).tolist(),
            strict=True,
        )
        for unseen_um, unit, below, no_interval in told:
            words = (
                f"Saltykov, {self.classes} linear classes from the least diameter counted,"
                f" {unseen_um:.3g} um; if pores are spheres that lie at random, of those above it"
            )
            said = [f"{below} of {self.classes} classes came out below zero"] if below else []
            if no_interval:
                said.append(f"no interval: too few {unit}s, or no spread")
            else:
                words += f"; jackknife over {unit}s, with the bias of classes"
            method.append(words)
            flags.append("; ".join(said))
        found = only_values(value, method, self._reasons)
        return replace(found, low=low * bias[0], high=high * bias[1], flags=flags)

    @cached_property
    def _reasons(self) -> list[str]:
        """Why there are no spheres, of each group."""
        told = zip(
            self.pores.groups.sizes.tolist(),
            self.units.sum(self.area_mm2).tolist(),
            np.isnan(self._whole.mean_um).tolist(),
            strict=True,
        )
        return [
            NO_BASE
            if not area > 0
            else f"{counted(n, 'whole pore')}; it takes {self.least}"
            if n < self.least
            else NOT_OF_SPHERES
            if no_spheres
            else ""
            for n, area, no_spheres in told
        ]

    @cached_property
    def _whole(self) -> _SolvedClasses:
        groups = self.pores.groups
        with np.errstate(invalid="ignore", divide="ignore"):
            per_mm2 = self.share * self.units.sum(self.counted) / self.units.sum(self.area_mm2)
        enough = groups.sizes >= self.least
        return self._solved(self.pores.diameter_um, groups, enough, per_mm2, self.unseen_um)

    @cached_property
    def _without(self) -> _SolvedClasses:
        """What each group gives without one of its units, of each unit."""
        owner = self.units.of_row
        wanted = (self.units.sizes[owner] > 1) & ~np.isnan(self._whole.mean_um)[owner]
        rows, left_out = self._left_out(np.arange(len(owner)), wanted)
        units = RowGroups(left_out, len(owner))
        with np.errstate(invalid="ignore", divide="ignore"):
            per_mm2 = units.sum(self.counted[rows]) / units.sum(self.area_mm2[rows])
        per_mm2 *= self.share[owner]
        rows, left_out = self._left_out(self.pores.units, wanted)
        pores = RowGroups(left_out, len(owner))
        diameters = self.pores.diameter_um[rows]
        return self._solved(diameters, pores, wanted, per_mm2, self.unseen_um[owner])

    def _left_out(self, unit: Whole, wanted: NDArray[np.bool_]) -> tuple[Whole, Whole]:
        """Return rows over and over, once for each other unit of their group that is left out.

        Parameters
        ----------
        unit
            Of each row.
        wanted
            The units that are left out in turn.
        """
        group = self.units.of_row[unit]
        times = self.units.sizes[group]
        rows = np.repeat(np.arange(len(unit)), times)
        first = (self.units.ends - self.units.sizes)[group]
        within = np.arange(len(rows)) - np.repeat(np.cumsum(times) - times, times)
        left_out = np.repeat(first, times) + within
        kept = (left_out != unit[rows]) & wanted[left_out]
        return rows[kept], left_out[kept]

    def _solved(
        self,
        diameters: Floats,
        groups: RowGroups,
        wanted: NDArray[np.bool_],
        per_mm2: Floats,
        unseen_um: Floats,
    ) -> _SolvedClasses:
        """Return what the classes give of the groups that are wanted and have pores."""
        count = groups.count
        found = _SolvedClasses(
            np.full(count, math.nan), np.full(count, math.nan), np.zeros(count, int)
        )
        chosen = np.flatnonzero(wanted & (groups.sizes > 0) & ~np.isnan(per_mm2))
        if not len(chosen):
            return found
        place = np.full(count, -1, dtype=np.intp)
        place[chosen] = np.arange(len(chosen))
        of_row = np.where(groups.of_row < 0, -1, place[groups.of_row])
        circles = diameters[of_row >= 0] / 1000
        limits, number = saltykov_of_each(
            circles,
            RowGroups(of_row[of_row >= 0], len(chosen)),
            self.classes,
            per_mm2[chosen],
            unseen_um[chosen] / 1000,
        )
        total = number.sum(axis=1)
        with np.errstate(invalid="ignore", divide="ignore"):
            mean = (number * limits).sum(axis=1) / total
        holds = (total > 0) & ~(mean > limits[:, -1] * (1 + ROUNDING))
        found.mean_um[chosen] = np.where(holds, mean * 1000, math.nan)
        found.per_mm3[chosen] = np.where(holds, total, math.nan)
        found.below[chosen] = (number < 0).sum(axis=1)
        return found
