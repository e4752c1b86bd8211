"""Viscosity of wet paint: results of flow curves and flow cups."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from tiecoat.contract.choices import Choices, ViscosityChoices
from tiecoat.evaluate.estimate import CERTAIN, Estimate, NotDeterminable
from tiecoat.evaluate.ledger import Ledger
from tiecoat.evaluate.wet_paint import air
from tiecoat.evaluate.wet_paint.cup_results import CupRun, tell_cups
from tiecoat.evaluate.wet_paint.flow_results import tell_step
from tiecoat.evaluate.wet_paint.flow_steps import (
    FlowStep,
    MaybeEstimate,
    Paint,
    Point,
    join,
    steps_of,
    tried,
)
from tiecoat.evaluate.wet_paint.thinning_and_recovery import (
    Curve,
    curve,
    hysteresis_area,
    recovery,
    thinning_index,
)

EVALUATED = ("up", "down", "single", "recovery")  # names of steps
CUP_METHOD = "flow cup"


@dataclass
class Batch:
    """What was measured of a batch: flow curves by measurement, runs of cups."""

    curves: dict[str, list[Point]]
    runs: list[CupRun]


def compute(frames: Mapping[str, pd.DataFrame], choices: Choices) -> pd.DataFrame:
    """Return the results of the kind viscosity.

    For each step (up, down, single, recovery) of a flow curve:

    | quantity | unit | what |
    | --- | --- | --- |
    | consistency, flow_index, yield_stress, high_shear_viscosity, rest_viscosity, cross_time, \
cross_index | Pa s^n, 1, Pa, Pa s, Pa s, s, 1 | parameters, by model |
    | flow_fit_aicc | 1 | compares the models of the same points: the lowest is chosen |
    | apparent_viscosity | Pa s | at the set rates |
    | shear_thinning_index | 1 | ratio of those |
    | sag_limit | um | thickest wet film that stays on a vertical face |
    | levelling_half_time | s | of marks in the wet film |
    | bubble_velocity | um/s | of a bubble of the set radius |
    | smallest_escaping_radius | um | of the bubbles that leave the film in time |

    For a measurement: hysteresis_area (Pa/s), structure_recovery (%). For flow cups, each run and
    the mean by cup: kinematic_viscosity, kinematic_viscosity_mean (mm2/s), dynamic_viscosity,
    dynamic_viscosity_mean (Pa s).

    A yield stress, and with it a sag limit, is told only where no law without one describes the
    points as well (`flow_rivals`). Of several models that do, the lowest sag limit is taken, with
    the interval of all; the yield stress is that of the model chosen.

    The falling curve (down) is that of paint with its structure broken down, as it leaves brush
    or nozzle; the rising one that of paint at rest.

    Parameters
    ----------
    frames
        Rows by kind: `viscosity`, and `density` for what needs it.
    choices
        Those of viscosity, and of density for the paint's density.
    """
    densities = air.readings_by_batch(frames["density"])
    ledger = Ledger()
    batches = _batches(frames["viscosity"])
    programs = iter(_programs([one for batch in batches.values() for one in batch.curves.values()]))
    for name, batch in batches.items():
        paint = _paint(name, densities.get(name, []), choices)
        thinning = [
            _tell_curves(ledger, {"batch": name, "measurement": one}, program, paint, choices)
            for one, program in zip(batch.curves, programs, strict=False)
        ]
        tell_cups(ledger, name, batch.runs, paint, max(thinning, default=1.0))
    return ledger.table()


@dataclass
class _Program:
    """What one measurement ran: the points of each step, and those steps that are evaluated."""

    points: dict[str, list[Point]]
    steps: dict[str, FlowStep]


def _programs(measured: Sequence[Sequence[Point]]) -> list[_Program]:
    """Return the programs of measurements, the curves of all fitted at once."""
    found = []
    for points in measured:
        by_step: dict[str, list[Point]] = {}
        for one in points:
            by_step.setdefault(one.step, []).append(one)
        found.append(_Program(by_step, {}))
    named = [
        (program, name, points)
        for program in found
        for name, points in program.points.items()
        if name in EVALUATED
    ]
    steps = steps_of([(name, points) for _, name, points in named])
    for (program, name, _), step in zip(named, steps, strict=True):
        program.steps[name] = step
    return found


def _batches(frame: pd.DataFrame) -> dict[str, Batch]:
    """Return what was measured, by batch."""
    numbers = ("elapsed_s", "shear_rate_per_s", "shear_stress_pa", "temperature_c", "efflux_s")
    names = ("batch", "measurement", "method", "step", "cup", *numbers)
    columns = [frame[name].tolist() for name in names]
    found: dict[str, Batch] = {}
    for batch, measurement, method, step, cup, *values in zip(*columns, strict=True):
        elapsed, rate, stress, warmth, efflux = map(float, values)
        of_batch = found.setdefault(batch, Batch({}, []))
        if method == CUP_METHOD:
            of_batch.runs.append(CupRun(measurement, str(cup), efflux, warmth))
        else:
            name = step.strip().casefold() if isinstance(step, str) and step.strip() else "single"
            point = Point(name, elapsed, rate, stress, warmth)
            of_batch.curves.setdefault(measurement, []).append(point)
    return dict(sorted(found.items()))


def _paint(batch: str, readings: Sequence[air.Filling], choices: Choices) -> Paint:
    """Return the densities of a batch: in the film as mixed, else rested, else deaerated.

    What is told of a density is told of whatever is computed with it.
    """
    of_paint = [one for one in readings if one.state != air.WATER]
    usable = [one for one in of_paint if one.usable]
    in_film: MaybeEstimate = NotDeterminable("no density of the batch")
    free: MaybeEstimate
    told, told_free = "", ""
    left_out = air.left_out_words(len(of_paint) - len(usable))
    try:
        states = air.reduced_states(usable, choices.density)
        for state in (*air.AIRY, air.AIR_FREE):
            of_state = [one for one in states if one.state == state]
            if of_state:
                in_film = air.with_expansion(of_state[0], choices.density)
                without = "density without its air" if state == air.AIR_FREE else ""
                told = join(without, left_out, *air.far_off(of_state[0]))
                break
        reference = air.air_free_reference(states, batch, choices.density)
        free, told_free = reference.density, join(left_out, *air.far_off(reference))
    except NotDeterminable as why:
        free = why
    return Paint(in_film, free, told, told_free)


def _tell_curves(
    ledger: Ledger, keys: Mapping[str, str], program: _Program, paint: Paint, choices: Choices
) -> float:
    """Enter the results of one measurement; return its largest shear-thinning index."""
    for name in program.points:
        if name not in EVALUATED:
            why = NotDeterminable(f"the step '{name}' is none of {', '.join(EVALUATED)}")
            ledger.add("yield_stress", "Pa", keys, why, condition=name)
        elif name != "recovery":
            tell_step(ledger, keys, program.steps[name], paint, choices.viscosity)
    _tell_structure(ledger, keys, program.steps, program.points, choices.viscosity)
    return max((_thinning(one, choices.viscosity) for one in program.steps.values()), default=1.0)


def _thinning(step: FlowStep, choices: ViscosityChoices) -> float:
    if isinstance(step.curve, NotDeterminable):
        return 1.0
    try:
        return thinning_index(step.curve, *choices.thinning_rates_per_s).value
    except NotDeterminable:
        return 1.0


def _tell_structure(
    ledger: Ledger,
    keys: Mapping[str, str],
    steps: Mapping[str, FlowStep],
    points: Mapping[str, Sequence[Point]],
    choices: ViscosityChoices,
) -> None:
    """Enter hysteresis and recovery, for a program of more than a single curve."""
    if set(steps) <= {"single"}:
        return
    up, down = _curve(steps, "up"), _curve(steps, "down")
    area = _both(up, down, hysteresis_area)
    ledger.add("hysteresis_area", "Pa/s", keys, area, condition="up over down", method="trapezoids")
    share: MaybeEstimate
    if "recovery" in steps:
        share, condition = _recovered(up, points)
    else:
        rate = choices.recovery_rate_per_s
        share = _both(up, down, lambda before, after: recovery(before, after, rate))
        condition = f"down over up; {rate:g} 1/s"
    ledger.add(
        "structure_recovery",
        "%",
        keys,
        share.times(100) if isinstance(share, Estimate) else share,
        condition=condition,
        method="viscosity after high shear over that before",
    )


def _curve(steps: Mapping[str, FlowStep], name: str) -> Curve | NotDeterminable:
    if name not in steps:
        return NotDeterminable(f"no step '{name}' in the program")
    return steps[name].curve


def _both(
    first: Curve | NotDeterminable,
    second: Curve | NotDeterminable,
    law: Callable[[Curve, Curve], Estimate],
) -> MaybeEstimate:

    if isinstance(first, NotDeterminable):
        return first
    if isinstance(second, NotDeterminable):
        return second
    return tried(lambda: law(first, second))


def _as_of(point: Point, before: Curve | NotDeterminable) -> Curve | NotDeterminable:
    """Return a single point as a curve; it is taken to scatter as those of the curve before."""
    scatter, freedom = (
        (math.nan, CERTAIN)
        if isinstance(before, NotDeterminable)
        else (before.scatter_at(point.shear_rate_per_s), before.freedom)
    )
    return tried(lambda: curve([point.shear_rate_per_s], [point.shear_stress_pa], scatter, freedom))


def _recovered(
    up: Curve | NotDeterminable, points: Mapping[str, Sequence[Point]]
) -> tuple[MaybeEstimate, str]:
    """Return the recovery at the last point of the step of that name, and when and where."""
    usable = [one for one in points["recovery"] if one.shear_rate_per_s > 0]
    if not usable:
        return NotDeterminable("the step 'recovery' has no point with a shear rate"), "recovery"
    last = max(usable, key=lambda one: one.elapsed_s)
    sheared = [one.elapsed_s for name, of in points.items() if name != "recovery" for one in of]
    after = last.elapsed_s - max(sheared, default=math.nan)
    when = f" after {after:g} s" if math.isfinite(after) else ""
    share = _both(up, _as_of(last, up), lambda one, now: recovery(one, now, last.shear_rate_per_s))
    return share, f"recovery{when}; {last.shear_rate_per_s:.3g} 1/s"
