"""Pull-off adhesion (ISO 4624): strength, glue failures as lower bounds, and where it failed.

For each panel, each batch, and each coat system, of a batch and of all batches together. Where a
batch or a coat system has several panels, intervals rest on the panels: determinations of one panel
have more in common than those of two.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
import pandas as pd

from tiecoat.contract.choices import Choices, PullOffChoices
from tiecoat.evaluate.adhesion import strengths
from tiecoat.evaluate.adhesion.failure_sites import CLASSES, by_class, mean_share, sites_of
from tiecoat.evaluate.adhesion.strengths import StrengthGroup
from tiecoat.evaluate.estimate import Estimate, NotDeterminable
from tiecoat.evaluate.ledger import Ledger
from tiecoat.evaluate.statistics.outliers import grubbs
from tiecoat.evaluate.statistics.replicates import NO_INTERVAL, Found
from tiecoat.wording import counted

ISO_4624_LEAST = 6
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
    for group in _groups(rows, system_of):
        if "panel" in group.keys:
            odd[group.keys["panel"]] = _tell_outlier(
                ledger, group, choices.pull_off.least_determinations
            )
        outliers = (odd[panel] for panel in group.rows["panel"].unique() if odd[panel])
        cautions = (*_cautions(group, choices.pull_off), *outliers)
        _tell_counts(ledger, group, choices.pull_off)
        _tell_strengths(ledger, group, cautions)
        _tell_failures(ledger, group)
    _tell_unregistered(ledger, rows, system_of)
    return ledger.table()


def marked(frame: pd.DataFrame, choices: PullOffChoices) -> pd.DataFrame:
    """Return the determinations with area_mm2, what failed in %, and is_bound: a lower bound."""
    classes = by_class(sites_of(frame["failure"]))
    at_least = choices.lower_bound_glue_percent - ROUNDING_PERCENT
    return pd.concat([frame, classes], axis=1).assign(
        area_mm2=np.pi * frame["dolly_diameter_mm"] ** 2 / 4,
        is_bound=classes["glue"] >= at_least,
    )


def _groups(rows: pd.DataFrame, system_of: Mapping[str, str]) -> Iterator[StrengthGroup]:
    """Return the panels, then the batches, then the coat systems: of each batch, and of several."""
    for (batch, panel), part in rows.groupby(["batch", "panel"], sort=True):
        yield StrengthGroup({"batch": str(batch), "panel": str(panel)}, part)
    for batch, part in rows.groupby("batch", sort=True):
        yield StrengthGroup({"batch": str(batch)}, part)
    systems = rows["panel"].map(system_of)
    for (batch, system), part in rows.groupby(["batch", systems], sort=True):
        yield StrengthGroup({"batch": str(batch)}, part, f"coat system: {system}")
    for system, part in rows.groupby(systems, sort=True):
        if part["batch"].nunique() > 1:
            yield StrengthGroup({}, part, f"coat system: {system}")


def _cautions(group: StrengthGroup, choices: PullOffChoices) -> Iterator[str]:
    """Say what weakens the mean."""
    if few := _too_few(group, choices):
        yield few
    if (batches := group.rows["batch"].nunique()) > 1:
        yield f"{batches} batches together"
    dollies = sorted(group.rows["dolly_diameter_mm"].unique())
    if len(dollies) > 1:
        yield f"dollies of {' and '.join(f'{one:g}' for one in dollies)} mm together"
    times = group.rows["measured_at"].dropna()
    if len(times) and (days := (times.max() - times.min()).days) > FAR_APART_D:
        yield f"determinations from {days} days together"


def _too_few(group: StrengthGroup, choices: PullOffChoices) -> str:
    least = choices.least_determinations
    if group.n >= least:
        return ""
    who = "ISO 4624 asks" if least == ISO_4624_LEAST else "the settings ask"
    return f"{counted(group.n, 'determination')}, where {who} for at least {least}"


def _tell_counts(ledger: Ledger, group: StrengthGroup, choices: PullOffChoices) -> None:
    limit = f"{choices.lower_bound_glue_percent:g} %"
    glue = f"{limit} of the area or more failed in the glue; common practice, no source"
    on = f"on {counted(group.panels, 'panel')}"
    for quantity, count, method, flag in (
        ("determinations", group.n, on, _too_few(group, choices)),
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
    certain = group.rows[~group.rows["is_bound"]]
    keys, flag, method = dict(group.keys), "", "Grubbs, two-sided 5 %, of those no lower bounds"
    found: Estimate | NotDeterminable
    try:
        test = grubbs(certain["strength_mpa"])
        found = Estimate(test.statistic)
        method += f"; an outlier above {test.critical:.3f}, rounding of the readings allowed for"
        if len(certain) < least:
            method += f"; none is told of fewer than {least}"
        elif test.is_outlier:
            row = certain.iloc[test.position]
            keys["measurement"] = row["measurement"]
            flag = (
                f"determination {row['determination']:g} of {row['panel']}"
                f" ({row['strength_mpa']:.3g} MPa) is an outlier (Grubbs) and is kept"
            )
    except NotDeterminable as why:
        found = why
    ledger.add("grubbs_statistic", "", keys, found, method=method, flags=flag, n=len(certain))
    return flag


def _tell_failures(ledger: Ledger, group: StrengthGroup) -> None:
    """Tell the share of adhesive, cohesive and glue failure, and of each place."""
    unit = "panels" if group.panels > 1 else "determinations"
    units = group.rows["panel" if group.panels > 1 else "measurement"]
    sites = sites_of(group.rows["failure"])
    parts = [(f"failure_{name}", "", group.rows[name]) for name in CLASSES]
    parts += [("failure_share", str(place), sites[place]) for place in sites]
    for quantity, place, percent in parts:
        share = mean_share(percent, group.rows["area_mm2"], units)
        found = Found(share, f"share of the area; {unit} as unit", (), NO_INTERVAL)
        _add(ledger, group, quantity, "%", found, place=place)


def _tell_unregistered(ledger: Ledger, rows: pd.DataFrame, system_of: Mapping[str, str]) -> None:
    """Say of which panels no coat system is known."""
    unknown = rows[~rows["panel"].isin(list(system_of))]
    for batch, part in unknown.groupby("batch", sort=True):
        panels = ", ".join(sorted(part["panel"].unique()))
        why = NotDeterminable(f"not in the register, so without a coat system: {panels}")
        group = StrengthGroup({"batch": str(batch)}, part, "coat system: unknown")
        _add(ledger, group, "strength_mean", "MPa", why)


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
