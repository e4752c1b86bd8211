"""Dose series of one candidate: how a property changes for each per cent of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.dose_line import DoseLine, line_of_reported, line_through
from tiecoat.compare.properties import Property
from tiecoat.compare.samples import Sample
from tiecoat.compare.time_trend import line_of_times
from tiecoat.compare.verdict import ratio_of
from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.statistics.censored_normal import Floats

CURVED_BELOW = 0.05
LEAST_DOSES = 3  # that tell a trend, that of the control included


@dataclass(frozen=True)
class Trend:
    """Change of a property for one per cent of a candidate, control included.

    Parameters
    ----------
    property, candidate, doses
        What changes with what, over which doses in %, that of the control included: 0, unless the
        register says that it holds some of the candidate.
    n
        Panels, or determinations.
    change_is
        difference (in the unit) or ratio, for each per cent.
    change, low, high
        With its 95 % interval; NaN where there is none. Of times an end may be open: 0 or infinite.
    p_alone
        Of no trend; adjusted for nothing.
    lack_of_fit_p
        Of a straight line; NaN where it cannot be checked.
    method
        How it was found; "" where there is none.
    reason
        Why there is no trend; else "".
    cautions
        What weakens it.
    """

    property: str
    candidate: str
    doses: tuple[float, ...]
    n: int
    unit: str
    change_is: str
    change: float = math.nan
    low: float = math.nan
    high: float = math.nan
    p_alone: float = math.nan
    lack_of_fit_p: float = math.nan
    method: str = ""
    reason: str = ""
    cautions: str = ""


def dose_trends(comparison: Comparison) -> list[Trend]:
    """Return the trend of each property over the doses of each candidate with two doses or more.

    One batch stands at each dose, so that batches that differ for other reasons pass for a trend
    or for curvature. Trends are not adjusted for their number.
    """
    candidates = comparison.batches[comparison.batches["batch"] != comparison.control]
    candidates = candidates[candidates["dose_percent"] > 0]
    found = []
    for name, part in candidates.groupby("candidate", sort=True):
        if part["dose_percent"].nunique() < LEAST_DOSES - 1:
            continue
        own = zip(part["batch"].tolist(), part["dose_percent"].tolist(), strict=True)
        in_control = _dose_of_control(comparison, str(name))
        doses: dict[str, float] = {comparison.control: in_control, **dict(own)}
        doses = dict(sorted(doses.items(), key=lambda item: item[1]))
        found += [_trend(comparison, one, str(name), doses) for one in comparison.properties]
    return found


def _dose_of_control(comparison: Comparison, candidate: str) -> float:
    """Return how much of a candidate is in the control: nothing, unless the register says so."""
    control = comparison.batches.loc[comparison.control].to_dict()
    if control["candidate"] != candidate or math.isnan(control["dose_percent"]):
        return 0.0
    return float(control["dose_percent"])


def _trend(
    comparison: Comparison, wanted: Property, candidate: str, doses: dict[str, float]
) -> Trend:
    samples = comparison.samples.get(wanted.label, {})
    with_bounds = wanted.method == "times"  # of which a line is found from bounds alone, too
    usable = {
        batch: one
        for batch in doses
        if isinstance(one := samples.get(batch), Sample) and (with_bounds or not one.is_floor)
    }
    given = tuple(doses[batch] for batch in usable)
    n = sum(one.n for one in usable.values())
    unit = next((one.unit for one in usable.values()), "")
    kind = "ratio" if wanted.by_ratio else "difference"
    start = Trend(wanted.label, candidate, given, n, unit, kind)
    try:
        line = _line(wanted, np.array(given), list(usable.values()))
    except NotDeterminable as why:
        return replace(start, reason=str(why))
    numbers = (line.slope, line.low, line.high)
    change, low, high = map(ratio_of, numbers) if wanted.by_ratio else numbers
    cautions = ["one batch at each dose: batches that differ for other reasons pass for a trend"]
    if line.lack_of_fit_p < CURVED_BELOW:
        cautions.append(
            "the batches lie farther from a straight line than panels scatter: it is curved, or"
            " batches differ for other reasons; the interval does not hold that"
        )
    if missing := [batch for batch in doses if batch not in usable]:
        cautions.append(f"without {', '.join(missing)}: no value, or only a lower bound of it")
    return replace(
        start,
        change=change,
        low=low,
        high=high,
        p_alone=line.p,
        lack_of_fit_p=line.lack_of_fit_p,
        method=line.method,
        cautions="; ".join(cautions),
    )


def _line(wanted: Property, doses: Floats, samples: Sequence[Sample]) -> DoseLine:
    if wanted.method in {"counts", "ratings"}:
        raise NotDeterminable(f"no trend is computed for {wanted.method}")
    if len(set(doses.tolist())) < LEAST_DOSES:
        raise NotDeterminable("fewer than three doses with values, the control included")
    if wanted.method == "times":
        return line_of_times(doses, samples)
    by_logs = wanted.scale == "ratio"
    if any(one.reported is not None for one in samples):
        if not all(one.reported is not None for one in samples):
            raise NotDeterminable("some batches have single values, others reported results")
        if min(one.n for one in samples) < 2:
            raise NotDeterminable("one determination: nothing tells how another one differs")
        return line_of_reported(doses, samples, by_logs)
    return line_through(doses, [np.log(one.values) if by_logs else one.values for one in samples])


def trend_table(trends: Sequence[Trend]) -> pd.DataFrame:
    """Return the trends, a row each, with the columns of `Trend`; doses as text."""
    rows = [{**vars(one), "doses": ", ".join(f"{d:g}" for d in one.doses)} for one in trends]
    return pd.DataFrame(rows, columns=list(Trend.__dataclass_fields__))
