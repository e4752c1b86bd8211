r"""The likelihood of times known as intervals, for many groups of them at once.

With :math:`z = \theta x - \delta + c`, x = ln t about a middle of each group, the median is at
z = c, and

.. math:: \ln L(\delta, \theta) = \sum_i \ln\big(F(z(b_i)) - F(z(a_i))\big)

For densities whose logarithm is concave, as those of both laws here are, it is concave in
:math:`\delta` and :math:`\theta` (J. Burridge, J. R. Stat. Soc. B 43 (1981) 41; from memory), so
that it has one maximum, and Newton's steps lead there.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr

from tiecoat.evaluate.grouping import Floats, Whole
from tiecoat.evaluate.statistics.likeliest_many import MOST_STEPS, SETTLED

HALF_LN_2PI = 0.5 * math.log(2 * math.pi)
LN_LN_2 = math.log(math.log(2))
LEAST = 1e-300  # whose logarithm is finite
NARROW = 1e-9  # relative: of spreads between which the likeliest one lies
FARTHEST_Z = {"weibull": 600.0, "log-normal": 1e4}  # beyond, nothing is left on one side

# Ends z (n,) and (n,) -> ln p of each interval, the density over p at both ends, and how that
# density bends: its own derivative over p at both ends; shape (5, n)
OfIntervals: TypeAlias = Callable[[Floats, Floats], Floats]


def _weibull(begin: Floats, end: Floats) -> Floats:
    begun, ended = np.exp(begin), np.exp(end)
    # S(a) - S(b) = exp(-H(a)) (1 - exp(H(a) - H(b))) with H = exp(z)
    ln = -begun + np.log(-np.expm1(-np.maximum(ended - begun, LEAST)))
    first, last = np.exp(begin - begun - ln), np.exp(end - ended - ln)
    return np.array([ln, first, last, first * (1 - begun), last * (1 - ended)])


def _log_normal(begin: Floats, end: Floats) -> Floats:
    swap = begin > 0  # the tail that is small is the one to subtract in
    less = log_ndtr(np.where(swap, -end, begin))
    more = log_ndtr(np.where(swap, -begin, end))
    share = np.exp(np.minimum(less - more, 0.0))
    ln = more + np.log(np.maximum(1 - share, LEAST))
    first = np.exp(-0.5 * begin**2 - HALF_LN_2PI - ln)
    last = np.exp(-0.5 * end**2 - HALF_LN_2PI - ln)
    return np.array([ln, first, last, -begin * first, -end * last])


LAWS: dict[str, tuple[OfIntervals, float]] = {  # and where the median is
    "weibull": (_weibull, LN_LN_2),
    "log-normal": (_log_normal, 0.0),
}


@dataclass(frozen=True)
class IntervalLikelihood:
    """ln L of each group and its derivatives, as `likeliest` asks for them.

    Parameters
    ----------
    begin, end
        ln t of the ends of each panel's interval about the middle of its group, shape (n,);
        infinite where they are open.
    owner
        The group of each.
    law
        Of the times.
    """

    begin: Floats
    end: Floats
    owner: Whole
    law: Literal["weibull", "log-normal"]

    @classmethod
    def of(
        cls,
        groups: Sequence[tuple[Floats, Floats]],
        middle: Floats,
        law: Literal["weibull", "log-normal"],
    ) -> IntervalLikelihood:
        """Return that of groups, each with its ends in time and a middle of ln t."""
        owner = np.repeat(np.arange(len(groups)), [len(low) for low, _ in groups])
        with np.errstate(divide="ignore"):
            ends = [np.log(np.concatenate(one)) for one in zip(*groups, strict=True)]
        return cls(ends[0] - middle[owner], ends[1] - middle[owner], owner, law)

    def some(self, who: Whole) -> IntervalLikelihood:
        """Return that of some groups, numbered anew."""
        place = np.full(int(self.owner.max()) + 1, -1)
        place[who] = np.arange(len(who))
        used = place[self.owner] >= 0
        return replace(
            self, begin=self.begin[used], end=self.end[used], owner=place[self.owner[used]]
        )

    def __call__(self, delta: Floats, theta: Floats, who: Whole) -> Floats:
        """Return ln L and its derivatives by delta, theta, delta twice, both, theta twice."""
        mine = self.some(who)
        ln, first, last, *bends = mine.terms(delta[mine.owner], theta[mine.owner])
        x, y = (np.where(np.isfinite(one), one, 0.0) for one in (mine.begin, mine.end))
        begin2, end2, both = -bends[0] - first**2, bends[1] - last**2, first * last
        each = [
            ln,
            first - last,
            last * y - first * x,
            begin2 + end2 + 2 * both,
            -(begin2 * x + end2 * y + both * (x + y)),
            begin2 * x * x + end2 * y * y + 2 * both * x * y,
        ]
        return np.array([np.bincount(mine.owner, one, len(who)) for one in each])

    def terms(self, delta: Floats, theta: Floats) -> Floats:
        """Return what `OfIntervals` gives, at delta and theta of each panel."""
        of, centre = LAWS[self.law]
        far = FARTHEST_Z[self.law]
        ends = (theta * one - delta + centre for one in (self.begin, self.end))
        begin, end = (np.minimum(np.maximum(one, -far), far) for one in ends)
        with np.errstate(under="ignore"):
            return of(begin, end)


@dataclass(frozen=True)
class MedianProfile:
    """The profile of each likelihood on one side of the likeliest median.

    Parameters
    ----------
    likelihood
        Of the groups.
    mean, theta
        The likeliest of each, shape (k,); `theta` is kept as what the next search begins at.
    side
        -1 for earlier medians, 1 for later ones.
    thetas
        The least and the greatest that are allowed.
    """

    likelihood: IntervalLikelihood
    mean: Floats
    theta: Floats
    side: float
    thetas: tuple[float, float]

    def at(self, distance: Floats, who: Whole) -> tuple[Floats, Floats]:
        """Return the greatest ln L of some groups at medians so far off, and its slope."""
        mine, mean = self.likelihood.some(who), self.mean[who] + self.side * distance
        theta = self._likeliest(mine, mean, self.theta[who])
        of_each = theta[mine.owner]
        ln, first, last, *_ = mine.terms(mean[mine.owner] * of_each, of_each)
        slope = theta * np.bincount(mine.owner, first - last, len(who))
        height: Floats = np.bincount(mine.owner, ln, len(who)).astype(float)
        return height, self.side * slope

    def _likeliest(self, mine: IntervalLikelihood, mean: Floats, start: Floats) -> Floats:
        """Return theta by Newton's steps, between bounds that close in on it."""
        least, most = (np.full(len(mean), one) for one in self.thetas)
        theta = np.clip(start, *self.thetas)
        going: NDArray[np.bool_] = np.ones(len(mean), dtype=np.bool_)
        for _ in range(MOST_STEPS):
            found = mine(mean * theta, theta, np.arange(len(mean)))
            slope = found[2] + mean * found[1]
            bend = found[5] + 2 * mean * found[4] + mean**2 * found[3]
            least, most = np.where(slope > 0, theta, least), np.where(slope > 0, most, theta)
            with np.errstate(divide="ignore", invalid="ignore"):
                step = -slope / bend
                after = theta + step
            inside = (after >= least) & (after <= most)
            theta = np.where(going, np.where(inside, after, np.sqrt(least * most)), theta)
            going &= ~(np.abs(slope * step) < SETTLED) & (most - least > NARROW * most)
            if not going.any():
                break
        return theta
