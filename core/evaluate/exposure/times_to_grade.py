"""When panels reach a grade: each between two inspections, and what that says of their batch.

A panel that never reached the grade only says: later than its last inspection. The panels are the
unit.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from tiecoat.evaluate.estimate import Estimate, NotDeterminable
from tiecoat.evaluate.exposure.inspections import Course, reached_between
from tiecoat.evaluate.ledger import Ledger
from tiecoat.evaluate.statistics.censored_times import Distribution, TimesFit, fit_many, with_median
from tiecoat.evaluate.statistics.replicates import NO_INTERVAL
from tiecoat.evaluate.statistics.turnbull import Turnbull, turnbull

BETWEEN = "low and high are inspections, no confidence interval"
# Panels that reached it, below which a fit's standard error is told to be rough: 1.96 of them held
# the true median in 0.85 to 0.89 of batches of 3 to 8 panels, in 0.93 to 0.94 of those of 12.
FEW_PANELS = 12
ROUNDING_PERCENT = 1e-6
NO_ERROR = "no standard error: the interval by profile is too uneven for one"


@dataclass(frozen=True)
class Limit:
    """The grade of a property whose time is wanted, and how it is named."""

    quantity: str
    grade: int
    words: str


@dataclass(frozen=True)
class GradeTimes:
    """When the panels of one batch reached a grade.

    Parameters
    ----------
    low, high
        Hours in which each did, infinite where it did not, shape (n,).
    inspected
        The hours at which any of them was inspected, rising.
    flags
        What must be known of it.
    """

    low: tuple[float, ...]
    high: tuple[float, ...]
    inspected: tuple[float, ...]
    flags: tuple[str, ...] = ()

    @property
    def reached(self) -> int:
        """How many reached the grade."""
        return sum(math.isfinite(end) for end in self.high)

    @property
    def last(self) -> float:
        """The last hour of which something is known."""
        ends = zip(self.low, self.high, strict=True)
        return max(low if math.isinf(high) else high for low, high in ends)


def tell_panels(
    ledger: Ledger, listed: Sequence[Course], limit: Limit, flags: Sequence[str]
) -> GradeTimes:
    """Tell between which inspections each panel of a batch reached the grade, and collect it."""
    ends: list[tuple[float, float]] = []
    odd: list[str] = []
    for course in listed:
        odd += [f"{course.panel}: {flag}" for flag in course.flags]
        found, method, shown = NotDeterminable(""), "", NO_INTERVAL
        try:
            low, high = reached_between(course, limit.grade)
            ends.append((low, high))
            found, method = NotDeterminable(_words(low, high)), BETWEEN
            shown = (low, _finite(high))
        except NotDeterminable as why:
            odd.append(f"{course.panel} is left out: {why}")
            found = why
        ledger.add(
            f"time_to_{limit.quantity}",
            "h",
            course.keys,
            found,
            condition=f"{course.exposure}; {limit.words}",
            method=method,
            flags="; ".join((*course.flags, *flags)),
            interval=shown,
            n=1,
        )
    inspected = sorted({hour for course in listed for hour in course.hours})
    low_ends, high_ends = tuple(low for low, _ in ends), tuple(high for _, high in ends)
    return GradeTimes(low_ends, high_ends, tuple(inspected), (*odd, *flags))


def _words(low: float, high: float) -> str:
    if math.isinf(high):
        return f"not reached by {low:g} h" if low else "never rated below the grade"
    if low == 0:
        return f"reached by {high:g} h, the first inspection that tells"
    return f"reached after {low:g} h and by {high:g} h: inspections do not tell when between"


def _finite(end: float) -> float:
    return end if math.isfinite(end) else math.nan


@dataclass(frozen=True)
class GradeResults:
    """Where the results of one batch, exposure and grade go."""

    ledger: Ledger
    keys: Mapping[str, str]
    limit: Limit
    exposure: str
    times: GradeTimes

    @cached_property
    def flags(self) -> tuple[str, ...]:
        """What must be known of all of them."""
        if not self.times.low:
            return self.times.flags
        told = f"{self.times.reached} of {len(self.times.low)} panels reached it"
        return (*self.times.flags, told)

    @property
    def quantity(self) -> str:
        """What the time is called."""
        return f"time_to_{self.limit.quantity}"

    def add(
        self,
        quantity: str,
        unit: str,
        found: Estimate | NotDeterminable,
        *,
        method: str,
        interval: tuple[float, float] = NO_INTERVAL,
        more: Sequence[str] = (),
        exposure_h: float = math.nan,
    ) -> None:
        self.ledger.add(
            quantity,
            unit,
            {**self.keys, "exposure_h": exposure_h},
            found,
            condition=f"{self.exposure}; {self.limit.words}",
            method=method,
            flags="; ".join((*self.flags, *more)),
            interval=interval,
            n=len(self.times.low),
        )


def tell_batch(telling: GradeResults) -> None:
    """Tell the share of panels below the grade over time, and the median."""
    times, median = telling.times, f"{telling.quantity}_median"
    if not times.low:
        why = NotDeterminable("no panel tells when it reached the grade")
        telling.add(median, "h", why, method="")
        return
    curve = turnbull(times.low, times.high)
    _tell_median(telling, median, curve)
    _tell_shares(telling, f"share_below_{telling.limit.quantity}", curve)


def _tell_median(telling: GradeResults, quantity: str, curve: Turnbull) -> None:
    low, high = curve.median
    if math.isinf(high) and low == 0:
        why = "inspections leave it open"
    elif math.isinf(high):
        why = f"at least half have not reached it by {low:g} h"
    else:
        why = f"after {low:g} h and by {high:g} h: inspections do not tell when between"
    method = f"Turnbull; {BETWEEN}"
    ends, told = (low, _finite(high)), NotDeterminable(why)
    telling.add(quantity, "h", told, method=method, interval=ends, more=_unsettled(curve))


def _unsettled(curve: Turnbull) -> tuple[str, ...]:
    if curve.converged:
        return ()
    return (f"not converged after {curve.steps} steps: ln L may be {curve.gap:.1g} too low",)


def _tell_shares(telling: GradeResults, quantity: str, curve: Turnbull) -> None:
    """Tell the share that is still below the grade, as far as inspections reach."""
    last, unsettled = telling.times.last, _unsettled(curve)
    hours = [hour for hour in telling.times.inspected if hour <= last]
    shares = (100 * ends for ends in curve.shares_after(hours))
    for hour, least, most in zip(hours, *(ends.tolist() for ends in shares), strict=True):
        found: Estimate | NotDeterminable = Estimate(least)
        method, interval = "Turnbull; no interval", NO_INTERVAL
        if most - least > ROUNDING_PERCENT:
            found = NotDeterminable("not of every panel was a clear grade seen then")
            method = "Turnbull; low and high: what inspections leave open, no confidence interval"
            interval = (least, most)
        telling.add(
            quantity,
            "%",
            found,
            method=method,
            interval=interval,
            more=unsettled,
            exposure_h=hour,
        )


def tell_fits(listed: Sequence[GradeResults], distribution: Distribution) -> None:
    """Tell the fitted median and shape of each, or why its panels do not suffice."""
    known = [one for one in listed if one.times.low]
    fits = fit_many([(one.times.low, one.times.high) for one in known], distribution)
    method = f"{distribution}, maximum likelihood from intervals, panels as unit"
    for telling, fit in zip(known, map(with_median, fits), strict=True):
        if isinstance(fit, TimesFit):
            _tell_fit(telling, fit, method)
        else:
            telling.add(f"{telling.quantity}_median_fitted", "h", fit, method=method)


def _tell_fit(telling: GradeResults, fit: TimesFit, method: str) -> None:
    low, high = fit.median_interval
    reached = telling.times.reached
    notes = fit.open_ends
    if reached < FEW_PANELS and fit.is_even:
        notes.append(f"rests on {reached} panels that reached it: the error is rough")
    fitted, spread = fit.median, fit.shape
    if not fit.is_even:
        notes.append(NO_ERROR)
        fitted, spread = Estimate(fitted.value, n=fitted.n), Estimate(spread.value, n=spread.n)
    by_profile, ends = f"{method}; interval by profile", (low, _finite(high))
    name, shape = f"{telling.quantity}_median_fitted", f"{method}; 1 / sigma of ln t"
    telling.add(name, "h", fitted, method=by_profile, interval=ends, more=notes)
    telling.add(f"{telling.quantity}_shape", "", spread, method=shape, more=notes)
