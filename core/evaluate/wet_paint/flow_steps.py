"""One step of a flow curve: its points, the models fitted to them, and its yield stress."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from tiecoat.evaluate.estimate import Estimate, NotDeterminable
from tiecoat.evaluate.statistics.least_squares_one import Floats
from tiecoat.evaluate.wet_paint.flow_fits import (
    ROUNDING,
    FlowFit,
    best,
    scatter_along,
    uneven_scatter,
)
from tiecoat.evaluate.wet_paint.flow_fits_many import fits_of
from tiecoat.evaluate.wet_paint.flow_models import FlowCurves
from tiecoat.evaluate.wet_paint.flow_rivals import Rivals, rivals_among, sisko_squares
from tiecoat.evaluate.wet_paint.thinning_and_recovery import Curve, curve
from tiecoat.wording import listed

LEAST_POINTS = 5  # of the simplest model
MaybeEstimate = Estimate | NotDeterminable
T = TypeVar("T")


@dataclass(frozen=True)
class Point:
    """A point of a flow curve: step of the program, time in s, 1/s, Pa, °C."""

    step: str
    elapsed_s: float
    shear_rate_per_s: float
    shear_stress_pa: float
    temperature_c: float


@dataclass(frozen=True)
class Paint:
    """Densities in g/cm³ of the batch that a flow curve belongs to, or why there are none.

    `in_film` with the air that it has when applied, `air_free` without; `told` and `told_free` are
    what must be told of each.
    """

    in_film: MaybeEstimate
    air_free: MaybeEstimate
    told: str = ""
    told_free: str = ""


@dataclass(frozen=True)
class FlowStep:
    """A step of the program: its curve and the best fit, or why there is none of either.

    `rivals` are the models that do as well; None where there is no fit.
    """

    name: str
    curve: Curve | NotDeterminable
    fits: Mapping[str, FlowFit | NotDeterminable]
    chosen: FlowFit | NotDeterminable
    flags: str
    rivals: Rivals | None = None

    @property
    def doubt(self) -> str:
        """What is to be told of a result that hangs on whether there is a yield stress."""
        if self.rivals is None or not self.rivals.leave_it_open:
            return ""
        reached = f"rates above {self.rivals.lowest_per_s:.4g} 1/s"
        return f"whether there is a yield stress is not determinable from {reached}"


def steps_of(named: Sequence[tuple[str, Sequence[Point]]]) -> list[FlowStep]:
    """Return steps with their fits; points at rest or without stress are left out and told.

    Parameters
    ----------
    named
        The name and the points of each.
    """
    found = [_unfitted(name, points) for name, points in named]
    fitted = [one for one in found if isinstance(one, _Points)]
    curves = [(one.rates, one.stresses) for one in fitted]
    squares = sisko_squares(FlowCurves.of(curves)).tolist() if curves else []
    fits = iter(zip(fits_of(curves), squares, strict=True))
    return [_fitted(one, *next(fits)) if isinstance(one, _Points) else one for one in found]


@dataclass(frozen=True)
class _Points:
    """What is to be fitted: the name of a step, its rates in 1/s and stresses in Pa, its flags."""

    name: str
    rates: Floats
    stresses: Floats
    flags: str


def _unfitted(name: str, points: Sequence[Point]) -> FlowStep | _Points:
    """Return a step as it is where there is nothing to fit, else its points."""
    turning = [
        one
        for one in points
        if one.shear_rate_per_s > 0 and one.shear_stress_pa > 0 and _finite(one)
    ]
    flags = _cautions(points, turning)
    rates = np.array([one.shear_rate_per_s for one in turning])
    stresses = np.array([one.shear_stress_pa for one in turning])
    if len(np.unique(rates)) > 2 and np.ptp(stresses) <= ROUNDING * stresses.max():
        why = NotDeterminable(
            f"the stress is {stresses[0]:.3g} Pa at all rates: an instrument at its limit, or a "
            "sample that slips, and no flow curve"
        )
        return FlowStep(name, why, {}, why, flags)
    if len(turning) < LEAST_POINTS:
        few = "1 usable point" if len(turning) == 1 else f"{len(turning)} usable points"
        why = NotDeterminable(f"{few}; a flow curve needs at least {LEAST_POINTS}")
        return FlowStep(name, tried(lambda: curve(rates, stresses)), {}, why, flags)
    return _Points(name, rates, stresses, flags)


def _fitted(
    points: _Points, fits: Mapping[str, FlowFit | NotDeterminable], of_sisko: float
) -> FlowStep:
    name, rates, stresses, flags = points.name, points.rates, points.stresses, points.flags
    try:
        chosen = best(fits)
    except NotDeterminable as none:
        return FlowStep(name, tried(lambda: curve(rates, stresses)), fits, none, flags)
    flags = join(flags, uneven_scatter(chosen, rates, stresses))
    scatter = scatter_along(chosen, rates, stresses)
    measured = curve(rates, stresses, scatter, chosen.freedom, chosen)
    return FlowStep(name, measured, fits, chosen, flags, rivals_among(fits, rates, of_sisko))


def yield_stress(step: FlowStep) -> MaybeEstimate:
    """Return the yield stress in Pa of the chosen model, or why none can be told.

    It is told only where no law without a yield stress describes the points as well.
    """
    if isinstance(step.chosen, NotDeterminable):
        return step.chosen
    assert step.rivals is not None
    if step.rivals.tell_a_yield_stress:
        told = step.chosen.parameters["yield_stress"]
        return told.found if told.interval[0] > 0 else no_yield_stress(step.chosen)
    reached = f"not determinable from rates above {step.rivals.lowest_per_s:.4g} 1/s: "
    name = step.chosen.model.name
    if step.chosen.model.yields is not None:
        others = listed(step.rivals.without)
        return NotDeterminable(
            f"{reached}{others} would describe the points without a yield stress as well as {name} "
            "does with one"
        )
    none = f"the points are described best by the {name} model, which has no yield stress"
    if not step.rivals.with_yield:
        return NotDeterminable(none)
    return NotDeterminable(f"{reached}{none}; {step.rivals.named} would do as well")


def no_yield_stress(fit: FlowFit) -> NotDeterminable:
    """Return why a yield stress whose interval reaches zero is not told as one."""
    told = fit.parameters["yield_stress"]
    if isinstance(told.found, NotDeterminable):
        return told.found
    low, high = told.interval
    return NotDeterminable(
        f"not told from none: {told.found.value:.2g} Pa of the {fit.model.name} model, 95 %"
        f" interval {low:.2g} to {high:.2g} Pa"
    )


def tried(law: Callable[[], T]) -> T | NotDeterminable:
    """Return what a law gives, or why it gives nothing."""
    try:
        return law()
    except NotDeterminable as why:
        return why


def _cautions(points: Sequence[Point], turning: Sequence[Point]) -> str:
    left_out = len(points) - len(turning)
    warmth = [one.temperature_c for one in turning if math.isfinite(one.temperature_c)]
    apart = max(warmth, default=0.0) - min(warmth, default=0.0)
    return join(
        f"{left_out} points without rate or stress left out" if left_out else "",
        f"temperature moved by {apart:.1f} K" if apart > 1 else "",
    )


def _finite(one: Point) -> bool:
    return math.isfinite(one.shear_rate_per_s) and math.isfinite(one.shear_stress_pa)


def join(*flags: str) -> str:
    """Return flags as one text."""
    return "; ".join(flag for flag in flags if flag)
