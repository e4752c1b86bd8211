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
    RateRatio,
    dispersed_ratio,
    dispersion_p,
    exact_ratio,
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
            _counted_once(control, sample),
        )
    return listed


def _of_rates(one: RateRatio, method: str) -> Reckoning:
    words = f"ratio of rates, panels as unit; {method}"
    return Reckoning(one.ln_ratio, one.low, one.high, one.p, one.p_alone, words)


def _counted_once(*samples: Sample) -> tuple[str, ...]:
    once = [one.batch for one in samples if one.n == 1]
    if not once:
        return ()
    told = "how another one would differ is not in the interval"
    return (f"one panel of {' and of '.join(once)}: {told}",)


def _counts(sample: Sample) -> Counts:
    assert sample.areas is not None
    return Counts(sample.values, sample.areas)
