"""Pull-off strength of groups of determinations: plain, lower bounds as such, and the median."""

from __future__ import annotations

import math
from copy import copy
from dataclasses import dataclass, field, fields, replace
from functools import cached_property
from typing import Any

import numpy as np

from tiecoat.evaluate.adhesion.determinations import Determinations
from tiecoat.evaluate.estimate import CERTAIN, t_factors
from tiecoat.evaluate.grouping import Floats, RowGroups, Whole
from tiecoat.evaluate.statistics import replicates
from tiecoat.evaluate.statistics.censored_jackknife import pseudo_values_of
from tiecoat.evaluate.statistics.censored_normal import Bools, CensoredNormals, fits_of
from tiecoat.evaluate.statistics.censored_normal_many import mean_ends
from tiecoat.evaluate.statistics.kaplan_meier import LEAST_FOR_LIMITS, medians
from tiecoat.evaluate.statistics.replicates import (
    ManyFound,
    cut_at_zero,
    mean_over,
    without_flags,
)
from tiecoat.wording import counted

READING = "determination"


def bounds_words(bounds: int, n: int) -> str:
    """Return how many of n determinations are lower bounds.

    Examples
    --------
    >>> bounds_words(1, 18)
    '1 of 18 determinations is a lower bound, the glue failed'
    """
    are = "is a lower bound" if bounds == 1 else "are lower bounds"
    return f"{bounds} of {n} determinations {are}, the glue failed"


@dataclass(frozen=True)
class StrengthGroups:
    """RowGroups of determinations that are taken together.

    Parameters
    ----------
    rows
        What was found of each determination.
    groups
        Which group each of them belongs to; none is empty.
    """

    rows: Determinations = field(repr=False)
    groups: RowGroups

    @property
    def n(self) -> Whole:
        """How many determinations."""
        return self.groups.sizes

    @cached_property
    def bounds(self) -> Whole:
        """How many of them are lower bounds."""
        return self.groups.sum(self.rows.is_bound).astype(np.intp)

    @cached_property
    def panels(self) -> Whole:
        """Of how many panels."""
        return self.groups.distinct(self.rows.panel_number)

    @property
    def readings(self) -> tuple[Floats, Whole, RowGroups, str]:
        """The strengths as `replicates` takes them, lower bounds as values."""
        return self.rows.strength_mpa, self.rows.panel_number, self.groups, READING

    def some(self, wanted: Bools) -> StrengthGroups:
        """Return some of the groups, in their order."""
        place = np.where(wanted, np.cumsum(wanted) - 1, -1)[self.groups.of_row]
        return StrengthGroups(
            self.rows.at(place >= 0), RowGroups(place[place >= 0], int(wanted.sum()))
        )


def mean(groups: StrengthGroups) -> ManyFound:
    """Return the plain means; of several panels the mean of their means, with panels as unit.

    They are not determinable where every determination is a lower bound.
    """
    found = replicates.means(*groups.readings)
    flags, reason = list(found.flags), list(found.reason)
    strength = groups.groups.mean(groups.rows.strength_mpa)
    for place in np.flatnonzero(groups.bounds).tolist():
        bounds, n = int(groups.bounds[place]), int(groups.n[place])
        if bounds == n:
            reason[place] = (
                "every strength is a lower bound, the glue failed:"
                f" the mean is above {strength[place]:.3g} MPa"
            )
        low = f"{bounds_words(bounds, n)}: the plain mean is too low"
        flags[place] = "; ".join(filter(None, (low, flags[place])))
    return replace(found, flags=flags, reason=reason)


def spread(groups: StrengthGroups) -> ManyFound:
    """Return the standard deviations of all determinations, for one panel with the interval.

    They are not determinable for one determination, for equal ones, and where every one is a lower
    bound.
    """
    return _with_bounds_as_values(groups, replicates.spreads(*groups.readings))


def variation(groups: StrengthGroups) -> ManyFound:
    """Return the coefficients of variation in %, where mean and deviation are determinable."""
    return _with_bounds_as_values(groups, replicates.variations(*groups.readings))


def _with_bounds_as_values(groups: StrengthGroups, found: ManyFound) -> ManyFound:
    """Return measures of spread with a flag where lower bounds among the strengths lessen them."""
    flags, reason = list(found.flags), list(found.reason)
    for place in np.flatnonzero(groups.bounds).tolist():
        flags[place] = "lower bounds are taken as values: it is too small"
        if 1 < groups.n[place] == groups.bounds[place]:
            reason[place] = "every strength is a lower bound, the glue failed"
    return replace(found, flags=flags, reason=reason)


def censored(groups: StrengthGroups) -> tuple[ManyFound, ManyFound]:
    """Return means and standard deviations with lower bounds as such; without any the plain ones.

    They are not determinable where fewer than two strengths are no bounds, or these are equal.
    """
    plain = mean(groups), spread(groups)
    bounded = groups.bounds > 0
    if not bounded.any():
        return _without_bounds(plain[0]), _without_bounds(plain[1])
    some = groups.some(bounded)
    fits = fits_of(some.rows.strength_mpa, some.rows.is_bound, some.groups)
    places = np.flatnonzero(bounded)
    return (
        _placed(_without_bounds(plain[0]), places, _censored_means(some, fits)),
        _placed(_without_bounds(plain[1]), places, _censored_spreads(some, fits)),
    )


def _without_bounds(found: ManyFound) -> ManyFound:
    return replace(found, method=[f"no lower bounds: {method}" for method in found.method])


def _placed(whole: ManyFound, places: Whole, some: ManyFound) -> ManyFound:
    """Return what was found of all groups, with some of them at their places."""
    columns: dict[str, Any] = {}
    for one in fields(ManyFound):
        column, new = copy(getattr(whole, one.name)), getattr(some, one.name)
        for place, found in zip(places.tolist(), new, strict=True):
            column[place] = found
        columns[one.name] = column
    return ManyFound(**columns)


def _censored_means(groups: StrengthGroups, fits: CensoredNormals) -> ManyFound:
    """Return the means of groups with lower bounds: for one panel by profile, else over panels."""
    told = np.array([not why for why in fits.reasons], dtype=np.bool_)
    one = groups.panels == 1
    words = [
        f"normal, {counted(k, 'lower bound')}, maximum likelihood" for k in groups.bounds.tolist()
    ]
    error, (low, high) = fits.mean_error * _unbiased(groups), np.full((2, len(one)), np.nan)
    found = without_flags(fits.mean.copy(), error, (low, high), words, list(fits.reasons))
    _by_profile(groups, found, fits, told & one)
    _over_panels(groups, found, fits, told & ~one)
    return cut_at_zero(found, np.ones(len(one), dtype=np.bool_))


def _by_profile(
    groups: StrengthGroups, found: ManyFound, fits: CensoredNormals, wanted: Bools
) -> None:
    """Give the means of some groups, each of one panel, their intervals, in place."""
    part = groups.some(wanted)
    rows, best = part.rows, (fits.mean[wanted], fits.deviation[wanted])
    ends = mean_ends(rows.strength_mpa, rows.is_bound, part.groups, *best)
    low, high = (np.where(np.isfinite(end), end, np.nan) for end in ends)
    found.low[wanted], found.high[wanted] = low, high
    for place, *limits in zip(
        np.flatnonzero(wanted).tolist(), low.tolist(), high.tolist(), strict=True
    ):
        found.method[place] += "; interval by profile, determinations as unit"
        found.flags[place] = _open_ends(*limits)


def _over_panels(
    groups: StrengthGroups, found: ManyFound, fits: CensoredNormals, wanted: Bools
) -> None:
    """Give the means of some groups, each of several panels, their intervals, in place."""
    part = groups.some(wanted)
    rows, own = part.rows, fits.some(wanted)
    units = rows.strength_mpa, rows.is_bound, rows.panel_number
    pseudo = pseudo_values_of(*units, part.groups, own)
    value, error, panels = mean_over(pseudo.values, pseudo.units)
    found.standard_error[wanted] = error
    found.freedom[wanted] = np.where(np.isnan(error), CERTAIN, panels - 1)
    half = t_factors(found.freedom[wanted]) * error
    found.low[wanted], found.high[wanted] = value - half, value + half
    for at, place in enumerate(np.flatnonzero(wanted).tolist()):
        if why := pseudo.reasons[at]:
            if pseudo.without[at] >= 0:
                name = rows.panel[rows.panel_number == pseudo.without[at]][0]
                why = f"without {name}: {why}"
            found.flags[place] = f"no interval over panels: {why}"
            continue
        found.value[place], found.n[place] = value[at], part.n[at]
        found.method[place] += "; interval by t from the jackknife, panels as unit"
        if np.isnan(error[at]):
            found.flags[place] = "no interval: no spread"


def _open_ends(low: float, high: float) -> str:
    """Return flags for the ends of an interval that are not known."""
    ends = (("lower", low), ("upper", high))
    return "; ".join(f"the interval has no {name} end" for name, end in ends if math.isnan(end))


def _unbiased(groups: StrengthGroups) -> Floats:
    r"""Return :math:`\sqrt{k/(k-1)}` for k values that are no bounds.

    With it the results without bounds are the plain ones; with bounds the mean of the deviation is
    closer to the true one too (the tests measure it).
    """
    k = groups.n - groups.bounds
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.sqrt(k / (k - 1))


def _censored_spreads(groups: StrengthGroups, fits: CensoredNormals) -> ManyFound:
    factor, count = _unbiased(groups), groups.groups.count
    method = "normal, maximum likelihood, times sqrt(k/(k-1)) for k strengths that are no bounds"
    error = np.where(groups.panels == 1, fits.deviation_error * factor, np.nan)
    none = np.full(count, np.nan)
    return without_flags(
        fits.deviation * factor, error, (none, none), [method] * count, fits.reasons
    )


def median_strength(groups: StrengthGroups) -> ManyFound:
    """Return the strengths that half of the determinations bear, for one panel with the limits.

    They are not determinable where too many are lower bounds, which are above what is said.
    """
    value, low, high, above = medians(groups.rows.strength_mpa, groups.rows.is_bound, groups.groups)
    count = groups.groups.count
    limited = (groups.panels == 1) & (groups.n >= LEAST_FOR_LIMITS)
    method, flags, reason = ["Kaplan-Meier"] * count, [""] * count, [""] * count
    few = f"no interval: it takes {LEAST_FOR_LIMITS} determinations"
    for place, limits in enumerate(zip(low.tolist(), high.tolist(), strict=True)):
        if limited[place]:
            method[place] += "; interval by ln(-ln S), determinations as unit"
            flags[place] = _open_ends(*limits)
        elif groups.panels[place] == 1:
            flags[place] = few
    for place in np.flatnonzero(np.isnan(value)).tolist():
        told = f"it is above {above[place]:.3g} MPa: too many strengths are lower bounds"
        n = int(groups.n[place])
        reason[place] = f"all {n} are lower bounds" if groups.bounds[place] == n else told
    for place in np.flatnonzero(groups.n == 1).tolist():
        reason[place] = "one determination has no median"
    ends = np.where(limited, low, np.nan), np.where(limited, high, np.nan)
    found = without_flags(value, np.full(count, np.nan), ends, method, reason)
    return replace(found, flags=flags)
