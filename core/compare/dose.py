"""Dose series of one candidate: how a property changes for each per cent of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass

import numpy as np
import pandas as pd
from scipy.special import fdtrc, stdtr

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.properties import Property
from tiecoat.compare.samples import Sample
from tiecoat.compare.verdict import ratio_of
from tiecoat.evaluate.estimate import NotDeterminable, effective_freedom, pooled, t_factor
from tiecoat.evaluate.statistics.censored_normal import Floats

CURVED_BELOW = 0.05


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
        With its 95 % interval; NaN where there is none.
    p
        Of no trend; not adjusted for the number of candidates and properties.
    lack_of_fit_p
        Of a straight line; NaN where it cannot be checked.
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
    p: float = math.nan
    lack_of_fit_p: float = math.nan
    reason: str = ""
    cautions: str = ""


@dataclass(frozen=True)
class DoseLine:
    """Slope of means over doses, with its standard error and degrees of freedom."""

    slope: float
    standard_error: float
    freedom: float
    lack_of_fit_p: float

    @property
    def interval(self) -> tuple[float, float]:
        """The 95 % interval by Student's t."""
        half = t_factor(self.freedom) * self.standard_error
        return self.slope - half, self.slope + half

    @property
    def p(self) -> float:
        """Of a slope of zero, two-sided."""
        t = abs(self.slope / self.standard_error)
        return float(2 * stdtr(min(self.freedom, 1e9), -t))


def line_through(doses: Floats, groups: Sequence[Floats]) -> DoseLine:
    r"""Return the least-squares line through panels at several doses.

    .. math:: b = \frac{\sum_i n_i (x_i - \bar x) \bar y_i}{\sum_i n_i (x_i - \bar x)^2}, \qquad
        u^2(b) = \frac{s^2}{\sum_i n_i (x_i - \bar x)^2}

    with the variance s^2 within doses, so that neither curvature nor differences between batches
    pass for scatter; both show in the test of lack of fit, F of the distances of the means from
    the line (Draper and Smith, Applied Regression Analysis, 1966; from memory). Each batch has a
    mean of its own there, also beside another one of its dose.

    Parameters
    ----------
    doses
        Of each batch, shape (k,), at least two that differ.
    groups
        Values of each batch, k arrays.

    Raises
    ------
    NotDeterminable
        If nothing tells of the scatter within doses.
    """
    deviation, freedom = pooled(groups)
    largest = max(float(np.abs(one).max()) for one in groups)
    if not deviation > 1e-12 * largest:
        raise NotDeterminable("nothing tells of the scatter within doses")
    sizes = np.array([len(one) for one in groups], dtype=float)
    means = np.array([one.mean() for one in groups])
    slope, spread = _slope(doses, means, sizes)
    off = means - np.average(means, weights=sizes) - slope * (doses - _centre(doses, sizes))
    lack = math.nan
    if (batches := len(groups)) > 2:
        square = float(sizes @ off**2) / (batches - 2) / deviation**2
        lack = float(fdtrc(batches - 2, freedom, square))
    return DoseLine(slope, deviation / math.sqrt(spread), freedom, lack)


def _centre(doses: Floats, weights: Floats) -> float:
    return float(np.average(doses, weights=weights))


def _slope(doses: Floats, means: Floats, weights: Floats) -> tuple[float, float]:
    """Return the slope and the weighted sum of squared distances of the doses."""
    away = doses - _centre(doses, weights)
    spread = float(weights @ away**2)
    return float((weights * away) @ means) / spread, spread


def line_of_reported(doses: Floats, samples: Sequence[Sample], by_logs: bool) -> DoseLine:
    """Return the least-squares line through results with their reported uncertainty.

    All weigh the same; the uncertainty of the slope is that of the sum, with the degrees of
    freedom by Welch and Satterthwaite.

    Raises
    ------
    NotDeterminable
        If the uncertainty of one is not known.
    """
    reported = [one.reported for one in samples if one.reported is not None]
    values = np.array([one.value for one in reported])
    errors = np.array([one.standard_error for one in reported])
    if by_logs:
        values, errors = np.log(values), errors / values
    if not (errors > 0).all():
        raise NotDeterminable("the uncertainty of a result is not known")
    even = np.ones(len(doses))
    slope, spread = _slope(doses, values, even)
    parts = np.abs(doses - doses.mean()) / spread * errors
    freedom = effective_freedom(
        [(float(u), one.freedom) for u, one in zip(parts, reported, strict=True)]
    )
    return DoseLine(slope, float(np.sqrt((parts**2).sum())), freedom, math.nan)


def dose_trends(comparison: Comparison) -> list[Trend]:
    """Return the trend of each property over the doses of each candidate with two doses or more.

    One batch stands at each dose, so that batches that differ for other reasons pass for a trend
    or for curvature. Trends are not adjusted for their number.
    """
    candidates = comparison.batches[comparison.batches["batch"] != comparison.control]
    candidates = candidates[candidates["dose_percent"] > 0]
    found = []
    for name, part in candidates.groupby("candidate", sort=True):
        if part["dose_percent"].nunique() < 2:
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
    usable = {b: s for b in doses if isinstance(s := samples.get(b), Sample) and not s.is_floor}
    given = tuple(doses[batch] for batch in usable)
    by_logs = wanted.scale == "ratio"
    n = sum(one.n for one in usable.values())
    unit = next((one.unit for one in usable.values()), "")
    kind = "ratio" if by_logs else "difference"
    start = Trend(wanted.label, candidate, given, n, unit, kind)
    try:
        line = _line(wanted, np.array(given), list(usable.values()))
    except NotDeterminable as why:
        return Trend(**{**asdict(start), "reason": str(why)})
    slope, (low, high) = line.slope, line.interval
    if by_logs:
        slope, low, high = (ratio_of(one) for one in (slope, low, high))
    cautions = ["one batch at each dose: batches that differ for other reasons pass for a trend"]
    if line.lack_of_fit_p < CURVED_BELOW:
        cautions.append(
            "the batches lie farther from a straight line than panels scatter: it is curved, or"
            " batches differ for other reasons; the interval does not hold that"
        )
    if missing := [batch for batch in doses if batch not in usable]:
        cautions.append(f"without {', '.join(missing)}: no value, or only a lower bound of it")
    more = {"change": slope, "low": low, "high": high, "p": line.p}
    more |= {"lack_of_fit_p": line.lack_of_fit_p}
    return Trend(**{**asdict(start), **more, "cautions": "; ".join(cautions)})


def _line(wanted: Property, doses: Floats, samples: Sequence[Sample]) -> DoseLine:
    if wanted.method in {"counts", "ratings", "times"}:
        raise NotDeterminable(f"no trend is computed for {wanted.method}")
    if len(set(doses.tolist())) < 3:
        raise NotDeterminable("fewer than three doses with values, the control included")
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
    rows = [{**asdict(one), "doses": ", ".join(f"{d:g}" for d in one.doses)} for one in trends]
    return pd.DataFrame(rows, columns=list(Trend.__dataclass_fields__))
