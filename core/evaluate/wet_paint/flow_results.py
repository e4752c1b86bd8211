"""From the points of a flow curve to its results: model, thinning, sag, levelling, bubbles."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TypeVar

import numpy as np

from tiecoat.contract.choices import ViscosityChoices
from tiecoat.evaluate.estimate import Estimate, NotDeterminable, t_factor
from tiecoat.evaluate.ledger import Ledger
from tiecoat.evaluate.wet_paint import bubbles
from tiecoat.evaluate.wet_paint import sag_and_levelling as film_flow
from tiecoat.evaluate.wet_paint.drag import fluid_of
from tiecoat.evaluate.wet_paint.flow_fits import FlowFit, best, fit_all
from tiecoat.evaluate.wet_paint.thinning_and_recovery import (
    Curve,
    curve,
    thinning_index,
    viscosity_at,
)

LEAST_POINTS = 5  # of the simplest model
SAME_AICC = 2.0  # models closer than this describe the points alike (Burnham and Anderson)
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

    `in_film` with the air that it has when applied, `air_free` without.
    """

    in_film: MaybeEstimate
    air_free: MaybeEstimate
    told: str = ""


@dataclass(frozen=True)
class FlowStep:
    """A step of the program: its curve and the best fit, or why there is none of either."""

    name: str
    curve: Curve | NotDeterminable
    fits: Mapping[str, FlowFit | NotDeterminable]
    chosen: FlowFit | NotDeterminable
    flags: str


def step_of(name: str, points: Sequence[Point]) -> FlowStep:
    """Return a step with its fits; points at rest or without stress are left out and told."""
    turning = [
        one
        for one in points
        if one.shear_rate_per_s > 0 and one.shear_stress_pa > 0 and _finite(one)
    ]
    flags = _cautions(points, turning)
    rates = np.array([one.shear_rate_per_s for one in turning])
    stresses = np.array([one.shear_stress_pa for one in turning])
    if len(turning) < LEAST_POINTS:
        few = "1 usable point" if len(turning) == 1 else f"{len(turning)} usable points"
        why = NotDeterminable(f"{few}; a flow curve needs at least {LEAST_POINTS}")
        return FlowStep(name, tried(lambda: curve(rates, stresses)), {}, why, flags)
    fits = fit_all(rates, stresses)
    try:
        chosen = best(fits)
    except NotDeterminable as none:
        return FlowStep(name, tried(lambda: curve(rates, stresses)), fits, none, flags)
    measured = curve(rates, stresses, chosen.scatter, chosen.freedom)
    return FlowStep(name, measured, fits, chosen, flags)


def tell_step(
    ledger: Ledger, keys: Mapping[str, str], step: FlowStep, paint: Paint, choices: ViscosityChoices
) -> None:
    """Enter the results of one step."""
    _tell_fits(ledger, keys, step)
    _tell_thinning(ledger, keys, step, choices)
    _tell_sag(ledger, keys, step, paint, choices)
    _tell_levelling(ledger, keys, step, choices)
    _tell_bubbles(ledger, keys, step, paint, choices)


def yield_stress(step: FlowStep) -> MaybeEstimate:
    """Return the yield stress in Pa of the chosen model, or why there is none."""
    if isinstance(step.chosen, NotDeterminable):
        return step.chosen
    found = step.chosen.parameters().get("yield_stress")
    if found is not None:
        return found.found
    near = [
        one.model.name
        for one in step.fits.values()
        if isinstance(one, FlowFit)
        and one.model.yields is not None
        and one.aicc < step.chosen.aicc + SAME_AICC
    ]
    also = f"; {' and '.join(near)} would do as well" if near else ""
    return NotDeterminable(
        f"the points are described best by the {step.chosen.model.name} model, which has no yield "
        f"stress{also}"
    )


def _tell_fits(ledger: Ledger, keys: Mapping[str, str], step: FlowStep) -> None:
    if isinstance(step.chosen, NotDeterminable):
        ledger.add("yield_stress", "Pa", keys, step.chosen, condition=step.name, flags=step.flags)
        return
    for name, found in step.fits.items():
        condition = f"{step.name}; {name}"
        if isinstance(found, NotDeterminable):
            ledger.add("flow_fit_aicc", "", keys, found, condition=condition)
            continue
        method = (
            f"relative weights, {found.lowest_per_s:.4g} to {found.highest_per_s:.4g} 1/s, "
            f"scatter {100 * found.scatter:.2g} %"
        )
        flags = join("chosen by AICc" if found is step.chosen else "", step.flags)
        for quantity, one in found.parameters().items():
            ledger.add(
                quantity,
                one.unit,
                keys,
                one.found,
                condition=condition,
                method=method,
                flags=flags,
                interval=one.interval,
            )
        ledger.add(
            "flow_fit_aicc",
            "",
            keys,
            Estimate(found.aicc, n=found.n),
            condition=condition,
            method=method,
            flags=flags,
        )


def _tell_thinning(
    ledger: Ledger, keys: Mapping[str, str], step: FlowStep, choices: ViscosityChoices
) -> None:
    low, high = choices.thinning_rates_per_s
    method = "between points, log-log"
    for rate in (low, high):
        ledger.add(
            "apparent_viscosity",
            "Pa s",
            keys,
            _on(step.curve, partial(viscosity_at, rate_per_s=rate)),
            condition=f"{step.name}; {rate:g} 1/s",
            method=method,
            flags=step.flags,
        )
    ledger.add(
        "shear_thinning_index",
        "",
        keys,
        _on(step.curve, lambda one: thinning_index(one, low, high)),
        condition=f"{step.name}; {low:g} over {high:g} 1/s",
        method=method,
        flags=step.flags,
    )


def _tell_sag(
    ledger: Ledger, keys: Mapping[str, str], step: FlowStep, paint: Paint, choices: ViscosityChoices
) -> None:
    tau = yield_stress(step)
    found: MaybeEstimate
    flags = [step.flags, paint.told]
    method = "yield stress over weight"
    if isinstance(tau, NotDeterminable) or isinstance(paint.in_film, NotDeterminable):
        found = tau if isinstance(tau, NotDeterminable) else paint.in_film
    else:
        density = paint.in_film
        found = tried(lambda: film_flow.sag_limit_um(tau, density))
        method += f" at {density.value:.4f} g/cm3"
    if isinstance(found, Estimate):
        flags += ["the yield stress cannot be told from none"] if found.interval[0] <= 0 else []
        flags += (
            [f"a film of {choices.wet_film_um:g} µm sags"]
            if found.value < choices.wet_film_um
            else []
        )
    ledger.add(
        "sag_limit", "um", keys, found, condition=step.name, method=method, flags=join(*flags)
    )


def _tell_levelling(
    ledger: Ledger, keys: Mapping[str, str], step: FlowStep, choices: ViscosityChoices
) -> None:
    tau = yield_stress(step)
    flags = [step.flags]

    def half_time(one: Curve) -> Estimate:
        film = (choices.wavelength_mm, choices.wet_film_um, choices.surface_tension_mn_m)
        drive = film_flow.levelling_stress_pa(*film, choices.mark_height_um)
        if isinstance(tau, Estimate):
            if tau.interval[0] > drive:
                raise NotDeterminable(
                    f"the marks stay: the yield stress of {tau.value:.3g} Pa is above the "
                    f"{drive:.3g} Pa that surface tension brings to bear"
                )
            if tau.interval[1] > drive:
                flags.append("the yield stress may keep the marks")
        viscosity = viscosity_at(one, choices.levelling_rate_per_s)
        return viscosity.times(film_flow.levelling_half_time_s(1.0, *film))

    found = _on(step.curve, half_time)
    ledger.add(
        "levelling_half_time",
        "s",
        keys,
        found,
        condition=f"{step.name}; marks of {choices.wavelength_mm:g} mm in a film of "
        f"{choices.wet_film_um:g} µm",
        method=f"Orchard (1962), viscosity at {choices.levelling_rate_per_s:g} 1/s, "
        f"{choices.surface_tension_mn_m:g} mN/m",
        flags=join(*flags),
    )


def _tell_bubbles(
    ledger: Ledger, keys: Mapping[str, str], step: FlowStep, paint: Paint, choices: ViscosityChoices
) -> None:
    density = paint.air_free if isinstance(paint.air_free, Estimate) else paint.in_film
    method = "a still surface, drag at v/d in the fitted flow curve"
    told: list[str] = []

    def velocity(found: FlowFit, rho: float) -> float:
        risen = bubbles.rise(fluid_of(found), choices.bubble_radius_um, rho)
        told.append(risen.flags)
        return risen.velocity_um_s

    def smallest(found: FlowFit, rho: float) -> float:
        radius, risen = bubbles.smallest_escaping(
            fluid_of(found), choices.wet_film_um, choices.open_time_s, rho
        )
        told.append(risen.flags)
        return radius

    film = f"film of {choices.wet_film_um:g} µm, {choices.open_time_s:g} s"
    wanted: tuple[tuple[str, str, str, Callable[[FlowFit, float], float]], ...] = (
        ("bubble_velocity", "um/s", f"radius {choices.bubble_radius_um:g} µm", velocity),
        ("smallest_escaping_radius", "um", film, smallest),
    )
    for quantity, unit, under, law in wanted:
        told.clear()
        found, interval = _by_flow_curve(step.chosen, density, law)
        ledger.add(
            quantity,
            unit,
            keys,
            found,
            condition=f"{step.name}; {under}",
            method=method,
            flags=join(step.flags, told[0] if told else ""),
            interval=interval,
        )


def _by_flow_curve(
    chosen: FlowFit | NotDeterminable,
    density: MaybeEstimate,
    law: Callable[[FlowFit, float], float],
) -> tuple[MaybeEstimate, tuple[float, float] | None]:
    """Return what a law gives for a fitted flow curve, with the uncertainty of the fit.

    To first order in the logarithm of the result, which is above zero: one step of a tenth of a
    standard error along each axis of the covariance of the parameters.
    """
    if isinstance(chosen, NotDeterminable) or isinstance(density, NotDeterminable):
        return (chosen if isinstance(chosen, NotDeterminable) else density), None
    fit, rho = chosen, density.value
    try:
        value = law(fit, rho)
    except NotDeterminable as why:
        return why, None
    lengths, axes = np.linalg.eigh(fit.covariance)
    squares = 0.0
    try:
        for axis in (axes * np.sqrt(np.maximum(lengths, 0))).T:
            if not axis.any():
                continue
            ends = [law(replace(fit, inner=fit.inner + by * axis), rho) for by in (0.1, -0.1)]
            squares += (math.log(ends[0] / ends[1]) / 0.2) ** 2
    except NotDeterminable:
        return Estimate(value, n=fit.n), None
    error = math.sqrt(squares)
    factor = math.exp(min(t_factor(fit.freedom) * error, 700))
    return Estimate(value, value * error, fit.freedom, fit.n), (value / factor, value * factor)


def _on(measured: Curve | NotDeterminable, law: Callable[[Curve], Estimate]) -> MaybeEstimate:
    if isinstance(measured, NotDeterminable):
        return measured
    return tried(lambda: law(measured))


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
