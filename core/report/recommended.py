"""What is recommended, in a sentence for each application, with the reason or what is missing."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.recommendation import Lack, Missing, Recommendation
from tiecoat.compare.study import Application
from tiecoat.compare.verdict import Verdict, VerdictWord
from tiecoat.report.labels import label_words, number, recipe_words
from tiecoat.report.words import in_numbers, joined, say, translated

NAMED = 3  # batches, or properties, up to which each is named
SETTLED = (VerdictWord.BETTER, VerdictWord.WORSE)


def recommendation_words(one: Recommendation) -> str:
    """Return the recommendation of one application with its reason, or what is missing for one."""
    return " ".join(recommendation_sentences(one))


def recommendation_sentences(one: Recommendation) -> list[str]:
    """Return what is recommended; and where nothing is, who is next and what would decide."""
    told = [_with_unranked(one), " ".join(_next_best(one))]
    who = f"{one.application}: " if one.application else ""
    return [f"{who}{part}" for part in told if part]


def _with_unranked(one: Recommendation) -> str:
    told = _told(one)
    if unranked := _unranked(one):
        told += " " + say("Not in the ranking: {names}.", names=", ".join(unranked))
    if unweighed := _unweighed(one):
        told += " " + say("Not weighed, as the ranking says: {names}.", names=joined(unweighed))
    return told


def _told(one: Recommendation) -> str:
    if not one.first:
        reason = translated(one.because.partition("; ")[0])  # the whole stands with the ranking
        if lacking := _lacking(one):
            return say("No recommendation: {reason}; {missing}.", reason=reason, missing=lacking)
        return say("No recommendation: {reason}.", reason=reason)
    who = _who(one.comparison, one.first)
    if losses := [label_words(x.property) for x in one.missing if x.lack is Lack.WORSE]:
        return say(
            "No recommendation: of what could be ranked {batch} comes out first, but it is worse on"
            " {losses}.",
            batch=who,
            losses=joined(losses),
        )
    if lacking := _lacking(one):
        return say(
            "No recommendation yet: of what could be ranked {batch} comes out first, but what"
            " decides is not settled; {missing}.",
            batch=who,
            missing=lacking,
        )
    assert one.ranking is not None
    return say(
        "Recommended is {batch}: first in {share} of the draws, and with each margin and weight"
        " halved and doubled{verdicts}.",
        batch=who,
        share=share_words(one.ranking.share),
        verdicts="".join(_on_its_verdicts(one.verdicts(one.first))),
    )


def _next_best(one: Recommendation) -> Iterator[str]:
    """Tell who is next where nothing is recommended, and what would decide between the two."""
    if not one.next_best:
        return
    assert one.ranking is not None
    yield say(
        "Next best is {batch}, first in {share} of the draws{verdicts}.",
        batch=_who(one.comparison, one.next_best),
        share=share_words(float(one.ranking.chances[1][one.next_best])),
        verdicts="".join(_on_its_verdicts(one.verdicts(one.next_best), SETTLED)),
    )
    yield from _most_often(one)
    if not one.undecided and any(of.lack is Lack.WORSE for of in one.missing):
        return
    if not one.undecided:
        yield from _nothing_open(one)
        return
    told = [_missing_on(of) for of in _by_property(one.undecided)]
    rest = len(told) - NAMED
    more = say("; and {count} more, see what next", count=rest) if rest > 0 else ""
    yield say(
        "To decide between the two: {missing}{more}.", missing=joined(told[:NAMED]), more=more
    )


def _nothing_open(one: Recommendation) -> Iterator[str]:
    """Tell what decides between two on which nothing is open: weights, if they can."""
    if one.weights_decide:
        yield say(
            "On neither of the two anything is open: how much each property weighs decides between"
            " them, and that is for the responsible person to say."
        )
    elif not one.first:
        yield say(
            "On neither of the two anything is open, and {next_best} is ahead of {leading} on"
            " nothing that is weighed: they lie too close together to be told apart.",
            next_best=one.next_best,
            leading=one.leading,
        )


def _most_often(one: Recommendation) -> Iterator[str]:
    """Tell who is first in more draws than the batch that ranks first, and why it does not."""
    assert one.ranking is not None
    ranks = one.ranking.table.set_index("batch")
    often, share = str(one.ranking.chances[1].idxmax()), float(one.ranking.chances[1].max())
    if share <= one.ranking.share or ranks["rank"][often] == 1:
        return
    yield say(
        "{often} is first in more draws ({share}) than {leading} ({less}), but batches rank by"
        " their desirability in the mean of all draws: {low} against {high}.",
        often=often,
        share=share_words(share),
        leading=one.leading,
        less=share_words(one.ranking.share),
        low=in_numbers(f"{ranks['desirability'][often]:.2f}"),
        high=in_numbers(f"{ranks['desirability'][one.leading]:.2f}"),
    )


def _by_property(missing: Sequence[Missing]) -> list[list[Missing]]:
    """Return what is missing, that on one property together."""
    found: dict[str, list[Missing]] = {}
    for one in missing:
        found.setdefault(one.property, []).append(one)
    return [*found.values()]


def _missing_on(of: Sequence[Missing]) -> str:
    """Tell what is missing on one property: what is the matter, of which batches, what would do."""
    by_lack: dict[str, list[str]] = {}
    for one in of:
        by_lack.setdefault(translated(one.lack.value), []).extend(one.batches)
    told = [f"{lack}: {joined(batches)}" for lack, batches in by_lack.items()]
    needed = max((one.needed for one in of if one.needed is not None), default=None)
    if needed is not None:
        told.append(say("{needed} of each would do", needed=needed))
    return f"{label_words(of[0].property)} ({'; '.join(told)})"


def _who(comparison: Comparison, batch: str) -> str:
    if batch == comparison.control:
        return say("the control {control}", control=batch)
    return f"{recipe_words(comparison.batches, batch)} ({batch})"


def share_words(share: float) -> str:
    """Return a share of the draws; not all of them is never told as 100 %.

    Examples
    --------
    >>> share_words(1.0), share_words(0.9995), share_words(0.874)
    ('100 %', '99.9 %', '87 %')
    """
    percent = 100 * share
    told = f"{min(percent, 99.9):.1f}" if 99 <= percent < 100 else f"{percent:.0f}"
    return f"{in_numbers(told)} %"


def _lacking(one: Recommendation) -> str:
    """Return what is missing, by what is the matter."""
    found: dict[Lack, list[str]] = {}
    compared = len(one.comparison.candidates)
    for lacking in one.missing:
        told = label_words(lacking.property)
        if lacking.batches and len(lacking.batches) < compared:
            count = len(lacking.batches)
            whose = say("{count} of {all} candidates", count=count, all=compared)
            told = f"{told} ({joined(list(lacking.batches)) if count <= NAMED else whose})"
        found.setdefault(lacking.lack, []).append(told)
    return "; ".join(f"{translated(lack.value)}: {joined(of)}" for lack, of in found.items())


def _on_its_verdicts(
    verdicts: Sequence[Verdict], told: Collection[VerdictWord] = tuple(VerdictWord)
) -> Iterator[str]:
    """Return what its verdicts say, of some words; the gains before what is against it."""
    heads = {
        VerdictWord.BETTER: say("better on"),
        VerdictWord.WORSE: say("but worse on"),
        VerdictWord.SIGNS_OF_HARM: say("but signs of harm on"),
        VerdictWord.CANNOT_TELL: say("open is"),
    }
    for outcome, head in heads.items():
        mine = [label_words(one.property) for one in verdicts if one.outcome is outcome]
        if mine and outcome in told:
            yield f"; {head} {joined(mine)}"


def _unranked(one: Recommendation) -> list[str]:
    if one.ranking is None:
        return []
    ranked = set(one.ranking.table["batch"])
    return [batch for batch in one.comparison.candidates if batch not in ranked]


def _unweighed(one: Recommendation) -> list[str]:
    """Return what has a weight and is left out of the ranking of all; how much of it, if many."""
    if one.ranking is None:
        return []
    ranked = set(one.ranking.desirabilities)
    out = [x for x in one.comparison.properties if x.weight and x.label not in ranked]
    if len(out) > NAMED:
        return [say("{count} properties", count=len(out))]
    return [label_words(x.label) for x in out]


def _asked(of: Application) -> Iterator[str]:
    decisive = []
    for key, name, coats in of.named():
        what = ", ".join(filter(None, (translated(name), coats)))
        match key:
            case "weight":
                told = number(of.weight[name][coats])
                yield say("weight of {property} {number}", property=what, number=told)
            case "margin":
                told = number(of.margin[name][coats])
                yield say("margin of {property} {number}", property=what, number=told)
            case "margin_percent":
                told = f"{number(of.margin_percent[name][coats])} %"
                yield say("margin of {property} {number}", property=what, number=told)
            case _:
                decisive.append(what)
    if decisive:
        yield say("decisive: {names}", names=joined(decisive))


def application_rows(recommended: Sequence[Recommendation]) -> list[list[str]]:
    """Return a row for each application: what it asks for otherwise, and what is recommended."""
    rows = []
    for one in recommended:
        if not one.application:
            continue
        asked = one.comparison.study.application[one.application]
        rows.append([one.application, "; ".join(_asked(asked)), _with_unranked(one)])
    return rows
