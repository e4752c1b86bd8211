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

import math
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import brentq
from scipy.special import log_ndtr

from tiecoat.evaluate.estimate import Estimate, NotDeterminable, mean_of, t_factor

Floats: TypeAlias = NDArray[np.float64]
Bools: TypeAlias = NDArray[np.bool_]

MOST_STEPS = 100
SETTLED = 1e-18  # half of what the next step could add to the logarithm of the likelihood
FARTHEST = 1e3  # standard deviations from the mean; an end of the interval beyond is infinite
_HALF_LN_2PI = 0.5 * math.log(2 * math.pi)


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
        k = len(self.values)
        fall = 0.5 * k * math.log1p(t_factor(k - 1) ** 2 / (k - 1))
        return self._end(-1, fall), self._end(1, fall)

    def _end(self, side: int, fall: float) -> float:
        def above(deviations: float) -> float:
            mean = self.mean + side * deviations * self.deviation
            return self._profile(mean) - self.log_likelihood + fall

        outside = 1.0
        while above(outside) > 0:
            outside *= 2
            if outside > FARTHEST:
                return side * math.inf
        found = brentq(above, 0.0, outside, xtol=1e-12, rtol=1e-12)
        return self.mean + side * float(found) * self.deviation

    def _profile(self, mean: float) -> float:
        """Return the greatest logarithm of the likelihood for a given mean."""
        y = (np.array(self.values) - mean) / self.deviation
        c = (mean - np.array(self.bounds)) / self.deviation
        theta = math.sqrt(len(y) / float(y @ y))  # the best one without bounds
        for _ in range(MOST_STEPS):
            hazard = _hazard(theta * c)
            slope = len(y) / theta - theta * float(y @ y) + float(hazard @ c)
            bend = len(y) / theta**2 + float(y @ y)
            bend += float((hazard * (hazard + theta * c)) @ c**2)
            step = slope / bend
            theta = theta + step if step > -theta / 2 else theta / 2
            if slope * step < SETTLED:
                break
        return _log_likelihood(theta * y, theta * c, self.deviation / theta)


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
    y, c = listed[~marks], listed[marks]
    _must_tell(y, c)
    centre, scale = float(y.mean()), float(y.std())
    delta, theta, covariance = _likeliest((y - centre) / scale, (c - centre) / scale)
    mean, deviation = centre + scale * delta / theta, scale / theta
    # d(mean) and d(deviation) over d(delta) and d(theta)
    turn = scale * np.array([[1 / theta, -delta / theta**2], [0.0, -1 / theta**2]])
    errors = np.sqrt(np.diag(turn @ covariance @ turn.T))
    reached = _log_likelihood((y - mean) / deviation, (mean - c) / deviation, deviation)
    return CensoredNormal(
        mean=mean,
        deviation=deviation,
        mean_error=float(errors[0]),
        deviation_error=float(errors[1]),
        log_likelihood=reached,
        values=tuple(y.tolist()),
        bounds=tuple(c.tolist()),
    )


def _must_tell(y: Floats, c: Floats) -> None:
    if not len(y):
        raise NotDeterminable(f"all {len(c)} are lower bounds" if len(c) else "there is no value")
    if len(y) == 1:
        raise NotDeterminable("only one value is not a lower bound; two are needed")
    if y.std() <= 1e-12 * abs(y).max():  # nothing but the rounding of binary numbers
        raise NotDeterminable(f"the {len(y)} values that are no lower bounds are all equal")


def _likeliest(y: Floats, c: Floats) -> tuple[float, float, Floats]:
    """Return delta, theta and their covariance by Newton's steps, halved where they overshoot."""
    delta, theta = 0.0, 1.0
    for _ in range(MOST_STEPS):
        residual = theta * y - delta
        hazard = _hazard(delta - theta * c)
        slope = np.array(
            [
                residual.sum() + hazard.sum(),
                len(y) / theta - residual @ y - hazard @ c,
            ]
        )
        bend = hazard * (hazard + delta - theta * c)
        information = np.array(
            [
                [len(y) + bend.sum(), -y.sum() - bend @ c],
                [-y.sum() - bend @ c, len(y) / theta**2 + y @ y + bend @ c**2],
            ]
        )
        covariance = np.linalg.inv(information)
        step = covariance @ slope
        if slope @ step < SETTLED:
            return delta, theta, covariance
        here = _log_likelihood(residual, delta - theta * c, 1 / theta)
        while True:
            after = (delta + step[0], theta + step[1])
            if after[1] > 0:
                there = _log_likelihood(
                    after[1] * y - after[0], after[0] - after[1] * c, 1 / after[1]
                )
                if there >= here - 1e-12 * abs(here):
                    break
            step = step / 2
        delta, theta = float(after[0]), float(after[1])
    raise NotDeterminable("the likelihood has no maximum that could be found")


def _hazard(z: Floats) -> Floats:
    """Return the normal density over the distribution, also far out."""
    return np.asarray(np.exp(-0.5 * z**2 - _HALF_LN_2PI - log_ndtr(z)))


def _log_likelihood(values: Floats, bounds: Floats, deviation: float) -> float:
    """Return it from standardised distances: value - mean, and mean - bound."""
    of_values = -0.5 * float(values @ values) - len(values) * (_HALF_LN_2PI + math.log(deviation))
    return of_values + float(log_ndtr(bounds).sum())


def mean_over_units(values: ArrayLike, is_bound: ArrayLike, units: ArrayLike) -> Estimate:
    r"""Return the mean of values of which some are bounds, with whole units as what varies.

    Values of one panel have more in common than those of two, so that the interval must rest on
    the panels. It is found from their pseudo-values:

    .. math:: u^2 = \frac{1}{m (m-1)} \sum_j (\tilde\mu_j - \hat\mu)^2

    with m - 1 degrees of freedom; NaN where the panels agree to the last digit, and so tell nothing
    of their spread. Without bounds, and with as many values of each panel, it is the interval by
    Student's t from the means of the panels.

    Parameters
    ----------
    values, is_bound, units
        As for `pseudo_values`.

    Raises
    ------
    NotDeterminable, ValueError
        As `pseudo_values`.
    """
    of_units = pseudo_values(values, is_bound, units)
    return replace(mean_of(list(of_units.values())), n=len(np.asarray(values)))


def pseudo_values(values: ArrayLike, is_bound: ArrayLike, units: ArrayLike) -> dict[str, float]:
    r"""Return what each unit adds to the mean of values of which some are bounds.

    Each of the m units is left out in turn:

    .. math:: \tilde\mu_j = m \hat\mu - (m - 1) \hat\mu_{(-j)} + \text{shift}

    (Tukey's jackknife; Miller, Biometrika 61 (1974) 1; from memory), shifted so that their mean is
    that of all together. Without bounds, and with as many values of each unit, they are the means
    of the units.

    Parameters
    ----------
    values
        Values and lower bounds, shape (n,), all in one unit of measure.
    is_bound
        True where the value is only a lower bound, shape (n,).
    units
        The panel of each, shape (n,).

    Raises
    ------
    NotDeterminable
        Where there is one unit, or all together or the rest without one of them have too few
        values that are no bounds.
    ValueError
        If there are not as many marks as values, or a value is not finite.
    """
    listed, marks = checked(values, is_bound)
    names, number = np.unique(np.asarray(units, dtype=str), return_inverse=True)
    if len(names) < 2:
        raise NotDeterminable("there is only one unit")
    whole = fit_censored_normal(listed, marks).mean
    pseudo = []
    for place, name in enumerate(names):
        rest = number != place
        try:
            without = fit_censored_normal(listed[rest], marks[rest]).mean
        except NotDeterminable as why:
            raise NotDeterminable(f"without {name}: {why}") from None
        pseudo.append(len(names) * whole - (len(names) - 1) * without)
    shift = whole - float(np.mean(pseudo))
    return dict(zip(names.tolist(), (np.array(pseudo) + shift).tolist(), strict=True))
