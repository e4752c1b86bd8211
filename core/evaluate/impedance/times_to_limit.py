"""When the modulus of a film falls below a limit: of a panel, and of the panels of a batch.

It is the main result of a film that falls, whatever the shape of its course. Of a panel it is known
between which exposures it happened, or that it has not happened yet, or had by the first exposure;
over the panels of a batch such times are taken as those to a grade are (`turnbull`, `fit_times`):
as intervals, and on the scale of ln t, on which no limit is below zero.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import pandas as pd

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.impedance.barrier_class import LOW_FREQUENCY
from tiecoat.evaluate.impedance.panel_courses import PanelCourses
from tiecoat.evaluate.impedance.spectra import Floats, Texts, joined, texts
from tiecoat.evaluate.result import results
from tiecoat.evaluate.statistics.censored_times import TimesFit, fit_many, with_median
from tiecoat.evaluate.statistics.turnbull import turnbull

STEEP = "decades between two exposures: when between is open"
STEEP_LG = 2.0  # decades between two exposures, from which on the time between is told as open


@dataclass(frozen=True)
class Crossing:
    """When one panel's modulus falls below a limit.

    Parameters
    ----------
    hours
        Interpolated; NaN where it is not known.
    after, before
        It lies between these exposures; NaN where there is no such bound. Only `after`: not crossed
        by then (right-censored). Only `before`: below already (left-censored).
    again
        Whether the modulus was at or above the limit once more afterwards.
    fall
        By how many decades the modulus fell between the two exposures; NaN without them.
    """

    hours: float
    after: float
    before: float
    again: bool
    fall: float = math.nan

    @property
    def ends(self) -> tuple[float, float]:
        """The interval in which it lies, from 0 or to infinity where it is open."""
        low = 0.0 if math.isnan(self.after) else self.after
        return low, math.inf if math.isnan(self.before) else self.before


def time_to_limit(hours: Floats, lg_modulus: Floats, lg_limit: float) -> Crossing:
    """Return when the modulus first falls below a limit.

    Between the last exposure at or above the limit and the next one, lg|Z| is taken as straight
    over time. Nothing is extrapolated beyond the last exposure.

    Parameters
    ----------
    hours, lg_modulus
        Ascending exposures, all finite, and lg(|Z| / (ohm cm2)).

    Examples
    --------
    >>> time_to_limit(np.array([1.0, 25.0]), np.array([9.0, 7.0]), 8.0)
    Crossing(hours=13.0, after=1.0, before=25.0, again=False, fall=2.0)
    >>> time_to_limit(np.array([1.0, 25.0]), np.array([9.0, 8.5]), 8.0)
    Crossing(hours=nan, after=25.0, before=nan, again=False, fall=nan)
    """
    below = np.flatnonzero(lg_modulus < lg_limit)
    if not len(hours):
        return Crossing(np.nan, np.nan, np.nan, again=False)
    if not len(below):
        return Crossing(np.nan, float(hours[-1]), np.nan, again=False)
    n = int(below[0])
    again = bool((lg_modulus[n:] >= lg_limit).any())
    if n == 0:
        return Crossing(np.nan, np.nan, float(hours[0]), again)
    fall = float(lg_modulus[n - 1] - lg_modulus[n])
    share = (lg_modulus[n - 1] - lg_limit) / fall
    at = hours[n - 1] + share * (hours[n] - hours[n - 1])
    return Crossing(float(at), float(hours[n - 1]), float(hours[n]), again, fall)


def time_rows(panels: PanelCourses, limit_ohm_cm2: float, condition: str) -> list[pd.DataFrame]:
    """Return time_to_limit, a row a panel and a row a batch.

    The time of a panel is interpolated, with the exposures that it lies between as low and high.
    That of a batch is the median of a log-normal distribution fitted to the intervals of its
    panels, with its 95 % interval by profile; where these do not suffice, low and high are the
    exposures between which the median lies (Turnbull), and there is no value.
    """
    crossings = _crossings(panels, limit_ohm_cm2)
    own = results(
        "time_to_limit",
        panels.keys,
        np.array([one.hours for one in crossings]),
        "h",
        low=np.array([one.after for one in crossings]),
        high=np.array([one.before for one in crossings]),
        condition=condition,
        n=np.bincount(panels.panel, minlength=len(panels.keys)),
        method="lg modulus straight over time between exposures; low and high are the exposures "
        "it lies between, not a 95 % interval",
        reason=[_why_no_time(one) for one in crossings],
        flags=joined(panels.flags, _flags(crossings)),
    )
    return [own, _of_batches(panels, crossings, condition)]


def _crossings(panels: PanelCourses, limit_ohm_cm2: float) -> list[Crossing]:
    starts = np.searchsorted(panels.panel, np.arange(len(panels.keys) + 1))
    lg_limit = float(np.log10(limit_ohm_cm2))
    return [
        time_to_limit(panels.hours[a:b], panels.lg_modulus[a:b], lg_limit)
        for a, b in pairwise(starts)
    ]


def _why_no_time(one: Crossing) -> str:
    if not np.isnan(one.hours):
        return ""
    if not np.isnan(one.after):
        return f"censored: not crossed by the last exposure, {one.after:g} h; it takes longer"
    if not np.isnan(one.before):
        return f"below the limit already at the first exposure, {one.before:g} h"
    return "no exposure with a modulus"


def _flags(crossings: Sequence[Crossing]) -> Texts:
    return texts(
        [
            "; ".join(
                text
                for holds, text in (
                    (True, LOW_FREQUENCY),
                    (one.again, "above the limit again later"),
                    (one.fall > STEEP_LG, f"fell by {one.fall:.1f} {STEEP}"),
                )
                if holds
            )
            for one in crossings
        ]
    )


@dataclass(frozen=True)
class BatchTime:
    """The median time of the panels of a batch.

    `low` and `high` are those of its 95 % interval where there is a `median`, else the exposures
    between which it lies; NaN where they are open. `open_ends` tells where the former is.
    """

    median: float
    low: float
    high: float
    method: str
    reason: str
    open_ends: tuple[str, ...] = ()


FITTED = "log-normal, maximum likelihood from intervals, panels as unit; interval by profile"
BETWEEN = "Turnbull; low and high are exposures, not a 95 % interval"
UNKNOWN = BatchTime(math.nan, math.nan, math.nan, "", "no exposure with a modulus")


def batch_times(panels: Sequence[Sequence[tuple[float, float]]]) -> list[BatchTime]:
    """Return the median time of each batch, of whose panels each is known as an interval.

    Examples
    --------
    >>> found, = batch_times([[(1.0, 24.0), (24.0, 72.0), (72.0, 168.0), (72.0, 168.0)]])
    >>> round(found.median, 1), round(found.low, 1), round(found.high, 1)
    (51.3, 6.3, 293.0)
    """
    each = [tuple(sorted(ends)) for ends in panels]
    distinct = list(dict.fromkeys(filter(None, each)))  # many batches cross between the same ones
    known = [([low for low, _ in ends], [high for _, high in ends]) for ends in distinct]
    fitted = map(_batch_time, known, map(with_median, fit_many(known, "log-normal")))
    found = {(): UNKNOWN, **dict(zip(distinct, fitted, strict=True))}
    return [found[one] for one in each]


def _batch_time(
    ends: tuple[Sequence[float], Sequence[float]], fit: TimesFit | NotDeterminable
) -> BatchTime:
    if isinstance(fit, TimesFit):
        begin, end = fit.median_interval
        return BatchTime(fit.median.value, begin, _finite(end), FITTED, "", (*fit.open_ends,))
    begin, end = turnbull(*ends).median
    if begin == 0 and math.isinf(end):
        told = "the exposures leave it open"
    elif math.isinf(end):
        told = f"at least half have not crossed it by {begin:g} h"
    elif begin == 0:
        told = f"crossed by {end:g} h"
    else:
        told = f"after {begin:g} h and by {end:g} h"
    return BatchTime(math.nan, begin, _finite(end), BETWEEN, f"{told}: {fit}")


def _finite(end: float) -> float:
    return end if math.isfinite(end) else math.nan


def _of_batches(
    panels: PanelCourses, crossings: Sequence[Crossing], condition: str
) -> pd.DataFrame:
    of_batch: list[list[tuple[float, float]]] = [[] for _ in range(len(panels.batches))]
    unknown = [0] * len(panels.batches)
    for one, batch in zip(crossings, panels.batch, strict=True):
        if math.isnan(one.after) and math.isnan(one.before):
            unknown[batch] += 1
        else:
            of_batch[batch].append(one.ends)
    found = batch_times(of_batch)
    reached = [sum(math.isfinite(end) for _, end in each) for each in of_batch]
    return results(
        "time_to_limit",
        panels.batches,
        [one.median for one in found],
        "h",
        low=[one.low for one in found],
        high=[one.high for one in found],
        n=[len(each) for each in of_batch],
        condition=condition + panels.batches["system"],
        method=[one.method for one in found],
        reason=[one.reason for one in found],
        flags=[
            "; ".join(
                (
                    LOW_FREQUENCY,
                    f"{crossed} of {len(each)} panels crossed the limit",
                    *([f"{none} panels without a modulus left out"] if none else []),
                    *one.open_ends,
                )
            )
            for one, each, crossed, none in zip(found, of_batch, reached, unknown, strict=True)
        ],
    )
