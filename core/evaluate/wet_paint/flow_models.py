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
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from tiecoat.evaluate.statistics.least_squares_one import Floats

FitScale = Literal["log", "root", "plain"]
FLOW_INDICES = np.linspace(0.1, 1.3, 13)  # where the search starts
CROSS_INDICES = np.linspace(0.3, 1.2, 7)


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
        From inner parameters, shape (p,), and rates in 1/s, shape (n,), to the stress in Pa.
    gradient
        Derivatives of the stress by the inner parameters, shape (n, p).
    start
        From rates, stresses and whether the floored parameter is held at zero to inner parameters.
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
    start: Callable[[Floats, Floats, bool], Floats]
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


def relative_fits(columns: Floats, stresses: Floats) -> tuple[Floats, Floats]:
    """Return the coefficients, and sums of squares, of linear fits with relative weights.

    Shape of columns: (cases, n, q).
    """
    weighted = columns / stresses[:, None]
    normal = np.einsum("cnp,cnq->cpq", weighted, weighted)
    right = weighted.sum(axis=1)
    found: Floats = np.einsum("cpq,cq->cp", np.linalg.pinv(normal), right)
    squares: Floats = ((np.einsum("cnp,cp->cn", weighted, found) - 1) ** 2).sum(axis=1)
    return found, squares


def _power_stress(inner: Floats, rates: Floats) -> Floats:
    stress: Floats = np.exp(inner[0] + inner[1] * np.log(rates))
    return stress


def _power_gradient(inner: Floats, rates: Floats) -> Floats:
    stress = _power_stress(inner, rates)
    return np.column_stack([stress, stress * np.log(rates)])


def _power_start(rates: Floats, stresses: Floats, _: bool) -> Floats:
    slope, level = np.polyfit(np.log(rates), np.log(stresses), 1)
    return np.array([level, slope])


def _hb_stress(inner: Floats, rates: Floats) -> Floats:
    stress: Floats = inner[0] + _power_stress(inner[1:], rates)
    return stress


def _hb_gradient(inner: Floats, rates: Floats) -> Floats:
    return np.column_stack([np.ones_like(rates), _power_gradient(inner[1:], rates)])


def _hb_start(rates: Floats, stresses: Floats, floored: bool) -> Floats:
    if floored:
        return np.array([0.0, *_power_start(rates, stresses, floored)])
    powers = rates[None, :] ** FLOW_INDICES[:, None]
    found, squares = relative_fits(np.stack([np.ones_like(powers), powers], axis=2), stresses)
    best = int(np.argmin(np.where(found[:, 1] > 0, squares, np.inf)))
    if not found[best, 1] > 0:
        return np.array([0.0, *_power_start(rates, stresses, floored)])
    return np.array([found[best, 0], math.log(found[best, 1]), FLOW_INDICES[best]])


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
    return np.column_stack([2 * root, root * flowing])


def _casson_start(rates: Floats, stresses: Floats, floored: bool) -> Floats:
    root = np.sqrt(stresses)
    columns = np.column_stack([np.ones_like(rates), np.sqrt(rates)])
    found, _ = relative_fits(columns[None, :, 1 if floored else 0 :], root)
    slope = float(found[0, -1])
    level = 0.0 if floored else float(found[0, 0])
    return np.array([level, 2 * math.log(slope if slope > 0 else 1e-3)])


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
    return np.column_stack([rates * one for one in by])


def _cross_start(rates: Floats, stresses: Floats, floored: bool) -> Floats:
    times = np.geomspace(0.1 / rates.max(), 10 / rates.min(), 17)
    grid = [(time, index) for time in times for index in CROSS_INDICES]
    at, powers = (np.array(one)[:, None] for one in zip(*grid, strict=True))
    thinned = 1 / (1 + (at * rates) ** powers)
    columns = np.stack([rates * thinned, rates * (1 - thinned)], axis=2)
    found, squares = relative_fits(columns[:, :, :1] if floored else columns, stresses)
    best = int(np.argmin(np.where(found[:, 0] > 0, squares, np.inf)))
    rest = float(found[best, 0]) if found[best, 0] > 0 else float((stresses / rates).max())
    high = 0.0 if floored else float(found[best, 1])
    return np.array([math.log(rest), high, math.log(grid[best][0]), grid[best][1]])


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
