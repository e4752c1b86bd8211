"""How fast entrapped air leaves paint at rest, from densities."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tiecoat.evaluate.estimate import CERTAIN, Estimate, NotDeterminable, pooled
from tiecoat.evaluate.ledger import Ledger
from tiecoat.evaluate.statistics.decays import (
    ONE,
    ONE_TO_PLATEAU,
    TWO,
    DecayFit,
    Scatter,
    chance,
    chosen_fit,
    fit,
    p_of_better,
)
from tiecoat.evaluate.statistics.least_squares_one import Floats
from tiecoat.evaluate.wet_paint.air import AIR_G_CM3, AIRY, SAME, Reduced, entrapped_air

LEAST_TIMES = 3
TO_NOTHING = "first-order decay while the paint rests"
TO_PLATEAU = "first-order decay to a plateau while the paint rests"
LACK_OF_FIT = 0.05  # below this p, the model does not describe the decay


@dataclass(frozen=True)
class AirDecay:
    """A decay of entrapped air, in s and shares of the volume, and p of its lack of fit.

    The p is NaN where there are no more times than parameters.
    """

    fit: DecayFit
    lack_of_fit_p: float


def decay(
    elapsed_s: ArrayLike,
    shares: ArrayLike,
    errors: ArrayLike,
    common: ArrayLike = 0.0,
    freedom: float = CERTAIN,
    *,
    is_least: bool = False,
) -> AirDecay:
    """Fit a first-order decay of entrapped air to its share over time.

    .. math:: \\varphi(t) = a \\, e^{-k t} + c

    by generalised least squares: all shares hang on one reference without air, and its error moves
    them together. The plateau c is 0 unless the readings, with the errors that they have, ask for
    one: see `chosen_fit`. Lack of fit: the weighted sum of squares over its degrees of freedom,
    against F with those and `freedom`, or chi-squared where the errors are stated. Errors that are
    only assumed do not tell: there two exponentials must describe the readings better, by their
    residuals where these are larger (F test of nested models).

    Of 500 decays in each of 36 designs, from 5 % of air with a half-life of 15 min, at six times to
    60 min, one to three readings a time, scatter of 0.2, 0.5, 1 and 2 mg/cm3, readings rounded to
    0.1, 1 and 10 mg/cm3, this told a lack of fit in 0 to 5.6 %, and a plateau that is none in 0 to
    4.0 %. The interval of the half-life held it in 94 to 100 %.

    It holds where bubbles leave one after another at one rate, and some are too small to leave. A
    wide range of bubble sizes leaves fast at first and slowly then, which the test shows when the
    readings are good enough.

    Parameters
    ----------
    elapsed_s, shares
        Time at rest in s and air as a share of the volume, one value a time, shape (n,), n >= 3.
    errors
        Standard errors of the shares that are independent of each other, scalar or shape (n,).
    common
        Standard error of each share by what they have in common, scalar or shape (n,).
    freedom
        Degrees of freedom behind `errors`.
    is_least
        Whether `errors` are assumed.

    Raises
    ------
    NotDeterminable
        With fewer than three times, if no air can be told from none at the start, or if no decay
        fits.

    References
    ----------
    First-order kinetics; `tiecoat.evaluate.statistics.decays`.

    Examples
    --------
    >>> found = decay([0, 600, 1200], [0.04, 0.02, 0.01], 1e-4)
    >>> round(found.fit.half_life()[0].value)
    600
    """
    times, air = np.asarray(elapsed_s, dtype=float), np.asarray(shares, dtype=float)
    if len(np.unique(times)) < LEAST_TIMES:
        raise NotDeterminable(
            f"{len(np.unique(times))} times at rest; a decay needs at least {LEAST_TIMES}"
        )
    own = np.broadcast_to(np.asarray(errors, dtype=float), times.shape)
    shared = np.broadcast_to(np.asarray(common, dtype=float), times.shape)
    covariance = np.diag(own**2) + np.outer(shared, shared)
    first = int(np.argmin(times))
    if air[first] < 2 * math.sqrt(covariance[first, first]):
        raise NotDeterminable("the air at the start cannot be told from none, so no decay either")
    try:
        scatter = Scatter(covariance, freedom, is_least=is_least)
        found = chosen_fit(times, air, scatter, (ONE, ONE_TO_PLATEAU)).fit
    except NotDeterminable as why:
        raise NotDeterminable("no first-order decay fits these readings") from why
    if is_least:
        return AirDecay(found, _p_of_two(times, air, found, scatter))
    over = len(times) - found.model.size
    return AirDecay(found, chance(found.squares, over, freedom) if over else math.nan)


def _p_of_two(times: Floats, air: Floats, found: DecayFit, scatter: Scatter) -> float:
    """Return how likely two exponentials would be so much better by chance; NaN if none fit."""
    try:
        return p_of_better(found, fit(TWO, times, air, scatter), scatter)
    except NotDeterminable:
        return math.nan


def decay_of_states(states: Sequence[Reduced], free: Reduced) -> tuple[AirDecay, int]:
    """Return the decay of the air in a batch, and the number of readings behind it.

    A time at rest is often measured once: the spread of readings is pooled over all states of the
    batch, the one without air too, where there are replicates, and taken for each of them; else it
    is the uncertainty stated with them, else at least the one assumed. Rounding adds to it, and
    more readings do not lessen that.

    Raises
    ------
    NotDeterminable
        As `decay`.
    """
    airy = [one for one in states if one.state in AIRY and math.isfinite(one.elapsed_s)]
    groups = list({id(one): one.readings for one in [*states, free]}.values())
    spread, freedom = pooled(groups)
    rounding = max((one.rounding for one in airy), default=0.0)
    of_reference = free.density.standard_error
    is_resolved = spread > SAME * free.density.value
    if not is_resolved:
        spread, freedom = max((one.of_one for one in airy), default=0.0), 0
    elif free.readings:
        of_reference = math.hypot(spread / math.sqrt(len(free.readings)), free.rounding)
    by_time: dict[float, list[float]] = {}
    for one in airy:
        by_time.setdefault(one.elapsed_s, []).extend(one.readings)
    means = np.array([np.mean(readings) for readings in by_time.values()])
    counts = np.array([len(readings) for readings in by_time.values()])
    gap = free.density.value - AIR_G_CM3
    found = decay(
        list(by_time),
        entrapped_air(means, free.density.value),
        np.hypot(spread / np.sqrt(counts), rounding) / gap,
        (means - AIR_G_CM3) / gap**2 * of_reference,
        freedom or CERTAIN,
        is_least=not is_resolved and any(one.assumed for one in airy),
    )
    return found, int(counts.sum())


def tell_decay(
    ledger: Ledger,
    keys: Mapping[str, str],
    states: Sequence[Reduced],
    free: Reduced,
) -> None:
    """Enter rate, half-life and, where there is one, plateau of the air in a batch."""
    method = TO_NOTHING
    try:
        found, n = decay_of_states(states, free)
    except NotDeterminable as why:
        ledger.add("air_decay_rate", "1/h", keys, why, method=method)
        ledger.add("air_half_life", "min", keys, why, method=method)
        return
    stays = found.fit.plateau
    method = TO_NOTHING if stays is None else TO_PLATEAU
    p = found.lack_of_fit_p
    flags = f"does not fall as one exponential (p = {p:.2g})" if p < LACK_OF_FIT else ""
    (rate,) = found.fit.rates
    half, (low, high) = found.fit.half_life()
    ends = (low / 60, high / 60 if math.isfinite(high) else math.nan)
    told = half.times(1 / 60) if isinstance(half, Estimate) else half
    known = isinstance(half, Estimate)
    ledger.add("air_decay_rate", "1/h", keys, rate.times(3600), method=method, flags=flags, n=n)
    ledger.add(
        "air_half_life",
        "min",
        keys,
        told,
        method=method,
        flags=flags,
        interval=ends if known else None,
        n=n if known else None,
    )
    if stays is not None:
        ledger.add("air_plateau", "%", keys, stays.times(100), method=method, flags=flags, n=n)
