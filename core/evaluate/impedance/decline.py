"""Decline of the film's modulus over exposure: a slope where the course has one, else why not.

A slope is told of the film, not of what is left of it: exposures at which it had failed, and those
at which the instrument reached its limit, do not count, and the line must lead to them. It is told
of what is straight (`straightness`): a film that dies on the first day and one that falls steadily
have no slopes that could be compared. The time to a limit (`times_to_limit`) holds for any course.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import pandas as pd

from tiecoat.contract.choices import ImpedanceChoices
from tiecoat.evaluate.grouping import RowGroups
from tiecoat.evaluate.impedance.group_estimates import Estimates, decline, mean_of_groups
from tiecoat.evaluate.impedance.modulus import at_instrument_limit, modulus_at
from tiecoat.evaluate.impedance.panel_courses import PanelCourses, panels_of
from tiecoat.evaluate.impedance.spectra import (
    Bools,
    Floats,
    Integers,
    Spectra,
    Texts,
    joined,
    texts,
)
from tiecoat.evaluate.impedance.straightness import Bends, common_bends, own_bends
from tiecoat.evaluate.impedance.times_to_limit import time_rows
from tiecoat.evaluate.result import results, together

HOURS_PER_DAY = 24.0
LEVEL_LG = 0.3  # a course that falls no further than to the half has reached its level; no source
LEADS_LG = 0.5  # decades by which a line may miss what it must lead to; no source
LEAST_EXPOSURES = 2
FEW = "fewer than two exposures with a modulus"


@dataclass(frozen=True)
class Slopes:
    """Decline of k panels.

    Parameters
    ----------
    found
        Per day; no value where there is a reason.
    reason, flags
        (k,) why there is none; what there is to know of it.
    """

    found: Estimates
    reason: Texts
    flags: Texts

    @property
    def lost(self) -> Bools:
        """(k,) whether the course itself is why there is none: such a panel may not be left out."""
        return np.asarray((self.reason != "") & (self.reason != FEW))


def decline_rows(spectra: Spectra, choices: ImpedanceChoices) -> pd.DataFrame:
    """Return the results of this module and of `times_to_limit`.

    modulus_decline (lg units per day) and time_to_limit (h), a row a panel, and over the panels of
    a batch with an empty panel: the panel is the unit, n the number of panels.
    """
    if not len(spectra):
        return together([])
    parts = []
    for at_hz in choices.frequencies_hz:
        modulus = modulus_at(spectra, at_hz).modulus_ohm_cm2
        limited = at_instrument_limit(spectra, modulus, choices.instrument_limit_ohm)
        panels = panels_of(spectra, modulus, limited)
        parts += _decline_rows(panels, choices, f"{at_hz:g} Hz")
        for limit in dict.fromkeys((choices.good_from_ohm_cm2, choices.poor_below_ohm_cm2)):
            parts += time_rows(panels, limit, f"below {limit:g} ohm cm2 at {at_hz:g} Hz")
    return together(parts)


def slopes_of(panels: PanelCourses, poor_below_ohm_cm2: float, good_from_ohm_cm2: float) -> Slopes:
    """Return the decline of each panel, where its course has one.

    A film has failed at the first exposure below the limit after which its modulus falls by no more
    than another half: what is left is the electrolyte and the metal. From there on nothing counts,
    and a line through the exposures before must reach that level there within half a decade. In the
    same way it must lead back to the exposures at the limit of the instrument. The courses of a
    batch are tested for what bends them alike; where there is one panel alone, or the panels were
    measured at different times, its spots, else its own course. A course that begins below what is
    good is told: that it falls no further makes no good film of it.
    """
    lg_poor = float(np.log10(poor_below_ohm_cm2))
    days, lg, count = panels.hours / HOURS_PER_DAY, panels.lg_modulus, len(panels.keys)
    used = np.zeros(len(lg), dtype=np.bool_)
    starts = np.searchsorted(panels.panel, np.arange(count + 1))
    levels = []
    for a, b in pairwise(starts):
        limited = panels.at_limit[a:b]
        begin = int(np.flatnonzero(~limited)[0]) if not limited.all() else b - a
        end = level_from(lg[a:b], lg_poor)
        used[a + begin : a + end] = ~limited[begin:end]
        levels.append((int(begin), end))
    found = decline(days[used], lg[used], panels.panel[used], count)
    bends = _bends(panels, used)
    reason, flags = [], []
    for n, ((a, b), (begin, end)) in enumerate(zip(pairwise(starts), levels, strict=True)):
        course = _PanelFall(panels.hours[a:b], lg[a:b], begin, end, used[a:b])
        reason.append(course.why_none(-found.value[n]) or (_not_straight(bends, n)))
        flags.append(course.flags(good_from_ohm_cm2, tested=bool(bends.tested[n])))
    none = texts(reason)
    return Slopes(found.only(none == ""), none, texts(flags))


def level_from(lg_modulus: Floats, lg_poor: float) -> int:
    """Return from which point on a course has reached its last level below a limit.

    That is the first point below the limit after which there are others, and none that lies below
    half of it; the number of points where there is none.

    Examples
    --------
    >>> level_from(np.array([9.0, 3.3, 3.31, 3.2]), 6.0), level_from(np.array([9.0, 7, 5]), 6.0)
    (1, 3)
    """
    for n in np.flatnonzero(lg_modulus < lg_poor):
        after = lg_modulus[n + 1 :]
        if len(after) and float(after.min()) >= lg_modulus[n] - LEVEL_LG:
            return int(n)
    return len(lg_modulus)


@dataclass(frozen=True)
class _PanelFall:
    """One panel: its exposures, and which of them a line is drawn through."""

    hours: Floats
    lg: Floats
    begin: int
    end: int
    used: Bools

    @property
    def failed(self) -> bool:
        return self.end < len(self.lg)

    def why_none(self, per_day: float) -> str:
        """Return why there is no slope; "" where there is one."""
        if int(self.used.sum()) < LEAST_EXPOSURES:
            return self._why_too_few()
        x, y = self.hours[self.used] / HOURS_PER_DAY, self.lg[self.used]
        slope = 0.0 if np.isnan(per_day) else per_day
        if self.failed:
            there = y.mean() + slope * (self.hours[self.end] / HOURS_PER_DAY - x.mean())
            if there > self.lg[self.end] + LEADS_LG:
                between = f"{self.hours[self.end - 1]:g} and {self.hours[self.end]:g} h"
                return f"the film failed between {between}: {self._fall()}"
        if self.begin:
            before = y.mean() + slope * (self.hours[self.begin - 1] / HOURS_PER_DAY - x.mean())
            if before < self.lg[self.begin - 1] - LEADS_LG:
                return "the line does not lead back to the limit of the instrument"
        return ""

    def _why_too_few(self) -> str:
        if self.failed and self.end == 0:
            return f"the film had failed by the first exposure, {self.hours[0]:g} h"
        if self.failed:
            return f"the film failed within {self.hours[self.end]:g} h: {self._fall()}"
        if self.begin:
            return "fewer than two exposures below the limit of the instrument"
        return FEW

    def _fall(self) -> str:
        before, after = (10 ** self.lg[n] for n in (self.end - 1, self.end))
        return f"from {before:.2g} to {after:.2g} ohm cm2, and hardly any further"

    def flags(self, good_from_ohm_cm2: float, *, tested: bool) -> str:
        told = []
        if len(self.lg) and not self.begin and 10 ** self.lg[0] < good_from_ohm_cm2:
            told.append(
                f"below {good_from_ohm_cm2:.2g} ohm cm2 already at the first exposure,"
                f" {self.hours[0]:g} h, at {10 ** self.lg[0]:.2g}"
            )
        if self.begin:
            told.append(f"{self.begin} of {len(self.lg)} exposures at the limit of the instrument")
        if self.failed and self.end:
            told.append(
                f"until {self.hours[self.end - 1]:g} h: by {self.hours[self.end]:g} h the"
                " film had failed"
            )
        points = int(self.used.sum())
        if points == LEAST_EXPOSURES:
            told.append("two exposures: no interval, and nothing tells whether it is straight")
        elif points > LEAST_EXPOSURES and not tested:
            told.append("too few exposures to tell whether it is straight")
        return "; ".join(told)


def _bends(panels: PanelCourses, used: Bools) -> Bends:
    """Return whether the course of each panel is bent: with its batch, by its spots, by itself."""
    count = len(panels.keys)
    days = panels.hours / HOURS_PER_DAY
    points = (days[used], panels.lg_modulus[used], panels.panel[used])
    of_batch = common_bends(*points, panels.batch, len(panels.batches))
    of_spots = _spot_bends(panels, used)
    own = own_bends(*points, count)
    found = own
    for better, at in ((of_spots, np.arange(count)), (of_batch, panels.batch)):
        known = better.tested[at]
        found = Bends(
            found.tested | known,
            np.where(known, better.bent[at], found.bent).astype(np.bool_),
            np.where(known, better.off[at], found.off),
        )
    return found


def _spot_bends(panels: PanelCourses, used: Bools) -> Bends:
    spots, count = panels.spots, len(panels.keys)
    taken = pd.MultiIndex.from_arrays([panels.panel[used], panels.hours[used]])
    mine = pd.MultiIndex.from_arrays([spots.panel, spots.hours]).isin(taken)
    unit = pd.factorize(spots.spot[mine])[0].astype(np.int64)
    panel_of = np.zeros(int(unit.max(initial=-1)) + 1, dtype=np.int64)
    panel_of[unit] = spots.panel[mine]
    days = spots.hours[mine] / HOURS_PER_DAY
    return common_bends(days, spots.lg_modulus[mine], unit, panel_of, count)


def _not_straight(bends: Bends, n: int) -> str:
    if not bends.bent[n]:
        return ""
    return f"the course is not straight: off the line by up to {bends.off[n]:.2f} decades"


def _decline_rows(
    panels: PanelCourses, choices: ImpedanceChoices, condition: str
) -> list[pd.DataFrame]:
    slopes = slopes_of(panels, choices.poor_below_ohm_cm2, choices.good_from_ohm_cm2)
    found = slopes.found
    pooled = mean_of_groups(found.value, panels.batch, len(panels.batches))
    whole = np.bincount(panels.batch, minlength=len(panels.batches))
    of_lost = RowGroups(np.where(slopes.lost, panels.batch, -1), len(panels.batches))
    lost = [list(dict.fromkeys(slopes.reason[own])) for own in of_lost.positions]
    many = np.bincount(panels.batch[slopes.lost], minlength=len(panels.batches))
    why = _why_no_mean(lost, many, whole, pooled)
    mean = pooled.only(why == "")
    return [
        _group_rows(
            "modulus_decline",
            panels.keys,
            found,
            slopes.reason,
            condition=condition,
            method="least squares of lg modulus over days; positive = falls",
            flags=joined(panels.flags, slopes.flags),
        ),
        _group_rows(
            "modulus_decline",
            panels.batches,
            mean,
            why,
            condition=condition + panels.batches["system"],
            method="mean of the panels' declines, t interval over panels",
            flags=_of_panels(pooled, whole, why),
        ),
    ]


def _why_no_mean(
    lost: Sequence[Sequence[str]], many: Integers, whole: Integers, pooled: Estimates
) -> Texts:
    """Return why a batch has no mean: what its panels lost would flatter the mean of the others."""
    return texts(
        [
            f"{gone} of {all_} panels without a decline: {'; '.join(why[:2])}"
            if gone
            else "no panel with a decline"
            if not n
            else ""
            for why, gone, all_, n in zip(lost, many, whole, pooled.n, strict=True)
        ]
    )


def _of_panels(pooled: Estimates, whole: Integers, why: Texts) -> Texts:
    return texts(
        [
            ""
            if reason
            else "one panel: no interval between panels"
            if n == 1
            else f"{all_ - n} of {all_} panels have no decline"
            if 0 < n < all_
            else ""
            for n, all_, reason in zip(pooled.n, whole, why, strict=True)
        ]
    )


def _group_rows(
    quantity: str, keys: pd.DataFrame, found: Estimates, reason: Texts, **more: Any
) -> pd.DataFrame:
    return results(
        quantity,
        keys,
        found.value,
        "1/d",
        standard_error=found.standard_error,
        low=found.low,
        high=found.high,
        n=found.n,
        reason=np.where(np.isfinite(found.value), "", np.where(reason == "", FEW, reason)),
        **more,
    )
