"""Flow cups: kinematic viscosity from the time that the paint takes to run out.

| cup | kinematic viscosity in mm²/s, efflux time t in s | holds for t |
| --- | --- | --- |
| ISO 2431 3 mm | 0.443 t - 200/t | 30 to 100 |
| ISO 2431 4 mm | 1.37 t - 200/t | 30 to 100 |
| ISO 2431 5 mm | 3.28 t - 220/t | 30 to 100 |
| ISO 2431 6 mm | 6.90 t - 570/t | 30 to 100 |
| ASTM D1200 no. 1 | 0.49 (t - 35.0) | 55 to 100 |
| ASTM D1200 no. 2 | 1.44 (t - 18.0) | 40 to 100 |
| ASTM D1200 no. 3 | 2.31 (t - 6.58) | 20 to 100 |
| ASTM D1200 no. 4 | 3.85 (t - 4.49) | 20 to 100 |
| ASTM D1200 no. 5 | 12.1 (t - 2.00) | 20 to 100 |

Sources: ISO 2431 (from memory). ASTM D1200-94: ranges as in clause 11.2 (looked up), formulas as
a second-hand copy gives them. Both standards are made for paint that is Newtonian or nearly so, and
for one temperature.
"""

from __future__ import annotations

from dataclasses import dataclass

from tiecoat.evaluate.estimate import NotDeterminable


@dataclass(frozen=True)
class Cup:
    """A flow cup: viscosity = slope (t - dead time) - kinetic / t, in mm²/s and s."""

    slope: float
    dead_time_s: float
    kinetic: float
    shortest_s: float
    longest_s: float
    temperature_c: float  # of the standard
    within_c: float


def _iso(slope: float, kinetic: float) -> Cup:
    return Cup(slope, 0.0, kinetic, 30.0, 100.0, 23.0, 0.5)


def _astm(slope: float, dead_time_s: float, shortest_s: float) -> Cup:
    return Cup(slope, dead_time_s, 0.0, shortest_s, 100.0, 25.0, 0.5)


CUPS = {
    "ISO 2431 3 mm": _iso(0.443, 200.0),
    "ISO 2431 4 mm": _iso(1.37, 200.0),
    "ISO 2431 5 mm": _iso(3.28, 220.0),
    "ISO 2431 6 mm": _iso(6.90, 570.0),
    "ASTM D1200 no. 1": _astm(0.49, 35.0, 55.0),
    "ASTM D1200 no. 2": _astm(1.44, 18.0, 40.0),
    "ASTM D1200 no. 3": _astm(2.31, 6.58, 20.0),
    "ASTM D1200 no. 4": _astm(3.85, 4.49, 20.0),
    "ASTM D1200 no. 5": _astm(12.1, 2.00, 20.0),
}


def kinematic_viscosity_mm2_s(cup: str, efflux_s: float) -> float:
    """Return the kinematic viscosity in mm²/s from an efflux time in s.

    .. math:: \\nu = a (t - t_0) - b / t

    with the constants of the cup, in the table of this module.

    Parameters
    ----------
    cup
        Standard and size, such as `ISO 2431 4 mm`.
    efflux_s
        Efflux time in s, within the range of the cup.

    Raises
    ------
    NotDeterminable
        Outside the range in which the formula of the standard holds, or for an unknown cup.

    Examples
    --------
    >>> round(kinematic_viscosity_mm2_s("ISO 2431 4 mm", 100), 3)
    135.0
    """
    if cup not in CUPS:
        raise NotDeterminable(f"no formula is known for the cup '{cup}'")
    it = CUPS[cup]
    if not it.shortest_s <= efflux_s <= it.longest_s:
        raise NotDeterminable(
            f"{efflux_s:g} s: the formula of the standard holds from {it.shortest_s:g} to "
            f"{it.longest_s:g} s; take {'a finer' if efflux_s < it.shortest_s else 'a wider'} cup"
        )
    return it.slope * (efflux_s - it.dead_time_s) - it.kinetic / efflux_s


def dynamic_viscosity_pa_s(kinematic_mm2_s: float, density_g_cm3: float) -> float:
    """Return the dynamic viscosity in Pa s from the kinematic one in mm²/s.

    .. math:: \\eta = \\nu \\rho

    Examples
    --------
    >>> round(dynamic_viscosity_pa_s(100.0, 1.4), 6)
    0.14
    """
    return kinematic_mm2_s * density_g_cm3 / 1000


def off_temperature(cup: str, temperature_c: float) -> str:
    """Return what is to be told of the temperature of a run; empty if as the standard asks."""
    it = CUPS.get(cup)
    if it is None or abs(temperature_c - it.temperature_c) <= it.within_c:
        return ""
    return f"at {temperature_c:g} °C; the standard asks for {it.temperature_c:g} °C"
