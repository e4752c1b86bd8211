"""From a step of a flow curve to its results: model, thinning, sag, levelling, bubbles."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial

import numpy as np

from tiecoat.contract.choices import ViscosityChoices
from tiecoat.evaluate.estimate import Estimate, NotDeterminable, t_factor
from tiecoat.evaluate.ledger import Ledger
from tiecoat.evaluate.wet_paint import bubbles
from tiecoat.evaluate.wet_paint import sag_and_levelling as film_flow
from tiecoat.evaluate.wet_paint.drag import fluid_of
from tiecoat.evaluate.wet_paint.flow_fits import FlowFit
from tiecoat.evaluate.wet_paint.flow_rivals import Rivals
from tiecoat.evaluate.wet_paint.flow_steps import (
    FlowStep,
    MaybeEstimate,
    Paint,
    join,
    no_yield_stress,
    tried,
    yield_stress,
)
from tiecoat.evaluate.wet_paint.thinning_and_recovery import Curve, thinning_index, viscosity_at
from tiecoat.wording import listed


def tell_step(
    ledger: Ledger, keys: Mapping[str, str], step: FlowStep, paint: Paint, choices: ViscosityChoices
) -> None:
    """Enter the results of one step."""
    _tell_fits(ledger, keys, step)
    _tell_thinning(ledger, keys, step, choices)
    _tell_sag(ledger, keys, step, paint, choices)
    _tell_levelling(ledger, keys, step, choices)
    _tell_bubbles(ledger, keys, step, paint, choices)


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
        chosen = _chosen(step) if found is step.chosen else _not_chosen(found, step.chosen)
        flags = join(chosen, step.flags)
        for quantity, one in found.parameters.items():
            value, told = one.found, flags
            interval: tuple[float, float] | None = one.interval
            if quantity == "yield_stress":
                value, interval, told = _told_yield_stress(step, found, flags)
            ledger.add(
                quantity,
                one.unit,
                keys,
                value,
                condition=condition,
                method=method,
                flags=told,
                interval=interval,
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


def _chosen(step: FlowStep) -> str:
    """Return that a model is chosen, and which others do as well."""
    assert step.rivals is not None
    assert isinstance(step.chosen, FlowFit)
    yielding = [one.model.name for one in step.rivals.with_yield]
    others = [name for name in (*step.rivals.without, *yielding) if name != step.chosen.model.name]
    return join("chosen by AICc", f"{listed(others, ' and ')} would do as well" if others else "")


def _not_chosen(found: FlowFit, chosen: FlowFit) -> str:
    above = found.aicc - chosen.aicc
    best = chosen.model.name
    if not math.isfinite(above):  # of points without scatter
        return f"not chosen: {best} is"
    if above < 0:
        return f"not chosen: {best} is simpler and does as well, with an AICc {-above:.1f} above"
    return f"not chosen: AICc {above:.1f} above that of {best}"


def _told_yield_stress(
    step: FlowStep, found: FlowFit, flags: str
) -> tuple[MaybeEstimate, tuple[float, float] | None, str]:
    """Return the yield stress of a model, its interval and flags; where none can be told, why."""
    assert step.rivals is not None
    own = found.parameters["yield_stress"]
    if isinstance(own.found, NotDeterminable):
        return own.found, None, flags
    if not step.rivals.tell_a_yield_stress:
        told = yield_stress(step)
        assert isinstance(told, NotDeterminable)
        return told, None, flags
    if own.interval[0] <= 0:
        return no_yield_stress(found), None, flags
    return own.found, own.interval, flags


def _tell_thinning(
    ledger: Ledger, keys: Mapping[str, str], step: FlowStep, choices: ViscosityChoices
) -> None:
    low, high = choices.thinning_rates_per_s
    method = "between points, log-log, bent as the chosen model"
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
    """Enter the sag limit: the lowest of the models that describe the points alike."""
    tau = yield_stress(step)
    found: MaybeEstimate
    flags = [step.flags, paint.told]
    method, interval = "yield stress over weight", None
    if isinstance(tau, NotDeterminable) or isinstance(paint.in_film, NotDeterminable):
        found = tau if isinstance(tau, NotDeterminable) else paint.in_film
    else:
        assert step.rivals is not None
        found, interval = _lowest_sag_limit(step.rivals, paint.in_film)
        method += f" at {paint.in_film.value:.4f} g/cm3"
    if isinstance(found, Estimate) and interval:
        assert step.rivals is not None
        if len(step.rivals.with_yield) > 1:
            flags += [f"{step.rivals.named} do alike: the lowest limit is taken"]
        flags += ["the yield stress cannot be told from none"] if interval[0] <= 0 else []
        flags += (
            [f"a film of {choices.wet_film_um:g} µm sags"]
            if found.value < choices.wet_film_um
            else []
        )
    ledger.add(
        "sag_limit",
        "um",
        keys,
        found,
        condition=step.name,
        method=method,
        flags=join(*flags),
        interval=interval,
    )


def _lowest_sag_limit(
    rivals: Rivals, density: Estimate
) -> tuple[MaybeEstimate, tuple[float, float] | None]:
    """Return the lowest sag limit of rival models, and the interval that holds all of theirs."""
    stresses = [one.parameters["yield_stress"].found for one in rivals.with_yield]
    limits = [
        tried(partial(film_flow.sag_limit_um, one, density))
        for one in stresses
        if isinstance(one, Estimate)
    ]
    known = [one for one in limits if isinstance(one, Estimate)]
    if not known:
        return limits[0] if limits else stresses[0], None
    ends = [one.interval for one in known]
    return min(known, key=lambda one: one.value), (
        min(low for low, _ in ends),
        max(high for _, high in ends),
    )


def _tell_levelling(
    ledger: Ledger, keys: Mapping[str, str], step: FlowStep, choices: ViscosityChoices
) -> None:
    tau = yield_stress(step)
    flags = [step.flags, step.doubt]

    def half_time(one: Curve) -> Estimate:
        film = (choices.wavelength_mm, choices.wet_film_um, choices.surface_tension_mn_m)
        drive = film_flow.levelling_stress_pa(*film, choices.mark_height_um)
        if isinstance(tau, Estimate) and tau.interval[0] > drive:
            raise NotDeterminable(
                f"the marks stay: the yield stress of {tau.value:.3g} Pa is above the "
                f"{drive:.3g} Pa that surface tension brings to bear"
            )
        if step.rivals is not None and _highest_yield_stress_pa(step.rivals) > drive:
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


def _highest_yield_stress_pa(rivals: Rivals) -> float:
    """Return the upper end of what the models that do as well take for the yield stress."""
    found = (one.parameters["yield_stress"] for one in rivals.with_yield)
    return max((one.interval[1] for one in found if isinstance(one.found, Estimate)), default=0.0)


def _tell_bubbles(
    ledger: Ledger, keys: Mapping[str, str], step: FlowStep, paint: Paint, choices: ViscosityChoices
) -> None:
    is_free = isinstance(paint.air_free, Estimate)
    density, of_density = (
        (paint.air_free, paint.told_free) if is_free else (paint.in_film, paint.told)
    )
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
        if isinstance(found, bubbles.EveryBubbleHeld) and _holds_for_sure(step, density, choices):
            interval = choices.wet_film_um / 2, math.nan
        ledger.add(
            quantity,
            unit,
            keys,
            found,
            condition=f"{step.name}; {under}",
            method=method,
            flags=join(step.flags, told[0] if told else "", step.doubt, of_density),
            interval=interval,
        )


def _holds_for_sure(step: FlowStep, density: MaybeEstimate, choices: ViscosityChoices) -> bool:
    """Whether the least yield stress that the points allow holds every bubble too.

    Then the smallest that would escape is larger than any that fits into the film.
    """
    tau = yield_stress(step)
    if isinstance(tau, NotDeterminable) or isinstance(density, NotDeterminable):
        return False
    assert isinstance(step.chosen, FlowFit)
    least = replace(fluid_of(step.chosen), yield_stress_pa=tau.interval[0])
    return 2 * bubbles.held_radius_um(least, density.value) >= choices.wet_film_um


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
