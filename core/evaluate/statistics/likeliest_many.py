"""Two parameters of many likelihoods at once: the likeliest, and how far their profiles reach.

All problems take Newton's steps together.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from tiecoat.evaluate.grouping import Floats, Whole

MOST_STEPS = 100
SETTLED = 1e-18  # half of what the next step could add to the logarithm of the likelihood
ROUNDING = 1e-12  # relative

# (delta (k,), theta (k,), which problems (k,)) -> ln L and its derivatives by delta, theta, delta
# twice, both, theta twice, shape (6, k)
OfBoth: TypeAlias = Callable[[Floats, Floats, Whole], Floats]
# (distance (k,), which problems (k,)) -> the profile of ln L there and its slope, shape (k,) each
OfProfile: TypeAlias = Callable[[Floats, Whole], tuple[Floats, Floats]]


@dataclass(frozen=True)
class Likeliest:
    """delta, theta and their covariance, shape (k,), (k,) and (k, 2, 2); NaN if never settled."""

    delta: Floats
    theta: Floats
    covariance: Floats


def likeliest(both: OfBoth, delta: Floats, theta: Floats) -> Likeliest:
    """Return the likeliest parameters by Newton's steps, halved where they overshoot.

    Parameters
    ----------
    both
        The logarithm of the likelihood of each problem, concave in its parameters.
    delta, theta
        Where to begin, shape (k,).
    """
    delta, theta = delta.copy(), theta.copy()
    covariance = np.full((len(delta), 2, 2), np.nan)
    going = np.arange(len(delta))
    here = both(delta, theta, going)
    for _ in range(MOST_STEPS):
        bent = here[3] * here[5] > here[4] ** 2  # else nothing tells where its greatest value is
        delta[going[~bent]] = np.nan
        going, here = going[bent], here[:, bent]
        inverse = _inverse(here)
        step = (inverse @ here[1:3].T[:, :, None])[:, :, 0]
        done = (here[1:3].T * step).sum(axis=1) < SETTLED
        covariance[going[done]] = inverse[done]
        delta[going[done]] += step[done, 0]
        theta[going[done]] += step[done, 1]
        going, here, step = going[~done], here[:, ~done], step[~done]
        if not len(going):
            break
        shortest = theta[going] / np.maximum(theta[going], -2 * step[:, 1])
        step *= shortest[:, None]  # theta is halved at most
        left = np.arange(len(going))
        reached = here[0].copy()
        while len(left):  # those whose step was too long
            after = np.array([delta[going[left]], theta[going[left]]]) + step[left].T
            there = both(after[0], after[1], going[left])
            better = there[0] >= reached[left] - ROUNDING * np.abs(reached[left])
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


def profile_ends(at: OfProfile, fall: Floats, start: Floats, farthest: float) -> Floats:
    """Return how far from the likeliest value the profile of each likelihood falls so much.

    Parameters
    ----------
    at
        Greatest logarithm of the likelihood at a distance from the likeliest value, and its slope.
    fall
        By how much it is to fall, shape (k,).
    start
        Distances that are tried first, and doubled while the profile is above, shape (k,).
    farthest
        An end farther off than this is infinite.
    """
    who = np.arange(len(fall))
    least = at(np.zeros(len(who)), who)[0] - fall
    far = start.copy()
    going = who
    while len(going):
        above = at(far[going], going)[0] > least[going]
        going = going[above & (far[going] <= farthest)]
        far[going] *= 2
    far[far > farthest] = np.inf
    return _crossings(at, far, least)


def _crossings(at: OfProfile, far: Floats, least: Floats) -> Floats:
    """Return where each profile falls below the least, from a point beyond."""
    low, high, found = np.zeros(len(far)), far.copy(), far.copy()
    going = np.flatnonzero(np.isfinite(far))
    for _ in range(MOST_STEPS):
        if not len(going):
            break
        place = found[going]
        height, slope = at(place, going)
        above = height > least[going]
        low[going] = np.where(above, place, low[going])
        high[going] = np.where(above, high[going], place)
        with np.errstate(divide="ignore", invalid="ignore"):
            after = place - (height - least[going]) / slope
        inside = (after >= low[going]) & (after <= high[going])
        found[going] = np.where(inside, after, (low[going] + high[going]) / 2)
        going = going[np.abs(found[going] - place) > ROUNDING * (1 + place)]
    return found
