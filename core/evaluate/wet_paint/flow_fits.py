"""Weighted fits of flow curves, and which model the points support."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import fdtrc

from tiecoat.evaluate.estimate import Estimate, NotDeterminable, t_factor
from tiecoat.evaluate.statistics.least_squares_one import Floats, Solved, solve
from tiecoat.evaluate.wet_paint.flow_models import MODELS, FlowCurves, FlowModel

UNEVEN = 0.01  # p below which scatter counts as uneven
HARDLY_ANY = 2.0  # difference in AICc
LEAST_FREEDOM = 2.0  # in a third of the points
# How the scatter may go with the stress, and with the rate; no source
EXPONENTS = np.array(
    [[-0.5, -0.25, 0.0, 0.25, 0.5, 0.75, 1.0], [-0.25, -0.125, 0.0, 0.125, 0.25, 0.375, 0.5]]
)
ROUNDING = 1e-9  # relative residuals below this are the rounding of binary numbers, not misfit


@dataclass(frozen=True)
class Parameter:
    """A fitted parameter: unit, estimate or why there is none, 95 % interval."""

    unit: str
    found: Estimate | NotDeterminable
    interval: tuple[float, float]


@dataclass(frozen=True)
class FlowFit:
    """A model fitted to a flow curve; it holds from `lowest_per_s` to `highest_per_s`.

    `inner` are the model's inner parameters, `covariance` is theirs; one that is held at zero,
    because the points ask for less than none of it, has no variance. `scatter` is the standard
    deviation of the relative residuals, `aicc` compares models of the same points.
    """

    model: FlowModel
    inner: Floats
    covariance: Floats
    held: int | None
    n: int
    scatter: float
    aicc: float
    lowest_per_s: float
    highest_per_s: float

    @property
    def freedom(self) -> int:
        """Degrees of freedom of the residuals."""
        return self.n - len(self.inner) + (self.held is not None)

    @property
    def yield_stress_pa(self) -> float:
        """The yield stress in Pa; 0 of a model without one."""
        place = self.model.yields
        return 0.0 if place is None else self.model.outer(place, float(self.inner[place]))

    def viscous_pa(self, rate_per_s: ArrayLike) -> Floats:
        """Return the stress above the yield stress in Pa, without loss of digits at low rates."""
        viscous = self.model.viscous or self.model.stress
        return viscous(self.inner, np.asarray(rate_per_s, dtype=float))

    @cached_property
    def parameters(self) -> Mapping[str, Parameter]:
        """The parameters by quantity.

        The interval of what is fitted as a logarithm is symmetric in the logarithm.
        """
        return {name: self._parameter(place) for place, (name, _) in enumerate(self.model.names)}

    def _parameter(self, place: int) -> Parameter:
        unit, inner = self.model.names[place][1], float(self.inner[place])
        if place == self.held:
            why = "none to be seen: the points would be fitted best by less than zero"
            return Parameter(unit, NotDeterminable(why), (math.nan, math.nan))
        error = math.sqrt(self.covariance[place, place])
        value, slope = self.model.outer(place, inner), self.model.slope(place, inner)
        found = Estimate(value, abs(slope) * error, self.freedom, self.n)
        interval = found.interval
        if self.model.scales[place] == "log":
            half = t_factor(self.freedom) * error
            interval = (value * math.exp(-half), value * math.exp(min(half, 700)))
        return Parameter(unit, found, interval)


def fit(model: str, rate_per_s: ArrayLike, stress_pa: ArrayLike) -> FlowFit:
    """Fit a model to a flow curve with relative weights.

    .. math:: \\min RSS = \\sum_i \\left(\\frac{\\tau(\\dot\\gamma_i) - \\tau_i}{\\tau_i}\\right)^2,
        \\quad C = s^2 (J^T J)^{-1}, \\quad s^2 = \\frac{RSS}{n - p}

    .. math:: AICc = n \\ln \\frac{RSS}{n} + 2k + \\frac{2k(k+1)}{n - k - 1}, \\quad k = p + 1

    A stress is taken to be off by the same share of itself at all rates, as the torque of an
    instrument that spans decades. A parameter that cannot be negative, but whose best value would
    be, is held at zero. Standard errors take the points as independent and the model as right: a
    structure that breaks down during the ramp is neither.

    Parameters
    ----------
    model
        `power law`, `Casson`, `Herschel-Bulkley` or `Cross`.
    rate_per_s, stress_pa
        Shape (n,), both above 0; at least three points more than the model has parameters.

    Raises
    ------
    NotDeterminable
        With too few points or rates, numbers that are not above 0, or where the points do not
        determine the parameters.

    References
    ----------
    Hurvich and Tsai, Biometrika 76 (1989) 297, for AICc (from memory). Models: `flow_models`.

    Examples
    --------
    >>> rates = np.array([0.1, 1.0, 10.0, 100.0, 1000.0])
    >>> found = fit("power law", rates, 2.0 * rates**0.5)
    >>> {name: round(one.found.value, 6) for name, one in found.parameters.items()}
    {'consistency': 2.0, 'flow_index': 0.5}
    """
    chosen = MODELS[model]
    rates, stresses = np.asarray(rate_per_s, dtype=float), np.asarray(stress_pa, dtype=float)
    check(chosen, rates, stresses)
    free = np.ones(len(chosen.names), dtype=bool)
    solved = _solve(chosen, rates, stresses, free)
    place = chosen.floored
    if place is not None and solved.parameters[place] <= 0:
        free[place] = False
        solved = _solve(chosen, rates, stresses, free)
    return found_of(chosen, rates, solved, free)


def found_of(model: FlowModel, rates: Floats, solved: Solved, free: NDArray[np.bool_]) -> FlowFit:
    """Return a fit from the best inner parameters, those that are not free held at zero.

    Raises
    ------
    NotDeterminable
        If they make no sense.
    """
    if not model.sensible(solved.parameters):
        raise NotDeterminable(f"the best {model.name} curve through these points makes no sense")
    n, k = len(rates), len(free) + 1
    variance = solved.squares / (n - int(free.sum()))
    return FlowFit(
        model=model,
        inner=solved.parameters,
        covariance=solved.inverse * variance,
        held=None if free.all() else model.floored,
        n=n,
        scatter=math.sqrt(variance),
        aicc=aicc_of(n, solved.squares, k),
        lowest_per_s=float(rates.min()),
        highest_per_s=float(rates.max()),
    )


def aicc_of(n: int, squares: float, k: int) -> float:
    """Return AICc of a fit to n points with k parameters, the variance among them; see `fit`."""
    least = max(squares, n * ROUNDING**2)
    return n * math.log(least / n) + 2 * k + 2 * k * (k + 1) / (n - k - 1)


def best(fits: Mapping[str, FlowFit | NotDeterminable]) -> FlowFit:
    """Return the simplest fit that does as well as the one with the lowest AICc.

    `MODELS` stand from the simplest on; differences in AICc up to 2 are hardly any (Burnham and
    Anderson, see `flow_rivals.rivals_of`). Of 200 Newtonian paints 42 had Casson's model by the
    lowest AICc alone, 2 have it so, and no yield stress of another paint was lost.

    Raises
    ------
    NotDeterminable
        If no model was fitted.
    """
    fitted = [one for one in fits.values() if isinstance(one, FlowFit)]
    if not fitted:
        raise NotDeterminable("; ".join(dict.fromkeys(str(one) for one in fits.values())))
    lowest = min(one.aicc for one in fitted)
    order = list(MODELS)
    as_well = [one for one in fitted if one.aicc <= lowest + HARDLY_ANY]
    return min(as_well, key=lambda one: order.index(one.model.name))


def check(model: FlowModel, rates: Floats, stresses: Floats) -> None:
    """Refuse what a model cannot be fitted to.

    Raises
    ------
    NotDeterminable
        As `fit` says.
    """
    if rates.shape != stresses.shape or rates.ndim != 1:
        raise NotDeterminable("rates and stresses are not two lists of one length")
    count = len(model.names)
    if len(rates) < count + 3:
        few = "1 point" if len(rates) == 1 else f"{len(rates)} points"
        raise NotDeterminable(f"{few}; a {model.name} curve needs at least {count + 3}")
    if not (np.isfinite(rates) & np.isfinite(stresses) & (rates > 0) & (stresses > 0)).all():
        raise NotDeterminable("a shear rate or a stress is not a number above 0")
    if (different := len({*rates.tolist()})) <= count:
        raise NotDeterminable(
            f"{different} different rates; a {model.name} curve needs at least {count + 1}"
        )


def _solve(model: FlowModel, rates: Floats, stresses: Floats, free: NDArray[np.bool_]) -> Solved:
    """Return the best inner parameters; those not free are held at zero."""

    def whole(found: Floats) -> Floats:
        full = np.zeros(len(free))
        full[free] = found
        return full

    def residuals(found: Floats) -> Floats:
        off: Floats = model.stress(whole(found), rates) / stresses - 1
        return off

    def jacobian(found: Floats) -> Floats:
        slope: Floats = model.gradient(whole(found), rates)[:, free] / stresses[:, None]
        return slope

    start = model.start(FlowCurves.of([(rates, stresses)]), not bool(free.all()))[0]
    solved = solve(residuals, jacobian, start[free])
    inverse = np.zeros((len(free), len(free)))
    inverse[np.ix_(free, free)] = solved.inverse
    return Solved(whole(solved.parameters), solved.squares, inverse)


def scatter_along(fit: FlowFit, rates: Floats, stresses: Floats) -> Floats:
    r"""Return by what share of itself each stress scatters, shape (n,); NaN where nothing does.

    .. math:: s_i^2 = \sum_k p_k s_k^2 u_{ki}^{-2}, \quad s_k^2 = \frac{Q_k}{n - p}, \quad
        Q_k = \sum_j r_j^2 u_{kj}^2, \quad p_k \propto Q_k^{-(n - p)/2}

    with the relative residuals r of the fit, and u a power of the stress or of the rate over the
    geometric mean of all. An error that is the same share of every stress has the power 0, one of
    the same size in Pa is the power 1 of the stress, one that is worst at high rates has a power
    below 0; each counts by its likelihood. Pooled as one share, the scatter at the end of a curve
    is told too small (`tests/outside/test_viscosity_coverage.py` has figures).
    """
    if not fit.scatter > ROUNDING:
        return np.full(len(rates), math.nan)
    squares = (fit.model.stress(fit.inner, rates) / stresses - 1) ** 2
    logs = np.log(np.stack([stresses, rates]))
    logs -= logs.mean(axis=1, keepdims=True)
    growth = np.exp(2 * (EXPONENTS[:, :, None] * logs[:, None, :]).reshape(-1, len(rates)))
    sums = growth @ squares
    likely = np.exp(-fit.freedom / 2 * np.log(sums / sums.min()))
    variance = (likely / likely.sum() * sums / fit.freedom) @ (1 / growth)
    return np.asarray(np.sqrt(variance))


def uneven_scatter(fit: FlowFit, rates: Floats, stresses: Floats) -> str:
    r"""Tell where the points do not lie off the curve by the same share at low and high stresses.

    Then the weights of `fit` are not theirs, and its intervals are too narrow: with an error of the
    same size at all rates, over four decades of them, those of a power law held the truth in 63 to
    77 % and those of a yield stress in 78 to 81 % (tests). The mean squares of the relative
    residuals of the third of the points at the lowest stresses and of that at the highest, each
    with its share of the degrees of freedom, against F.

    References
    ----------
    S. M. Goldfeld and R. E. Quandt, J. Am. Stat. Assoc. 60 (1965) 539 (from memory).
    """
    third = len(rates) // 3
    freedom = third * fit.freedom / len(rates)
    if freedom < LEAST_FREEDOM or not fit.scatter > ROUNDING:
        return ""
    off = fit.model.stress(fit.inner, rates) / stresses - 1
    squares = off[np.argsort(stresses, kind="stable")] ** 2
    low, high = (float(one.sum()) / freedom for one in (squares[:third], squares[-third:]))
    greater, less = max(low, high), min(low, high)
    if less > 0 and 2 * fdtrc(freedom, freedom, greater / less) > UNEVEN:
        return ""
    below, above = (f"{100 * math.sqrt(one):.2g}" for one in (low, high))
    return (
        f"points scatter by {below} % at low stresses and {above} % at high ones: intervals of the"
        " fit are too narrow"
    )
