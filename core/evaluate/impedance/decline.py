"""Decline of the film's modulus over exposure, and the time at which it crosses a limit."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import pandas as pd

from tiecoat.contract.choices import ImpedanceChoices
from tiecoat.evaluate.impedance.modulus import modulus_at
from tiecoat.evaluate.impedance.repeated_spectra import t_factors
from tiecoat.evaluate.impedance.spectra import (
    Bools,
    Floats,
    Integers,
    Spectra,
    Texts,
    codes,
    joined,
    texts,
)
from tiecoat.evaluate.result import results, together

HOURS_PER_DAY = 24.0


@dataclass(frozen=True)
class Estimates:
    """One number for each of k groups.

    Parameters
    ----------
    value
        (k,); NaN where there is none.
    standard_error, low, high
        (k,) of it; the interval is 95 %; NaN where the data leave none.
    n
        (k,) how many observations stand behind it.
    """

    value: Floats
    standard_error: Floats
    low: Floats
    high: Floats
    n: Integers


def decline(days: Floats, lg_modulus: Floats, group: Integers, groups: int) -> Estimates:
    """Return the fall of lg modulus per day of each group by least squares; positive = it falls.

    With x in days and y = lg|Z|: -slope = -Sxy / Sxx; s^2 = (Syy - Sxy^2 / Sxx) / (n - 2);
    standard error s / sqrt(Sxx); interval -+ t(0.975, n - 2) times it (ordinary linear regression,
    the same as scipy.stats.linregress). No value below two different times, no error below three
    points. Valid for a decline that is straight in lg|Z| over time, with independent normal errors
    of one size.

    Parameters
    ----------
    days, lg_modulus, group
        (n,) each; NaN does not count; group is 0 to groups - 1.

    Examples
    --------
    >>> found = decline(np.array([0.0, 1, 2]), np.array([9.0, 8.5, 8]), np.zeros(3, int), 1)
    >>> print(found.value)
    [0.5]
    """
    good = np.isfinite(days) & np.isfinite(lg_modulus)
    x, y, of = days[good], lg_modulus[good], group[good]

    def total(values: Floats) -> Floats:
        return np.bincount(of, values, minlength=groups).astype(np.float64)

    points = np.bincount(of, minlength=groups).astype(np.int64)
    weight = np.maximum(points, 1)
    dx, dy = x - (total(x) / weight)[of], y - (total(y) / weight)[of]
    sxx, sxy = total(dx**2), total(dx * dy)
    apart = sxx > 0
    slope = sxy / np.where(apart, sxx, np.nan)
    off = total((dy - np.where(apart, slope, 0.0)[of] * dx) ** 2)
    freedom = points - 2
    spread = np.sqrt(off / np.maximum(freedom, 1) / np.where(apart, sxx, np.nan))
    error = np.where(freedom > 0, spread, np.nan)
    half = t_factors(freedom) * error
    return Estimates(-slope, error, -slope - half, -slope + half, points)


def mean_of_groups(values: Floats, group: Integers, groups: int) -> Estimates:
    """Return mean, standard error s / sqrt(n) and 95 % t interval of each group of values.

    NaN does not count; a single value has no error.
    """
    good = np.isfinite(values)
    of = group[good]
    points = np.bincount(of, minlength=groups).astype(np.int64)
    mean = np.bincount(of, values[good], minlength=groups) / np.where(points > 0, points, np.nan)
    off = np.bincount(of, (values[good] - mean[of]) ** 2, minlength=groups)
    several = points > 1
    error = np.where(
        several, np.sqrt(off / np.maximum(points - 1, 1) / np.maximum(points, 1)), np.nan
    )
    half = t_factors(points - 1) * error
    return Estimates(mean, error, mean - half, mean + half, points)


@dataclass(frozen=True)
class Crossing:
    """When one panel's modulus falls below a limit.

    Parameters
    ----------
    hours
        Interpolated; NaN where it is not known.
    after, before
        It lies between these exposures; NaN where there is no such bound. Only `after`: not crossed
        by then (right-censored). Only `before`: below already (left-censored).
    again
        Whether the modulus was at or above the limit once more afterwards.
    """

    hours: float
    after: float
    before: float
    again: bool


def time_to_limit(hours: Floats, lg_modulus: Floats, lg_limit: float) -> Crossing:
    """Return when the modulus first falls below a limit.

    Between the last exposure at or above the limit and the next one, lg|Z| is taken as straight
    over time. Nothing is extrapolated beyond the last exposure.

    Parameters
    ----------
    hours, lg_modulus
        Ascending exposures, all finite, and lg(|Z| / (ohm cm2)).

    Examples
    --------
    >>> time_to_limit(np.array([1.0, 25.0]), np.array([9.0, 7.0]), 8.0)
    Crossing(hours=13.0, after=1.0, before=25.0, again=False)
    >>> time_to_limit(np.array([1.0, 25.0]), np.array([9.0, 8.5]), 8.0)
    Crossing(hours=nan, after=25.0, before=nan, again=False)
    """
    below = np.flatnonzero(lg_modulus < lg_limit)
    if not len(hours):
        return Crossing(np.nan, np.nan, np.nan, again=False)
    if not len(below):
        return Crossing(np.nan, float(hours[-1]), np.nan, again=False)
    n = int(below[0])
    again = bool((lg_modulus[n:] >= lg_limit).any())
    if n == 0:
        return Crossing(np.nan, np.nan, float(hours[0]), again)
    share = (lg_modulus[n - 1] - lg_limit) / (lg_modulus[n - 1] - lg_modulus[n])
    at = hours[n - 1] + share * (hours[n] - hours[n - 1])
    return Crossing(float(at), float(hours[n - 1]), float(hours[n]), again)


@dataclass(frozen=True)
class PanelCourses:
    """lg modulus of panels over exposure: the mean over spots and repeats, a row an exposure.

    Parameters
    ----------
    keys
        (k) batch and panel of each panel.
    batches
        (b) batch of each batch.
    panel, batch
        Number of the panel of each row, (r,); number of the batch of each panel, (k,).
    hours, lg_modulus
        (r,) ascending in each panel.
    flags
        (k,) what there is to know of the spectra behind it.
    """

    keys: pd.DataFrame
    batches: pd.DataFrame
    panel: Integers
    batch: Integers
    hours: Floats
    lg_modulus: Floats
    flags: Texts

    def times_to(self, limit_ohm_cm2: float) -> list[Crossing]:
        """Return the crossing of a limit of each panel."""
        starts = np.searchsorted(self.panel, np.arange(len(self.keys) + 1))
        lg_limit = float(np.log10(limit_ohm_cm2))
        return [
            time_to_limit(self.hours[a:b], self.lg_modulus[a:b], lg_limit)
            for a, b in pairwise(starts)
        ]


def panels_of(spectra: Spectra, modulus_ohm_cm2: Floats) -> PanelCourses:
    """Return the panels of spectra, with the geometric mean of spots and repeats per exposure."""
    panel = codes(spectra.keys, ("batch", "panel"))
    first = np.flatnonzero(~pd.Series(panel).duplicated().to_numpy())
    keys = spectra.keys.loc[first, ["batch", "panel"]].reset_index(drop=True)
    batch = codes(keys, ("batch",))
    batches = keys.loc[~pd.Series(batch).duplicated().to_numpy(), ["batch"]]
    hours = spectra.keys["exposure_h"].to_numpy()
    lg = np.log10(modulus_ohm_cm2)
    good = np.isfinite(lg) & np.isfinite(hours)
    table = pd.DataFrame({"panel": panel[good], "hours": hours[good], "lg": lg[good]})
    means = table.groupby(["panel", "hours"], sort=True, as_index=False)["lg"].mean()
    return PanelCourses(
        keys,
        batches.reset_index(drop=True),
        means["panel"].to_numpy(dtype=np.int64),
        batch,
        means["hours"].to_numpy(),
        means["lg"].to_numpy(),
        _panel_flags(spectra, panel, len(keys), good),
    )


def _panel_flags(spectra: Spectra, panel: Integers, panels: int, used: Bools) -> Texts:
    count = np.bincount(panel[used], minlength=panels)
    failed = np.array(["Kramers-Kronig" in text for text in spectra.flags], dtype=bool)
    bad = np.bincount(panel[used & failed], minlength=panels)
    place = pd.DataFrame({"panel": panel[used], "hours": spectra.keys["exposure_h"][used]})
    place["spot"] = spectra.keys["spot"][used]
    spots = place.drop_duplicates().groupby(["panel", "hours"]).size().groupby("panel")
    uneven = np.zeros(panels, dtype=bool)
    differing = spots.nunique()
    uneven[differing.index.to_numpy(dtype=np.int64)] = differing.to_numpy() > 1
    return texts(
        [
            "; ".join(
                text
                for holds, text in (
                    (b, f"{b} of {n} spectra: fails the Kramers-Kronig test"),
                    (u, "not the same number of spots at every exposure"),
                )
                if holds
            )
            for b, n, u in zip(bad, count, uneven, strict=True)
        ]
    )


def decline_rows(spectra: Spectra, choices: ImpedanceChoices) -> pd.DataFrame:
    """Return the results of this module.

    modulus_decline (lg units per day) and time_to_limit (h), a row a panel, and pooled over the
    panels of a batch with an empty panel: the panel is the unit, n the number of panels.
    """
    if not len(spectra):
        return together([])
    parts = []
    for at_hz in choices.frequencies_hz:
        panels = panels_of(spectra, modulus_at(spectra, at_hz).modulus_ohm_cm2)
        parts += _decline_rows(panels, f"{at_hz:g} Hz")
        for limit in dict.fromkeys((choices.good_from_ohm_cm2, choices.poor_below_ohm_cm2)):
            parts += _time_rows(panels, limit, f"below {limit:g} ohm cm2 at {at_hz:g} Hz")
    return together(parts)


def _decline_rows(panels: PanelCourses, condition: str) -> list[pd.DataFrame]:
    found = decline(panels.hours / HOURS_PER_DAY, panels.lg_modulus, panels.panel, len(panels.keys))
    pooled = mean_of_groups(found.value, panels.batch, len(panels.batches))
    of_batch = np.bincount(panels.batch, minlength=len(panels.batches))
    few = "two exposures: no interval"
    alone = "one panel: no interval between panels"
    some = texts(
        [
            alone
            if n == 1
            else f"{all_ - n} of {all_} panels have no decline"
            if 0 < n < all_
            else ""
            for n, all_ in zip(pooled.n, of_batch, strict=True)
        ]
    )
    return [
        _group_rows(
            "modulus_decline",
            panels.keys,
            found,
            "1/d",
            "fewer than two exposures with a modulus",
            condition=condition,
            method="least squares of lg modulus over days; positive = falls",
            flags=joined(panels.flags, np.where(found.n == 2, few, "").astype(object)),
        ),
        _group_rows(
            "modulus_decline",
            panels.batches,
            pooled,
            "1/d",
            "no panel with a decline",
            condition=condition,
            method="mean of the panels' declines, t interval over panels",
            flags=some,
        ),
    ]


def _time_rows(panels: PanelCourses, limit: float, condition: str) -> list[pd.DataFrame]:
    crossings = panels.times_to(limit)
    hours = np.array([one.hours for one in crossings])
    own = results(
        "time_to_limit",
        panels.keys,
        hours,
        "h",
        low=np.array([one.after for one in crossings]),
        high=np.array([one.before for one in crossings]),
        condition=condition,
        n=np.bincount(panels.panel, minlength=len(panels.keys)),
        method="lg modulus straight over time between exposures; low and high are the exposures "
        "it lies between, not a 95 % interval",
        reason=[_why_no_time(one) for one in crossings],
        flags=joined(panels.flags, _again(crossings)),
    )
    return [own, _pooled_times(panels, crossings, hours, condition)]


def _why_no_time(one: Crossing) -> str:
    if not np.isnan(one.hours):
        return ""
    if not np.isnan(one.after):
        return f"censored: not crossed by the last exposure, {one.after:g} h; it takes longer"
    if not np.isnan(one.before):
        return f"below the limit already at the first exposure, {one.before:g} h"
    return "no exposure with a modulus"


def _again(crossings: list[Crossing]) -> Texts:
    return texts(["above the limit again later" if one.again else "" for one in crossings])


def _pooled_times(
    panels: PanelCourses, crossings: list[Crossing], hours: Floats, condition: str
) -> pd.DataFrame:
    """Return the mean time of each batch; where a panel has no time, only a bound of the mean."""
    pooled = mean_of_groups(hours, panels.batch, len(panels.batches))
    of_batch: list[list[Crossing]] = [[] for _ in range(len(panels.batches))]
    for one, batch in zip(crossings, panels.batch, strict=True):
        of_batch[batch].append(one)
    missing = [[one for one in each if np.isnan(one.hours)] for each in of_batch]
    known = np.array([not each for each in missing], dtype=bool)
    return results(
        "time_to_limit",
        panels.batches,
        np.where(known, pooled.value, np.nan),
        "h",
        standard_error=np.where(known, pooled.standard_error, np.nan),
        low=np.where(known, pooled.low, [_least_mean(each) for each in of_batch]),
        high=np.where(known, pooled.high, np.nan),
        n=[len(each) for each in of_batch],
        condition=condition,
        method="mean over panels, t interval; where panels have not crossed, low is the mean with "
        "the last exposure in the place of their time: a bound of the mean, not a 95 % interval",
        reason=[
            f"{len(without)} of {len(each)} panels without a time: "
            + "; ".join(dict.fromkeys(_why_no_time(one) for one in without))
            if without
            else ""
            for without, each in zip(missing, of_batch, strict=True)
        ],
    )


def _least_mean(crossings: list[Crossing]) -> float:
    """Return a lower bound of the mean time: 0 where only an upper bound is known."""
    least = [one.after if np.isnan(one.hours) else one.hours for one in crossings]
    return float(np.mean(np.nan_to_num(np.array(least), nan=0.0)))


def _group_rows(
    quantity: str, keys: pd.DataFrame, found: Estimates, unit: str, reason: str, **more: Any
) -> pd.DataFrame:
    return results(
        quantity,
        keys,
        found.value,
        unit,
        standard_error=found.standard_error,
        low=found.low,
        high=found.high,
        n=found.n,
        reason=np.where(np.isnan(found.value), reason, ""),
        **more,
    )
