"""Bubbles in wet paint: how fast they rise, and the smallest that leaves a film in time.

All laws are for one small sphere far from walls and from other bubbles. A bubble in paint mostly
has a surface that surfactants and resin hold still, and rises like a solid ball; with a clean,
mobile surface it is half as fast again (Hadamard, C. R. Acad. Sci. 152 (1911) 1735, as public
programs have it).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from scipy.optimize import brentq

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.wet_paint.drag import REST, Fluid, above_zero, drag_stress_pa
from tiecoat.evaluate.wet_paint.sag_and_levelling import GRAVITY_M_S2

REYNOLDS_LIMIT = 0.1  # Oseen: the true drag is 3/16 of this, 2 %, above that of Stokes
WALLS = 0.1  # of the film's thickness; a bubble with a larger radius is slowed by its walls
SLOWEST_LN, FASTEST_LN = -60.0, 40.0  # of shear rates: where a solution is looked for


@dataclass(frozen=True)
class Rise:
    """Velocity of a bubble, its own shear rate v/d, and what must be told."""

    velocity_um_s: float
    shear_rate_per_s: float
    flags: str = ""


def rise(fluid: Fluid, radius_um: float, density_g_cm3: float, gas_g_cm3: float = 0.0012) -> Rise:
    """Return how a bubble with a still surface rises in a paint, at its own shear rate.

    .. math:: \\frac{\\Delta\\rho \\, g \\, d}{18} = \\frac{F(\\dot\\gamma)}{3 \\pi d^2}, \\quad
        v = \\dot\\gamma d

    with the drag of `drag_stress_pa`. In a Newtonian paint that is the velocity of Stokes, 2 % too
    fast where the Reynolds number is 0.1. The shear rate of a bubble is mostly far below what
    viscometers reach: the flow curve is then carried on beyond its points, and that is told.

    Parameters
    ----------
    fluid
        The paint: `fluid_of` a fitted flow curve.
    radius_um, density_g_cm3, gas_g_cm3
        Radius in µm, density of the paint and of the gas in g/cm³.

    Raises
    ------
    NotDeterminable
        If the yield stress holds the bubble, the Reynolds number is above 0.1, the paint thickens
        with shear, or a number is not above 0.

    References
    ----------
    Stokes, Trans. Camb. Phil. Soc. 9 (1851) 8, as public programs have it. Limit: Oseen, Ark. Mat.
    Astr. Fys. 6 (1910) 29 (from memory).

    Examples
    --------
    >>> newtonian = Fluid(lambda rate_per_s: 1.0 * rate_per_s)
    >>> round(rise(newtonian, 50, 1.4, gas_g_cm3=0.0).velocity_um_s, 3)
    7.627
    """
    above_zero(radius_um, density_g_cm3 - gas_g_cm3)
    diameter = radius_um * 2e-6
    drive = _buoyancy(density_g_cm3, gas_g_cm3) * diameter / 18
    if drive <= REST * fluid.yield_stress_pa:
        held = held_radius_um(fluid, density_g_cm3, gas_g_cm3)
        raise NotDeterminable(
            f"the yield stress of {fluid.yield_stress_pa:.3g} Pa holds a bubble of "
            f"{radius_um:g} µm radius; only one above {held / 1000:.2g} mm would rise"
        )
    rate = _root(lambda one: drag_stress_pa(fluid, one) - drive)
    return _risen(fluid, rate, diameter, density_g_cm3)


def held_radius_um(fluid: Fluid, density_g_cm3: float, gas_g_cm3: float = 0.0012) -> float:
    """Return the radius in µm up to which the yield stress of a paint holds bubbles for good.

    .. math:: r = \\frac{9 \\cdot 1.166 \\, \\tau_y}{\\Delta\\rho \\, g}

    For a still surface; a mobile one lets smaller bubbles go.

    References
    ----------
    Beris et al. (1985), as in `drag_stress_pa`.

    Examples
    --------
    >>> round(held_radius_um(Fluid(lambda rate: rate, 4.0), 1.4, gas_g_cm3=0.0))
    3057
    """
    above_zero(density_g_cm3 - gas_g_cm3)
    return 9 * REST * fluid.yield_stress_pa / _buoyancy(density_g_cm3, gas_g_cm3) * 1e6


class EveryBubbleHeld(NotDeterminable):
    """The yield stress holds every bubble that fits into the film."""


def smallest_escaping(
    fluid: Fluid,
    film_um: float,
    open_time_s: float,
    density_g_cm3: float,
    gas_g_cm3: float = 0.0012,
) -> tuple[float, Rise]:
    """Return the radius in µm of the smallest bubble that leaves a wet film in time, and its rise.

    .. math:: v(r) \\, t = h - 2r

    It starts at the substrate and has left when its top meets the surface. The paint keeps the
    flow curve of the measurement for the whole open time, and the film's faces do not slow the
    bubble: in truth the paint thickens as it dries, and larger ones stay behind too.

    Parameters
    ----------
    fluid
        The paint.
    film_um, open_time_s
        Thickness of the wet film in µm, and the time in s it stays open, both above 0.
    density_g_cm3, gas_g_cm3
        Of the paint and of the gas in g/cm³.

    Raises
    ------
    EveryBubbleHeld
        If the yield stress holds every bubble that fits into the film.
    NotDeterminable
        As `rise`.

    Examples
    --------
    >>> newtonian = Fluid(lambda rate_per_s: 1.0 * rate_per_s)
    >>> radius, _ = smallest_escaping(newtonian, 200, 60, 1.4)
    >>> round(radius, 1)
    28.0
    """
    above_zero(film_um, open_time_s)
    film = film_um * 1e-6
    if 2 * held_radius_um(fluid, density_g_cm3, gas_g_cm3) >= film_um:
        raise EveryBubbleHeld(
            f"the yield stress of {fluid.yield_stress_pa:.3g} Pa holds every bubble that fits into "
            f"a film of {film_um:g} µm"
        )
    buoyancy = _buoyancy(density_g_cm3, gas_g_cm3)

    def diameter(rate: float) -> float:
        return 18 * drag_stress_pa(fluid, rate) / buoyancy

    rate = _root(lambda one: diameter(one) * (1 + one * open_time_s) - film)
    radius_um = diameter(rate) / 2 * 1e6
    risen = _risen(fluid, rate, diameter(rate), density_g_cm3)
    if radius_um > WALLS * film_um:
        told = "not small against the film: its faces slow the bubble more than is counted here"
        risen = replace(risen, flags="; ".join(filter(None, (risen.flags, told))))
    return radius_um, risen


def _buoyancy(density_g_cm3: float, gas_g_cm3: float) -> float:
    return (density_g_cm3 - gas_g_cm3) * 1000 * GRAVITY_M_S2


def _risen(fluid: Fluid, rate_per_s: float, diameter_m: float, density_g_cm3: float) -> Rise:
    stress = fluid.yield_stress_pa + fluid.viscous_pa(rate_per_s)
    velocity = rate_per_s * diameter_m
    _must_creep(velocity, diameter_m, stress / rate_per_s, density_g_cm3)
    flags = ""
    if rate_per_s < fluid.lowest_per_s:
        flags = (
            f"extrapolated: its shear rate of {rate_per_s:.2g} 1/s lies below the measured "
            f"{fluid.lowest_per_s:.2g} 1/s"
        )
    elif rate_per_s > fluid.highest_per_s:
        flags = (
            f"extrapolated: its shear rate of {rate_per_s:.2g} 1/s lies above the measured "
            f"{fluid.highest_per_s:.2g} 1/s"
        )
    return Rise(velocity * 1e6, rate_per_s, flags)


def _root(off: Callable[[float], float]) -> float:
    """Return the shear rate in 1/s at which a rising function is zero."""
    low = high = 0.0
    while off(math.exp(low)) > 0 and low > SLOWEST_LN:
        low -= 4
    while off(math.exp(high)) < 0 and high < FASTEST_LN:
        high += 4
    if off(math.exp(low)) > 0 or off(math.exp(high)) < 0:
        raise NotDeterminable("no steady rise is found between 1e-26 and 1e17 1/s")
    return math.exp(float(brentq(lambda ln: off(math.exp(ln)), low, high, xtol=1e-12)))


def _must_creep(
    velocity_m_s: float, diameter_m: float, viscosity_pa_s: float, density_g_cm3: float
) -> None:
    reynolds = density_g_cm3 * 1000 * velocity_m_s * diameter_m / viscosity_pa_s
    if reynolds > REYNOLDS_LIMIT:
        raise NotDeterminable(
            f"the Reynolds number of {reynolds:.2g} is above {REYNOLDS_LIMIT:g}: inertia counts, "
            "and the laws of creeping flow do not hold"
        )
