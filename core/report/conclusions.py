"""What is concluded of each candidate, and the question that the study asks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.ranking import Ranking
from tiecoat.compare.verdict import Verdict, VerdictWord
from tiecoat.report.labels import label_words, recipe_words
from tiecoat.report.recommended import share_words
from tiecoat.report.verdict_page import PropertyPage
from tiecoat.report.words import say


@dataclass(frozen=True)
class CandidateRow:
    """What is concluded of one candidate: properties by outcome, and whether harm is shut out."""

    batch: str
    recipe: str
    verdicts: Sequence[Verdict]
    by_outcome: Mapping[VerdictWord, Sequence[PropertyPage]]
    no_harm: bool
    no_harm_if_alike: bool
    first: str

    @property
    def name(self) -> str:
        """Batch and recipe."""
        return f"{self.batch} ({self.recipe})"


def candidate_rows(data: StudyData, pages: Sequence[PropertyPage]) -> list[CandidateRow]:
    """Return what is concluded of each candidate, the best ranked first."""
    comparison, ranking = data.comparison, data.ranking
    places = {one.label: one for one in pages}
    order = comparison.candidates
    if ranking is not None:
        ranked = ranking.table["batch"].tolist()
        order = sorted(order, key=lambda one: ranked.index(one) if one in ranked else len(ranked))
    rows = []
    for batch in order:
        mine = [one for one in comparison.verdicts if one.batch == batch]
        by_outcome: dict[VerdictWord, list[PropertyPage]] = {one: [] for one in VerdictWord}
        for one in mine:
            if one.property in places:
                by_outcome[one.outcome].append(places[one.property])
        first = ""
        if ranking is not None and batch in ranking.chances.index:
            first = percent_first(ranking, batch)
        recipe = recipe_words(comparison.batches, batch)
        no_harm, if_alike = (
            test(batch)[0] for test in (comparison.does_no_harm, comparison.would_do_no_harm)
        )
        rows.append(CandidateRow(batch, recipe, mine, by_outcome, no_harm, if_alike, first))
    return rows


def percent_first(ranking: Ranking, batch: str) -> str:
    """Return in how many of the draws a batch is the first."""
    return share_words(float(ranking.chances[1][batch]))


def question(data: StudyData) -> str:
    """Return the question that the study asks."""
    comparison = data.comparison
    count, properties = len(comparison.batches) - 1, len(comparison.properties)
    if not comparison.control:
        return say("No control could be found, so that nothing is compared.")
    recipe = comparison.batches["recipe"][comparison.control]
    control = f"{comparison.control} ({recipe})" if isinstance(recipe, str) else comparison.control
    if not count:
        return say("There is no candidate to compare with the control {control}.", control=control)
    if not properties:
        return say(
            "There is no property on which to compare with the control {control}.", control=control
        )
    who = say("the candidate") if count == 1 else say("any of {count} candidates", count=count)
    if properties == 1:
        (only,) = comparison.properties
        return say(
            "Is {who} better than the control {control} on {property}, and by how much?",
            who=who,
            control=control,
            property=label_words(only.label),
        )
    return say(
        "Is {who} better than the control {control} on one of {properties} properties, by how much,"
        " and does it do harm on another one?",
        who=who,
        control=control,
        properties=properties,
    )
