"""Which batch is first overall, and whether it stays so with other margins, weights and batches."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from tiecoat.compare.desirability import overall
from tiecoat.compare.properties import Property
from tiecoat.evaluate.statistics.censored_normal import Floats

CLEAR = 0.8  # of the draws in which the first has to stay so; common practice, no source
FACTORS = ((0.5, "halved"), (2.0, "doubled"))


@dataclass(frozen=True)
class RankingChange:
    """Who is first after a change of the ranking, and in what share of the draws.

    `first` is "" where several share the first rank.
    """

    what: str
    first: str
    share: float

    @property
    def of_weight(self) -> bool:
        """Whether it is a weight that was changed."""
        return self.what.partition(" ")[0] == "weight"


@dataclass(frozen=True)
class Desirabilities:
    """Desirabilities of batches by draws by properties, with the weights of the properties."""

    drawn: Floats
    weights: Floats

    def change(self, what: str, batches: Sequence[str]) -> RankingChange:
        """Return who is first, under a name: whose desirability is the greatest in the mean."""
        drawn = overall(self.drawn, self.weights)
        expected = as_shown(drawn.mean(axis=1))
        top = np.flatnonzero(expected == expected.max())
        is_top = drawn == drawn.max(axis=0)
        shares = (is_top / is_top.sum(axis=0)).mean(axis=1)  # equal ones share the place
        first = batches[int(top[0])] if len(top) == 1 else ""
        return RankingChange(what, first, float(shares[top].max()))


def as_shown(desirability: Floats) -> Floats:
    """Return desirabilities to two decimals: what is beyond them is mostly that of the draws.

    Their mean over 2,000 draws is known to 0.01 at the worst.
    """
    return np.asarray(np.round(desirability, 2))


def changed(
    properties: Sequence[Property],
    found: Callable[[Sequence[Property]], Desirabilities | None],
    batches: Sequence[str],
) -> Iterator[RankingChange]:
    """Return who is first when each margin and each weight is halved and doubled, one at a time.

    Parameters
    ----------
    found
        Gives the desirabilities for changed properties; None where they cannot be reckoned.
    batches
        The batches ranked, in the order of the rows.
    """
    for place, one in enumerate(properties):
        for key in ("margin", "margin_percent", "weight"):
            value = getattr(one, key)
            if value is None or (key != "weight" and one.unacceptable is not None):
                continue
            for factor, word in FACTORS:
                other = [*properties]
                other[place] = replace(one, **{key: factor * value})
                if (of := found(other)) is not None:
                    name = "weight" if key == "weight" else "margin"
                    yield of.change(f"{name} of {one.label} {word}", batches)


class Doubt(Enum):
    """Why no batch is clearly first: several share the rank, it is so in too few draws, or not with
    other margins or weights, or in too few draws with batches made again.
    """

    SHARED = "shared"
    DRAWS = "draws"
    CHANGE = "change"
    BATCHES = "batches"


@dataclass(frozen=True)
class NoFirst:
    """Why no batch is clearly first, with the draws in which `leading` is so.

    `change` is what puts another batch first, and says which.
    """

    doubt: Doubt
    leading: str = ""
    share: float = math.nan
    change: RankingChange | None = None


def clear_first(
    stated: RankingChange, changes: Sequence[RankingChange], batches: RankingChange | None
) -> NoFirst | None:
    """Return why the one that ranks first is not clearly so; None if it is.

    It is first in four of five draws, with every change, and with the scatter of batches where that
    is known.

    Examples
    --------
    >>> stated = RankingChange("as stated", "RB-014", 0.95)
    >>> other = RankingChange("weight of gloss halved", "RB-013", 0.6)
    >>> clear_first(stated, [other], None).doubt, clear_first(stated, [], None)
    (<Doubt.CHANGE: 'change'>, None)
    """
    if not stated.first:
        return NoFirst(Doubt.SHARED)
    if stated.share < CLEAR:
        return NoFirst(Doubt.DRAWS, stated.first, stated.share)
    for one in changes:
        if one.first != stated.first:
            return NoFirst(Doubt.CHANGE, stated.first, stated.share, one)
    if batches is not None and batches.share < CLEAR:  # the same is first: only the draws differ
        return NoFirst(Doubt.BATCHES, stated.first, batches.share)
    return None
