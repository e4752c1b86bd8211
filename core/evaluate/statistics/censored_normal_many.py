r"""The likelihood of `censored_normal` for many groups of values and lower bounds at once.

Of the values the likelihood needs only their number, their sum and the sum of their squares; the
bounds are

.. math:: F(\delta, \theta) = \sum_{j\,\in\,\text{bounds}} \ln \Phi(\delta - \theta c_j)

with its first and second derivatives. All groups take Newton's steps together.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr

from tiecoat.evaluate.estimate import t_factors
from tiecoat.evaluate.grouping import Floats, RowGroups, Whole
from tiecoat.evaluate.statistics.likeliest_many import MOST_STEPS, SETTLED, OfBoth, profile_ends

Bools: TypeAlias = NDArray[np.bool_]

FARTHEST = 1e3  # standard deviations from the mean; an end of the interval beyond is infinite
HALF_LN_2PI = 0.5 * math.log(2 * math.pi)

OfBounds: TypeAlias = OfBoth  # F and its derivatives


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

    def beside(self, bounds: OfBounds) -> OfBoth:
        """Return the logarithm of the likelihood of values and bounds."""

        def both(delta: Floats, theta: Floats, who: Whole) -> Floats:
            found: Floats = self.likelihood(delta, theta, who)
            return found + bounds(delta, theta, who)

        return both


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
        return profile_ends(self.at, fall, np.ones(len(k)), FARTHEST)

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
