r"""Times of which each is known only as an interval: Weibull or log-normal by maximum likelihood.

With :math:`z = (\ln t - \mu)/\sigma` the share that has reached it at t is
:math:`F = 1 - e^{-e^z}` (Weibull: shape :math:`1/\sigma`, scale :math:`e^\mu`) or
:math:`F = \Phi(z)` (log-normal), and

.. math:: L = \prod_i \big(F(z(b_i)) - F(z(a_i))\big)

over panels that reached it in :math:`(a_i, b_i]`, with 0 and infinity as ends where they are open.
The median :math:`t_{0.5} = e^{\mu + \sigma c}` takes the place of :math:`\mu` as parameter, with
c = ln ln 2 for Weibull and 0 for log-normal, so that its interval comes from the profile of the
likelihood (J. F. Lawless, Statistical Models and Methods for Lifetime Data, 2nd ed. 2003, chapter
5; from memory).

Validity: one distribution for all panels, independent panels, and inspections whose times were not
chosen by how the panel looked.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from tiecoat.evaluate.estimate import Estimate, NotDeterminable, t_factor, t_factors
from tiecoat.evaluate.grouping import Floats
from tiecoat.evaluate.statistics.interval_likelihood import IntervalLikelihood, MedianProfile
from tiecoat.evaluate.statistics.likeliest_many import likeliest, profile_ends
from tiecoat.evaluate.statistics.turnbull import checked
from tiecoat.wording import counted

Distribution: TypeAlias = Literal["weibull", "log-normal"]
NAMED: dict[str, Distribution] = {
    "weibull": "weibull",
    "log-normal": "log-normal",
    "lognormal": "log-normal",
}

LEAST_PANELS = 3  # that say anything: two parameters and one panel to contradict them
LEAST_REACHED = 2  # Student's t of the interval has one degree of freedom less
SPREADS = (1e-3, 10.0)  # of ln t: beyond, the data set no limit
UNEVEN = (0.5, 1.5)  # no source; 58 +- 18 h stood beside an interval of 0 to 279557 h
FARTHEST = 10.0  # of ln t from the median; an end of the interval beyond is infinite
LEAST_START = 1e-3  # of ln t from the median, where the search for an end of the interval begins


@dataclass(frozen=True)
class TimesFit:
    r"""The likeliest distribution of the times, in their unit.

    Standard errors are from the curvature of the likelihood (observed information) and hold for
    many panels. `spread` is sigma, the scale of ln t. `median_interval` is the 95 % interval of the
    median, from the profile of the likelihood: it holds every median for which, at the likeliest
    spread that goes with it,

    .. math:: 2 (\ln L_{max} - \ln L(t_{0.5})) \le k \ln\big(1 + t_{k-1}^2/(k-1)\big)

    with k panels that reached it and Student's t at 97.5 %, as for values with lower bounds (see
    censored.py). That it serves here is no theorem; the tests measure the coverage. An end is 0 or
    infinite where the likelihood does not fall that far.
    """

    distribution: Distribution
    ln_median: float
    ln_median_error: float
    spread: float
    spread_error: float
    log_likelihood: float
    median_interval: tuple[float, float]
    low: tuple[float, ...] = field(repr=False)
    high: tuple[float, ...] = field(repr=False)

    @property
    def median(self) -> Estimate:
        """The median with its standard error; the interval is `median_interval`."""
        value = math.exp(self.ln_median)
        return Estimate(value, value * self.ln_median_error, n=len(self.low))

    @property
    def shape(self) -> Estimate:
        """The shape 1/sigma of a Weibull distribution."""
        return Estimate(1 / self.spread, self.spread_error / self.spread**2, n=len(self.low))

    @property
    def open_ends(self) -> list[str]:
        """The sides on which the interval of the median does not end, in words."""
        low, high = self.median_interval
        open_ = (("lower", low == 0), ("upper", math.isinf(high)))
        return [f"the interval has no {side} end" for side, is_open in open_ if is_open]

    @property
    def is_even(self) -> bool:
        """Whether the standard errors describe the likelihood, as its profile shows.

        Each end of `median_interval` lies 0.5 to 1.5 times as far from the median, in ln t, as
        Student's t with the standard error would have it. Else the likelihood is no parabola, and a
        standard error says nothing.
        """
        low, high = self.median_interval
        if low == 0 or math.isinf(high):
            return False
        reached = sum(math.isfinite(end) for end in self.high)
        half = t_factor(reached - 1) * self.ln_median_error
        ends = (self.ln_median - math.log(low), math.log(high) - self.ln_median)
        return all(UNEVEN[0] < end / half < UNEVEN[1] for end in ends)


def with_median(fit: TimesFit | NotDeterminable) -> TimesFit | NotDeterminable:
    """Return a fit whose median is worth telling, else why it is not.

    One whose interval ends on neither side says nothing: of panels at 0 to 24, 72 to 168 and beyond
    168 h, the likeliest median is 79 h, and no time is excluded.
    """
    if isinstance(fit, TimesFit) and len(fit.open_ends) > 1:
        return NotDeterminable("the interval of the median has no end on either side")
    return fit


def fit_times(
    low: ArrayLike, high: ArrayLike, distribution: Distribution | Literal["lognormal"]
) -> TimesFit:
    """Return the distribution of times of which each lies in an interval (low, high].

    Parameters
    ----------
    low
        The last time at which it had not happened, 0 or more, shape (n,), all in one unit.
    high
        The first time at which it had, shape (n,); infinite where it never had.
    distribution
        `weibull` or `log-normal`, which may be written as one word.

    Raises
    ------
    NotDeterminable
        Where there are fewer than 3 panels that say anything, which one that was never rated below
        and never reached it does not; where fewer than 2 reached it; where all of them may have
        reached it at one time, or between the same two neighbouring inspections, so that nothing
        tells of the spread; where the data set no limit to the spread.
    ValueError
        If an interval is empty or ends before it begins, a time is negative, or the distribution is
        another word.

    Examples
    --------
    >>> fit = fit_times([100, 250, 500, 750], [250, 500, 750, math.inf], "weibull")
    >>> round(fit.median.value), round(fit.shape.value, 2)
    (496, 1.73)
    """
    (found,) = fit_many([(low, high)], distribution)
    if isinstance(found, NotDeterminable):
        raise found
    return found


def fit_many(
    groups: Sequence[tuple[ArrayLike, ArrayLike]], distribution: Distribution | Literal["lognormal"]
) -> list[TimesFit | NotDeterminable]:
    """Return what `fit_times` finds of the ends `low` and `high` of each of many groups of panels.

    Where it would raise `NotDeterminable` that stands in the place of the group.
    """
    law = NAMED.get(distribution)
    if law is None:
        raise ValueError(f'expected "weibull" or "log-normal", found {distribution!r}')
    found: dict[int, TimesFit | NotDeterminable] = {}
    telling: dict[int, tuple[Floats, Floats]] = {}
    for place, (low, high) in enumerate(groups):
        try:
            telling[place] = _telling(low, high)
        except NotDeterminable as why:
            found[place] = why
    if telling:
        found.update(zip(telling, _fitted(list(telling.values()), law), strict=True))
    return [found[place] for place in range(len(groups))]


def _telling(low: ArrayLike, high: ArrayLike) -> tuple[Floats, Floats]:
    """Return the ends of the intervals of panels that may be fitted."""
    begins, ends = checked(low, high)
    if (begins == ends).any():
        raise ValueError("expected intervals that are not empty")
    _must_tell(begins, ends)
    return begins, ends


def _fitted(
    groups: Sequence[tuple[Floats, Floats]], law: Distribution
) -> list[TimesFit | NotDeterminable]:
    """Return the likeliest distribution of each group: the logarithms about a middle, at once."""
    start, spread = np.array([_start(*each) for each in groups]).T
    of = IntervalLikelihood.of(groups, start, law)
    best = likeliest(of, np.zeros(len(groups)), 1 / spread)
    with np.errstate(invalid="ignore"):
        mean, spread = best.delta / best.theta, 1 / best.theta
        by_delta, by_theta = spread, -mean * spread  # slopes of the mean
        (delta, both), (_, theta) = np.moveaxis(best.covariance, 0, 2)
        error = np.sqrt(by_delta**2 * delta + 2 * by_delta * by_theta * both + by_theta**2 * theta)
        spread_error = np.sqrt(best.covariance[:, 1, 1]) * spread**2
        limited = (spread > SPREADS[0]) & (spread < SPREADS[1])
    known = np.flatnonzero(limited)
    ends = np.full((2, len(groups)), np.nan)
    if len(known):
        some = of.some(known)
        k = np.array([np.isfinite(groups[place][1]).sum() for place in known.tolist()], dtype=float)
        fall = 0.5 * k * np.log1p(t_factors(k - 1) ** 2 / (k - 1))
        near = np.maximum(error[known], LEAST_START)
        for row, sign in enumerate((-1.0, 1.0)):
            side = MedianProfile(
                some, mean[known], best.theta[known], sign, (1 / SPREADS[1], 1 / SPREADS[0])
            )
            reach = profile_ends(side.at, fall, near, FARTHEST)
            ends[row, known] = np.exp(start[known] + mean[known] + sign * reach)
    heights = of(best.delta, best.theta, np.arange(len(groups)))[0]
    numbers = np.array([start + mean, error, spread, spread_error, heights]).T.tolist()
    told: list[TimesFit | NotDeterminable] = []
    for found, (begin, end), is_limited, (low, high) in zip(
        numbers, ends.T.tolist(), limited.tolist(), groups, strict=True
    ):
        if not is_limited:
            told.append(NotDeterminable("the inspections set no limit to the spread of the times"))
            continue
        ln_median, ln_error, sigma, sigma_error, height = found
        times = tuple(low.tolist()), tuple(high.tolist())
        told.append(
            TimesFit(law, ln_median, ln_error, sigma, sigma_error, height, (begin, end), *times)
        )
    return told


def _must_tell(begins: Floats, ends: Floats) -> None:
    telling, reached = int(((begins > 0) | np.isfinite(ends)).sum()), int(np.isfinite(ends).sum())
    if telling < LEAST_PANELS:
        known = f"something is known of {counted(telling, 'panel')}"
        raise NotDeterminable(f"{known}; a distribution needs {LEAST_PANELS} at least")
    if not reached:
        last_h = begins[begins > 0].min()
        raise NotDeterminable(f"none of {telling} panels reached it by {last_h:g} h")
    if reached < LEAST_REACHED:
        raise NotDeterminable("only one panel reached it; two are needed")
    if begins.max() <= ends.min():  # then the likelihood rises as the spread shrinks to nothing
        raise NotDeterminable(
            "all panels may have reached it at nearly one time: the inspections do not resolve"
            " the spread"
        )


def _start(begins: Floats, ends: Floats) -> tuple[float, float]:
    """Return the middle of ln t and half of its spread, from where the search starts."""
    known = np.isfinite(ends)
    lowest = np.where(begins > 0, begins, np.where(known, ends, 1.0) / 2)
    middle = np.log(np.where(known, (lowest + ends) / 2, 1.5 * lowest))
    return float(middle.mean()), max(float(middle.std()), 0.1)
