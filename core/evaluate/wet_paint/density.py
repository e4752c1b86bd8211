"""Density of wet paint: entrapped air, foam that leaves it, and the check of the meter by water."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import pandas as pd

from tiecoat.contract.choices import Choices, DensityChoices
from tiecoat.evaluate.estimate import Estimate, NotDeterminable, pooled
from tiecoat.evaluate.ledger import Ledger
from tiecoat.evaluate.wet_paint.air import (
    AIRY,
    SAME,
    WATER,
    Filling,
    Reduced,
    air_estimate,
    air_free_reference,
    at_reference,
    cautions,
    in_words,
    left_out_words,
    readings_by_batch,
    reduced_states,
    rounding_of,
    with_expansion,
)
from tiecoat.evaluate.wet_paint.air_decay import tell_decay
from tiecoat.evaluate.wet_paint.water import water_density_kg_m3
from tiecoat.wording import counted


def compute(frames: Mapping[str, pd.DataFrame], choices: Choices) -> pd.DataFrame:
    """Return the results of the kind density.

    | quantity | unit | what |
    | --- | --- | --- |
    | density | g/cm3 | of one reading, at the reference temperature where its own is stated |
    | density_mean | g/cm3 | of one state of a batch |
    | entrapped_air | % | share of the volume, for each state that holds air; 0 where none is seen |
    | air_decay_rate | 1/h | of the first-order decay while the paint rests |
    | air_half_life | min | time in which half of the entrapped air leaves |
    | air_plateau | % | share of the volume that stays |
    | water_density_deviation | g/cm3 | reading on water minus the density of water |

    Parameters
    ----------
    frames
        Rows by kind; `density` is used.
    choices
        Reference temperature, expansion, uncertainty, references without air, tolerance.
    """
    ledger = Ledger()
    for batch, readings in readings_by_batch(frames["density"]).items():
        water = [one for one in readings if one.state == WATER]
        paint = [one for one in readings if one.state != WATER]
        _check_by_water(ledger, batch, water, choices.density)
        if paint:
            _tell_batch(ledger, batch, paint, choices.density)
    return ledger.table()


def _tell_batch(
    ledger: Ledger, batch: str, paint: Sequence[Filling], choices: DensityChoices
) -> None:
    keys = {"batch": batch}
    rows = [one for one in paint if one.usable]
    flags = left_out_words(len(paint) - len(rows))
    try:
        states = reduced_states(rows, choices)
        if not states:
            raise NotDeterminable("no reading has a density, or tells how long the paint rested")
    except NotDeterminable as why:
        ledger.add("density_mean", "g/cm3", keys, why, flags=flags)
        ledger.add("entrapped_air", "%", keys, why, flags=flags)
        return
    _tell_readings(ledger, batch, rows, states, choices)
    for one in states:
        _tell_mean(ledger, keys, one, choices, flags)
    _tell_air(ledger, batch, states, choices)


def _tell_readings(
    ledger: Ledger,
    batch: str,
    readings: Sequence[Filling],
    states: Sequence[Reduced],
    choices: DensityChoices,
) -> None:
    """Enter each reading, with the scatter of the repeats of its batch where nothing is stated."""
    density = at_reference(
        [one.density_g_cm3 for one in readings],
        [one.temperature_c for one in readings],
        choices.reference_temperature_c,
        choices.expansion_per_k,
    )
    rounding = rounding_of(readings)
    spread, freedom = pooled([one.readings for one in states])
    for one, value in zip(readings, density.tolist(), strict=True):
        of_one, flags = _as_read(value, one.uncertainty_g_cm3, rounding, choices)
        if flags and spread > SAME * value:
            of_one, flags = Estimate(value, spread, freedom).read_in_steps(rounding), ""
        ledger.add(
            "density",
            "g/cm3",
            {"batch": batch, "measurement": one.measurement},
            of_one,
            condition=in_words(one.state, one.elapsed_s),
            method=_at(0 if math.isnan(one.temperature_c) else 1, choices),
            flags=flags,
        )


def _tell_mean(
    ledger: Ledger, keys: Mapping[str, str], one: Reduced, choices: DensityChoices, flags: str
) -> None:
    ledger.add(
        "density_mean",
        "g/cm3",
        keys,
        with_expansion(one, choices),
        condition=in_words(one.state, one.elapsed_s),
        method=f"{_mean_of(one)} {_at(one.density.n - one.as_read, choices)}",
        flags=_join(flags, *cautions(one)),
    )


def _tell_air(
    ledger: Ledger, batch: str, states: Sequence[Reduced], choices: DensityChoices
) -> None:
    keys = {"batch": batch}
    airy = [one for one in states if one.state in AIRY]
    if not airy:
        ledger.add("entrapped_air", "%", keys, NotDeterminable("no density as mixed or rested"))
        return
    try:
        free = air_free_reference(states, batch, choices)
    except NotDeterminable as why:
        for one in airy:
            words = in_words(one.state, one.elapsed_s)
            ledger.add("entrapped_air", "%", keys, why, condition=words)
        return
    against = f"balance of masses against {free.state}, {free.density.value:.4f} g/cm3"
    for one in airy:
        share = air_estimate(one, free, choices.expansion_uncertainty_per_k).times(100)
        found, interval, told = _not_negative(share)
        ledger.add(
            "entrapped_air",
            "%",
            keys,
            found,
            condition=in_words(one.state, one.elapsed_s),
            method=f"{_mean_of(one)}, {against}" if one.density.n > 1 else against,
            flags=_join(told, *dict.fromkeys([*cautions(one), *cautions(free)])),
            interval=interval,
        )
    tell_decay(ledger, keys, states, free)


def _not_negative(
    air: Estimate,
) -> tuple[Estimate | NotDeterminable, tuple[float, float] | None, str]:
    """Return an amount of air in % as it is told, its interval and what must be told with it.

    There is no negative air: readings that give one, and may for their uncertainty, show none; the
    interval stays that of the readings. Beyond their uncertainty something is wrong with them.
    """
    if air.value >= 0:
        return air, None, ""
    denser = "denser than its reference without air"
    if air.interval[1] < 0:
        return (
            NotDeterminable(
                f"the readings would give {air.value:.2g} % of air: the reference still holds air, "
                "or one of the two densities is wrong"
            ),
            None,
            denser,
        )
    none = f"no air to be seen: the readings give {air.value:.2g} %"
    return replace(air, value=0.0), air.interval, none


def _check_by_water(
    ledger: Ledger, batch: str, water: Sequence[Filling], choices: DensityChoices
) -> None:
    rounding = rounding_of(water)
    for one in water:
        found: Estimate | NotDeterminable
        flags, at = "", f"{one.temperature_c:g} °C"
        try:
            if not math.isfinite(one.temperature_c):
                at = ""
                raise NotDeterminable("no temperature stated")
            true = float(water_density_kg_m3(one.temperature_c)) / 1000
            off = one.density_g_cm3 - true
            found, flags = _as_read(off, one.uncertainty_g_cm3, rounding, choices)
            if abs(found.value) > choices.water_tolerance_g_cm3:
                tolerance = f"{choices.water_tolerance_g_cm3:g} g/cm3"
                flags = _join(f"off by more than the tolerance of {tolerance}", flags)
        except NotDeterminable as why:
            found = why
        ledger.add(
            "water_density_deviation",
            "g/cm3",
            {"batch": batch, "measurement": one.measurement},
            found,
            condition=at,
            method="against Tanaka et al. (2001)",
            flags=flags,
        )


def _as_read(
    value: float, stated: float, rounding: float, choices: DensityChoices
) -> tuple[Estimate, str]:
    """Return a value with the uncertainty stated for it, else with that assumed, which is told."""
    if math.isfinite(stated):
        return Estimate(value, stated), ""
    return Estimate(value, choices.uncertainty_g_cm3).read_in_steps(rounding), "uncertainty assumed"


def _at(reduced: int, choices: DensityChoices) -> str:
    """Return at which temperature densities are told of which so many were reduced."""
    return f"at {choices.reference_temperature_c:g} °C" if reduced else "as read"


def _mean_of(one: Reduced) -> str:
    return f"mean of {counted(one.density.n, 'determination')}"


def _join(*flags: str) -> str:
    return "; ".join(flag for flag in flags if flag)
