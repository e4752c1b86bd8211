"""Cross-sections: void fraction by Delesse, number and size of pores, where they lie in the film.

For each panel with its fields of view as the unit, and for each batch with its panels as the unit.
What was counted as a pore can be seen on the picture (`tiecoat overlay`): look at it before a
decision rests on these numbers; it is the responsible person's.

References, from memory: Delesse, C. R. Acad. Sci. 25 (1847) 544, for the share of the area as that
of the volume; the planimetric procedure of Jeffries, ASTM E112, for counting half what the edge of
the field cuts.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

from tiecoat.evaluate.choices import CrossSectionChoices
from tiecoat.evaluate.estimate import CERTAIN, t_factors
from tiecoat.evaluate.film import pore_sizes
from tiecoat.evaluate.film.pore_sizes import SeenPores, only_values, ratios_over
from tiecoat.evaluate.film.pore_spheres import PoreSpheres
from tiecoat.evaluate.grouping import (
    Floats,
    RowGroups,
    Whole,
    distinct_values,
    groups_of,
    members_of,
    numbered,
)
from tiecoat.evaluate.ledger import table_of
from tiecoat.evaluate.result import TEXT, together
from tiecoat.evaluate.statistics.counts import apart
from tiecoat.evaluate.statistics.replicates import ManyFound, mean_over
from tiecoat.wording import counted

KEYS = ["batch", "panel", "field"]
OF_PORES = ["diameter_um", "touches", "substrate_distance_um"]
CUT_OFF = "picture edge"
NO_PORE = "no pore was seen"
DELESSE = "Delesse: share of the area, in expectation that of the volume"
JOINED = "upper end for those that touch and count as one, if they lie at random"
MOST_VOID = 0.25  # beyond, nothing is known of how many touch
# As the upper limit stands for its class, spheres come out too large and too few: measured on
# lognormal spheres with 8 classes by 2, 5 and 9 to 18 % where they spread by 20, 35 and 50 %.
TOO_LARGE = 1.2
OF_THE_FILM = ("section_thickness", "section_thickness_least")  # which pores do not change
HALF = "pores that the picture's edge cuts count half (Jeffries)"


@dataclass(frozen=True)
class _Sections:
    """Fields of view of many panels or batches, and their pores.

    Parameters
    ----------
    keys
        Of each panel or batch.
    films, groups
        A row for each field of view, and whose it is.
    pores, of_pores
        A row for each pore with the thickness of its film, and whose it is.
    choices
        What the laboratory has set.
    """

    keys: pd.DataFrame
    films: pd.DataFrame
    groups: RowGroups
    pores: pd.DataFrame
    of_pores: RowGroups
    choices: CrossSectionChoices

    @cached_property
    def words(self) -> list[str]:
        """What varies: fields of one panel, else panels."""
        several = self.groups.distinct(numbered(self.films["panel"])[0]) > 1
        return ["panel" if one else "field" for one in several.tolist()]

    @cached_property
    def _units(self) -> tuple[Whole, RowGroups]:
        """The number of the unit of each field of view, then of each pore; and those of a group."""
        panel, view = (
            numbered(pd.concat([self.films[name], self.pores[name]]))[0]
            for name in ("panel", "field")
        )
        whose = np.append(self.groups.of_row, self.of_pores.of_row)
        by_panel = np.array([word == "panel" for word in self.words], dtype=bool)
        number = np.where(by_panel[whose], panel, view)
        parts, owner = RowGroups(whose, self.groups.count).parted(number)
        return parts.of_row, RowGroups(owner, self.groups.count)

    @property
    def units(self) -> RowGroups:
        """The units of each group."""
        return self._units[1]

    @cached_property
    def in_units(self) -> RowGroups:
        """The fields of view of each unit."""
        return RowGroups(self._units[0][: len(self.films)], len(self.units.of_row))

    @cached_property
    def void(self) -> Floats:
        """The area of pores in each unit, in mm2."""
        return self.in_units.sum(self.films["void_area_mm2"])

    @cached_property
    def area(self) -> Floats:
        """The area of film in each unit, in mm2."""
        return self.in_units.sum(self.films["film_area_mm2"])

    @cached_property
    def counted(self) -> Floats:
        """The pores in each unit, those that an edge cuts half."""
        return self.in_units.sum(self.films["pores"] - self.films["pores_cut"] / 2)

    @cached_property
    def is_cut(self) -> NDArray[np.bool_]:
        """Which pores an edge of a picture cuts."""
        return (self.pores["touches"] == CUT_OFF).to_numpy(dtype=bool)

    @cached_property
    def whole(self) -> SeenPores:
        """The pores that no edge of a picture cuts."""
        return self.those(~self.is_cut)

    @cached_property
    def cautions(self) -> list[tuple[str, ...]]:
        """What weakens every result of each."""
        return list(_cautions(self))

    def those(self, chosen: NDArray[np.bool_]) -> SeenPores:
        """Return some of the pores."""
        return SeenPores(
            self.pores["diameter_um"].to_numpy(dtype=float)[chosen],
            RowGroups(self.of_pores.of_row[chosen], self.of_pores.count),
            self._units[0][len(self.films) :][chosen],
            self.words,
        )

    def percents(
        self, tops: ArrayLike, bottoms: ArrayLike, units: RowGroups, method: str
    ) -> ManyFound:
        """Return ratios of sums in %, with their intervals over the units, from 0 to 100."""
        found = ratios_over(tops, bottoms, units, self.words, method)
        return replace(
            found,
            value=100 * found.value,
            standard_error=100 * found.standard_error,
            low=100 * np.maximum(found.low, 0.0),
            high=np.minimum(100 * found.high, 100.0),
        )


def compute(frames: Mapping[str, pd.DataFrame], choices: CrossSectionChoices) -> pd.DataFrame:
    """Return the results of cross-sections.

    Quantities: void_fraction and pores_near_substrate in %, pores_per_area in 1/mm²,
    section_thickness and section_thickness_least in µm; pore_diameter_mean, pore_diameter_median,
    pore_diameter_d90 and pore_diameter_volume_mean in µm as the sections show them;
    sphere_diameter_mean in µm and spheres_per_volume in 1/mm³ by Saltykov, largest_pore_share in %
    of the film's thickness.

    Parameters
    ----------
    frames
        `cross_section` and `pores`, as the archive gives them.
    choices
        What the laboratory has set.
    """
    films, pores = frames["cross_section"], frames["pores"]
    thickness = films[[*KEYS, "thickness_um"]]
    known = pores[[*KEYS, *OF_PORES]].merge(thickness, on=KEYS, validate="many_to_one")
    tables = []
    for by in (KEYS[:2], KEYS[:1]):
        groups, keys = groups_of(films, by)
        seen = _Sections(keys, films, groups, known, members_of(keys, known), choices)
        tables += [_table(seen, name, unit, find(seen)) for name, unit, find in _QUANTITIES]
        spheres = _spheres(seen)
        found = _without_cut(seen, spheres.diameters((1 / TOO_LARGE, 1.0)))
        tables.append(_table(seen, "sphere_diameter_mean", "um", found))
        found = _without_cut(seen, spheres.numbers((1.0, TOO_LARGE)))
        tables.append(_table(seen, "spheres_per_volume", "1/mm3", found))
    return together(tables)


def _table(seen: _Sections, quantity: str, unit: str, found: ManyFound) -> pd.DataFrame:
    if quantity not in OF_THE_FILM:
        least = seen.groups.most(seen.films["smallest_pore_um"]).tolist()
        told = zip(found.method, least, strict=True)
        found = replace(found, method=[f"{one}; pores from {um:.2g} um on" for one, um in told])
    table = table_of(found, quantity, unit, seen.keys, n=seen.groups.sizes)
    told = zip(table["flags"].tolist(), seen.cautions, strict=True)
    flags = ["; ".join(filter(None, (own, *of_all))) for own, of_all in told]
    return table.assign(flags=pd.Series(flags, dtype=TEXT))


def _cautions(seen: _Sections) -> Iterator[tuple[str, ...]]:
    films = seen.films
    least = distinct_values(seen.groups, films["smallest_pore_um"].round(2))
    settings = distinct_values(seen.groups, _settings(films["parameters"]))
    missing = (seen.groups.sum(films["pores"]).astype(int) - seen.of_pores.sizes).tolist()
    for of_least, of_settings, lacking in zip(least, settings, missing, strict=True):
        told = []
        for found, what in (
            (of_least, "smallest pores of {} um together"),
            (of_settings, "pictures read with different parameters together"),
        ):
            if len(found) > 1:
                told.append(what.format(" and ".join(f"{one}" for one in found)))
        if lacking:
            pores = counted(lacking, "pore")
            told.append(f"sizes and distances lack {pores} that the archive does not have")
        yield tuple(told)


def _settings(parameters: pd.Series[str]) -> pd.Series[str]:
    """Return the parameters without what was found by them on each picture."""
    return parameters.str.replace(r", drawn at [0-9.]+", "", regex=True)


def _void_fraction(seen: _Sections) -> ManyFound:
    return seen.percents(seen.void, seen.area, seen.units, DELESSE)


def _per_area(seen: _Sections) -> ManyFound:
    found = ratios_over(seen.counted, seen.area, seen.units, seen.words, HALF)
    void = seen.units.sum(seen.void) / seen.units.sum(seen.area)
    high = found.high * apart(np.minimum(void, MOST_VOID))
    both = zip(found.method, np.isnan(high).tolist(), strict=True)
    method = [one if unknown else f"{one}; {JOINED}" for one, unknown in both]
    return replace(found, low=np.maximum(found.low, 0.0), high=high, method=method)


def _thickness(seen: _Sections) -> ManyFound:
    of_units = seen.in_units.mean(seen.films["thickness_um"])
    value, error, n = mean_over(of_units, seen.units)
    unknown = np.isnan(error)
    freedom = np.where(unknown, CERTAIN, n - 1)
    half = t_factors(freedom) * error
    return ManyFound(
        *(value, error, freedom, value - half, value + half, n),
        [f"mean of the {unit}s; interval by t, {unit}s as unit" for unit in seen.words],
        np.where(unknown, "no interval: no spread", "").tolist(),
        [""] * len(value),
    )


def _thinnest(seen: _Sections) -> ManyFound:
    fields = [counted(n, "field") for n in seen.groups.sizes.tolist()]
    method = [f"least on {number}, no bound for the whole film" for number in fields]
    return only_values(
        seen.groups.least(seen.films["thickness_min_um"]), method, [""] * len(method)
    )


def _diameter_mean(seen: _Sections) -> ManyFound:
    return _without_cut(seen, pore_sizes.number_means(seen.whole))


def _diameter_quantile(share: float) -> Callable[[_Sections], ManyFound]:
    def find(seen: _Sections) -> ManyFound:
        return _without_cut(seen, pore_sizes.quantiles(seen.whole, share))

    return find


def _volume_mean(seen: _Sections) -> ManyFound:
    return _without_cut(seen, pore_sizes.volume_weighted(seen.whole))


def _without_cut(seen: _Sections, found: ManyFound) -> ManyFound:
    cut = (seen.of_pores.sizes - seen.whole.groups.sizes).tolist()
    flags = [
        "; ".join(
            filter(
                None,
                (one, f"{counted(n, 'pore')} cut by the picture's edge left out of the sizes"),
            )
        )
        if n
        else one
        for one, n in zip(found.flags, cut, strict=True)
    ]
    return replace(found, flags=flags)


def _spheres(seen: _Sections) -> PoreSpheres:
    """Return the spheres behind the whole pores that are large enough to be counted everywhere."""
    unseen_um = seen.groups.most(seen.films["smallest_pore_um"])
    large = seen.pores["diameter_um"].to_numpy(dtype=float) >= unseen_um[seen.of_pores.of_row]
    pores = seen.those(~seen.is_cut & large)
    share = pores.groups.sizes / np.maximum(seen.whole.groups.sizes, 1)
    of_units = (seen.units, seen.counted, seen.area)
    classes, least = seen.choices.size_classes, seen.choices.least_pores
    return PoreSpheres(pores, *of_units, share, unseen_um, classes, least)


def _largest(seen: _Sections) -> ManyFound:
    groups, fields = seen.of_pores, seen.pores["field"].to_numpy(dtype=object)
    diameters, thickness = (
        seen.pores[name].to_numpy(dtype=float) for name in ("diameter_um", "thickness_um")
    )
    share = 100 * diameters / thickness
    largest = groups.most(share)
    is_it = (share == largest[groups.of_row]) & (groups.of_row >= 0)
    place = np.full(groups.count, -1, dtype=np.intp)
    rows = np.flatnonzero(is_it)[::-1]  # the first of several is written last, and stays
    place[groups.of_row[rows]] = rows
    method, flags, reason = [], [], []
    for row in place.tolist():
        field = fields[row] if row >= 0 else ""
        method.append(f"diameter over mean thickness of the film, field {field}")
        at_edge = row >= 0 and seen.is_cut[row]
        flags.append("that pore is cut by the picture's edge: it is larger" if at_edge else "")
        reason.append("" if row >= 0 else NO_PORE)
    return replace(only_values(np.where(place < 0, math.nan, largest), method, reason), flags=flags)


def _near_substrate(seen: _Sections) -> ManyFound:
    limit_um = seen.choices.near_substrate_um
    near = (seen.pores["substrate_distance_um"] <= limit_um).to_numpy(dtype=float)
    parts, owner = seen.of_pores.parted(seen.those(np.ones(len(near), dtype=bool)).units)
    units = RowGroups(owner, seen.of_pores.count)
    method = f"share by number within {limit_um:g} um of the substrate"
    found = seen.percents(parts.sum(near), parts.sizes, units, method)
    return replace(found, reason=np.where(units.sizes == 0, NO_PORE, "").tolist())


_QUANTITIES: tuple[tuple[str, str, Callable[[_Sections], ManyFound]], ...] = (
    ("void_fraction", "%", _void_fraction),
    ("pores_per_area", "1/mm2", _per_area),
    ("section_thickness", "um", _thickness),
    ("section_thickness_least", "um", _thinnest),
    ("pore_diameter_mean", "um", _diameter_mean),
    ("pore_diameter_median", "um", _diameter_quantile(0.5)),
    ("pore_diameter_d90", "um", _diameter_quantile(0.9)),
    ("pore_diameter_volume_mean", "um", _volume_mean),
    ("largest_pore_share", "%", _largest),
    ("pores_near_substrate", "%", _near_substrate),
)
