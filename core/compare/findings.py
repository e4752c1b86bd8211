"""What is found of a candidate against the control on one property, whatever the method."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias

from tiecoat.compare.reach import LeastP
from tiecoat.compare.samples import Sample
from tiecoat.compare.scatter_ratio import ScatterRatio
from tiecoat.compare.verdict import Limits
from tiecoat.evaluate.estimate import NotDeterminable

NEUTRAL = 0.5  # probability of superiority without a difference


@dataclass(frozen=True)
class Family:
    """The comparisons that p and intervals on one property are adjusted for.

    Parameters
    ----------
    comparisons
        How many they are.
    batches
        How many batches are compared with each other; 0 where all are compared with one.
    """

    comparisons: int
    batches: int = 0


class Condition(Enum):
    """What has to be so that a reckoning holds."""

    ALIKE = "if the {units} of all batches scatter alike"
    BY_CHANCE = "if {units} differ by chance alone"

    def words(self, units: str) -> str:
        """Return the condition in words, for panels or determinations."""
        return self.value.format(units=units)


@dataclass(frozen=True)
class Reckoning:
    """Effect of one candidate on a scale where 0 is none, with its simultaneous 95 % interval.

    The scale is that of differences, of natural logarithms of ratios, or of the probability of
    superiority less one half. `p` is adjusted over the candidates, `p_alone` is not; NaN where one
    determination stands on a side: nothing can be concluded from that. The interval is NaN where
    neither batch scatters: then p tells the side of the effect and nothing its size.
    """

    effect: float
    low: float
    high: float
    p: float
    p_alone: float
    method: str

    @property
    def is_by_ranks(self) -> bool:
        """Whether it tells the side of the effect alone."""
        return math.isnan(self.low) and math.isnan(self.high)


@dataclass(frozen=True)
class Finding:
    """What is found of one candidate.

    `firm` lets each batch have its own scatter, `conditional` holds under the condition only; one
    of them may be missing, the latter also where the panels themselves contradict the condition.
    `limits` are the margin on the scale of the effect. `least` is the smallest p that so many
    panels can reach in the firm reckoning, None where that has no bound. `scatter` compares how
    widely both do, None where that is not known.
    """

    control: Sample
    candidate: Sample
    firm: Reckoning | None
    conditional: Reckoning | None
    condition: Condition
    limits: Limits | None
    needed: int | None
    cautions: tuple[str, ...] = ()
    least: LeastP | None = None
    scatter: ScatterRatio | None = None

    @property
    def best_known(self) -> Reckoning:
        """What is told where nothing is concluded: the firm one where there is one."""
        found = self.firm or self.conditional
        assert found is not None
        return found


Findings: TypeAlias = dict[str, Finding | NotDeterminable]
