"""How strong or weak a candidate is on one property: steps counted in margins.

A step says by how much the whole interval of a verdict lies beyond equality. It is read off the
verdict and its interval, so that it says more than the verdict and never another thing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from tiecoat.compare.findings import NEUTRAL
from tiecoat.compare.properties import Property
from tiecoat.compare.verdict import Verdict, VerdictWord

CLEARLY, STRONGLY = 1.0, 3.0  # margins beyond which the whole interval lies; our own steps


class StrengthStep(Enum):
    """How far a candidate is from the control, from strongly better to strongly worse."""

    STRONGLY_BETTER = "strongly better"
    CLEARLY_BETTER = "clearly better"
    BETTER = "better"
    NOT_WORSE = "not worse"
    SIGNS_OF_HARM = "signs of harm"
    WORSE = "worse"
    CLEARLY_WORSE = "clearly worse"
    STRONGLY_WORSE = "strongly worse"
    CANNOT_TELL = "cannot tell"
    NOT_TESTED = "not tested"


BETTER = (StrengthStep.BETTER, StrengthStep.CLEARLY_BETTER, StrengthStep.STRONGLY_BETTER)
WORSE = (StrengthStep.WORSE, StrengthStep.CLEARLY_WORSE, StrengthStep.STRONGLY_WORSE)


PLAIN = {  # the step of a word that is told without its interval
    VerdictWord.BETTER: StrengthStep.BETTER,
    VerdictWord.NOT_WORSE: StrengthStep.NOT_WORSE,
    VerdictWord.WORSE: StrengthStep.WORSE,
    VerdictWord.SIGNS_OF_HARM: StrengthStep.SIGNS_OF_HARM,
    VerdictWord.CANNOT_TELL: StrengthStep.CANNOT_TELL,
    VerdictWord.NOT_TESTED: StrengthStep.NOT_TESTED,
}


@dataclass(frozen=True)
class InMargins:
    """An effect and its interval in units of the margin, better above 0."""

    effect: float
    low: float
    high: float

    @property
    def sure(self) -> float:
        """How many margins all of the interval lies away from equality; 0 where it holds that.

        Examples
        --------
        >>> InMargins(-2.0, -3.0, -1.5).sure, InMargins(0.5, -0.2, 1.0).sure
        (1.5, 0.0)
        """
        return max(0.0, self.low, -self.high)


def step_of(verdict: Verdict, wanted: Property) -> StrengthStep:
    """Return the step of a verdict.

    Better and worse are clearly so where the whole interval lies beyond one margin, and strongly
    where it lies beyond three. They stay plain where no margin is stated, or no interval is known.

    Examples
    --------
    >>> strength = Property("strength", "pull_off", "strength_mean", margin=1.0)
    >>> told = Verdict("strength", "A", "", 1.0, "B", "difference", VerdictWord.WORSE, "",
    ...     effect=-4.0, low=-4.9, high=-3.1, limit_low=-1.0, limit_high=math.inf)
    >>> step_of(told, strength)
    <StrengthStep.STRONGLY_WORSE: 'strongly worse'>
    """
    match verdict.outcome:
        case VerdictWord.BETTER:
            return BETTER[_degree(verdict, wanted)]
        case VerdictWord.WORSE:
            return WORSE[_degree(verdict, wanted)]
        case _:
            return PLAIN[verdict.outcome]


def step_words(verdict: Verdict, wanted: Property) -> str:
    """Return the step with its condition, and what else would be concluded on that.

    Examples
    --------
    >>> strength = Property("strength", "pull_off", "strength_mean", margin=1.0)
    >>> told = Verdict("strength", "A", "", 1.0, "B", "difference", VerdictWord.NOT_WORSE, "",
    ...     if_alike=VerdictWord.BETTER, condition="if the panels of all batches scatter alike")
    >>> step_words(told, strength)
    'not worse; better, if the panels of all batches scatter alike'
    """
    step = step_of(verdict, wanted).value
    if verdict.if_alike is not None:
        return f"{step}; {PLAIN[verdict.if_alike].value}, {verdict.condition}"
    return f"{step}, {verdict.condition}" if verdict.condition else step


def _degree(verdict: Verdict, wanted: Property) -> int:
    found = in_margins(verdict, wanted)
    return 0 if found is None else sum(found.sure > margins for margins in (CLEARLY, STRONGLY))


def in_margins(one: Verdict, wanted: Property) -> InMargins | None:
    """Return effect and interval in units of the margin; None where none is stated.

    Ratios count by their logarithms. On the better side the margin counts as far as on that of
    harm; with a target the margins of both sides may differ.

    Examples
    --------
    >>> air = Property("air", "density", "entrapped_air", direction="lower", margin=0.5)
    >>> told = Verdict("air", "A", "", 1.0, "B", "difference", VerdictWord.WORSE, "", effect=1.0,
    ...     low=0.5, high=1.5, limit_low=-math.inf, limit_high=0.5)
    >>> in_margins(told, air)
    InMargins(effect=-2.0, low=-3.0, high=-1.0)
    """
    numbers = [one.effect, one.low, one.high, one.limit_low, one.limit_high]
    if one.effect_is == "ratio":
        numbers = [math.log(x) if x > 0 else -math.inf if x == 0 else x for x in numbers]
    elif one.effect_is == "probability of superiority":
        numbers = [x - NEUTRAL for x in numbers]
    effect, low, high = numbers[:3]
    margins = [abs(x) for x in numbers[3:] if math.isfinite(x) and x != 0]
    if not margins:
        return None
    # of a ratio with a target the margins differ: 20 % less is farther off than 20 % more
    below, above = margins[0], margins[-1]
    effect, low, high = (x / (below if x < 0 else above) for x in (effect, low, high))
    if wanted.direction == "lower" and wanted.method != "ratings":
        return InMargins(-effect, -high, -low)
    return InMargins(effect, low, high)


def steps_rule(properties: Iterable[Property]) -> list[str]:
    """Return by what rule the steps are told, in sentences."""
    told = [
        (
            "Better and worse are as in the verdicts: the interval excludes equality, also when all"
            " properties are looked at together."
        ),
        "Clearly: all of the interval lies beyond one margin. Strongly: beyond three margins.",
        (
            "The margin is what the study calls harm. On the better side it counts as far, of"
            " ratios by their logarithms. Without a margin or an interval the step stays plain."
        ),
    ]
    if any(one.method == "ratings" for one in properties):
        told.append(
            "Ratings tell which panel is the better and not by how much, so that theirs cannot"
            " always reach the last step."
        )
    return told
