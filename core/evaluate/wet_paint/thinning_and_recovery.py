"""What a flow curve tells without a model: shear thinning, hysteresis, recovery of structure."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tiecoat.evaluate.estimate import CERTAIN, Estimate, NotDeterminable
from tiecoat.evaluate.statistics.least_squares_one import Floats
from tiecoat.evaluate.wet_paint.flow_fits import FlowFit


@dataclass(frozen=True)
class Curve:
    """A flow curve: rates in 1/s, rising and each once, and stresses in Pa, all above 0.

    `scatter` is the relative standard deviation of each stress, NaN if nothing is known of it, with
    its degrees of freedom; `fit` a model of the points, if there is one.
    """

    rate_per_s: Floats
    stress_pa: Floats
    scatter: Floats
    freedom: float = CERTAIN
    fit: FlowFit | None = None

    def scatter_at(self, rate_per_s: float) -> float:
        """Return the scatter of the point whose rate is nearest, by its logarithm."""
        nearest = np.abs(np.log(self.rate_per_s / rate_per_s)).argmin()
        return float(self.scatter[nearest])

    @property
    def span(self) -> str:
        """The range of rates, in words."""
        low, high = self.rate_per_s[0], self.rate_per_s[-1]
        return f"{low:.4g} to {high:.4g} 1/s" if low < high else f"{low:.4g} 1/s"


def curve(
    rate_per_s: ArrayLike,
    stress_pa: ArrayLike,
    scatter: ArrayLike = math.nan,
    freedom: float = CERTAIN,
    fit: FlowFit | None = None,
) -> Curve:
    """Return a curve of points in any order; of several at one rate, the mean stress is taken.

    The scatter is one number or one for each point.

    Raises
    ------
    NotDeterminable
        If there is no point, or a rate or a stress is not above 0.
    """
    rates, stresses = np.asarray(rate_per_s, dtype=float), np.asarray(stress_pa, dtype=float)
    if not len(rates) or not ((rates > 0) & (stresses > 0)).all():
        raise NotDeterminable("no point with a shear rate and a stress above 0")
    different, place, count = np.unique(rates, return_inverse=True, return_counts=True)
    scatters = np.broadcast_to(np.asarray(scatter, dtype=float), rates.shape)
    stress, scatter_there = (np.bincount(place, one) / count for one in (stresses, scatters))
    return Curve(different, stress, scatter_there, freedom, fit)


def viscosity_at(found: Curve, rate_per_s: float) -> Estimate:
    """Return the apparent viscosity in Pa s at a rate, from the two points on either side of it.

    .. math:: \\ln \\tau = (1 - w) \\ln \\tau_1 + w \\ln \\tau_2, \\quad
        w = \\frac{\\ln(\\dot\\gamma / \\dot\\gamma_1)}
        {\\ln(\\dot\\gamma_2 / \\dot\\gamma_1)}, \\quad
        u^2(\\ln\\tau) = (1 - w)^2 s_1^2 + w^2 s_2^2

    Exact for a power law. Where the points have a fitted model, their stresses over its own are so
    interpolated, and the curve bends as the model does: straight lines are too high where a plastic
    paint (Bingham) bends, by up to 1 % with four points a decade and by 17 % with one.

    Parameters
    ----------
    found
        The curve.
    rate_per_s
        Within its range.

    Raises
    ------
    NotDeterminable
        Outside the range: nothing is extrapolated.

    Examples
    --------
    >>> round(viscosity_at(curve([1, 100], [2, 20]), 10).value, 6)
    0.632456
    """
    weights = _weights(found, rate_per_s)
    value = math.exp(float(weights @ np.log(found.stress_pa)) + _bend(found, weights, rate_per_s))
    value /= rate_per_s
    error = value * _scatter(found, weights)
    return Estimate(value, error, found.freedom, int((weights > 0).sum()))


def thinning_index(found: Curve, low_per_s: float, high_per_s: float) -> Estimate:
    """Return the shear-thinning index: the viscosity at a low rate over that at a high one.

    .. math:: \\eta(\\dot\\gamma_1) / \\eta(\\dot\\gamma_2)

    1 for a Newtonian paint, above 1 for one that thins. For a power law and rates a factor of ten
    apart it is 10 to the power of 1 - n.

    Raises
    ------
    NotDeterminable
        If a rate lies outside the range of the points, or the rates do not rise.

    References
    ----------
    ASTM D2196, where rates (speeds) a factor of ten apart are taken (from memory).

    Examples
    --------
    >>> round(thinning_index(curve([0.1, 100], [1, 1]), 1, 10).value, 6)
    10.0
    """
    if not 0 < low_per_s < high_per_s:
        raise NotDeterminable(f"the rates {low_per_s:g} and {high_per_s:g} 1/s do not rise")
    low, high = _weights(found, low_per_s), _weights(found, high_per_s)
    apart = low - high
    bend = _bend(found, low, low_per_s) - _bend(found, high, high_per_s)
    value = math.exp(float(apart @ np.log(found.stress_pa)) + bend) * high_per_s / low_per_s
    error = value * _scatter(found, apart)
    return Estimate(value, error, found.freedom, int(((low > 0) | (high > 0)).sum()))


def hysteresis_area(up: Curve, down: Curve) -> Estimate:
    """Return the area between the curves of rising and of falling rate, in Pa/s.

    .. math:: A = \\int (\\tau_{up} - \\tau_{down}) \\, d\\dot\\gamma

    by the trapezoid rule over the rates that both curves cover, straight lines between points. It
    is the power per volume that breaks structure down; where the curves cross, what lies below
    counts against it. It depends on the ramp: compare only what was run alike.

    Parameters
    ----------
    up, down
        Each with two points or more.

    Raises
    ------
    NotDeterminable
        If the curves do not overlap.

    References
    ----------
    Green and Weltmann, Ind. Eng. Chem. Anal. Ed. 15 (1943) 201 (from memory).

    Examples
    --------
    >>> hysteresis_area(curve([1, 3], [5, 5]), curve([1, 3], [4, 4])).value
    2.0
    """
    low = max(up.rate_per_s[0], down.rate_per_s[0])
    high = min(up.rate_per_s[-1], down.rate_per_s[-1])
    if not low < high:
        raise NotDeterminable(
            f"the rising curve ({up.span}) and the falling one ({down.span}) do not overlap"
        )
    rising, falling = _integral_weights(up, low, high), _integral_weights(down, low, high)
    area = float(rising @ up.stress_pa - falling @ down.stress_pa)
    parts = [
        float(weights**2 @ (one.scatter * one.stress_pa) ** 2)
        for weights, one in ((rising, up), (falling, down))
    ]
    freedom = min(up.freedom, down.freedom)
    return Estimate(area, math.sqrt(sum(parts)), freedom, len(up.stress_pa) + len(down.stress_pa))


def recovery(before: Curve, after: Curve, rate_per_s: float) -> Estimate:
    """Return the share of the viscosity that is there again after high shear, at the same rate.

    .. math:: \\eta_{after}(\\dot\\gamma) / \\eta_{before}(\\dot\\gamma)

    1 where all structure is back. It includes what high shear never broke: not the share of the
    loss that was made good.

    Raises
    ------
    NotDeterminable
        If the rate lies outside the range of one of the curves.
    """
    first, last = viscosity_at(before, rate_per_s), viscosity_at(after, rate_per_s)
    value = last.value / first.value
    shares = [one.standard_error / one.value for one in (first, last)]
    freedom = min(before.freedom, after.freedom)
    return Estimate(value, value * math.hypot(*shares), freedom, first.n + last.n)


def _scatter(found: Curve, weights: Floats) -> float:
    """Return the standard error of a weighted sum of logarithms of the stresses."""
    used = weights != 0
    return float(np.linalg.norm(weights[used] * found.scatter[used]))


def _bend(found: Curve, weights: Floats, rate_per_s: float) -> float:
    """Return how far ln of the model's stress lies off what the weights give of it, 0 without."""
    if found.fit is None or weights.max() == 1:
        return 0.0
    of_model = found.fit.model.stress(found.fit.inner, np.append(found.rate_per_s, rate_per_s))
    logs = np.log(of_model)
    return float(logs[-1] - weights @ logs[:-1])


def _weights(found: Curve, rate_per_s: float) -> Floats:
    """Return the weights of the logarithms of the stresses that interpolate at a rate."""
    rates = found.rate_per_s
    weights = np.zeros(len(rates))
    close = np.abs(rates - rate_per_s) <= 1e-6 * rate_per_s
    if close.any():
        weights[int(np.argmax(close))] = 1.0
        return weights
    if not rates[0] < rate_per_s < rates[-1]:
        raise NotDeterminable(f"{rate_per_s:g} 1/s lies outside the measured {found.span}")
    right = int(np.searchsorted(rates, rate_per_s))
    share = math.log(rate_per_s / rates[right - 1]) / math.log(rates[right] / rates[right - 1])
    weights[right - 1], weights[right] = 1 - share, share
    return weights


def _integral_weights(found: Curve, low: float, high: float) -> Floats:
    """Return the weights of the stresses in the integral of straight lines from low to high."""
    rates = found.rate_per_s
    inner = rates[(rates > low) & (rates < high)]
    knots = np.array([low, *inner.tolist(), high])
    steps = np.diff(knots)
    trapezoid = np.append(steps, 0) / 2 + np.append(0, steps) / 2
    right = np.clip(np.searchsorted(rates, knots), 1, len(rates) - 1)
    share = (knots - rates[right - 1]) / (rates[right] - rates[right - 1])
    of_left = np.bincount(right - 1, trapezoid * (1 - share), len(rates))
    return np.asarray(of_left + np.bincount(right, trapezoid * share, len(rates)), dtype=float)
