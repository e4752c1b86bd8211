"""Candidates against the control on a scale where differences count: panels, or what is reported.

Dunnett's test where the panels of all batches scatter alike, else Welch's for each candidate.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtr, stdtrit

from tiecoat.compare.many_to_one import (
    adjusted_p,
    critical_value,
    independent_p,
    single_confidence,
)
from tiecoat.evaluate.estimate import Estimate, NotDeterminable, effective_freedom, mean_of, pooled
from tiecoat.evaluate.statistics.censored_normal import Floats

# p of Brown and Forsythe. Not 5 %: with six panels and one batch that scatters three times as much,
# 20 % leaves 7 % of false differences instead of 8 to 10, and costs nothing where spreads are equal
# (20,000 simulated comparisons of four candidates).
UNEQUAL_BELOW = 0.2
FEW_PANELS = 6  # of a batch, below which unequal spreads are often missed; measured likewise
ROUNDING = 1e-12  # of a number: a spread below it is that of binary numbers


@dataclass(frozen=True)
class Contrast:
    """Candidate minus control.

    The interval holds for all candidates together (95 %), and p is adjusted for their number.
    `critical` is by how many standard errors the interval reaches to each side.
    """

    effect: float
    standard_error: float
    freedom: float
    critical: float
    p: float

    @property
    def interval(self) -> tuple[float, float]:
        """The simultaneous 95 % interval."""
        half = self.critical * self.standard_error
        return self.effect - half, self.effect + half


@dataclass(frozen=True)
class Contrasts:
    """The contrast of each candidate, in their order, how it was found and what weakens it.

    `deviation` is the standard deviation of one panel in each of them, which the number of panels
    is planned from; NaN where only a reported uncertainty is known. `unpooled` are the contrasts
    without one variance for all, given where the panels are too few to check that.
    """

    found: tuple[Contrast | NotDeterminable, ...]
    method: str
    deviations: tuple[float, ...]
    cautions: tuple[str, ...] = ()
    unpooled: tuple[Contrast | NotDeterminable, ...] = ()


def against_control(control: Floats, candidates: Sequence[Floats]) -> Contrasts:
    r"""Return the mean of each candidate minus that of the control.

    .. math:: d_i = \bar y_i - \bar y_0, \qquad u^2(d_i) = s^2 (1/n_i + 1/n_0)

    with the variance s^2 pooled over all batches (Dunnett, J. Am. Stat. Assoc. 50 (1955) 1096).
    Where Brown and Forsythe's test finds the spreads unequal (J. Am. Stat. Assoc. 69 (1974) 364;
    both from memory), each batch keeps its own variance: Welch's test, adjusted by Sidak. Valid for
    means of panels that scatter about normally, on this scale.

    Parameters
    ----------
    control, candidates
        A value a panel, shapes (n,); at least two each.

    Raises
    ------
    NotDeterminable
        If all values of every batch are equal: nothing tells of their spread.

    Examples
    --------
    >>> found = against_control(np.array([55.0, 47, 48]), [np.array([55.0, 64, 64])])
    >>> found.found[0].effect
    11.0
    """
    groups = [control, *candidates]
    deviation, freedom = pooled(groups)
    largest = max(float(np.abs(one).max()) for one in groups)
    if not deviation > ROUNDING * largest:
        raise NotDeterminable("the values of every batch are all equal: nothing tells their spread")
    unequal_p = unequal_spreads(groups)
    few = min(map(len, groups))
    # a batch of equal values has no spread of its own; that of the control remains
    found = by_estimates(mean_of(control, 0.0), [mean_of(one, 0.0) for one in candidates])
    if unequal_p < UNEQUAL_BELOW:
        method = f"Welch, Sidak over {len(candidates)}; spreads differ (Brown-Forsythe"
        deviations = tuple(_typical(control, one) for one in candidates)
        return Contrasts(found, f"{method} p {unequal_p:.2g})", deviations)
    sizes = tuple(len(one) for one in candidates)
    critical = critical_value(sizes, len(control), freedom)
    listed = []
    for one in candidates:
        effect = float(one.mean() - control.mean())
        error = deviation * math.sqrt(1 / len(one) + 1 / len(control))
        p = adjusted_p(effect / error, sizes, len(control), freedom)
        listed.append(Contrast(effect, error, freedom, critical, p))
    method = f"Dunnett over {len(candidates)}, {freedom} degrees of freedom"
    checked = f"no unequal spreads found (Brown-Forsythe p {unequal_p:.2g})"
    if math.isnan(unequal_p):
        checked = "equal spreads assumed: too few values to check"
    cautions: tuple[str, ...] = ()
    if few < FEW_PANELS:
        cautions = (f"with {few} values of a batch, unequal spreads are often missed",)
    return Contrasts(
        tuple(listed),
        f"{method}; {checked}",
        (deviation,) * len(listed),
        cautions,
        found if cautions else (),
    )


def _typical(control: Floats, candidate: Floats) -> float:
    """Return the root mean square of two standard deviations."""
    return math.sqrt((control.var(ddof=1) + candidate.var(ddof=1)) / 2)


def unequal_spreads(groups: Sequence[Floats]) -> float:
    """Return the p of Brown and Forsythe's test: Levene's, about the medians.

    It is NaN where the distances from the medians do not differ within any group, as with two
    values in each: then there is nothing to test by.
    """
    from scipy.stats import levene

    distances = [np.abs(one - np.median(one)) for one in groups]
    within, _ = pooled(distances)
    if not within > ROUNDING * max(float(one.max()) for one in distances):
        return math.nan
    return float(levene(*groups, center="median").pvalue)


def by_estimates(
    control: Estimate, candidates: Sequence[Estimate]
) -> tuple[Contrast | NotDeterminable, ...]:
    r"""Return contrasts of numbers that are known with their uncertainty.

    .. math:: u^2(d) = u^2(\hat y_i) + u^2(\hat y_0), \qquad
        \nu = \frac{(u_i^2 + u_0^2)^2}{u_i^4/\nu_i + u_0^4/\nu_0}

    Welch, Biometrika 34 (1947) 28, adjusted by Sidak (from memory); of panel means it is Welch's
    test. Where the uncertainty of one is not known, or that of both is zero, the reason is
    returned in the place of the contrast.
    """
    return tuple(_by_estimates(control, one, len(candidates)) for one in candidates)


def _by_estimates(
    control: Estimate, candidate: Estimate, comparisons: int
) -> Contrast | NotDeterminable:
    error = math.hypot(control.standard_error, candidate.standard_error)
    if not error > 0:  # NaN too
        return NotDeterminable("nothing tells of the spread of candidate and control")
    freedom = effective_freedom([(one.standard_error, one.freedom) for one in (control, candidate)])
    effect = candidate.value - control.value
    steps = min(freedom, 1e9)  # as good as infinite, and a number for the t distribution
    alone = float(2 * stdtr(steps, -abs(effect / error)))
    critical = float(stdtrit(steps, 0.5 + single_confidence(comparisons) / 2))
    return Contrast(effect, error, freedom, critical, independent_p(alone, comparisons))
