"""Verdicts: the words, on what they stand, and the adjustment for several properties."""

from __future__ import annotations

import math
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Literal, TypeAlias

from tiecoat.compare.scatter_ratio import ScatterRatio
from tiecoat.contract.study_property import Direction

EffectIs: TypeAlias = Literal["difference", "ratio", "probability of superiority"]

ALPHA = 0.05
ALL_EQUAL = "within each batch the values are all equal"
NEEDS = (
    "better and worse need both, not worse the interval alone, and signs of harm rest on the single"
    " comparison."
)
MOST_LN = 700.0  # beyond it the exponential is infinite


class VerdictWord(Enum):
    """What is concluded of a candidate on one property."""

    BETTER = "better"
    NOT_WORSE = "not worse (within the margin)"
    WORSE = "worse"
    SIGNS_OF_HARM = "signs of harm"
    CANNOT_TELL = "cannot tell"
    NOT_TESTED = "not tested"


class Firmness(Enum):
    """On what a verdict stands; one that claims nothing is firm.

    FIRM stands without assuming that the panels of all batches scatter alike. CONDITIONAL stands
    only if they do, and STATED on the word of who says in the study that they do.
    """

    FIRM = "firm"
    STATED = "as the study states"
    CONDITIONAL = "conditional"


@dataclass(frozen=True)
class Verdict:
    """A candidate against the control on one property.

    Parameters
    ----------
    property
        Its name, with the exposure time.
    batch, candidate, dose_percent, control
        Whose verdict it is: batch, raw material and dose by the register; batch of the control.
    effect_is
        difference, ratio, or probability of superiority.
    outcome, because
        What is concluded, and why.
    standing
        On what it stands.
    if_alike, condition
        What else would be concluded if the panels of all batches scattered alike, None if nothing
        else; and that condition in words, "" where nothing rests on it.
    n, n_control
        Panels, or where `units` says so determinations; also where they tell nothing.
    value, value_control
        Mean; geometric mean of a property compared by ratio; rate of counts; median of ratings.
    side, side_control
        On which side of value and value_control the true one lies, where these are only bounds:
        above, below, else "".
    value_low, value_high, value_control_low, value_control_high
        Ends between which the true value and value_control lie, where that alone is known of them,
        as of the median of times that are known as intervals; else NaN.
    unit
        Of these values.
    effect, low, high
        Of the kind that `effect_is` names, in the unit for a difference; the interval holds for
        all candidates on this property together with 95 %, under the condition of the verdict. NaN
        where there is none; of a ratio 0 and infinity are open ends.
    firm_low, firm_high
        The same interval without that condition.
    limit_low, limit_high
        Between them the effect does no harm by the stated margin; infinite where nothing is
        limited, NaN without a margin.
    p, p_over_candidates, p_alone
        Of no difference: adjusted over the candidates and over all properties (Holm), which the
        verdict rests on; over the candidates alone; and for nothing. All by the reckoning that the
        interval is of.
    p_alone_if_alike
        Of no difference, adjusted for nothing, if the panels of all batches scattered alike; NaN
        where that is not reckoned. Signs of harm are read off the smaller of this and p_alone.
    method
        How it was found.
    cautions
        What weakens it.
    needed
        About how many panels of each batch would do for the margin, if both are equal; None where
        no number can be given, or where their number is not what stands in the way.
    scatter
        How much more widely the candidate scatters; None where that is not known.
    is_comparable
        Whether control and candidate share what must be alike: coat system, substrate and so on.
    """

    property: str
    batch: str
    candidate: str
    dose_percent: float
    control: str
    effect_is: EffectIs
    outcome: VerdictWord
    because: str
    n: int = 0
    n_control: int = 0
    units: str = ""
    value: float = math.nan
    value_control: float = math.nan
    side: str = ""
    side_control: str = ""
    value_low: float = math.nan
    value_high: float = math.nan
    value_control_low: float = math.nan
    value_control_high: float = math.nan
    unit: str = ""
    effect: float = math.nan
    low: float = math.nan
    high: float = math.nan
    firm_low: float = math.nan
    firm_high: float = math.nan
    limit_low: float = math.nan
    limit_high: float = math.nan
    p: float = math.nan
    p_over_candidates: float = math.nan
    p_alone: float = math.nan
    p_alone_if_alike: float = math.nan
    method: str = ""
    cautions: tuple[str, ...] = ()
    needed: int | None = None
    standing: Firmness = Firmness.FIRM
    if_alike: VerdictWord | None = None
    condition: str = ""
    is_comparable: bool = True
    scatter: ScatterRatio | None = None


@dataclass(frozen=True)
class Limits:
    """Between them an effect does no harm, on the scale on which it is found."""

    low: float
    high: float

    def hold(self, low: float, high: float) -> bool:
        """Whether an interval lies inside."""
        inside_low = low > self.low or self.low == -math.inf
        return inside_low and (high < self.high or self.high == math.inf)

    def are_passed(self, low: float, high: float) -> bool:
        """Whether an interval lies wholly beyond one of them."""
        return high < self.low or low > self.high

    @property
    def nearest(self) -> float:
        """How far the nearer limit lies from no effect."""
        return min(abs(self.low), abs(self.high))


def ratio_of(ln_ratio: float) -> float:
    """Return the ratio of a natural logarithm: infinite from e^700 on, NaN of NaN.

    Examples
    --------
    >>> ratio_of(0.0), ratio_of(1e3), ratio_of(-math.inf), ratio_of(math.nan)
    (1.0, inf, 0.0, nan)
    """
    return math.inf if ln_ratio >= MOST_LN else math.exp(ln_ratio)


def decide(
    low: float, high: float, p: float, direction: Direction, limits: Limits | None
) -> tuple[VerdictWord, str]:
    """Return the outcome, and why; of "cannot tell" only where it is not for want of panels.

    A difference counts where the simultaneous interval leaves out 0 and p, adjusted over the
    properties, is at most 5 %. "Not worse" is a claim of non-inferiority: the whole interval lies
    inside the margin. It is never read off a large p.

    Parameters
    ----------
    low, high
        Interval of the effect, on a scale where 0 is no effect.
    p
        Adjusted over candidates and properties.
    direction
        Which way is better; for a target no way is.
    limits
        The margin on the same scale; None where none is stated.

    Examples
    --------
    >>> decide(-0.4, 0.9, 0.7, "higher", Limits(-0.5, math.inf))[0]
    <VerdictWord.NOT_WORSE: 'not worse (within the margin)'>
    >>> decide(-0.6, 0.9, 0.99, "higher", Limits(-0.5, math.inf))[0]
    <VerdictWord.CANNOT_TELL: 'cannot tell'>
    """
    outside = low > 0 or high < 0
    sure = outside and p <= ALPHA
    good = {"higher": low > 0, "lower": high < 0, "target": False}[direction]
    if sure and good:
        return VerdictWord.BETTER, "the interval excludes equality"
    if limits is not None and limits.hold(low, high):
        small = "; different for certain, but by less" if sure else ""
        return VerdictWord.NOT_WORSE, f"the whole interval lies within the margin{small}"
    if sure:
        return VerdictWord.WORSE, _how_much(low, high, limits)
    if limits is None:
        return VerdictWord.CANNOT_TELL, "no difference is shown, and no margin is stated"
    return VerdictWord.CANNOT_TELL, ""


def decide_side(
    effect: float, p: float, direction: Direction, limits: Limits | None
) -> tuple[VerdictWord, str]:
    """Return the outcome, and why, where neither batch scatters: p tells the side, not the size.

    A side is claimed where p, adjusted over candidates and properties, is at most 5 %. Harm is
    claimed only of an effect that does not itself lie within the margin, and "not worse" never:
    equal values do not tell how far further ones would lie.

    Examples
    --------
    >>> decide_side(100.0, 0.002, "lower", Limits(-math.inf, 20.0))[0]
    <VerdictWord.WORSE: 'worse'>
    >>> decide_side(0.0, 1.0, "lower", Limits(-math.inf, 20.0))[1]
    'within each batch the values are all equal; they are the same in both'
    """
    if effect == 0:
        return VerdictWord.CANNOT_TELL, f"{ALL_EQUAL}; they are the same in both"
    good = {"higher": effect > 0, "lower": effect < 0, "target": False}[direction]
    if not good and limits is not None and limits.hold(effect, effect):
        return VerdictWord.CANNOT_TELL, f"{ALL_EQUAL}; both lie within the margin of each other"
    word = VerdictWord.BETTER if good else VerdictWord.WORSE
    told = "those of the candidate are better" if good else "those of the candidate are worse"
    return word if p <= ALPHA else VerdictWord.CANNOT_TELL, f"{ALL_EQUAL}; {told}"


def _how_much(low: float, high: float, limits: Limits | None) -> str:
    why = "the interval excludes equality"
    if limits is None:
        return f"{why}; no margin is stated"
    if limits.are_passed(low, high):
        return f"{why} and lies beyond the margin"
    return f"{why}; whether by more than the margin is open"


def adjusted_over(candidates: int, properties: int) -> str:
    """Return over which comparisons intervals and p are adjusted, and which words rest on which.

    Examples
    --------
    >>> adjusted_over(8, 1)
    'Intervals (95 %) and p are adjusted over the 8 candidates.'
    """
    if properties < 2:
        if candidates < 2:
            return "Interval (95 %) and p are of this comparison alone."
        return f"Intervals (95 %) and p are adjusted over the {candidates} candidates."
    intervals = (
        f"Intervals (95 %) are adjusted over the {candidates} candidates on each property apart"
    )
    p = f"p over these and over all {properties} properties (Holm)"
    if candidates < 2:
        intervals = "Intervals (95 %) are those of each property apart"
        p = f"p is adjusted over all {properties} properties (Holm)"
    return f"{intervals}; {p}; {NEEDS}"


def holm(p: Sequence[float], families: Sequence[Hashable]) -> list[float]:
    r"""Return p adjusted over properties, where each is adjusted over its candidates already.

    The p are taken from the smallest on. Each is multiplied by the number of properties that are
    not yet through, with all their candidates; none comes out smaller than the one before. With
    one candidate this is Holm's procedure (Scand. J. Stat. 6 (1979) 65; from memory). With several
    the chance of one false difference or more stays at 5 %: until the first true null hypothesis
    is rejected, every property that holds one is still counted.

    Parameters
    ----------
    p
        NaN where there is none; it does not count.
    families
        The property of each.

    Examples
    --------
    >>> [round(one, 6) for one in holm([0.01, 0.04], ["strength", "modulus"])]
    [0.02, 0.04]
    """
    open_: dict[Hashable, int] = {}
    order = sorted((one, place) for place, one in enumerate(p) if not math.isnan(one))
    for _, place in order:
        open_[families[place]] = open_.get(families[place], 0) + 1
    adjusted, reached = [math.nan] * len(p), 0.0
    for one, place in order:
        reached = max(reached, min(1.0, one * len(open_)))
        adjusted[place] = reached
        open_[families[place]] -= 1
        if not open_[families[place]]:
            del open_[families[place]]
    return adjusted
