"""Whether the points of a flow curve tell a yield stress from none: models that do as well.

A paint between the plateaus of its viscosity, whose plateau at rest lies below the measured rates,
looks much like one with a yield stress. So a yield stress is told only where every law without one
describes the points clearly worse: power law, Cross, and, for a Cross curve whose plateau at rest
is out of sight, Sisko's law. Of 2,000 simulated paints after Cross 0.6 % were given one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.statistics.least_squares_one import Floats
from tiecoat.evaluate.wet_paint.flow_fits import FlowFit, aicc_of
from tiecoat.evaluate.wet_paint.flow_models import FlowCurves, relative_fits
from tiecoat.wording import listed

AS_WELL = 7.0  # AICc up to which a model cannot be left aside (Burnham and Anderson, from memory)
LEAST_INDEX = 0.05  # below, half of the stress is left a million times slower: as good as a yield
SISKO = "Sisko"
SISKO_INDICES = np.linspace(LEAST_INDEX, 0.95, 19)
GOLDEN = (np.sqrt(5) - 1) / 2
NARROWINGS = 40  # by the golden section: to 1e-9 of an index


@dataclass(frozen=True)
class Rivals:
    """What describes the points as well as the best model.

    `with_yield` are the fits that have a yield stress; `without` the names of the laws that have
    none and that the best of those does not rule out.
    """

    with_yield: tuple[FlowFit, ...]
    without: tuple[str, ...]
    lowest_per_s: float

    @property
    def tell_a_yield_stress(self) -> bool:
        """Whether the points have one, as no law without one describes them as well."""
        return bool(self.with_yield) and not self.without

    @property
    def leave_it_open(self) -> bool:
        """Whether they may have one or not."""
        return bool(self.with_yield and self.without)

    @property
    def named(self) -> str:
        """The models with a yield stress, in words."""
        return listed([fit.model.name for fit in self.with_yield], " and ")


def rivals_of(
    fits: Mapping[str, FlowFit | NotDeterminable], rates: Floats, stresses: Floats
) -> Rivals:
    """Return which models describe the points as well as the best one does.

    Parameters
    ----------
    fits
        Of these points, by model; at least one is fitted.
    rates, stresses
        Shape (n,), in 1/s and Pa, all above 0.

    References
    ----------
    Burnham and Anderson, Model Selection and Multimodel Inference, 2nd ed. (2002), section 2.6:
    differences in AICc up to 2 are hardly any, from 4 to 7 considerable, above 10 decisive (from
    memory).
    """
    of_sisko = sisko_squares(FlowCurves.of([(rates, stresses)]))[0]
    return rivals_among(fits, rates, float(of_sisko))


def rivals_among(
    fits: Mapping[str, FlowFit | NotDeterminable], rates: Floats, of_sisko: float
) -> Rivals:
    """Return `rivals_of` points whose `sisko_squares` are known."""
    fitted = [one for one in fits.values() if isinstance(one, FlowFit)]
    without = {one.model.name: one.aicc for one in fitted if one.model.yields is None}
    n = len(rates)
    if n > 5:  # AICc with its four parameters
        without[SISKO] = aicc_of(n, of_sisko, 4)
    best = min([*without.values(), *(one.aicc for one in fitted)])
    yielding = [one for one in fitted if one.model.yields is not None]
    best_yielding = min((one.aicc for one in yielding), default=np.inf)
    return Rivals(
        tuple(one for one in yielding if one.aicc < best + AS_WELL),
        tuple(name for name, aicc in without.items() if aicc < best_yielding + AS_WELL),
        float(rates.min()),
    )


def sisko_squares(curves: FlowCurves) -> Floats:
    """Return the least sum of squared relative residuals of Sisko's law for each of many curves.

    .. math:: \\tau = K \\dot\\gamma^n + \\eta_\\infty \\dot\\gamma, \\quad
        K, \\eta_\\infty \\ge 0, \\quad 0.05 \\le n < 1

    It is Cross' law far from its plateau at rest. It has no yield stress.

    References
    ----------
    Sisko, Ind. Eng. Chem. 50 (1958) 1789 (from memory).

    Examples
    --------
    >>> rates = np.geomspace(0.1, 100, 9)
    >>> bool(sisko_squares(FlowCurves.of([(rates, 3 * rates**0.4 + 0.2 * rates)]))[0] < 1e-9)
    True
    """
    tried = np.array([_squares(curves, np.full(len(curves.rates), n)) for n in SISKO_INDICES])
    start, who = tried.argmin(axis=0), np.arange(len(curves.rates))
    before, after = np.maximum(start - 1, 0), np.minimum(start + 1, len(SISKO_INDICES) - 1)
    low, high = SISKO_INDICES[before], SISKO_INDICES[after]
    least = np.minimum(tried[before, who], tried[after, who])
    inner = [high - GOLDEN * (high - low), low + GOLDEN * (high - low)]
    found = [_squares(curves, one) for one in inner]
    for _ in range(NARROWINGS):
        left = found[0] < found[1]
        low, high = np.where(left, low, inner[0]), np.where(left, inner[1], high)
        new = np.where(left, high - GOLDEN * (high - low), low + GOLDEN * (high - low))
        of_new = _squares(curves, new)
        inner = [np.where(left, new, inner[1]), np.where(left, inner[0], new)]
        found = [np.where(left, of_new, found[1]), np.where(left, found[0], of_new)]
    best: Floats = np.minimum(least, np.minimum(*found))
    return best


def _squares(curves: FlowCurves, index: Floats) -> Floats:
    """Return the sums of squares of Sisko's law with a given index for each curve."""
    weight = curves.there / curves.stresses
    power = np.exp(index[:, None] * np.log(curves.rates)) * weight
    plain = curves.rates * weight

    both, _ = relative_fits(power, plain)
    found = _off(both, power, plain, curves)
    below = np.flatnonzero(both.min(axis=1) < 0)  # there one term alone is best
    if len(below):
        these, power, plain = curves.at(below), power[below], plain[below]
        alone, other = relative_fits(power)[0], relative_fits(plain)[0][:, ::-1]
        found[below] = np.minimum(*(_off(one, power, plain, these) for one in (alone, other)))
    return found


def _off(weights: Floats, power: Floats, plain: Floats, curves: FlowCurves) -> Floats:
    """Return the sums of squares of two terms with given weights, shape (c, 2)."""
    made = weights[:, :1] * power + weights[:, 1:] * plain
    squares: Floats = ((made - curves.there) ** 2).sum(axis=1)
    return squares
