"""Which batch is recommended, by the ranking and by the verdicts; or what is missing for that.

The draws of a ranking know only what could be ranked. So nothing is recommended while a property
that the study calls decisive is open or untested; where it calls none so, while one is that the
ranking has left out. Nor while a candidate has no place in the ranking: it may be the better one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum
from typing import assert_never

import numpy as np

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.first_place import as_shown
from tiecoat.compare.properties import Property
from tiecoat.compare.ranking import Ranking, rank
from tiecoat.compare.study import Study
from tiecoat.compare.verdict import Firmness, Verdict, VerdictWord
from tiecoat.evaluate.estimate import NotDeterminable


class Lack(Enum):
    """Why a property keeps a batch from being recommended."""

    UNTESTED = "untested"
    OPEN = "cannot tell"
    SIGNS = "signs of harm"
    CONDITIONAL = "conditional"
    WORSE = "worse"


@dataclass(frozen=True)
class Missing:
    """What keeps a batch from being recommended: label of the property, and why.

    `batches` are those that lack it: such as could not be ranked for that, or those of two between
    which it would decide; else none. `condition` is that on which it is shown only, in words, and
    `needed` how many `units` of each would do, None where no number is known.
    """

    property: str
    lack: Lack
    batches: tuple[str, ...] = ()
    condition: str = ""
    needed: int | None = None
    units: str = ""


@dataclass(frozen=True)
class Recommendation:
    """What is recommended for one application.

    Parameters
    ----------
    application
        Its name in the study, "" of the study itself.
    batch
        What is recommended, which may be the control; "" where nothing is.
    first
        The batch that is clearly first of what could be ranked, "" where none is.
    missing
        What keeps it from being recommended.
    because
        Why there is no ranking; "" where there is one.
    leading, next_best
        Where nothing is recommended, the batch that ranks first and the next one that is not worse
        on what decides; else "".
    undecided
        What is not settled on these two, the weightiest property first.
    comparison, ranking
        With the weights and margins of the application.
    """

    application: str
    batch: str
    first: str
    missing: tuple[Missing, ...]
    because: str
    comparison: Comparison = field(repr=False)
    ranking: Ranking | None = field(repr=False)
    leading: str = ""
    next_best: str = ""
    undecided: tuple[Missing, ...] = ()

    @property
    def weights_decide(self) -> bool:
        """Whether other weights would put the next best before the one that leads.

        So it is where the next best is ahead on some property that is weighed, or a weight halved
        or doubled has done so.
        """
        if self.ranking is None or not self.next_best:
            return False
        of = self.ranking.desirabilities
        leading, next_best = (
            as_shown(np.asarray(of.loc[one], dtype=float)) for one in (self.leading, self.next_best)
        )
        turned = (one for one in self.ranking.changes if one.first == self.next_best)
        return bool((next_best > leading).any()) or any(one.of_weight for one in turned)

    def verdicts(self, batch: str) -> list[Verdict]:
        """Return the verdicts on a batch, by the margins of the application."""
        return [one for one in self.comparison.verdicts if one.batch == batch]


def ranking_of(comparison: Comparison) -> tuple[Ranking | None, str]:
    """Return the ranking, or None and why there is none."""
    if not comparison.verdicts:
        return None, "nothing is compared"
    try:
        return rank(comparison), ""
    except NotDeterminable as why:
        return None, str(why)


def recommendations(
    comparison: Comparison,
    ranked: tuple[Ranking | None, str],
    compared: Callable[[Study], Comparison],
) -> tuple[Recommendation, ...]:
    """Return a recommendation for each application of the study, or one if it has none.

    Parameters
    ----------
    ranked
        What `ranking_of` returns of the comparison.
    compared
        Compares for a study with other margins.
    """
    study = comparison.study
    if not study.application:
        return (recommended("", comparison, *ranked),)
    found = []
    for name, of in study.application.items():
        own = study.in_use(name)
        mine = compared(own) if of.margin or of.margin_percent else _reweighed(comparison, own)
        found.append(recommended(name, mine, *ranking_of(mine)))
    return tuple(found)


def _reweighed(comparison: Comparison, study: Study) -> Comparison:
    """Return the same comparison with the weights of another study, on which no verdict rests."""
    asked = {one.name: one.made() for one in study.property}
    properties = tuple(
        study.on_line(
            replace(one, weight=asked[one.name].weight, decisive=asked[one.name].decisive)
        )
        for one in comparison.properties
    )
    return replace(comparison, study=study, properties=properties)


def recommended(
    application: str, comparison: Comparison, ranking: Ranking | None, no_ranking: str
) -> Recommendation:
    """Return what is recommended by a comparison and its ranking."""
    first = ranking.first if ranking is not None else ""
    missing = tuple(
        dict.fromkeys((*_missing(comparison, ranking, first), *_not_ranked(comparison, ranking)))
    )
    found = Recommendation(
        application, "" if missing else first, first, missing, no_ranking, comparison, ranking
    )
    if found.batch or ranking is None:
        return found
    leading, *others = ranking.table["batch"].tolist()
    next_best = next((one for one in others if not _is_out(comparison, one)), "")
    undecided = tuple(_undecided(comparison, (leading, next_best))) if next_best else ()
    return replace(found, leading=leading, next_best=next_best, undecided=undecided)


def _is_out(comparison: Comparison, batch: str) -> bool:
    """Whether a batch is worse on something that the study calls decisive."""
    decisive = {one.label for one in comparison.properties if one.decisive}
    return any(
        one.batch == batch and one.property in decisive and lack_of(one) is Lack.WORSE
        for one in comparison.verdicts
    )


def _undecided(comparison: Comparison, batches: tuple[str, ...]) -> Iterator[Missing]:
    """Return what is not settled on some batches, of what counts; the weightiest first.

    What two lack of a property in the same way is one.
    """
    weighed = [one for one in comparison.properties if one.weight or one.decisive]
    for wanted in sorted(weighed, key=lambda one: -one.weight):
        found: dict[tuple[Lack, str], list[Missing]] = {}
        for one in comparison.verdicts:
            if one.property != wanted.label or one.batch not in batches:
                continue
            lacking = _lacking_on(one)
            if lacking is not None and lacking.lack is not Lack.WORSE:
                found.setdefault((lacking.lack, lacking.condition), []).append(lacking)
        yield from map(_together, found.values())


def _together(of: Sequence[Missing]) -> Missing:
    """Return what several batches lack of a property in the same way as one; the most is needed."""
    needed = max((one.needed for one in of if one.needed is not None), default=None)
    batches = tuple(batch for one in of for batch in one.batches)
    return replace(of[0], batches=batches, needed=needed)


def _lacking_on(one: Verdict) -> Missing | None:
    """Return what keeps a batch from being recommended by one verdict; None where nothing does."""
    lack = lack_of(one)
    if lack is None:
        return None
    more = one.needed is not None and one.needed > min(one.n, one.n_control)
    condition = one.condition if lack is Lack.CONDITIONAL else ""
    needed = one.needed if more else None
    return Missing(one.property, lack, (one.batch,), condition, needed, one.units)


def _missing(comparison: Comparison, ranking: Ranking | None, first: str) -> Iterator[Missing]:
    """Return what keeps the first from being recommended; without a first, what nobody tells."""
    unknown = comparison.study.decisive_without(comparison.properties)
    yield from (Missing(label, Lack.UNTESTED) for label in unknown)
    for wanted in _decisive(comparison, ranking):
        mine = [one for one in comparison.verdicts if one.property == wanted.label]
        untested = tuple(one.batch for one in mine if not _is_tested(one))
        if first and first != comparison.control:
            lacking = (_lacking_on(one) for one in mine if one.batch == first)
            yield from (replace(one, batches=()) for one in lacking if one is not None)
        elif ranking is None and untested:
            yield Missing(wanted.label, Lack.UNTESTED, untested)
        elif mine and len(untested) == len(mine):
            yield Missing(wanted.label, Lack.UNTESTED)


def _not_ranked(comparison: Comparison, ranking: Ranking | None) -> Iterator[Missing]:
    """Return what candidates without a place in the ranking lack."""
    if ranking is None:
        return
    placed = {*ranking.table["batch"]}
    for label in ranking.desirabilities:
        mine = [one for one in comparison.verdicts if one.property == label]
        untested = (one.batch for one in mine if not _is_tested(one))
        lacking = tuple(batch for batch in untested if batch not in placed)
        if lacking:
            yield Missing(str(label), Lack.UNTESTED, lacking)


def _decisive(comparison: Comparison, ranking: Ranking | None) -> list[Property]:
    """Return what must be settled: what is called decisive, else what the ranking has left out."""
    named = [one for one in comparison.properties if one.decisive]
    if named or any(one.decisive for one in comparison.study.property):
        return named
    ranked = () if ranking is None else tuple(ranking.desirabilities)
    return [one for one in comparison.properties if one.weight and one.label not in ranked]


def _is_tested(one: Verdict) -> bool:
    return min(one.n, one.n_control) > 0


def lack_of(one: Verdict) -> Lack | None:
    """Return why a verdict keeps its batch from being recommended; None where it does not."""
    match one.outcome:
        case VerdictWord.BETTER | VerdictWord.NOT_WORSE:
            return Lack.CONDITIONAL if one.standing is Firmness.CONDITIONAL else None
        case VerdictWord.WORSE:
            return Lack.WORSE
        case VerdictWord.SIGNS_OF_HARM:
            return Lack.SIGNS
        case VerdictWord.CANNOT_TELL:
            return Lack.OPEN if _is_tested(one) else Lack.UNTESTED
        case VerdictWord.NOT_TESTED:
            return Lack.UNTESTED
        case _:
            assert_never(one.outcome)
