"""From result rows and raw rows to one value a panel, so that readings do not pass for panels.

Repeated readings of one panel are averaged first: ten readings of one panel tell no more of the
scatter among panels than one (pseudo-replication). Wet paint has no panels; there the determination
is the unit, or the result with the uncertainty that is reported with it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from typing import TypeAlias

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.optimize import brentq

from tiecoat.compare.circumstances import NotComparable
from tiecoat.compare.properties import Property
from tiecoat.evaluate.estimate import CERTAIN, Estimate, NotDeterminable, t_factor
from tiecoat.evaluate.statistics.censored_normal import Floats
from tiecoat.remarks import summed
from tiecoat.wording import counted

NEAR, NEAR_H = 0.02, 0.5  # a time within 2 % or half an hour is that time; common practice
TOLD_FLAGS = 3
Bools: TypeAlias = NDArray[np.bool_]
MOST_FREEDOM = 1e9
CERTAIN_WITHIN = 1e-8  # of the normal quantile; that of t with so many degrees lies nearer
PANELS, DETERMINATIONS = "panels", "determinations"
# Results that a panel lacks where it did badly: the mean of the others would flatter its batch.
LOST_BY_FAILURE = frozenset({"modulus_decline"})
# Results that count from the first measurement of their panel: with another begin they are others.
SINCE_FIRST = frozenset({"water_uptake"})
SINCE_NEAR_H = 0.1  # of two first measurements; an hour is a fifth of the uptake of 100 um


@dataclass(frozen=True)
class Sample:
    """What is known of one batch on one property.

    Parameters
    ----------
    names, values
        Panel or measurement, and its value in the unit of the property; (n,) both.
    units
        What they are: panels, or determinations.
    unit
        Of the values.
    reported
        For wet paint: one result with its uncertainty, in the place of values that scatter.
    areas
        For counts: the area that was looked at, (n,).
    ends
        For times: each lies after the first and by the second, (n,) both; 0 or infinite if open.
        For ratings that leave several grades open: from the least to the greatest, (n,) both.
    since_h
        The exposure from which the values count, where they count from the first measurement of
        their panel; else NaN.
    is_floor
        The values are lower bounds: the true ones lie above. Of times: half of them or more.
    bounds
        How many determinations behind the values are lower bounds.
    cautions
        What weakens it.
    notes
        Which of that must stand beside what is concluded: too few determinations, outliers.
    """

    batch: str
    names: tuple[str, ...]
    values: Floats
    units: str
    unit: str
    reported: Estimate | None = None
    areas: Floats | None = None
    ends: tuple[Floats, Floats] | None = None
    since_h: float = math.nan
    is_floor: bool = False
    bounds: int = 0
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def n(self) -> int:
        """How many panels or determinations."""
        return len(self.values) if self.reported is None else self.reported.n

    @property
    def counted_as(self) -> str:
        """What one of them is called."""
        return self.units.removesuffix("s")

    def middle(self, scale: str, method: str) -> float:
        """Return the mean as it is told: of ratings and of times the median."""
        by_median = method in {"ratings", "times"}
        return float(np.median(self.values)) if by_median else self.mean(scale)

    def mean(self, scale: str) -> float:
        """Return the mean; the geometric one where ratios are compared; the rate of counts."""
        if self.areas is not None:
            return float(self.values.sum() / self.areas.sum())
        if self.reported is not None:
            return self.reported.value
        if scale == "ratio":
            return float(np.exp(np.log(self.values).mean()))
        return float(self.values.mean())


Samples: TypeAlias = dict[str, Sample | NotDeterminable]


def result_rows(table: pd.DataFrame | None, wanted: Property) -> pd.DataFrame:
    """Return the rows of a property at all exposure times.

    Where it states no condition and every result has one, they are the rows of all conditions.

    Raises
    ------
    NotDeterminable
        If there are none; the message names what is near.
    """
    if table is None or not len(table):
        raise NotDeterminable(f"there are no results of {wanted.kind}")
    rows = table[table["quantity"] == wanted.quantity]
    if not len(rows):
        raise NotDeterminable(
            f"{wanted.kind} gives no {wanted.quantity!r}; "
            + near_words(wanted.quantity, sorted(table["quantity"].unique()))
        )
    known = sorted(rows["condition"].unique())
    if wanted.condition == "" and "" not in known:
        return rows
    here = rows[rows["condition"] == wanted.condition]
    if not len(here):
        raise NotDeterminable(_no_condition(wanted, known))
    return here


def panel_rows_of(rows: pd.DataFrame) -> pd.DataFrame:
    """Return the rows of panels where there are any; else those that are pooled over panels."""
    of_panels = rows["panel"] != ""
    return rows[of_panels] if of_panels.any() else rows


def _no_condition(wanted: Property, known: Sequence[str]) -> str:
    if known == [""]:
        return f"{wanted.quantity} has no condition: leave condition out"
    start = f"there is no {wanted.quantity} with the condition {wanted.condition!r}; "
    return start + near_words(wanted.condition, known)


def near_words(word: str, known: Sequence[str]) -> str:
    """Return such as "near it: 'modulus'", else what there is."""
    near = get_close_matches(word, known, 3)
    words = ", ".join(repr(one) for one in (near or known[:8]))
    return f"near it: {words}" if near else f"there are {words}"


def exposures_of(rows: pd.DataFrame, batch: str) -> list[float]:
    """Return the exposure times of a batch at which it has a value, rising."""
    mine = rows[(rows["batch"] == batch) & rows["value"].notna() & rows["exposure_h"].notna()]
    return sorted(mine["exposure_h"].unique().tolist())


def is_near(exposures_h: Floats | pd.Series[float], hours: float) -> Floats:
    """Return which times count as the one given."""
    off = np.abs(np.asarray(exposures_h, dtype=float) - hours)
    return np.asarray(off <= max(NEAR_H, NEAR * hours))


def last_shared(rows: pd.DataFrame, control: str, candidates: Sequence[str]) -> float:
    """Return the last time of the control that most candidates share.

    Raises
    ------
    NotDeterminable
        If no candidate shares a time with the control.
    """
    times = exposures_of(rows, control)
    others = {one: np.array(exposures_of(rows, one)) for one in candidates}
    sharing = {t: sum(bool(is_near(one, t).any()) for one in others.values()) for t in times}
    if not any(sharing.values()):
        theirs = sorted({float(t) for one in others.values() for t in one})
        raise NotDeterminable(
            f"no exposure time is shared: the control {control} has {hours_words(times)},"
            f" the candidates have {hours_words(theirs)}"
        )
    return max(times, key=lambda t: (sharing[t], t))


def hours_words(times: Sequence[float]) -> str:
    """Return such as "24, 240 h"."""
    return ", ".join(f"{one:g}" for one in times) + " h" if times else "none"


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
        raise NotDeterminable(f"{batch} has no value of {wanted.quantity}")
    since_h = _since(rows, batch) if wanted.quantity in SINCE_FIRST else math.nan
    rows = _at_time(rows, wanted.exposure_h, batch)
    is_band = np.zeros(len(rows), dtype=bool)
    if wanted.method == "ratings":
        rows, is_band = _with_bands(rows)
    is_known = np.isfinite(rows["value"])
    known = rows[is_known]
    if wanted.quantity in LOST_BY_FAILURE and not is_known.all():
        lacking = f"{int((~is_known).sum())} of {len(rows)} panels without it"
        raise NotComparable(f"not comparable: {batch} has {lacking}: {reasons(rows[~is_known])}")
    if not len(known):
        raise NotDeterminable(f"{batch} has no value: {reasons(rows)}")
    cautions = (
        *left_out(rows, ~is_known),
        *flagged(known),
        *_times_together(known, wanted.exposure_h),
    )
    if wanted.scale == "ratio":
        must_be_above_zero(known["value"], batch)
    unit = str(known["unit"].iloc[0])
    if (known["panel"] == "").all():
        return _whole(known, batch, unit, cautions, PANELS if of_panels else DETERMINATIONS)
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
    return _between_ends(sample, rows) if is_band.any() else sample


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
        raise NotDeterminable(f"{batch} has no exposure near {hours:g} h; there are {times}")
    return there


def _times_together(rows: pd.DataFrame, hours: float) -> tuple[str, ...]:
    """Return the caution that times count as one that are more than 2 % apart, as early ones do."""
    if math.isnan(hours) or not np.ptp(rows["exposure_h"]) > NEAR * hours:
        return ()
    return (f"readings after {hours_words(sorted(rows['exposure_h'].unique()))} count as one time",)


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


def left_out(rows: pd.DataFrame, is_missing: pd.Series[bool]) -> tuple[str, ...]:
    """Return the caution that some rows have no value, with their reasons."""
    missing = rows[is_missing]
    if not len(missing):
        return ()
    return (f"{len(missing)} of {len(rows)} without a value: {reasons(missing)}",)


def reasons(rows: pd.DataFrame) -> str:
    """Return why rows have no value, in few words."""
    listed = list(dict.fromkeys(str(one) for one in rows["reason"] if one))
    return "; ".join(listed[:TOLD_FLAGS]) or "no reason given"


def flagged(rows: pd.DataFrame) -> tuple[str, ...]:
    """Return the flags of result rows as cautions, each with how many carry it."""
    flags = [str(one) for one in rows["flags"] if one]
    listed = list(dict.fromkeys(flags))
    told = [f"{flags.count(one)} of {len(rows)}: {one}" for one in listed[:TOLD_FLAGS]]
    more = len(listed) - TOLD_FLAGS
    return (*told, f"and {counted(more, 'more flag')}") if more > 0 else tuple(told)


def remarked(rows: pd.DataFrame) -> tuple[str, ...]:
    """Return the remarks on raw rows as cautions, as `flagged` does of results."""
    if "remark" not in rows:
        return ()
    each = rows.drop_duplicates("measurement")["remark"].dropna()
    return tuple(summed(each.astype(str)))


def if_equal(values: Floats, batch: str) -> tuple[str, ...]:
    """Return the caution that all values of a batch are equal, if so."""
    if len(values) > 1 and np.ptp(values) <= 1e-12 * float(np.abs(values).max()):
        return (f"all {len(values)} values of {batch} are equal: their spread is not resolved",)
    return ()


def panel_values(found: Mapping[str, Samples]) -> pd.DataFrame:
    """Return what is compared, a row a panel or determination, for plots.

    Columns: property, batch, name (panel or measurement), value, unit, area (NaN but for counts),
    low and high (95 % interval of what is reported with its uncertainty, else NaN), is_floor.
    """
    listed = []
    for label, of_batches in found.items():
        for one in of_batches.values():
            if isinstance(one, NotDeterminable):
                continue
            areas = one.areas if one.areas is not None else np.full(len(one.values), math.nan)
            low, high = one.reported.interval if one.reported else (math.nan, math.nan)
            listed.append(
                pd.DataFrame(
                    {
                        "property": label,
                        "batch": one.batch,
                        "name": list(one.names),
                        "value": one.values,
                        "unit": one.unit,
                        "area": areas,
                        "low": low,
                        "high": high,
                        "is_floor": one.is_floor,
                    }
                )
            )
    columns = ["property", "batch", "name", "value", "unit", "area", "low", "high", "is_floor"]
    return pd.concat(listed, ignore_index=True) if listed else pd.DataFrame(columns=columns)
