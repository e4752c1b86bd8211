"""Films before a lamp: defects for each dm², their size, and the waves of the brightness.

For each panel and each batch. What was counted can be seen on the picture (`tiecoat overlay`): look
at it before a decision rests on these numbers, which are an aid to the person who judges the panel.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.special import bdtr

from tiecoat.evaluate.choices import DefectCountChoices
from tiecoat.evaluate.estimate import t_factors
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
from tiecoat.evaluate.result import results, together
from tiecoat.evaluate.statistics import replicates
from tiecoat.evaluate.statistics.counts import NOTHING, apart, dispersions, rates, weighted_rates
from tiecoat.evaluate.statistics.stereology import ratios
from tiecoat.wording import counted

CLASSES = {
    "pinhole": "pinholes",
    "crater": "craters",
    "bare spot": "bare_spots",
    "thin spot": "thin_spots",
}
WAVES = {
    "0.3 to 1 mm": "waves_0_3_to_1_mm_percent",
    "1 to 3 mm": "waves_1_to_3_mm_percent",
    "3 to 10 mm": "waves_3_to_10_mm_percent",
    "10 to 30 mm": "waves_10_to_30_mm_percent",
}
MM2_PER_DM2 = 1e4
ALL = "all classes"
RELATIVE = "relative: it compares photographs of one lamp, camera, exposure and distance only"
UNEVEN = "panels differ by more than chance: the Poisson interval is too narrow"
OVER_PANELS = (
    "sum of counts over sum of areas; interval by t, panels as unit,"
    " with no less than the Poisson error"
)
JOINED = "upper end for those that touch and count as one, if they lie at random"
LEAST_JOINED = 1.01  # less is lost in the interval
MOST_DAMAGED = 0.25  # beyond, nothing is known of how many touch
FEW_DEFECTS = 20  # below, the interval of their area was measured to be too narrow
NOT_SEEN = "film too small, or pixels too large, for these wavelengths"
TOGETHER = (
    ("least_diameter_mm", "smallest defects counted of {} mm together: rates do not compare"),
    ("parameters", "photographs read with different limits together"),
)


@dataclass(frozen=True)
class _Photographs:
    """Photographs of many panels or batches, and the defects on them.

    Parameters
    ----------
    keys
        Of each panel or batch.
    films, groups
        A row for each photograph, and whose it is.
    regions, of_regions
        A row for each defect, and whose it is.
    """

    keys: pd.DataFrame
    films: pd.DataFrame
    groups: RowGroups
    regions: pd.DataFrame
    of_regions: RowGroups

    @cached_property
    def area_dm2(self) -> Floats:
        """The film of each photograph."""
        return self.film("evaluated_mm2") / MM2_PER_DM2

    @cached_property
    def panels(self) -> Whole:
        """The number of the panel of each photograph, and after these of each defect."""
        return numbered(pd.concat([self.films["panel"], self.regions["panel"]]))[0]

    @cached_property
    def of_panels(self) -> tuple[RowGroups, RowGroups]:
        """The photographs of each panel, and the panels of each batch."""
        parts, owner = self.groups.parted(self.panels[: len(self.films)])
        return parts, RowGroups(owner, self.groups.count)

    @cached_property
    def several(self) -> NDArray[np.bool_]:
        """Which are of several panels."""
        return self.of_panels[1].sizes > 1

    @cached_property
    def damaged(self) -> Floats:
        """The area of all defects, in mm2."""
        return self.of_regions.sum(self.regions["area_mm2"])

    @cached_property
    def joined(self) -> Floats:
        """By how much more defects there may be, as some touch; 1 where that is next to nothing."""
        film = self.groups.sum(self.film("evaluated_mm2"))
        more = apart(np.minimum(self.damaged / film, MOST_DAMAGED))
        return np.where(more > LEAST_JOINED, more, 1.0)

    @cached_property
    def counted_from(self) -> list[str]:
        """From which size on was counted, of several photographs the coarsest."""
        least = self.groups.most(self.film("least_diameter_mm"))
        return [f"counted from {one:.2g} mm on" for one in least.tolist()]

    @cached_property
    def cautions(self) -> list[tuple[str, ...]]:
        """What weakens the results of each."""
        return list(map(tuple, _cautions(self)))

    def film(self, name: str) -> Floats:
        """Return a column of the photographs."""
        return self.films[name].to_numpy(dtype=float)


def compute(frames: Mapping[str, pd.DataFrame], choices: DefectCountChoices) -> pd.DataFrame:
    """Return the results of photographs in transmitted light.

    Quantities: defects_per_dm2 with its exact Poisson interval, of each class and of all; of
    batches with several panels also defects_per_dm2_over_panels with the panels as unit, and
    defects_dispersion; defect_area in % of the film, defect_diameter_median in mm, and
    brightness_waves in % for bands of wavelength.

    Parameters
    ----------
    frames
        `defects` and `defect_regions`, as the archive gives them.
    choices
        What the laboratory has set.
    """
    films = frames["defects"]
    films = films.assign(**{ALL: films[list(CLASSES.values())].sum(axis=1)})
    tables: list[pd.DataFrame] = []
    for by in (["batch", "panel"], ["batch"]):
        groups, keys = groups_of(films, by)
        regions = frames["defect_regions"]
        seen = _Photographs(keys, films, groups, regions, members_of(keys, regions))
        for name in (*CLASSES, ALL):
            tables += _rates(seen, name, choices)
            tables.append(_sizes(seen, name))
        tables += [_areas(seen), *_waves(seen)]
    return together(tables)


def _cautions(seen: _Photographs) -> Iterator[Iterator[str]]:
    together_in = []
    for column, what in TOGETHER:
        values = seen.films[column]
        kept = values.map("{:.2g}".format) if column == "least_diameter_mm" else values
        found = distinct_values(seen.groups, kept)
        together_in.append(
            [what.format(" and ".join(one)) if len(one) > 1 else "" for one in found]
        )
    counts = seen.groups.sum(seen.film(ALL)).astype(int)
    missing = (counts - seen.of_regions.sizes).tolist()
    lacking = [
        f"{abs(n)} defects too {'few' if n > 0 else 'many'} in defect_regions" if n else ""
        for n in missing
    ]
    remarks = distinct_values(seen.groups, seen.films["remarks"])
    for *of_all, own in zip(*together_in, lacking, remarks, strict=True):
        yield filter(None, (*of_all, *own))


def _rates(seen: _Photographs, name: str, choices: DefectCountChoices) -> Iterator[pd.DataFrame]:
    """Return the rates of a class; of several panels also with these as unit."""
    counts, at = seen.film(CLASSES.get(name, ALL)), {"condition": name}
    found = rates(counts, seen.area_dm2, seen.groups)
    photographs, units = seen.of_panels
    of_panels = photographs.sum(counts), photographs.sum(seen.area_dm2)
    value, chance, reason = dispersions(*of_panels, units)
    uneven = chance < choices.differ_below
    more = np.where(seen.joined > 1, JOINED, "").tolist()
    n, number = seen.groups.sizes, seen.groups.sum(counts).astype(int)
    area = seen.groups.sum(seen.area_dm2)
    told = zip(number.tolist(), area.tolist(), n.tolist(), strict=True)
    on = [
        f"{number} on {area:.3g} dm2, {counted(photographs, 'photograph')}"
        for number, area, photographs in told
    ]
    exact = "exact Poisson interval (Garwood)"
    yield results(
        "defects_per_dm2",
        seen.keys,
        found.value,
        "1/dm2",
        standard_error=found.standard_error,
        low=found.low,
        high=found.high * seen.joined,
        n=n,
        method=_joined([*zip(on, seen.counted_from, [exact] * len(on), strict=True)], more),
        flags=_joined(seen.cautions, np.where(uneven, UNEVEN, "").tolist()),
        **at,
    )
    several = seen.several
    if not several.any():
        return
    yield _over_panels(seen, of_panels, units, more, at)
    method = "chi-squared over degrees of freedom, panels as unit; 1 for independent defects"
    methods = [
        "" if why else f"{method}; {least}; p = {one:.2g}"
        for one, why, least in zip(chance.tolist(), reason, seen.counted_from, strict=True)
    ]
    told_of = {"n": units.sizes, "method": methods, "reason": reason}
    yield results("defects_dispersion", seen.keys, value, "", **told_of, **at)[several]


def _over_panels(
    seen: _Photographs,
    of_panels: tuple[Floats, Floats],
    units: RowGroups,
    more: Sequence[str],
    at: Mapping[str, str],
) -> pd.DataFrame:
    """Return the rates with the panels as unit, no surer than independent defects would let it be.

    A few counts may agree by chance: their spread alone would give an interval of no width.
    """
    found, number = ratios(*of_panels, units), units.sum(of_panels[0])
    none = number == 0
    least = np.sqrt(number) / units.sum(of_panels[1])
    error = np.where(none, found.standard_error, np.fmax(least, found.standard_error))
    half = np.where(none, math.nan, t_factors(units.sizes - 1) * error)
    flag = np.where(none, "no interval: nothing was counted", "").tolist()
    table = results(
        "defects_per_dm2_over_panels",
        seen.keys,
        found.value,
        "1/dm2",
        standard_error=error,
        low=np.fmax(found.value - half, np.where(none, math.nan, 0.0)),
        high=(found.value + half) * seen.joined,
        n=units.sizes,
        method=_joined(
            [(OVER_PANELS, one) for one in seen.counted_from], np.where(none, "", more).tolist()
        ),
        flags=_joined(seen.cautions, flag),
        **at,
    )
    return table[seen.several]


def _joined(cautions: Sequence[Sequence[str]], more: Sequence[str]) -> list[str]:
    """Return what is said of each of all its results, and one more, "" for none."""
    both = zip(cautions, more, strict=True)
    return ["; ".join(filter(None, (*of_all, own))) for of_all, own in both]


def _sizes(seen: _Photographs, name: str) -> pd.DataFrame:
    """Return the median diameters of a class with their distribution-free intervals.

    By the binomial distribution: its ends lie as many ordered diameters from the least and the
    greatest as `_beyond` gives.
    """
    chosen = seen.of_regions
    if name != ALL:
        own = (seen.regions["defect_class"] == name).to_numpy(dtype=bool)
        chosen = RowGroups(np.where(own, chosen.of_row, -1), chosen.count)
    diameters, n = seen.regions["diameter_mm"].to_numpy(dtype=float), chosen.sizes
    order = np.lexsort((diameters, chosen.of_row))[int((chosen.of_row < 0).sum()) :]
    ordered = np.append(diameters[order], math.nan)  # the last stands for none
    start, beyond = chosen.ends - n, np.array([_beyond(one) for one in n.tolist()], dtype=np.intp)

    def at(place: Whole, known: NDArray[np.bool_]) -> Floats:
        return ordered[np.where(known, start + place, -1)]

    middle = (at((n - 1) // 2, n > 0) + at(n // 2, n > 0)) / 2
    few = np.where(beyond > 0, "", "no interval: it takes 6 defects").tolist()
    surely = np.where(beyond > 0, "interval by order statistics, defects as unit", "").tolist()
    method = _joined([("of those counted", one) for one in seen.counted_from], surely)
    return results(
        "defect_diameter_median",
        seen.keys,
        middle,
        "mm",
        low=at(beyond - 1, beyond > 0),
        high=at(n - beyond, beyond > 0),
        n=n,
        condition=name,
        method=np.where(n == 0, "", method),
        flags=np.where(n == 0, "", _joined(seen.cautions, few)),
        reason=np.where(n == 0, NOTHING, ""),
    )


@cache
def _beyond(n: int) -> int:
    """Return the place from each end of n ordered values that the interval of the median has.

    It is the greatest k with P(X < k) of at most 2.5 %, X binomial of n with chance one half; 0 for
    none. scipy's `quantile_test` takes the same.
    """
    below = bdtr(np.arange(n), n, 0.5)
    return int((below <= 0.025).sum())


def _areas(seen: _Photographs) -> pd.DataFrame:
    """Return the share of the film that defects take, with the interval of Fay and Feuer.

    Of several panels the interval by t over the panels counts where it reaches farther.
    """
    areas, n = seen.groups.sum(seen.film("evaluated_mm2")), seen.of_regions.sizes
    low, high = weighted_rates(seen.regions["area_mm2"], areas, seen.of_regions)
    between_low, between_high = _between_panels(seen)
    wider = seen.several & (n > 0)
    low = np.where(wider, np.fmin(low, np.fmax(between_low, 0.0)), low)
    high = np.where(wider, np.fmax(high, between_high), high)
    method = "area of all defects over that of the film"
    sure = f"{method}; interval of Fay and Feuer, defects as unit"
    widest = f"{sure}; or by t over the panels where that is wider"
    few = [
        f"rests on few defects, {count}: the interval is rough" if 0 < count < FEW_DEFECTS else ""
        for count in n.tolist()
    ]
    return results(
        "defect_area",
        seen.keys,
        100 * seen.damaged / areas,
        "%",
        low=100 * low,
        high=np.minimum(100 * high, 100.0),
        n=seen.groups.sizes,
        condition=ALL,
        method=_joined(
            [(one,) for one in np.where(n == 0, method, np.where(wider, widest, sure)).tolist()],
            seen.counted_from,
        ),
        flags=_joined(seen.cautions, np.where(n == 0, f"no interval: {NOTHING}", few).tolist()),
    )


def _between_panels(seen: _Photographs) -> tuple[Floats, Floats]:
    """Return the interval by t of the share of the film, panels as unit; NaN without spread."""
    photographs, units = seen.of_panels
    film = photographs.sum(seen.film("evaluated_mm2"))
    both = RowGroups(np.append(seen.groups.of_row, seen.of_regions.of_row), seen.groups.count)
    parts, _ = both.parted(seen.panels)
    on_films, on_defects = np.split(parts.of_row, [len(seen.films)])
    of_parts = RowGroups(on_defects, parts.count).sum(seen.regions["area_mm2"])
    damaged = of_parts[photographs.first(on_films)]
    found = ratios(damaged, film, units)
    half = t_factors(units.sizes - 1) * found.standard_error
    return found.value - half, found.value + half


def _waves(seen: _Photographs) -> Iterator[pd.DataFrame]:
    panels = seen.panels[: len(seen.films)]
    for band, column in WAVES.items():
        waves = seen.film(column)
        known = np.isfinite(waves)
        groups = RowGroups(seen.groups.of_row[known], seen.groups.count)
        mean = replicates.means(waves[known], panels[known], groups, "photograph")
        n = groups.sizes
        reason = np.where(n == 0, NOT_SEEN, "").tolist()
        method = [
            f"root-mean-square of brightness, Fourier transform; {one}" for one in mean.method
        ]
        flags = ["; ".join(filter(None, (RELATIVE, one))) for one in mean.flags]
        told = replace(mean, method=method, flags=flags, reason=reason)
        yield table_of(told, "brightness_waves", "%", seen.keys, n=n, condition=band)
