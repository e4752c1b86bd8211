"""From result rows to one value a panel, so that readings do not pass for panels.

Repeated readings of one panel are averaged first: ten readings of one panel tell no more of the
scatter among panels than one (pseudo-replication). Wet paint has no panels; there the determination
is the unit, or the result with the uncertainty that is reported with it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import TypeAlias

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.optimize import brentq

from tiecoat.compare.cautions import flagged, if_equal, left_out, reasons
from tiecoat.compare.circumstances import NotComparable
from tiecoat.compare.properties import Property
from tiecoat.compare.result_rows import NEAR, hours_words, is_near, off_by
from tiecoat.compare.samples import DETERMINATIONS, PANELS, NotTested, Sample, Samples
from tiecoat.evaluate.estimate import CERTAIN, Estimate, NotDeterminable, t_factor
from tiecoat.evaluate.statistics.censored_normal import Floats

Bools: TypeAlias = NDArray[np.bool_]
MOST_FREEDOM = 1e9
CERTAIN_WITHIN = 1e-8  # of the normal quantile; that of t with so many degrees lies nearer
TOLD_OFF = 0.25  # of how far a time may lie off, which is 0.5 %; less is not told
SINCE_NEAR_H = 0.1  # of two first measurements; an hour is a fifth of the uptake of 100 um


def samples(
    rows: pd.DataFrame, wanted: Property, batches: Sequence[str], *, of_panels: bool
) -> Samples:
    """Return the sample of each batch from result rows, or why there is none.

    Parameters
    ----------
    rows
        As `panel_rows_of` returns them, of one line of the property.
    wanted
        The property, at its exposure time.
    batches
        Control and candidates.
    of_panels
        Whether the kind is one of panels, so that what is pooled is pooled over panels.
    """
    found: Samples = {}
    for batch in batches:
        try:
            found[batch] = _sample(rows[rows["batch"] == batch], wanted, batch, of_panels)
        except NotDeterminable as why:
            found[batch] = why
    return found


def _sample(rows: pd.DataFrame, wanted: Property, batch: str, of_panels: bool) -> Sample:
    if not len(rows):
        raise NotTested(f"{batch} has no value of {wanted.quantity}")
    since_h = _since(rows, batch) if wanted.nature.since_first else math.nan
    rows = _at_time(rows, wanted.exposure_h, batch)
    is_band = np.zeros(len(rows), dtype=bool)
    if wanted.method == "ratings":
        rows, is_band = _with_bands(rows)
    is_bound = (rows["value"].isna() & rows["low"].notna() & rows["high"].isna()).to_numpy()
    rows = rows.assign(value=rows["value"].where(~is_bound, rows["low"]))
    is_known = np.isfinite(rows["value"])
    known = rows[is_known]
    if wanted.nature.lost_by_failure and not is_known.all():
        raise NotComparable(_lacking(rows, batch, of_panels=of_panels))
    if not len(known):
        raise NotDeterminable(f"{batch} has no value: {reasons(rows)}")
    cautions = (
        *left_out(rows, ~is_known),
        *_only_bounds(rows, is_bound),
        *flagged(known),
        *_times_taken(known, wanted.exposure_h),
    )
    if wanted.scale == "ratio":
        must_be_above_zero(known["value"], batch)
    unit = str(known["unit"].iloc[0])
    bounds = int(is_bound.sum())
    if (known["panel"] == "").all():
        whole = _whole(known, batch, unit, cautions, PANELS if of_panels else DETERMINATIONS)
        return _as_floor(whole, bounds)
    means = means_of_units(known["value"], known["panel"], wanted.scale)
    values = np.asarray(means, dtype=np.float64)
    names = tuple(map(str, means.index))
    sample = Sample(
        batch,
        names,
        values,
        PANELS,
        unit,
        since_h=since_h,
        cautions=(*cautions, *if_equal(values, batch)),
    )
    sample = _as_floor(sample, bounds)
    return _between_ends(sample, rows) if is_band.any() else sample


def _as_floor(sample: Sample, bounds: int) -> Sample:
    """Return a sample with so many bounds among its values, whose mean is a bound then."""
    if not bounds:
        return sample
    equal = if_equal(sample.values, sample.batch)  # bounds are, and tell nothing of the spread
    cautions = tuple(one for one in sample.cautions if one not in equal)
    return replace(sample, is_floor=True, bounds=bounds, cautions=cautions)


def _only_bounds(rows: pd.DataFrame, is_bound: Bools) -> tuple[str, ...]:
    """Return the caution that the true value of some rows lies above what is told, and why."""
    if not is_bound.any():
        return ()
    return (f"{int(is_bound.sum())} of {len(rows)}: a lower bound: {reasons(rows[is_bound])}",)


def _lacking(rows: pd.DataFrame, batch: str, *, of_panels: bool) -> str:
    """Tell how many panels or determinations lack what the others have: it would flatter them."""
    own = rows[rows["measurement"] != ""]
    rows = rows if of_panels or not len(own) else own
    without = rows[rows["value"].isna()]
    some, every, why = len(without), len(rows), reasons(without)
    if of_panels:
        return f"not comparable: {batch} has {some} of {every} panels without it: {why}"
    return f"not comparable: {batch} has {some} of {every} determinations without it: {why}"


def _since(rows: pd.DataFrame, batch: str) -> float:
    """Return the exposure of the first measurement of the panels, which all must share."""
    first = rows.groupby("panel")["exposure_h"].min().dropna()
    if len(first) and np.ptp(first) > SINCE_NEAR_H:
        raise NotComparable(
            f"not comparable: it counts from the first measurement, and that of the panels of"
            f" {batch} was made between {first.min():g} and {first.max():g} h"
        )
    return float(first.min()) if len(first) else math.nan


def _with_bands(rows: pd.DataFrame) -> tuple[pd.DataFrame, Bools]:
    """Return ratings with the middle of those that leave several grades open, and which these are.

    `low` and `high` of every row are its ends.
    """
    is_band = (rows["value"].isna() & rows["low"].notna() & rows["high"].notna()).to_numpy()
    middle = np.where(is_band, (rows["low"] + rows["high"]) / 2, rows["value"])
    low, high = (np.where(is_band, rows[end], rows["value"]) for end in ("low", "high"))
    return rows.assign(value=middle, low=low, high=high), is_band


def _between_ends(sample: Sample, rows: pd.DataFrame) -> Sample:
    """Return a sample of ratings with the ends of those that leave several grades open."""
    means = rows.groupby("panel", sort=True)[["low", "high"]].mean().loc[list(sample.names)]
    low, high = (means[end].to_numpy(dtype=np.float64) for end in ("low", "high"))
    open_ones = int((low < high).sum())
    told = f"{open_ones} of {sample.n} panels of {sample.batch} have no one grade: both ends count"
    return replace(sample, ends=(low, high), cautions=(*sample.cautions, told))


def _at_time(rows: pd.DataFrame, hours: float, batch: str) -> pd.DataFrame:
    """Return the rows near an exposure time; all where the property has none."""
    if math.isnan(hours):
        return rows
    there = rows[is_near(rows["exposure_h"], hours)]
    if not len(there):
        times = hours_words(sorted(rows["exposure_h"].dropna().unique().tolist()))
        raise NotTested(f"{batch} has no exposure near {hours:g} h; there are {times}")
    return there


def _times_taken(rows: pd.DataFrame, hours: float) -> tuple[str, ...]:
    """Return the caution that other times are taken for the one compared.

    Those that are more than 2 % apart, as early ones may be, are told as what counts as one time.
    """
    if math.isnan(hours):
        return ()
    if np.ptp(rows["exposure_h"]) > NEAR * hours:
        times = hours_words(sorted(rows["exposure_h"].unique()))
        return (f"readings after {times} count as one time",)
    others = rows["exposure_h"][off_by(rows["exposure_h"], hours) > TOLD_OFF]
    if not len(others):
        return ()
    times = hours_words(sorted(others.unique()))
    return (f"{len(others)} of {len(rows)}: measured after {times}, taken for {hours:g} h",)


def must_be_above_zero(values: Floats | pd.Series[float], batch: str) -> None:
    """Refuse values that have no logarithm.

    Raises
    ------
    NotDeterminable
        If one is not above 0.
    """
    least = float(np.min(values))
    if least <= 0:
        raise NotDeterminable(f"{batch} has the value {least:g}: ratios need values above 0")


def means_of_units(values: pd.Series[float], units: pd.Series[str], scale: str) -> pd.Series[float]:
    """Return the mean of each panel, the geometric one where ratios are compared."""
    if scale == "ratio":
        logs = pd.Series(np.log(values), index=values.index)
        return pd.Series(np.exp(logs.groupby(units, sort=True).mean()))
    return values.groupby(units, sort=True).mean()


def _whole(
    known: pd.DataFrame, batch: str, unit: str, cautions: tuple[str, ...], units: str
) -> Sample:
    """Return the sample of wet paint, or of what is only given pooled over panels.

    It is several determinations, or one result as reported. A result that is pooled over
    determinations is no further one.
    """
    told = "determinations of one batch: mixing it again is not in the interval"
    own = known[known["measurement"] != ""]
    known = own if len(own) else known
    if len(known) > 1:
        values = np.asarray(known["value"], dtype=np.float64)
        names = tuple(known["measurement"])
        return Sample(
            batch,
            names,
            values,
            units,
            unit,
            cautions=(*cautions, told, *if_equal(values, batch)),
        )
    row = known.iloc[0]
    reported = _reported(row)
    if row["measurement"]:  # its n counts points of one curve, say
        reported = replace(reported, n=1)
    sample = Sample(
        batch,
        (str(row["measurement"]) or batch,),
        np.array([reported.value]),
        units,
        unit,
        reported,
        cautions=cautions,
    )
    if reported.n == 1:
        told = f"one {sample.counted_as}: how another one would differ is not in the interval"
    elif units == PANELS:
        told = f"one result, pooled over {reported.n} panels"
    return replace(sample, cautions=(*cautions, told))


def _reported(row: pd.Series[float]) -> Estimate:
    """Return a result with its uncertainty, and the freedom that its 95 % interval tells of."""
    value, error, n = float(row["value"]), float(row["standard_error"]), int(row["n"])
    half = (float(row["high"]) - float(row["low"])) / 2
    ratio = half / error if error > 0 else math.nan
    if not ratio > t_factor(CERTAIN) * (1 + CERTAIN_WITHIN):
        return Estimate(value, error, CERTAIN, n)
    if ratio > t_factor(1.0):
        return Estimate(value, error, 1.0, n)
    freedom = brentq(lambda one: t_factor(one) - ratio, 1.0, MOST_FREEDOM)
    return Estimate(value, error, float(freedom), n)
