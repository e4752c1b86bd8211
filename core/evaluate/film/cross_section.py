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
from dataclasses import dataclass, field, replace
from functools import cached_property

import pandas as pd
from numpy.typing import ArrayLike

from tiecoat.evaluate.choices import CrossSectionChoices
from tiecoat.evaluate.estimate import Estimate, NotDeterminable, mean_of
from tiecoat.evaluate.film import pore_sizes
from tiecoat.evaluate.grouping import grouped
from tiecoat.evaluate.ledger import Ledger
from tiecoat.evaluate.statistics.counts import apart
from tiecoat.evaluate.statistics.replicates import NO_INTERVAL, Found, jackknife_ln
from tiecoat.evaluate.statistics.stereology import Spheres, ratio
from tiecoat.wording import counted

KEYS = ["batch", "panel", "field"]
CUT_OFF = "picture edge"
DELESSE = "Delesse: share of the area, in expectation that of the volume"
JOINED = "upper end for those that touch and count as one, if they lie at random"
MOST_VOID = 0.25  # beyond, nothing is known of how many touch
# As the upper limit stands for its class, spheres come out too large and too few: measured on
# lognormal spheres with 8 classes by 2, 5 and 9 to 18 % where they spread by 20, 35 and 50 %.
TOO_LARGE = 1.2
HALF = "pores that the picture's edge cuts count half (Jeffries)"


@dataclass(frozen=True)
class _FieldGroup:
    """Fields of view that are taken together, and their pores.

    `unit` is what varies: fields of one panel, else panels.
    """

    keys: Mapping[str, str]
    films: pd.DataFrame = field(repr=False)
    pores: pd.DataFrame = field(repr=False)
    unit: str

    @cached_property
    def whole(self) -> pd.DataFrame:
        """The pores that no edge of a picture cuts."""
        return self.pores[self.pores["touches"] != CUT_OFF]

    @cached_property
    def sums(self) -> pd.DataFrame:
        """What is added up for each unit."""
        films = self.films.assign(counted=self.films["pores"] - self.films["pores_cut"] / 2)
        columns = ["void_area_mm2", "film_area_mm2", "counted"]
        return films.groupby(self.unit, sort=True)[columns].sum()

    @cached_property
    def flags(self) -> tuple[str, ...]:
        """What weakens every result of the group."""
        return tuple(_cautions(self.films, self.pores))

    def ratio(self, tops: ArrayLike, bottoms: ArrayLike, method: str) -> Found:
        """Return a ratio of sums, with its interval over the units, not below 0."""
        found = ratio(tops, bottoms)
        method = f"{method}; {self.unit}s as unit"
        if math.isnan(found.standard_error):
            why = "no spread" if found.n > 1 else f"one {self.unit}"
            return Found(found, method, (f"no interval: {why}",), NO_INTERVAL)
        low, high = found.interval
        return Found(found, method, (), (max(low, 0.0), high))

    def percent(self, tops: ArrayLike, bottoms: ArrayLike, method: str) -> Found:
        """Return a ratio of sums in %, with its interval over the units, from 0 to 100."""
        found = self.ratio(tops, bottoms, method)
        low, high = (100 * end for end in found.interval or NO_INTERVAL)
        return replace(found, estimate=found.estimate.times(100), interval=(low, min(high, 100.0)))


def compute(frames: Mapping[str, pd.DataFrame], choices: CrossSectionChoices) -> pd.DataFrame:
    """Return the results of cross-sections.

    Quantities: void_fraction and pores_near_substrate in %, pores_per_area in 1/mm²,
    section_thickness and section_thickness_least in µm, pore_diameter_mean, _median, _d90 and
    _volume_mean in µm as the sections show them, sphere_diameter_mean in µm and spheres_per_volume
    in 1/mm³ by Saltykov, largest_pore_share in % of the film's thickness.

    Parameters
    ----------
    frames
        `cross_section` and `pores`, as the archive gives them.
    choices
        What the laboratory has set.
    """
    ledger = Ledger()
    for group in _groups(frames["cross_section"], frames["pores"]):
        for quantity, unit, find in _QUANTITIES:
            found: Found | NotDeterminable
            try:
                found = find(group, choices)
            except NotDeterminable as why:
                found = why
            _add(ledger, group, quantity, unit, found)
    return ledger.table()


def _groups(films: pd.DataFrame, pores: pd.DataFrame) -> Iterator[_FieldGroup]:
    """Return the panels, then the batches."""
    thickness = films[[*KEYS, "thickness_um"]]
    known = pores.merge(thickness, on=KEYS, validate="many_to_one")
    of_panel, of_batch = dict(grouped(known, KEYS[:2])), dict(grouped(known, KEYS[:1]))
    for key, positions in grouped(films, KEYS[:2]):
        own = known.iloc[of_panel.get(key, [])]
        yield _FieldGroup(dict(zip(KEYS, key, strict=False)), films.iloc[positions], own, "field")
    for key, positions in grouped(films, KEYS[:1]):
        part, own = films.iloc[positions], known.iloc[of_batch.get(key, [])]
        unit = "panel" if part["panel"].nunique() > 1 else "field"
        yield _FieldGroup({"batch": key[0]}, part, own, unit)


def _cautions(films: pd.DataFrame, pores: pd.DataFrame) -> Iterator[str]:
    for column, what in (
        ("smallest_pore_um", "smallest pores of {} um together"),
        ("parameters", "pictures read with different parameters together"),
    ):
        kept = films[column].round(2) if column == "smallest_pore_um" else _settings(films[column])
        if kept.nunique() > 1:
            yield what.format(" and ".join(f"{one}" for one in sorted(kept.unique())))
    missing = int(films["pores"].sum()) - len(pores)
    if missing:
        yield f"sizes and distances lack {counted(missing, 'pore')} that the archive does not have"


def _settings(parameters: pd.Series[str]) -> pd.Series[str]:
    """Return the parameters without what was found by them on each picture."""
    return parameters.str.replace(r", drawn at [0-9.]+", "", regex=True)


def _void_fraction(group: _FieldGroup, choices: CrossSectionChoices) -> Found:
    sums = group.sums
    return group.percent(sums["void_area_mm2"], sums["film_area_mm2"], DELESSE)


def _per_area(group: _FieldGroup, choices: CrossSectionChoices) -> Found:
    found = group.ratio(group.sums["counted"], group.sums["film_area_mm2"], HALF)
    if found.interval == NO_INTERVAL or found.interval is None:
        return found
    low, high = found.interval
    void = float(group.sums["void_area_mm2"].sum() / group.sums["film_area_mm2"].sum())
    high *= apart(min(void, MOST_VOID))
    return replace(found, method=f"{found.method}; {JOINED}", interval=(low, high))


def _thickness(group: _FieldGroup, choices: CrossSectionChoices) -> Found:
    found = mean_of(group.films.groupby(group.unit)["thickness_um"].mean())
    flags = () if math.isfinite(found.standard_error) else ("no interval: no spread",)
    return Found(found, f"mean of the {group.unit}s; interval by t, {group.unit}s as unit", flags)


def _thinnest(group: _FieldGroup, choices: CrossSectionChoices) -> Found:
    least = float(group.films["thickness_min_um"].min())
    method = f"least on {counted(len(group.films), 'field')}, no bound for the whole film"
    return Found(Estimate(least), method, (), NO_INTERVAL)


def _diameter_mean(group: _FieldGroup, choices: CrossSectionChoices) -> Found:
    whole = group.whole
    return _without_cut(
        group, pore_sizes.number_mean(whole["diameter_um"], whole[group.unit], group.unit)
    )


def _diameter_quantile(share: float) -> Callable[[_FieldGroup, CrossSectionChoices], Found]:
    def find(group: _FieldGroup, choices: CrossSectionChoices) -> Found:
        whole = group.whole
        return _without_cut(
            group, pore_sizes.quantile(whole["diameter_um"], share, whole[group.unit], group.unit)
        )

    return find


def _volume_mean(group: _FieldGroup, choices: CrossSectionChoices) -> Found:
    return _without_cut(group, pore_sizes.volume_weighted(group.whole["diameter_um"]))


def _without_cut(group: _FieldGroup, found: Found) -> Found:
    cut = len(group.pores) - len(group.whole)
    if not cut:
        return found
    flag = f"{counted(cut, 'pore')} cut by the picture's edge left out of the sizes"
    return replace(found, flags=(*found.flags, flag))


def _sphere_diameter(group: _FieldGroup, choices: CrossSectionChoices) -> Found:
    return _spheres(group, choices, lambda found: found.mean_diameter * 1000, (1 / TOO_LARGE, 1.0))


def _sphere_number(group: _FieldGroup, choices: CrossSectionChoices) -> Found:
    return _spheres(group, choices, lambda found: found.total, (1.0, TOO_LARGE))


def _spheres(
    group: _FieldGroup,
    choices: CrossSectionChoices,
    take: Callable[[Spheres], float],
    bias: tuple[float, float],
) -> Found:
    """Return something of the spheres, with the interval of `jackknife_ln` moved by its bias."""
    unseen_um = float(group.films["smallest_pore_um"].max())
    whole = group.whole[group.whole["diameter_um"] >= unseen_um]
    share = len(whole) / max(len(group.whole), 1)

    def behind(left: pd.Index, least: int) -> tuple[float, tuple[str, ...]]:
        sums = group.sums.loc[left]
        per_mm2 = share * float(ratio(sums["counted"], sums["film_area_mm2"]).value)
        pores = whole["diameter_um"][whole[group.unit].isin(left)]
        found, flags = pore_sizes.spheres(pores, per_mm2, choices.size_classes, least, unseen_um)
        return take(found), flags

    units = group.sums.index
    value, flags = behind(units, choices.least_pores)
    method = pore_sizes.spheres_method(choices.size_classes, unseen_um)
    try:
        without = [behind(units.drop(one), 1)[0] for one in units] if len(units) > 1 else []
        low, high = jackknife_ln(value, without)
    except NotDeterminable:
        low, high = NO_INTERVAL
    if math.isnan(low):
        flags += (f"no interval: too few {group.unit}s, or no spread",)
    else:
        method += f"; jackknife over {group.unit}s, with the bias of classes"
    interval = (low * bias[0], high * bias[1])
    return _without_cut(group, Found(Estimate(value), method, flags, interval))


def _largest(group: _FieldGroup, choices: CrossSectionChoices) -> Found:
    pores = group.pores
    if not len(pores):
        raise NotDeterminable("no pore was seen")
    share = (100 * pores["diameter_um"] / pores["thickness_um"]).reset_index(drop=True)
    place = int(share.argmax())
    at_edge = pores["touches"].iloc[place] == CUT_OFF
    flags = ("that pore is cut by the picture's edge: it is larger",) if at_edge else ()
    method = f"diameter over mean thickness of the film, field {pores['field'].iloc[place]}"
    return Found(Estimate(float(share.iloc[place])), method, flags, NO_INTERVAL)


def _near_substrate(group: _FieldGroup, choices: CrossSectionChoices) -> Found:
    pores = group.pores
    if not len(pores):
        raise NotDeterminable("no pore was seen")
    near = pores["substrate_distance_um"] <= choices.near_substrate_um
    of_units = near.groupby(pores[group.unit])
    method = f"share by number within {choices.near_substrate_um:g} um of the substrate"
    return group.percent(of_units.sum(), of_units.count(), method)


_QUANTITIES: tuple[tuple[str, str, Callable[[_FieldGroup, CrossSectionChoices], Found]], ...] = (
    ("void_fraction", "%", _void_fraction),
    ("pores_per_area", "1/mm2", _per_area),
    ("section_thickness", "um", _thickness),
    ("section_thickness_least", "um", _thinnest),
    ("pore_diameter_mean", "um", _diameter_mean),
    ("pore_diameter_median", "um", _diameter_quantile(0.5)),
    ("pore_diameter_d90", "um", _diameter_quantile(0.9)),
    ("pore_diameter_volume_mean", "um", _volume_mean),
    ("sphere_diameter_mean", "um", _sphere_diameter),
    ("spheres_per_volume", "1/mm3", _sphere_number),
    ("largest_pore_share", "%", _largest),
    ("pores_near_substrate", "%", _near_substrate),
)


def _add(
    ledger: Ledger, group: _FieldGroup, quantity: str, unit: str, found: Found | NotDeterminable
) -> None:
    if isinstance(found, NotDeterminable):
        flags = "; ".join(group.flags)
        ledger.add(quantity, unit, group.keys, found, flags=flags, n=len(group.films))
        return
    ledger.add(
        quantity,
        unit,
        group.keys,
        found.estimate,
        method=found.method,
        flags="; ".join((*found.flags, *group.flags)),
        interval=found.interval,
        n=len(group.films),
    )
