"""What holds a bubble back in paint that is not Newtonian: the drag at its own shear rate."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.wet_paint.flow_fits import FlowFit

REST = 1.166  # drag of the yield stress on a ball coming to rest, over 3 pi d² times that stress
# Drag of a solid ball in a power-law fluid, over 3 pi d² times the stress at the rate v/d.
INDICES = (0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1)
FACTORS = (REST, 1.354, 1.413, 1.485, 1.496, 1.476, 1.429, 1.356, 1.258, 1.138, 1.0, 0.849)


@dataclass(frozen=True)
class Fluid:
    """A paint as a bubble meets it: yield stress, and the stress above it at a rate, Pa and 1/s.

    It was measured from `lowest_per_s` to `highest_per_s`.
    """

    viscous_pa: Callable[[float], float]
    yield_stress_pa: float = 0.0
    lowest_per_s: float = 0.0
    highest_per_s: float = math.inf


def fluid_of(found: FlowFit) -> Fluid:
    """Return the paint of a fitted flow curve."""
    return Fluid(
        lambda rate: float(found.viscous_pa(rate)),
        found.yield_stress_pa,
        found.lowest_per_s,
        found.highest_per_s,
    )


def drag_stress_pa(fluid: Fluid, rate_per_s: float) -> float:
    """Return the drag of a bubble with a still surface over 3 pi d², in Pa, at its own shear rate.

    .. math:: \\frac{F}{3 \\pi d^2} = \\tau_v \\left(X(n) + 1.8 \\, n^{1.65} B^{0.48}\\right)
        + 1.166 \\, \\tau_y, \\quad B = \\tau_y / \\tau_v, \\quad \\dot\\gamma = v / d

    where tau_v is the stress above the yield stress at that rate and n its local flow index. In a
    Newtonian paint it is Stokes' drag; in a power-law paint X(n) corrects that of Stokes with the
    viscosity at v/d; a ball is held at rest by a yield stress of its buoyancy over 1.166 * 3 pi d².
    Within 5 % of the flow with the least dissipation, computed in tests/outside, for n from 0.5 to
    1 and B from 0.03 to 100.

    Raises
    ------
    NotDeterminable
        If the flow index at that rate is above 1.1: the paint thickens with shear.

    References
    ----------
    X from n = 0.3 on, and the term with B: least dissipation, computed. X below: Gu and Tanner, J.
    Non-Newtonian Fluid Mech. 17 (1985) 1 (from memory). At rest: Beris, Tsamopoulos, Armstrong and
    Brown, J. Fluid Mech. 158 (1985) 219: a ball falls if 2 pi R² tau_y / F is below 0.143 (the
    number looked up, its definition from memory), so 1.166 = 1 / (6 * 0.143).
    """
    viscous, step = fluid.viscous_pa(rate_per_s), 1.001
    lower, upper = fluid.viscous_pa(rate_per_s / step), fluid.viscous_pa(rate_per_s * step)
    if not 0 < lower < upper < math.inf:
        raise NotDeterminable(f"the flow curve does not rise at {rate_per_s:.2g} 1/s")
    n = math.log(upper / lower) / (2 * math.log(step))
    if n > INDICES[-1]:
        raise NotDeterminable(f"the paint thickens with shear: its flow index is {n:.2f}")
    x = float(np.interp(n, INDICES, FACTORS))
    both = 1.8 * math.pow(n, 1.65) * math.pow(fluid.yield_stress_pa / viscous, 0.48)
    return (x + both) * viscous + REST * fluid.yield_stress_pa


def above_zero(*numbers: float) -> None:
    """Refuse what is not a number above 0.

    Raises
    ------
    NotDeterminable
        If one is not.
    """
    if not all(math.isfinite(one) and one > 0 for one in numbers):
        raise NotDeterminable(
            "a bubble needs a radius, a film and a time above 0, and paint denser than the gas"
        )
