"""What a plugin says of a quantity that studies may compare."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

Direction: TypeAlias = Literal["higher", "lower", "target"]
Scale: TypeAlias = Literal["difference", "ratio"]
Method: TypeAlias = Literal["means", "strengths", "counts", "ratings", "times"]


@dataclass(frozen=True)
class Nature:
    """What a result is like, whatever a study calls it: what must be alike to compare it.

    Parameters
    ----------
    lost_by_failure
        A panel lacks it where it did badly: the mean of the others would flatter its batch.
    since_first
        It counts from the first measurement of its panel: with another begin it is another result.
    falls_from
        The quantity that it is the fall of: what begins low has little to lose. "" of no fall.
    """

    lost_by_failure: bool = False
    since_first: bool = False
    falls_from: str = ""


@dataclass(frozen=True)
class StudyProperty:
    """A quantity of an evaluation that studies know by name, with what holds unless they say else.

    Parameters
    ----------
    name
        As studies call it; no other property has this name.
    quantity
        As the results of the evaluation call it; of counts a column of the rows of its kind.
    condition
        Of the results that are compared; of counts as it follows from the identity of their kind,
        such as "200 kPa". "": a line for each that there is.
    direction
        Which way is better: higher, lower, or neither (target: near to the control).
    scale
        Differences, or ratios (compared by logarithms).
    method
        means; counts (per area); ratings (ranks); times (known as intervals, compared by the ratio
        of their medians). A study may name each of them; strengths are those of pull-off alone.
    margin, margin_percent
        From how much on it counts as harm: in the unit of the quantity, or in % of the control;
        one of the two. A study should state its own.
    area
        For counts: the column with the area, or other size, that was looked at. Counts and areas
        of a panel are added up, but not those of determinations that differ in the identity of
        their kind: each condition is a line of its own. `Kind.repeats` says which columns of it
        only tell repeats apart.
    nature
        What the result is like.
    only_by_name
        Compared only where a study names it; else by every study that names no property.
    """

    name: str
    quantity: str
    condition: str = ""
    direction: Direction = "higher"
    scale: Scale = "difference"
    method: Method = "means"
    margin: float | None = None
    margin_percent: float | None = None
    area: str = ""
    nature: Nature = Nature()
    only_by_name: bool = False
