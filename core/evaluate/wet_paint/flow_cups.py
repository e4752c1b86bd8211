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
| DIN 53211 4 mm | 4.57 t - 452/t | 25 to 150 |
| ASTM D4212 Zahn no. 1 | 1.1 (t - 29) | 35 to 80 |
| ASTM D4212 Zahn no. 2 | 3.5 (t - 14) | 20 to 80 |
| ASTM D4212 Zahn no. 3 | 11.7 (t - 7.5) | 20 to 80 |
| ASTM D4212 Zahn no. 4 | 14.8 (t - 5) | 20 to 80 |
| ASTM D4212 Zahn no. 5 | 23 t | 20 to 80 |
| ASTM D4212 Shell no. 1 | 0.226 (t - 13) | 20 to 80 |
| ASTM D4212 Shell no. 2 | 0.576 (t - 5) | 20 to 80 |
| ASTM D4212 Shell no. 2.5 | 0.925 (t - 3) | 20 to 80 |
| ASTM D4212 Shell no. 3 | 1.51 (t - 2) | 20 to 80 |
| ASTM D4212 Shell no. 3.5 | 2.17 (t - 1.5) | 20 to 80 |
| ASTM D4212 Shell no. 4 | 3.45 (t - 1) | 20 to 80 |
| ASTM D4212 Shell no. 5 | 6.5 (t - 1) | 20 to 80 |
| ASTM D4212 Shell no. 6 | 16.2 (t - 0.5) | 20 to 80 |

Sources: ISO 2431 and ASTM D1200 as a public program and published conversion tables have them
(ISO's 5 mm cup by the program alone), ranges of ASTM D1200 as in its clause 11.2; DIN 53211,
withdrawn, as the same program and a published table have it; ASTM D4212 as published conversion
tables have it, which name T. C. Patton, Paint Flow and Pigment Dispersion, 2nd ed. (1979), 82. The
editions are in `standards`. All are made for paint that is Newtonian or nearly so, and for one
temperature; Zahn cups differ from maker to maker, as ASTM D4212 says itself, and cups sold as Ford
cups need not follow ASTM D1200 (trade tables differ from it by 10 to 20 %).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from tiecoat.contract.standards import ASTM_D1200, ASTM_D4212, DIN_53211, ISO_2431
from tiecoat.evaluate.estimate import NotDeterminable


@dataclass(frozen=True)
class Cup:
    """A flow cup: viscosity = slope (t - dead time) - kinetic / t, in mm²/s and s."""

    standard: str
    slope: float
    dead_time_s: float
    kinetic: float
    shortest_s: float
    longest_s: float
    temperature_c: float  # of the standard
    within_c: float

    def continued_mm2_s(self, efflux_s: float) -> float:
        """Return what the formula gives, within its range and beyond, where it does not hold."""
        return self.slope * (efflux_s - self.dead_time_s) - self.kinetic / efflux_s


def _iso(slope: float, kinetic: float) -> Cup:
    return Cup(ISO_2431, slope, 0.0, kinetic, 30.0, 100.0, 23.0, 0.5)


def _astm(slope: float, dead_time_s: float, shortest_s: float) -> Cup:
    return Cup(ASTM_D1200, slope, dead_time_s, 0.0, shortest_s, 100.0, 25.0, 0.5)


def _dipped(slope: float, dead_time_s: float, shortest_s: float = 20.0) -> Cup:
    return Cup(ASTM_D4212, slope, dead_time_s, 0.0, shortest_s, 80.0, 25.0, 0.5)


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
    "DIN 53211 4 mm": Cup(DIN_53211, 4.57, 0.0, 452.0, 25.0, 150.0, 20.0, 0.5),
    "ASTM D4212 Zahn no. 1": _dipped(1.1, 29.0, 35.0),
    "ASTM D4212 Zahn no. 2": _dipped(3.5, 14.0),
    "ASTM D4212 Zahn no. 3": _dipped(11.7, 7.5),
    "ASTM D4212 Zahn no. 4": _dipped(14.8, 5.0),
    "ASTM D4212 Zahn no. 5": _dipped(23.0, 0.0),
    "ASTM D4212 Shell no. 1": _dipped(0.226, 13.0),
    "ASTM D4212 Shell no. 2": _dipped(0.576, 5.0),
    "ASTM D4212 Shell no. 2.5": _dipped(0.925, 3.0),
    "ASTM D4212 Shell no. 3": _dipped(1.51, 2.0),
    "ASTM D4212 Shell no. 3.5": _dipped(2.17, 1.5),
    "ASTM D4212 Shell no. 4": _dipped(3.45, 1.0),
    "ASTM D4212 Shell no. 5": _dipped(6.5, 1.0),
    "ASTM D4212 Shell no. 6": _dipped(16.2, 0.5),
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
    holds = f"the formula of the standard holds from {it.shortest_s:g} to {it.longest_s:g} s"
    if not math.isfinite(efflux_s):
        raise NotDeterminable(f"no efflux time; {holds}")
    if not it.shortest_s <= efflux_s <= it.longest_s:
        cup_to_take = "a finer" if efflux_s < it.shortest_s else "a wider"
        raise NotDeterminable(f"{efflux_s:g} s: {holds}; take {cup_to_take} cup")
    return it.continued_mm2_s(efflux_s)


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
    at = f"at {temperature_c:g} °C" if math.isfinite(temperature_c) else "no temperature stated"
    return f"{at}; the standard asks for {it.temperature_c:g} °C"
