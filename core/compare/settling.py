"""From what was found to verdicts: p over all properties, on what each stands, which words."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import pandas as pd

from tiecoat.compare.circumstances import NotComparable
from tiecoat.compare.find import find
from tiecoat.compare.findings import NEUTRAL, Family, Finding, Findings, Reckoning
from tiecoat.compare.power import POWER
from tiecoat.compare.properties import Property
from tiecoat.compare.reach import AFTER_OTHERS, MOST, panels_by_ranks
from tiecoat.compare.samples import NotTested, Sample, Samples
from tiecoat.compare.shares import cut_to_shares, greatest_of
from tiecoat.compare.times import NotReached
from tiecoat.compare.verdict import (
    ALPHA,
    EffectIs,
    Firmness,
    Limits,
    Verdict,
    VerdictWord,
    decide,
    decide_side,
    holm,
    ratio_of,
)
from tiecoat.contract.study_property import Direction
from tiecoat.evaluate.estimate import NotDeterminable

ROUNDING = 1e-9  # of a p
CLAIMS = (VerdictWord.BETTER, VerdictWord.NOT_WORSE, VerdictWord.WORSE)


@dataclass(frozen=True)
class _Unadjusted:
    """What was found of one candidate on one property, before p is adjusted over properties.

    `against` is the batch that it is compared with: the control, or of a pair another candidate.
    """

    wanted: Property
    batch: str
    against: str
    finding: Finding | NotDeterminable
    sample: Sample | NotDeterminable | None
    control: Sample | NotDeterminable | None
    is_pair: bool = False

    @property
    def direction(self) -> Direction:
        """Which way is better; the effect of ratings is turned so that more is."""
        return "higher" if self.wanted.method == "ratings" else self.wanted.direction

    def decided(self, one: Reckoning | None, p_holm: float) -> tuple[VerdictWord, str]:
        """Return what one reckoning allows to conclude."""
        if one is None or math.isnan(one.p) or isinstance(self.finding, NotDeterminable):
            return VerdictWord.CANNOT_TELL, ""
        limits = self.finding.limits
        if one.is_by_ranks:
            return decide_side(one.effect, p_holm, self.direction, limits)
        return decide(one.low, one.high, p_holm, self.direction, limits)


class Settled(NamedTuple):
    """Verdicts, and what there are none on.

    `problems` tells what could not be compared; `unreached` on which property neither a batch nor
    the control has reached what times are told to. That is no want of evidence and has no verdict.
    """

    verdicts: tuple[Verdict, ...]
    problems: list[str]
    unreached: list[tuple[Property, str, NotReached]]


class _Adjusted(NamedTuple):
    """p over all properties of the firm and of the conditional reckoning."""

    firm: float
    conditional: float


class _Conclusion(NamedTuple):
    """What is concluded, on what it stands, and the reckoning that is told with its p."""

    outcome: VerdictWord
    because: str
    standing: Firmness
    if_alike: VerdictWord | None
    told: Reckoning
    p_holm: float


def verdicts(
    found: Sequence[tuple[Property, Samples | NotDeterminable]],
    registered: pd.DataFrame,
    control: str,
    stated: str = "",
) -> Settled:
    """Return the verdicts, with p adjusted over all properties, and what there are none on.

    Parameters
    ----------
    found
        Properties with the samples of control and candidates, or why there are none.
    registered
        The register of these batches, by batch.
    control
        Batch of the control.
    stated
        Who says on what ground that the panels of all batches scatter alike; "" if nobody does.
        Whatever comes to know that later, such as the laboratory's own history, says it here.
    """
    drafts: list[_Unadjusted] = []
    problems: list[str] = []
    unreached: list[tuple[Property, str, NotReached]] = []
    for wanted, of_batches in found:
        findings: Findings
        try:
            if isinstance(of_batches, NotDeterminable):
                raise of_batches
            findings = find(wanted, of_batches, control)
        except NotDeterminable as why:
            problems.append(f"{wanted.label}: {why}")
            findings = {batch: why for batch in registered.index if batch != control}
        known = {} if isinstance(of_batches, NotDeterminable) else of_batches
        for batch, one in findings.items():
            if isinstance(one, NotReached):
                unreached.append((wanted, batch, one))
        drafts += _drafts(wanted, findings, known, control)
    return Settled(_settled(drafts, registered, stated), problems, unreached)


def verdicts_on_pairs(
    found: Sequence[tuple[Property, Samples]],
    registered: pd.DataFrame,
    references: Sequence[str],
    batches: Sequence[str],
    stated: str = "",
) -> tuple[Verdict, ...]:
    """Return the verdicts on batches against each of some of them.

    With one reference they are adjusted as candidates against a control are; with several, for all
    pairs that hold one of them (means with one scatter for all: for all pairs of the batches). The
    pairs are adjusted over the properties among themselves.

    Parameters
    ----------
    found
        Properties with the samples of the batches.
    registered
        The register of these batches, by batch.
    references, batches
        With whom is compared, and who is: the references among them.
    stated
        As for `verdicts`.
    """
    drafts: list[_Unadjusted] = []
    for wanted, samples in found:
        usable = [one for one in batches if isinstance(samples.get(one), Sample)]
        pairs = {frozenset((one, of)) for one in usable for of in references if of in usable}
        count = sum(len(pair) == 2 for pair in pairs)
        family = None if len(references) == 1 else Family(max(1, count), len(usable))
        for reference in references:
            among = {one: samples[one] for one in batches if one in samples}
            try:
                findings = find(wanted, among, reference, family)
            except NotDeterminable as why:
                findings = {one: why for one in among if one != reference}
            drafts += _drafts(wanted, findings, among, reference, is_pair=True)
    settled = _settled(drafts, registered, stated)
    by_pair = {(one.property, one.batch, one.control): one for one in settled}
    return tuple(
        _with_other_way(one, draft, by_pair.get((one.property, one.control, one.batch)))
        for one, draft in zip(settled, drafts, strict=True)
    )


def _with_other_way(one: Verdict, draft: _Unadjusted, other: Verdict | None) -> Verdict:
    """Return a verdict on a pair with the interval of the other way round, if that is another one.

    What is firm of A against B may hold of B against A on a condition only. That one tells the
    interval without the condition already, which mirrors the one here.
    """
    finding = draft.finding
    if other is None or math.isnan(other.low) or other.standing is Firmness.FIRM:
        return one
    if one.standing is not Firmness.FIRM or isinstance(finding, NotDeterminable):
        return one
    # the same panels tell or contradict the condition, whichever of a pair is asked about
    assert finding.conditional is not None
    ends = _ends(*_told_ends(draft, finding, finding.conditional), draft.wanted)
    told = f"{_words_of(finding)} the interval is {ends}, as told the other way round"
    return replace(one, because="; ".join(filter(None, (one.because, told))))


def _drafts(
    wanted: Property, findings: Findings, samples: Samples, against: str, *, is_pair: bool = False
) -> Iterator[_Unadjusted]:
    for batch, one in findings.items():
        if not isinstance(one, NotReached):
            sides = samples.get(batch), samples.get(against)
            yield _Unadjusted(wanted, batch, against, one, *sides, is_pair=is_pair)


def _settled(
    drafts: Sequence[_Unadjusted], registered: pd.DataFrame, stated: str
) -> tuple[Verdict, ...]:
    """Return the verdicts, with p adjusted over all properties."""
    adjusted = _over_properties(drafts)
    told = len({one.wanted.label for one, p in zip(drafts, adjusted, strict=True) if _is_told(p)})
    rows = {str(row["batch"]): row for _, row in registered.iterrows()}
    return tuple(
        _verdict(one, p, rows[one.batch], properties=told, stated=stated)
        for one, p in zip(drafts, adjusted, strict=True)
    )


def _over_properties(drafts: Sequence[_Unadjusted]) -> list[_Adjusted]:
    """Return p over all properties, of the firm reckonings and of the conditional ones."""
    firm, conditional = [], []
    for one in drafts:
        found = one.finding
        own, alike = (None, None)
        if isinstance(found, Finding):
            own, alike = found.firm, found.conditional or found.firm
        firm.append(own.p if own else math.nan)
        conditional.append(alike.p if alike else math.nan)
    labels = [one.wanted.label for one in drafts]
    pairs = zip(holm(firm, labels), holm(conditional, labels), strict=True)
    return [_Adjusted(*pair) for pair in pairs]


def _is_told(p: _Adjusted) -> bool:
    return not (math.isnan(p.firm) and math.isnan(p.conditional))


def _verdict(
    draft: _Unadjusted,
    p_holm: _Adjusted,
    registered: pd.Series[Any],
    *,
    properties: int,
    stated: str,
) -> Verdict:
    wanted, finding = draft.wanted, draft.finding
    unsettled = Verdict(
        property=wanted.label,
        batch=draft.batch,
        candidate=registered["candidate"] if isinstance(registered["candidate"], str) else "",
        dose_percent=float(registered["dose_percent"]),
        control=draft.against,
        effect_is=_effect_is(wanted),
        outcome=VerdictWord.NOT_TESTED
        if isinstance(draft.sample, NotTested)
        else VerdictWord.CANNOT_TELL,
        because=str(finding) if isinstance(finding, NotDeterminable) else "",
        n=_size(draft.sample),
        n_control=_size(draft.control),
        units=draft.sample.units if isinstance(draft.sample, Sample) else "",
        is_comparable=not isinstance(finding, NotComparable),
    )
    if isinstance(finding, NotDeterminable):
        return unsettled
    ended = _concluded(draft, finding, p_holm, stated, properties)
    limits = finding.limits or Limits(math.nan, math.nan)
    mine, others, told = finding.candidate, finding.control, ended.told
    over = f"; Holm over {properties} properties" if properties > 1 else ""
    firm = finding.firm
    (value_low, value_high), of_control = (one.between(wanted.method) for one in (mine, others))
    # one without width comes of values that do not scatter, and would look like certainty
    low, high = (math.nan, math.nan) if told.low == told.high else (told.low, told.high)
    return replace(
        unsettled,
        outcome=ended.outcome,
        because="; ".join(
            filter(
                None,
                (
                    ended.because,
                    _apart(finding, ended, properties),
                    _at_the_end(finding, ended, properties),
                ),
            )
        ),
        value=mine.middle(wanted.scale, wanted.method),
        value_control=others.middle(wanted.scale, wanted.method),
        side=mine.side(wanted.method),
        side_control=others.side(wanted.method),
        value_low=value_low,
        value_high=value_high,
        value_control_low=of_control[0],
        value_control_high=of_control[1],
        unit=mine.unit,
        effect=_shown(told.effect, wanted),
        low=_shown(low, wanted),
        high=_shown(high, wanted),
        firm_low=_shown(firm.low, wanted) if firm else math.nan,
        firm_high=_shown(firm.high, wanted) if firm else math.nan,
        limit_low=_shown(limits.low, wanted),
        limit_high=_shown(limits.high, wanted),
        p=ended.p_holm,
        p_over_candidates=told.p,
        p_alone=told.p_alone,
        p_alone_if_alike=finding.conditional.p_alone if finding.conditional else math.nan,
        method=told.method + over,
        cautions=_all_cautions(finding),
        needed=_needed(finding, ended, properties),
        standing=ended.standing,
        if_alike=ended.if_alike,
        condition=_condition(finding, ended, stated),
        scatter=finding.scatter,
    )


def _size(sample: Sample | NotDeterminable | None) -> int:
    return sample.n if isinstance(sample, Sample) else 0


def _condition(finding: Finding, ended: _Conclusion, stated: str) -> str:
    if ended.standing is Firmness.FIRM and ended.if_alike is None:
        return ""
    words = _words_of(finding)
    return f"{words}, as {stated}" if ended.standing is Firmness.STATED else words


def _needed(finding: Finding, ended: _Conclusion, properties: int) -> int | None:
    """Return about how many panels of each batch would do; None where others stand in the way."""
    if _waits_for_others(finding.limits, ended.told, ended.p_holm):
        return None
    if finding.best_known.is_by_ranks and finding.least is not None:
        return panels_by_ranks(finding.least.comparisons, properties)
    return finding.needed


def _concluded(
    draft: _Unadjusted, finding: Finding, p_holm: _Adjusted, stated: str, properties: int
) -> _Conclusion:
    """Return the firm conclusion where there is one, else the conditional one, else the signs.

    A firm "not worse" stays where the batches would be better if they scattered alike, which is
    told beside it, unless the study states that they do. A conditional "not worse" yields to signs
    of harm. Where the property would come out otherwise alone, not among all of them, that is told,
    of benefit as of harm.
    """
    told = finding.best_known
    if math.isnan(told.p):
        one = finding.candidate.counted_as
        why = f"one {one}: nothing tells how another one differs"
        return _Conclusion(VerdictWord.CANNOT_TELL, why, Firmness.FIRM, None, told, math.nan)
    own, own_why = draft.decided(finding.firm, p_holm.firm)
    alike, alike_why = draft.decided(finding.conditional, p_holm.conditional)
    is_sign = _is_sign(finding, draft.direction)
    better = alike is VerdictWord.BETTER and own is VerdictWord.NOT_WORSE
    if own in CLAIMS and not (better and stated):
        also = alike if better else None
        benefit = (
            _benefit_if_alike(finding, p_holm) if better else _benefit_alone(draft, finding, told)
        )
        why = _with_benefit(own, own_why, benefit)
        return _Conclusion(own, why, Firmness.FIRM, also, told, p_holm.firm)
    counts = stated or not is_sign or alike is not VerdictWord.NOT_WORSE
    if alike in CLAIMS and counts and finding.conditional is not None:
        standing = Firmness.STATED if stated else Firmness.CONDITIONAL
        rests_on = finding.conditional
        why = own_why if rests_on.low == rests_on.high else alike_why
        why = _with_benefit(alike, why, _benefit_alone(draft, finding, rests_on))
        because = f"{why}; {_without_it(draft, finding)}"
        return _Conclusion(alike, because, standing, None, rests_on, p_holm.conditional)
    because = _benefit_alone(draft, finding, told) or own_why or alike_why
    if is_sign and _alone(finding) <= ALPHA:
        because = _if_alone("worse", finding, told)
    tells_few = finding.limits is not None or told.is_by_ranks
    p = p_holm.conditional if finding.firm is None else p_holm.firm
    tells_few = tells_few and not _waits_for_others(finding.limits, told, p)
    few = _few(finding, draft.wanted, properties) if tells_few else ""
    because = "; ".join(part for part in (because, few) if part)
    word = VerdictWord.SIGNS_OF_HARM if is_sign else VerdictWord.CANNOT_TELL
    also = alike if alike in CLAIMS and not (is_sign and _only_if_alike(finding)) else None
    return _Conclusion(word, because, Firmness.FIRM, also, told, p)


def _alone(finding: Finding) -> float:
    """Return the smaller p of this comparison alone."""
    both = [one.p_alone for one in (finding.firm, finding.conditional) if one is not None]
    return min(both)


def _only_if_alike(finding: Finding) -> bool:
    """Whether this comparison alone shows something on the condition only."""
    return finding.firm is not None and finding.firm.p_alone > ALPHA >= _alone(finding)


def _benefit_alone(draft: _Unadjusted, finding: Finding, told: Reckoning) -> str:
    """Say so where a benefit would be shown if the property stood alone; else ""."""
    effect = finding.best_known.effect
    is_harmful = _is_harmful(effect, draft.direction)
    is_shown = not is_harmful and effect != 0 and _alone(finding) <= ALPHA
    return _if_alone("better", finding, told) if is_shown else ""


def _if_alone(word: str, finding: Finding, told: Reckoning) -> str:
    """Say what this comparison alone shows, by the reckoning that is told where that shows it."""
    other = finding.conditional if told is finding.firm else finding.firm
    shows = told if told.p_alone <= ALPHA or other is None else other
    p = shows.p_alone
    if shows is finding.firm:
        return f"{word} if it stood alone (p {p:.2g}, adjusted for nothing)"
    return f"{word} if it stood alone, {_words_of(finding)} (p {p:.2g}, adjusted for nothing)"


def _benefit_if_alike(finding: Finding, p_holm: _Adjusted) -> str:
    return f"better, {_words_of(finding)} (p {p_holm.conditional:.2g})"


def _words_of(finding: Finding) -> str:
    return finding.condition.words(finding.candidate.units)


def _with_benefit(word: VerdictWord, why: str, benefit: str) -> str:
    """Return why something is not worse, with a benefit that would be shown otherwise."""
    return "; ".join(filter(None, (why, benefit if word is VerdictWord.NOT_WORSE else "")))


def _is_sign(finding: Finding, direction: Direction) -> bool:
    """Return whether there are signs of harm, were nothing worse concluded.

    What lies within the margin is none: where this comparison alone leaves out equality, its own
    interval ends at twice the effect at the farthest. Values that do not scatter and lie apart,
    worse by more than the margin, are one whatever their number: of equal paints that is seen in at
    most 3.2 % of studies with three panels each, and in 12.5 % with two (where each panel shows one
    of two values, as often as the other).
    """
    told = finding.best_known
    if not _is_harmful(told.effect, direction):
        return False
    if told.is_by_ranks and told.effect != 0 and told.p_alone < 1:
        conditional = finding.conditional
        pooled = conditional is not None and conditional.low < conditional.high
        if not (pooled and _is_within(told.effect, finding.limits)):
            return not _is_within(told.effect, finding.limits)
    return _alone(finding) <= ALPHA and not _is_within(2 * told.effect, finding.limits)


def _is_within(effect: float, limits: Limits | None) -> bool:
    return limits is not None and limits.hold(effect, effect)


def _is_harmful(effect: float, direction: Direction) -> bool:
    if direction == "target":
        return True
    return effect < 0 if direction == "higher" else effect > 0


def _without_it(draft: _Unadjusted, finding: Finding) -> str:
    """Say what a conditional verdict would be without its condition."""
    if finding.firm is None or finding.firm.is_by_ranks:
        return "without that condition no interval is known"
    ends = _ends(*_told_ends(draft, finding, finding.firm), draft.wanted)
    return f"without that condition the interval is {ends}"


def _told_ends(draft: _Unadjusted, finding: Finding, one: Reckoning) -> tuple[float, float]:
    """Return the interval of a reckoning as it is told: of shares without what none can be."""
    wanted = draft.wanted
    low, high = (_shown(end, wanted) for end in (one.low, one.high))
    greatest = greatest_of(wanted)
    if greatest is None:
        return low, high
    middle = finding.control.mean(wanted.scale) if wanted.target is None else wanted.target
    return cut_to_shares(low, high, None if draft.is_pair else middle, finding.limits, greatest)


def _ends(low: float, high: float, wanted: Property) -> str:
    """Return an interval in words; of a ratio an end at 0 or infinity is open."""
    below, above = f"below {high:.3g}", f"above {low:.3g}"
    if _effect_is(wanted) == "ratio" and low == 0:
        return "open on both sides" if math.isinf(high) else below
    told = above if math.isinf(high) else f"{low:.3g} to {high:.3g}"
    return told.replace("-", "−")


def _few(finding: Finding, wanted: Property, properties: int) -> str:
    """Say whether more panels would help, and about how many."""
    n = min(finding.candidate.n, finding.control.n)
    if wanted.target is not None:
        n = finding.candidate.n
    units = finding.candidate.units
    if finding.limits is not None and finding.limits.nearest == 0:
        return "the margin is a share of a control of 0, and so is 0 itself"
    if finding.best_known.is_by_ranks:
        return _few_ranked(finding, properties)
    if wanted.method == "times":
        return "too few panels for the margin, or exposures too far apart"
    if finding.needed is None:
        return f"n too small for the margin; no number up to {MOST} can be named that would do"
    if finding.needed > n:
        return (
            f"n too small for the margin; about {finding.needed} {units} of each batch would do"
            f" (power {POWER * 100:.0f} % if both are equal)"
        )
    return (
        f"too near the margin: {finding.needed} {units} would do if both were equal, and there"
        f" are {n}"
    )


def _few_ranked(finding: Finding, properties: int) -> str:
    """Say what ranks can reach with so many panels, where that is too little."""
    if told := _too_few(finding, properties):
        return told
    return "" if finding.limits is not None else "no margin is stated"


def _at_the_end(finding: Finding, ended: _Conclusion, properties: int) -> str:
    """Say so where panels lie apart as far as they can, and the design lets nothing come of it."""
    one, least = finding.best_known, finding.least
    is_told = one.is_by_ranks or ended.outcome in {VerdictWord.BETTER, VerdictWord.WORSE}
    if is_told or least is None or one.p_alone > least.alone * (1 + ROUNDING):
        return ""
    return _too_few(finding, properties)


def _waits_for_others(limits: Limits | None, one: Reckoning, p_holm: float) -> bool:
    """Whether harm by more than the margin is shown on this property, and p over all is too large.

    The number of panels for the margin, if both were equal, is not what stands in the way then.
    """
    return limits is not None and limits.are_passed(one.low, one.high) and one.p <= ALPHA < p_holm


def _apart(finding: Finding, ended: _Conclusion, properties: int) -> str:
    """Say so where the interval on this property leaves out equality, and p over all does not."""
    one, claims = ended.told, {VerdictWord.BETTER, VerdictWord.WORSE}
    if properties == 1 or ended.outcome in claims or not ended.p_holm > ALPHA:
        return ""
    if _waits_for_others(finding.limits, one, ended.p_holm):
        return (
            "the interval lies beyond the margin on this property alone; what stands in the way is"
            f" the adjustment over all {properties}: p is {ended.p_holm:.2g}"
        )
    if not (one.low > 0 or one.high < 0):
        return ""
    return (
        f"the interval leaves out equality on this property alone; over all {properties} p is"
        f" {ended.p_holm:.2g}"
    )


def _too_few(finding: Finding, properties: int) -> str:
    """Say that order can show no difference with so many panels; "" where it can."""
    least = finding.least
    if least is None or least.over(properties) <= ALPHA:
        return ""
    n, m, units = finding.candidate.n, finding.control.n, finding.candidate.units
    could, after = ("could not", "") if least.over(1) > ALPHA else ("could", AFTER_OTHERS)
    enough = panels_by_ranks(least.comparisons, properties)
    return (
        f"{n} {units} against {m} {could} come out better or worse{least.how}{after}:"
        f" {least.words(properties)}; {enough} of each would do"
    )


def _all_cautions(finding: Finding) -> tuple[str, ...]:
    own = finding.candidate.cautions
    shared = set(own) & set(finding.control.cautions)
    of_control = (f"control: {one}" for one in finding.control.cautions if one not in shared)
    ratio = finding.scatter
    wider = (ratio.words,) if ratio is not None and ratio.is_much_wider else ()
    return tuple(dict.fromkeys((*own, *of_control, *finding.cautions, *wider)))


def _effect_is(wanted: Property) -> EffectIs:
    if wanted.method == "ratings":
        return "probability of superiority"
    return "ratio" if wanted.by_ratio else "difference"


def _shown(effect: float, wanted: Property) -> float:
    """Return an effect as it is told."""
    kind = _effect_is(wanted)
    if kind == "ratio":
        return ratio_of(effect)
    return effect + NEUTRAL if kind == "probability of superiority" else effect
