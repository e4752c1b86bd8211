"""What is concluded, in sentences: the question, the answers, and each candidate's account."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import assert_never

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.comparison import Comparison
from tiecoat.compare.ranking import Ranking
from tiecoat.compare.verdict import VerdictWord
from tiecoat.report.labels import recipe_words
from tiecoat.report.verdict_page import PropertyPage, candidates


@dataclass(frozen=True)
class CandidateRow:
    """What is concluded of one candidate: properties by outcome, and whether harm is shut out."""

    batch: str
    recipe: str
    by_outcome: Mapping[VerdictWord, Sequence[PropertyPage]]
    no_harm: bool
    no_harm_if_alike: bool
    why: str
    first: str


def candidate_rows(data: StudyData, pages: Sequence[PropertyPage]) -> list[CandidateRow]:
    """Return what is concluded of each candidate, the best ranked first."""
    comparison, ranking = data.comparison, data.ranking
    places = {one.label: one for one in pages}
    order = candidates(comparison)
    if ranking is not None:
        ranked = ranking.table["batch"].tolist()
        order = sorted(order, key=lambda one: ranked.index(one) if one in ranked else len(ranked))
    rows = []
    for batch in order:
        by_outcome: dict[VerdictWord, list[PropertyPage]] = {one: [] for one in VerdictWord}
        for one in comparison.verdicts:
            if one.batch == batch and one.property in places:
                by_outcome[one.outcome].append(places[one.property])
        no_harm, why = comparison.does_no_harm(batch)
        first = ""
        if ranking is not None and batch in ranking.chances.index:
            first = _percent(ranking, batch)
        recipe = recipe_words(comparison.batches, batch)
        would = comparison.would_do_no_harm(batch)[0] and not no_harm
        rows.append(CandidateRow(batch, recipe, by_outcome, no_harm, would, why, first))
    return rows


def _percent(ranking: Ranking, batch: str) -> str:
    """Return in how many of the draws a batch is the first."""
    return f"{100 * ranking.chances[1][batch]:.0f} %"


def answers(data: StudyData, rows: Sequence[CandidateRow]) -> list[str]:
    """Return the answers in sentences: which candidate, how sure, and where harm is shown."""
    if not rows:
        why = "the reasons stand below" if data.comparison.problems else "there are no results"
        return [f"Nothing could be compared; {why}."]
    safe = [f"{one.batch} ({one.recipe})" for one in rows if one.no_harm]
    told = []
    if safe:
        told.append(f"Shown to do no harm on every property compared: {', '.join(safe)}.")
    else:
        told.append("No candidate is shown to do no harm on every property compared.")
    if would := [f"{one.batch} ({one.recipe})" for one in rows if one.no_harm_if_alike]:
        told.append(
            f"Only if the panels of all batches scatter alike, also: {', '.join(would)}."
            if safe
            else f"It would be if the panels of all batches scatter alike: {', '.join(would)}."
        )
    for one in rows:
        gains, losses = _gains_and_losses(one)
        if losses:
            though = f", though better on {_labels(gains)}" if gains else ""
            told.append(f"{one.batch} ({one.recipe}) is worse on {_labels(losses)}{though}.")
    if data.ranking is not None:
        told.append(_first(data.comparison, data.ranking))
    return told


def _gains_and_losses(row: CandidateRow) -> tuple[list[PropertyPage], list[PropertyPage]]:
    gains: list[PropertyPage] = []
    losses: list[PropertyPage] = []
    for outcome, pages in row.by_outcome.items():
        match outcome:
            case VerdictWord.BETTER:
                gains += pages
            case VerdictWord.WORSE:
                losses += pages
            case VerdictWord.NOT_WORSE | VerdictWord.SIGNS_OF_HARM | VerdictWord.CANNOT_TELL:
                pass
            case _:
                assert_never(outcome)
    return gains, losses


def _first(comparison: Comparison, ranking: Ranking) -> str:
    table = ranking.table
    first = table.loc[table["rank"] == 1, "batch"].tolist()
    if len(first) > 1:
        return (
            f"With the weights of the study no batch comes out first overall: {', '.join(first)}"
            " share the first rank."
        )
    (who,) = first
    share = _percent(ranking, who)
    if who == comparison.control:
        who = f"the control {who}"
    else:
        who += f" ({recipe_words(comparison.batches, who)})"
    return (
        f"With the weights of the study {who} comes out first overall; it stays so in {share}"
        " of the draws that test how stable this is."
    )


def _labels(pages: Sequence[PropertyPage]) -> str:
    labels = [one.label for one in pages]
    return " and ".join([", ".join(labels[:-1]), labels[-1]] if len(labels) > 1 else labels)


def question(data: StudyData) -> str:
    """Return the question that the study asks."""
    comparison = data.comparison
    count, properties = len(comparison.batches) - 1, len(comparison.properties)
    if not comparison.control:
        return "No control could be found, so that nothing is compared."
    control = f"{comparison.control} ({comparison.batches['recipe'][comparison.control]})"
    if not count:
        return f"There is no candidate to compare with the control {control}."
    if not properties:
        return f"There is no property on which to compare with the control {control}."
    who = "the candidate" if count == 1 else f"any of {count} candidates"
    if properties == 1:
        (only,) = comparison.properties
        return f"Is {who} better than the control {control} on {only.label}, and by how much?"
    return (
        f"Is {who} better than the control {control} on one of {properties} properties, by how"
        " much, and does it do harm on another one?"
    )
