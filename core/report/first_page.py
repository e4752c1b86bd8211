"""The first page: which candidate, how sure, what harm, on what it rests, what next."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import chain, repeat
from typing import assert_never

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.comparison import ONE_BATCH, Comparison
from tiecoat.compare.ranking import Ranking
from tiecoat.compare.uncompared import NotCompared
from tiecoat.compare.verdict import Firmness, Verdict, VerdictWord
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
from tiecoat.report.recommended import recommendation_sentences, share_words
from tiecoat.report.words import joined, say, say_counted, translated

TOLD_MISSING = 3  # sentences on data that are missing
MOST_PAIRS = 6  # that are told one by one
NAMED = 3  # properties, or verdicts, up to which each is named


class AnswerTo(Enum):
    """What a block of the first page answers."""

    RECOMMENDED = "recommended"
    WHICH = "which"
    SURE = "sure"
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
        AnswerTo.RECOMMENDED: [
            told for one in data.recommendations for told in recommendation_sentences(one)
        ],
        AnswerTo.WHICH: _which(data.comparison, rows),
        AnswerTo.SURE: _sure(data),
        AnswerTo.HARM: _harm(data.comparison, rows),
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
    if if_alike:
        names = joined([one.name for one in if_alike])
        told.append(
            say("If the panels of all batches scatter alike, it is shown for {names}.", names=names)
        )
    if others := [one for one in rows if one not in safe and one not in if_alike]:
        names = joined([one.batch for one in others])
        told.append(say("It is not shown for {names}.", names=names))
    for one in (*safe, *if_alike):
        if gains := [_with_numbers(x) for x in one.verdicts if _is(x, VerdictWord.BETTER)]:
            told.append(
                say("{candidate} is better on {gains}.", candidate=one.batch, gains=joined(gains))
            )
    return told


def _properties(comparison: Comparison, many: str) -> str:
    """Return the properties by name, or the words for them where they are many."""
    labels = [label_words(one.label) for one in comparison.properties]
    return joined(labels) if len(labels) <= NAMED else many


def _is(one: Verdict, outcome: VerdictWord) -> bool:
    """Whether a verdict came out so without a condition."""
    return one.outcome is outcome and one.standing is not Firmness.CONDITIONAL


def _with_numbers(one: Verdict) -> str:
    told = "; ".join(one for one in (effect_text(one), ends_text(one)) if one not in {"", "–"})
    return f"{label_words(one.property)} ({told})"


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
        return (
            ""
            if not comparison.study.application
            else say(
                "There is no clear first overall: {reason}.", reason=translated(ranking.no_first)
            )
        )
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
        counts = Counter(one.first for one in ranking.changes if one.first)
        each = [f"{batch} {say_counted(count, 'time')}" for batch, count in counts.most_common()]
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


def _harm(comparison: Comparison, rows: Sequence[CandidateRow]) -> list[str]:
    told = [sentence for one in rows for sentence in _harm_of(one)]
    if not told:
        count = len(comparison.properties)
        on = _properties(comparison, say("any of the {count} properties", count=count))
        told.append(say("None is shown on {properties}.", properties=on))
    return told


def _harm_of(row: CandidateRow) -> Iterator[str]:
    """Tell what harm is shown of a candidate, what only on a condition, and where signs are.

    The first sentence names its recipe too.
    """
    names = chain([row.name], repeat(row.batch))
    losses, signs, gains = [], [], []
    if_alike: dict[str, list[str]] = {}
    for one in row.verdicts:
        match one.outcome:
            case VerdictWord.WORSE if one.standing is Firmness.CONDITIONAL:
                if_alike.setdefault(translated(one.condition), []).append(_with_numbers(one))
            case VerdictWord.WORSE:
                losses.append(_with_numbers(one))
            case VerdictWord.SIGNS_OF_HARM:
                signs.append(_with_numbers(one))
            case VerdictWord.BETTER:
                gains.append(label_words(one.property))
            case VerdictWord.NOT_WORSE | VerdictWord.CANNOT_TELL | VerdictWord.NOT_TESTED:
                pass
            case _:
                assert_never(one.outcome)
    though = say(", though better on {gains}", gains=joined(gains)) if gains else ""
    if losses:
        yield say(
            "{candidate} is worse on {losses}{though}.",
            candidate=next(names),
            losses=joined(losses),
            though=though,
        )
    for condition, of in if_alike.items():
        yield say(
            "{candidate} is worse on {losses}, {condition}{though}.",
            candidate=next(names),
            losses=joined(of),
            condition=condition,
            though="" if losses else though,
        )
    if signs:
        yield say(
            "{candidate} shows signs of harm on {signs}: worse, if that stood alone.",
            candidate=next(names),
            signs=joined(signs),
        )


def _assumed(comparison: Comparison) -> list[str]:
    """List what stands on a condition, by the condition and the word; then what all stand on.

    Harm is told with its condition already, and many that are not worse are counted: the table of
    all verdicts draws each hollow.
    """
    found: dict[tuple[str, VerdictWord], dict[str, list[str]]] = {}
    for one in comparison.verdicts:
        claims = [one.outcome] if one.standing is not Firmness.FIRM else []
        claims += [one.if_alike] if one.if_alike else []
        for claim in claims:
            of = found.setdefault((one.condition, claim), {})
            of.setdefault(label_words(one.property), []).append(one.batch)
    told = [
        say(
            "{verdict}, {condition}: {properties}.",
            verdict=translated(OUTCOME_WORDS[claim][1]),
            condition=translated(condition),
            properties=_claims(claim, by_label),
        )
        for (condition, claim), by_label in found.items()
        if claim is not VerdictWord.WORSE
    ]
    return [*told, translated(ONE_BATCH)]


def _claims(claim: VerdictWord, by_label: Mapping[str, Sequence[str]]) -> str:
    count = sum(map(len, by_label.values()))
    if claim is VerdictWord.NOT_WORSE and count > NAMED:
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
