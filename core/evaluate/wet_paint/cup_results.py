"""Results of flow cups: of each run, and the mean of those of a cup."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

from tiecoat.evaluate.estimate import Estimate, NotDeterminable, mean_of
from tiecoat.evaluate.ledger import Ledger
from tiecoat.evaluate.statistics.rounding import rounding_error, step_of
from tiecoat.evaluate.wet_paint.flow_cups import (
    CUPS,
    Cup,
    dynamic_viscosity_pa_s,
    kinematic_viscosity_mm2_s,
    off_temperature,
)
from tiecoat.evaluate.wet_paint.flow_steps import MaybeEstimate, Paint, join, tried

HARDLY_THINNING = 1.2  # shear-thinning index up to which a flow cup says much; no source
STOPWATCH_S = (1.0, 0.1, 0.01, 0.001)  # steps in which efflux times are read
Ends = tuple[float, float]


@dataclass(frozen=True)
class CupRun:
    """One run of a flow cup: s, °C."""

    measurement: str
    cup: str
    efflux_s: float
    temperature_c: float


def tell_cups(
    ledger: Ledger, batch: str, runs: Sequence[CupRun], paint: Paint, thinning: float
) -> None:
    """Enter the results of the flow cups of a batch.

    The mean is that of the runs within the range of the cup. Where others lie beyond, it is on one
    side of the truth, which its flags tell, and its interval reaches to where the mean of all runs
    would lie by the formula continued beyond its range. What is told of one run reaches the mean.

    Parameters
    ----------
    thinning
        The largest shear-thinning index of the batch's flow curves.
    """
    thins = (
        f"the paint thins with shear (index {thinning:.2g}): it holds only as the cup shears"
        if thinning > HARDLY_THINNING
        else ""
    )
    by_cup: dict[str, list[CupRun]] = {}
    for run in runs:
        by_cup.setdefault(run.cup, []).append(run)
        keys = {"batch": batch, "measurement": run.measurement}
        flags = join(off_temperature(run.cup, run.temperature_c), thins)
        _tell_cup(ledger, keys, run.cup, _kinematic(run), paint=paint, flags=flags)
    for cup, of_cup in by_cup.items():
        mean, ends = _mean(cup, of_cup)
        flags = join(*_cautions(cup, of_cup), thins)
        keys = {"batch": batch}
        _tell_cup(ledger, keys, cup, mean, paint=paint, flags=flags, suffix="_mean", ends=ends)


def _kinematic(run: CupRun) -> MaybeEstimate:
    return tried(lambda: Estimate(kinematic_viscosity_mm2_s(run.cup, run.efflux_s)))


def _mean(cup: str, runs: Sequence[CupRun]) -> tuple[MaybeEstimate, Ends | None]:
    """Return the mean of the runs within the range, and its interval where others lie beyond."""
    found = [_kinematic(run) for run in runs]
    within = [one.value for one in found if isinstance(one, Estimate)]
    if cup not in CUPS:
        return found[0], None
    if not within:
        return NotDeterminable("no run within the range of the cup"), None
    timed = [run.efflux_s for run in runs if math.isfinite(run.efflux_s) and run.efflux_s > 0]
    mean = _mean_of(CUPS[cup], within, timed)
    if len(timed) == len(within):
        return mean, None
    beyond = [max(CUPS[cup].continued_mm2_s(efflux_s), 0.0) for efflux_s in timed]
    every = _mean_of(CUPS[cup], beyond, timed)
    ends = [mean.value, every.value, *mean.interval, *every.interval]
    known = [end for end in ends if math.isfinite(end)]
    return mean, (min(known), max(known))


def _mean_of(cup: Cup, viscosities_mm2_s: Sequence[float], efflux_s: Sequence[float]) -> Estimate:
    """Return the mean of runs, with what the reading of the stopwatch leaves open.

    A watch is read in whole seconds or in the decimals that the times have; a time is then off by
    up to half a step, the viscosity by that times the slope of the formula at the mean time. Runs
    that are equal to the last digit have an interval by that alone (`mean_of`); a single run has
    none, since nothing tells how runs repeat.
    """
    middle, step = fmean(efflux_s), step_of(efflux_s, STOPWATCH_S)
    rounding = rounding_error(step * (cup.slope + cup.kinetic / middle**2))
    stated = 0.0 if len(viscosities_mm2_s) > 1 else math.nan
    return mean_of(viscosities_mm2_s, stated, rounding)


def _cautions(cup: str, runs: Sequence[CupRun]) -> Iterator[str]:
    """Tell of the mean of some runs of a cup what must be told of one of them."""
    if (it := CUPS.get(cup)) is None:
        return
    untimed = sum(not math.isfinite(run.efflux_s) for run in runs)
    short = sum(run.efflux_s < it.shortest_s for run in runs)
    long = sum(run.efflux_s > it.longest_s for run in runs)
    side = "" if short and long else ": it is too low" if long else ": it is too high"
    if short or long:
        yield (
            f"{short + long} of {len(runs)} runs beyond the range of the cup, {it.shortest_s:g} to "
            f"{it.longest_s:g} s, not in the mean{side}"
        )
    if untimed:
        yield f"{untimed} of {len(runs)} runs without an efflux time"
    off = [run.temperature_c for run in runs if off_temperature(cup, run.temperature_c)]
    if not off:
        return
    stated = sorted({one for one in off if math.isfinite(one)})
    some = f"{len(off)} of {len(runs)} runs " if len(off) < len(runs) else ""
    ends = " to ".join(f"{one:g}" for one in dict.fromkeys([*stated[:1], *stated[-1:]]))
    nothing = "without a temperature" if some else "no temperature stated"
    at = f"at {ends} °C" if stated else nothing
    yield f"{some}{at}; the standard asks for {it.temperature_c:g} °C"


def _tell_cup(
    ledger: Ledger,
    keys: Mapping[str, str],
    cup: str,
    kinematic: MaybeEstimate,
    *,
    paint: Paint,
    flags: str,
    suffix: str = "",
    ends: Ends | None = None,
) -> None:
    formula = f"formula of {CUPS[cup].standard}" if cup in CUPS else ""
    ledger.add(
        f"kinematic_viscosity{suffix}",
        "mm2/s",
        keys,
        kinematic,
        condition=cup,
        method=formula,
        flags=flags,
        interval=ends,
    )
    dynamic, method, wider = kinematic, "", None
    if isinstance(kinematic, Estimate):
        dynamic, rho = paint.in_film, paint.in_film
        if isinstance(rho, Estimate):
            method = f"times {rho.value:.4f} g/cm3"
            dynamic = _dynamic(kinematic, rho)
            wider = _widened(dynamic, ends, rho.value)
    ledger.add(
        f"dynamic_viscosity{suffix}",
        "Pa s",
        keys,
        dynamic,
        condition=cup,
        method=method,
        flags=join(flags, paint.told),
        interval=wider,
    )


def _dynamic(kinematic: Estimate, density: Estimate) -> Estimate:
    value = dynamic_viscosity_pa_s(kinematic.value, density.value)
    share = math.hypot(
        kinematic.standard_error / kinematic.value, density.standard_error / density.value
    )
    return Estimate(value, value * share, kinematic.freedom, kinematic.n)


def _widened(dynamic: Estimate, ends: Ends | None, density_g_cm3: float) -> Ends | None:
    """Return the interval of a dynamic viscosity that holds that of the kinematic one too."""
    if ends is None:
        return None
    own = [end for end in dynamic.interval if math.isfinite(end)]
    both = [*own, *(dynamic_viscosity_pa_s(end, density_g_cm3) for end in ends)]
    return min(both), max(both)
