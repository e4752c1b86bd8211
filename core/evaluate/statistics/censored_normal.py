r"""Values of which some are only lower bounds: a normal distribution by maximum likelihood.

Where a bound takes the place of a value (the glue failed at 9 MPa, so the film bears more), the
plain mean is too low and leaving the bound out is worse. Both are avoided by the likelihood

.. math:: L(\mu, \sigma) = \prod_{i\,\in\,\text{values}}
    \frac{1}{\sigma}\,\varphi\!\Big(\frac{y_i - \mu}{\sigma}\Big)
    \prod_{j\,\in\,\text{bounds}} \Phi\!\Big(\frac{\mu - c_j}{\sigma}\Big)

with the normal density and distribution (Cohen, Ann. Math. Stat. 21 (1950) 557; from memory). Its
logarithm is concave in :math:`\delta = \mu/\sigma,\ \theta = 1/\sigma` (Olsen, Econometrica 46
(1978) 1211; from memory), so that there is one maximum, and Newton's steps find it. Validity: a
normal distribution, and bounds that have nothing to do with the value behind them: what breaks
first must not depend on how strong the film would have been.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from itertools import compress
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.grouping import RowGroups, Whole
from tiecoat.evaluate.statistics.censored_normal_many import Listed, OfValues, mean_ends
from tiecoat.evaluate.statistics.likeliest_many import ROUNDING, Likeliest, likeliest

Floats: TypeAlias = NDArray[np.float64]
Bools: TypeAlias = NDArray[np.bool_]

NO_MAXIMUM = "the likelihood has no maximum that could be found"


def checked(values: ArrayLike, is_bound: ArrayLike) -> tuple[Floats, Bools]:
    """Return values and marks as arrays of shape (n,).

    Raises
    ------
    ValueError
        If there are not as many marks as values, or a value is not finite.
    """
    listed, marks = np.asarray(values, dtype=float), np.asarray(is_bound, dtype=bool)
    if listed.ndim != 1 or listed.shape != marks.shape:
        raise ValueError(f"expected a mark for each value; {listed.shape} and {marks.shape}")
    if not np.isfinite(listed).all():
        raise ValueError("expected finite values")
    return listed, marks


@dataclass(frozen=True)
class CensoredNormal:
    """The normal distribution under which values and bounds are likeliest, in their unit.

    Standard errors are from the curvature of the likelihood (observed information). The standard
    deviation is the likeliest: as for n plain values with n, not n - 1, below the squares.

    `values` and `bounds` are what it was found from.
    """

    mean: float
    deviation: float
    mean_error: float
    deviation_error: float
    log_likelihood: float
    values: tuple[float, ...]
    bounds: tuple[float, ...]

    @property
    def mean_interval(self) -> tuple[float, float]:
        r"""The 95 % interval of the mean, from the profile of the likelihood.

        It holds every mean for which, at the likeliest deviation that goes with it,

        .. math:: 2 (\ln L_{max} - \ln L(\mu)) \le k \ln\big(1 + t_{k-1}^2 / (k-1)\big)

        with k values that are no bounds and Student's t at 97.5 %. Without bounds this is exactly
        the interval by Student's t; the limit of large samples, 3.84, would be too narrow. That k
        serves with bounds too is no theorem; the coverage is measured in the tests.

        The end is infinite where the likelihood does not fall that far.
        """
        values = np.array([*self.values, *self.bounds])
        is_bound = np.arange(len(values)) >= len(self.values)
        found = np.array([self.mean]), np.array([self.deviation])
        low, high = mean_ends(values, is_bound, RowGroups.whole(len(values)), *found)
        return float(low[0]), float(high[0])


def fit_censored_normal(values: ArrayLike, is_bound: ArrayLike) -> CensoredNormal:
    """Return the normal distribution of values of which some are lower bounds.

    Parameters
    ----------
    values
        Values and lower bounds, shape (n,), all in one unit.
    is_bound
        True where the value is only a lower bound, shape (n,).

    Raises
    ------
    NotDeterminable
        Where there are fewer than two values that are no bounds, or these are all equal: then
        nothing but the bounds would tell of the spread.
    ValueError
        If there are not as many marks as values, or a value is not finite.

    Examples
    --------
    Without bounds it is the plain mean; a bound moves it up.

    >>> round(fit_censored_normal([6.0, 7.0, 8.0], [False, False, False]).mean, 6)
    7.0
    >>> round(fit_censored_normal([6.0, 7.0, 8.0], [False, False, True]).mean, 4)
    7.2322
    """
    listed, marks = checked(values, is_bound)
    found = fits_of(listed, marks, RowGroups.whole(len(listed)))
    if found.reasons[0]:
        raise NotDeterminable(found.reasons[0])
    return CensoredNormal(
        mean=float(found.mean[0]),
        deviation=float(found.deviation[0]),
        mean_error=float(found.mean_error[0]),
        deviation_error=float(found.deviation_error[0]),
        log_likelihood=float(found.log_likelihood[0]),
        values=tuple(listed[~marks].tolist()),
        bounds=tuple(listed[marks].tolist()),
    )


@dataclass(frozen=True)
class CensoredNormals:
    """`CensoredNormal` of many groups, shape (count,) each; NaN where `reasons` says why not.

    `centre` and `scale` are mean and standard deviation of the values that are no bounds; delta and
    theta are those of the distribution in these.
    """

    mean: Floats
    deviation: Floats
    mean_error: Floats
    deviation_error: Floats
    log_likelihood: Floats
    reasons: list[str]
    centre: Floats
    scale: Floats
    delta: Floats
    theta: Floats

    def some(self, wanted: Bools) -> CensoredNormals:
        """Return those of some groups."""
        columns = {one.name: getattr(self, one.name) for one in fields(self)}
        reasons = list(compress(columns.pop("reasons"), wanted))
        return CensoredNormals(
            **{name: column[wanted] for name, column in columns.items()}, reasons=reasons
        )


def fits_of(values: Floats, is_bound: Bools, groups: RowGroups) -> CensoredNormals:
    """Return `fit_censored_normal` of each of many groups, or why it is not determinable.

    Parameters
    ----------
    values, is_bound
        Shape (n,).
    groups
        Their groups; each row belongs to one.

    Raises
    ------
    ValueError
        If a value is not finite.
    """
    if not np.isfinite(values).all():
        raise ValueError("expected finite values")
    y, c = values[~is_bound], values[is_bound]
    of_values = RowGroups(groups.of_row[~is_bound], groups.count)
    with np.errstate(invalid="ignore"):
        centre = of_values.mean(y)
        scale = np.sqrt(of_values.squares(y) / of_values.sizes)
    reasons = reasons_of(
        of_values.sizes,
        groups.sizes - of_values.sizes,
        scale <= ROUNDING * of_values.most(np.abs(y)),
    )
    told = np.flatnonzero([not why for why in reasons])
    within = np.full(groups.count, -1)
    within[told] = np.arange(len(told))
    scale[within < 0] = np.nan
    owner = groups.of_row[is_bound]
    used = within[owner] >= 0
    bounds = Listed(((c - centre[owner]) / scale[owner])[used], within[owner][used])
    each = (y - centre[of_values.of_row]) / scale[of_values.of_row]
    sums = OfValues(
        of_values.sizes[told].astype(float), of_values.sum(each)[told], of_values.sum(each**2)[told]
    )
    both = sums.beside(bounds)
    best = likeliest(both, np.zeros(len(told)), np.ones(len(told)))
    reached = both(best.delta, best.theta, np.arange(len(told)))[0]
    reached -= sums.number * np.log(scale[told])
    for place in told[np.isnan(best.delta)].tolist():
        reasons[place] = NO_MAXIMUM
    delta, theta, height, mean_error, deviation_error = np.full((5, groups.count), np.nan)
    delta[told], theta[told], height[told] = best.delta, best.theta, reached
    mean_error[told], deviation_error[told] = _errors(best) * scale[told]
    return CensoredNormals(
        centre + scale * delta / theta,
        scale / theta,
        mean_error,
        deviation_error,
        height,
        reasons,
        centre,
        scale,
        delta,
        theta,
    )


def reasons_of(values: Whole, bounds: Whole, alike: Bools) -> list[str]:
    """Say why groups have no fit, "" for those that have one.

    Parameters
    ----------
    values, bounds
        How many of each there are.
    alike
        Whether the values differ by nothing but the rounding of binary numbers.
    """
    return [
        _why_none(n, bound, same)
        for n, bound, same in zip(values.tolist(), bounds.tolist(), alike.tolist(), strict=True)
    ]


def _why_none(values: int, bounds: int, alike: bool) -> str:
    if not values:
        return f"all {bounds} are lower bounds" if bounds else "there is no value"
    if values == 1:
        return "only one value is not a lower bound; two are needed"
    return f"the {values} values that are no lower bounds are all equal" if alike else ""


def _errors(best: Likeliest) -> Floats:
    """Return the standard errors of mean and deviation, shape (2, k), in units of the scale."""
    by_delta, by_theta = 1 / best.theta, -best.delta / best.theta**2
    of_delta, both, of_theta = (
        best.covariance[:, row, column] for row, column in ((0, 0), (0, 1), (1, 1))
    )
    of_mean = by_delta**2 * of_delta + 2 * by_delta * by_theta * both + by_theta**2 * of_theta
    errors: Floats = np.sqrt(np.array([of_mean, of_theta / best.theta**4]))
    return errors
