r"""The likelihood of `censored_normal` for many groups of values and lower bounds at once.

Of the values the likelihood needs only their number, their sum and the sum of their squares; the
bounds are

.. math:: F(\delta, \theta) = \sum_{j\,\in\,\text{bounds}} \ln \Phi(\delta - \theta c_j)

with its first and second derivatives. All groups take Newton's steps together.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr

from tiecoat.evaluate.estimate import t_factors
from tiecoat.evaluate.grouping import Floats, RowGroups, Whole

Bools: TypeAlias = NDArray[np.bool_]

MOST_STEPS = 100
SETTLED = 1e-18  # half of what the next step could add to the logarithm of the likelihood
ROUNDING = 1e-12  # relative
FARTHEST = 1e3  # standard deviations from the mean; an end of the interval beyond is infinite
HALF_LN_2PI = 0.5 * math.log(2 * math.pi)

# (delta (k,), theta (k,), which problems (k,)) -> F and its derivatives by delta, theta, delta
# twice, both, theta twice, shape (6, k)
OfBounds: TypeAlias = Callable[[Floats, Floats, Whole], Floats]


@dataclass(frozen=True)
class OfValues:
    """What the likelihood needs of the values of each problem: number, sum, sum of squares."""

    number: Floats
    total: Floats
    squares: Floats

    def likelihood(self, delta: Floats, theta: Floats, who: Whole) -> Floats:
        """Return the logarithm of the likelihood of some, and its derivatives as of the bounds."""
        n, total, squares = self.number[who], self.total[who], self.squares[who]
        apart = theta * theta * squares - 2 * theta * delta * total + n * delta * delta
        return np.array(
            [
                -0.5 * apart + n * (np.log(theta) - HALF_LN_2PI),
                theta * total - n * delta,
                n / theta - theta * squares + delta * total,
                -n,
                total,
                -n / theta**2 - squares,
            ]
        )


@dataclass(frozen=True)
class Listed:
    """Bounds one by one: their problem each, and whether each counts once or is taken away."""

    bounds: Floats
    owner: Whole
    weight: Floats | None = None

    def __call__(self, delta: Floats, theta: Floats, who: Whole) -> Floats:
        """Return F and its derivatives for some problems."""
        place = np.full(int(max(self.owner.max(initial=-1), who.max(initial=-1))) + 1, -1)
        place[who] = np.arange(len(who))
        at = place[self.owner]
        used = at >= 0
        at, c = at[used], self.bounds[used]
        z = delta[at] - theta[at] * c
        ln = log_ndtr(z)
        hazard = hazard_of(z, ln)
        bend = -hazard * (hazard + z)
        each = [ln, hazard, -hazard * c, bend, -bend * c, bend * c * c]
        if self.weight is not None:
            each = [one * self.weight[used] for one in each]
        return np.array([np.bincount(at, one, len(who)) for one in each])


def hazard_of(z: Floats, ln: Floats) -> Floats:
    """Return the normal density over the distribution, whose logarithm is given, also far out."""
    found: Floats = np.exp(-0.5 * z**2 - HALF_LN_2PI - ln)
    return found


@dataclass(frozen=True)
class Likeliest:
    """delta, theta and their covariance, shape (k,), (k,) and (k, 2, 2); NaN if never settled."""

    delta: Floats
    theta: Floats
    covariance: Floats


def likeliest(values: OfValues, bounds: OfBounds, delta: Floats, theta: Floats) -> Likeliest:
    """Return the likeliest parameters by Newton's steps, halved where they overshoot.

    Parameters
    ----------
    values, bounds
        Of each problem.
    delta, theta
        Where to begin, shape (k,).
    """
    delta, theta = delta.copy(), theta.copy()
    covariance = np.full((len(delta), 2, 2), np.nan)

    def both(at_delta: Floats, at_theta: Floats, who: Whole) -> Floats:
        found: Floats = values.likelihood(at_delta, at_theta, who)
        return found + bounds(at_delta, at_theta, who)

    going = np.arange(len(delta))
    here = both(delta, theta, going)
    for _ in range(MOST_STEPS):
        inverse = _inverse(here)
        step = (inverse @ here[1:3].T[:, :, None])[:, :, 0]
        done = (here[1:3].T * step).sum(axis=1) < SETTLED
        covariance[going[done]] = inverse[done]
        delta[going[done]] += step[done, 0]
        theta[going[done]] += step[done, 1]
        going, here, step = going[~done], here[:, ~done], step[~done]
        if not len(going):
            break
        left = np.arange(len(going))
        reached = here[0].copy()
        while len(left):  # those whose step was too long
            after = np.array([delta[going[left]], theta[going[left]]]) + step[left].T
            above_zero = after[1] > 0
            after[1] = np.where(above_zero, after[1], theta[going[left]])
            there = both(after[0], after[1], going[left])
            better = above_zero & (there[0] >= reached[left] - ROUNDING * np.abs(reached[left]))
            taken = left[better]
            delta[going[taken]], theta[going[taken]] = after[:, better]
            here[:, taken] = there[:, better]
            left = left[~better]
            step[left] /= 2
    delta[going] = np.nan
    return Likeliest(delta, theta, covariance)


def _inverse(found: Floats) -> Floats:
    """Return the inverse of the information, shape (k, 2, 2)."""
    by_delta, both, by_theta = -found[3:]
    determinant = by_delta * by_theta - both * both
    inverse = np.array([[by_theta, -both], [-both, by_delta]]) / determinant
    found_inverse: Floats = inverse.transpose(2, 0, 1)
    return found_inverse


def mean_ends(
    values: Floats, is_bound: Bools, groups: RowGroups, mean: Floats, deviation: Floats
) -> tuple[Floats, Floats]:
    """Return the ends of the interval of each mean; see `CensoredNormal.mean_interval`.

    Parameters
    ----------
    values, is_bound
        Shape (n,).
    groups
        Their groups.
    mean, deviation
        The likeliest of each group, shape (count,).
    """
    away = (values - mean[groups.of_row]) / deviation[groups.of_row]
    of_values, of_bounds = (np.flatnonzero(one) for one in (~is_bound, is_bound))
    ends = []
    for side in (-1.0, 1.0):
        profile = _OneSide(
            RowGroups(groups.of_row[of_values], groups.count),
            side * away[of_values],
            groups.of_row[of_bounds],
            away[of_bounds],
            side,
        )
        ends.append(mean + side * profile.ends() * deviation)
    return ends[0], ends[1]


@dataclass(frozen=True)
class _OneSide:
    """The profile of the likelihood of means on one side of the likeliest, in its deviations."""

    values: RowGroups
    away: Floats  # of each value, positive on this side
    owner: Whole
    bounds: Floats
    side: float

    def ends(self) -> Floats:
        """Return how far each interval reaches; infinite where the likelihood falls too little."""
        k = self.values.sizes.astype(float)
        fall = 0.5 * k * np.log1p(t_factors(k - 1) ** 2 / (k - 1))
        who = np.arange(self.values.count)
        least = self.at(np.zeros(len(who)), who)[0] - fall
        far = np.ones(len(who))
        going = who
        while len(going):
            above = self.at(far[going], going)[0] > least[going]
            going = going[above & (far[going] <= FARTHEST)]
            far[going] *= 2
        far[far > FARTHEST] = np.inf
        return self._crossings(far, least)

    def _crossings(self, far: Floats, least: Floats) -> Floats:
        """Return where each profile falls below the least, from a point beyond."""
        low, high, found = np.zeros(len(far)), far.copy(), far.copy()
        going = np.flatnonzero(np.isfinite(far))
        for _ in range(MOST_STEPS):
            if not len(going):
                break
            at = found[going]
            height, slope = self.at(at, going)
            above = height > least[going]
            low[going] = np.where(above, at, low[going])
            high[going] = np.where(above, high[going], at)
            with np.errstate(divide="ignore", invalid="ignore"):
                after = at - (height - least[going]) / slope
            inside = (after >= low[going]) & (after <= high[going])
            found[going] = np.where(inside, after, (low[going] + high[going]) / 2)
            going = going[np.abs(found[going] - at) > ROUNDING * (1 + at)]
        return found

    def at(self, deviations: Floats, who: Whole) -> tuple[Floats, Floats]:
        """Return the greatest logarithm of the likelihood at some means, and its slope."""
        moved = np.zeros(self.values.count)
        moved[who] = deviations
        y = self.away - moved[self.values.of_row]
        squares, total = self.values.sum(y * y)[who], self.values.sum(y)[who]
        k = self.values.sizes[who].astype(float)
        place = np.full(self.values.count, -1)
        place[who] = np.arange(len(who))
        used = place[self.owner] >= 0
        at = place[self.owner[used]]
        c = self.side * deviations[at] - self.bounds[used]

        def summed(each: Floats) -> Floats:
            found: Floats = np.bincount(at, each, len(who)).astype(float)
            return found

        theta = np.sqrt(k / squares)  # the best ones without bounds
        going = np.ones(len(who), dtype=np.bool_)
        for _ in range(MOST_STEPS):
            z = theta[at] * c
            hazard = hazard_of(z, log_ndtr(z))
            slope = k / theta - theta * squares + summed(hazard * c)
            bend = k / theta**2 + squares + summed(hazard * (hazard + z) * c * c)
            step = slope / bend
            after = np.where(step > -theta / 2, theta + step, theta / 2)
            theta = np.where(going, after, theta)
            going &= slope * step >= SETTLED
            if not going.any():
                break
        z = theta[at] * c
        ln = log_ndtr(z)
        height = -0.5 * theta**2 * squares + k * (np.log(theta) - HALF_LN_2PI) + summed(ln)
        return height, theta**2 * total + self.side * theta * summed(hazard_of(z, ln))
