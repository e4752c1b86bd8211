"""Differences of shares and rates: a share lies between 0 and 100 %, a rate of counts is above 0.

So does the one compared with it. Means of few panels are compared as if they were normal, on a
scale that has no ends. What an interval holds beyond them cannot be: it is cut there. Verdicts are
drawn from the whole interval, so that no claim rests on the cut.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from tiecoat.compare.properties import Property
from tiecoat.compare.samples import Sample, Samples
from tiecoat.compare.verdict import Limits, Verdict

WHOLE = 100.0
SHARES = frozenset(  # results in % of a whole; others in % may be above 100 or below 0
    {
        "failure_adhesive",
        "failure_cohesive",
        "failure_glue",
        "failure_share",
        "entrapped_air",
        "water_uptake",
        "water_uptake_from_dry",
        "void_fraction",
        "largest_pore_share",
        "pores_near_substrate",
        "defect_area",
        "rusted_area",
        "rusted_area_photographed",
        "thickness_below_nominal",
    }
)
CUT = (
    "the interval is cut where the share would leave 0 to 100 %, the control's taken as known; the"
    " verdict rests on the whole interval"
)
CUT_WHOLE = (
    "the interval is cut where the share would leave 0 to 100 %; the verdict rests on the whole"
    " interval"
)
CUT_RATE = (
    "the interval is cut where the rate would fall below 0, the control's taken as known; the"
    " verdict rests on the whole interval"
)


def is_share(wanted: Property) -> bool:
    """Return whether a property is compared by differences of shares in %."""
    return wanted.quantity in SHARES and wanted.scale == "difference" and wanted.method == "means"


def greatest_of(wanted: Property) -> float | None:
    """Return what a property can be at most that cannot be below 0; None where nothing is known.

    That is 100 % of a share, and infinite of a rate of counts, if they are compared by differences.
    """
    if wanted.method == "counts":
        return None if wanted.by_ratio else math.inf
    return WHOLE if is_share(wanted) else None


def cut_to_shares(
    low: float, high: float, middle: float | None, limits: Limits | None, greatest: float = WHOLE
) -> tuple[float, float]:
    """Return an interval of a difference without what no share can reach.

    Parameters
    ----------
    middle
        The share with which is compared, in %; None of two candidates, of which neither is taken
        as known: what holds of one against the other holds the other way round, too.
    limits
        The margin. An end that lies beyond it stays so: there it is cut at a whole only.
    greatest
        What it can be at most.

    Examples
    --------
    >>> cut_to_shares(-74.6, 69.1, 26.7, Limits(-math.inf, 20.0))
    (-26.7, 69.1)
    >>> cut_to_shares(-170.0, 60.0, 85.0, Limits(-math.inf, 20.0))
    (-85.0, 60.0)
    >>> cut_to_shares(-170.0, 60.0, None, Limits(-math.inf, 20.0))
    (-100.0, 60.0)
    >>> cut_to_shares(-17.5, 6.1, 7.5, Limits(-math.inf, 4.0), math.inf)
    (-7.5, 6.1)
    """
    least, most = (-greatest, greatest) if middle is None else (-middle, greatest - middle)
    if limits is not None and low <= limits.low < least:
        least = -greatest
    if limits is not None and most < limits.high <= high:
        most = greatest
    return max(low, least), min(high, most)


def within_shares(
    verdict: Verdict, wanted: Property, found: Samples, *, is_pair: bool = False
) -> Verdict:
    """Return a verdict whose intervals hold only what can be, with a caution where one is cut.

    Where a share lies outside of 0 to 100 %, as measurement may give it, nothing is cut.

    Parameters
    ----------
    is_pair
        Whether the verdict is on two candidates.
    """
    known = [one for one in found.values() if isinstance(one, Sample)]
    values = np.concatenate([np.empty(0), *(one.values for one in known)])
    greatest = greatest_of(wanted)
    if greatest is None or ((values < 0) | (values > greatest)).any():
        return verdict
    of_control = verdict.value_control if wanted.target is None else wanted.target
    if any(map(math.isnan, (of_control, verdict.effect, verdict.low))):
        return verdict
    middle = None if is_pair else of_control
    limits = Limits(verdict.limit_low, verdict.limit_high)
    low, high = cut_to_shares(verdict.low, verdict.high, middle, limits, greatest)
    firm = cut_to_shares(verdict.firm_low, verdict.firm_high, middle, limits, greatest)
    if (low, high) == (verdict.low, verdict.high):
        return replace(verdict, firm_low=firm[0], firm_high=firm[1])
    told = CUT if wanted.target is None and not is_pair else CUT_WHOLE
    told = CUT_RATE if wanted.method == "counts" else told
    return replace(
        verdict,
        low=low,
        high=high,
        firm_low=firm[0],
        firm_high=firm[1],
        cautions=(*verdict.cautions, told),
    )
