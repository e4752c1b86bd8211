"""Pull-off adhesion (ISO 4624): strength, glue failures as lower bounds, and where it failed.

For each panel, each batch, and each coat system, of a batch and of all batches together. Where a
batch or a coat system has several panels, intervals rest on the panels: determinations of one panel
have more in common than those of two.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tiecoat.contract.choices import Choices, PullOffChoices
from tiecoat.evaluate.adhesion import strengths
from tiecoat.evaluate.adhesion.determinations import determinations_of
from tiecoat.evaluate.adhesion.failure_sites import CLASSES, by_class, mean_share, sites_of
from tiecoat.evaluate.adhesion.strengths import StrengthGroup
from tiecoat.evaluate.estimate import Estimate, NotDeterminable
from tiecoat.evaluate.grouping import grouped
from tiecoat.evaluate.ledger import Ledger
from tiecoat.evaluate.statistics.outliers import grubbs
from tiecoat.evaluate.statistics.replicates import NO_INTERVAL, Found
from tiecoat.remarks import parts_of
from tiecoat.wording import counted

ISO_4624_LEAST = 6
GRUBBS = "grubbs_statistic"
KEPT = " is an outlier (Grubbs) and is kept"  # ends the flag of an outlier
FAR_APART_D = 7  # determinations from more than a week are told; common practice, no source
ROUNDING_PERCENT = 0.1  # of shares: the notation lets three thirds be written as 33.3 %

STRENGTHS = (
    ("strength_mean", "MPa", strengths.mean),
    ("strength_sd", "MPa", strengths.spread),
    ("strength_cv", "%", strengths.variation),
    ("strength_mean_censored", "MPa", strengths.censored_mean),
    ("strength_sd_censored", "MPa", strengths.censored_spread),
    ("strength_median", "MPa", strengths.median_strength),
)


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
    odd: dict[str, str] = {}
    every, places = determinations_of(rows)
    for keys, positions, condition in _groups(rows, system_of):
        group = StrengthGroup(keys, every.at(positions), condition)
        if "panel" in group.keys:
            odd[group.keys["panel"]] = _tell_outlier(
                ledger, group, choices.pull_off.least_determinations
            )
        outliers = (odd[panel] for panel in dict.fromkeys(group.rows.panel) if odd[panel])
        cautions = (*_cautions(group, choices.pull_off), *outliers)
        _tell_counts(ledger, group, choices.pull_off)
        _tell_strengths(ledger, group, cautions)
        _tell_failures(ledger, group, places)
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


def _groups(
    rows: pd.DataFrame, system_of: Mapping[str, str]
) -> Iterator[tuple[dict[str, str], NDArray[np.intp], str]]:
    """Return the panels, then the batches, then the coat systems: of each batch, and of several.

    Of each its keys, the positions of its rows, and its condition.
    """
    for (batch, panel), positions in grouped(rows, ["batch", "panel"]):
        yield {"batch": batch, "panel": panel}, positions, ""
    for (batch,), positions in grouped(rows, ["batch"]):
        yield {"batch": batch}, positions, ""
    known = rows[["batch"]].assign(system=rows["panel"].map(system_of))
    for (batch, system), positions in grouped(known, ["batch", "system"]):
        yield {"batch": batch}, positions, f"coat system: {system}"
    for (system,), positions in grouped(known, ["system"]):
        if known["batch"].iloc[positions].nunique() > 1:
            yield {}, positions, f"coat system: {system}"


def _cautions(group: StrengthGroup, choices: PullOffChoices) -> Iterator[str]:
    """Say what weakens the mean."""
    if few := _too_few(group.n, choices):
        yield few
    if "batch" not in group.keys:
        yield f"{len({*group.rows.batch})} batches together"
    dollies = np.unique(group.rows.dolly_diameter_mm).tolist()
    if len(dollies) > 1:
        yield f"dollies of {' and '.join(f'{one:g}' for one in dollies)} mm together"
    times = group.rows.measured_at[~np.isnat(group.rows.measured_at)]
    if len(times) and (days := (times.max() - times.min()) // np.timedelta64(1, "D")) > FAR_APART_D:
        yield f"determinations from {days} days together"


def _too_few(n: int, choices: PullOffChoices) -> str:
    least = choices.least_determinations
    if n >= least:
        return ""
    who = "ISO 4624 asks" if least == ISO_4624_LEAST else "the settings ask"
    return f"{counted(n, 'determination')}, where {who} for at least {least}"


def _tell_counts(ledger: Ledger, group: StrengthGroup, choices: PullOffChoices) -> None:
    limit = f"{choices.lower_bound_glue_percent:g} %"
    glue = f"{limit} of the area or more failed in the glue; common practice, no source"
    on = f"on {counted(group.panels, 'panel')}"
    for quantity, count, method, flag in (
        ("determinations", group.n, on, _too_few(group.n, choices)),
        ("lower_bounds", group.bounds, glue, ""),
    ):
        _add(ledger, group, quantity, "", Found(Estimate(count), method, (flag,)))


def _tell_strengths(ledger: Ledger, group: StrengthGroup, cautions: tuple[str, ...]) -> None:
    for quantity, unit, find in STRENGTHS:
        of_a_mean = cautions if "mean" in quantity else ()
        try:
            _add(ledger, group, quantity, unit, find(group), flags=of_a_mean)
        except NotDeterminable as why:
            _add(ledger, group, quantity, unit, why, flags=of_a_mean)


def _tell_outlier(ledger: Ledger, group: StrengthGroup, least: int) -> str:
    """Tell the strength that lies farthest out, and return the flag if it is an outlier.

    Of fewer than the least number of determinations none is said to be one.
    """
    certain = group.rows.at(~group.rows.is_bound)
    n = len(certain.strength_mpa)
    keys, flag, method = dict(group.keys), "", "Grubbs, two-sided 5 %, of those no lower bounds"
    found: Estimate | NotDeterminable
    try:
        test = grubbs(certain.strength_mpa)
        found = Estimate(test.statistic)
        method += f"; an outlier above {test.critical:.3f}, rounding of the readings allowed for"
        if n < least:
            method += f"; none is told of fewer than {least}"
        elif test.is_outlier:
            at = test.position
            keys["measurement"] = certain.measurement[at]
            flag = (
                f"determination {certain.determination[at]:g} of {certain.panel[at]}"
                f" ({certain.strength_mpa[at]:.3g} MPa){KEPT}"
            )
    except NotDeterminable as why:
        found = why
    ledger.add(GRUBBS, "", keys, found, method=method, flags=flag, n=n)
    return flag


def _tell_failures(ledger: Ledger, group: StrengthGroup, places: Sequence[str]) -> None:
    """Tell the share of adhesive, cohesive and glue failure, and of each place."""
    rows, unit = group.rows, "panels" if group.panels > 1 else "determinations"
    units = rows.panel_number if group.panels > 1 else rows.measurement_number
    method = f"share of the area; {unit} as unit"
    parts = [
        *((f"failure_{name}", "") for name in CLASSES),
        *(("failure_share", one) for one in places),
    ]
    for (quantity, place), percent in zip(parts, rows.failed_percent.T, strict=True):
        if place and not percent.any():
            continue  # nothing of this group failed there
        share = mean_share(percent, rows.area_mm2, units)
        _add(ledger, group, quantity, "%", Found(share, method, (), NO_INTERVAL), place=place)


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
    group: StrengthGroup,
    quantity: str,
    unit: str,
    found: Found | NotDeterminable,
    *,
    place: str = "",
    flags: tuple[str, ...] = (),
) -> None:
    condition = "; ".join(part for part in (place, group.condition) if part)
    if isinstance(found, NotDeterminable):
        ledger.add(
            quantity,
            unit,
            group.keys,
            found,
            condition=condition,
            flags="; ".join(flags),
            n=group.n,
        )
        return
    ledger.add(
        quantity,
        unit,
        group.keys,
        found.estimate,
        condition=condition,
        method=found.method,
        flags="; ".join(flag for flag in (*found.flags, *flags) if flag),
        interval=found.interval,
        n=group.n,
    )
