"""The first page: which candidate, how sure, what harm, on what it rests, what next."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import chain, repeat

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.comparison import ONE_BATCH, Comparison
from tiecoat.compare.ranking import Ranking
from tiecoat.compare.uncompared import NotCompared
from tiecoat.compare.verdict import Firmness, VerdictWord
from tiecoat.report.conclusions import CandidateRow
from tiecoat.report.labels import (
    OUTCOME_WORDS,
    effect_text,
    ends_text,
    label_words,
    left_out_words,
    recipe_words,
)
from tiecoat.report.next_steps import next_words
from tiecoat.report.noted import noted_words
from tiecoat.report.quality import Quality
from tiecoat.report.recommended import no_first_words, recommendation_words, share_words
from tiecoat.report.words import joined, say, say_counted, translated

TOLD_MISSING = 3  # sentences on data that are missing
MOST_PAIRS = 6  # that are told one by one
NAMED = 3  # properties, or verdicts, up to which each is named


class AnswerTo(Enum):
    """What a block of the first page answers."""

    RECOMMENDED = "recommended"
    WHICH = "which"
    SURE = "sure"
    BENEFIT = "benefit"
    HARM = "harm"
    AGAINST = "against"
    ASSUMED = "assumed"
    OPEN = "open"
    REACH = "reach"
    NOTED = "noted"
    LEFT_OUT = "left out"
    NOT_COMPARED = "not compared"
    NOT_TESTED = "not tested"
    NEXT = "next"


@dataclass(frozen=True)
class Answer:
    """A heading of the first page, and the sentences beside it."""

    of: AnswerTo
    sentences: Sequence[str]

    @property
    def code(self) -> str:
        """Its class on the page."""
        return self.of.name.lower().replace("_", "-")

    @property
    def heading(self) -> str:
        """Its heading."""
        return {
            AnswerTo.RECOMMENDED: say("Recommended"),
            AnswerTo.WHICH: say("Which candidate"),
            AnswerTo.SURE: say("How sure"),
            AnswerTo.BENEFIT: say("What benefit"),
            AnswerTo.HARM: say("What harm"),
            AnswerTo.AGAINST: say("Candidate against candidate"),
            AnswerTo.ASSUMED: say("Resting on"),
            AnswerTo.OPEN: say("Left open"),
            AnswerTo.REACH: say("Out of reach"),
            AnswerTo.NOTED: say("To note"),
            AnswerTo.LEFT_OUT: say("Left out by the study"),
            AnswerTo.NOT_COMPARED: say("Measured, not compared"),
            AnswerTo.NOT_TESTED: say("Not tested"),
            AnswerTo.NEXT: say("What next"),
        }[self.of]


def first_page(data: StudyData, rows: Sequence[CandidateRow], quality: Quality) -> list[Answer]:
    """Return the blocks of the first page that have something to say, in order."""
    if not rows:
        return [Answer(AnswerTo.WHICH, list(_nothing(data)))]
    found = {
        AnswerTo.RECOMMENDED: [recommendation_words(one) for one in data.recommendations],
        AnswerTo.WHICH: _which(data.comparison, rows),
        AnswerTo.SURE: _sure(data),
        AnswerTo.BENEFIT: _shown(data.comparison, rows, _benefit_of),
        AnswerTo.HARM: _shown(data.comparison, rows, _harm_of),
        AnswerTo.AGAINST: _against(data.comparison),
        AnswerTo.ASSUMED: _assumed(data.comparison),
        AnswerTo.OPEN: list(_open(rows)),
        AnswerTo.REACH: _out_of_reach(data.comparison),
        AnswerTo.NOTED: noted_words(data.comparison),
        AnswerTo.LEFT_OUT: [left_out_words(one) for one in data.comparison.left_out],
        AnswerTo.NOT_COMPARED: _not_compared(data.comparison, quality),
        AnswerTo.NOT_TESTED: _not_tested(data.comparison, quality),
        AnswerTo.NEXT: next_words(data.comparison),
    }
    return [Answer(of, found[of]) for of in AnswerTo if found[of]]


def _nothing(data: StudyData) -> Iterator[str]:
    comparison = data.comparison
    if comparison.problems:
        yield say("Nothing could be compared; the reasons stand below.")
    else:
        yield say("Nothing could be compared; there are no results.")
    others = [one for one in comparison.batches.index if one != comparison.control]
    if others:
        names = [f"{one} ({recipe_words(comparison.batches, one)})" for one in others]
        yield say("Not compared: {names}.", names=joined(names))


def _which(comparison: Comparison, rows: Sequence[CandidateRow]) -> list[str]:
    on = _properties(comparison, say("all {count} properties", count=len(comparison.properties)))
    safe = [one for one in rows if one.no_harm]
    if_alike = [one for one in rows if one.no_harm_if_alike and not one.no_harm]
    if safe:
        names = joined([one.name for one in safe])
        told = [say("Shown to do no harm on {properties}: {names}.", properties=on, names=names)]
    else:
        told = [say("No candidate is shown to do no harm on {properties}.", properties=on)]
    by_condition: dict[str, list[str]] = {}
    for one in if_alike:
        conditions = [translated(x) for x in comparison.harm(one.batch).safe_only]
        by_condition.setdefault(joined(conditions), []).append(one.name)
    for condition, of in by_condition.items():
        told.append(
            say("Only {condition} it is shown for {names}.", condition=condition, names=joined(of))
        )
    if others := [one for one in rows if one not in safe and one not in if_alike]:
        names = joined([one.batch for one in others])
        told.append(say("It is not shown for {names}.", names=names))
    return told


def _properties(comparison: Comparison, many: str) -> str:
    """Return the properties by name, or the words for them where they are many."""
    labels = [label_words(one.label) for one in comparison.properties]
    return joined(labels) if len(labels) <= NAMED else many


def _sure(data: StudyData) -> list[str]:
    joint = [translated(data.comparison.joint_error)]
    if data.ranking is None:
        reason = translated(data.no_ranking.partition("; ")[0])  # the whole stands with the ranking
        told = [say("There is no ranking: {reason}.", reason=reason)]
    else:
        first = _first(data.comparison, data.ranking)
        if first and data.comparison.study.application:
            first = say(
                "By the weights of the study itself, not of an application: {told}", told=first
            )
        told = [first, *stability_words(data.ranking)]
    return [*filter(None, [*told, *joint])]


def _first(comparison: Comparison, ranking: Ranking) -> str:
    first = ranking.table.loc[ranking.table["rank"] == 1, "batch"].tolist()
    if len(first) > 1:
        return say(
            "With the weights of the study no batch comes out first overall: {batches} share the"
            " first rank.",
            batches=", ".join(first),
        )
    if not ranking.first:
        return no_first_words(comparison, ranking) if comparison.study.application else ""
    if ranking.first == comparison.control:
        who = say("the control {control}", control=ranking.first)
    else:
        who = f"{ranking.first} ({recipe_words(comparison.batches, ranking.first)})"
    ranked = len(ranking.desirabilities.columns)
    return say(
        "Over the {count} of {all} properties that could be ranked {who} comes out clearly first:"
        " in {share} of the draws that test how stable this is, and with each margin and weight"
        " halved and doubled.",
        count=ranked,
        all=len(comparison.properties),
        who=who,
        share=share_words(ranking.share),
    )


def stability_words(ranking: Ranking) -> list[str]:
    """Tell who is first with other margins and weights, and with the scatter of batches."""
    told = []
    if ranking.changes and not ranking.first:
        counts = Counter(one.first for one in ranking.changes)
        shared = counts.pop("", 0)
        each = [f"{batch} {say_counted(count, 'time')}" for batch, count in counts.most_common()]
        if each and shared:
            each.append(say("nobody alone {times}", times=say_counted(shared, "time")))
        told.append(
            say(
                "With each margin and weight halved and doubled, one at a time ({count} changes),"
                " first is: {each}.",
                count=len(ranking.changes),
                each=joined(each) if each else say("nobody alone"),
            )
        )
    if (batches := ranking.with_batches) is not None:
        told.append(
            say(
                "With batches that scatter as those of one recipe in the archive do, {batch} is"
                " first in {share} of the draws.",
                batch=batches.first or say("nobody alone"),
                share=f"{100 * batches.share:.0f} %",
            )
        )
    if ranking.no_batches:
        reason = translated(ranking.no_batches)
        told.append(say("The ranking knows only the scatter of panels: {reason}.", reason=reason))
    return told


def _shown(
    comparison: Comparison,
    rows: Sequence[CandidateRow],
    told_of: Callable[[CandidateRow], Iterator[str]],
) -> list[str]:
    """Tell what is shown of the candidates, or that nothing is."""
    told = [sentence for one in rows for sentence in told_of(one)]
    if not told:
        count = len(comparison.properties)
        on = _properties(comparison, say("any of the {count} properties", count=count))
        told.append(say("None is shown on {properties}.", properties=on))
    return told


def _claims(row: CandidateRow, claim: VerdictWord) -> list[str]:
    """Return on what a candidate is so, with effect and interval, each condition apart behind it.

    What stands on none comes first. Where it would be so on a condition only and is something else
    without it, the interval is the one without it.
    """
    found: dict[str, list[str]] = {}
    for one in row.verdicts:
        ends = ends_text(one)
        if one.outcome is claim:
            condition = "" if one.standing is Firmness.FIRM else translated(one.condition)
        elif one.if_alike is claim:
            condition = translated(one.condition)
            ends = say("{interval} without that condition", interval=ends)
        else:
            continue
        numbers = "; ".join(told for told in (effect_text(one), ends) if told not in {"", "–"})
        found.setdefault(condition, []).append(f"{label_words(one.property)} ({numbers})")
    return [
        f"{joined(of)}, {condition}" if condition else joined(of)
        for condition, of in sorted(found.items())
    ]


def _benefit_of(row: CandidateRow) -> Iterator[str]:
    """Tell on what a candidate is better, and on what only on a condition."""
    names = _names(row)
    for gains in _claims(row, VerdictWord.BETTER):
        yield say("{candidate} is better on {gains}.", candidate=next(names), gains=gains)


def _harm_of(row: CandidateRow) -> Iterator[str]:
    """Tell what harm is shown of a candidate, what only on a condition, and where signs are."""
    names = _names(row)
    for losses in _claims(row, VerdictWord.WORSE):
        yield say("{candidate} is worse on {losses}.", candidate=next(names), losses=losses)
    for signs in _claims(row, VerdictWord.SIGNS_OF_HARM):
        yield say(
            "{candidate} shows signs of harm on {signs}: worse, if that stood alone.",
            candidate=next(names),
            signs=signs,
        )


def _names(row: CandidateRow) -> Iterator[str]:
    """Name a candidate with its recipe in the first sentence, and by its batch from then on."""
    return chain([row.name], repeat(row.batch))


def _assumed(comparison: Comparison) -> list[str]:
    """List what is not worse on a condition only, by the condition; then what all stand on.

    Benefit and harm are told with theirs already. Many that are not worse are counted: the table
    of all verdicts draws each hollow.
    """
    found: dict[str, dict[str, list[str]]] = {}
    for one in comparison.verdicts:
        claim = one.if_alike if one.standing is Firmness.FIRM else one.outcome
        if claim is VerdictWord.NOT_WORSE:
            of = found.setdefault(translated(one.condition), {})
            of.setdefault(label_words(one.property), []).append(one.batch)
    told = [
        say(
            "{verdict}, {condition}: {properties}.",
            verdict=translated(OUTCOME_WORDS[VerdictWord.NOT_WORSE][1]),
            condition=condition,
            properties=_listed(by_label),
        )
        for condition, by_label in found.items()
    ]
    return [*told, translated(ONE_BATCH)]


def _listed(by_label: Mapping[str, Sequence[str]]) -> str:
    count = sum(map(len, by_label.values()))
    if count > NAMED:
        return say("{count} verdicts, drawn hollow in the table of all verdicts", count=count)
    return joined([f"{label} ({', '.join(of)})" for label, of in by_label.items()])


def _open(rows: Sequence[CandidateRow]) -> Iterator[str]:
    """Tell by property of which candidates nothing can be told, and of which for what reason."""
    unclear: dict[str, list[str]] = {}
    untested: dict[str, list[str]] = {}
    apart: dict[str, list[str]] = {}
    for one in rows:
        for x in one.verdicts:
            label = label_words(x.property)
            if x.outcome is VerdictWord.NOT_TESTED:
                untested.setdefault(label, []).append(one.batch)
            if x.outcome is not VerdictWord.CANNOT_TELL:
                continue
            if x.is_comparable:
                unclear.setdefault(label, []).append(one.batch)
            else:
                apart.setdefault(translated(x.because), []).append(f"{one.batch} ({label})")
    for label, batches in unclear.items():
        yield say(
            "Cannot tell on {property}: {batches}.", property=label, batches=", ".join(batches)
        )
    for label, batches in untested.items():
        yield say(
            "Not tested on {property}: {batches}.", property=label, batches=", ".join(batches)
        )
    for reason, whose in apart.items():
        yield f"{', '.join(whose)}: {reason}"


def _out_of_reach(comparison: Comparison) -> list[str]:
    """Tell what so many panels cannot show, whatever comes out."""
    out = comparison.out_of_reach
    return [f"{label_words(one.label)}: {translated(one.told)}." for one in out]


def _against(comparison: Comparison) -> list[str]:
    """Tell which candidate is better than which other one, each pair once, and on what."""
    if not comparison.references:
        return []
    found: dict[tuple[str, str], dict[str, None]] = {}
    for one in comparison.pairs:
        better = {
            VerdictWord.BETTER: (one.batch, one.control),
            VerdictWord.WORSE: (one.control, one.batch),
        }.get(one.outcome)
        if better is not None and one.standing is not Firmness.CONDITIONAL:
            found.setdefault(better, {})[label_words(one.property)] = None
    told = [
        say(
            "{first} is better than {second} on {properties}.",
            first=f"{first} ({recipe_words(comparison.batches, first)})",
            second=f"{second} ({recipe_words(comparison.batches, second)})",
            properties=joined(list(labels)),
        )
        for (first, second), labels in found.items()
    ]
    if not told:
        return [say("Of the candidates compared with each other none is shown to be better.")]
    if len(told) > MOST_PAIRS:
        rest = say("{count} more pairs differ; they stand below.", count=len(told) - MOST_PAIRS)
        return [*told[:MOST_PAIRS], rest]
    return told


def _not_compared(comparison: Comparison, quality: Quality) -> list[str]:
    """Tell what is filed and not compared, by the reason; and what is held."""
    by_reason: dict[str, list[str]] = {}
    for one in comparison.not_compared:
        by_reason.setdefault(translated(one.why), []).append(thing_words(one))
    told = [
        say("Filed and not compared ({reason}): {things}.", reason=reason, things=joined(things))
        for reason, things in by_reason.items()
    ]
    if count := len(quality.held):
        told.append(
            say(
                "Held and not filed, so that nothing here is computed from it: {files} of this"
                " study.",
                files=say_counted(count, "file"),
            )
        )
    return told


def _not_tested(comparison: Comparison, quality: Quality) -> list[str]:
    """Tell which properties were never measured, which batches have no results, what is missing."""
    told = []
    if comparison.never_measured:
        names = joined([translated(one) for one in comparison.never_measured])
        told.append(say("Never measured on these batches: {names}.", names=names))
    if batches := comparison.without_results:
        told.append(say("Registered, without any result yet: {names}.", names=", ".join(batches)))
    told += [f"{one}." for one in quality.missing[:TOLD_MISSING]]
    if len(quality.missing) > TOLD_MISSING:
        told.append(say("More is missing; see how good the data are."))
    return told


def thing_words(one: NotCompared) -> str:
    """Return what is not compared: a kind by its name alone, else a property with its line.

    Examples
    --------
    >>> thing_words(NotCompared("film thickness, 234 measurements", "film_thickness", (), ""))
    'film thickness'
    >>> thing_words(NotCompared("gloss, 85 deg", "gloss", (), ""))
    'gloss, 85 deg'
    """
    kind = one.kind.replace("_", " ")
    is_kind = re.fullmatch(rf"{re.escape(kind)}, [\d,]+ measurements?", one.what)
    return translated(kind) if is_kind else label_words(one.what)
