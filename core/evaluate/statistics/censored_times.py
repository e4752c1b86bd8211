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
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq, minimize, minimize_scalar
from scipy.special import log_ndtr

from tiecoat.evaluate.estimate import Estimate, NotDeterminable, t_factor
from tiecoat.evaluate.statistics.turnbull import checked
from tiecoat.wording import counted

Floats: TypeAlias = NDArray[np.float64]
Distribution: TypeAlias = Literal["weibull", "log-normal"]
NAMED: dict[str, Distribution] = {
    "weibull": "weibull",
    "log-normal": "log-normal",
    "lognormal": "log-normal",
}

LEAST_PANELS = 3  # that say anything: two parameters and one panel to contradict them
LEAST_REACHED = 2  # Student's t of the interval has one degree of freedom less
LN_SPREAD = (math.log(1e-3), math.log(10.0))  # of ln t: beyond, the data set no limit
UNEVEN = (0.5, 1.5)  # no source; 58 +- 18 h stood beside an interval of 0 to 279557 h
FARTHEST = 10.0  # of ln t from the median; an end of the interval beyond is infinite
STEP = 1e-4  # of the differences for the curvature
LN_LN_2 = math.log(math.log(2))


@dataclass(frozen=True)
class TimesFit:
    """The likeliest distribution of the times, in their unit.

    Standard errors are from the curvature of the likelihood (observed information) and hold for
    many panels. `spread` is sigma, the scale of ln t.
    """

    distribution: Distribution
    ln_median: float
    ln_median_error: float
    spread: float
    spread_error: float
    log_likelihood: float
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

    @cached_property
    def median_interval(self) -> tuple[float, float]:
        r"""The 95 % interval of the median, from the profile of the likelihood.

        It holds every median for which, at the likeliest spread that goes with it,

        .. math:: 2 (\ln L_{max} - \ln L(t_{0.5})) \le k \ln\big(1 + t_{k-1}^2/(k-1)\big)

        with k panels that reached it and Student's t at 97.5 %, as for values with lower bounds
        (see censored.py). That it serves here is no theorem; the tests measure the coverage. An
        end is 0 or infinite where the likelihood does not fall that far.
        """
        k = sum(math.isfinite(end) for end in self.high)
        fall = 0.5 * k * math.log1p(t_factor(k - 1) ** 2 / (k - 1))
        return self._end(-1, fall), self._end(1, fall)

    def _end(self, side: int, fall: float) -> float:
        low, high = np.log(_open(self.low)), np.log(_open(self.high))
        start = math.log(self.spread)

        def above(distance: float) -> float:
            place = self.ln_median + side * distance
            found = minimize_scalar(
                lambda ln_spread: -_log_likelihood(place, ln_spread, low, high, self.distribution),
                bounds=(min(LN_SPREAD[0], start), max(LN_SPREAD[1], start)),
                method="bounded",
                options={"xatol": 1e-7},
            )
            return -float(found.fun) - self.log_likelihood + fall

        outside = max(self.ln_median_error, 1e-3)
        while above(outside) > 0:
            outside *= 2
            if outside > FARTHEST:
                return 0.0 if side < 0 else math.inf
        distance = brentq(above, 0.0, outside, xtol=1e-7, rtol=1e-10)
        return math.exp(self.ln_median + side * float(distance))


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
    law = NAMED.get(distribution)
    if law is None:
        raise ValueError(f'expected "weibull" or "log-normal", found {distribution!r}')
    begins, ends = checked(low, high)
    if (begins == ends).any():
        raise ValueError("expected intervals that are not empty")
    _must_tell(begins, ends)
    low_ln, high_ln = np.log(_open(begins)), np.log(_open(ends))

    def unlikely(parameters: Floats) -> float:
        return -_log_likelihood(float(parameters[0]), float(parameters[1]), low_ln, high_ln, law)

    best = _lowest(unlikely, _start(begins, ends))
    if not LN_SPREAD[0] < best[1] < LN_SPREAD[1]:
        raise NotDeterminable("the inspections set no limit to the spread of the times")
    covariance = _covariance(unlikely, best)
    spread = math.exp(best[1])
    return TimesFit(
        distribution=law,
        ln_median=float(best[0]),
        ln_median_error=math.sqrt(covariance[0, 0]),
        spread=spread,
        spread_error=spread * math.sqrt(covariance[1, 1]),
        log_likelihood=-unlikely(best),
        low=tuple(begins.tolist()),
        high=tuple(ends.tolist()),
    )


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


def _open(ends: ArrayLike) -> Floats:
    """Return ends of which 0 and infinity have a logarithm that is far out but finite."""
    return np.asarray(np.clip(np.asarray(ends, dtype=float), 1e-300, 1e300))


def _start(begins: Floats, ends: Floats) -> Floats:
    """Return the middle of ln t and half of its spread, from where the search starts."""
    known = np.isfinite(ends)
    lowest = np.where(begins > 0, begins, np.where(known, ends, 1.0) / 2)
    middle = np.log(np.where(known, (lowest + ends) / 2, 1.5 * lowest))
    return np.array([float(middle.mean()), math.log(max(float(middle.std()), 0.1))])


def _lowest(unlikely: Callable[[Floats], float], start: Floats) -> Floats:
    """Return where the likelihood is greatest: a coarse search, then a fine one from there."""
    found = start
    for _ in range(3):
        found = minimize(
            unlikely,
            found,
            method="Nelder-Mead",
            options={"xatol": 1e-10, "fatol": 1e-13, "maxiter": 2000},
        ).x
        if not LN_SPREAD[0] < found[1] < LN_SPREAD[1]:
            break
    return np.asarray(found)


def _covariance(unlikely: Callable[[Floats], float], best: Floats) -> Floats:
    """Return the inverse of the curvature, from central differences."""
    bend = np.empty((2, 2))
    steps = STEP * np.eye(2)
    for i in range(2):
        for j in range(2):
            corners = [
                sign * unlikely(best + a * steps[i] + b * steps[j])
                for a, b, sign in ((1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1))
            ]
            bend[i, j] = sum(corners) / (4 * STEP**2)
    if not (np.linalg.eigvalsh(bend) > 0).all():
        raise NotDeterminable("the likelihood has no single maximum")
    return np.asarray(np.linalg.inv(bend))


def _median_of(distribution: Distribution) -> float:
    """Return where half have reached it, in spreads from mu."""
    return LN_LN_2 if distribution == "weibull" else 0.0


def _log_likelihood(
    ln_median: float, ln_spread: float, low: Floats, high: Floats, distribution: Distribution
) -> float:
    spread, middle = math.exp(ln_spread), _median_of(distribution)
    begin, end = (low - ln_median) / spread + middle, (high - ln_median) / spread + middle
    if distribution == "weibull":
        # S(a) - S(b) = exp(-H(a)) (1 - exp(H(a) - H(b))) with H = exp(z)
        begun = np.exp(np.minimum(begin, 600.0))
        gained = np.exp(np.minimum(end, 600.0)) - begun
        return float(np.add.reduce(-begun + np.log(-np.expm1(-np.maximum(gained, 1e-300)))))
    begin = np.minimum(np.maximum(begin, -1e4), 1e4)
    end = np.minimum(np.maximum(end, -1e4), 1e4)
    swap = begin > 0  # the tail that is small is the one to subtract in
    lower, upper = np.where(swap, -end, begin), np.where(swap, -begin, end)
    less, more = log_ndtr(lower), log_ndtr(upper)
    share = np.exp(np.minimum(less - more, 0.0))
    return float(np.add.reduce(more + np.log(np.maximum(1 - share, 1e-300))))
