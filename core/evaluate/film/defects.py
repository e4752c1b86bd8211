"""Films before a lamp: defects for each dm², their size, and the waves of the brightness.

For each panel and each batch. What was counted can be seen on the picture (`tiecoat overlay`): look
at it before a decision rests on these numbers, which are an aid to the person who judges the panel.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache, cached_property

import numpy as np
import pandas as pd
from scipy.special import bdtr

from tiecoat.evaluate.choices import DefectCountChoices
from tiecoat.evaluate.estimate import Estimate, NotDeterminable
from tiecoat.evaluate.grouping import grouped
from tiecoat.evaluate.ledger import Ledger
from tiecoat.evaluate.statistics import replicates
from tiecoat.evaluate.statistics.counts import apart, dispersion, rate, weighted_rate
from tiecoat.evaluate.statistics.replicates import NO_INTERVAL, Found
from tiecoat.evaluate.statistics.stereology import ratio
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
class _PhotographGroup:
    """Photographs of a panel or a batch, and the defects on them."""

    keys: Mapping[str, str]
    films: pd.DataFrame = field(repr=False)
    regions: pd.DataFrame = field(repr=False)

    @cached_property
    def panels(self) -> int:
        """Of how many panels."""
        return int(self.films["panel"].nunique())

    @cached_property
    def joined(self) -> float:
        """By how much more defects there may be, as some touch; 1 where that is next to nothing."""
        film = float(self.films["evaluated_mm2"].sum())
        more = apart(min(float(self.regions["area_mm2"].sum()) / film, MOST_DAMAGED))
        return more if more > LEAST_JOINED else 1.0

    @cached_property
    def sums(self) -> pd.DataFrame:
        """Counts and area in dm² of each panel."""
        return self.films.groupby("panel", sort=True)[[*CLASSES.values(), ALL, "area_dm2"]].sum()

    def of_panels(self, name: str) -> tuple[pd.Series[float], pd.Series[float]]:
        """Return count and area in dm² of each panel."""
        return self.sums[name], self.sums["area_dm2"]


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
    ledger = Ledger()
    films = frames["defects"].assign(area_dm2=frames["defects"]["evaluated_mm2"] / MM2_PER_DM2)
    films[ALL] = films[list(CLASSES.values())].sum(axis=1)
    for group in _groups(films, frames["defect_regions"]):
        cautions = tuple(_cautions(group))
        for name in (*CLASSES, ALL):
            _tell_rate(ledger, group, name, cautions, choices)
            _tell_size(ledger, group, name, cautions)
        _tell_area(ledger, group, cautions)
        _tell_waves(ledger, group)
    return ledger.table()


def _groups(films: pd.DataFrame, regions: pd.DataFrame) -> Iterator[_PhotographGroup]:
    """Return the panels, then the batches."""
    of_panel, of_batch = (dict(grouped(regions, [name])) for name in ("panel", "batch"))
    for (batch, panel), positions in grouped(films, ["batch", "panel"]):
        own = regions.iloc[of_panel.get((panel,), [])]
        yield _PhotographGroup({"batch": batch, "panel": panel}, films.iloc[positions], own)
    for (batch,), positions in grouped(films, ["batch"]):
        own = regions.iloc[of_batch.get((batch,), [])]
        yield _PhotographGroup({"batch": batch}, films.iloc[positions], own)


def _cautions(group: _PhotographGroup) -> Iterator[str]:
    for column, what in TOGETHER:
        values = group.films[column]
        kept = values.map("{:.2g}".format) if column == "least_diameter_mm" else values
        if kept.nunique() > 1:
            yield what.format(" and ".join(sorted(kept.unique())))
    missing = int(group.films[ALL].sum()) - len(group.regions)
    if missing:
        yield f"{abs(missing)} defects too {'few' if missing > 0 else 'many'} in defect_regions"
    remarks = sorted({text for text in group.films["remarks"].dropna() if text})
    yield from remarks


def _tell_rate(
    ledger: Ledger,
    group: _PhotographGroup,
    name: str,
    cautions: tuple[str, ...],
    choices: DefectCountChoices,
) -> None:
    column = CLASSES.get(name, ALL)
    found, interval = rate(group.films[column], group.films["area_dm2"])
    number, area = int(group.films[column].sum()), float(group.films["area_dm2"].sum())
    on = f"{number} on {area:.3g} dm2, {counted(found.n, 'photograph')}"
    flags, several = list(cautions), group.panels > 1
    uneven: Found | NotDeterminable
    try:
        value, chance = dispersion(*group.of_panels(column))
        method = "chi-squared over degrees of freedom, panels as unit; 1 for independent defects"
        uneven = Found(Estimate(value), f"{method}; p = {chance:.2g}", (), NO_INTERVAL)
        if chance < choices.differ_below:
            flags.append("panels differ by more than chance: the Poisson interval is too narrow")
    except NotDeterminable as why:
        uneven = why
    more = group.joined
    poisson = Found(
        found,
        _allowing(f"{on}; exact Poisson interval (Garwood)", more),
        tuple(flags),
        (interval[0], interval[1] * more),
    )
    _add(ledger, group, ("defects_per_dm2", "1/dm2"), poisson, name)
    if several:
        over = _over_panels(group, column, cautions)
        _add(ledger, group, ("defects_per_dm2_over_panels", "1/dm2"), over, name)
        _add(ledger, group, ("defects_dispersion", ""), uneven, name, n=group.panels)


def _over_panels(group: _PhotographGroup, column: str, cautions: tuple[str, ...]) -> Found:
    """Return the rate with the panels as unit, no surer than independent defects would let it be.

    A few counts may agree by chance: their spread alone would give an interval of no width.
    """
    counts, areas = group.of_panels(column)
    found = ratio(counts, areas)
    if not counts.sum():
        return Found(
            found, OVER_PANELS, (*cautions, "no interval: nothing was counted"), NO_INTERVAL
        )
    least = math.sqrt(float(counts.sum())) / float(areas.sum())
    error = max(least, 0.0 if math.isnan(found.standard_error) else found.standard_error)
    sure = Estimate(found.value, error, group.panels - 1, group.panels)
    low, high = sure.interval
    more = group.joined
    return Found(sure, _allowing(OVER_PANELS, more), cautions, (max(low, 0.0), high * more))


def _allowing(method: str, more: float) -> str:
    return f"{method}; {JOINED}" if more > 1 else method


def _tell_size(
    ledger: Ledger, group: _PhotographGroup, name: str, cautions: tuple[str, ...]
) -> None:
    chosen = group.regions if name == ALL else group.regions[group.regions["defect_class"] == name]
    found: Found | NotDeterminable
    try:
        found = _median(chosen["diameter_mm"], cautions)
    except NotDeterminable as why:
        found = why
    _add(ledger, group, ("defect_diameter_median", "mm"), found, name, n=len(chosen))


def _median(diameters: pd.Series[float], cautions: tuple[str, ...]) -> Found:
    """Return the median with its distribution-free interval, by the binomial distribution.

    Its ends lie as many ordered diameters from the least and the greatest as `_beyond` gives.
    """
    n = len(diameters)
    if not n:
        raise NotDeterminable("nothing was counted")
    ordered = np.sort(diameters.to_numpy(dtype=float))
    estimate = Estimate(float(np.median(ordered)), n=n)
    beyond = _beyond(n)
    if not beyond:
        few = "no interval: it takes 6 defects"
        return Found(estimate, "of those counted", (*cautions, few), NO_INTERVAL)
    method = "of those counted; interval by order statistics, defects as unit"
    return Found(
        estimate, method, cautions, (float(ordered[beyond - 1]), float(ordered[n - beyond]))
    )


@cache
def _beyond(n: int) -> int:
    """Return the place from each end of n ordered values that the interval of the median has.

    It is the greatest k with P(X < k) of at most 2.5 %, X binomial of n with chance one half; 0 for
    none. scipy's `quantile_test` takes the same.
    """
    below = bdtr(np.arange(n), n, 0.5)
    return int((below <= 0.025).sum())


def _tell_area(ledger: Ledger, group: _PhotographGroup, cautions: tuple[str, ...]) -> None:
    """Tell the share of the film that defects take, with the interval of Fay and Feuer.

    Of several panels the interval by t over the panels counts where it reaches farther.
    """
    areas = float(group.films["evaluated_mm2"].sum())
    each = group.regions["area_mm2"]
    share = Estimate(100 * float(each.sum()) / areas, n=len(group.films))
    method = "area of all defects over that of the film"
    try:
        low, high = weighted_rate(each, areas)
    except NotDeterminable as why:
        found = Found(share, method, (*cautions, f"no interval: {why}"), NO_INTERVAL)
    else:
        method = f"{method}; interval of Fay and Feuer, defects as unit"
        if group.panels > 1:
            by_panel = group.films.groupby("panel", sort=True)["evaluated_mm2"].sum()
            damaged = each.groupby(group.regions["panel"]).sum()
            between = ratio(damaged.reindex(by_panel.index, fill_value=0.0), by_panel).interval
            low, high = np.fmin(low, max(between[0], 0.0)), np.fmax(high, between[1])
            method = f"{method}; or by t over the panels where that is wider"
        few = f"rests on few defects, {len(each)}: the interval is rough"
        flags = (*cautions, few) if len(each) < FEW_DEFECTS else cautions
        found = Found(share, method, flags, (100 * float(low), min(100 * float(high), 100.0)))
    _add(ledger, group, ("defect_area", "%"), found, ALL)


def _tell_waves(ledger: Ledger, group: _PhotographGroup) -> None:
    for band, column in WAVES.items():
        seen = group.films[np.isfinite(group.films[column])]
        found: Found | NotDeterminable
        if len(seen):
            mean = replicates.mean(seen[column], seen["panel"], "photograph")
            method = f"root-mean-square of brightness, Fourier transform; {mean.method}"
            found = Found(mean.estimate, method, (RELATIVE, *mean.flags), mean.interval)
        else:
            found = NotDeterminable(NOT_SEEN)
        _add(ledger, group, ("brightness_waves", "%"), found, band, n=len(seen))


def _add(
    ledger: Ledger,
    group: _PhotographGroup,
    quantity: tuple[str, str],
    found: Found | NotDeterminable,
    condition: str,
    *,
    n: int | None = None,
) -> None:
    name, unit = quantity
    if isinstance(found, NotDeterminable):
        ledger.add(name, unit, group.keys, found, condition=condition, n=n)
        return
    ledger.add(
        name,
        unit,
        group.keys,
        found.estimate,
        condition=condition,
        method=found.method,
        flags="; ".join(flag for flag in found.flags if flag),
        interval=found.interval,
        n=n,
    )
