"""From raw rows to one value a panel: strengths with lower bounds, and counts on an area."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

import numpy as np
import pandas as pd

from tiecoat.compare.cautions import if_equal, remarked
from tiecoat.compare.properties import Property
from tiecoat.compare.result_rows import hours_words, near_words, of_condition
from tiecoat.compare.result_samples import means_of_units, must_be_above_zero
from tiecoat.compare.samples import PANELS, NotTested, Sample, Samples
from tiecoat.contract.choices import PullOffChoices
from tiecoat.evaluate.adhesion.pull_off import marked
from tiecoat.evaluate.adhesion.strengths import bounds_words
from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.statistics.censored_jackknife import pseudo_values
from tiecoat.wording import with_unit

# Areas as they are told, by the column that holds them: how many of it are one, and its unit.
UNITS = {"evaluated_mm2": (1e4, "dm2"), "film_area_mm2": (1.0, "mm2")}
LEAST = {"least_diameter_mm": "mm", "smallest_pore_um": "um"}  # columns: smaller is not counted


def strength_samples(
    rows: pd.DataFrame, wanted: Property, batches: Sequence[str], choices: PullOffChoices
) -> Samples:
    """Return the strength of each panel with glue failures as lower bounds.

    Without lower bounds it is the mean of the panel's determinations; with them what the panel
    adds to the censored mean of its batch (`pseudo_values`). Where too many are lower bounds for
    that, it is the mean of values and bounds, marked as a floor.

    Parameters
    ----------
    rows
        Of the kind pull_off, as the archive gives them.
    """
    here = marked(rows[rows["batch"].isin(batches)].reset_index(drop=True), choices)
    found: Samples = {}
    for batch in batches:
        part = here[here["batch"] == batch]
        try:
            found[batch] = _strengths(part, wanted, batch)
        except NotDeterminable as why:
            found[batch] = why
    return found


def _strengths(rows: pd.DataFrame, wanted: Property, batch: str) -> Sample:
    if not len(rows):
        raise NotTested(f"{batch} has no pull-off tests")
    bounds = int(rows["is_bound"].sum())
    means = means_of_units(rows["strength_mpa"], rows["panel"], "difference")
    of_panels = dict(zip(map(str, means.index), means.tolist(), strict=True))
    cautions: tuple[str, ...] = ()
    is_floor = False
    if bounds:
        cautions = (bounds_words(bounds, len(rows)),)
        try:
            of_panels = pseudo_values(rows["strength_mpa"], rows["is_bound"], rows["panel"])
        except NotDeterminable as why:
            is_floor = True
            cautions += (f"only a lower bound of the strength is known: {why}",)
    cautions += remarked(rows)
    values = np.array(list(of_panels.values()))
    if wanted.scale == "ratio":
        must_be_above_zero(values, batch)
    return Sample(
        batch,
        tuple(of_panels),
        values,
        PANELS,
        "MPa",
        is_floor=is_floor,
        bounds=bounds,
        cautions=(*cautions, *if_equal(values, batch)),
    )


def checked_counts(rows: pd.DataFrame | None, wanted: Property) -> pd.DataFrame:
    """Return the rows of counts.

    Raises
    ------
    NotDeterminable
        If there are none, or the kind has no such columns.
    """
    if rows is None or not len(rows):
        raise NotDeterminable(f"there are no rows of {wanted.kind}")
    for column in (wanted.quantity, wanted.area):
        if column not in rows:
            raise NotDeterminable(
                f"{wanted.kind} has no column {column!r}; " + near_words(column, list(rows.columns))
            )
    return rows


def under_conditions(
    rows: pd.DataFrame, wanted: Property, conditions: Mapping[str, str] | None
) -> pd.DataFrame:
    """Return the rows of counts with the words of what each was determined under.

    They are the column `condition`, as results have it: only what agrees in it is added up. Times
    of exposure are none of it; see `count_samples`.

    Parameters
    ----------
    conditions
        The columns that say how a determination of the kind was made, each with its unit; None
        where the kind is not known.

    Raises
    ------
    NotDeterminable
        If the kind is not known, or nothing is of the condition that the property names.
    """
    if conditions is None:
        raise NotDeterminable(
            f"no plugin brings the kind {wanted.kind}: which of its counts may be added up is not"
            " known"
        )
    parts = [
        rows[name].map(partial(_as_condition, name, unit))
        for name, unit in conditions.items()
        if name in rows and name != "exposure_h"
    ]
    told = [", ".join(one) for one in zip(*parts, strict=True)] if parts else ""
    return of_condition(rows.assign(condition=told), wanted)


def _as_condition(name: str, unit: str, value: Any) -> str:
    """Return what one column says, such as "200 kPa" or "dry"."""
    word = name.replace("_", " ")
    if pd.isna(value):
        return f"{word} not told"
    if unit or isinstance(value, str):
        return with_unit(value, unit)
    return f"{word} {with_unit(value, '')}"


def count_samples(rows: pd.DataFrame, wanted: Property, batches: Sequence[str]) -> Samples:
    """Return counts and areas of each panel, added up over its rows, which are of one condition.

    Raises
    ------
    NotDeterminable
        If these batches were counted at several exposure times.
    """
    if "exposure_h" in rows:
        hours = sorted(rows.loc[rows["batch"].isin(batches), "exposure_h"].dropna().unique())
        if len(hours) > 1:
            raise NotDeterminable(
                f"{wanted.quantity} were counted after {hours_words(hours)}: counts of several"
                " times are not added up"
            )
    found: Samples = {}
    rows = rows[rows["batch"].isin(batches)]
    for batch in batches:
        try:
            found[batch] = _counts(rows, wanted, batch)
        except NotDeterminable as why:
            found[batch] = why
    return found


def _counts(of_all: pd.DataFrame, wanted: Property, batch: str) -> Sample:
    rows = of_all[of_all["batch"] == batch]
    known = rows.dropna(subset=[wanted.quantity, wanted.area, "panel"])
    if not len(known):
        why = f"on no panel of {batch} were {wanted.quantity} counted"
        raise NotDeterminable(why) if len(rows) else NotTested(why)
    counted, looked_at = (known[name].to_numpy(float) for name in (wanted.quantity, wanted.area))
    if (counted < 0).any() or (counted != np.round(counted)).any() or not (looked_at > 0).all():
        raise NotDeterminable(
            f"{batch}: {wanted.quantity} must be whole numbers from 0 on, {wanted.area} above 0"
        )
    totals = known.groupby("panel", sort=True)[[wanted.quantity, wanted.area]].sum()
    counts, areas = (totals[name].to_numpy(float) for name in (wanted.quantity, wanted.area))
    in_one, unit = UNITS.get(wanted.area, (1.0, wanted.area))
    missing = len(rows) - len(known)
    told = (f"{missing} of {len(rows)} rows without count or area",) if missing else ()
    cautions = (*told, *_other_least(of_all), *remarked(known))
    names = tuple(map(str, totals.index))
    unit = f"per {unit}{_least_words(of_all)}"
    return Sample(batch, names, counts, PANELS, unit, areas=areas / in_one, cautions=cautions)


def _least_words(rows: pd.DataFrame) -> str:
    """Return from which size on was counted, the coarsest of all; "" where that is not told."""
    for column, unit in LEAST.items():
        if column in rows:
            return f", from {rows[column].max():.2g} {unit} on"
    return ""


def _other_least(rows: pd.DataFrame) -> tuple[str, ...]:
    """Return the caution that some were counted from a smaller size on than others."""
    for column, unit in LEAST.items():
        if column in rows and len(sizes := sorted({f"{one:.2g}" for one in rows[column]})) > 1:
            low, high = sizes[0], f"{sizes[-1]} {unit}"
            return (
                f"counted from between {low} and {high} on: rates of unlike sizes do not compare",
            )
    return ()
