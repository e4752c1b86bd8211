"""What is recommended, in a sentence for each application, with the reason or what is missing."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.first_place import CLEAR, Doubt, NoFirst
from tiecoat.compare.ranking import Ranking
from tiecoat.compare.recommendation import Lack, Missing, Recommendation
from tiecoat.compare.study import Application
from tiecoat.compare.verdict import Firmness, Verdict, VerdictWord
from tiecoat.report.labels import label_words, number, recipe_names
from tiecoat.report.words import in_numbers, joined, say, translated
from tiecoat.wording import capital

NEAR = 0.05  # of the draws that a batch must be first in to come near; ours
NAMED = 3  # batches, or properties, up to which each is named
SETTLED = (VerdictWord.BETTER, VerdictWord.WORSE)


def recommendation_words(one: Recommendation) -> str:
    """Return the recommendation of one application with its reason, or what is missing for one.

    Short sentences, to be read aloud: what is recommended, or who leads; what is missing, and what
    would settle it; who is next, and what would decide between the two.
    """
    told = " ".join([*_first_words(one), *_next_best(one)])
    return f"{one.application}: {told}" if one.application else told


def _first_words(one: Recommendation) -> Iterator[str]:
    """Tell what is recommended, or why nothing is; and who has no place in the ranking."""
    yield from _recommended(one) if one.batch else _not_recommended(one)
    if unranked := [_who(one.comparison, batch) for batch in _unranked(one)]:
        yield say("Not in the ranking: {names}.", names=joined(unranked))
    if unweighed := _unweighed(one):
        yield say("Not weighed, as the ranking says: {names}.", names=joined(unweighed))


def _recommended(one: Recommendation) -> Iterator[str]:
    assert one.ranking is not None
    yield say("Recommended is {batch}.", batch=_who(one.comparison, one.batch))
    yield say(
        "It comes first in {share} of the recalculations within the scatter of the data, and with"
        " each margin and weight halved and doubled.",
        share=share_words(one.ranking.share),
    )
    yield from _on_its_verdicts(one.verdicts(one.batch))


def _not_recommended(one: Recommendation) -> Iterator[str]:
    """Tell why nothing is recommended, who leads, what is missing and what would settle it."""
    losses = [label_words(x.property) for x in one.missing if x.lack is Lack.WORSE]
    if losses or (one.ranking is None and not one.missing):
        yield say("No recommendation.")
    else:
        yield say("No recommendation yet.")
    if one.ranking is None:
        reason = translated(one.because.partition("; ")[0])  # the whole stands with the ranking
        yield say("There is no ranking: {reason}.", reason=reason)
    elif one.ranking.no_first is not None:
        yield no_first_words(one.comparison, one.ranking)
    else:
        yield capital(say("{batch} leads.", batch=_who(one.comparison, one.first)))
    if losses:
        yield say("But it is worse on {losses}.", losses=joined(losses))
        return
    if missing := list(_missing_words(one)):
        yield say("Missing: {missing}.", missing="; ".join(missing))
    if needs := [_need(of) for of in one.missing if of.needed is not None]:
        yield say("It would take {needs}.", needs=joined(needs))


def no_first_words(comparison: Comparison, ranking: Ranking) -> str:
    """Return why no batch is clearly first, in a sentence; "" where one is."""
    why = ranking.no_first
    return "" if why is None else capital(_doubted(comparison, ranking, why))


def _doubted(comparison: Comparison, ranking: Ranking, why: NoFirst) -> str:
    if why.doubt is Doubt.SHARED:
        first = ranking.table.loc[ranking.table["rank"] == 1, "batch"]
        names = joined([_who(comparison, one) for one in first])
        return say("{names} share the first place.", names=names)
    leading, share = _who(comparison, why.leading), share_words(why.share)
    if why.doubt is Doubt.DRAWS:
        return say(
            "{leading} leads, but not surely: it comes first in {share} of the recalculations"
            " within the scatter of the data, and {least} are asked.",
            leading=leading,
            share=share,
            least=share_words(CLEAR),
        )
    if why.change is None:
        return say(
            "{leading} leads, but if each batch were made again it would come first in {share} of"
            " the recalculations only.",
            leading=leading,
            share=share,
        )
    what = translated(why.change.what)
    if not why.change.first:
        return say(
            "{leading} leads, but with the {what} several share the first place.",
            leading=leading,
            what=what,
        )
    return say(
        "{leading} leads, but with the {what} {first} does.",
        leading=leading,
        what=what,
        first=_who(comparison, why.change.first),
    )


def _next_best(one: Recommendation) -> Iterator[str]:
    """Tell who is next where nothing is recommended, and what would decide between the two."""
    if not one.next_best:
        return
    assert one.ranking is not None
    second, share = _who(one.comparison, one.next_best), one.ranking.chances[1][one.next_best]
    if share < NEAR and not any(of.first == one.next_best for of in one.ranking.changes):
        yield say("Far behind comes {batch}.", batch=second)
        return
    yield say(
        "Next is {batch}, first in {share} of the recalculations.",
        batch=second,
        share=share_words(float(share)),
    )
    yield from _on_its_verdicts(one.verdicts(one.next_best), SETTLED)
    yield from _most_often(one)
    told = {of.property for of in one.missing}
    needs = [_to_settle(of) for of in _by_property(one.undecided) if of[0].property not in told]
    if any(of.lack is Lack.WORSE for of in one.missing):
        return
    if not one.undecided:
        yield from _nothing_open(one)
    elif len(needs) > NAMED:
        yield say(
            "To decide between the two it would take above all {needs}.",
            needs=joined(needs[:NAMED]),
        )
    elif needs:
        yield say("To decide between the two it would take {needs}.", needs=joined(needs))


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
            next_best=_who(one.comparison, one.next_best),
            leading=_who(one.comparison, one.leading),
        )


def _most_often(one: Recommendation) -> Iterator[str]:
    """Tell who is first in more draws than the batch that ranks first, and why it does not."""
    assert one.ranking is not None
    ranks = one.ranking.table.set_index("batch")
    often, share = str(one.ranking.chances[1].idxmax()), float(one.ranking.chances[1].max())
    if share <= one.ranking.share or ranks["rank"][often] == 1:
        return
    yield say(
        "{often} comes first more often ({share} against {less}), but on the average of all"
        " recalculations {leading} stands better: {high} against {low} on a scale from 0 to 1.",
        often=capital(_who(one.comparison, often)),
        share=share_words(share),
        leading=_who(one.comparison, one.leading),
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


def _to_settle(of: Sequence[Missing]) -> str:
    """Return what would settle one property: so many of each, else the property alone."""
    most = max(of, key=lambda one: one.needed or 0)
    return _need(most) if most.needed is not None else _certainty(most)


def _certainty(of: Missing) -> str:
    return say("certainty on {property}", property=label_words(of.property))


def _need(of: Missing) -> str:
    return say(
        "{needed} {units} of each for {property}",
        needed=of.needed,
        units=translated(of.units),
        property=label_words(of.property),
    )


def _who(comparison: Comparison, batch: str) -> str:
    """Return a batch by its recipe, with its own name where others have the same recipe."""
    if batch == comparison.control:
        return say("the control")
    return recipe_names(comparison.batches, [*comparison.batches.index])[batch]


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


def _missing_words(one: Recommendation) -> Iterator[str]:
    """Return what is missing, what is so in the same way together."""
    found: dict[tuple[Lack, str], list[str]] = {}
    compared = len(one.comparison.candidates)
    for lacking in one.missing:
        told = label_words(lacking.property)
        if lacking.batches and len(lacking.batches) < compared:
            count = len(lacking.batches)
            whose = say("{count} of {all} candidates", count=count, all=compared)
            names = joined([_who(one.comparison, batch) for batch in lacking.batches])
            told = f"{told} ({names if count <= NAMED else whose})"
        found.setdefault((lacking.lack, lacking.condition), []).append(told)
    for (lack, condition), of in found.items():
        yield f"{joined(of)}, {_lack_words(lack, condition)}"


def _lack_words(lack: Lack, condition: str) -> str:
    if lack is Lack.CONDITIONAL:
        return say("shown only {condition}", condition=translated(condition))
    return translated(lack.value)


def _on_its_verdicts(
    verdicts: Sequence[Verdict], told: Collection[VerdictWord] = tuple(VerdictWord)
) -> Iterator[str]:
    """Tell what its verdicts say, of some words; the gains first, what is conditional as such."""
    for outcome in (
        VerdictWord.BETTER,
        VerdictWord.WORSE,
        VerdictWord.SIGNS_OF_HARM,
        VerdictWord.CANNOT_TELL,
    ):
        found: dict[str, list[str]] = {}
        for one in verdicts:
            if one.outcome is outcome and outcome in told:
                is_bound = one.standing is Firmness.CONDITIONAL
                condition = translated(one.condition) if is_bound else ""
                found.setdefault(condition, []).append(label_words(one.property))
        for condition, of in sorted(found.items()):
            on = f"{joined(of)}, {condition}" if condition else joined(of)
            yield _verdict_words(outcome, on)


def _verdict_words(outcome: VerdictWord, on: str) -> str:
    match outcome:
        case VerdictWord.BETTER:
            return say("It is better on {properties}.", properties=on)
        case VerdictWord.WORSE:
            return say("It is worse on {properties}.", properties=on)
        case VerdictWord.SIGNS_OF_HARM:
            return say("It shows signs of harm on {properties}.", properties=on)
        case _:
            return say("Open is {properties}.", properties=on)


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
        told = " ".join(_first_words(one))
        rows.append([one.application, "; ".join(_asked(asked)), told])
    return rows
