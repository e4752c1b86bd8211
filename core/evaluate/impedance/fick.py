r"""Uptake of water by a film on metal, by Fick's law: how much, how fast, and from what start.

Water enters from one side and the metal stops it. With :math:`\tau = D t / L^2` of a film of
thickness L in which D is the same everywhere, the share of the saturation is

.. math:: \frac{M_t}{M_\infty} = 1 - \frac{8}{\pi^2} \sum_{n=0}^\infty
    \frac{e^{-(2n+1)^2 \pi^2 \tau / 4}}{(2n+1)^2} \approx 2 \sqrt{\tau / \pi}
    \quad (\tau < 0.2)

and half of it is reached at :math:`t = 0.1967\, L^2 / D` (J. Crank, The Mathematics of Diffusion,
2nd ed. 1975, section 4.3.2, of a sheet of 2 L open on both sides; from memory). Where the logarithm
of the capacitance grows with the water,

.. math:: \ln C_t = \ln C_0 + S\, M_t / M_\infty

is a straight line in :math:`\ln C_0` and S for each :math:`D / L^2`, so that the sum of squares Q
is searched over that alone. Its 95 % interval, and those of :math:`\ln C_0` and S, hold what leaves
:math:`Q \le Q_{min} + t^2 \max(Q_{min} / \nu, s^2)` with :math:`\nu = n - 3` and Student's t: the
profile of the likelihood, where s is what the spectra themselves tell of their scatter. Few
exposures may lie on the curve by chance; without s the values that are given would be those of such
courses (of 2,000, in the worst design, 4 % got a diffusion coefficient, and 15 % of these intervals
held the true one).

Of 4,000 courses with ten exposures from a quarter of an hour on, films of 60 and 100 um and scatter
of 0.2 and 1 % (the rise is 15 %), 98.8 % of the intervals of the rate held it, 98.5 to 98.6 % of
those of S, and 98.5 to 98.9 % of those of :math:`\ln C_0`. Where the scatter or the end of the test
hardly lets the rate be told, those few courses get one that happen to look settled: of 4,000 with
scatter of 6 % 1.7 to 2.5 % got it, and 80 to 91 % of these intervals held it; of 300 um, which take
longer than the test, 1.1 to 12 %, and 44 to 92 %. Neither a limit to the width of the interval nor
one to the scatter as a share of the rise parts these from the others: what they leave holds less
often still. Of all courses of a design 0.2 to 0.9 % got an interval that does not hold the rate.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tiecoat.evaluate.impedance.repeated_spectra import t_factors
from tiecoat.evaluate.impedance.spectra import Bools, Floats, Integers

MOST_TAU = 100.0  # long after the end
EARLY_TAU = 0.05  # below it the root alone is exact to 1e-8
TERMS = 6
LEAST_EXPOSURES = 5  # two degrees of freedom
STEPS = 160
LEAST_H, MOST_H = 1e-6, 1e9  # what is no exposure would overflow on the way
SLOWEST = 0.02  # tau at the last exposure, of the slowest diffusion that is tried
FASTEST = 2.0  # tau at the first exposure, of the fastest
EARLY = 0.6  # share of the saturation up to which the root of time holds; to 0.5 %
EARLY_EXPOSURES = 3  # which it takes to see where the course begins
MISFIT = 0.15  # scatter about the curve, as a share of the rise: no course by Fick's law; no source


def share_taken_up(tau: Floats) -> Floats:
    """Return M_t / M_inf of a film on metal at tau = D t / L^2, 0 or above.

    Examples
    --------
    >>> print(share_taken_up(np.array([0.0, 0.01, 0.1967, 1.0])).round(4))
    [0.     0.1128 0.5    0.9313]
    """
    tau = np.clip(np.asarray(tau, dtype=np.float64), 0.0, MOST_TAU)
    term = np.exp(-(np.pi**2) / 4 * np.maximum(tau, EARLY_TAU))
    eighth = term * term  # squared twice more: products cost less than powers
    eighth *= eighth
    eighth *= eighth
    left, power = term.copy(), np.ones_like(term)
    for n in 2 * np.arange(1, TERMS) + 1:
        power *= eighth
        term *= power  # since n^2 - (n - 2)^2 = 4 (n - 1): products cost less than exp
        left += term / n**2
    series = 1 - 8 / np.pi**2 * left
    return np.asarray(np.where(tau < EARLY_TAU, 2 * np.sqrt(tau / np.pi), series))


@dataclass(frozen=True)
class Bounds:
    """One number for each of p places with its 95 % interval; NaN where there is none."""

    value: Floats
    low: Floats
    high: Floats

    def only(self, where: Bools) -> Bounds:
        """Return it with NaN where a condition does not hold."""
        kept = np.where(where, 1.0, np.nan)
        return Bounds(self.value * kept, self.low * kept, self.high * kept)


@dataclass(frozen=True)
class FickFits:
    """Courses of p places.

    Parameters
    ----------
    rate_per_h
        D / L^2.
    rise, ln_dry
        S and ln C_0, C_0 in the unit of the capacitances.
    shows_saturation
        (p,) whether the interval of the rate ends on both sides.
    early
        (p,) how many exposures lie where the root of time holds.
    reason
        (p,) why there is no fit, else "".
    """

    rate_per_h: Bounds
    rise: Bounds
    ln_dry: Bounds
    shows_saturation: Bools
    early: Integers
    reason: list[str]


def fit_fick(hours: Floats, ln_capacitance: Floats, least_variance: Floats) -> FickFits:
    """Return the fits of courses, a row a place, shape (p, m), NaN behind the last exposure.

    Parameters
    ----------
    hours
        Ascending, above 0.
    ln_capacitance
        Natural logarithm of the capacitance, finite where the hours are.
    least_variance
        (p,) s^2 of a point, as far as it is known; else 0.
    """
    there = np.isfinite(ln_capacitance) & (hours > LEAST_H) & (hours < MOST_H)
    count = there.sum(axis=1)
    t = np.where(there, hours, 1.0)
    y = np.where(there, ln_capacitance, 0.0)
    last = np.where(there, hours, 0.0).max(axis=1, initial=0.0)
    first = np.where(there, hours, np.inf).min(axis=1, initial=np.inf)
    enough = (count >= LEAST_EXPOSURES) & (first < last)
    last, first = np.where(enough, last, 2.0), np.where(enough, first, 1.0)
    freedom = np.maximum(count - 3, 1).astype(np.int64)
    quantile = t_factors(freedom) ** 2
    low, high = np.log(SLOWEST / last), np.log(FASTEST / first)
    coarse = _RateSearch.of(t, y, there, _grid(low, high))
    begin, end = coarse.ends(coarse.allowed(quantile, freedom, least_variance))
    fine = _RateSearch.of(t, y, there, _grid(begin, end))
    left = fine.allowed(quantile, freedom, least_variance)
    rate_low, rate_high = fine.ends(left)
    shows = enough & (begin > low) & (end < high)
    best = fine.best
    places = np.arange(len(t))
    rate = Bounds(np.exp(fine.grid[places, best]), np.exp(rate_low), np.exp(rate_high))
    rise, dry = fine.of_line(left)
    early = (there & (share_taken_up(rate.value[:, None] * t) <= EARLY)).sum(axis=1)
    misfit = np.sqrt(fine.squares[places, best] / freedom) / np.maximum(np.abs(rise.value), 1e-300)
    reason = [
        f"{n} exposures with a capacitance, {LEAST_EXPOSURES} are needed"
        if not ok
        else "no rise of the capacitance that its scatter does not explain"
        if not up
        else "the course does not follow Fick's law"
        if off > MISFIT
        else ""
        for n, ok, up, off in zip(count, enough, rise.low > 0, misfit, strict=True)
    ]
    fits = np.array([not one for one in reason], dtype=np.bool_)
    return FickFits(
        rate.only(fits & shows),
        rise.only(fits & shows),
        dry.only(fits),
        fits & shows,
        np.where(fits, early, 0).astype(np.int64),
        reason,
    )


def _grid(low: Floats, high: Floats) -> Floats:
    """Return steps from low to high, a row a place."""
    return np.asarray(low[:, None] + np.linspace(0, 1, STEPS) * (high - low)[:, None])


@dataclass(frozen=True)
class _RateSearch:
    """Lines through the courses for each rate of a grid, shape (p, steps) all."""

    grid: Floats
    squares: Floats
    rise: Floats
    dry: Floats
    rise_weight: Floats
    dry_weight: Floats

    @classmethod
    def of(cls, t: Floats, y: Floats, there: Bools, grid: Floats) -> _RateSearch:
        weight = there.astype(np.float64)
        n = np.maximum(weight.sum(axis=1, keepdims=True), 1.0)
        mean_y = (y * weight).sum(axis=1, keepdims=True) / n
        dy = (y - mean_y) * weight
        share = share_taken_up(np.exp(grid)[:, :, None] * t[:, None, :])
        mean_s = np.einsum("psm,pm->ps", share, weight) / n
        ds = (share - mean_s[:, :, None]) * weight[:, None, :]
        sss, ssy = np.einsum("psm,psm->ps", ds, ds), np.einsum("psm,pm->ps", ds, dy)
        rise = ssy / np.maximum(sss, 1e-300)
        off = dy[:, None, :] - rise[:, :, None] * ds
        squares = np.einsum("psm,psm->ps", off, off)
        dry = mean_y - rise * mean_s
        dry_weight = 1 / n + mean_s**2 / np.maximum(sss, 1e-300)
        return cls(grid, squares, rise, dry, 1 / np.maximum(sss, 1e-300), dry_weight)

    @property
    def best(self) -> Integers:
        return np.asarray(self.squares.argmin(axis=1), dtype=np.int64)

    def allowed(self, quantile: Floats, freedom: Integers, least_variance: Floats) -> Floats:
        """Return by how much Q may still rise at each rate; NaN where the rate is excluded."""
        least = self.squares.min(axis=1)
        room = quantile * np.maximum(least / freedom, least_variance)
        left = (least + room)[:, None] - self.squares
        return np.where(left >= 0, left, np.nan)

    def ends(self, left: Floats) -> tuple[Floats, Floats]:
        """Return the steps just outside of the rates that are allowed, or the ends of the grid."""
        inside = np.isfinite(left)
        first = np.maximum(inside.argmax(axis=1) - 1, 0)
        last = np.minimum(STEPS - inside[:, ::-1].argmax(axis=1), STEPS - 1)
        places = np.arange(len(self.grid))
        return self.grid[places, first], self.grid[places, last]

    def of_line(self, left: Floats) -> tuple[Bounds, Bounds]:
        """Return rise and start of the likeliest rate, and what any allowed rate allows of them."""
        places, best = np.arange(len(self.grid)), self.best
        found = []
        for value, weight in ((self.rise, self.rise_weight), (self.dry, self.dry_weight)):
            half = np.sqrt(np.nan_to_num(left) * weight)
            off = np.isnan(left)
            low = np.where(off, np.inf, value - half).min(axis=1)
            high = np.where(off, -np.inf, value + half).max(axis=1)
            found.append(Bounds(value[places, best], low, high))
        return found[0], found[1]
