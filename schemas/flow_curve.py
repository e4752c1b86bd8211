"""What holds of neighbouring points of a flow curve, and what contradicts it.

Paint thins or is Newtonian: with a rising shear rate the stress rises and the viscosity falls. A
point that lies far outside what its neighbours show has a slipped digit.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from tiecoat.plugin import Fault, Reason

if TYPE_CHECKING:
    from numpy.typing import NDArray

LEAST_POINTS = 4
FACTOR_OFF = 2.5  # common practice, no source: recovery and thixotropy change less between points
INDEX = (-0.4, 1.4)  # of lg stress over lg rate: paint thins or is Newtonian, with noise
LEAP = 1000.0  # ratio of rates from which a structure breaks down or builds up anew
CLOSE = 1.05  # ratio of two rates that says nothing of the index


def jumps(columns: Mapping[str, Any]) -> Iterator[Fault]:
    """Say where a point stands off its neighbours, each fault at the position of its row.

    Parameters
    ----------
    columns
        shear_rate_per_s, shear_stress_pa, viscosity_pa_s of one measurement, shape (n,), in the
        order of the program.
    """
    rate, stress, viscosity = (
        np.asarray(columns[name], dtype=float)
        for name in ("shear_rate_per_s", "shear_stress_pa", "viscosity_pa_s")
    )
    good = (rate > 0) & (stress > 0) & (viscosity > 0)
    if len(rate) < LEAST_POINTS or not good.all():
        return
    off = [_between(rate, stress, viscosity, at) for at in range(1, len(rate) - 1)]
    off = [_at_end(rate, stress, 0, 1, 2), *off, _at_end(rate, stress, -1, -2, -3)]
    for at in np.flatnonzero(np.array(off) > FACTOR_OFF).tolist():
        if off[at] < max(off[max(at - 1, 0) : at + 2]):
            continue  # it stands beside the one that is off
        yield Fault(
            Reason.INCONSISTENT,
            at,
            "viscosity_pa_s",
            f"{viscosity[at]:.4g} Pa s at {rate[at]:.4g} 1/s, "
            f"{off[at]:.0f} times off its neighbours",
            "a curve without jumps; see whether a digit slipped",
        )


def _between(
    rate: NDArray[np.float64], stress: NDArray[np.float64], viscosity: NDArray[np.float64], at: int
) -> float:
    """Return by what factor a point lies outside its two neighbours; 1 for within.

    At a rate between theirs neither value may lie outside; else one may.
    """
    near = rate[[at - 1, at + 1]]
    outside = _outside(stress, at), _outside(viscosity, at)
    between = near.min() <= rate[at] <= near.max() < LEAP * near.min()
    return max(outside) if between else min(outside)


def _outside(values: NDArray[np.float64], at: int) -> float:
    near = values[[at - 1, at + 1]]
    return float(max(values[at] / near.max(), near.min() / values[at], 1.0))


def _at_end(
    rate: NDArray[np.float64], stress: NDArray[np.float64], end: int, second: int, third: int
) -> float:
    """Return by what factor the stress at an end is beyond what any paint may show; 1 for within.

    It is asked only where the next two points belong together, else they may be off themselves.
    """
    lg_rate, lg_stress = np.log10(rate), np.log10(stress)
    steps = lg_rate[end] - lg_rate[second], lg_rate[second] - lg_rate[third]
    if min(abs(step) for step in steps) < np.log10(CLOSE) or steps[0] * steps[1] < 0:
        return 1.0
    rises = lg_stress[end] - lg_stress[second], lg_stress[second] - lg_stress[third]
    if not INDEX[0] <= rises[1] / steps[1] <= INDEX[1]:
        return 1.0
    low, high = sorted(limit * steps[0] for limit in INDEX)
    beyond = max(rises[0] - high, low - rises[0], 0.0)
    return float(10 ** (beyond + np.log10(FACTOR_OFF))) if beyond else 1.0
