"""Foam of wet paint over time: how much there is at first, how fast it collapses, what stays.

| quantity | unit | what |
| --- | --- | --- |
| foam_initial | mm or ml | when it has just been made: by the fit, else as read |
| foam_half_life | min | until half of it is left |
| foam_plateau | mm or ml | what stays, where the readings ask for that |
| foam_decay_rate | 1/h | of the exponential, of two of the faster |
| foam_decay_rate_slow | 1/h | of the slower of two |
| foam_slow_share | % | of the foam at first, what goes by the slower of two |
| foam_area | mm min or ml min | area below the readings, from the first to the last |

Each for a determination; the first two and the area for a batch too where it has several. How the
foam was made, and whether its height or its volume was read, stand as condition.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike

from tiecoat.contract.choices import Choices
from tiecoat.evaluate.estimate import CERTAIN, Estimate, NotDeterminable, mean_of, t_factor
from tiecoat.evaluate.grouping import grouped
from tiecoat.evaluate.ledger import Ledger
from tiecoat.evaluate.statistics.decays import DecayChoice, Scatter, chosen_fit
from tiecoat.evaluate.statistics.fit_statistics import Floats
from tiecoat.evaluate.statistics.rounding import rounding_error, step_of

AMOUNTS = {"foam_volume_ml": ("volume", "ml"), "foam_height_mm": ("height", "mm")}
LEAST_READINGS = 4  # of one exponential and its scatter
STEPS = (50.0, 20.0, 10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01)
GROWN = 1.1  # times the first reading, and two steps more: the foam grew; no source
SEEN_STEPS = 3.0  # of reading that the most foam must have for a fit; no source
HALF_GONE = 2.0


@dataclass(frozen=True)
class FoamCurve:
    """The foam of one determination: times in min, rising, and amounts in mm or ml."""

    batch: str
    measurement: str
    made: str
    amount: str
    unit: str
    minutes: Floats
    foam: Floats

    @property
    def condition(self) -> str:
        """How the foam was made, and what was read of it."""
        return f"{self.made}, {self.amount}"

    @property
    def step(self) -> float:
        """In which steps it was read: the largest of which all readings are multiples."""
        return step_of(self.foam, STEPS)

    @property
    def rounding(self) -> float:
        """The standard uncertainty of a reading by its rounding alone."""
        return rounding_error(self.step)

    @property
    def span(self) -> str:
        """From when to when it was read."""
        return f"{self.minutes[0]:g} to {self.minutes[-1]:g} min"


@dataclass(frozen=True)
class Collapse:
    """How the foam of a curve falls, from `since_min` on, when there was most of it."""

    choice: DecayChoice
    since_min: float

    @property
    def method(self) -> str:
        """The model, and how many readings it was fitted to."""
        one = self.choice.fit
        return f"{one.model.name}, least squares on {one.n} readings"

    @property
    def flags(self) -> str:
        """What a reader must know of the fit."""
        told = []
        if self.since_min:
            told.append(f"the foam grew for {self.since_min:g} min: its collapse begins there")
        if self.choice.better:
            better = self.choice.better[0].model.name
            told.append(f"{better} describe it better: too few readings to choose them")
        return "; ".join(told)


def compute(frames: Mapping[str, pd.DataFrame], choices: Choices) -> pd.DataFrame:
    """Return the results of the kind foam.

    Parameters
    ----------
    frames
        `foam`, as the archive gives it.
    choices
        Nothing is set for foam.
    """
    ledger = Ledger()
    curves = sorted(curves_of(frames["foam"]), key=lambda one: (one.batch, one.condition))
    for (batch, condition), some in groupby(curves, key=lambda one: (one.batch, one.condition)):
        listed = list(some)
        found = [_tell(ledger, one) for one in listed]
        if len(listed) > 1:
            _tell_batch(ledger, batch, condition, listed, found)
    return ledger.table()


def curves_of(rows: pd.DataFrame) -> Iterator[FoamCurve]:
    """Return the curve of each determination: of volume or height what more of its rows have.

    Where as many have both it is the volume. Readings without it are left out.
    """
    for (batch, measurement), places in grouped(rows, ["batch", "measurement"]):
        mine = rows.iloc[places].sort_values("elapsed_s", kind="stable")
        read = {name: mine[name].count() for name in AMOUNTS}
        name = max(AMOUNTS, key=read.__getitem__)
        known = mine[mine[name].notna()]
        if not len(known):
            continue
        amount, unit = AMOUNTS[name]
        yield FoamCurve(
            str(batch),
            str(measurement),
            str(known["method"].iloc[0]),
            amount,
            unit,
            known["elapsed_s"].to_numpy(dtype=np.float64) / 60,
            known[name].to_numpy(dtype=np.float64),
        )


def area_below(times: ArrayLike, amounts: ArrayLike) -> float:
    r"""Return the area below amounts over time: straight where they rise, exponential down.

    .. math:: \int_{t_1}^{t_2} y \, dt = \frac{(y_1 - y_2)(t_2 - t_1)}{\ln (y_1 / y_2)}

    where y falls, and is not 0; else the trapezoid. Trapezoids alone would give too much of what
    falls as an exponential.

    Parameters
    ----------
    times, amounts
        Shape (n,), times rising, amounts 0 or above.

    References
    ----------
    The rule "linear up, logarithmic down" of pharmacokinetics (from memory).

    Examples
    --------
    >>> round(area_below([0.0, 1.0], [2.0, 1.0]) * math.log(2), 12)
    1.0
    >>> area_below([0.0, 1.0, 2.0], [1.0, 3.0, 0.0])
    3.5
    """
    t, y = np.asarray(times, dtype=float), np.asarray(amounts, dtype=float)
    before, after, width = y[:-1], y[1:], np.diff(t)
    falls = (after < before) & (after > 0)
    ratio = np.where(falls, before, math.e) / np.where(falls, after, 1.0)
    under = np.where(falls, (before - after) / np.log(ratio), (before + after) / 2)
    return float((under * width).sum())


def collapse_of(curve: FoamCurve) -> Collapse:
    """Return how the foam of a curve falls.

    Raises
    ------
    NotDeterminable
        With too few readings or too little foam, or if no decay fits.
    """
    most = float(curve.foam.max())
    if most == 0:
        raise NotDeterminable("there is no foam")
    if most < SEEN_STEPS * curve.step:
        raise NotDeterminable(
            f"{most:g} {curve.unit} of foam at most, read in steps of {curve.step:g}: too little"
            " for its decay"
        )
    begin, since = 0, 0.0
    if most > GROWN * curve.foam[0] + 2 * curve.step:
        begin = int(curve.foam.argmax())
        since = float(curve.minutes[begin])
    minutes, foam = curve.minutes[begin:] - since, curve.foam[begin:]
    if len(foam) < LEAST_READINGS:
        raise NotDeterminable(
            f"too few readings of the collapse: {len(foam)}, a decay needs {LEAST_READINGS}"
        )
    return Collapse(chosen_fit(minutes, foam, Scatter(least=curve.rounding)), since)


@dataclass(frozen=True)
class FoamFound:
    """What the means of a batch are made of; the half-life and the start may have no value."""

    initial: Estimate | NotDeterminable
    half_life: Estimate | NotDeterminable
    area: float


def _tell(ledger: Ledger, curve: FoamCurve) -> FoamFound:
    """Enter the results of one determination."""
    keys = {"batch": curve.batch, "measurement": curve.measurement}
    try:
        collapse: Collapse | NotDeterminable = collapse_of(curve)
    except NotDeterminable as why:
        collapse = why
    initial, how, flags = _initial(curve, collapse)
    at = curve.condition
    ledger.add(
        "foam_initial",
        curve.unit,
        keys,
        initial,
        condition=at,
        method=how,
        flags=flags,
        n=_n(curve),
    )
    if isinstance(collapse, Collapse):
        half_life = _tell_half_life(ledger, keys, curve, collapse)
        _tell_model(ledger, keys, curve, collapse)
        scatter, freedom = collapse.choice.fit.scatter, collapse.choice.fit.freedom
    else:
        half_life, scatter, freedom = collapse, curve.rounding, CERTAIN
        ledger.add("foam_half_life", "min", keys, collapse, condition=at, n=_n(curve))
    area = _area(curve, scatter, freedom)
    ledger.add(
        "foam_area",
        f"{curve.unit} min",
        keys,
        area,
        condition=f"{at}, {curve.span}",
        method="straight up, exponential down between readings",
        n=_n(curve),
    )
    return FoamFound(initial, half_life, area.value if isinstance(area, Estimate) else math.nan)


def _n(curve: FoamCurve) -> int:
    return len(curve.foam)


def _initial(
    curve: FoamCurve, collapse: Collapse | NotDeterminable
) -> tuple[Estimate | NotDeterminable, str, str]:
    """Return the foam at time 0, how it was found, and what must be told with it."""
    first = float(curve.minutes[0])
    as_read = Estimate(float(curve.foam[0]), curve.rounding)
    if isinstance(collapse, Collapse) and not collapse.since_min:
        start = collapse.choice.fit.at(0.0)
        if not first:
            return start, collapse.method, ""
        if start.value > HALF_GONE * curve.foam[0]:
            why = f"the first reading, after {first:g} min, came when more than half had gone"
            return NotDeterminable(why), "", ""
        return start, collapse.method, f"read back from {first:g} min"
    if first:
        why = f"no reading before {first:g} min, and no decay to read it back by"
        return NotDeterminable(why), "", ""
    flags = collapse.flags if isinstance(collapse, Collapse) else ""
    return as_read, "as read, uncertainty of its rounding alone", flags


def _tell_half_life(
    ledger: Ledger, keys: Mapping[str, str], curve: FoamCurve, collapse: Collapse
) -> Estimate | NotDeterminable:
    """Enter the half-life; beyond the last reading it is not told, but that it is longer."""
    found, (low, high) = collapse.choice.half_life()
    last = float(curve.minutes[-1]) - collapse.since_min
    method = collapse.method
    if isinstance(found, Estimate) and found.value > last:
        found = NotDeterminable(f"more than half is left at the last reading, after {last:g} min")
    if isinstance(found, NotDeterminable):
        low, high = min(low, last), math.inf
        method += "; longer than its lower bound" if low else ""
    ends = (low or math.nan, high if math.isfinite(high) else math.nan)
    ledger.add(
        "foam_half_life",
        "min",
        keys,
        found,
        condition=curve.condition,
        method=method,
        flags=collapse.flags,
        interval=ends,
        n=_n(curve),
    )
    return found


def _tell_model(
    ledger: Ledger, keys: Mapping[str, str], curve: FoamCurve, collapse: Collapse
) -> None:
    """Enter the parameters of the fit."""
    one = collapse.choice.fit
    told: list[tuple[str, str, Estimate]] = []
    for name, rate in zip(("foam_decay_rate", "foam_decay_rate_slow"), one.rates, strict=False):
        told.append((name, "1/h", rate.times(60)))
    if len(one.rates) > 1:
        told.append(("foam_slow_share", "%", one.amounts[1].times(100 / one.at(0.0).value)))
    if one.plateau is not None:
        told.append(("foam_plateau", curve.unit, one.plateau))
    for quantity, unit, found in told:
        ledger.add(
            quantity,
            unit,
            keys,
            found,
            condition=curve.condition,
            method=collapse.method,
            flags=collapse.flags,
            n=_n(curve),
        )


def _area(curve: FoamCurve, scatter: float, freedom: float) -> Estimate | NotDeterminable:
    """Return the area below the readings, with its uncertainty by their scatter."""
    if _n(curve) < 2:
        return NotDeterminable("one reading: there is no area below it")
    area = area_below(curve.minutes, curve.foam)
    slopes = np.empty(_n(curve))
    for place in range(_n(curve)):
        moved = curve.foam.copy()
        moved[place] += scatter
        slopes[place] = area_below(curve.minutes, moved) - area
    return Estimate(area, float(np.sqrt((slopes**2).sum())), freedom, _n(curve))


def _tell_batch(
    ledger: Ledger,
    batch: str,
    condition: str,
    curves: Sequence[FoamCurve],
    found: Sequence[FoamFound],
) -> None:
    """Enter the means over the determinations of a batch; of half-lives the geometric one."""
    keys, unit = {"batch": batch}, curves[0].unit
    told = f"mean of {len(curves)} determinations"
    initial = _values([one.initial for one in found])
    lives = _values([one.half_life for one in found])
    mean = initial if isinstance(initial, NotDeterminable) else mean_of(initial)
    ledger.add(
        "foam_initial",
        unit,
        keys,
        mean,
        condition=condition,
        method=told,
        n=len(found),
    )
    half_life, interval = _geometric(lives)
    ledger.add(
        "foam_half_life",
        "min",
        keys,
        half_life,
        condition=condition,
        method=f"geometric mean of {len(curves)} determinations",
        interval=interval,
        n=len(found),
    )
    if len(spans := {one.span for one in curves}) == 1:
        ledger.add(
            "foam_area",
            f"{unit} min",
            keys,
            mean_of([one.area for one in found]),
            condition=f"{condition}, {spans.pop()}",
            method=told,
            n=len(found),
        )


def _values(found: Sequence[Estimate | NotDeterminable]) -> list[float] | NotDeterminable:
    """Return the values, or why there is no mean of them: one that lacks it would be left out."""
    lacking = [one for one in found if isinstance(one, NotDeterminable)]
    if lacking:
        some, every = len(lacking), len(found)
        return NotDeterminable(f"{some} of {every} determinations without it: {lacking[0]}")
    return [one.value for one in found if isinstance(one, Estimate)]


def _geometric(
    values: Sequence[float] | NotDeterminable,
) -> tuple[Estimate | NotDeterminable, tuple[float, float] | None]:
    if isinstance(values, NotDeterminable):
        return values, None
    logs = mean_of(np.log(values))
    middle = math.exp(logs.value)
    half = t_factor(logs.freedom) * logs.standard_error
    found = Estimate(middle, middle * logs.standard_error, logs.freedom, len(values))
    return found, (middle * math.exp(-half), middle * math.exp(half))
