"""Candidates against the control on a scale where differences count: panels, or what is reported.

Twice: with the own scatter of each batch (Welch), and with one scatter for all (Dunnett). Two
batches that do not scatter at all, such as shares of 0 % on every panel, are compared by ranks.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from tiecoat.compare.all_pairs import critical_of_pairs, p_of_pairs
from tiecoat.compare.findings import Family
from tiecoat.compare.many_to_one import (
    adjusted_p,
    critical_value,
    independent_p,
    single_confidence,
)
from tiecoat.compare.own_scatter import freedom_of_two, limit_of, two_sided_p
from tiecoat.compare.ranks import least_p
from tiecoat.compare.verdict import ALPHA
from tiecoat.evaluate.estimate import CERTAIN, Estimate, NotDeterminable, mean_of, pooled
from tiecoat.evaluate.statistics.censored_normal import Floats

FEW_EQUAL = "few equal values meet more that scatter: nothing tells the spread of the few"
ROUNDING = 1e-12  # of a number: a spread below it is that of binary numbers


@dataclass(frozen=True)
class Contrast:
    """Candidate minus control.

    The interval holds for all candidates together (95 %), and p is adjusted for their number;
    `p_alone` is that of this one comparison. `critical` is by how many standard errors the
    interval reaches to each side; NaN where the exact test of ranks tells the side alone.
    """

    effect: float
    standard_error: float
    freedom: float
    critical: float
    p: float
    p_alone: float

    @property
    def interval(self) -> tuple[float, float]:
        """The simultaneous 95 % interval."""
        half = self.critical * self.standard_error
        return self.effect - half, self.effect + half

    @property
    def is_by_ranks(self) -> bool:
        """Whether neither side scatters, so that all that counts is which one lies higher."""
        return self.standard_error == 0


@dataclass(frozen=True)
class Contrasts:
    """The contrast of each candidate, in their order, and how it was found.

    `own` are those that let each batch have its own scatter; `own_method` is told of those that are
    not by ranks. `alike` are those with one scatter for all batches, which hold only if that is
    so; none where it is not meant, and None where nothing follows from it. `deviations` is the
    standard deviation of one panel in each of them, which the number of panels is planned from;
    NaN where only a reported uncertainty is known.
    """

    own: tuple[Contrast | NotDeterminable, ...]
    own_method: str
    deviations: tuple[float, ...]
    alike: tuple[Contrast | None, ...] = ()
    alike_method: str = ""


def against_control(
    control: Floats, candidates: Sequence[Floats], family: Family | None = None
) -> Contrasts:
    r"""Return the mean of each candidate minus that of the control.

    Each batch with its own variance is Welch's comparison, see `by_estimates`. With one for all

    .. math:: d_i = \bar y_i - \bar y_0, \qquad u^2(d_i) = s^2 (1/n_i + 1/n_0)

    with the variance s^2 pooled over all batches, adjusted for many candidates against one control
    (Dunnett, J. Am. Stat. Assoc. 50 (1955) 1096), or for all pairs of batches (`all_pairs.py`).
    Both are valid for means of panels that scatter about normally, on this scale. No test of equal
    spreads chooses between them: with three panels such a test sees nothing.

    Where no batch scatters within itself, the second way is that of a shift, see `_shifted`.

    Parameters
    ----------
    control, candidates
        A value a panel, shapes (n,); at least two each.
    family
        What is compared beside them; None where it is these candidates with this control alone.

    Examples
    --------
    >>> found = against_control(np.array([55.0, 47, 48]), [np.array([55.0, 64, 64])])
    >>> found.alike[0].effect == found.own[0].effect == 11.0
    True
    """
    groups, family = [control, *candidates], family or Family(len(candidates))
    deviation, freedom = pooled(groups)
    largest = max(float(np.abs(one).max()) for one in groups)
    if not deviation > ROUNDING * largest:
        return _without_scatter(groups, family)
    # a batch of equal values has no spread of its own; that of the other remains
    estimates = [mean_of(one, 0.0) for one in candidates]
    own = by_estimates(mean_of(control, 0.0), estimates, family)
    own = tuple(
        NotDeterminable(FEW_EQUAL) if _is_few_equal(control, one) else known
        for one, known in zip(candidates, own, strict=True)
    )
    sizes = tuple(len(one) for one in candidates)
    if family.batches:
        critical = critical_of_pairs(family.batches, freedom)
    else:
        critical = critical_value(sizes, len(control), freedom)
    alike = []
    for one in candidates:
        effect = float(one.mean() - control.mean())
        error = deviation * math.sqrt(1 / len(one) + 1 / len(control))
        if family.batches:
            p = p_of_pairs(effect / error, family.batches, freedom)
        else:
            p = adjusted_p(effect / error, sizes, len(control), freedom)
        alone = two_sided_p(effect / error, freedom)
        alike.append(Contrast(effect, error, freedom, critical, p, alone))
    return Contrasts(
        own,
        f"Welch, Sidak over {family.comparisons}",
        tuple(_typical(control, one) for one in candidates),
        tuple(alike),
        f"{_pooled_words(family)}, {freedom} degrees of freedom",
    )


def _pooled_words(family: Family) -> str:
    if family.batches:
        return f"Tukey and Kramer over {family.batches} batches"
    return f"Dunnett over {family.comparisons}"


def _is_few_equal(first: Floats, second: Floats) -> bool:
    """Whether few equal values meet more that scatter: then chance may have made them equal.

    Of shares that are 0 or 100 % on each panel, alike in both batches, four against twelve gave a
    false difference in 9 to 12 % of 2,000 studies, taken as without spread; with as many panels
    on both sides it was at most 6 %.
    """
    fewer, more = sorted((first, second), key=len)
    if len(fewer) == len(more):
        return False
    is_equal = [np.ptp(one) <= ROUNDING * np.abs(one).max() for one in (fewer, more)]
    return bool(is_equal[0] and not is_equal[1])


def _without_scatter(groups: Sequence[Floats], family: Family) -> Contrasts:
    """Return the contrasts of batches of which none scatters; the first is the control."""
    control, *candidates = (Estimate(float(one.mean()), 0.0, n=len(one)) for one in groups)
    own = by_estimates(control, candidates, family)
    return Contrasts(
        own,
        "",
        (0.0,) * len(candidates),
        tuple(_shifted(control, one, family.comparisons) for one in candidates),
        f"exact permutation of shifted values, Sidak over {family.comparisons}",
    )


def _shifted(control: Estimate, candidate: Estimate, comparisons: int) -> Contrast | None:
    """Return what holds if the candidate is the control but for a shift: then it is just this one.

    With any other shift the values less the shift would lie apart as far as they can, which equal
    paints give with the chance `least_p`. None where that is above the level: then no shift can be
    excluded.
    """
    found = own_contrast(control, candidate, comparisons)
    reached = independent_p(least_p(control.n, candidate.n), comparisons)
    if isinstance(found, NotDeterminable) or reached > ALPHA:
        return None
    return replace(found, critical=0.0)


def _typical(control: Floats, candidate: Floats) -> float:
    """Return the root mean square of two standard deviations."""
    return math.sqrt((control.var(ddof=1) + candidate.var(ddof=1)) / 2)


def by_estimates(
    control: Estimate, candidates: Sequence[Estimate], family: Family | None = None
) -> tuple[Contrast | NotDeterminable, ...]:
    r"""Return contrasts of numbers that are known with their uncertainty.

    .. math:: u^2(d) = u^2(\hat y_i) + u^2(\hat y_0)

    referred to Student's t with the degrees of `freedom_of_two`, adjusted by Sidak. Of panel means
    it is Welch's test, with fewer degrees where few panels meet many. Where the uncertainty of one
    is not known, the reason is returned in the place of the contrast; where that of both is zero,
    the contrast is one by ranks.
    """
    comparisons = len(candidates) if family is None else family.comparisons
    return tuple(own_contrast(control, one, comparisons) for one in candidates)


def own_contrast(
    control: Estimate, candidate: Estimate, comparisons: int
) -> Contrast | NotDeterminable:
    """Return one of so many contrasts, as `by_estimates` finds it."""
    error = math.hypot(control.standard_error, candidate.standard_error)
    if error == 0 and min(control.n, candidate.n) > 1:
        return _by_ranks(control, candidate, comparisons)
    if not error > 0:  # NaN too
        return NotDeterminable("nothing tells of the spread of candidate and control")
    freedom = freedom_of_two(
        (control.standard_error, control.freedom), (candidate.standard_error, candidate.freedom)
    )
    effect = candidate.value - control.value
    alone = two_sided_p(effect / error, freedom)
    critical = limit_of(single_confidence(comparisons), freedom)
    return Contrast(effect, error, freedom, critical, independent_p(alone, comparisons), alone)


def _by_ranks(control: Estimate, candidate: Estimate, comparisons: int) -> Contrast:
    """Return the contrast of values that are equal within each batch: which batch lies higher.

    p is that of the exact permutation test, and of Wilcoxon, Mann and Whitney: of all splits of
    the panels, only the one found and its mirror image keep them so far apart.
    """
    effect = candidate.value - control.value
    if abs(effect) <= ROUNDING * max(abs(candidate.value), abs(control.value)):
        return Contrast(0.0, 0.0, CERTAIN, math.nan, 1.0, 1.0)
    alone = least_p(control.n, candidate.n)
    return Contrast(effect, 0.0, CERTAIN, math.nan, independent_p(alone, comparisons), alone)
