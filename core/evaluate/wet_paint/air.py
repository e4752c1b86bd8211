"""Entrapped air in wet paint, from its density and that of the same paint without air."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

from tiecoat.contract.choices import DensityChoices
from tiecoat.evaluate.estimate import CERTAIN, Estimate, NotDeterminable, effective_freedom, mean_of
from tiecoat.evaluate.statistics.rounding import rounding_error, step_of
from tiecoat.wording import duration_words

AIR_G_CM3 = 0.0012  # moist air at 23 °C and 101 kPa is 0.00119
SAME = 1e-9  # of a density: what readings differ by less is the rounding of binary numbers
AIR_FREE, WATER = "deaerated", "water"
RESTED = "rested"
AIRY = ("as mixed", RESTED)
SOON_S = 120.0  # after the first reading a paint is as mixed still; common practice, no source
FAR_K = 5.0  # further from the reference temperature, the reduction is told
NUMBERS = ("elapsed_s", "temperature_c", "density_g_cm3", "uncertainty_g_cm3")


@dataclass(frozen=True, slots=True)
class Filling:
    """One filling: state, time at rest in s, °C, g/cm³; NaN for what is untold but a density."""

    measurement: str
    state: str
    elapsed_s: float
    temperature_c: float
    density_g_cm3: float
    uncertainty_g_cm3: float

    @property
    def usable(self) -> bool:
        """Whether density and the time where it rested are numbers; denser than air."""
        numbers = [self.density_g_cm3]
        numbers += [self.elapsed_s] if self.state == RESTED else []
        return all(map(math.isfinite, numbers)) and self.density_g_cm3 > 2 * AIR_G_CM3


@dataclass(frozen=True)
class Reduced:
    """Mean density of one state of a batch at the reference temperature, in g/cm³.

    `shift_k` is how far above the reference temperature it was measured, on the mean of those
    readings that tell their temperature; `as_read` is how many do not. `assumed` says that its
    uncertainty is neither from replicates nor stated with the readings. `of_one` is the standard
    uncertainty of one reading, stated or assumed; `rounding` is that by the steps in which the
    densities of the batch were read, part of the uncertainty of the mean, and 0 where one is
    stated.
    """

    state: str
    elapsed_s: float
    density: Estimate
    shift_k: float = 0.0
    as_read: int = 0
    assumed: bool = False
    readings: tuple[float, ...] = ()
    of_one: float = math.nan
    rounding: float = 0.0


def in_words(state: str, elapsed_s: float) -> str:
    """Return the state of a sample, with the time at rest where it rested."""
    return f"rested {duration_words(elapsed_s)}" if state == RESTED else state


def cautions(one: Reduced) -> Iterator[str]:
    """Tell what weakens the mean density of a state."""
    if one.assumed:
        yield f"{one.state}: uncertainty assumed"
    yield from far_off(one)


def far_off(one: Reduced) -> Iterator[str]:
    """Tell of a density that may be wrong, and so must be told of whatever is computed with it."""
    if abs(one.shift_k) > FAR_K:
        yield f"{one.state}: reduced over {one.shift_k:+.1f} K"
    if one.as_read:
        yield f"{one.state}: {one.as_read} of {one.density.n} as read, no temperature stated"


def left_out_words(count: int) -> str:
    """Tell how many readings of a batch were no use; empty if all were."""
    return f"{count} readings left out: no numbers, or no denser than air" if count else ""


def readings_by_batch(frame: pd.DataFrame) -> dict[str, list[Filling]]:
    """Return the readings of each batch, from rows of the kind density, by batch.

    What is told as mixed minutes after the first reading of its batch has rested meanwhile: a
    series over time that names one state for all of it is one of a paint at rest.
    """
    names = ("batch", "measurement", "state", *NUMBERS)
    columns = [frame[name].tolist() for name in names]
    found: dict[str, list[Filling]] = {}
    for batch, measurement, state, *numbers in zip(*columns, strict=True):
        found.setdefault(batch, []).append(Filling(measurement, state, *map(float, numbers)))
    return {batch: _rested(readings) for batch, readings in sorted(found.items())}


def _rested(readings: Sequence[Filling]) -> list[Filling]:
    first = min((one.elapsed_s for one in readings if one.state == AIRY[0]), default=math.nan)
    return [
        replace(one, state=RESTED)
        if one.state == AIRY[0] and one.elapsed_s > first + SOON_S
        else one
        for one in readings
    ]


def at_reference(
    density: ArrayLike, temperature_c: ArrayLike, reference_c: float, expansion_per_k: float
) -> NDArray[np.float64]:
    """Return densities at the reference temperature, in the unit they are given in.

    .. math:: \\rho_{ref} = \\rho \\, (1 + \\beta (t - t_{ref}))

    The volume of the paint is taken to grow evenly with temperature. Air in it grows five times
    as fast as the liquid: with 5 % of air, 10 K off, the error is 0.13 % of the density.

    Parameters
    ----------
    density, temperature_c
        Any shapes that go together; °C, NaN where none is stated: it stays as it was read.
    reference_c
        Reference temperature in °C.
    expansion_per_k
        Volumetric expansion coefficient in 1/K at the reference temperature.

    Raises
    ------
    NotDeterminable
        If the expansion coefficient is negative or above 0.005 1/K, more than any liquid has.

    References
    ----------
    Definition of the volumetric expansion coefficient.

    Examples
    --------
    >>> round(float(at_reference(1.4, 33.0, 23.0, 7e-4)), 4)
    1.4098
    """
    if not 0 <= expansion_per_k <= 5e-3:
        raise NotDeterminable(
            f"an expansion of {expansion_per_k:g} per K is outside 0 to 0.005 per K"
        )
    shift = np.nan_to_num(np.asarray(temperature_c, dtype=float) - reference_c)
    reduced: NDArray[np.float64] = np.asarray(density, dtype=float) * (1 + expansion_per_k * shift)
    return reduced


def entrapped_air(density: ArrayLike, air_free: ArrayLike) -> NDArray[np.float64]:
    """Return the share of the volume that is air, from 0 to 1.

    .. math:: \\varphi = \\frac{\\rho_0 - \\rho}{\\rho_0 - \\rho_{air}}

    The common form 1 - rho/rho0 takes air as weightless and finds about 0.1 % of the share too
    little (2.600 % instead of 2.602 %). Air that the reference still holds counts as none. A
    negative share is the reading's own: the sample is denser than its reference.

    Parameters
    ----------
    density, air_free
        Density of the sample and of the same paint without air, at one temperature, in g/cm³; any
        shapes that go together.

    Raises
    ------
    NotDeterminable
        If a density is not above that of air.

    References
    ----------
    Balance of masses: rho = (1 - phi) rho0 + phi rho_air.

    Examples
    --------
    >>> round(float(entrapped_air(1.4026, 1.44)), 5)
    0.02599
    """
    mixed, free = np.asarray(density, dtype=float), np.asarray(air_free, dtype=float)
    if not (np.all(mixed > AIR_G_CM3) and np.all(free > AIR_G_CM3)):
        raise NotDeterminable("a density is not above that of air")
    share: NDArray[np.float64] = (free - mixed) / (free - AIR_G_CM3)
    return share


def air_estimate(mixed: Reduced, free: Reduced, expansion_uncertainty_per_k: float) -> Estimate:
    """Return the entrapped air as a share of the volume, with its uncertainty.

    .. math:: u^2(\\varphi) = \\frac{u^2(\\rho)}{(\\rho_0 - \\rho_a)^2}
        + \\frac{(\\rho - \\rho_a)^2 \\, u^2(\\rho_0)}{(\\rho_0 - \\rho_a)^4}
        + \\left(\\frac{(\\rho - \\rho_a) \\rho_0 \\Delta_0}{(\\rho_0 - \\rho_a)^2}
        - \\frac{\\rho \\Delta}{\\rho_0 - \\rho_a}\\right)^2 u^2(\\beta)

    where Delta and Delta_0 are how far from the reference temperature sample and reference were
    measured: the expansion coefficient is the same for both and cancels where these are equal.
    Errors of sample and reference count as independent; what the cup does to both alike makes
    the true uncertainty smaller.

    Parameters
    ----------
    mixed, free
        Mean densities at the reference temperature.
    expansion_uncertainty_per_k
        Standard uncertainty of the expansion coefficient, 1/K.

    Raises
    ------
    NotDeterminable
        If a density is not above that of air.

    References
    ----------
    the GUM (edition in `standards`), equations 10 and 13 (from memory).
    """
    rho, rho0 = mixed.density, free.density
    share = float(entrapped_air(rho.value, rho0.value))
    gap = rho0.value - AIR_G_CM3
    weight = (rho.value - AIR_G_CM3) / gap**2
    parts = [
        (rho.standard_error / gap, rho.freedom),
        (rho0.standard_error * weight, rho0.freedom),
    ]
    by_heat = weight * rho0.value * free.shift_k - rho.value / gap * mixed.shift_k
    parts.append((by_heat * expansion_uncertainty_per_k, CERTAIN))
    error = math.sqrt(sum(u**2 for u, _ in parts))
    return Estimate(share, error, effective_freedom(parts), rho.n)


def with_expansion(one: Reduced, choices: DensityChoices) -> Estimate:
    """Return the density with the uncertainty of the expansion coefficient added to its own."""
    by_heat = one.density.value * abs(one.shift_k) * choices.expansion_uncertainty_per_k
    own = one.density.standard_error
    freedom = effective_freedom([(own, one.density.freedom), (by_heat, CERTAIN)])
    return Estimate(one.density.value, math.hypot(own, by_heat), freedom, one.density.n)


def rounding_of(readings: Sequence[Filling]) -> float:
    """Return the standard uncertainty of densities by the steps in which they were read."""
    return rounding_error(step_of([one.density_g_cm3 for one in readings]))


def reduced_states(readings: Sequence[Filling], choices: DensityChoices) -> list[Reduced]:
    """Return the mean density of each state of one batch, by time at rest; unknown times come last.

    Parameters
    ----------
    readings
        Usable readings of paint, not of water.
    choices
        Reference temperature, expansion coefficient, assumed uncertainty.

    Raises
    ------
    NotDeterminable
        If the expansion coefficient makes no sense.
    """
    groups: dict[tuple[bool, float, str], list[Filling]] = {}
    for one in readings:
        known = math.isfinite(one.elapsed_s)
        groups.setdefault((not known, one.elapsed_s if known else 0.0, one.state), []).append(one)
    rounding = rounding_of(readings)
    return [
        _reduced(state, math.nan if unknown else elapsed_s, group, rounding, choices)
        for (unknown, elapsed_s, state), group in sorted(groups.items(), key=lambda each: each[0])
    ]


def _reduced(
    state: str,
    elapsed_s: float,
    readings: Sequence[Filling],
    rounding: float,
    choices: DensityChoices,
) -> Reduced:
    temperature = np.array([one.temperature_c for one in readings])
    shifts = temperature[np.isfinite(temperature)] - choices.reference_temperature_c
    density = at_reference(
        [one.density_g_cm3 for one in readings],
        temperature,
        choices.reference_temperature_c,
        choices.expansion_per_k,
    )
    stated = [one.uncertainty_g_cm3 for one in readings if math.isfinite(one.uncertainty_g_cm3)]
    of_one = sum(stated) / len(stated) if stated else choices.uncertainty_g_cm3
    rounding = 0.0 if stated else rounding  # an uncertainty that is stated holds it
    mean = mean_of(density, of_one, rounding)
    return Reduced(
        state,
        elapsed_s,
        mean,
        float(shifts.mean()) if len(shifts) else 0.0,
        len(readings) - len(shifts),
        assumed=not stated and math.isinf(mean.freedom),
        readings=tuple(density.tolist()),
        of_one=of_one,
        rounding=rounding,
    )


def air_free_reference(states: Sequence[Reduced], batch: str, choices: DensityChoices) -> Reduced:
    """Return the density of the paint without air: as set for the batch, else as deaerated.

    Several deaerated samples, whatever their times at rest, count as replicates.

    Raises
    ------
    NotDeterminable
        If there is neither.
    """
    for name, density in choices.air_free_g_cm3.items():
        if name.casefold() == batch.casefold():
            known = Estimate(density, choices.air_free_uncertainty_g_cm3)
            return Reduced("the value set", 0.0, known)
    samples = [one for one in states if one.state == AIR_FREE]
    if not samples:
        raise NotDeterminable(
            "no deaerated sample of the batch, and no density without air is set for it "
            "(air_free_g_cm3 under [evaluate.density])"
        )
    if len(samples) == 1:
        return samples[0]
    readings = [one for sample in samples for one in sample.readings]
    of_one = max(sample.of_one for sample in samples)
    mean = mean_of(readings, of_one, samples[0].rounding)
    shift = sum(one.shift_k * one.density.n for one in samples) / len(readings)
    as_read = sum(one.as_read for one in samples)
    assumed = any(one.assumed for one in samples)
    return Reduced(AIR_FREE, 0.0, mean, shift, as_read, assumed, tuple(readings))
