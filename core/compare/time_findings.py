"""Candidates against the control by times known as intervals: the ratio of their medians."""

from __future__ import annotations

import math
from collections.abc import Mapping

from tiecoat.compare.findings import Condition, Family, Finding, Findings, Reckoning
from tiecoat.compare.properties import Property
from tiecoat.compare.ranks import splits_words
from tiecoat.compare.reach import LeastP
from tiecoat.compare.samples import Sample
from tiecoat.compare.time_ranks import with_order
from tiecoat.compare.times import TimeRatio, Times, time_ratios
from tiecoat.evaluate.estimate import NotDeterminable

FEW_SCATTER_MORE = (
    "the fewer panels scatter more, as far as they tell: nothing is concluded as if all panels"
    " scattered alike"
)


def by_times(
    wanted: Property, control: Sample, usable: Mapping[str, Sample], family: Family
) -> Findings:
    """Medians of log-normal times from intervals, by profile, and the order of the panels, exactly.

    What is firm rests on the own spread of each batch, and where there are as many panels on both
    sides on their order too; on one spread for both rests what is conditional. How many panels a
    margin asks for is not told: that depends on when the panels are looked at.
    """
    limits = wanted.limits(math.nan)
    method = "ratio of medians of log-normal times from intervals, panels as unit; by profile, "
    over = f", Sidak over {family.comparisons}"
    listed: Findings = {}
    for batch, sample in usable.items():
        pair = (_times(control), _times(sample))
        try:
            own, alike = time_ratios(*pair, family.comparisons)
        except NotDeterminable as why:
            listed[batch] = why
            continue
        firm, conditional = (
            None if one is None else _reckoned(one, method + of + over)
            for one, of in ((own, "each batch with its own spread"), (alike, "one spread for both"))
        )
        least = None
        if sample.n == control.n:
            both = with_order(*pair, own, family.comparisons)
            splits = splits_words(control.n, sample.n)
            of = f"each batch with its own spread, and by order (Mantel, Gehan) from {splits}"
            firm = _reckoned(both, method + of + over)
            least = LeastP.by_ranks(control.n, sample.n, family.comparisons, is_bound=False)
        cautions = () if alike else (FEW_SCATTER_MORE,)
        listed[batch] = Finding(
            control, sample, firm, conditional, Condition.ALIKE, limits, None, cautions, least
        )
    return listed


def _reckoned(one: TimeRatio, method: str) -> Reckoning:
    return Reckoning(one.ln_ratio, one.low, one.high, one.p, one.p_alone, method)


def _times(sample: Sample) -> Times:
    assert sample.ends is not None
    return Times(*sample.ends)
