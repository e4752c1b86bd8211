"""How fast entrapped air leaves paint at rest."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import chdtrc, fdtrc

from tiecoat.contract.choices import DensityChoices
from tiecoat.evaluate.estimate import CERTAIN, Estimate, NotDeterminable, pooled
from tiecoat.evaluate.ledger import Ledger
from tiecoat.evaluate.statistics.least_squares_one import Floats, solve
from tiecoat.evaluate.wet_paint.air import AIR_G_CM3, AIRY, Reduced, entrapped_air

LEAST_TIMES = 3
LACK_OF_FIT = 0.05  # below this p, one exponential does not describe the decay


@dataclass(frozen=True)
class Decay:
    """A first-order decay: share at time 0, rate in 1/s, p of the test for lack of fit."""

    start: Estimate
    rate_per_s: Estimate
    lack_of_fit_p: float


def decay(
    elapsed_s: ArrayLike,
    shares: ArrayLike,
    errors: ArrayLike,
    common: ArrayLike = 0.0,
    freedom: float = CERTAIN,
) -> Decay:
    """Fit a first-order decay of entrapped air to its share over time.

    .. math:: \\varphi(t) = \\varphi_0 \\, e^{-k t}

    by generalised least squares: all shares hang on one reference without air, and its error moves
    them together. Lack of fit: the weighted sum of squares over its n - 2 degrees of freedom,
    against F(n - 2, freedom), or chi-squared where the errors are stated.

    It holds where bubbles leave one after another at one rate. A wide range of bubble sizes leaves
    fast at first and slowly then, which the test shows when the readings are good enough.

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

    Raises
    ------
    NotDeterminable
        With fewer than three times, if no air can be told from none at the start, or if no decay
        fits.

    References
    ----------
    First-order kinetics. Generalised least squares: Aitken, Proc. R. Soc. Edinb. 55 (1935) 42
    (from memory).

    Examples
    --------
    >>> found = decay([0, 600, 1200], [0.04, 0.02, 0.01], 1e-4)
    >>> round(math.log(2) / found.rate_per_s.value)
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
    return _fitted(times, air, covariance, freedom)


def _fitted(times: Floats, air: Floats, covariance: Floats, freedom: float) -> Decay:
    root = np.linalg.cholesky(covariance)
    scale = float(times.max() - times.min())  # rates of order one keep the steps well-sized
    when = times / scale

    def residuals(found: Floats) -> Floats:
        off: Floats = np.linalg.solve(root, found[0] * np.exp(-found[1] * when) - air)
        return off

    def jacobian(found: Floats) -> Floats:
        falling = np.exp(-found[1] * when)
        slope: Floats = np.linalg.solve(
            root, np.column_stack([falling, -found[0] * when * falling])
        )
        return slope

    first, last = float(air[np.argmin(times)]), float(air[np.argmax(times)])
    guess = math.log(first / last) if last > 0.05 * first else 3.0
    try:
        solved = solve(residuals, jacobian, np.array([first, guess]))
    except NotDeterminable as why:
        raise NotDeterminable("no first-order decay fits these readings") from why
    (start, rate), over = solved.parameters.tolist(), len(times) - 2
    p = (
        chdtrc(over, solved.squares)
        if math.isinf(freedom)
        else fdtrc(over, freedom, solved.squares / over)
    )
    return Decay(
        Estimate(start, math.sqrt(solved.inverse[0, 0]), freedom, len(times)),
        Estimate(rate / scale, math.sqrt(solved.inverse[1, 1]) / scale, freedom, len(times)),
        float(p),
    )


def decay_of_states(
    states: Sequence[Reduced], free: Reduced, uncertainty_g_cm3: float
) -> tuple[Decay, int]:
    """Return the decay of the air in a batch, and the number of readings behind it.

    A time at rest is often measured once: the spread of readings is pooled over all states of the
    batch, the one without air too, where there are replicates; else it is the uncertainty given.

    Raises
    ------
    NotDeterminable
        As `decay`.
    """
    airy = [one for one in states if one.state in AIRY]
    groups = list({id(one): one.readings for one in [*states, free]}.values())
    spread, freedom = pooled(groups)
    if not spread > 0:
        stated = [one.density.standard_error for one in airy if math.isinf(one.density.freedom)]
        spread, freedom = max(stated, default=uncertainty_g_cm3), 0
    by_time: dict[float, list[float]] = {}
    for one in airy:
        by_time.setdefault(one.elapsed_s, []).extend(one.readings)
    means = np.array([np.mean(readings) for readings in by_time.values()])
    counts = np.array([len(readings) for readings in by_time.values()])
    gap = free.density.value - AIR_G_CM3
    found = decay(
        list(by_time),
        entrapped_air(means, free.density.value),
        spread / np.sqrt(counts) / gap,
        (means - AIR_G_CM3) / gap**2 * free.density.standard_error,
        freedom or CERTAIN,
    )
    return found, int(counts.sum())


def tell_decay(
    ledger: Ledger,
    keys: Mapping[str, str],
    states: Sequence[Reduced],
    free: Reduced,
    choices: DensityChoices,
) -> None:
    """Enter the rate of decay in 1/h and the half-life in min of the air in a batch."""
    method = "first-order decay while the paint rests"
    try:
        found, n = decay_of_states(states, free, choices.uncertainty_g_cm3)
    except NotDeterminable as why:
        ledger.add("foam_decay_rate", "1/h", keys, why, method=method)
        ledger.add("foam_half_life", "min", keys, why, method=method)
        return
    p = found.lack_of_fit_p
    flags = f"does not fall as one exponential (p = {p:.2g})" if p < LACK_OF_FIT else ""
    rate = replace(found.rate_per_s, n=n)
    ledger.add("foam_decay_rate", "1/h", keys, rate.times(3600), method=method, flags=flags)
    half, interval = half_life(rate)
    ledger.add("foam_half_life", "min", keys, half, method=method, flags=flags, interval=interval)


def half_life(
    rate_per_s: Estimate,
) -> tuple[Estimate | NotDeterminable, tuple[float, float] | None]:
    """Return the half-life in min and its 95 % interval, from those of the rate.

    .. math:: t_{1/2} = \\ln 2 / k

    Not determinable where the interval of the rate holds zero: the half-life has no upper end; nor
    where all of it lies below: the air grows.
    """
    slow, fast = rate_per_s.interval
    if fast < 0:
        return NotDeterminable("no decay: the paint holds more air with time"), None
    if slow <= 0:
        why = "no decay that can be told from none: the interval of its rate holds zero"
        return NotDeterminable(why), None
    minutes = math.log(2) / 60
    error = minutes * rate_per_s.standard_error / rate_per_s.value**2
    found = Estimate(minutes / rate_per_s.value, error, rate_per_s.freedom, rate_per_s.n)
    return found, (minutes / fast, minutes / slow)
