"""Pull-off adhesion (ISO 4624): strength, glue failures as lower bounds, and where it failed.

For each panel, each batch, and each coat system, of a batch and of all batches together. Where a
batch or a coat system has several panels, intervals rest on the panels: determinations of one panel
have more in common than those of two.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tiecoat.contract.choices import Choices, PullOffChoices
from tiecoat.evaluate.adhesion import strengths
from tiecoat.evaluate.adhesion.determinations import Determinations, determinations_of
from tiecoat.evaluate.adhesion.failure_sites import CLASSES, by_class, mean_shares, sites_of
from tiecoat.evaluate.adhesion.strengths import StrengthGroups
from tiecoat.evaluate.estimate import Estimate, NotDeterminable
from tiecoat.evaluate.grouping import Bools, Floats, RowGroups, Whole, groups_of, numbered
from tiecoat.evaluate.ledger import Ledger
from tiecoat.evaluate.statistics.outliers import grubbs_of
from tiecoat.evaluate.statistics.replicates import ManyFound, without_flags
from tiecoat.remarks import parts_of
from tiecoat.wording import counted

ISO_4624_LEAST = 6
GRUBBS = "grubbs_statistic"
KEPT = " is an outlier (Grubbs) and is kept"  # ends the flag of an outlier
FAR_APART_D = 7  # determinations from more than a week are told; common practice, no source
ROUNDING_PERCENT = 0.1  # of shares: the notation lets three thirds be written as 33.3 %
GRUBBS_METHOD = "Grubbs, two-sided 5 %, of those no lower bounds"


def compute(frames: Mapping[str, pd.DataFrame], choices: Choices) -> pd.DataFrame:
    """Return the results of pull-off tests.

    Quantities: determinations, lower_bounds; strength_mean, strength_sd, strength_mean_censored,
    strength_sd_censored, strength_median in MPa; strength_cv in %; grubbs_statistic for each
    panel; failure_share of each place, failure_adhesive, failure_cohesive and failure_glue in %
    of the area.

    Parameters
    ----------
    frames
        `pull_off` and `panels`, as the archive gives them.
    choices
        What the laboratory has set.
    """
    ledger = Ledger()
    rows = marked(frames["pull_off"], choices.pull_off)
    system_of = dict(zip(frames["panels"]["panel"], frames["panels"]["coat_system"], strict=True))
    every, places = determinations_of(rows)
    told = _pooled(rows, every, system_of)
    if told.strengths.groups.count:
        odd = _tell_outliers(ledger, told, choices.pull_off.least_determinations)
        _tell_counts(ledger, told, choices.pull_off)
        _tell_strengths(ledger, told, _cautions(told, choices.pull_off, odd))
        _tell_failures(ledger, told, places)
    _tell_unregistered(ledger, rows, system_of)
    return ledger.table()


@dataclass(frozen=True)
class PanelNote:
    """What is to know of the determinations of a panel: too few, or one that lies far out.

    `outlier` names the latter, "" of too few.
    """

    words: str
    outlier: str = ""


def panel_notes(results: pd.DataFrame, choices: PullOffChoices) -> list[PanelNote]:
    """Return what the results of some panels say of their determinations, each once.

    Parameters
    ----------
    results
        Rows that `compute` returned.
    """
    of_panels = results[results["panel"] != ""]
    counts = of_panels.loc[of_panels["quantity"] == "determinations", "value"]
    few = (_too_few(int(n), choices) for n in counts)
    outliers = of_panels[(of_panels["quantity"] == GRUBBS) & (of_panels["measurement"] != "")]
    flags = (flag for flags in outliers["flags"] for flag in parts_of(str(flags)))
    names = (flag.removesuffix(KEPT) for flag in flags if flag.endswith(KEPT))
    notes = [*map(PanelNote, filter(None, few)), *(PanelNote(name + KEPT, name) for name in names)]
    return list(dict.fromkeys(notes))


def marked(frame: pd.DataFrame, choices: PullOffChoices) -> pd.DataFrame:
    """Return the determinations with area_mm2, what failed in %, and is_bound: a lower bound."""
    classes = by_class(sites_of(frame["failure"]))
    at_least = choices.lower_bound_glue_percent - ROUNDING_PERCENT
    return pd.concat([frame, classes], axis=1).assign(
        area_mm2=np.pi * frame["dolly_diameter_mm"] ** 2 / 4,
        is_bound=classes["glue"] >= at_least,
    )


@dataclass(frozen=True)
class _Pooled:
    """All groups of determinations, and what tells each from the others; "" where nothing does."""

    strengths: StrengthGroups
    batch: list[str]
    panel: list[str]
    condition: list[str]

    @property
    def keys(self) -> dict[str, list[str]]:
        return {"batch": self.batch, "panel": self.panel}


def _pooled(rows: pd.DataFrame, every: Determinations, system_of: Mapping[str, str]) -> _Pooled:
    """Return the panels, then the batches, then the coat systems: of each batch, and of several."""
    known = rows[["batch", "panel"]].assign(system=rows["panel"].map(system_of))
    batches = numbered(known["batch"])[0]
    positions, sizes, keys = [], [], []
    for by in (["batch", "panel"], ["batch"], ["batch", "system"], ["system"]):
        groups, named = groups_of(known, by)
        several = ("batch" in by) | (groups.distinct(batches) > 1)
        positions.append(groups.order[several[groups.of_row[groups.order]]])
        sizes.append(groups.sizes[several])
        keys.append(named[several])
    together = np.concatenate(sizes)
    number = np.repeat(np.arange(len(together)), together)
    of_all = pd.concat(keys, ignore_index=True)
    batch, panel, system = (
        [one if isinstance(one, str) else "" for one in of_all[name].tolist()]
        for name in ("batch", "panel", "system")
    )
    return _Pooled(
        StrengthGroups(every.at(np.concatenate(positions)), RowGroups(number, len(together))),
        batch,
        panel,
        [f"coat system: {one}" if one else "" for one in system],
    )


def _cautions(told: _Pooled, choices: PullOffChoices, odd: Mapping[int, str]) -> list[str]:
    """Say of each group what weakens its mean; `odd` are the outliers by the number of a panel."""
    groups, rows = told.strengths.groups, told.strengths.rows
    batches = groups.distinct(pd.factorize(rows.batch)[0])
    least, most = (one(rows.dolly_diameter_mm) for one in (groups.least, groups.most))
    days = _days_apart(rows.measured_at, groups)
    outliers = _outliers(rows.panel_number, groups, odd)
    unstated = groups.sum(~rows.is_stated).astype(int).tolist()
    found = []
    for place, n in enumerate(groups.sizes.tolist()):
        flags = [few] if (few := _too_few(n, choices)) else []
        if not told.batch[place]:
            flags.append(f"{batches[place]} batches together")
        if least[place] < most[place]:
            dollies = np.unique(rows.dolly_diameter_mm[groups.positions[place]]).tolist()
            flags.append(f"dollies of {' and '.join(f'{one:g}' for one in dollies)} mm together")
        if unstated[place]:
            flags.append(_not_stated(unstated[place]))
        if days[place] > FAR_APART_D:
            flags.append(f"determinations from {days[place]:.0f} days together")
        found.append("; ".join([*flags, *outliers.get(place, ())]))
    return found


def _not_stated(n: int) -> str:
    return (
        f"{counted(n, 'determination')} without a place of failure:"
        " a lower bound if the glue failed"
    )


def _days_apart(times: NDArray[np.datetime64], groups: RowGroups) -> Floats:
    """Return how many whole days lie between the first and the last of each group."""
    unknown, since = np.isnat(times), times.astype(np.int64).astype(float)
    first = groups.least(np.where(unknown, np.inf, since))
    last = groups.most(np.where(unknown, -np.inf, since))
    day = np.timedelta64(1, "D") / np.timedelta64(1, "us")
    return np.where(last >= first, last - first, 0.0) // day


def _outliers(panels: Whole, groups: RowGroups, odd: Mapping[int, str]) -> dict[int, list[str]]:
    """Return the outliers of the panels of each group that has some, in the order of its rows."""
    rows = np.flatnonzero(np.isin(panels, list(odd)))
    found: dict[int, list[str]] = {}
    pairs = zip(groups.of_row[rows].tolist(), panels[rows].tolist(), strict=True)
    for group, panel in dict.fromkeys(pairs):
        found.setdefault(group, []).append(odd[panel])
    return found


def _too_few(n: int, choices: PullOffChoices) -> str:
    least = choices.least_determinations
    if n >= least:
        return ""
    who = "ISO 4624 asks" if least == ISO_4624_LEAST else "the settings ask"
    return f"{counted(n, 'determination')}, where {who} for at least {least}"


def _tell_counts(ledger: Ledger, told: _Pooled, choices: PullOffChoices) -> None:
    limit = f"{choices.lower_bound_glue_percent:g} %"
    glue = f"{limit} of the area or more failed in the glue; common practice, no source"
    groups, count = told.strengths, told.strengths.groups.count
    none = np.full(count, np.nan)
    on = [f"on {counted(m, 'panel')}" for m in groups.panels.tolist()]
    few = [_too_few(n, choices) for n in groups.n.tolist()]
    for quantity, number, method, flags in (
        ("determinations", groups.n, on, few),
        ("lower_bounds", groups.bounds, [glue] * count, None),
    ):
        found = without_flags(number.astype(float), none, (none, none), method)
        _add(ledger, told, quantity, "", found, flags=flags)


def _tell_strengths(ledger: Ledger, told: _Pooled, cautions: list[str]) -> None:
    groups = told.strengths
    means, deviations = strengths.censored(groups)
    for quantity, unit, found in (
        ("strength_mean", "MPa", strengths.mean(groups)),
        ("strength_sd", "MPa", strengths.spread(groups)),
        ("strength_cv", "%", strengths.variation(groups)),
        ("strength_mean_censored", "MPa", means),
        ("strength_sd_censored", "MPa", deviations),
        ("strength_median", "MPa", strengths.median_strength(groups)),
    ):
        flags = cautions if "mean" in quantity else None
        _add(ledger, told, quantity, unit, found, flags=flags)


def _tell_outliers(ledger: Ledger, told: _Pooled, least: int) -> dict[int, str]:
    """Tell of each panel the strength farthest out; return the flags of outliers by its number.

    Of fewer than the least number of determinations none is said to be one.
    """
    groups, rows = told.strengths.groups, told.strengths.rows
    of_panel = np.array([panel != "" for panel in told.panel], dtype=np.bool_)
    tested = np.flatnonzero(of_panel[groups.of_row] & ~rows.is_bound)
    certain = RowGroups(groups.of_row[tested], int(of_panel.sum()))  # they stand first
    odd: dict[int, str] = {}
    for place, test in enumerate(grubbs_of(rows.strength_mpa[tested], certain)):
        n, flag, method = int(certain.sizes[place]), "", GRUBBS_METHOD
        keys = {"batch": told.batch[place], "panel": told.panel[place]}
        if isinstance(test, NotDeterminable):
            ledger.add(GRUBBS, "", keys, test, method=method, n=n)
            continue
        method += f"; an outlier above {test.critical:.3f}, rounding of the readings allowed for"
        if n < least:
            method += f"; none is told of fewer than {least}"
        elif test.is_outlier:
            at = tested[certain.positions[place][test.position]]
            keys["measurement"] = rows.measurement[at]
            flag = (
                f"determination {rows.determination[at]:g} of {rows.panel[at]}"
                f" ({rows.strength_mpa[at]:.3g} MPa){KEPT}"
            )
            odd[int(rows.panel_number[at])] = flag
        ledger.add(GRUBBS, "", keys, Estimate(test.statistic), method=method, flags=flag, n=n)
    return odd


def _tell_failures(ledger: Ledger, told: _Pooled, places: Sequence[str]) -> None:
    """Tell the share of adhesive, cohesive and glue failure, and of each place, where stated."""
    stated = told.strengths.rows.is_stated
    rows = told.strengths.rows.at(stated)
    groups = RowGroups(told.strengths.groups.of_row[stated], told.strengths.groups.count)
    several = groups.distinct(rows.panel_number) > 1
    units = np.where(several[groups.of_row], rows.panel_number, rows.measurement_number)
    method = [
        f"share of the area; {'panels' if many else 'determinations'} as unit"
        for many in several.tolist()
    ]
    parts = [
        *((f"failure_{name}", "") for name in CLASSES),
        *(("failure_share", one) for one in places),
    ]
    shares = mean_shares(rows.failed_percent, rows.area_mm2, units, groups)
    none = np.full(groups.count, np.nan)
    for (quantity, place), percent, share in zip(parts, rows.failed_percent.T, shares, strict=True):
        found = without_flags(share.value, share.standard_error, (none, none), method)
        some = groups.sum(percent != 0) > 0  # else nothing of this group failed there
        wanted = some if place else groups.sizes > 0
        _add(ledger, told, quantity, "%", found, place=place, n=groups.sizes, wanted=wanted)


def _tell_unregistered(ledger: Ledger, rows: pd.DataFrame, system_of: Mapping[str, str]) -> None:
    """Say of which panels no coat system is known."""
    unknown = rows[~rows["panel"].isin(list(system_of))]
    for batch, part in unknown.groupby("batch", sort=True):
        panels = ", ".join(sorted(part["panel"].unique()))
        why = NotDeterminable(f"not in the register, so without a coat system: {panels}")
        condition = "coat system: unknown"
        ledger.add(
            "strength_mean", "MPa", {"batch": str(batch)}, why, condition=condition, n=len(part)
        )


def _add(
    ledger: Ledger,
    told: _Pooled,
    quantity: str,
    unit: str,
    found: ManyFound,
    *,
    place: str = "",
    n: Whole | None = None,
    flags: list[str] | None = None,
    wanted: Bools | None = None,
) -> None:
    condition = told.condition
    if place:
        condition = [f"{place}; {one}" if one else place for one in condition]
    ledger.add_many(
        quantity,
        unit,
        told.keys,
        found,
        condition=condition,
        n=told.strengths.n if n is None else n,
        flags=flags,
        wanted=wanted,
    )
