"""Candidates against the control by counts on an area: the ratio of their rates."""

from __future__ import annotations

import math
from collections.abc import Mapping

from tiecoat.compare.findings import Condition, Family, Finding, Findings, Reckoning
from tiecoat.compare.power import panels_by_normal
from tiecoat.compare.properties import Property
from tiecoat.compare.rates import (
    DISPERSED_BELOW,
    Counts,
    RateContrast,
    difference_by_own_scatter,
    dispersed_ratio,
    dispersion_p,
    exact_difference,
    exact_ratio,
    index_of_dispersion,
    ratio_by_own_scatter,
)
from tiecoat.compare.samples import Sample
from tiecoat.evaluate.estimate import NotDeterminable


def by_counts(
    wanted: Property, control: Sample, usable: Mapping[str, Sample], family: Family
) -> Findings:
    """Rates by the own scatter of each batch; exact Poisson ratios, or by profile where panels
    differ more than Poisson counts do.
    """
    if not wanted.by_ratio:
        return _by_differences(wanted, control, usable)
    limits = wanted.limits(math.nan)
    counts = {one.batch: _counts(one) for one in (control, *usable.values())}
    p = dispersion_p(list(counts.values()))
    dispersed = p < DISPERSED_BELOW
    if dispersed:
        method = f"negative binomial, interval by profile; panels differ (dispersion p {p:.2g})"
    elif math.isnan(p):
        method = "Poisson, exact interval; one panel a batch: nothing tells how panels differ"
    else:
        method = f"Poisson, exact interval; panels agree (dispersion p {p:.2g})"
    listed: Findings = {}
    why = _why_dispersed(counts, p)
    over = f", Sidak over {family.comparisons}"
    for batch, sample in usable.items():
        pair = (counts[control.batch], counts[batch], family.comparisons)
        try:
            one = dispersed_ratio(*pair) if dispersed else exact_ratio(*pair)
        except NotDeterminable as why:
            listed[batch] = why
            continue
        firm = None
        try:
            own = ratio_by_own_scatter(*pair)
            firm = _of_rates(own, f"Welch of the logarithms of the rates{over}")
        except NotDeterminable:
            pass
        needed = None
        if limits is not None:
            needed = panels_by_normal(limits.nearest, one.variance_of_a_panel, family.comparisons)
        listed[batch] = Finding(
            control,
            sample,
            firm,
            _of_rates(one, method + over),
            Condition.ALIKE if dispersed else Condition.BY_CHANCE,
            limits,
            needed,
            (*why, *_counted_once(control, sample)),
        )
    return listed


def _by_differences(wanted: Property, control: Sample, usable: Mapping[str, Sample]) -> Findings:
    """Differences of rates, for a margin in their unit: by own scatter, and exact where panels
    differ by chance alone.
    """
    limits = wanted.limits(math.nan)
    counts = {one.batch: _counts(one) for one in (control, *usable.values())}
    p = dispersion_p(list(counts.values()))
    told = "one panel a batch: nothing tells how panels differ"
    if not math.isnan(p):
        told = f"panels agree (dispersion p {p:.2g})"
    listed: Findings = {}
    why = _why_dispersed(counts, p)
    over = f", Sidak over {len(usable)}"
    for batch, sample in usable.items():
        pair = (counts[control.batch], counts[batch], len(usable))
        firm, by_chance = None, exact_difference(*pair)
        of_a_panel = by_chance.variance_of_a_panel
        try:
            own = difference_by_own_scatter(*pair)
            firm = _of_difference(own, f"Welch of the rates{over}")
            of_a_panel = max(of_a_panel, own.variance_of_a_panel)
        except NotDeterminable:
            pass
        dispersed = p < DISPERSED_BELOW
        if dispersed and firm is None:
            listed[batch] = NotDeterminable(
                f"panels differ by more than chance (dispersion p {p:.2g}), and one batch has a"
                " single panel or no count: state margin_percent, not margin"
            )
            continue
        method = f"Poisson, exact interval; {told}{over}"
        listed[batch] = Finding(
            control,
            sample,
            firm,
            None if dispersed else _of_difference(by_chance, method),
            Condition.BY_CHANCE,
            limits,
            None if limits is None else panels_by_normal(limits.nearest, of_a_panel, len(usable)),
            (*why, *_counted_once(control, sample)),
        )
    return listed


def _why_dispersed(counts: Mapping[str, Counts], p: float) -> tuple[str, ...]:
    """Return the caution that panels differ by more than chance, and which batch shows it most.

    It is judged over all batches of the study, so that one of them may change what the panels of
    the others allow to conclude.
    """
    if not p < DISPERSED_BELOW:
        return ()
    most = max(counts, key=lambda batch: index_of_dispersion([counts[batch]])[0])
    numbers = ", ".join(f"{one:g}" for one in counts[most].counts)
    told = (
        f"panels differ by more than chance over all batches (dispersion p {p:.2g}), most those of"
        f" {most} with {numbers}: that chance alone is at work is not assumed of any"
    )
    return (told,)


def _of_difference(one: RateContrast, method: str) -> Reckoning:
    return _reckoned(one, f"difference of rates, panels as unit; {method}")


def _of_rates(one: RateContrast, method: str) -> Reckoning:
    return _reckoned(one, f"ratio of rates, panels as unit; {method}")


def _reckoned(one: RateContrast, words: str) -> Reckoning:
    return Reckoning(one.effect, one.low, one.high, one.p, one.p_alone, words)


def _counted_once(control: Sample, candidate: Sample) -> tuple[str, ...]:
    """Return the caution that a batch has one panel, in the same words for all candidates."""
    told = "one panel only: how another one would differ is not in the interval"
    mine = (told,) if candidate.n == 1 else ()
    return (*mine, f"control: {told}") if control.n == 1 else mine


def _counts(sample: Sample) -> Counts:
    assert sample.areas is not None
    return Counts(sample.values, sample.areas)
