"""The first page: which candidate, how sure, what harm, on what it rests, what next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import assert_never

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.comparison import ONE_BATCH, Comparison
from tiecoat.compare.ranking import Ranking
from tiecoat.compare.verdict import Verdict, VerdictWord
from tiecoat.report.conclusions import CandidateRow, percent_first
from tiecoat.report.labels import (
    effect_text,
    interval,
    label_words,
    place_of,
    recipe_words,
    unbroken,
)
from tiecoat.report.next_steps import next_words
from tiecoat.report.quality import Quality
from tiecoat.report.words import joined, say, say_counted, translated


class AnswerTo(Enum):
    """What a block of the first page answers."""

    WHICH = "which"
    SURE = "sure"
    HARM = "harm"
    ASSUMED = "assumed"
    OPEN = "open"
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
            AnswerTo.WHICH: say("Which candidate"),
            AnswerTo.SURE: say("How sure"),
            AnswerTo.HARM: say("What harm"),
            AnswerTo.ASSUMED: say("Resting on"),
            AnswerTo.OPEN: say("Left open"),
            AnswerTo.NOT_TESTED: say("Not tested"),
            AnswerTo.NEXT: say("What next"),
        }[self.of]


def first_page(data: StudyData, rows: Sequence[CandidateRow], quality: Quality) -> list[Answer]:
    """Return the blocks of the first page that have something to say, in order."""
    if not rows:
        return [Answer(AnswerTo.WHICH, [_nothing(data)])]
    found = {
        AnswerTo.WHICH: _which(data.comparison, rows),
        AnswerTo.SURE: _sure(data),
        AnswerTo.HARM: _harm(data.comparison, rows),
        AnswerTo.ASSUMED: _assumed(data.comparison),
        AnswerTo.OPEN: list(_open(rows)),
        AnswerTo.NOT_TESTED: _not_tested(quality),
        AnswerTo.NEXT: next_words(data.comparison),
    }
    return [Answer(of, found[of]) for of in AnswerTo if found[of]]


def _nothing(data: StudyData) -> str:
    if data.comparison.problems:
        return say("Nothing could be compared; the reasons stand below.")
    return say("Nothing could be compared; there are no results.")


def _which(comparison: Comparison, rows: Sequence[CandidateRow]) -> list[str]:
    on = joined([label_words(one.label) for one in comparison.properties])
    safe = [one for one in rows if one.no_harm]
    if not safe:
        return [say("No candidate is shown to do no harm on {properties}.", properties=on)]
    told = [
        say("Shown to do no harm on {properties}:", properties=on)
        + " "
        + joined([one.name for one in safe])
        + "."
    ]
    told += [
        say("{candidate} is better on {gains}.", candidate=one.batch, gains=joined(gains))
        for one in safe
        if (gains := [_with_numbers(x) for x in _of(one, VerdictWord.BETTER)])
    ]
    return told


def _of(row: CandidateRow, outcome: VerdictWord) -> list[Verdict]:
    return [one for one in row.verdicts if one.outcome is outcome]


def _with_numbers(one: Verdict) -> str:
    ends = interval(one.low, one.high, place=place_of(one.effect, one.low, one.high))
    return f"{label_words(one.property)} ({unbroken(effect_text(one))}; {ends})"


def _sure(data: StudyData) -> list[str]:
    told = [] if data.ranking is None else [_first(data.comparison, data.ranking)]
    if data.ranking is None:
        told.append(say("There is no ranking: {reason}.", reason=translated(data.no_ranking)))
    return told


def _first(comparison: Comparison, ranking: Ranking) -> str:
    first = ranking.table.loc[ranking.table["rank"] == 1, "batch"].tolist()
    if len(first) > 1:
        return say(
            "With the weights of the study no batch comes out first overall: {batches} share the"
            " first rank.",
            batches=", ".join(first),
        )
    (who,) = first
    share = percent_first(ranking, who)
    if who == comparison.control:
        who = say("the control {control}", control=who)
    else:
        who += f" ({recipe_words(comparison.batches, who)})"
    return say(
        "With the weights of the study {who} comes out first overall; it stays so in {share} of the"
        " draws that test how stable this is.",
        who=who,
        share=share,
    )


def _harm(comparison: Comparison, rows: Sequence[CandidateRow]) -> list[str]:
    told = []
    for one in rows:
        losses, gains = [], []
        for verdict in one.verdicts:
            match verdict.outcome:
                case VerdictWord.WORSE:
                    losses.append(_with_numbers(verdict))
                case VerdictWord.BETTER:
                    gains.append(label_words(verdict.property))
                case VerdictWord.NOT_WORSE | VerdictWord.CANNOT_TELL:
                    pass
                case _:
                    assert_never(verdict.outcome)
        if losses and gains:
            told.append(
                say(
                    "{candidate} is worse on {losses}, though better on {gains}.",
                    candidate=one.name,
                    losses=joined(losses),
                    gains=joined(gains),
                )
            )
        elif losses:
            told.append(
                say("{candidate} is worse on {losses}.", candidate=one.name, losses=joined(losses))
            )
    if not told:
        on = joined([label_words(one.label) for one in comparison.properties])
        told.append(say("None is shown on {properties}.", properties=on))
    return told


def _assumed(comparison: Comparison) -> list[str]:
    return [translated(ONE_BATCH)] if comparison.verdicts else []


def _open(rows: Sequence[CandidateRow]) -> Iterator[str]:
    for one in rows:
        if open_ := [label_words(x.property) for x in _of(one, VerdictWord.CANNOT_TELL)]:
            yield say(
                "{candidate}: cannot tell on {properties}.",
                candidate=one.name,
                properties=joined(open_),
            )


def _not_tested(quality: Quality) -> list[str]:
    told = []
    if count := len(quality.held):
        told.append(
            say(
                "Held and not filed, so that nothing here is computed from it: {files} of this"
                " study.",
                files=say_counted(count, "file"),
            )
        )
    return told
