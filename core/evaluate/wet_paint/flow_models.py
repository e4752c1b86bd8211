"""Four models of a flow curve: stress as a function of the shear rate.

| model | stress at the rate r | parameters |
| --- | --- | --- |
| power law | K r^n | consistency K, flow index n |
| Herschel-Bulkley | y + K r^n | yield stress y, consistency K, flow index n |
| Casson | (sqrt(y) + sqrt(h r))^2 | yield stress y, viscosity at high shear h |
| Cross | r (e + (z - e) / (1 + (t r)^m)) | viscosity at rest z, at high shear e, time t, index m |

The inner parameters, in which they are fitted: the logarithm of what is above zero, the root of
Casson's yield stress, the rest as it is.

References: Ostwald, Kolloid-Z. 36 (1925) 99; Herschel and Bulkley, Kolloid-Z. 39 (1926) 291; Casson
in Mill (ed.), Rheology of Disperse Systems (1959) 84; Cross, J. Colloid Sci. 20 (1965) 417 (all
from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from tiecoat.evaluate.statistics.least_squares_one import Floats

FitScale = Literal["log", "root", "plain"]
FLOW_INDICES = np.linspace(0.1, 1.3, 13)  # where the search starts
CROSS_INDICES = np.linspace(0.3, 1.2, 7)
ONE_WAY = 1e-14  # of two terms: what is left of one beside the other is rounding
AT_A_TIME = 200  # curves, so that the trials of their starts fit into memory


@dataclass(frozen=True)
class FlowCurves:
    """Flow curves of c paints: rates in 1/s and stresses in Pa, shape (c, n).

    `there` is 1 where a curve has a point, else 0; rate and stress are 1 there.
    """

    rates: Floats
    stresses: Floats
    there: Floats

    @classmethod
    def of(cls, curves: Sequence[tuple[Floats, Floats]]) -> FlowCurves:
        """Return curves of any lengths."""
        longest = max((len(rates) for rates, _ in curves), default=0)
        shape = len(curves), longest
        found = cls(np.ones(shape), np.ones(shape), np.zeros(shape))
        for place, (rates, stresses) in enumerate(curves):
            found.rates[place, : len(rates)] = rates
            found.stresses[place, : len(rates)] = stresses
            found.there[place, : len(rates)] = 1
        return found

    def at(self, which: NDArray[np.intp]) -> FlowCurves:
        """Return some of them."""
        return FlowCurves(self.rates[which], self.stresses[which], self.there[which])

    @property
    def number(self) -> Floats:
        """How many points each has."""
        found: Floats = self.there.sum(axis=1)
        return found


@dataclass(frozen=True)
class FlowModel:
    """A model.

    Parameters
    ----------
    names
        Quantity and unit of each parameter.
    scales
        How each is written inside: its logarithm, its root, or plain.
    stress
        From inner parameters, shape (p,), and rates in 1/s, shape (n,), to the stress in Pa; of
        many curves from (p, c, 1) and (c, n) to (c, n).
    gradient
        Derivatives of the stress by the inner parameters, shape (n, p), or (c, n, p).
    start
        From curves and whether the floored parameter is held at zero to inner parameters, (c, p).
    floored
        Place of the parameter that cannot be negative, but that the search may take below zero.
    yields
        Place of the yield stress; None if there is none.
    index
        Place of the exponent, which must be above zero; None if there is none.
    viscous
        The stress above the yield stress, where that is not the whole stress.
    """

    name: str
    names: tuple[tuple[str, str], ...]
    scales: tuple[FitScale, ...]
    stress: Callable[[Floats, Floats], Floats]
    gradient: Callable[[Floats, Floats], Floats]
    start: Callable[[FlowCurves, bool], Floats]
    floored: int | None = None
    yields: int | None = None
    index: int | None = None
    viscous: Callable[[Floats, Floats], Floats] | None = None

    def outer(self, place: int, inner: float) -> float:
        """Return a parameter in its unit."""
        scale = self.scales[place]
        return math.exp(inner) if scale == "log" else inner**2 if scale == "root" else inner

    def slope(self, place: int, inner: float) -> float:
        """Return the derivative of the parameter in its unit by the inner one."""
        scale = self.scales[place]
        return math.exp(inner) if scale == "log" else 2 * inner if scale == "root" else 1.0

    def sensible(self, inner: Floats) -> bool:
        """Whether numbers are finite, the exponent is above zero, and the paint does not thicken.

        A Cross fluid that is thicker at high shear than at rest is no Cross fluid.
        """
        if not np.isfinite(inner).all() or (inner[np.array(self.scales) == "log"] > 60).any():
            return False
        if self.index is not None and not inner[self.index] > 0:
            return False
        return self.name != "Cross" or math.exp(inner[0]) > inner[1]


def relative_fits(first: Floats, second: Floats | None = None) -> tuple[Floats, Floats]:
    """Return the coefficients by which one or two terms make up 1 best, by least squares.

    Parameters
    ----------
    first, second
        The terms over the stress, shape (..., n): 0 where a curve has no point. Of two that point
        the same way the first is taken alone.

    Returns
    -------
    coefficients
        Shape (..., 2), 0 for a term that is not there.
    worth
        By how much they lower the sum of squares, shape (...).
    """
    first, size = _to_order_one(first)
    own, right = (first * first).sum(axis=-1), first.sum(axis=-1)
    alone = right / np.where(own > 0, own, 1.0)
    if second is None:
        return np.stack([alone / size, np.zeros_like(alone)], axis=-1), alone * right
    second, other_size = _to_order_one(second)
    other, both = (second * second).sum(axis=-1), (first * second).sum(axis=-1)
    above = second.sum(axis=-1)
    apart = own * other - both * both
    one_way = apart <= ONE_WAY * own * other
    apart = np.where(one_way, 1.0, apart)
    of_first = np.where(one_way, alone, (right * other - above * both) / apart)
    of_second = np.where(one_way, 0.0, (above * own - right * both) / apart)
    worth = of_first * right + of_second * above
    return np.stack([of_first / size, of_second / other_size], axis=-1), worth


def _to_order_one(term: Floats) -> tuple[Floats, Floats]:
    """Return a term over its greatest value, and that; 1 of nothing but zeros."""
    most = np.abs(term).max(axis=-1)
    most = np.where(most > 0, most, 1.0)
    return term / most[..., None], most


def _power_stress(inner: Floats, rates: Floats) -> Floats:
    stress: Floats = np.exp(inner[0] + inner[1] * np.log(rates))
    return stress


def _power_gradient(inner: Floats, rates: Floats) -> Floats:
    stress = _power_stress(inner, rates)
    return np.stack([stress, stress * np.log(rates)], axis=-1)


def _power_start(curves: FlowCurves, _: bool) -> Floats:
    n, there = curves.number[:, None], curves.there
    x, y = np.log(curves.rates), np.log(curves.stresses)
    middle, level = (one.sum(axis=1, keepdims=True) / n for one in (x, y))  # ln 1 is 0
    away = (x - middle) * there
    slope = (away * (y - level)).sum(axis=1) / (away * away).sum(axis=1)
    return np.stack([level[:, 0] - slope * middle[:, 0], slope], axis=1)


def _hb_stress(inner: Floats, rates: Floats) -> Floats:
    stress: Floats = inner[0] + _power_stress(inner[1:], rates)
    return stress


def _hb_gradient(inner: Floats, rates: Floats) -> Floats:
    ones = np.ones_like(rates)[..., None]
    return np.concatenate([ones, _power_gradient(inner[1:], rates)], axis=-1)


def _hb_start(curves: FlowCurves, floored: bool) -> Floats:
    plain = _power_start(curves, floored)
    flat = np.column_stack([np.zeros(len(plain)), plain])
    if floored:
        return flat
    weight = (curves.there / curves.stresses)[:, None, :]
    powers = curves.rates[:, None, :] ** FLOW_INDICES[:, None] * weight
    found, worth = relative_fits(np.broadcast_to(weight, powers.shape), powers)
    best = np.argmax(np.where(found[..., 1] > 0, worth, -np.inf), axis=1)
    chosen = found[np.arange(len(best)), best]
    rises = chosen[:, 1] > 0
    consistency = np.log(np.where(rises, chosen[:, 1], 1.0))
    start = np.column_stack([chosen[:, 0], consistency, FLOW_INDICES[best]])
    return np.where(rises[:, None], start, flat)


def _casson_stress(inner: Floats, rates: Floats) -> Floats:
    stress: Floats = (inner[0] + np.exp(inner[1] / 2) * np.sqrt(rates)) ** 2
    return stress


def _hb_viscous(inner: Floats, rates: Floats) -> Floats:
    return _power_stress(inner[1:], rates)


def _casson_viscous(inner: Floats, rates: Floats) -> Floats:
    flowing = np.exp(inner[1] / 2) * np.sqrt(rates)
    above: Floats = flowing * (2 * inner[0] + flowing)
    return above


def _casson_gradient(inner: Floats, rates: Floats) -> Floats:
    flowing = np.exp(inner[1] / 2) * np.sqrt(rates)
    root = inner[0] + flowing
    return np.stack([2 * root, root * flowing], axis=-1)


def _casson_start(curves: FlowCurves, floored: bool) -> Floats:
    weight = curves.there / np.sqrt(curves.stresses)
    flowing = np.sqrt(curves.rates) * weight
    if floored:
        slope = relative_fits(flowing)[0][:, 0]
        level = np.zeros_like(slope)
    else:
        level, slope = relative_fits(weight, flowing)[0].T
    return np.column_stack([level, 2 * np.log(np.where(slope > 0, slope, 1e-3))])


def _cross_stress(inner: Floats, rates: Floats) -> Floats:
    thinned = 1 / (1 + np.exp(inner[3] * (inner[2] + np.log(rates))))
    stress: Floats = rates * (inner[1] + (np.exp(inner[0]) - inner[1]) * thinned)
    return stress


def _cross_gradient(inner: Floats, rates: Floats) -> Floats:
    lg = inner[2] + np.log(rates)
    thinned = 1 / (1 + np.exp(inner[3] * lg))
    rest = np.exp(inner[0])
    bend = -(rest - inner[1]) * thinned * (1 - thinned)
    by = [rest * thinned, 1 - thinned, bend * inner[3], bend * lg]
    return np.stack([rates * one for one in by], axis=-1)


def _cross_start(curves: FlowCurves, floored: bool) -> Floats:
    several = [
        _cross_starts(
            curves.at(np.arange(first, min(first + AT_A_TIME, len(curves.rates)))), floored
        )
        for first in range(0, len(curves.rates), AT_A_TIME)
    ]
    return np.concatenate(several)


def _cross_starts(curves: FlowCurves, floored: bool) -> Floats:
    rates, there = curves.rates, curves.there > 0
    slow = np.where(there, rates, np.inf).min(axis=1)
    fast = np.where(there, rates, 0.0).max(axis=1)
    times = np.geomspace(0.1 / fast, 10 / slow, 17, axis=1)
    at = np.repeat(times, len(CROSS_INDICES), axis=1)
    indices = np.tile(CROSS_INDICES, 17)
    weight = (curves.there * rates / curves.stresses)[:, None, :]
    lg = np.log(at)[:, :, None] + np.log(rates)[:, None, :]
    thinned = 1 / (1 + np.exp(indices[:, None] * lg))
    second = None if floored else weight * (1 - thinned)
    found, worth = relative_fits(weight * thinned, second)
    best = np.argmax(np.where(found[..., 0] > 0, worth, -np.inf), axis=1)
    who = np.arange(len(best))
    rest, high = found[who, best].T
    most = np.where(there, curves.stresses / rates, 0.0).max(axis=1)
    rest = np.where(rest > 0, rest, most)
    return np.column_stack([np.log(rest), high, np.log(at[who, best]), indices[best]])


_YIELD = ("yield_stress", "Pa")
MODELS = {
    model.name: model
    for model in (  # from the simplest on: of two that fit alike, the first is taken
        FlowModel(
            "power law",
            (("consistency", "Pa s^n"), ("flow_index", "")),
            ("log", "plain"),
            _power_stress,
            _power_gradient,
            _power_start,
            index=1,
        ),
        FlowModel(
            "Casson",
            (_YIELD, ("high_shear_viscosity", "Pa s")),
            ("root", "log"),
            _casson_stress,
            _casson_gradient,
            _casson_start,
            floored=0,
            yields=0,
            viscous=_casson_viscous,
        ),
        FlowModel(
            "Herschel-Bulkley",
            (_YIELD, ("consistency", "Pa s^n"), ("flow_index", "")),
            ("plain", "log", "plain"),
            _hb_stress,
            _hb_gradient,
            _hb_start,
            floored=0,
            yields=0,
            index=2,
            viscous=_hb_viscous,
        ),
        FlowModel(
            "Cross",
            (
                ("rest_viscosity", "Pa s"),
                ("high_shear_viscosity", "Pa s"),
                ("cross_time", "s"),
                ("cross_index", ""),
            ),
            ("log", "plain", "log", "plain"),
            _cross_stress,
            _cross_gradient,
            _cross_start,
            floored=1,
            index=3,
        ),
    )
}
