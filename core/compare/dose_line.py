"""A line through the doses of one candidate: its slope, interval, and whether it is straight."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import fdtrc, stdtr

from tiecoat.compare.samples import Sample
from tiecoat.evaluate.estimate import NotDeterminable, effective_freedom, pooled, t_factor
from tiecoat.evaluate.statistics.censored_normal import Floats

NO_SCATTER = "nothing tells of the scatter within doses"
BY_PANELS = "least squares, scatter within batches (Draper and Smith)"
BY_RESULTS = "least squares of results with their uncertainties (Welch)"


@dataclass(frozen=True)
class DoseLine:
    """Change for each per cent with its 95 % interval, p of none, p of a lack of fit, method.

    `lack_of_fit_p` is NaN where it cannot be checked. An end that is not known is infinite.
    """

    slope: float
    low: float
    high: float
    p: float
    lack_of_fit_p: float
    method: str

    @classmethod
    def by_t(
        cls, slope: float, error: float, freedom: float, method: str, lack_of_fit_p: float
    ) -> DoseLine:
        """Return a line whose slope has a standard error, by Student's t, two-sided."""
        half = t_factor(freedom) * error
        p = float(2 * stdtr(min(freedom, 1e9), -abs(slope / error)))
        return cls(slope, slope - half, slope + half, p, lack_of_fit_p, method)


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
        raise NotDeterminable(NO_SCATTER)
    sizes = np.array([len(one) for one in groups], dtype=float)
    means = np.array([one.mean() for one in groups])
    slope, spread = _slope(doses, means, sizes)
    off = means - np.average(means, weights=sizes) - slope * (doses - _centre(doses, sizes))
    lack = math.nan
    if (batches := len(groups)) > 2:
        square = float(sizes @ off**2) / (batches - 2) / deviation**2
        lack = float(fdtrc(batches - 2, freedom, square))
    return DoseLine.by_t(slope, deviation / math.sqrt(spread), freedom, BY_PANELS, lack)


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
    error = float(np.sqrt((parts**2).sum()))
    return DoseLine.by_t(slope, error, freedom, BY_RESULTS, math.nan)
