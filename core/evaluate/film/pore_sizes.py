"""Sizes of the pores of many cut films at once, as sections show them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from tiecoat.evaluate.estimate import CERTAIN, t_factors
from tiecoat.evaluate.grouping import Floats, RowGroups, Whole
from tiecoat.evaluate.statistics.replicates import (
    ManyFound,
    cut_at_zero,
    share_intervals,
    without_flags,
)
from tiecoat.evaluate.statistics.stereology import NO_BASE, ratios

NO_PORES = "no whole pore was seen"


@dataclass(frozen=True)
class SeenPores:
    """Pores of several films that are taken together each.

    Parameters
    ----------
    diameter_um
        Shape (n,).
    groups
        Which films each pore is of.
    units
        The number of its field or panel, whichever varies, shape (n,).
    words
        What a unit is called, of each group.
    """

    diameter_um: Floats
    groups: RowGroups
    units: Whole
    words: Sequence[str]

    @property
    def no_pores(self) -> list[str]:
        """Why there is no size, of each group."""
        return ["" if n else NO_PORES for n in self.groups.sizes.tolist()]


def ratios_over(
    tops: ArrayLike, bottoms: ArrayLike, units: RowGroups, words: Sequence[str], method: str
) -> ManyFound:
    """Return ratios of sums with their intervals over the units.

    Parameters
    ----------
    tops, bottoms
        Of each unit.
    units
        The units of each group.
    words
        What a unit is called, of each group.
    method
        What the ratio is, in words.
    """
    found, n = ratios(tops, bottoms, units), units.sizes
    unknown = np.isnan(found.standard_error)
    freedom = np.where(unknown, CERTAIN, n - 1)
    half = t_factors(freedom) * found.standard_error
    flags = [
        "" if is_known else "no interval: no spread" if several else f"no interval: one {unit}"
        for is_known, several, unit in zip(~unknown, n > 1, words, strict=True)
    ]
    return ManyFound(
        *(found.value, found.standard_error, freedom, found.value - half, found.value + half, n),
        [f"{method}; {unit}s as unit" for unit in words],
        flags,
        np.where(np.isnan(found.value), NO_BASE, "").tolist(),
    )


def only_values(value: Floats, method: list[str], reason: list[str]) -> ManyFound:
    """Return what has neither error nor interval nor flags."""
    none = np.full(len(value), math.nan)
    return without_flags(value, none, (none, none), method, reason)


def number_means(pores: SeenPores) -> ManyFound:
    """Return the mean diameters by number, with intervals over the units, not below 0."""
    parts, owner = pores.groups.parted(pores.units)
    units = RowGroups(owner, pores.groups.count)
    sums = parts.sum(pores.diameter_um)
    found = ratios_over(sums, parts.sizes, units, pores.words, "mean by number")
    return replace(cut_at_zero(found, pores.groups.sizes > 0), reason=pores.no_pores)


def quantiles(pores: SeenPores, share: float) -> ManyFound:
    """Return the diameters that a share of the pores does not exceed, by number, with intervals.

    The interval is Woodruff's: from the diameter that the lower end of the interval of the share
    belongs to up to that of the upper end, fields or panels as the unit.

    References
    ----------
    Woodruff, J. Am. Stat. Assoc. 47 (1952) 635 (from memory), with the interval of the share that
    `share_interval` gives.
    """
    each, groups = pores.diameter_um, pores.groups
    n = groups.sizes
    ordered = each[np.lexsort((each, groups.of_row))][int((groups.of_row < 0).sum()) :]
    start = groups.ends - n

    def at(shares: Floats) -> Floats:
        """Return the quantile, linear between the ordered diameters, as numpy's."""
        known = (n > 0) & ~np.isnan(shares)
        place = np.where(known, shares * (n - 1), 0.0)
        below = np.floor(place).astype(np.intp)
        first = np.where(known, start + below, 0)
        last = np.where(known, start + np.minimum(below + 1, n - 1), 0)
        lower, upper, part = ordered[first], ordered[last], place - below
        step = upper - lower
        between = np.where(part < 0.5, lower + step * part, upper - step * (1 - part))
        return np.where(known, between, math.nan)

    if not len(ordered):
        return only_values(np.full(groups.count, math.nan), [""] * groups.count, pores.no_pores)
    value = at(np.full(groups.count, share))
    with np.errstate(invalid="ignore"):
        not_above = (each <= value[groups.of_row]).astype(float)
    low, high, _ = share_intervals(not_above, pores.units, groups)
    few = (low * n <= 100) | ((100 - high) * n <= 100)  # beyond the pore at an end is nothing known
    ends = (at(np.where(few, math.nan, end / 100)) for end in (low, high))
    method = "by number, linear between the ordered diameters; Woodruff, {}s as unit"
    flags = np.where(few, "no interval: too few pores or pictures", "").tolist()
    found = only_values(value, list(map(method.format, pores.words)), pores.no_pores)
    low, high = ends
    return replace(found, low=low, high=high, flags=flags)


def volume_mean(diameters: ArrayLike) -> float:
    r"""Return the mean diameter weighted by volume, :math:`\sum d^4 / \sum d^3`.

    Examples
    --------
    >>> round(volume_mean([1.0, 3.0]), 3)
    2.929
    """
    each = np.asarray(diameters, dtype=float)
    return float(_volume_means(each, RowGroups.whole(len(each)))[0])


def _volume_means(diameters: Floats, groups: RowGroups) -> Floats:
    with np.errstate(invalid="ignore"):
        return groups.sum(diameters**4) / groups.sum(diameters**3)


def volume_weighted(pores: SeenPores) -> ManyFound:
    """Return the mean diameters weighted by volume."""
    method = "mean weighted by the cube of the diameter, as sections show it"
    found = _volume_means(pores.diameter_um, pores.groups)
    return only_values(found, [method] * pores.groups.count, pores.no_pores)
