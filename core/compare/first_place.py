"""Which batch is first overall, and whether it stays so with other margins, weights and batches."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

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


def clear_first(
    stated: RankingChange, changes: Sequence[RankingChange], batches: RankingChange | None
) -> tuple[str, str]:
    """Return the clear first and "", or "" and why there is none.

    It is first in four of five draws, with every change, and with the scatter of batches where that
    is known.

    Examples
    --------
    >>> stated = RankingChange("as stated", "RB-014", 0.95)
    >>> clear_first(stated, [RankingChange("weight of gloss halved", "RB-013", 0.6)], None)
    ('', 'RB-014 is first, but with the weight of gloss halved RB-013 is first')
    """
    if not stated.first:
        return "", "several share the first rank"
    if stated.share < CLEAR:
        share = f"{100 * stated.share:.0f} %"
        return "", (
            f"{stated.first} has the highest desirability in the mean of the draws, but is first in"
            f" {share} of them only"
        )
    for one in changes:
        if one.first != stated.first:
            who = f"{one.first} is first" if one.first else "several share the first rank"
            return "", f"{stated.first} is first, but with the {one.what} {who}"
    if batches is not None and batches.share < CLEAR:  # the same is first: only the draws differ
        share = f"{100 * batches.share:.0f} %"
        return "", f"with the scatter of batches {stated.first} is first in {share} of the draws"
    return stated.first, ""
