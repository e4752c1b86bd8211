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
from scipy.optimize import minimize_scalar

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.statistics.least_squares_one import Floats
from tiecoat.evaluate.wet_paint.flow_fits import FlowFit, aicc_of
from tiecoat.evaluate.wet_paint.flow_models import relative_fits
from tiecoat.wording import listed

AS_WELL = 7.0  # AICc up to which a model cannot be left aside (Burnham and Anderson, from memory)
LEAST_INDEX = 0.05  # below, half of the stress is left a million times slower: as good as a yield
SISKO = "Sisko"
SISKO_INDICES = np.linspace(LEAST_INDEX, 0.95, 19)


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
    fitted = [one for one in fits.values() if isinstance(one, FlowFit)]
    without = {one.model.name: one.aicc for one in fitted if one.model.yields is None}
    n = len(rates)
    if n > 5:  # AICc with its four parameters
        without[SISKO] = aicc_of(n, sisko_squares(rates, stresses), 4)
    best = min([*without.values(), *(one.aicc for one in fitted)])
    yielding = [one for one in fitted if one.model.yields is not None]
    best_yielding = min((one.aicc for one in yielding), default=np.inf)
    return Rivals(
        tuple(one for one in yielding if one.aicc < best + AS_WELL),
        tuple(name for name, aicc in without.items() if aicc < best_yielding + AS_WELL),
        float(rates.min()),
    )


def sisko_squares(rates: Floats, stresses: Floats) -> float:
    """Return the least sum of squared relative residuals of Sisko's law.

    .. math:: \\tau = K \\dot\\gamma^n + \\eta_\\infty \\dot\\gamma, \\quad
        K, \\eta_\\infty \\ge 0, \\quad 0.05 \\le n < 1

    It is Cross' law far from its plateau at rest. It has no yield stress.

    References
    ----------
    Sisko, Ind. Eng. Chem. 50 (1958) 1789 (from memory).

    Examples
    --------
    >>> rates = np.geomspace(0.1, 100, 9)
    >>> sisko_squares(rates, 3 * rates**0.4 + 0.2 * rates) < 1e-9
    True
    """

    def squares(index: float) -> float:
        powers = rates**index
        columns = np.stack([powers, rates], axis=1)[None]
        (both,), (least,) = relative_fits(columns, stresses)
        if both.min() >= 0:
            return float(least)
        alone = [relative_fits(one[None, :, None], stresses)[1][0] for one in (powers, rates)]
        return float(min(alone))

    start = int(np.argmin([squares(float(index)) for index in SISKO_INDICES]))
    low, high = SISKO_INDICES[max(start - 1, 0)], SISKO_INDICES[min(start + 1, 18)]
    ends = [squares(float(low)), squares(float(high))]
    found = minimize_scalar(squares, bounds=(low, high), method="bounded", options={"xatol": 1e-9})
    return float(min(found.fun, *ends))
